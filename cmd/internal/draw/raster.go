package draw

import (
	"image"
	stddraw "image/draw"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// maxRaster bounds the sides of a rastered picture in pixels: 64 Mpx is more
// than any page needs and keeps a wrong size from eating the memory.
const maxRaster = 8192

// Raster paints l in plain software and returns a picture of w by h pixels
// (each clamped to 0..8192) in which one sheet unit is scale pixels. What l
// leaves bare is transparent. It needs no GPU and no window, so tests and
// documents can have pictures; it is not fast. A scale that is not above 0
// paints nothing.
func Raster(l *List, w, h int, scale float64) *image.RGBA {
	w, h = min(max(w, 0), maxRaster), min(max(h, 0), maxRaster)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	if !(scale > 0) || !finite(scale) || w == 0 || h == 0 {
		return img
	}
	p := painter{img: img, view: view{scale: scale, clip: img.Rect}, z: vector.NewRasterizer(w, h)}
	for _, o := range l.Ops() {
		p.op(o)
	}
	return img
}

// view is where and how large things land on the picture.
type view struct {
	scale  float64
	offset Point
	clip   image.Rectangle
}

func (v view) at(p Point) Point {
	return Point{float64(p.X*v.scale) + v.offset.X, float64(p.Y*v.scale) + v.offset.Y}
}

type painter struct {
	img     *image.RGBA
	view    view
	stack   []view
	z       *vector.Rasterizer
	shape   Path
	outline Path
	glyphs  [faceCount]map[rune]glyph
}

type glyph struct {
	segs    []Seg // in font units, Y down, origin on the baseline
	advance float64
}

func (p *painter) op(o Op) {
	switch o := o.(type) {
	case *PushClipOp:
		p.stack = append(p.stack, p.view)
		a, b := p.view.at(o.Rect.Min()), p.view.at(o.Rect.Max())
		p.view.clip = p.view.clip.Intersect(image.Rect(pixel(a.X), pixel(a.Y), pixel(b.X), pixel(b.Y)))
	case *PushTransformOp:
		p.stack = append(p.stack, p.view)
		p.view.offset = p.view.at(o.Offset)
		p.view.scale *= o.Scale
	case PopClipOp, PopTransformOp:
		p.view = p.stack[len(p.stack)-1]
		p.stack = p.stack[:len(p.stack)-1]
	case *TextOp:
		p.text(o)
	default:
		p.shape.Reset()
		fill, stroke, ok := AppendShape(&p.shape, o)
		if !ok {
			return
		}
		if fill.A > 0 {
			p.fill(p.shape, fill)
		}
		if stroke.Visible() {
			p.outline.Reset()
			AppendStroke(&p.outline, p.shape, stroke, FlatTolerance/p.view.scale)
			p.fill(p.outline, stroke.Colour)
		}
	}
}

// pixel rounds a device coordinate, held within what an int and the
// rasteriser's arithmetic can bear.
func pixel(v float64) int { return int(math.Round(bounded(v))) }

func bounded(v float64) float64 {
	if v != v { // deeply nested scales can overflow to a difference of infinities
		return 0
	}
	return min(max(v, -1e6), 1e6)
}

func (p *painter) fill(path Path, c Colour) {
	var b boundsOf
	for _, s := range path.Segs {
		// Points that the verb does not use are the origin and only widen the
		// box, so add just the used ones.
		switch s.Verb {
		case CubicTo:
			b.add(p.view.at(s.C))
			fallthrough
		case QuadTo:
			b.add(p.view.at(s.B))
			fallthrough
		case MoveTo, LineTo:
			b.add(p.view.at(s.A))
		case Close:
		}
	}
	box := image.Rect(int(math.Floor(bounded(b.x0))), int(math.Floor(bounded(b.y0))),
		int(math.Ceil(bounded(b.x1)))+1, int(math.Ceil(bounded(b.y1)))+1).Intersect(p.view.clip)
	if box.Empty() {
		return
	}
	p.z.Reset(box.Dx(), box.Dy())
	p.z.DrawOp = stddraw.Over
	pt := func(q Point) (float32, float32) {
		q = p.view.at(q)
		return float32(bounded(q.X) - float64(box.Min.X)), float32(bounded(q.Y) - float64(box.Min.Y))
	}
	open := false
	for _, s := range path.Segs {
		ax, ay := pt(s.A)
		switch s.Verb {
		case MoveTo:
			if open {
				p.z.ClosePath()
			}
			p.z.MoveTo(ax, ay)
			open = true
		case LineTo:
			p.z.LineTo(ax, ay)
		case QuadTo:
			bx, by := pt(s.B)
			p.z.QuadTo(ax, ay, bx, by)
		case CubicTo:
			bx, by := pt(s.B)
			cx, cy := pt(s.C)
			p.z.CubeTo(ax, ay, bx, by, cx, cy)
		case Close:
			p.z.ClosePath()
		}
	}
	if open {
		p.z.ClosePath()
	}
	p.z.Draw(p.img, box, image.NewUniform(c), image.Point{})
}

func (p *painter) text(o *TextOp) {
	face := o.Style.Face
	if face >= faceCount {
		face = Regular
	}
	m := metricsOf(face)
	k := o.Style.Size / m.upem
	x := alignedX(o.At.X, Measure(o.Text, face, o.Style.Size), o.Style.Align)
	p.shape.Reset()
	for _, r := range o.Text {
		g := p.glyph(m, face, printable(r))
		at := func(q Point) Point { return Point{x + float64(q.X*k), o.At.Y + float64(q.Y*k)} }
		for _, s := range g.segs {
			p.shape.Segs = append(p.shape.Segs, Seg{s.Verb, at(s.A), at(s.B), at(s.C)})
		}
		x += float64(g.advance * k)
	}
	if len(p.shape.Segs) > 0 && o.Style.Colour.A > 0 {
		p.fill(p.shape, o.Style.Colour)
	}
}

func (p *painter) glyph(m *metrics, face Face, r rune) glyph {
	if g, ok := p.glyphs[face][r]; ok {
		return g
	}
	g := loadGlyph(m, r)
	if p.glyphs[face] == nil {
		p.glyphs[face] = map[rune]glyph{}
	}
	p.glyphs[face][r] = g
	return g
}

func loadGlyph(m *metrics, r rune) glyph {
	adv, _ := m.units(r)
	g := glyph{advance: adv}
	var b sfnt.Buffer
	idx, err := m.font.GlyphIndex(&b, r)
	if err != nil {
		return g
	}
	segs, err := m.font.LoadGlyph(&b, idx, fixed.I(int(m.upem)), nil)
	if err != nil {
		return g
	}
	pt := func(q fixed.Point26_6) Point { return Point{float64(q.X) / 64, float64(q.Y) / 64} }
	var path Path
	for i, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				path.Close()
			}
			path.MoveTo(pt(s.Args[0]))
		case sfnt.SegmentOpLineTo:
			path.LineTo(pt(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			path.QuadTo(pt(s.Args[0]), pt(s.Args[1]))
		case sfnt.SegmentOpCubeTo:
			path.CubicTo(pt(s.Args[0]), pt(s.Args[1]), pt(s.Args[2]))
		}
	}
	path.Close()
	g.segs = path.Segs
	return g
}
