package sheet_test

import (
	"fmt"
	"io/fs"
	"math"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/scenarios"
	"faultloom/sim/harness"
)

// harnesses returns the harnesses that every property must hold for, by name in order.
func harnesses(t testing.TB) (names []string, all []*harness.Harness) {
	add := func(n string, h *harness.Harness) { names, all = append(names, n), append(all, h) }
	add("dock", dock())
	add("placed by an author", placed())
	turned := generated(77, 25)
	for i, c := range turned.Components {
		turned.Sheet = append(turned.Sheet, harness.Placement{ID: c.ID, Column: float64(i % 7), Row: float64(i / 5), Turn: i})
	}
	add("placed anyhow and turned", turned)
	shippedNames, shippedAll := shipped(t)
	for i, h := range shippedAll {
		add(shippedNames[i], h)
		if len(h.Sheet) > 0 { // the program must find places without the author's too
			bare := *h
			bare.Sheet = nil
			add(shippedNames[i]+", placed by program", &bare)
		}
	}
	add("nothing", &harness.Harness{ID: "empty"})
	for _, n := range []int{3, 8, 15, 25, 40, 60} {
		for seed := range uint64(4) {
			add(fmt.Sprintf("generated %d wires, seed %d", n, seed), generated(seed+uint64(n)*100, n))
		}
	}
	return names, all
}

// shipped returns the harnesses that come with the program, by file name in order.
func shipped(t testing.TB) (names []string, all []*harness.Harness) {
	t.Helper()
	files, err := fs.Glob(scenarios.Builtin(), "harbour/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		h, err := scenarios.Load(scenarios.Builtin(), f)
		require.NoError(t, err, f)
		names, all = append(names, strings.TrimSuffix(path.Base(f), ".yaml")), append(all, h)
	}
	return names, all
}

// allUnplugged is the state in which everything that can be parted is.
func allUnplugged(h *harness.Harness) sheet.Live {
	v := sheet.Live{Unplugged: map[string]bool{}, Positions: map[string]string{}}
	for _, c := range h.Connectors {
		v.Unplugged[c.ID] = true
	}
	for _, c := range h.Controls {
		v.Positions[c.ID] = c.Positions[len(c.Positions)-1]
	}
	return v
}

type box struct {
	name string
	draw.Rect
}

func texts(l *draw.List) []box {
	var out []box
	for _, o := range l.Ops() {
		if t, ok := o.(*draw.TextOp); ok {
			r := draw.TextBounds(t.At, t.Text, t.Style)
			// Letters without the air that the font keeps above and below them.
			r.Y, r.H = t.At.Y-draw.CapHeight(t.Style.Face, t.Style.Size), draw.CapHeight(t.Style.Face, t.Style.Size)+2
			out = append(out, box{t.Text, r})
		}
	}
	return out
}

func TestNothingOverlaps(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			s := sheet.Layout(h)
			for state, live := range map[string]sheet.Live{"at rest": {}, "all unplugged": allUnplugged(h)} {
				var l draw.List
				s.Draw(&l, live)
				require.NoError(t, l.Err(), state)
				assert.Empty(t, draw.MissingGlyphs(&l), state)
				checkTexts(t, state, s, texts(&l), live)
				checkWires(t, state, s, texts(&l), live)
			}
		})
	}
}

func checkTexts(t *testing.T, state string, s *sheet.Sheet, all []box, live sheet.Live) {
	r, shapes := s.Bounds(), s.Shapes(live)
	for i, a := range all {
		for _, b := range all[:i] {
			if !a.Intersect(b.Rect).Empty() {
				t.Errorf("%s: lettering %q at %v lies over %q at %v", state, a.name, a.Rect, b.name, b.Rect)
			}
		}
		if a.X < r.X || a.Y < r.Y || a.MaxX() > r.MaxX() || a.MaxY() > r.MaxY() {
			t.Errorf("%s: lettering %q at %v leaves the sheet %v", state, a.name, a.Rect, r)
		}
		for _, b := range shapes {
			// Numbers stand inside their connector's bar.
			if b.Box.Contains(a.Center()) && a.H < b.Box.H && a.W < b.Box.W {
				continue
			}
			if !a.Intersect(b.Box).Empty() {
				t.Errorf("%s: lettering %q at %v lies over %s at %v", state, a.name, a.Rect, b.Name, b.Box)
			}
		}
	}
	for i, a := range shapes {
		for _, b := range shapes[:i] {
			if !a.Box.Inset(0.5).Intersect(b.Box.Inset(0.5)).Empty() {
				t.Errorf("%s: %s at %v lies over %s at %v", state, a.Name, a.Box, b.Name, b.Box)
			}
		}
	}
}

// segments returns the boxes of the straight parts of a way.
func segments(pts []draw.Point, half float64) []draw.Rect {
	var out []draw.Rect
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		out = append(out, draw.Rect{X: min(a.X, b.X) - half, Y: min(a.Y, b.Y) - half, W: math.Abs(a.X-b.X) + 2*half, H: math.Abs(a.Y-b.Y) + 2*half})
	}
	return out
}

// checkWires holds the wires to running upright or level, clear of symbols and lettering, and not on or close beside
// each other.
func checkWires(t *testing.T, state string, s *sheet.Sheet, all []box, live sheet.Live) {
	shapes := s.Shapes(live)
	const half = 2.0  // half a wire's width
	const clear = 5.0 // between the middles of wires that run beside each other
	ways := make([][]draw.Rect, s.Wires())
	for i := range ways {
		_, outside, _ := s.Way(i, live)
		ways[i] = segments(outside, 0)
	}
	for i := range ways {
		id, _, whole := s.Way(i, live)
		for k := 1; k < len(whole); k++ {
			if a, b := whole[k-1], whole[k]; math.Abs(a.X-b.X) > 1e-6 && math.Abs(a.Y-b.Y) > 1e-6 {
				t.Errorf("%s: wire %s runs askew from %v to %v", state, id, a, b)
			}
		}
		for _, seg := range ways[i] {
			for _, b := range shapes {
				if !seg.Inset(-0.1).Intersect(b.Box.Inset(0.2)).Empty() {
					t.Errorf("%s: wire %s at %v runs through %s at %v", state, id, seg, b.Name, b.Box)
				}
			}
		}
		for _, seg := range segments(whole, half) {
			for _, b := range all {
				if !seg.Intersect(b.Rect).Empty() {
					t.Errorf("%s: wire %s at %v runs through lettering %q at %v", state, id, seg, b.name, b.Rect)
				}
			}
		}
		for j := range i {
			for _, a := range ways[i] {
				for _, b := range ways[j] {
					if (a.W > a.H) != (b.W > b.H) {
						continue // crossing at right angles
					}
					near := a.InsetXY(-clear, -0.1)
					if a.W > a.H {
						near = a.InsetXY(-0.1, -clear)
					}
					if !near.Intersect(b.Inset(-1e-6)).Empty() {
						other, _, _ := s.Way(j, live)
						t.Errorf("%s: wires %s and %s run on each other at %v and %v", state, id, other, a, b)
					}
				}
			}
		}
	}
}

func TestEveryPointHasItsPlace(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			s := sheet.Layout(h)
			for _, p := range h.Points() {
				_, ok := s.WhereNow(p, sheet.Live{})
				assert.True(t, ok, "point %s is not on the sheet", p)
			}
			assert.Equal(t, len(h.Wires), s.Wires(), "wires drawn")
		})
	}
}
