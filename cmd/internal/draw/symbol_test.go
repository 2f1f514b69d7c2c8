package draw_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

var allStates = []draw.State{
	{},
	{Operated: true, Level: 1, Setting: 1, Blown: true, Parted: true},
	{Operated: true},
	{Level: 0.4, Setting: 0.5},
	{Level: 1e9, Setting: -1e9},
}

var places = map[string]draw.Place{
	"upright":  {At: draw.Point{X: 100, Y: 100}},
	"large":    {At: draw.Point{X: 100, Y: 100}, Scale: 1.5},
	"small":    {At: draw.Point{X: 100, Y: 100}, Scale: 0.75},
	"turned":   {At: draw.Point{X: 100, Y: 100}, Turn: 1},
	"over":     {At: draw.Point{X: 100, Y: 100}, Turn: 2},
	"mirrored": {At: draw.Point{X: 100, Y: 100}, Mirror: true},
	"both":     {At: draw.Point{X: 100, Y: 100}, Turn: 3, Mirror: true, Scale: 1.25},
}

// Every lead is painted up to its terminal, and nothing outside the bounds, in
// every state and every way round.
func TestSymbolsKeepTheirPromises(t *testing.T) {
	th := draw.Workshop()
	const zoom = 2
	for _, s := range draw.Symbols() {
		for name, p := range places {
			for _, st := range allStates {
				var l draw.List
				s.Draw(&l, p, st, th)
				require.NoError(t, l.Err(), "%s %s", s, name)
				require.Empty(t, draw.MissingGlyphs(&l))
				img := draw.Raster(&l, 200*zoom, 200*zoom, zoom)
				// Round ends and half a line width reach over the edge.
				box := s.Bounds(p).Inset(-1.5 * max(p.Scale, 1))
				for i := 3; i < len(img.Pix); i += 4 {
					if img.Pix[i] == 0 {
						continue
					}
					x, y := i/4%(200*zoom), i/4/(200*zoom)
					q := draw.Point{X: (float64(x) + 0.5) / zoom, Y: (float64(y) + 0.5) / zoom}
					if !box.Contains(q) {
						require.Fail(t, "outside the bounds", "%s %s %+v paints at %v outside %v", s, name, st, q, box)
					}
				}
				for _, term := range s.Terminals() {
					q, ok := s.TerminalAt(p, term.Name)
					require.True(t, ok)
					// Just inside the terminal there must be ink.
					in := p.Map(term.At.Sub(term.Out.Mul(0.5)))
					c := img.RGBAAt(int(in.X*zoom), int(in.Y*zoom))
					assert.Equal(t, uint8(255), c.A, "%s %s %+v: lead to %s at %v", s, name, st, term.Name, q)
				}
			}
		}
	}
}

// What a state changes is seen without colour: the picture in grey levels
// reduced to ink or not ink differs.
func TestStatesAreNotColourAlone(t *testing.T) {
	th := draw.Workshop()
	on := draw.State{Operated: true, Level: 1, Setting: 1, Blown: true, Parted: true}
	stateless := map[draw.Symbol]bool{
		draw.SymBattery: true, draw.SymDiode: true, draw.SymZener: true, draw.SymResistor: true, draw.SymNTC: true, draw.SymPTC: true,
		draw.SymCapacitor: true, draw.SymInductor: true, draw.SymGenerator: true, draw.SymVoltmeter: true, draw.SymGround: true,
		draw.SymChassis: true, draw.SymSplice: true, draw.SymStud: true, draw.SymHall: true, draw.SymPressure: true, draw.SymBusNode: true,
		draw.SymLogic: true,
	}
	for _, s := range draw.Symbols() {
		ink := func(st draw.State) map[[2]int]bool {
			var l draw.List
			l.Rect(draw.Rect{W: 120, H: 120}, 0, th.Paper, draw.Stroke{})
			s.Draw(&l, draw.Place{At: draw.Point{X: 60, Y: 60}}, st, th)
			img := draw.Raster(&l, 240, 240, 2)
			out := map[[2]int]bool{}
			for y := range 240 {
				for x := range 240 {
					if p := img.RGBAAt(x, y); (draw.Colour{R: p.R, G: p.G, B: p.B}).Luminance() < 0.2 {
						out[[2]int{x, y}] = true
					}
				}
			}
			return out
		}
		rest, work := ink(draw.State{}), ink(on)
		differ := 0
		for k := range work {
			if !rest[k] {
				differ++
			}
		}
		if stateless[s] {
			assert.Zero(t, differ, "%s has no state", s)
			continue
		}
		assert.Greater(t, differ, 20, "%s at work must have ink of its own", s)
	}
}

