package mesh

import (
	"encoding/binary"
	"hash/fnv"
	"image"
	"math"

	shapes "faultloom/cmd/internal/draw"
)

// Builder turns display lists into batches, reusing its memory. It is not safe for concurrent use.
type Builder struct {
	Atlas *Atlas

	batches []Batch
	n       int // batches in use
	view    view
	stack   []view
	path    shapes.Path
	full    bool // the atlas filled up on the way
	bins    int  // places within a pixel at which glyphs may stand
}

// view is where and how large things land on the picture.
type view struct {
	scale  float64
	offset shapes.Point
	clip   image.Rectangle
}

func (v view) at(p shapes.Point) shapes.Point {
	return shapes.Point{X: float64(p.X*v.scale) + v.offset.X, Y: float64(p.Y*v.scale) + v.offset.Y}
}

// NewBuilder returns a builder over a new atlas.
func NewBuilder() *Builder { return &Builder{Atlas: NewAtlas()} }

// Build returns what paints l on a picture of w by h pixels, one unit of the list being scale pixels. The batches belong
// to the builder and hold until the next Build; so do the places in the atlas, unless its Generation changes: then what
// was built before has to be built again.
func (b *Builder) Build(l *shapes.List, w, h int, scale float64) []Batch {
	// A full atlas starts anew once; if this one list fills it, glyphs share a place in the pixel; what still does not
	// fit then is left out rather than painted wrong.
	b.bins = 4
	for try := range 3 {
		b.full = false
		b.build(l, w, h, scale)
		if !b.full {
			break
		}
		if try == 1 {
			b.bins = 1
		}
		if try < 2 {
			b.Atlas.reset()
		}
	}
	return b.batches[:b.n]
}

func (b *Builder) build(l *shapes.List, w, h int, scale float64) {
	b.n, b.stack = 0, b.stack[:0]
	if !(scale > 0) || w <= 0 || h <= 0 {
		return
	}
	b.view = view{scale: scale, clip: image.Rect(0, 0, w, h)}
	for _, o := range l.Ops() {
		switch o := o.(type) {
		case *shapes.PushClipOp:
			b.stack = append(b.stack, b.view)
			p, q := b.view.at(o.Rect.Min()), b.view.at(o.Rect.Max())
			b.view.clip = b.view.clip.Intersect(image.Rect(whole(p.X), whole(p.Y), whole(q.X), whole(q.Y)))
		case *shapes.PushTransformOp:
			b.stack = append(b.stack, b.view)
			b.view.offset = b.view.at(o.Offset)
			b.view.scale *= o.Scale
		case shapes.PopClipOp, shapes.PopTransformOp:
			if n := len(b.stack); n > 0 {
				b.view, b.stack = b.stack[n-1], b.stack[:n-1]
			}
		case *shapes.TextOp:
			if !b.view.clip.Empty() {
				b.text(o)
			}
		case *shapes.RectOp:
			if !b.view.clip.Empty() {
				b.rect(o)
			}
		default:
			if b.view.clip.Empty() {
				continue
			}
			b.path.Reset()
			if fill, stroke, ok := shapes.AppendShape(&b.path, o); ok {
				b.shape(o, fill, stroke)
			}
		}
	}
}

// shape paints what is in b.path.
func (b *Builder) shape(o shapes.Op, fill shapes.Colour, stroke shapes.Stroke) {
	w := stroke.Width * b.view.scale
	at := b.view.at
	if line, ok := o.(*shapes.PolylineOp); ok && upright(line.Points) {
		w, at = b.snap(w)
	}
	runs := flatten(b.path, at)
	if b.outside(runs, w) {
		return
	}
	if fill.A > 0 {
		b.fill(runs, colour(fill))
	}
	b.outline(runs, w, stroke)
}

func (b *Builder) outline(runs []run, w float64, stroke shapes.Stroke) {
	if !stroke.Visible() {
		return
	}
	c := colour(stroke.Colour)
	dash := stroke.Dash[:]
	if float64(dash[2]+dash[3]) <= 0 {
		dash = dash[:2]
	}
	if float64(dash[0]+dash[1]) <= 0 {
		dash = nil
	}
	for _, r := range runs {
		if dash == nil {
			b.stroke(r, w, stroke, c)
			continue
		}
		var lengths [4]float64
		for i, d := range dash {
			lengths[i] = d * b.view.scale
		}
		for _, d := range dashed(r, lengths[:len(dash)], stroke.DashOffset*b.view.scale) {
			b.stroke(d, w, stroke, c)
		}
	}
}

