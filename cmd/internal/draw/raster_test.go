package draw_test

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

// covered returns the area, in square sheet units, that l paints when it is
// rastered at 8 pixels per unit: alpha summed over all pixels.
func covered(l *draw.List, w, h float64) float64 {
	const scale = 8
	img := draw.Raster(l, int(w*scale), int(h*scale), scale)
	var sum float64
	for i := 3; i < len(img.Pix); i += 4 {
		sum += float64(img.Pix[i])
	}
	return sum / 255 / scale / scale
}

// TestAreas compares what is painted with the areas of plane geometry.
func TestAreas(t *testing.T) {
	ink := draw.RGB(0x000000)
	at := func(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }
	dash := draw.Pen(ink, 2).Dashed(3, 2)
	cases := map[string]struct {
		build func(l *draw.List)
		want  float64
	}{
		"rectangle":         {func(l *draw.List) { l.Rect(draw.Rect{X: 5, Y: 5, W: 20, H: 10}, 0, ink, draw.Stroke{}) }, 200},
		"rounded rectangle": {func(l *draw.List) { l.Rect(draw.Rect{X: 5, Y: 5, W: 20, H: 10}, 4, ink, draw.Stroke{}) }, 200 - (4-math.Pi)*16},
		"outline with mitred corners": {func(l *draw.List) {
			l.Rect(draw.Rect{X: 5, Y: 5, W: 20, H: 10}, 0, draw.Colour{}, draw.Pen(ink, 2))
		}, 22*12 - 18*8},
		"disc":          {func(l *draw.List) { l.Circle(at(20, 20), 10, ink, draw.Stroke{}) }, math.Pi * 100},
		"ring":          {func(l *draw.List) { l.Circle(at(20, 20), 10, draw.Colour{}, draw.Pen(ink, 3)) }, math.Pi * 20 * 3},
		"quarter arc":   {func(l *draw.List) { l.Arc(at(20, 20), 10, 30, 90, draw.Pen(ink, 2)) }, math.Pi * 20 / 4 * 2},
		"arc backwards": {func(l *draw.List) { l.Arc(at(20, 20), 10, 30, -90, draw.Pen(ink, 2)) }, math.Pi * 20 / 4 * 2},
		"butt line":     {func(l *draw.List) { l.Line(at(5, 5), at(35, 35), draw.Pen(ink, 2)) }, 30 * math.Sqrt2 * 2},
		"round line":    {func(l *draw.List) { l.Line(at(10, 20), at(30, 20), draw.RoundPen(ink, 4)) }, 20*4 + math.Pi*4},
		"round dot":     {func(l *draw.List) { l.Line(at(10, 20), at(10, 20), draw.RoundPen(ink, 4)) }, math.Pi * 4},
		// A right angle: the legs share one square inside, the corner adds one.
		"mitred corner": {func(l *draw.List) { l.Polyline([]draw.Point{at(5, 5), at(25, 5), at(25, 25)}, draw.Pen(ink, 2)) }, 40 + 40 - 1 + 1},
		"round corner": {func(l *draw.List) {
			l.Polyline([]draw.Point{at(5, 5), at(25, 5), at(25, 25)}, draw.Stroke{Colour: ink, Width: 2, Join: draw.JoinRound})
		}, 40 + 40 - 1 + math.Pi/4},
		// A corner of 10° is sharper than the mitre limit: cut flat, the wedge is
		// the triangle between the two outer corners.
		"sharp corner is cut": {func(l *draw.List) {
			c := at(30, 20)
			l.Polyline([]draw.Point{at(5, 20), c, {X: c.X - 25*math.Cos(math.Pi/18), Y: c.Y + 25*math.Sin(math.Pi/18)}}, draw.Pen(ink, 2))
		}, 2*25*2 - (1/math.Tan(math.Pi/36))*1 + 0.5*math.Sin(math.Pi-math.Pi/18)},
		"dashes":          {func(l *draw.List) { l.Line(at(5, 20), at(28, 20), dash) }, (3*4 + 3) * 2},
		"dashes shifted":  {func(l *draw.List) { s := dash; s.DashOffset = 4; l.Line(at(5, 20), at(15, 20), s) }, (3 + 3) * 2},
		"dashes backward": {func(l *draw.List) { s := dash; s.DashOffset = -1; l.Line(at(5, 20), at(15, 20), s) }, (3 + 3) * 2},
		"dash round a corner": {func(l *draw.List) {
			l.Polyline([]draw.Point{at(5, 5), at(7, 5), at(7, 20)}, draw.Pen(ink, 2).Dashed(4, 100))
		}, 2*2 + 2*2 - 1 + 1},
		"polygon":             {func(l *draw.List) { l.Polygon([]draw.Point{at(5, 5), at(25, 5), at(5, 15)}, ink, draw.Stroke{}) }, 100},
		"overlap counts once": {func(l *draw.List) { l.Polyline([]draw.Point{at(5, 20), at(35, 20), at(5, 20)}, draw.Pen(ink, 4)) }, 120},
		"clip": {func(l *draw.List) {
			l.PushClip(draw.Rect{X: 20, Y: 20, W: 100, H: 100})
			l.Circle(at(20, 20), 10, ink, draw.Stroke{})
			l.PopClip()
		}, math.Pi * 25},
		"after the clip": {func(l *draw.List) { l.PushClip(draw.Rect{}); l.PopClip(); l.Circle(at(20, 20), 10, ink, draw.Stroke{}) }, math.Pi * 100},
		"scaled": {func(l *draw.List) {
			l.PushTransform(0.5, at(10, 10))
			l.Circle(at(20, 20), 10, ink, draw.Stroke{})
			l.PopTransform()
		}, math.Pi * 25},
		"scaled line": {func(l *draw.List) {
			l.PushTransform(2, at(-5, -5))
			l.Line(at(5, 10), at(15, 10), draw.Pen(ink, 1))
			l.PopTransform()
		}, 40},
		"nested": {func(l *draw.List) {
			l.PushTransform(2, at(1, 1))
			l.PushTransform(2, at(1, 1))
			l.Rect(draw.Rect{W: 2, H: 3}, 0, ink, draw.Stroke{})
			l.PopTransform()
			l.PopTransform()
		}, 96},
		"half transparent": {func(l *draw.List) { l.Rect(draw.Rect{X: 5, Y: 5, W: 20, H: 10}, 0, draw.Colour{A: 128}, draw.Stroke{}) }, 200 * 128.0 / 255},
		"nothing to be seen": {func(l *draw.List) {
			l.HitArea(draw.Rect{W: 40, H: 40})
			l.Circle(at(20, 20), 10, draw.Colour{}, draw.Stroke{})
		}, 0},
		"outside the picture": {func(l *draw.List) {
			l.Circle(at(-500, 20), 10, ink, draw.Stroke{})
			l.Circle(at(5000, 20), 10, ink, draw.Stroke{})
		}, 0},
		"partly off the left":   {func(l *draw.List) { l.Rect(draw.Rect{X: -30, Y: 10, W: 40, H: 10}, 0, ink, draw.Stroke{}) }, 100},
		"partly off every side": {func(l *draw.List) { l.Rect(draw.Rect{X: -1e6, Y: -1e6, W: 2e6, H: 2e6}, 0, ink, draw.Stroke{}) }, 1600},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var l draw.List
			c.build(&l)
			require.NoError(t, l.Err())
			// Chords a tenth of a pixel inside a circle of 16 px radius take 0.8 %
			// off its area; 8-bit coverage takes less.
			assert.InDelta(t, c.want, covered(&l, 40, 40), 0.01*c.want+0.02)
		})
	}
}