func TestLampBrightnessGrows(t *testing.T) {
	th := draw.Workshop()
	last := -1.0
	for _, level := range []float64{0, 0.2, 0.4, 0.6, 0.8, 1} {
		var l draw.List
		draw.SymLamp.Draw(&l, draw.Place{At: draw.Point{X: 40, Y: 40}}, draw.State{Level: level}, th)
		a := covered(&l, 80, 80)
		assert.Greater(t, a, last, "light reaches further at %v", level)
		last = a
	}
}

func TestSymbolNames(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range draw.Symbols() {
		assert.NotEmpty(t, s.String())
		assert.False(t, seen[s.String()], "%s twice", s)
		seen[s.String()] = true
	}
	assert.Equal(t, "symbol 255", draw.Symbol(255).String())
	var l draw.List
	draw.Symbol(255).Draw(&l, draw.Place{}, draw.State{}, draw.Workshop())
	assert.Zero(t, l.Len())
	_, ok := draw.SymFuse.TerminalAt(draw.Place{}, "nowhere")
	assert.False(t, ok)
}

func TestPlaceMap(t *testing.T) {
	q := draw.Point{X: 3, Y: -4}
	for _, c := range []struct {
		p    draw.Place
		want draw.Point
	}{
		{draw.Place{}, q},
		{draw.Place{Scale: 2, At: draw.Point{X: 10}}, draw.Point{X: 16, Y: -8}},
		{draw.Place{Turn: 1}, draw.Point{X: 4, Y: 3}},
		{draw.Place{Turn: 2}, draw.Point{X: -3, Y: 4}},
		{draw.Place{Turn: 3}, draw.Point{X: -4, Y: -3}},
		{draw.Place{Turn: 7, Mirror: true}, draw.Point{X: -4, Y: 3}},
	} {
		assert.Equal(t, c.want, c.p.Map(q), "%+v", c.p)
	}
}

func TestSwitchPlan(t *testing.T) {
	th := draw.Workshop()
	plan := draw.SwitchPlan{Throws: 3}
	terms := plan.Terminals()
	require.Len(t, terms, 4)
	assert.Equal(t, draw.Point{X: -24, Y: 32}, terms[1].At)
	assert.Equal(t, draw.Point{X: 24, Y: 32}, terms[3].At)
	p := draw.Place{At: draw.Point{X: 50, Y: 50}}
	joined := func(joins [][2]int) []bool {
		var l draw.List
		plan.Joins = joins
		plan.Draw(&l, p, draw.State{}, th)
		require.NoError(t, l.Err())
		img := draw.Raster(&l, 400, 400, 4)
		out := make([]bool, 3)
		for i := range out {
			// Two thirds down the way from hinge to contact only a blade has ink.
			q := p.Map(draw.Point{Y: -14}.Lerp(draw.Point{X: terms[i+1].At.X, Y: 14}, 2.0/3))
			out[i] = img.RGBAAt(int(q.X*4), int(q.Y*4)).A > 0
		}
		return out
	}
	assert.Equal(t, []bool{false, false, false}, joined(nil))
	assert.Equal(t, []bool{false, true, false}, joined([][2]int{{2, 0}}))
	assert.Equal(t, []bool{true, false, true}, joined([][2]int{{0, 1}, {0, 3}}))
	assert.Equal(t, []bool{false, false, false}, joined([][2]int{{1, 2}, {0, 9}, {-1, 0}, {2, 2}}), "impossible pairs are left out")
	assert.Len(t, draw.SwitchPlan{}.Terminals(), 2, "at least one throw")
}
