package bench_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/meter"
)

// leastTouch is the least side of what a finger must hit, in CSS pixels, on a phone; WCAG 2.2 criterion 2.5.8 asks 24,
// 2.5.5 of 2.1 asks 44 for the enhanced level.
const leastTouch = 40

// check holds what is true of every picture of the bench.
func check(t *testing.T, r *rig, what string) {
	t.Helper()
	f := r.m.Frame(r.size)
	require.NoError(t, f.Base.Err(), "%s: the display list is sound", what)
	assert.Empty(t, draw.MissingGlyphs(&f.Base), "%s: every character can be drawn", what)
	for _, s := range f.TextsTooLarge() {
		assert.Fail(t, "text sticks out of its box", "%s: %q", what, s)
	}
	screen := draw.Rect{W: r.size.X, H: r.size.Y}
	seen := map[string]bool{}
	var open []bench.Widget
	for _, w := range f.Widgets {
		key := fmt.Sprint(w.Layer, w.ID)
		assert.False(t, seen[key], "%s: id %q is there once", what, w.ID)
		seen[key] = true
		assert.NotEmpty(t, w.Label, "%s: %q has a name", what, w.ID)
		if w.Hidden {
			continue
		}
		in := w.Rect.Intersect(screen)
		assert.InDelta(t, w.Rect.W*w.Rect.H, in.W*in.H, 0.5, "%s: %q lies on the screen: %v", what, w.ID, w.Rect)
		if w.Role == bench.Target || w.Role == bench.Sheet || !w.Enabled {
			continue
		}
		open = append(open, w)
		if r.size.X < 500 && w.Whole() {
			assert.GreaterOrEqual(t, w.Rect.H, float64(leastTouch), "%s: %q can be hit by a finger", what, w.ID)
			assert.GreaterOrEqual(t, w.Rect.W, float64(leastTouch), "%s: %q can be hit by a finger", what, w.ID)
		}
	}
	for i, l := range f.RimLabels() {
		for _, w := range open {
			if w.Layer == 0 && w.Role == bench.Button && strings.HasPrefix(w.ID, "zoom/") {
				assert.True(t, l.Intersect(w.Rect).Empty(), "%s: the label of a cable covers %q", what, w.ID)
			}
		}
		for _, o := range f.RimLabels()[:i] {
			assert.True(t, l.Intersect(o).Empty(), "%s: labels of cables cover each other: %v %v", what, l, o)
		}
	}
	for i, a := range open {
		for _, b := range open[:i] {
			if a.Layer == b.Layer && !a.Rect.Inset(0.5).Intersect(b.Rect.Inset(0.5)).Empty() {
				assert.Fail(t, "widgets overlap", "%s: %q %v and %q %v", what, a.ID, a.Rect, b.ID, b.Rect)
			}
		}
	}
}

// TestLayout walks through the states of the bench at every size and text scale.
func TestLayout(t *testing.T) {
	sizes := []draw.Point{{X: 1280, Y: 800}, {X: 1920, Y: 1080}, {X: 390, Y: 844}, {X: 360, Y: 640}, {X: 820, Y: 1180}, {X: 844, Y: 390}}
	if testing.Short() {
		sizes = sizes[:3]
	}
	for _, size := range sizes {
		for _, k := range []float64{1, 1.25, 1.5, 2} {
			if (size.X < 390 || size.Y < 500) && k > 1.25 {
				continue // smaller than any screen that has to be usable, with text larger than it can hold
			}
			name := fmt.Sprintf("%vx%v-%v", size.X, size.Y, k*100)
			t.Run(name, func(t *testing.T) {
				r := rigOn(t, &quickClose{Keeper: newDesk(t)}, size.X, size.Y, k)
				see := func(what string) {
					t.Helper()
					check(t, r, what)
					r.picture("layout/" + name + "-" + what)
				}
				see("choice")
				r.click("settings")
				see("settings")
				r.key("Escape")
				r.start("dt14-02-candlelight")
				see("job")
				r.click("study/notes")
				see("notes")
				r.key("Escape")
				r.page("check")
				see("check")
				r.click("check/5/set")
				see("check-set")
				r.click("check/5/bad")
				r.dial(meter.Volts)
				r.place(meter.Multimeter, 1, "BAT.31")
				r.place(meter.Multimeter, 0, "X1.1.b")
				see("reading")
				r.key("?")
				see("guided")
				for _, a := range []string{"vehicle", "tray", "place", "sheet"} {
					r.part(a)
					see("part-" + a)
				}
				r.open("X1.2.a")
				see("connector")
				r.click("unplug")
				see("parted")
				r.click("plug")
				r.open("K1.86.b")
				see("socket")
				r.key("Escape")
				r.open("F2.1.b")
				see("holder")
				r.click("fuse")
				see("fuses")
				r.key("Escape")
				r.key("Escape")
				if r.m.Frame(r.size).Find("page/coach") != nil || r.m.Frame(r.size).Find("area/job") != nil {
					r.page("coach")
					see("coach")
				}
				r.page("finding")
				see("finding")
				r.click("find")
				see("places")
				r.click("find/connector/X1")
				see("kinds")
				r.click("kind/cavity X1.1 corroded")
				see("found")
				r.click("repair/fitting")
				see("repair")
				r.key("Escape")
				r.click("close")
				see("closing")
				r.click("close/yes")
				see("debrief")
				r.key("Escape")
				r.page("log")
				see("closed")
			})
		}
	}
}

// quickClose closes a job with a report made up here: what a debrief looks like does not depend on whether it is right.
type quickClose struct {
	bench.Keeper
	last *wire.DoReply
}

func (q *quickClose) Do(req wire.DoRequest) (*wire.DoReply, error) {
	if string(req.Action) != `{"do":"close"}` {
		a, err := q.Keeper.Do(req)
		q.last = a
		return a, err
	}
	long := "You ran and truly marked five of the six lines of the check before touching anything; line 6 was left out."
	rep := grading.Report{Title: "Candlelight", Score: 61.5, Of: 100, Minutes: 23, Verdict: "The cause was found, and everything works again.",
		Cause: []string{"cavity 1 of X1 corroded (1.5 Ω)"}, Next: []string{long, "Measure under load."}, Cautions: []string{long}}
	for i, n := range []string{"confirm", "isolate", "repair", "retest", "safety", "economy"} {
		rep.Stages = append(rep.Stages, grading.StageScore{Name: n, Points: float64(3 * i), Of: 15, Items: []grading.Item{
			{Points: 3, Of: 3, Text: long}, {Points: 0, Of: 2.5, Text: long}, {Points: 1, Of: 2, Text: "Half."}, {Points: -2, Text: "Ohms on a live circuit."}}})
	}
	for i := range 30 {
		rep.Steps = append(rep.Steps, grading.Step{Seq: i, Minutes: float64(i), Stage: rep.Stages[i/10].Name, Did: "red lead to cavity 1 of X1, half b", Showed: "11.84 V", Remark: long})
	}
	data, err := json.Marshal(rep)
	a := *q.last
	a.State.Closed, a.Report = true, data
	return &a, err
}

func (r *rig) key(k string) {
	r.t.Helper()
	r.m.Handle(bench.Event{Kind: bench.KeyDown, Key: k})
	r.settle()
}
