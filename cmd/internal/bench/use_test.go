package bench_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// reading reports whether the meter shows a number for two placed leads.
func reading(m *bench.Model) bool {
	ends := m.State().Leads[meter.Multimeter]
	return ends[0] != "" && ends[1] != "" && m.State().Displays[meter.Multimeter].Valid
}

// TestFollowTheGuide does nothing but what the guidance points at, and marks what is seen: it leads to the complaint and to a
// first reading within a dozen clicks, then keeps back, and can be brought back.
func TestFollowTheGuide(t *testing.T) {
	ex := exercise(t, "dt14-07-one-eye")
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.start("dt14-07-one-eye")
			clicks := 0
			for ; !reading(r.m); clicks++ {
				require.Less(t, clicks, 14, "the first reading is near: %s", r.m.Mirror().Guide)
				require.NotEmpty(t, r.m.Mirror().Guide, "the guidance says what to do")
				id := r.m.Pointed()
				require.NotEmpty(t, id, "the guidance %q points at something that can be clicked", r.m.Mirror().Guide)
				if p, ok := strings.CutPrefix(id, "at/point/"); ok {
					for _, q := range r.m.Mirror().Points {
						if q.Point == p {
							require.True(t, q.Seen, "%s is in sight", p)
							r.at(draw.Point{X: q.X, Y: q.Y})
						}
					}
					continue
				}
				if n, ok := strings.CutSuffix(id, "/good"); ok {
					i, err := strconv.Atoi(strings.TrimPrefix(n, "check/"))
					require.NoError(t, err)
					if !r.asSaid(ex.Harness.Check[i-1]) {
						id = n + "/bad"
					}
				}
				r.click(id)
			}
			assert.Contains(t, r.m.State().Marks, -1, "the complaint was seen")
			t.Logf("%d clicks", clicks)
			r.m.Frame(r.size)
			assert.Empty(t, r.m.Mirror().Guide, "with the first reading taken the guidance keeps back")
			r.key("?")
			assert.NotEmpty(t, r.m.Mirror().Guide, "and can be brought back")
			got, changed := r.m.Settings()
			assert.True(t, changed && got.Guided, "it is remembered that a first reading was taken")
		})
	}
}

// TestGuideGoesOnWhileAllIsGood: a line of the check that is good has not shown the complaint, so the next one follows; when
// none has failed, measuring begins all the same.
func TestGuideGoesOnWhileAllIsGood(t *testing.T) {
	ex := exercise(t, "wl4-03-across-the-view")
	r := newRig(t, 1280, 800, 1)
	r.start(ex.ID)
	r.page("check")
	for range ex.Harness.Check {
		id := r.m.Pointed()
		if strings.HasSuffix(id, "/set") {
			r.click(id)
			id = r.m.Pointed()
		}
		require.True(t, strings.HasSuffix(id, "/good"), r.m.Mirror().Guide)
		r.click(id)
	}
	assert.Equal(t, "dial/volts", r.m.Pointed(), r.m.Mirror().Guide)
}

// TestSheetOnAPhone looks at the sheet of every vehicle: at first the battery is in sight, and all of it can be.
func TestSheetOnAPhone(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, f := range lib.Exercises {
		if h := f.Exercise.Harness; !seen[h.ID] {
			seen[h.ID] = true
			t.Run(h.ID, func(t *testing.T) {
				r := newRig(t, 390, 844, 1)
				r.start(f.Exercise.ID)
				r.part("sheet")
				for _, p := range r.m.Mirror().Points {
					if p.Point == "BAT.30" {
						assert.True(t, p.Seen, "%s is in sight", p.Point)
					}
				}
				r.click("zoom/all")
				for _, w := range r.m.Frame(r.size).Widgets {
					if w.Role == bench.Target {
						assert.False(t, w.Hidden, "%s is in sight", w.ID)
					}
				}
			})
		}
	}
}

// TestDialogOnDialogCloses: the button that closes a dialog closes the uppermost, whatever stands under it, by mouse and by touch.
func TestDialogOnDialogCloses(t *testing.T) {
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.start("wl4-03-across-the-view")
			r.page("finding")
			there := func(id string) bool { return r.m.Frame(r.size).Find(id) != nil }
			for _, touch := range []bool{false, true} {
				r.click("find")
				r.click("find/component/WM")
				require.True(t, there("kind/component WM open"))
				for _, gone := range []string{"kind/component WM open", "find/component/WM"} {
					at := r.m.Frame(r.size).Named("Close").Rect.Center() // of the uppermost layer
					r.m.Handle(bench.Event{Kind: bench.Press, At: at, Touch: touch})
					r.m.Handle(bench.Event{Kind: bench.Release, At: at, Touch: touch})
					r.settle()
					require.False(t, there(gone), "%s is closed", gone)
				}
			}
		})
	}
}

