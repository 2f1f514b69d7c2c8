package draw_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

func texts(l *draw.List) (out []*draw.TextOp) {
	for _, o := range l.Ops() {
		if t, ok := o.(*draw.TextOp); ok {
			out = append(out, t)
		}
	}
	return out
}

// All text of every widget stays inside its box at text scales 1, 1.5 and 2.
func TestWidgetTextFits(t *testing.T) {
	labels := []string{"OK", "Unplug", "Put the red lead here and the black lead on the stud", "Ω", ""}
	for _, k := range []float64{1, 1.5, 2} {
		th := draw.Workshop().Scaled(k)
		fits := func(what string, box draw.Rect, l *draw.List) {
			require.NoError(t, l.Err(), what)
			for _, op := range texts(l) {
				b := draw.TextBounds(op.At, op.Text, op.Style)
				assert.GreaterOrEqual(t, b.X, box.X-1e-6, "%s at %v: %q", what, k, op.Text)
				assert.LessOrEqual(t, b.MaxX(), box.MaxX()+1e-6, "%s at %v: %q", what, k, op.Text)
				assert.GreaterOrEqual(t, b.Y, box.Y-1e-6, "%s at %v: %q", what, k, op.Text)
				assert.LessOrEqual(t, b.MaxY(), box.MaxY()+1e-6, "%s at %v: %q", what, k, op.Text)
			}
		}
		for _, s := range labels {
			sz := th.ButtonSize(s)
			assert.GreaterOrEqual(t, sz.X, 44.0)
			assert.GreaterOrEqual(t, sz.Y, 44.0)
			for _, st := range []draw.ControlState{{}, {On: true}, {Pressed: true}, {On: true, Main: true, Disabled: true}, {Hover: true, Focused: true}} {
				var l draw.List
				r := draw.Rect{X: 10, Y: 10, W: sz.X, H: sz.Y}
				th.Button(&l, r, s, st)
				fits("button", r, &l)
				for _, op := range texts(&l) {
					assert.Equal(t, s, op.Text, "a button of its own size shows the whole label")
				}
				l.Reset()
				r.W = 60
				th.Button(&l, r, s, st)
				fits("narrow button", r, &l)
			}
			for tone := draw.Plain; tone <= draw.Chosen; tone++ {
				var l draw.List
				fits("chip", th.Chip(&l, draw.Point{X: 3, Y: 4}, s, tone), &l)
			}
			var l draw.List
			box := th.Checkbox(&l, draw.Rect{X: 5, Y: 5, W: 160 * k}, s, draw.Yes, draw.ControlState{})
			assert.GreaterOrEqual(t, box.H, 44.0)
			fits("checkbox", box, &l)
			l.Reset()
			in := th.PanelBox(&l, draw.Rect{X: 5, Y: 5, W: 120 * k, H: 200}, s)
			fits("panel", draw.Rect{X: 5, Y: 5, W: 120 * k, H: 200}, &l)
			assert.Greater(t, in.W, 0.0)
			l.Reset()
			within := draw.Rect{W: 320, H: 600}
			b := th.Tooltip(&l, draw.Point{X: 310, Y: 20}, s, 200, within)
			fits("tooltip", b, &l)
			assert.Equal(t, b, b.Intersect(within), "the bubble stays inside")
		}
		for _, w := range []float64{90, 200, 500} {
			for _, h := range []float64{60, 120} {
				var l draw.List
				r := draw.Rect{X: 1, Y: 2, W: w * k, H: h * k}
				th.Display(&l, r, draw.Reading{Digits: "−1000.0", Unit: "mV", Note: "red on X1.3, black on G1",
					Words: []draw.Annunciator{{"AUTO", true}, {"LIVE CIRCUIT", true}, {"HOLD", false}}})
				fits("display", r, &l)
				var all []string
				for _, op := range texts(&l) {
					all = append(all, op.Text)
				}
				assert.Contains(t, all, "−1000.0", "digits are never cut")
				assert.Contains(t, all, "mV")
			}
		}
	}
}

