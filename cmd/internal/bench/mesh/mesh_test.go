package mesh_test

import (
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench/mesh"
	"faultloom/cmd/internal/draw"
)

// paint is the simplest triangle painter there is: the nearest pixel of the atlas, colours blended along the triangle.
func paint(batches []mesh.Batch, atlas *image.Alpha, w, h int) *image.RGBA {
	acc := make([]float64, w*h*4)
	for _, b := range batches {
		for i := 0; i+2 < len(b.Indices); i += 3 {
			p, q, r := b.Vertices[b.Indices[i]], b.Vertices[b.Indices[i+1]], b.Vertices[b.Indices[i+2]]
			triangle(acc, w, h, b.Clip, atlas, p, q, r)
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, v := range acc {
		img.Pix[i] = uint8(math.Round(min(v, 1) * 255))
	}
	return img
}

func triangle(acc []float64, w, h int, clip image.Rectangle, atlas *image.Alpha, p, q, r mesh.Vertex) {
	edge := func(a, b mesh.Vertex, x, y float64) float64 {
		return float64(b.X-a.X)*(y-float64(a.Y)) - float64(b.Y-a.Y)*(x-float64(a.X))
	}
	area := edge(p, q, float64(r.X), float64(r.Y))
	if area == 0 {
		return
	}
	if area < 0 {
		q, r, area = r, q, -area
	}
	// A pixel on an edge belongs to one side only (the rule of all painters), else shared edges would be painted twice.
	in := func(e float64, a, b mesh.Vertex) bool {
		if e != 0 {
			return e > 0
		}
		return b.Y < a.Y || (b.Y == a.Y && b.X > a.X)
	}
	x0, x1 := int(min(p.X, q.X, r.X)), int(max(p.X, q.X, r.X))+1
	y0, y1 := int(min(p.Y, q.Y, r.Y)), int(max(p.Y, q.Y, r.Y))+1
	for y := max(y0, clip.Min.Y); y < min(y1, clip.Max.Y, h); y++ {
		for x := max(x0, clip.Min.X); x < min(x1, clip.Max.X, w); x++ {
			cx, cy := float64(x)+0.5, float64(y)+0.5
			eq, er, ep := edge(r, p, cx, cy), edge(p, q, cx, cy), edge(q, r, cx, cy)
			if !in(ep, q, r) || !in(eq, r, p) || !in(er, p, q) {
				continue
			}
			a, b, c := ep/area, eq/area, er/area
			mix := func(u, v, t float32) float64 { return float64(u)*a + float64(v)*b + float64(t)*c }
			cov := float64(atlas.AlphaAt(int(mix(p.U, q.U, r.U)), int(mix(p.V, q.V, r.V))).A) / 255
			src := [4]float64{mix(p.R, q.R, r.R), mix(p.G, q.G, r.G), mix(p.B, q.B, r.B), mix(p.A, q.A, r.A)}
			o := acc[(y*w+x)*4:]
			for k := range 4 {
				o[k] = src[k]*cov + o[k]*(1-src[3]*cov)
			}
		}
	}
}

var (
	ink   = draw.RGB(0x1b2733)
	paper = draw.RGB(0xf4f1ea)
	red   = draw.RGB(0xb3261e)
)

func scene(f func(l *draw.List)) *draw.List {
	var l draw.List
	l.Rect(draw.Rect{X: 0, Y: 0, W: 200, H: 140}, 0, paper, draw.Stroke{})
	f(&l)
	return &l
}

// TestBuildMatchesRaster compares the triangles with the list's own software rasteriser, which computes coverage exactly.
func TestBuildMatchesRaster(t *testing.T) {
	star := func(c draw.Point, r float64) []draw.Point {
		var pts []draw.Point
		for i := range 10 {
			a := float64(i) * math.Pi / 5
			k := r
			if i%2 == 1 {
				k = r * 0.45
			}
			pts = append(pts, draw.Point{X: c.X + k*math.Sin(a), Y: c.Y - k*math.Cos(a)})
		}
		return pts
	}
	pt := func(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }
	cases := []struct {
		name string
		list *draw.List
		mean float64 // allowed mean difference, in levels of 255
	}{
		{"boxes", scene(func(l *draw.List) {
			l.Rect(draw.Rect{X: 10, Y: 10, W: 60, H: 40}, 0, red, draw.Stroke{})
			l.Rect(draw.Rect{X: 90, Y: 10, W: 60, H: 40}, 8, red, draw.Pen(ink, 2))
		}), 1.2},
		{"rings", scene(func(l *draw.List) {
			l.Circle(pt(60, 60), 40, red, draw.Pen(ink, 3))
			l.Arc(pt(140, 60), 30, 20, 250, draw.RoundPen(ink, 6))
		}), 0.5},
		{"lines", scene(func(l *draw.List) {
			l.Polyline([]draw.Point{pt(10, 10), pt(80, 30), pt(40, 120), pt(190, 100)}, draw.Pen(ink, 5))
			l.Polyline([]draw.Point{pt(100, 10), pt(180, 20), pt(110, 40)}, draw.RoundPen(red, 9))
			l.Line(pt(10, 135), pt(190, 130), draw.Pen(ink, 0.6))
		}), 0.6},
		{"dashes", scene(func(l *draw.List) {
			l.Line(pt(10, 20), pt(190, 90), draw.Pen(ink, 4).Dashed(12, 7))
			l.Circle(pt(100, 90), 36, draw.Colour{}, draw.RoundPen(red, 3).Dashed(9, 8))
		}), 0.6},
		{"star", scene(func(l *draw.List) { l.Polygon(star(pt(100, 70), 60), red, draw.Stroke{}) }), 0.3},
		{"words", scene(func(l *draw.List) {
			l.Text(pt(10, 40), "12.34 V across X1.3", draw.TextStyle{Size: 18, Face: draw.Bold, Colour: ink})
			l.Text(pt(190, 90), "left work lamp", draw.TextStyle{Size: 14, Colour: ink, Align: draw.End})
		}), 3},
		{"clip and zoom", scene(func(l *draw.List) {
			l.PushClip(draw.Rect{X: 20, Y: 20, W: 100, H: 80})
			l.PushTransform(2.5, pt(-40, -30))
			l.Circle(pt(40, 40), 20, red, draw.Pen(ink, 2))
			l.PopTransform()
			l.PopClip()
		}), 0.6},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			require.NoError(t, c.list.Err())
			for _, scale := range []float64{1, 1.5, 2} {
				w, h := int(200*scale), int(140*scale)
				b := mesh.NewBuilder()
				got := paint(b.Build(c.list, w, h, scale), b.Atlas.Pix, w, h)
				want := draw.Raster(c.list, w, h, scale)
				var sum float64
				for i := range got.Pix {
					sum += math.Abs(float64(got.Pix[i]) - float64(want.Pix[i]))
				}
				mean := sum / float64(len(got.Pix))
				if dir := os.Getenv("MESH_PICTURES"); dir != "" {
					save(t, dir+"/"+c.name+"-got.png", got)
					save(t, dir+"/"+c.name+"-want.png", want)
				}
				assert.Less(t, mean, c.mean, "scale %v: mean difference to exact coverage, in levels of 255", scale)
			}
		})
	}
}

