package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
)

func TestAPointIsFoundWhereItIs(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			s := sheet.Layout(h)
			for _, p := range h.Points() {
				got, ok := s.At(s.Where(p))
				require.True(t, ok && got.Kind == sheet.PointTarget && got.Point == p, "at the place of %s: got %v %q", p, got.Kind, got.ID)
				parted := allUnplugged(h)
				at, ok := s.WhereNow(p, parted)
				require.True(t, ok)
				got, ok = s.Pick(at, parted, sheet.DefaultReach)
				assert.True(t, ok && got.Point == p, "parted, at the place of %s: got %v %q", p, got.Kind, got.ID)
				got, ok = s.At(s.Where(p).Add(draw.Point{X: 3, Y: -2}))
				assert.True(t, ok && got.Point == p, "a little beside %s: got %v %q", p, got.Kind, got.ID)
				near, ok := s.NearestPoint(at, parted, 1)
				assert.True(t, ok && near == p, "nearest to %s: got %s", p, near)
			}
		})
	}
}

func TestPickPrefersWhatIsSmall(t *testing.T) {
	s := sheet.Layout(dock())
	find := func(k sheet.Kind, id string) sheet.Target {
		i := s.Find(k, id)
		require.GreaterOrEqual(t, i, 0, "%v %s", k, id)
		return s.Targets()[i]
	}
	for name, want := range map[string]sheet.Target{
		"component by its symbol": find(sheet.ComponentTarget, "LL"),
		"wire by its label":       find(sheet.WireTarget, "58L"),
		"ground by its symbol":    find(sheet.GroundTarget, "G1"),
	} {
		at := want.At
		if want.Kind == sheet.GroundTarget {
			at.Y = want.Box.MaxY() - 1 // clear of the stud
		}
		got, ok := s.At(at)
		assert.True(t, ok && got.Is(want), "%s: got %v %q", name, got.Kind, got.ID)
	}
	x1 := find(sheet.ConnectorTarget, "X1")
	got, ok := s.At(draw.Point{X: x1.Box.MaxX() - 2, Y: x1.Box.Y - 4})
	assert.True(t, ok && (got.Is(x1) || got.Kind == sheet.PointTarget), "edge of X1: got %v %q", got.Kind, got.ID)
	_, ok = s.At(draw.Point{X: -200, Y: -200})
	assert.False(t, ok, "far off the sheet there is nothing")
}

func TestTargetsReachEachOther(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			s := sheet.Layout(h)
			list := s.Targets()
			require.NotEmpty(t, list)
			seen := map[string]bool{}
			for k, v := range list {
				id := v.Kind.String() + " " + v.ID
				assert.False(t, seen[id], "%s is listed twice", id)
				seen[id] = true
				assert.NotEmpty(t, v.Label, id)
				assert.Equal(t, k, s.Find(v.Kind, v.ID), id)
				assert.False(t, v.Box.Empty(), id)
				for _, n := range []int{v.Left, v.Right, v.Up, v.Down} {
					assert.True(t, n >= -1 && n < len(list) && n != k, "%s leads to %d", id, n)
				}
			}
			// Everything can be come to by arrow keys from the first.
			reached := make([]bool, len(list))
			stack := []int{0}
			for len(stack) > 0 {
				k := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				if reached[k] {
					continue
				}
				reached[k] = true
				for _, n := range []int{list[k].Left, list[k].Right, list[k].Up, list[k].Down} {
					if n >= 0 {
						stack = append(stack, n)
					}
				}
			}
			for k, ok := range reached {
				assert.True(t, ok, "no arrow key leads to %v %s", list[k].Kind, list[k].ID)
			}
			for _, w := range h.Wires {
				assert.True(t, seen["wire "+w.ID], "wire %s is no target", w.ID)
			}
			for _, p := range h.Points() {
				assert.True(t, seen["point "+string(p)], "point %s is no target", p)
			}
		})
	}
}