// rect paints a rectangle with its edges on whole pixels.
func (b *Builder) rect(o *shapes.RectOp) {
	p, q := b.view.at(o.Rect.Min()), b.view.at(o.Rect.Max())
	x0, y0, x1, y1 := math.Round(p.X), math.Round(p.Y), math.Round(q.X), math.Round(q.Y)
	if x1 <= x0 && o.Rect.W > 0 {
		x1 = x0 + 1
	}
	if y1 <= y0 && o.Rect.H > 0 {
		y1 = y0 + 1
	}
	radius := o.Radius * b.view.scale
	w := o.Stroke.Width * b.view.scale
	box := shapes.Rect{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
	if b.outside([]run{{pts: []shapes.Point{box.Min(), box.Max()}}}, w) {
		return
	}
	same := func(p shapes.Point) shapes.Point { return p }
	if o.Fill.A > 0 && !box.Empty() {
		if radius < fringe {
			c := colour(o.Fill)
			i := b.room(4)
			b.point(box.Min(), c)
			b.point(shapes.Point{X: x1, Y: y0}, c)
			b.point(box.Max(), c)
			b.point(shapes.Point{X: x0, Y: y1}, c)
			b.quad(i, i+1, i+2, i+3)
		} else {
			b.path.Reset()
			b.path.Rect(box, radius)
			b.fill(flatten(b.path, same), colour(o.Fill))
		}
	}
	if !o.Stroke.Visible() {
		return
	}
	if w > 1 {
		w = math.Round(w)
	}
	// A line of odd width has its middle in the middle of a pixel, inside the edge.
	if int(max(w, 1))%2 == 1 {
		box = box.Inset(0.5)
	}
	b.path.Reset()
	b.path.Rect(box, radius)
	b.outline(flatten(b.path, same), w, o.Stroke)
}

// snap returns a width in whole pixels and a mapping that puts the middle of an upright line of that width so that its
// edges fall between pixels.
func (b *Builder) snap(w float64) (float64, func(shapes.Point) shapes.Point) {
	if w > 1 {
		w = math.Round(w)
	}
	half := 0.0
	if int(max(w, 1))%2 == 1 {
		half = 0.5
	}
	return w, func(p shapes.Point) shapes.Point {
		q := b.view.at(p)
		return shapes.Point{X: math.Round(q.X-half) + half, Y: math.Round(q.Y-half) + half}
	}
}

func upright(pts []shapes.Point) bool {
	for i := 1; i < len(pts); i++ {
		if pts[i].X != pts[i-1].X && pts[i].Y != pts[i-1].Y {
			return false
		}
	}
	return true
}

// outside reports whether nothing of the runs, w pixels wide, can be seen.
func (b *Builder) outside(runs []run, w float64) bool {
	lo, hi := shapes.Point{X: math.Inf(1), Y: math.Inf(1)}, shapes.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range runs {
		for _, p := range r.pts {
			lo = shapes.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = shapes.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	w = w*shapes.MitreLimit/2 + 1
	c := b.view.clip
	return lo.X-w > float64(c.Max.X) || lo.Y-w > float64(c.Max.Y) || hi.X+w < float64(c.Min.X) || hi.Y+w < float64(c.Min.Y)
}

// fill paints the inside of closed runs.
func (b *Builder) fill(runs []run, c rgba) {
	if len(runs) == 1 {
		if turn := convex(runs[0].pts); turn != 0 {
			b.polygon(runs[0].pts, turn, c)
			return
		}
	}
	b.odd(runs, c)
}

// polygon paints a convex polygon; turn is 1 if it runs clockwise on the screen, −1 if not.
func (b *Builder) polygon(pts []shapes.Point, turn float64, c rgba) {
	n := len(pts)
	if n > 5000 {
		return
	}
	first := b.room(2 * n)
	for i, p := range pts {
		u, v := right(pts[(i+n-1)%n], p), right(p, pts[(i+1)%n])
		dot := float64(u.X*v.X) + float64(u.Y*v.Y)
		m := u.Add(v).Mul(-turn / max(1+dot, 0.2)) // outwards
		b.point(p.Sub(m.Mul(fringe)), c)
		b.point(p.Add(m.Mul(fringe)), c.times(0))
	}
	at := func(i int) uint16 { return first + uint16(2*(i%n)) } //nolint:gosec // bounded above
	for i := 1; i+1 < n; i++ {
		b.triangle(first, at(i), at(i+1))
	}
	for i := range n {
		b.quad(at(i), at(i)+1, at(i+1)+1, at(i+1))
	}
}

// convex returns 1 or −1 (the way it turns on the screen) if pts are the corners of a convex polygon, else 0.
func convex(pts []shapes.Point) float64 {
	n := len(pts)
	if n < 3 {
		return 0
	}
	var turn, sum float64
	for i := range n {
		a, b, c := pts[i], pts[(i+1)%n], pts[(i+2)%n]
		u, v := b.Sub(a), c.Sub(b)
		cross := float64(u.X*v.Y) - float64(u.Y*v.X)
		dot := float64(u.X*v.X) + float64(u.Y*v.Y)
		ang := math.Atan2(cross, dot)
		sum += ang
		if math.Abs(ang) < 1e-6 {
			continue
		}
		s := math.Copysign(1, ang)
		if turn != 0 && s != turn {
			return 0
		}
		turn = s
	}
	if math.Abs(math.Abs(sum)-2*math.Pi) > 1e-3 { // winds more than once
		return 0
	}
	return turn
}

// odd paints a shape that is not convex, from a mask in the atlas.
func (b *Builder) odd(runs []run, c rgba) {
	lo, hi := shapes.Point{X: math.Inf(1), Y: math.Inf(1)}, shapes.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range runs {
		for _, p := range r.pts {
			lo = shapes.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = shapes.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	if !(hi.X-lo.X > 0) || !(hi.Y-lo.Y > 0) {
		return
	}
	x0, y0 := math.Floor(lo.X), math.Floor(lo.Y)
	k := min(1, maxMask/(hi.X-x0+1), maxMask/(hi.Y-y0+1))
	w, h := int(math.Ceil((hi.X-x0)*k))+1, int(math.Ceil((hi.Y-y0)*k))+1
	sum := fnv.New64a()
	var word [16]byte
	local := make([]run, len(runs))
	for i, r := range runs {
		local[i].pts = make([]shapes.Point, len(r.pts))
		for j, p := range r.pts {
			// A sixteenth of a pixel is below what can be seen, and makes shapes that only moved share a mask.
			q := shapes.Point{X: math.Round((p.X-x0)*k*16) / 16, Y: math.Round((p.Y-y0)*k*16) / 16}
			local[i].pts[j] = q
			binary.LittleEndian.PutUint64(word[:8], math.Float64bits(q.X))
			binary.LittleEndian.PutUint64(word[8:], math.Float64bits(q.Y))
			sum.Write(word[:])
		}
		sum.Write([]byte{1})
	}
	s, ok := b.Atlas.mask(maskKey{hash: sum.Sum64(), w: w, h: h}, local)
	if !ok {
		b.full = true
		return
	}
	b.sprite(s, x0, y0, 1/k, c)
}

// maxMask bounds a side of a mask in pixels; larger shapes are stretched, with edges a little softer.
const maxMask = 1000

// sprite paints s with its corner at x, y, stretched by k.
func (b *Builder) sprite(s sprite, x, y, k float64, c rgba) {
	x, y = x+float64(s.dx), y+float64(s.dy)
	x1, y1 := x+float64(s.rect.Dx())*k, y+float64(s.rect.Dy())*k
	cl := b.view.clip
	if x >= float64(cl.Max.X) || y >= float64(cl.Max.Y) || x1 <= float64(cl.Min.X) || y1 <= float64(cl.Min.Y) {
		return
	}
	u0, v0, u1, v1 := float32(s.rect.Min.X), float32(s.rect.Min.Y), float32(s.rect.Max.X), float32(s.rect.Max.Y)
	i := b.room(4)
	b.corner(x, y, u0, v0, c)
	b.corner(x1, y, u1, v0, c)
	b.corner(x1, y1, u1, v1, c)
	b.corner(x, y1, u0, v1, c)
	b.quad(i, i+1, i+2, i+3)
}

// room makes sure that n more points fit in the present batch and returns the index of the next.
func (b *Builder) room(n int) uint16 {
	if b.n > 0 {
		if t := &b.batches[b.n-1]; t.Clip == b.view.clip && len(t.Vertices)+n <= MaxVertices {
			return uint16(len(t.Vertices)) //nolint:gosec // at most MaxVertices
		}
	}
	if b.n == len(b.batches) {
		b.batches = append(b.batches, Batch{})
	}
	t := &b.batches[b.n]
	t.Clip, t.Vertices, t.Indices = b.view.clip, t.Vertices[:0], t.Indices[:0]
	b.n++
	return 0
}

func (b *Builder) point(p shapes.Point, c rgba) { b.corner(p.X, p.Y, white, white, c) }

func (b *Builder) corner(x, y float64, u, v float32, c rgba) {
	t := &b.batches[b.n-1]
	t.Vertices = append(t.Vertices, Vertex{float32(x), float32(y), u, v, c.r, c.g, c.b, c.a})
}

func (b *Builder) triangle(i, j, k uint16) {
	t := &b.batches[b.n-1]
	t.Indices = append(t.Indices, i, j, k)
}

func (b *Builder) quad(i, j, k, l uint16) {
	t := &b.batches[b.n-1]
	t.Indices = append(t.Indices, i, j, k, i, k, l)
}

// rgba is a premultiplied colour, 0 to 1.
type rgba struct{ r, g, b, a float32 }

func (c rgba) times(k float64) rgba {
	f := float32(k)
	return rgba{c.r * f, c.g * f, c.b * f, c.a * f}
}

func colour(c shapes.Colour) rgba {
	a := float32(c.A) / 255
	return rgba{float32(c.R) / 255 * a, float32(c.G) / 255 * a, float32(c.B) / 255 * a, a}
}

func whole(v float64) int { return int(math.Round(v)) }
