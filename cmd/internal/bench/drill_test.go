package bench_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
	"faultloom/grading"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// The shapes of screen that must be usable.
var screens = []struct {
	name string
	w, h float64
	k    float64
}{
	{"1280", 1280, 800, 1},
	{"1920", 1920, 1080, 1},
	{"phone", 390, 844, 1},
	{"1280-200", 1280, 800, 2},
	{"phone-200", 390, 844, 2},
}

// part brings a part of the bench onto a small screen.
func (r *rig) part(name string) {
	r.t.Helper()
	if w := r.m.Frame(r.size).Find("area/" + name); w != nil && !w.On {
		r.click("area/" + name)
	}
}

// page opens a page of the job card.
func (r *rig) page(name string) {
	r.t.Helper()
	r.part("job")
	r.click("page/" + name)
}

// dial turns the meter's dial.
func (r *rig) dial(f meter.Function) {
	r.t.Helper()
	if r.m.Frame(r.size).Find("dial/"+string(f)) != nil {
		r.click("dial/" + string(f))
		return
	}
	if r.m.Frame(r.size).Find("tray/dial") != nil {
		r.click("tray/dial")
	} else {
		r.click("strip/dial")
	}
	r.click("turn/" + string(f))
}

// spot is where a point is on the screen; it is panned into sight first.
func (r *rig) spot(p harness.Point) draw.Point {
	r.t.Helper()
	if r.m.Frame(r.size).Find("area/sheet") != nil {
		r.part("sheet")
	}
	f := r.m.Frame(r.size)
	if f.Find("sheet") == nil && f.Find("place/close") != nil { // a card covers a very small sheet
		r.click("place/close")
	}
	r.m.Focus("at/point/" + string(p))
	r.m.ShowPoint(p)
	r.m.Frame(r.size)
	for _, q := range r.m.Mirror().Points {
		if q.Point == string(p) {
			require.True(r.t, q.Seen, "point %s is in sight", p)
			return draw.Point{X: q.X, Y: q.Y}
		}
	}
	require.Fail(r.t, "no point on the sheet", "%s", p)
	return draw.Point{}
}

// place takes up a lead and clicks the point it goes to.
func (r *rig) place(tool meter.Tool, end int, p harness.Point) {
	r.t.Helper()
	id := "lead/" + string(tool) + "/" + string(rune('0'+end))
	if r.m.Frame(r.size).Find(id) == nil {
		r.part("tray")
	}
	r.click(id)
	r.at(r.spot(p))
	require.Equal(r.t, string(p), r.m.State().Leads[tool][end], "the lead is at %s (%s)", p, r.m.Mirror().Event)
}

func (r *rig) start(id string) {
	r.t.Helper()
	r.click("start/" + id)
	require.Equal(r.t, id, r.m.Exercise())
}

// TestWholeDrill plays one exercise from the job card to the debrief by clicks alone, on every shape of screen. The fault
// is a ground point with no contact (common practice: each load is then a path for the others).
func TestWholeDrill(t *testing.T) {
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.picture(s.name + "/01-choice")
			r.start("dt14-01-the-lamp-that-answers")
			r.picture(s.name + "/02-job")
			r.page("check")
			r.picture(s.name + "/03-check")
			for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
				r.click("check/" + n + "/set")
				word := "good"
				if n >= "4" {
					word = "bad"
				}
				r.click("check/" + n + "/" + word)
			}
			r.picture(s.name + "/04-checked")
			assert.Equal(t, []int{1, 1, 1, -1, -1, -1}, r.m.State().Marks, "marks")
			r.part("vehicle")
			r.picture(s.name + "/05-vehicle")
			// Key and lamps on, horn released.
			r.click("control/HORN/released")
			r.dial(meter.Volts)
			r.place(meter.Multimeter, 1, "BAT.31")
			r.picture(s.name + "/06-black")
			r.place(meter.Multimeter, 0, "G1")
			r.picture(s.name + "/07-reading")
			d := r.m.State().Displays[meter.Multimeter]
			require.True(t, d.Valid, "a reading: %+v", d)
			// The lamps pull the lost ground up: nearly the battery's voltage stands on the stud.
			assert.Greater(t, d.Value, 10.0, "volts between battery post and stud, with the ground lost")
			r.place(meter.Multimeter, 0, "BAT.30")
			assert.InDelta(t, 12.6, r.m.State().Displays[meter.Multimeter].Value, 0.3, "battery at rest, as the job card says")

			r.open("G1")
			r.picture(s.name + "/08-place")
			r.click("place/find")
			r.picture(s.name + "/09-kinds")
			r.click("kind/ground G1 open")
			assert.Equal(t, "ground G1 open", r.m.State().Finding)
			r.page("finding")
			r.picture(s.name + "/10-finding")
			r.click("repair/fitting")
			r.picture(s.name + "/11-repair")
			r.click("repair/yes")
			require.Equal(t, []string{"clean ground G1"}, r.m.State().Repairs)
			for end := range 2 {
				id := "lead/multimeter/" + string(rune('0'+end))
				r.click(id)
				r.click("hand/lift")
			}
			r.page("check")
			for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
				r.click("check/" + n + "/set")
				r.click("check/" + n + "/good")
			}
			assert.Equal(t, []int{1, 1, 1, 1, 1, 1}, r.m.State().Marks, "marks after the repair")
			r.part("vehicle")
			r.picture(s.name + "/12-retest")
			r.page("finding")
			r.click("close")
			r.picture(s.name + "/13-close")
			r.click("close/yes")
			require.True(t, r.m.State().Closed)
			require.NotNil(t, r.m.Report(), "the debrief")
			r.picture(s.name + "/14-debrief")
			m := r.m.Mirror()
			assert.Equal(t, "debrief", m.Screen)
			assert.Contains(t, strings.Join(m.Report, " "), "Score:")
			for _, st := range r.m.Report().Stages {
				switch st.Name {
				case grading.Isolate, grading.Economy: // the cause was not proved, and the controls were left on
				case grading.Repair:
					rightRepair(t, st)
				default:
					assert.InDelta(t, st.Of, st.Points, 1e-9, "points for %s: %+v", st.Name, st.Items)
				}
			}
			r.m.Handle(bench.Event{Kind: bench.KeyDown, Key: "Escape"})
			r.m.Frame(r.size)
			r.picture(s.name + "/15-after")
			r.page("log")
			r.picture(s.name + "/16-log")
		})
	}
}

// open opens the card of the thing a point belongs to.
func (r *rig) open(p harness.Point) {
	r.t.Helper()
	at := r.spot(p)
	r.at(at)
}