func save(t *testing.T, name string, img image.Image) {
	t.Helper()
	f, err := os.Create(name)
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, png.Encode(f, img))
}

// TestCrisp wants upright edges on whole pixels at every scale: no blended pixel around a box or along a wire.
func TestCrisp(t *testing.T) {
	var l draw.List
	white := color.RGBA{255, 255, 255, 255}
	l.Rect(draw.Rect{X: 0, Y: 0, W: 100, H: 100}, 0, draw.RGB(0xffffff), draw.Stroke{})
	l.Rect(draw.Rect{X: 10.3, Y: 10.7, W: 30.2, H: 20.4}, 0, draw.RGB(0), draw.Stroke{})
	l.Polyline([]draw.Point{{X: 50.4, Y: 10}, {X: 50.4, Y: 90}}, draw.Pen(draw.RGB(0), 2.1))
	for _, scale := range []float64{1, 1.25, 1.5, 2} {
		n := int(100 * scale)
		b := mesh.NewBuilder()
		img := paint(b.Build(&l, n, n, scale), b.Atlas.Pix, n, n)
		y := int(20 * scale)
		for x := range n {
			c := img.RGBAAt(x, y)
			assert.True(t, c == white || c == color.RGBA{0, 0, 0, 255}, "scale %v: pixel %d,%d is %v, want pure black or white", scale, x, y, c)
		}
	}
}

// TestFullAtlas fills the atlas with large letters until it starts anew, and still gets a picture.
func TestFullAtlas(t *testing.T) {
	b := mesh.NewBuilder()
	first := b.Atlas.Generation
	for size := 100.0; size < 160; size++ {
		var l draw.List
		for i, s := range []string{"ABCDEFGHIJKLMN", "OPQRSTUVWXYZ", "abcdefghijklm", "nopqrstuvwxyz"} {
			l.Text(draw.Point{X: 0, Y: float64(i+1) * 150}, s, draw.TextStyle{Size: size, Colour: ink})
		}
		batches := b.Build(&l, 2000, 700, 1)
		require.NotEmpty(t, batches, "size %v", size)
		assert.Greater(t, len(batches[0].Vertices), 4*40, "size %v: every letter is there", size)
	}
	assert.Greater(t, b.Atlas.Generation, first, "the atlas started anew")
}

// TestManyVertices wants batches that 16-bit indices can count.
func TestManyVertices(t *testing.T) {
	var l draw.List
	for i := range 9000 {
		l.Circle(draw.Point{X: float64(i % 100), Y: float64(i / 100)}, 3, red, draw.Pen(ink, 1))
	}
	b := mesh.NewBuilder()
	batches := b.Build(&l, 100, 100, 1)
	assert.Greater(t, len(batches), 1, "more than one batch")
	for i, x := range batches {
		assert.LessOrEqual(t, len(x.Vertices), mesh.MaxVertices, "batch %d", i)
		for _, j := range x.Indices {
			require.Less(t, int(j), len(x.Vertices), "batch %d: index inside", i)
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	l := scene(func(l *draw.List) {
		for i := range 400 {
			x, y := float64(i%20)*10, float64(i/20)*7
			l.Rect(draw.Rect{X: x, Y: y, W: 8, H: 6}, 2, red, draw.Pen(ink, 1))
			l.Text(draw.Point{X: x, Y: y + 6}, "31b RD/WH", draw.TextStyle{Size: 6, Colour: ink})
		}
	})
	m := mesh.NewBuilder()
	b.ReportAllocs()
	for b.Loop() {
		m.Build(l, 400, 280, 2)
	}
}
