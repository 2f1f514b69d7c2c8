package bench_test

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/store"
	"faultloom/scenarios"
)

// rig is a bench over the built-in exercises with its attempts in a folder of the test.
type rig struct {
	t    *testing.T
	m    *bench.Model
	size draw.Point
}

func newDesk(t *testing.T) *desk.Desk {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	s, err := store.Open(t.TempDir())
	require.NoError(t, err)
	d := desk.New(lib, s, time.Now)
	d.ThinkAfter(time.Hour) // the tests of the desk have the coach think along
	t.Cleanup(d.Close)
	return d
}

func newRig(t *testing.T, w, h, scale float64) *rig {
	t.Helper()
	return rigOn(t, newDesk(t), w, h, scale)
}

func rigOn(t *testing.T, k bench.Keeper, w, h, scale float64) *rig {
	t.Helper()
	r := &rig{t: t, m: bench.New(bench.NewLocal(k), bench.Settings{TextScale: scale, Calm: true}), size: draw.Point{X: w, Y: h}}
	r.settle()
	return r
}

// settle waits until every answer has come.
func (r *rig) settle() {
	r.t.Helper()
	end := time.Now().Add(5 * time.Minute) // a debrief weighs hundreds of faults, and the machine may be busy
	for {
		r.m.Tick(0.01)
		r.m.Frame(r.size)
		if !r.m.Busy() {
			r.m.Frame(r.size)
			return
		}
		require.True(r.t, time.Now().Before(end), "an answer must come within five minutes")
		time.Sleep(time.Millisecond)
	}
}

// click clicks the widget of that id with the mouse, where it is; one out of sight is brought into sight first.
func (r *rig) click(id string) {
	r.t.Helper()
	f := r.m.Frame(r.size)
	w := f.Find(id)
	require.NotNil(r.t, w, "there is a widget %q among %v", id, r.ids())
	if w.Hidden || w.Rect.H < 10 {
		r.m.Focus(id)
		f = r.m.Frame(r.size)
		w = f.Find(id)
	}
	require.False(r.t, w.Hidden, "%q can be brought into sight", id)
	require.True(r.t, w.Enabled, "%q can be used (%s)", id, w.Hint)
	r.at(w.Rect.Center())
}

// at clicks a place.
func (r *rig) at(p draw.Point) {
	r.t.Helper()
	r.m.Handle(bench.Event{Kind: bench.Move, At: p})
	r.m.Handle(bench.Event{Kind: bench.Press, At: p})
	r.m.Handle(bench.Event{Kind: bench.Release, At: p})
	r.settle()
}

func (r *rig) ids() []string {
	var out []string
	for _, w := range r.m.Frame(r.size).Widgets {
		if w.Role != bench.Target {
			out = append(out, w.ID)
		}
	}
	return out
}

// picture saves what the screen shows when BENCH_PICTURES names a folder.
func (r *rig) picture(name string) {
	dir := os.Getenv("BENCH_PICTURES")
	if dir == "" {
		return
	}
	f := r.m.Frame(r.size)
	save(r.t, filepath.Join(dir, fmt.Sprintf("%s.png", name)), f, r.size)
}

func save(t *testing.T, path string, f *bench.Frame, size draw.Point) {
	t.Helper()
	require.NoError(t, f.Base.Err())
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	img := draw.Raster(&f.Base, int(size.X), int(size.Y), 1)
	over := draw.Raster(&f.Over, int(size.X), int(size.Y), 1)
	for i := 0; i < len(img.Pix); i += 4 {
		if a := over.Pix[i+3]; a > 0 {
			for k := range 3 {
				img.Pix[i+k] = uint8(int(over.Pix[i+k]) + int(img.Pix[i+k])*(255-int(a))/255)
			}
		}
	}
	out, err := os.Create(path)
	require.NoError(t, err)
	defer out.Close()
	require.NoError(t, png.Encode(out, img))
}

func point(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }

// benchRig is a rig for benchmarks, with an exercise on the bench.
func benchRig(b *testing.B) *rig {
	b.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(b, err)
	s, err := store.Open(b.TempDir())
	require.NoError(b, err)
	d := desk.New(lib, s, time.Now)
	d.ThinkAfter(time.Hour) // the tests of the desk have the coach think along
	b.Cleanup(d.Close)
	r := &rig{m: bench.New(bench.NewLocal(d), bench.Settings{TextScale: 1, Calm: true}), size: point(1280, 800)}
	r.m.Open("dt14-01-the-lamp-that-answers")
	for r.m.Busy() {
		r.m.Tick(0.01)
		time.Sleep(time.Millisecond)
	}
	r.m.Frame(r.size)
	return r
}
