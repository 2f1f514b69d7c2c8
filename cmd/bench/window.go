//go:build !js && (!linux || desktop)

package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/store"
	"faultloom/cmd/internal/wire"
	"faultloom/scenarios"
)

func main() {
	if err := window(os.Args[1:]); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return
		}
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// window runs the bench in a desktop window.
func window(args []string) error {
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	exercise := flags.String("exercise", "", "id of an exercise to open at once")
	data := flags.String("data", "", "folder for attempts and settings (default: as the faultloom command)")
	mirror := flags.String("map", "", "file in which to keep the bench in words, with the place of every control, as JSON")
	width := flags.Int("width", 1280, "width of the window")
	height := flags.Int("height", 800, "height of the window")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("unexpected %q", flags.Arg(0))
	}
	dir := *data
	if dir == "" {
		var err error
		if dir, err = store.DefaultDir(); err != nil {
			return err
		}
	}
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	if err != nil {
		return err
	}
	s, err := store.Open(dir)
	if err != nil {
		return err
	}
	d := desk.New(lib, s, time.Now)
	defer d.Close()

	w := &desktop{file: filepath.Join(dir, "bench.json"), mirrorFile: *mirror}
	m := bench.New(bench.NewLocal(keeper{d}), w.settings())
	if *exercise != "" {
		m.Open(*exercise)
	}
	ebiten.SetWindowTitle("Faultloom")
	ebiten.SetWindowSize(*width, *height)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowSizeLimits(320, 480, -1, -1)
	return run(newGame(m, w))
}

// keeper makes a desk's errors those of a port.
type keeper struct{ d *desk.Desk }

func (k keeper) Exercises() (wire.Exercises, error) {
	x, err := k.d.Exercises()
	return x, portError(err)
}

func (k keeper) Start(r wire.StartRequest) (*wire.Job, error) {
	j, err := k.d.Start(r)
	return j, portError(err)
}

func (k keeper) Job(id string) (*wire.Job, error) {
	j, err := k.d.Job(id)
	return j, portError(err)
}

func (k keeper) Par(id string) (*wire.Par, error) {
	p, err := k.d.Par(id)
	return p, portError(err)
}

func (k keeper) Do(r wire.DoRequest) (*wire.DoReply, error) {
	a, err := k.d.Do(r)
	return a, portError(err)
}

func portError(err error) error {
	var e *desk.Error
	if errors.As(err, &e) {
		return &bench.PortError{Status: e.Status, Message: e.Error()}
	}
	return err
}

// desktop is the window around the bench.
type desktop struct {
	file       string // of the settings
	mirrorFile string
	input      input
	speaker    speaker
	behind     bool
	mirrored   time.Time
	cursor     string
	trouble    bool // the words could not be written; said once
}

func (w *desktop) settings() bench.Settings {
	s := bench.Settings{TextScale: 1}
	if data, err := os.ReadFile(w.file); err == nil {
		_ = json.Unmarshal(data, &s) // unreadable settings are those of a new user
	}
	return s
}

func (w *desktop) events(f func(bench.Event)) { w.input.events(f) }

// rest does nothing: the window's frames cost little when the picture stays as it is.
func (w *desktop) rest() {}

func (w *desktop) play(c bench.Cue) { w.speaker.play(c) }

// mirrorEvery bounds how often the words are written while the picture moves.
const mirrorEvery = 100 * time.Millisecond

func (w *desktop) shown(m *bench.Model, idle bool) {
	if !idle {
		w.behind = true
	}
	if w.mirrorFile != "" && w.behind && (idle || time.Since(w.mirrored) > mirrorEvery) {
		w.behind, w.mirrored = false, time.Now()
		w.mirror(m)
	}
	if c := m.Cursor(); c != w.cursor {
		w.cursor = c
		ebiten.SetCursorShape(map[string]ebiten.CursorShapeType{
			"pointer": ebiten.CursorShapePointer, "grab": ebiten.CursorShapePointer, "grabbing": ebiten.CursorShapeMove, "crosshair": ebiten.CursorShapeCrosshair,
		}[c])
	}
	if s, changed := m.Settings(); changed {
		if data, err := json.Marshal(s); err == nil {
			_ = os.WriteFile(w.file, data, 0o600) // a convenience
		}
	}
}

// mirror writes the bench in words; a reader never sees half a file.
func (w *desktop) mirror(m *bench.Model) {
	data, err := json.Marshal(m.Mirror())
	if err == nil {
		next := w.mirrorFile + ".next"
		if err = os.WriteFile(next, data, 0o600); err == nil {
			err = os.Rename(next, w.mirrorFile)
		}
	}
	if err != nil && !w.trouble {
		w.trouble = true
		fmt.Fprintln(os.Stderr, "bench: the bench in words could not be written:", err)
	}
}