func TestRasterColours(t *testing.T) {
	var l draw.List
	l.Rect(draw.Rect{W: 10, H: 10}, 0, draw.RGB(0xffffff), draw.Stroke{})
	l.Rect(draw.Rect{W: 5, H: 10}, 0, draw.Colour{R: 255, A: 128}, draw.Stroke{})
	img := draw.Raster(&l, 10, 10, 1)
	at := img.RGBAAt(2, 5)
	assert.InDelta(t, 255, float64(at.R), 1)
	assert.InDelta(t, 127, float64(at.G), 1, "half red over white")
	assert.Equal(t, uint8(255), img.RGBAAt(7, 5).G)
	want := draw.Colour{R: 255, A: 128}.Over(draw.RGB(0xffffff))
	assert.InDelta(t, float64(want.G), float64(at.G), 1, "Over foretells what is painted")
}

func TestRasterSizes(t *testing.T) {
	var l draw.List
	l.Circle(draw.Point{}, 5, draw.RGB(0), draw.Stroke{})
	for _, c := range []struct {
		w, h  int
		scale float64
		want  image.Point
	}{{-1, 5, 1, image.Pt(0, 5)}, {3, 4, 0, image.Pt(3, 4)}, {3, 4, math.NaN(), image.Pt(3, 4)}, {1, 1 << 40, 1, image.Pt(1, 8192)}} {
		assert.Equal(t, c.want, draw.Raster(&l, c.w, c.h, c.scale).Bounds().Size())
	}
}

// The letters of a line of text stand where TextBounds says.
func TestTextIsWhereItIsMeasured(t *testing.T) {
	for _, a := range []draw.Align{draw.Start, draw.Middle, draw.End} {
		st := draw.TextStyle{Size: 20, Face: draw.MonoBold, Colour: draw.RGB(0), Align: a}
		var l draw.List
		l.Text(draw.Point{X: 100, Y: 40}, "HHHH", st)
		b := draw.TextBounds(draw.Point{X: 100, Y: 40}, "HHHH", st)
		img := draw.Raster(&l, 800, 240, 4)
		var ink image.Rectangle
		for y := range 240 {
			for x := range 800 {
				if img.RGBAAt(x, y).A > 127 {
					ink = ink.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		assert.InDelta(t, b.Center().X, float64(ink.Min.X+ink.Max.X)/8, 0.3, "letters are centred in their box")
		assert.InDelta(t, 40, float64(ink.Max.Y)/4, 0.3, "capitals stand on the baseline")
		assert.InDelta(t, draw.CapHeight(draw.MonoBold, 20), float64(ink.Dy())/4, 0.4)
		assert.Less(t, float64(ink.Dx())/4, b.W)
	}
}