// The states of a button differ in ink or shape, not only in hue: compared in
// grey levels no two are alike.
func TestButtonStatesDifferInGrey(t *testing.T) {
	th := draw.Workshop()
	states := map[string]draw.ControlState{
		"normal": {}, "hover": {Hover: true}, "pressed": {Pressed: true}, "disabled": {Disabled: true}, "focused": {Focused: true}, "on": {On: true},
	}
	grey := map[string][]float64{}
	for name, st := range states {
		var l draw.List
		l.Rect(draw.Rect{W: 120, H: 64}, 0, th.Panel, draw.Stroke{})
		th.Button(&l, draw.Rect{X: 10, Y: 10, W: 100, H: 44}, "Unplug", st)
		img := draw.Raster(&l, 120, 64, 1)
		for i := 0; i < len(img.Pix); i += 4 {
			grey[name] = append(grey[name], draw.Colour{R: img.Pix[i], G: img.Pix[i+1], B: img.Pix[i+2]}.Luminance())
		}
	}
	for a := range grey {
		for b := range grey {
			if a >= b {
				continue
			}
			n := 0
			for i := range grey[a] {
				if d := grey[a][i] - grey[b][i]; d > 0.15 || d < -0.15 {
					n++
				}
			}
			assert.Greater(t, n, 30, "%s and %s", a, b)
		}
	}
}

func TestLeadsCarryTheirLetter(t *testing.T) {
	th := draw.Workshop()
	for pole, want := range map[draw.Pole]string{draw.Red: "R", draw.Black: "B"} {
		var l draw.List
		back := th.Probe(&l, draw.Point{X: 50, Y: 80}, -60, pole, 0)
		th.Cable(&l, back, draw.Point{X: 150, Y: 40}, pole, 20)
		th.Socket(&l, draw.Point{X: 150, Y: 40}, 12, pole)
		require.NoError(t, l.Err())
		got := texts(&l)
		require.Len(t, got, 2)
		assert.Equal(t, want, got[0].Text)
		assert.Equal(t, want, got[1].Text)
		img := draw.Raster(&l, 400, 400, 2)
		assert.NotZero(t, img.RGBAAt(100, 159).A, "the needle touches its point")
		b := draw.Bounds(&l)
		assert.InDelta(t, 60, max(b.MaxY()-20, 60), 42, "the cable sags no further than asked")
	}
}

func TestScrollThumb(t *testing.T) {
	th := draw.Workshop()
	track := draw.Rect{X: 100, Y: 10, W: 12, H: 200}
	assert.True(t, th.ScrollThumb(track, 100, 100, 0).Empty(), "nothing to scroll")
	assert.Equal(t, draw.Rect{X: 100, Y: 10, W: 12, H: 100}, th.ScrollThumb(track, 400, 200, 0))
	assert.Equal(t, draw.Rect{X: 100, Y: 110, W: 12, H: 100}, th.ScrollThumb(track, 400, 200, 200))
	assert.Equal(t, draw.Rect{X: 100, Y: 110, W: 12, H: 100}, th.ScrollThumb(track, 400, 200, 9999), "clamped")
	assert.Equal(t, draw.Rect{X: 100, Y: 60, W: 12, H: 100}, th.ScrollThumb(track, 400, 200, 100))
	flat := th.ScrollThumb(draw.Rect{W: 300, H: 10}, 1e6, 10, 0)
	assert.InDelta(t, 44.0/3, flat.W, 1e-9, "never too small to catch")
}

func TestDots(t *testing.T) {
	th := draw.Workshop()
	var l draw.List
	th.Dots(&l, draw.Point{X: 50, Y: 10}, 1, 3)
	require.NoError(t, l.Err())
	assert.Equal(t, 4, l.Len(), "a square, a ringed disc, a circle")
	l.Reset()
	th.Dots(&l, draw.Point{}, 0, 0)
	assert.Zero(t, l.Len())
}

func TestModuleBox(t *testing.T) {
	th := draw.Workshop()
	var l draw.List
	r := draw.Rect{X: 10, Y: 10, W: 160, H: 90}
	th.ModuleBox(&l, r, "Lamp control module", []draw.Pin{
		{"1", draw.Point{X: 10, Y: 40}}, {"31", draw.Point{X: 90, Y: 100}}, {"30", draw.Point{X: 90, Y: 10}}, {"56", draw.Point{X: 170, Y: 60}},
	}, draw.State{})
	require.NoError(t, l.Err())
	var all []string
	for _, op := range texts(&l) {
		all = append(all, op.Text)
		b := draw.TextBounds(op.At, op.Text, op.Style)
		assert.Equal(t, b, b.Intersect(r), "%q stays inside", op.Text)
	}
	assert.Equal(t, "1 31 30 56 Lamp control module", strings.Join(all, " "))
}
