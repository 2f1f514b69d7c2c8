package draw_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

func TestNestingMistakesAreReported(t *testing.T) {
	cases := map[string]struct {
		build func(l *draw.List)
		want  []string
	}{
		"clip left open": {
			func(l *draw.List) { l.PushClip(draw.Rect{W: 1, H: 1}) },
			[]string{"op 0: clip is not popped"},
		},
		"group left open is named": {
			func(l *draw.List) { l.BeginGroup("wire 31b", "") },
			[]string{`op 0: group "wire 31b" is not closed`},
		},
		"pop without push": {
			func(l *draw.List) { l.PopTransform() },
			[]string{"op 0: transform ended that was never started"},
		},
		"crossed": {
			func(l *draw.List) {
				l.PushClip(draw.Rect{W: 1, H: 1})
				l.BeginGroup("a", "")
				l.PopClip()
				l.EndGroup()
				l.PopClip()
			},
			[]string{"op 2: clip ended inside the group started at op 1"},
		},
		"two left open, innermost first": {
			func(l *draw.List) { l.PushTransform(2, draw.Point{}); l.PushClip(draw.Rect{W: 1, H: 1}) },
			[]string{"op 1: clip", "op 0: transform"},
		},
		"not a number": {
			func(l *draw.List) { l.Circle(draw.Point{X: math.NaN()}, 1, draw.RGB(0), draw.Stroke{}) },
			[]string{"op 0: circle"},
		},
		"infinite point": {
			func(l *draw.List) { l.Line(draw.Point{}, draw.Point{Y: math.Inf(-1)}, draw.Pen(draw.RGB(0), 1)) },
			[]string{"op 0: polyline: point 1"},
		},
		"negative width": {
			func(l *draw.List) { l.Rect(draw.Rect{W: 1, H: 1}, 0, draw.Colour{}, draw.Pen(draw.RGB(0), -1)) },
			[]string{"op 0: rect: stroke width"},
		},
		"negative size": {
			func(l *draw.List) { l.Rect(draw.Rect{W: -1, H: 1}, 0, draw.Colour{}, draw.Stroke{}) },
			[]string{"op 0: rect"},
		},
		"scale zero still nests": {
			func(l *draw.List) { l.PushTransform(0, draw.Point{}); l.PopTransform() },
			[]string{"op 0: transform: scale must be at least 1e-4"},
		},
		"too far out": {
			func(l *draw.List) { l.Text(draw.Point{X: 2e7}, "x", draw.TextStyle{Size: 10}) },
			[]string{`op 0: text "x"`},
		},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var l draw.List
			c.build(&l)
			err := l.Err()
			require.Error(t, err)
			lines := strings.Split(err.Error(), "\n")
			require.Len(t, lines, len(c.want), "%v", err)
			for i, w := range c.want {
				assert.True(t, strings.HasPrefix(lines[i], w), "got %q, want it to begin %q", lines[i], w)
			}
			assert.Error(t, draw.WriteSVG(&strings.Builder{}, &l, draw.Point{X: 1, Y: 1}, draw.SVGOptions{}))
			assert.NotPanics(t, func() { draw.Raster(&l, 4, 4, 1); draw.Regions(&l); draw.Hit(&l, draw.Point{}, 1) })
			l.Reset()
			assert.NoError(t, l.Err(), "Reset forgets mistakes")
			assert.Zero(t, l.Len())
		})
	}
}

func TestMistakesAreBounded(t *testing.T) {
	var l draw.List
	for range 1000 {
		l.PopClip()
	}
	assert.Len(t, strings.Split(l.Err().Error(), "\n"), 8)
}

func TestPointsAreCopied(t *testing.T) {
	var l draw.List
	pts := []draw.Point{{X: 1}, {X: 2}, {X: 3}}
	l.Polyline(pts, draw.Pen(draw.RGB(0), 1))
	p := draw.Path{}
	p.MoveTo(draw.Point{X: 1})
	p.LineTo(draw.Point{X: 2})
	l.Path(p, draw.RGB(0), draw.Stroke{})
	pts[0].X, p.Segs[0].A.X = 99, 99
	assert.Equal(t, 1.0, l.Ops()[0].(*draw.PolylineOp).Points[0].X)
	assert.Equal(t, 1.0, l.Ops()[1].(*draw.PathOp).Path.Segs[0].A.X)
}

