package draw_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

func hitList() *draw.List {
	ink := draw.RGB(0x101010)
	var l draw.List
	l.Rect(draw.Rect{W: 400, H: 400}, 0, draw.RGB(0xffffff), draw.Stroke{}) // no group: never hit
	l.BeginGroup("panel", "Panel")
	l.Rect(draw.Rect{X: 10, Y: 10, W: 200, H: 200}, 0, draw.RGB(0xeeeeee), draw.Stroke{})
	l.BeginGroup("wire a", "Wire a")
	l.Polyline([]draw.Point{{X: 20, Y: 50}, {X: 150, Y: 50}, {X: 150, Y: 150}}, draw.Pen(ink, 4))
	l.EndGroup()
	l.BeginGroup("wire b", "Wire b")
	l.Line(draw.Point{X: 20, Y: 60}, draw.Point{X: 140, Y: 60}, draw.Pen(ink, 4))
	l.EndGroup()
	l.EndGroup()
	l.PushClip(draw.Rect{X: 300, Y: 0, W: 50, H: 50})
	l.PushTransform(2, draw.Point{X: 300, Y: 0})
	l.BeginGroup("lamp", "Lamp")
	l.Circle(draw.Point{X: 20, Y: 20}, 10, draw.Colour{}, draw.Pen(ink, 1))
	l.EndGroup()
	l.PopTransform()
	l.PopClip()
	l.BeginGroup("target", "")
	l.HitArea(draw.Rect{X: 230, Y: 230, W: 44, H: 44})
	l.EndGroup()
	return &l
}

func TestHit(t *testing.T) {
	l := hitList()
	require.NoError(t, l.Err())
	cases := map[string]struct {
		x, y, slop float64
		want       []string
	}{
		"on the panel":                {100, 100, 4, []string{"panel"}},
		"on wire a":                   {80, 51, 4, []string{"wire a", "panel"}},
		"on its second leg":           {151, 120, 0, []string{"wire a", "panel"}},
		"not inside its bend":         {100, 120, 4, []string{"panel"}},
		"near wire b":                 {80, 64, 4, []string{"wire b", "panel"}},
		"exactly on a though b close": {80, 51.9, 9, []string{"wire a", "panel"}},
		"between, nearer to b":        {80, 56, 9, []string{"wire b", "panel"}},
		"without slop":                {80, 64, 0, []string{"panel"}},
		"nothing there":               {390, 390, 4, nil},
		"beside the panel":            {213, 100, 4, []string{"panel"}},
		"on the scaled ring":          {320, 40, 0.5, []string{"lamp"}},
		"inside an unfilled ring":     {340, 40, 0, nil},
		"ring cut by the clip":        {360, 40, 4, nil},
		"invisible target":            {240, 270, 0, []string{"target"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, draw.Hit(l, draw.Point{X: c.x, Y: c.y}, c.slop))
		})
	}
}

func TestRegions(t *testing.T) {
	got := draw.Regions(hitList())
	require.Len(t, got, 5)
	assert.Equal(t, draw.Region{ID: "panel", Label: "Panel", Bounds: draw.Rect{X: 10, Y: 10, W: 200, H: 200}}, got[0])
	assert.Equal(t, draw.Region{ID: "wire a", Label: "Wire a", Bounds: draw.Rect{X: 18, Y: 48, W: 134, H: 104}, Depth: 1}, got[1])
	assert.Equal(t, draw.Rect{X: 319, Y: 19, W: 31, H: 31}, got[3].Bounds, "scaled, and cut by the clip")
}

func BenchmarkHit(b *testing.B) {
	l, _ := widgetSpecimen(1)
	for b.Loop() {
		draw.Hit(l, draw.Point{X: 400, Y: 500}, 6)
	}
}
