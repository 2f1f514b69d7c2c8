package sheet_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

func wordsOf(l *draw.List) string {
	var b strings.Builder
	for _, o := range l.Ops() {
		if t, ok := o.(*draw.TextOp); ok {
			b.WriteString(t.Text + "\n")
		}
	}
	return b.String()
}

func TestFacesShowEveryCavity(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			for k := range h.Connectors {
				c := &h.Connectors[k]
				for _, parted := range []bool{false, true} {
					live := sheet.Live{Unplugged: map[string]bool{c.ID: parted}}
					side := sheet.ConnectorFace(h, c.ID, live)
					for _, f := range []*sheet.Face{side, side.Stacked()} {
						var l draw.List
						f.Draw(&l, live)
						require.NoError(t, l.Err())
						assert.Empty(t, draw.MissingGlyphs(&l))
						require.Len(t, f.Cavities(), 2*len(c.Cavities))
						for n, cav := range f.Cavities() {
							at, ok := f.Where(cav.Point)
							require.True(t, ok, cav.Point)
							got, ok := f.At(at)
							assert.True(t, ok && got.Point == cav.Point, "at %s: got %s", cav.Point, got.Point)
							assert.GreaterOrEqual(t, min(cav.Box.W, cav.Box.H), 44.0, "a finger must hit %s", cav.Point)
							r := f.Bounds()
							assert.True(t, cav.Box.X >= r.X && cav.Box.MaxX() <= r.MaxX() && cav.Box.MaxY() <= r.MaxY(), "%s leaves the picture", cav.Point)
							for _, other := range f.Cavities()[:n] {
								assert.True(t, cav.Box.Intersect(other.Box).Empty(), "%s lies over %s", cav.Point, other.Point)
							}
						}
						all := texts(&l)
						for n, a := range all {
							for _, b := range all[:n] {
								assert.True(t, a.Intersect(b.Rect).Empty(), "%s: %q lies over %q", c.ID, a.name, b.name)
							}
						}
					}
				}
			}
		})
	}
	assert.Nil(t, sheet.ConnectorFace(dock(), "X99", sheet.Live{}))
}

func TestFacesOfHalvesMirrorEachOther(t *testing.T) {
	// Two halves that plug together are mirror images as one looks at their faces: a matter of geometry.
	f := sheet.ConnectorFace(dock(), "X1", sheet.Live{Unplugged: map[string]bool{"X1": true}})
	x := func(p harness.Point) float64 { at, _ := f.Where(p); return at.X }
	assert.Less(t, x("X1.1.a"), x("X1.4.a"))
	assert.Greater(t, x("X1.1.b"), x("X1.4.b"))
	g := sheet.ConnectorFace(dock(), "X1", sheet.Live{})
	y := func(p harness.Point) float64 { at, _ := g.Where(p); return at.X }
	assert.Greater(t, y("X1.1.a"), y("X1.4.a"), "from behind, half a runs the other way")
}

func TestTerminalsTellNothingUnlessSeen(t *testing.T) {
	live := sheet.Live{Unplugged: map[string]bool{"X1": true}}
	f := sheet.ConnectorFace(dock(), "X1", live)
	var l draw.List
	f.Draw(&l, live)
	assert.NotContains(t, wordsOf(&l), "corroded")
	live.Seen = map[harness.Point]string{"X1.2.b": "corroded"}
	l.Reset()
	f.Draw(&l, live)
	assert.Contains(t, wordsOf(&l), "corroded")
}

// What was seen is told by a word and a mark of its own shape, on the face and on the sheet: not by colour alone. Of a cavity whose both halves are
// corroded the sheet says so once.
func TestSeenByShapeAndWord(t *testing.T) {
	marks := func(l *draw.List) (n int) {
		for _, o := range l.Ops() {
			if _, ok := o.(*draw.PolygonOp); ok {
				n++
			}
		}
		return n
	}
	none := sheet.Live{Unplugged: map[string]bool{"X1": true}}
	seen := none
	seen.Seen = map[harness.Point]string{"X1.2.a": "corroded", "X1.2.b": "corroded"}
	s := sheet.Layout(dock())
	f := sheet.ConnectorFace(dock(), "X1", none)
	for _, c := range []struct {
		what string
		draw func(*draw.List, sheet.Live)
		want int
	}{
		{"face", f.Draw, 2}, {"sheet", s.Draw, 1},
	} {
		var before, after draw.List
		c.draw(&before, none)
		c.draw(&after, seen)
		require.NoError(t, after.Err())
		assert.Equal(t, c.want, strings.Count(wordsOf(&after), "corroded"), c.what)
		assert.NotContains(t, wordsOf(&before), "corroded", c.what)
		assert.Equal(t, c.want, marks(&after)-marks(&before), "%s: a triangle beside each word", c.what)
	}
}

func TestVehicleShowsAndNames(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			live := sheet.Live{Effects: map[string]device.Effect{}}
			for _, c := range h.Components {
				live.Effects[c.ID] = device.Effect{Sense: device.Light, Level: 1, Word: "lit"}
			}
			for _, scale := range []float64{1, 2} {
				live.Theme = draw.Workshop().Scaled(scale)
				for _, size := range []draw.Point{{X: 374, Y: 240}, {X: 620, Y: 380}, {X: 1200, Y: 600}} {
					v := sheet.VehicleView(h, live, size.X, size.Y)
					var l draw.List
					v.Draw(&l, live)
					require.NoError(t, l.Err())
					assert.Empty(t, draw.MissingGlyphs(&l))
					all := texts(&l)
					for n, a := range all {
						assert.True(t, a.X >= 0 && a.Y >= 0 && a.MaxX() <= size.X && a.MaxY() <= size.Y, "%q leaves the picture", a.name)
						for _, b := range all[:n] {
							assert.True(t, a.Intersect(b.Rect).Empty(), "%q lies over %q", a.name, b.name)
						}
					}
					for k, u := range v.Targets() {
						assert.NotEmpty(t, u.Label)
						if u.Box.W <= 14 {
							continue // no room for its plate: found by its spot, which others may share
						}
						got, ok := v.At(u.At)
						assert.True(t, ok && got.Is(u), "at the plate of %v %s: got %v %s", u.Kind, u.ID, got.Kind, got.ID)
						assert.True(t, u.Left != k && u.Right != k)
					}
				}
			}
		})
	}
}

func TestVehicleTellsInWords(t *testing.T) {
	live := sheet.Live{
		Positions: map[string]string{"key": "run"}, Unplugged: map[string]bool{"X1": true},
		Effects: map[string]device.Effect{"HN": {Sense: device.Sound, Level: 1, Word: "sounds"}},
	}
	v := sheet.VehicleView(dock(), live, 700, 400)
	var l draw.List
	v.Draw(&l, live)
	for _, w := range []string{"run", "sounds", "parted", "released"} {
		assert.Contains(t, wordsOf(&l), w+"\n")
	}
	s := sheet.Layout(dock())
	l.Reset()
	s.Draw(&l, live)
	for _, w := range []string{"run", "sounds"} {
		assert.Contains(t, wordsOf(&l), w+"\n")
	}
}