// Ops handed out stay good while the list grows over its blocks.
func TestOpsSurviveGrowth(t *testing.T) {
	var l draw.List
	for i := range 5000 {
		x := float64(i)
		l.Polyline([]draw.Point{{X: x}, {X: x, Y: 1}, {X: x, Y: 2}}, draw.Pen(draw.RGB(0), 1))
		l.Rect(draw.Rect{X: x, W: 1, H: 1}, 0, draw.RGB(0), draw.Stroke{})
	}
	for i := range 5000 {
		require.Equal(t, float64(i), l.Ops()[2*i].(*draw.PolylineOp).Points[2].X)
		require.Equal(t, float64(i), l.Ops()[2*i+1].(*draw.RectOp).Rect.X)
	}
}

func TestRefillMakesNoGarbage(t *testing.T) {
	var l draw.List
	th := draw.Workshop()
	pts := []draw.Point{{}, {X: 10}, {X: 10, Y: 10}}
	var p draw.Path
	p.Rounded(pts, 3)
	fill := func() {
		l.Reset()
		for range 300 {
			l.BeginGroup("id", "label")
			l.PushTransform(2, draw.Point{X: 1})
			l.PushClip(draw.Rect{W: 100, H: 100})
			l.Rect(draw.Rect{W: 3, H: 4}, 1, th.Paper, draw.Pen(th.Ink, 1))
			l.Line(draw.Point{}, draw.Point{X: 1}, draw.Pen(th.Ink, 1))
			l.Polyline(pts, draw.RoundPen(th.Ink, 1))
			l.Polygon(pts, th.Ink, draw.Stroke{})
			l.Circle(draw.Point{}, 3, th.Ink, draw.Stroke{})
			l.Arc(draw.Point{}, 3, 0, 90, draw.Pen(th.Ink, 1))
			l.Path(p, th.Ink, draw.Stroke{})
			l.Text(draw.Point{}, "12.6 V", th.Text(14))
			l.HitArea(draw.Rect{W: 1, H: 1})
			l.PopClip()
			l.PopTransform()
			l.EndGroup()
		}
	}
	fill()
	require.NoError(t, l.Err())
	assert.Zero(t, testing.AllocsPerRun(5, fill), "allocations when a list is filled again")
}

func TestRectHelpers(t *testing.T) {
	r := draw.Rect{X: 10, Y: 20, W: 30, H: 40}
	assert.Equal(t, draw.Point{X: 25, Y: 40}, r.Center())
	assert.Equal(t, draw.Rect{X: 15, Y: 25, W: 20, H: 30}, r.Inset(5))
	assert.Equal(t, draw.Rect{X: 25, Y: 36, W: 0, H: 8}, r.Inset(16), "an inset too large for the width collapses it to the middle")
	assert.True(t, r.Contains(draw.Point{X: 10, Y: 20}), "the upper left corner is inside")
	assert.False(t, r.Contains(draw.Point{X: 40, Y: 20}), "the right edge is not")
	assert.Equal(t, draw.Rect{X: 20, Y: 30, W: 20, H: 30}, r.Intersect(draw.Rect{X: 20, Y: 30, W: 100, H: 100}))
	assert.Equal(t, draw.Rect{}, r.Intersect(draw.Rect{X: 40, Y: 20, W: 5, H: 5}), "touching is not sharing")
	assert.Equal(t, draw.Rect{X: 0, Y: 0, W: 40, H: 60}, r.Union(draw.Rect{W: 1, H: 1}))
	assert.Equal(t, r, r.Union(draw.Rect{}))
	cut, rest := r.CutRight(10)
	assert.Equal(t, draw.Rect{X: 30, Y: 20, W: 10, H: 40}, cut)
	assert.Equal(t, draw.Rect{X: 10, Y: 20, W: 20, H: 40}, rest)
	cut, rest = r.CutBottom(100)
	assert.Equal(t, r, cut, "a cut larger than the rectangle takes all")
	assert.True(t, rest.Empty())
}
