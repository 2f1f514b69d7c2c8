//go:build e2e

package endtoend_test

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/bench"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// window is the bench in a real window on a display of its own.
type window struct {
	t      *testing.T
	env    []string
	id     string // of the window
	mirror string // file with the bench in words
	pixels string // file with the display's picture
	shots  shots
	errs   *bytes.Buffer
}

// openWindow starts a display and the bench in a window on it.
func openWindow(t *testing.T, data string) *window {
	t.Helper()
	need(t, "Xvfb", "xdotool")
	dir := t.TempDir()
	w := &window{t: t, mirror: filepath.Join(dir, "words.json"), pixels: filepath.Join(dir, "Xvfb_screen0"), shots: newShots(t, "desktop"), errs: &bytes.Buffer{}}

	out, in, err := os.Pipe()
	require.NoError(t, err)
	display := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1400x900x24", "-nolisten", "tcp", "-fbdir", dir)
	display.ExtraFiles = []*os.File{in}
	require.NoError(t, display.Start())
	t.Cleanup(func() { stop(t, display) })
	in.Close()
	number, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err, "Xvfb says which display it is")
	w.env = append(os.Environ(), "DISPLAY=:"+strings.TrimSpace(number), "LIBGL_ALWAYS_SOFTWARE=1")

	program := exec.Command(build(t, "bench", "-tags", "desktop"), "-data", data, "-map", w.mirror)
	program.Env, program.Stderr = w.env, w.errs
	require.NoError(t, program.Start())
	t.Cleanup(func() {
		_ = program.Process.Kill()
		_ = program.Wait()
		if t.Failed() {
			t.Logf("the window's program said: %s", w.errs)
		}
	})
	for end := time.Now().Add(patience); w.id == ""; time.Sleep(200 * time.Millisecond) {
		if found, err := w.xdotool("search", "--onlyvisible", "--name", "^Faultloom$"); err == nil {
			w.id = strings.TrimSpace(found)
		}
		require.True(t, time.Now().Before(end), "a window opens: %s", w.errs)
	}
	until(t, w, "the bench is shown", func(m bench.Mirror) bool { return len(m.Widgets) > 0 })
	return w
}

func (w *window) xdotool(args ...string) (string, error) {
	cmd := exec.Command("xdotool", args...)
	cmd.Env = w.env
	out, err := cmd.Output()
	return string(out), err
}

func (w *window) do(args ...string) {
	w.t.Helper()
	_, err := w.xdotool(args...)
	require.NoError(w.t, err, "xdotool %v", args)
}

func (w *window) words() bench.Mirror {
	var m bench.Mirror
	data, err := os.ReadFile(w.mirror)
	if err == nil {
		require.NoError(w.t, json.Unmarshal(data, &m))
	}
	return m
}

func (w *window) to(x, y float64) []string {
	return []string{"mousemove", "--window", w.id, fmt.Sprint(math.Round(x)), fmt.Sprint(math.Round(y))}
}

// press is a click without any time between down and up.
func (w *window) press(x, y float64) {
	w.t.Helper()
	w.do(append(w.to(x, y), "click", "1")...)
}

func (w *window) roll(x, y, by float64) {
	w.t.Helper()
	const notch, up, down = 60, "4", "5" // the wheel's buttons in X11
	button := down
	if by < 0 {
		button = up
	}
	for range max(1, int(math.Round(math.Abs(by)/notch))) {
		w.do(append(w.to(x, y), "click", button)...)
		time.Sleep(40 * time.Millisecond)
	}
}

// drag waits a little at both ends: a window learns of a button and of where the pointer is by then only once a frame, and
// frames of a software renderer are long.
func (w *window) drag(fromX, fromY, toX, toY float64) {
	w.t.Helper()
	const frames = 250 * time.Millisecond
	w.do(append(w.to(fromX, fromY), "mousedown", "1")...)
	time.Sleep(frames)
	const steps = 6
	for i := 1; i <= steps; i++ {
		s := float64(i) / steps
		w.do(w.to(fromX+(toX-fromX)*s, fromY+(toY-fromY)*s)...)
		time.Sleep(40 * time.Millisecond)
	}
	time.Sleep(frames)
	w.do("mouseup", "1")
}

func (w *window) shot(name string) {
	path := w.shots.path(name)
	if path == "" {
		return
	}
	time.Sleep(400 * time.Millisecond)
	data, err := os.ReadFile(w.pixels)
	require.NoError(w.t, err)
	img, err := dump(data)
	require.NoError(w.t, err)
	var b bytes.Buffer
	require.NoError(w.t, png.Encode(&b, img))
	require.NoError(w.t, os.WriteFile(path, b.Bytes(), 0o644))
}

// dump reads the X window dump that Xvfb keeps of its screen (format version 7, X11/XWDFile.h): a header of big-endian
// words, colours, then lines of 32 bits a pixel.
func dump(data []byte) (image.Image, error) {
	const words = 25
	if len(data) < 4*words {
		return nil, fmt.Errorf("a dump of %d bytes has no header", len(data))
	}
	var h [words]uint32
	for i := range h {
		h[i] = binary.BigEndian.Uint32(data[4*i:])
	}
	headLen, version, width, height, bits, stride, colours := int(h[0]), h[1], int(h[4]), int(h[5]), h[11], int(h[12]), int(h[19])
	const colourLen = 12
	if version != 7 || bits != 32 {
		return nil, fmt.Errorf("version %d with %d bits a pixel is not read here", version, bits)
	}
	at := headLen + colours*colourLen
	if len(data) < at+stride*height {
		return nil, fmt.Errorf("a dump of %d bytes ends early", len(data))
	}
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			v := binary.LittleEndian.Uint32(data[at+y*stride+4*x:])
			img.SetRGBA(x, y, color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255})
		}
	}
	return img, nil
}

func TestInAWindow(t *testing.T) {
	data := t.TempDir()
	w := openWindow(t, data)
	d := &drill{t: t, hand: &pointer{t: t, screen: w, zoomsByWheel: true, near: 12}, ex: exercise(t)}
	d.play()
	d.checkLog(data)
	assert.NotContains(t, w.errs.String(), "panic")
}
