package draw_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

// widgetSpecimen draws every widget in every state.
func widgetSpecimen(textScale float64) (*draw.List, draw.Point) {
	th := draw.Workshop().Scaled(textScale)
	k := textScale
	size := draw.Point{X: 1000 * k, Y: 700 * k}
	var l draw.List
	l.Rect(draw.Rect{W: size.X, H: size.Y}, 0, th.Desk, draw.Stroke{})

	states := []struct {
		name string
		st   draw.ControlState
	}{
		{"Normal", draw.ControlState{}},
		{"Hover", draw.ControlState{Hover: true}},
		{"Pressed", draw.ControlState{Pressed: true}},
		{"Disabled", draw.ControlState{Disabled: true}},
		{"Focused", draw.ControlState{Focused: true}},
		{"Chosen", draw.ControlState{On: true}},
	}
	in := th.PanelBox(&l, draw.Rect{X: 16 * k, Y: 16 * k, W: 560 * k, H: 330 * k}, "Buttons and marks")
	for row, main := range []bool{false, true} {
		for i, s := range states {
			s.st.Main = main
			r := draw.Rect{X: in.X + float64(i)*88*k, Y: in.Y + float64(row)*54*k, W: 80 * k, H: 44 * k}
			l.BeginGroup("button "+s.name, s.name)
			th.Button(&l, r, s.name, s.st)
			l.EndGroup()
		}
	}
	x := in.X
	for i, s := range []string{"Plain", "In order", "Take care", "Wrong", "Chosen"} {
		x = th.Chip(&l, draw.Point{X: x, Y: in.Y + 118*k}, s, draw.Tone(i)).MaxX() + th.Space.Gap
	}
	y := in.Y + 150*k
	for i, s := range []string{"Key on, lamp switch on: both lamps light", "Press the horn button: it sounds", "Lamp switch off: both lamps are dark and stay dark while the horn sounds"} {
		st := draw.ControlState{Focused: i == 1, Disabled: i == 2}
		y = th.Checkbox(&l, draw.Rect{X: in.X, Y: y, W: 360 * k}, s, draw.Ticked(i), st).MaxY()
	}
	th.Dots(&l, draw.Point{X: in.X + 450*k, Y: in.Y + 180*k}, 2, 5)
	th.Scrollbar(&l, draw.Rect{X: in.MaxX() - 12, Y: in.Y + 120*k, W: 12, H: 150 * k}, 900, 300, 200, draw.ControlState{})
	th.Scrollbar(&l, draw.Rect{X: in.X + 380*k, Y: in.Y + 250*k, W: 120 * k, H: 12}, 900, 300, 600, draw.ControlState{Pressed: true})

	in = th.PanelBox(&l, draw.Rect{X: 592 * k, Y: 16 * k, W: 392 * k, H: 330 * k}, "Instrument")
	l.Rect(draw.Rect{X: in.X, Y: in.Y, W: in.W, H: 260 * k}, 12, th.Case, draw.Pen(th.CaseEdge, 2))
	th.Display(&l, draw.Rect{X: in.X + 14*k, Y: in.Y + 14*k, W: in.W - 28*k, H: 112 * k}, draw.Reading{
		Digits: "−12.47", Unit: "V", Note: "red on X1.3, black on G1",
		Words: []draw.Annunciator{{"AUTO", true}, {"LIVE CIRCUIT", false}, {"HOLD", false}, {"FUSE", true}},
	})
	th.Display(&l, draw.Rect{X: in.X + 14*k, Y: in.Y + 138*k, W: 150 * k, H: 70 * k}, draw.Reading{
		Digits: "OL", Unit: "MΩ", Words: []draw.Annunciator{{"AUTO", true}},
	})
	th.Socket(&l, draw.Point{X: in.X + 210*k, Y: in.Y + 175*k}, 16*k, draw.Red)
	th.Socket(&l, draw.Point{X: in.X + 260*k, Y: in.Y + 175*k}, 16*k, draw.Black)

	in = th.PanelBox(&l, draw.Rect{X: 16 * k, Y: 362 * k, W: 968 * k, H: 322 * k}, "")
	l.Rect(in, 4, th.Paper, draw.Pen(th.Hairline, 1))
	for i, c := range draw.WireCodes() {
		y := in.Y + 22*k + float64(i)*19*k
		st, err := th.WireStyle(c)
		if err != nil {
			panic(err)
		}
		draw.AppendWire(&l, []draw.Point{{X: in.X + 50*k, Y: y}, {X: in.X + 190*k, Y: y}}, st)
		l.Text(draw.Point{X: in.X + 20*k, Y: y + 4*k}, c, th.Text(th.Type.Caption).As(draw.Mono))
		t := draw.WireCodes()[(i*5+4)%14]
		if t == c {
			t = "WH"
		}
		code := c + "/" + t
		st, err = th.WireStyle(code)
		if err != nil {
			panic(err)
		}
		draw.AppendWire(&l, []draw.Point{{X: in.X + 280*k, Y: y}, {X: in.X + 420*k - float64(i)*6*k, Y: y}, {X: in.X + 420*k - float64(i)*6*k, Y: in.MaxY() - 4*k}}, st)
		l.Text(draw.Point{X: in.X + 220*k, Y: y + 4*k}, code, th.Text(th.Type.Caption).As(draw.Mono))
	}
	back := th.Probe(&l, draw.Point{X: in.X + 520*k, Y: in.Y + 120*k}, -60, draw.Red, k)
	th.Cable(&l, back, draw.Point{X: in.X + 760*k, Y: in.Y + 150*k}, draw.Red, 30*k)
	back = th.Probe(&l, draw.Point{X: in.X + 520*k, Y: in.Y + 240*k}, -20, draw.Black, k)
	th.Cable(&l, back, draw.Point{X: in.X + 800*k, Y: in.Y + 200*k}, draw.Black, 30*k)
	th.ModuleBox(&l, draw.Rect{X: in.X + 740*k, Y: in.Y + 20*k, W: 160 * k, H: 90 * k}, "Lamp control module",
		[]draw.Pin{{"1", draw.Point{X: in.X + 740*k, Y: in.Y + 40*k}}, {"2", draw.Point{X: in.X + 740*k, Y: in.Y + 80*k}}, {"31", draw.Point{X: in.X + 820*k, Y: in.Y + 110*k}}, {"30", draw.Point{X: in.X + 820*k, Y: in.Y + 20*k}}, {"56", draw.Point{X: in.X + 900*k, Y: in.Y + 60*k}}}, draw.State{})
	th.Tooltip(&l, draw.Point{X: in.X + 620*k, Y: in.Y + 200*k}, "The relay is in the way: pull it out to reach this cavity.", 200*k, in)
	plan := draw.SwitchPlan{Throws: 3, Joins: [][2]int{{0, 1}, {0, 3}}}
	plan.Draw(&l, draw.Place{At: draw.Point{X: in.X + 860*k, Y: in.Y + 160*k}, Scale: k}, draw.State{}, th)
	plan.Joins = [][2]int{{1, 2}}
	plan.Draw(&l, draw.Place{At: draw.Point{X: in.X + 860*k, Y: in.Y + 235*k}, Scale: k}, draw.State{}, th)
	return &l, size
}

func TestWidgetSpecimen(t *testing.T) {
	l, size := widgetSpecimen(1)
	require.NoError(t, l.Err())
	require.Empty(t, draw.MissingGlyphs(l))
	writePicture(t, "widgets", l, size, 1.5)
	l, size = widgetSpecimen(2)
	require.NoError(t, l.Err())
	writePicture(t, "widgets-200", l, size, 0.75)
}