// TestCardLeavesItsPointInSight opens cards on a phone: the point that was chosen is not under the buttons on the sheet then, and the
// card can be closed from its lower end.
func TestCardLeavesItsPointInSight(t *testing.T) {
	r := newRig(t, 390, 844, 1)
	r.start("wl4-03-across-the-view")
	for _, p := range []harness.Point{"X1.3.b", "WS.53.a", "G2.31c", "BAT.30"} {
		r.open(p)
		f := r.m.Frame(r.size)
		for _, q := range r.m.Mirror().Points {
			if q.Point != string(p) {
				continue
			}
			assert.True(t, q.Seen, "%s is in sight", p)
			for _, id := range []string{"zoom/in", "zoom/out", "zoom/all"} {
				if w := f.Find(id); assert.NotNil(t, w, id) {
					assert.False(t, w.Rect.Contains(draw.Point{X: q.X, Y: q.Y}), "%s is not under %s", p, id)
				}
			}
		}
		r.m.Focus("vehicle/picture")
		r.settle()
		require.False(t, r.m.Frame(r.size).Find("vehicle/picture").Hidden, "the card is scrolled to its end")
		assert.False(t, r.m.Frame(r.size).Find("place/close").Hidden, "the card of %s can be closed", p)
		r.click("place/close")
	}
}

func exercise(t *testing.T, id string) *attempt.Exercise {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise(id)
	require.NotNil(t, ex)
	return ex
}

// TestKeysAlone takes a reading, unplugs, declares and closes with the keyboard only.
func TestKeysAlone(t *testing.T) {
	r := rigOn(t, &quickClose{Keeper: newDesk(t)}, 1280, 800, 1)
	tab := func(id string) {
		t.Helper()
		for range 200 {
			if r.m.Mirror().Focus == id {
				return
			}
			r.key("Tab")
		}
		require.Fail(t, "Tab never comes to it", "%q", id)
	}
	use := func(id string) { t.Helper(); tab(id); r.key("Enter") }
	use("start/dt14-05-half-the-light")
	require.Equal(t, "dt14-05-half-the-light", r.m.Exercise())
	use("page/check")
	use("check/5/set")
	use("check/5/bad")
	require.Equal(t, -1, r.m.State().Marks[4])
	use("dial/volts")
	walk := func(id string) {
		t.Helper()
		// Whoever sees the sheet steers by it; this one tries the arrows breadth first, as the sheet links its targets.
		r.m.Focus(id)
		r.m.Frame(r.size)
		require.Equal(t, id, r.m.Mirror().Focus)
	}
	r.key("b")
	walk("at/point/BAT.31")
	r.key("Enter")
	r.settle()
	r.key("r")
	walk("at/point/X2.2.a")
	r.key("ArrowDown")
	assert.NotEqual(t, "at/point/X2.2.a", r.m.Mirror().Focus, "the arrow keys walk")
	walk("at/point/X2.2.a")
	r.key("Enter")
	r.settle()
	assert.Equal(t, [2]string{"X2.2.a", "BAT.31"}, r.m.State().Leads[meter.Multimeter])
	assert.Greater(t, r.m.State().Displays[meter.Multimeter].Value, 11.0, "volts arrive before the open cavity")
	use("unplug")
	assert.True(t, r.m.State().Unplugged["X2"])
	use("plug")
	use("place/find")
	use("kind/cavity X2.2 backed-out")
	assert.Equal(t, "cavity X2.2 backed-out", r.m.State().Finding)
	use("page/finding")
	use("close")
	r.key("Escape")
	require.False(t, r.m.State().Closed, "Escape steps back")
	use("close")
	use("close/yes")
	assert.True(t, r.m.State().Closed)
	assert.Equal(t, "debrief", r.m.Mirror().Screen)

	before := r.m.Mirror().Focus
	r.key("F6")
	_ = before
	r.key("]")
	got, _ := r.m.Settings()
	assert.Equal(t, 1.25, got.TextScale, "] makes text larger")
}

// TestFingers drags a lead and taps another into place, zooms with two fingers and scrolls the log, on a phone.
func TestFingers(t *testing.T) {
	r := newRig(t, 390, 844, 1)
	tap := func(p draw.Point) {
		r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 1, At: p})
		r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 1, At: p})
		r.settle()
	}
	tapOn := func(id string) {
		t.Helper()
		w := r.m.Frame(r.size).Find(id)
		require.NotNil(t, w, id)
		tap(w.Rect.Center())
	}
	tapOn("start/dt14-01-the-lamp-that-answers")
	tapOn("strip/dial")
	tapOn("turn/volts")
	tapOn("lead/multimeter/1")
	tap(r.spot("BAT.31"))
	require.Equal(t, "BAT.31", r.m.State().Leads[meter.Multimeter][1])

	// Drag: the tip is shown above the finger.
	to := r.spot("BAT.30").Add(draw.Point{Y: 36})
	from := r.m.Frame(r.size).Find("lead/multimeter/0").Rect.Center()
	r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 4, At: from})
	for i := 1; i <= 8; i++ {
		r.m.Handle(bench.Event{Kind: bench.Move, Touch: true, ID: 4, At: from.Lerp(to, float64(i)/8)})
		r.m.Frame(r.size)
		r.m.Follow()
	}
	assert.NotZero(t, r.m.Frame(r.size).Over.Len(), "the lead follows the finger")
	r.picture("phone/drag")
	r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 4, At: to})
	r.settle()
	assert.Equal(t, "BAT.30", r.m.State().Leads[meter.Multimeter][0])
	assert.True(t, reading(r.m))

	// Two fingers apart: what is between them is twice as large and stays there.
	r.m.ShowPoint("BAT.30")
	r.m.Frame(r.size)
	a := r.spot("BAT.30")
	mid := draw.Point{X: 195, Y: 350}
	f1, f2 := mid.Add(draw.Point{X: -40}), mid.Add(draw.Point{X: 40})
	r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 1, At: f1})
	r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 2, At: f2})
	r.m.Handle(bench.Event{Kind: bench.Move, Touch: true, ID: 1, At: f1.Add(draw.Point{X: -40})})
	r.m.Handle(bench.Event{Kind: bench.Move, Touch: true, ID: 2, At: f2.Add(draw.Point{X: 40})})
	r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 1, At: f1})
	r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 2, At: f2})
	r.m.Frame(r.size)
	for _, q := range r.m.Mirror().Points {
		if q.Point == "BAT.30" {
			assert.InDelta(t, mid.X+2*(a.X-mid.X), q.X, 2, "zoomed about the middle of the fingers")
			assert.InDelta(t, mid.Y+2*(a.Y-mid.Y), q.Y, 2, "zoomed about the middle of the fingers")
		}
	}

	// A finger on a button that moves on scrolls and presses nothing. The page must be longer than the screen for that.
	r.size.Y -= 160
	tapOn("area/job")
	tapOn("page/check")
	was := r.m.State().Seq
	p := r.m.Frame(r.size).Find("check/3/set").Rect.Center()
	r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 1, At: p})
	for i := 1; i <= 6; i++ {
		r.m.Handle(bench.Event{Kind: bench.Move, Touch: true, ID: 1, At: p.Add(draw.Point{Y: float64(-20 * i)})})
	}
	r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 1, At: p.Add(draw.Point{Y: -120})})
	r.settle()
	assert.Equal(t, was, r.m.State().Seq, "nothing was pressed")
	assert.Less(t, r.m.Frame(r.size).Find("check/3/set").Rect.Y, p.Y-40, "the page was scrolled")
}

// TestOutOfReach wants the reason at the place, and nothing asked of the attempt.
func TestOutOfReach(t *testing.T) {
	r := newRig(t, 1280, 800, 1)
	r.start("dt14-01-the-lamp-that-answers")
	r.click("lead/multimeter/0")
	was := r.m.State().Seq
	r.at(r.spot("K1.30.a"))
	assert.Equal(t, was, r.m.State().Seq, "nothing was done")
	m := r.m.Mirror()
	assert.Contains(t, m.Event, "K1 sits on its socket", "the reason is told")
	assert.Equal(t, "", r.m.State().Leads[meter.Multimeter][0])
	r.picture("1280/17-out-of-reach")
	// The same lead goes to a point that it can reach.
	r.at(r.spot("F2.1.b"))
	assert.Equal(t, "F2.1.b", r.m.State().Leads[meter.Multimeter][0], m.Event)
	// Its probe can be dragged off the point into the tray: the lead is lifted.
	tip := r.spot("F2.1.b").Add(draw.Point{X: -9, Y: 22})
	r.m.Handle(bench.Event{Kind: bench.Press, At: tip})
	r.m.Handle(bench.Event{Kind: bench.Move, At: tip.Add(draw.Point{Y: 50})})
	r.m.Handle(bench.Event{Kind: bench.Move, At: draw.Point{X: 600, Y: 720}})
	r.m.Handle(bench.Event{Kind: bench.Release, At: draw.Point{X: 600, Y: 720}})
	r.settle()
	assert.Equal(t, "", r.m.State().Leads[meter.Multimeter][0], "lifted")
}

// TestZeroLengthClicks sends a hundred clicks without a frame between: none is lost.
func TestZeroLengthClicks(t *testing.T) {
	r := newRig(t, 1280, 800, 1)
	r.start("dt14-01-the-lamp-that-answers")
	p := r.m.Frame(r.size).Find("zoom/in").Rect.Center()
	q := r.m.Frame(r.size).Find("guide").Rect.Center()
	on := r.m.Frame(r.size).Find("guide").On
	for range 101 {
		r.m.Handle(bench.Event{Kind: bench.Press, At: q})
		r.m.Handle(bench.Event{Kind: bench.Release, At: q})
	}
	_ = p
	assert.Equal(t, !on, r.m.Frame(r.size).Find("guide").On, "an odd number of clicks on a toggle")
}

// BenchmarkFrame builds the frame after each key.
func BenchmarkFrame(b *testing.B) {
	r := benchRig(b)
	b.ReportAllocs()
	for b.Loop() {
		r.m.Handle(bench.Event{Kind: bench.KeyDown, Key: "?"})
		r.m.Frame(r.size)
	}
}
