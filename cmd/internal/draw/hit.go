package draw

import "math"

// Region is where one group of a List was drawn.
type Region struct {
	ID, Label string
	Bounds    Rect // of what is visible of it, in the list's outer units; empty if nothing is
	Depth     int  // how many groups it stands in
}

// Regions returns every group of l in the order in which they begin, with
// transforms applied and cut by the clips: what a keyboard walks through and
// what an accessible description lists.
func Regions(l *List) []Region {
	var out []Region
	var open []int
	w := walker{view: hitView{scale: 1, clip: everywhere()}}
	for _, o := range l.Ops() {
		switch o := o.(type) {
		case *BeginGroupOp:
			out = append(out, Region{ID: o.ID, Label: o.Label, Depth: len(open)})
			open = append(open, len(out)-1)
			continue
		case EndGroupOp:
			open = open[:len(open)-1]
			continue
		}
		if w.step(o) || len(open) == 0 {
			continue
		}
		b, ok := opBounds(o)
		if !ok {
			continue
		}
		v := w.view
		b = Rect{v.offset.X + b.X*v.scale, v.offset.Y + b.Y*v.scale, b.W * v.scale, b.H * v.scale}.Intersect(v.clip)
		for _, g := range open {
			out[g].Bounds = out[g].Bounds.Union(b)
		}
	}
	return out
}

// Bounds returns the box of everything visible in l, in its outer units.
func Bounds(l *List) Rect {
	var all Rect
	w := walker{view: hitView{scale: 1, clip: everywhere()}}
	for _, o := range l.Ops() {
		if w.step(o) {
			continue
		}
		if b, ok := opBounds(o); ok {
			v := w.view
			all = all.Union(Rect{v.offset.X + b.X*v.scale, v.offset.Y + b.Y*v.scale, b.W * v.scale, b.H * v.scale}.Intersect(v.clip))
		}
	}
	return all
}

// Hit returns the ids of the groups at the point at, innermost first, or nil.
// The topmost thing under the point wins; but a thing inside the same group
// that was drawn over it and is within slop units wins over it, so that a thin
// wire on a panel can be caught with a finger. With nothing exactly under the
// point, the nearest thing within slop is taken. Groups with an empty id and
// what stands in no group cannot be hit.
func Hit(l *List, at Point, slop float64) []string {
	type found struct {
		chain []string // outermost first
		dist  float64
		order int
	}
	var exact, near found
	near.dist = math.Inf(1)
	var exactAt = -1
	var nears []found
	var chain []string
	w := walker{view: hitView{scale: 1, clip: everywhere()}}
	for i, o := range l.Ops() {
		switch o := o.(type) {
		case *BeginGroupOp:
			chain = append(chain, o.ID)
			continue
		case EndGroupOp:
			chain = chain[:len(chain)-1]
			continue
		}
		if w.step(o) || len(chain) == 0 || !w.view.clip.Contains(at) {
			continue
		}
		v := w.view
		local := at.Sub(v.offset).Mul(1 / v.scale)
		if b, reach := roughBounds(o); rectDistance(b, local) > reach+max(slop, 0)/v.scale {
			continue
		}
		d, ok := opDistance(o, local, v.scale)
		if d *= v.scale; !ok || d > slop && d > 0 {
			continue
		}
		f := found{append([]string(nil), chain...), d, i}
		if d == 0 {
			exact, exactAt = f, i
			continue
		}
		nears = append(nears, f)
	}
	for _, f := range nears {
		if exactAt >= 0 && (f.order < exactAt || !within(f.chain, exact.chain)) {
			continue
		}
		if f.dist <= near.dist {
			near = f
		}
	}
	best := exact
	if near.chain != nil {
		best = near
	}
	var ids []string
	for i := len(best.chain) - 1; i >= 0; i-- {
		if best.chain[i] != "" {
			ids = append(ids, best.chain[i])
		}
	}
	return ids
}

// within reports whether chain lies in the group at the end of outer, or
// deeper: strictly deeper, so that siblings do not steal from each other.
func within(chain, outer []string) bool {
	if len(chain) <= len(outer) {
		return false
	}
	for i, id := range outer {
		if chain[i] != id {
			return false
		}
	}
	return true
}

func everywhere() Rect { return Rect{-1e9, -1e9, 2e9, 2e9} }

type hitView struct {
	scale  float64
	offset Point
	clip   Rect
}

type walker struct {
	view  hitView
	stack []hitView
}

// step follows clips and transforms; it reports whether o was one of them.
func (w *walker) step(o Op) bool {
	switch o := o.(type) {
	case *PushClipOp:
		w.stack = append(w.stack, w.view)
		v := w.view
		r := Rect{v.offset.X + o.Rect.X*v.scale, v.offset.Y + o.Rect.Y*v.scale, o.Rect.W * v.scale, o.Rect.H * v.scale}
		w.view.clip = v.clip.Intersect(r)
	case *PushTransformOp:
		w.stack = append(w.stack, w.view)
		w.view.offset = w.view.offset.Add(o.Offset.Mul(w.view.scale))
		w.view.scale *= o.Scale
	case PopClipOp, PopTransformOp:
		w.view = w.stack[len(w.stack)-1]
		w.stack = w.stack[:len(w.stack)-1]
	default:
		return false
	}
	return true
}

func opBounds(o Op) (Rect, bool) {
	switch o := o.(type) {
	case *TextOp:
		return TextBounds(o.At, o.Text, o.Style), true
	case *HitAreaOp:
		return o.Rect, true
	}
	var p Path
	_, s, ok := AppendShape(&p, o)
	if !ok {
		return Rect{}, false
	}
	b := p.Bounds()
	if s.Visible() {
		// Round joins and caps reach half a width; a mitre reaches further, but
		// no box is measured to the tip of a mitre.
		b = Rect{b.X - s.Width/2, b.Y - s.Width/2, b.W + s.Width, b.H + s.Width}
	}
	return b, true
}

// roughBounds returns a box around the outline of o and how far o paints beyond
// it: cheap, and never too small.
func roughBounds(o Op) (box Rect, reach float64) {
	var b boundsOf
	switch o := o.(type) {
	case *RectOp:
		return o.Rect, o.Stroke.Width / 2
	case *CircleOp:
		return RectAround(o.Center, 2*o.Radius, 2*o.Radius), o.Stroke.Width / 2
	case *ArcOp:
		return RectAround(o.Center, 2*o.Radius, 2*o.Radius), o.Stroke.Width / 2
	case *PolylineOp:
		for _, p := range o.Points {
			b.add(p)
		}
		return b.rect(), o.Stroke.Width / 2
	case *PolygonOp:
		for _, p := range o.Points {
			b.add(p)
		}
		return b.rect(), o.Stroke.Width / 2
	case *PathOp:
		return o.Path.Bounds(), o.Stroke.Width / 2
	case *HitAreaOp:
		return o.Rect, 0
	}
	return everywhere(), 0
}

// opDistance returns how far p is from what o paints, 0 inside it.
func opDistance(o Op, p Point, zoom float64) (float64, bool) {
	switch o := o.(type) {
	case *TextOp:
		return rectDistance(TextBounds(o.At, o.Text, o.Style), p), true
	case *HitAreaOp:
		return rectDistance(o.Rect, p), true
	}
	var path Path
	fill, s, ok := AppendShape(&path, o)
	if !ok || fill.A == 0 && !s.Visible() {
		return 0, false
	}
	half := 0.0
	if s.Visible() {
		half = s.Width / 2
	}
	best, winding := math.Inf(1), 0
	for _, c := range flatten(path, FlatTolerance/zoom) {
		n := len(c.pts)
		if n == 1 {
			best = min(best, p.Dist(c.pts[0]))
		}
		for i := range n {
			a, b := c.pts[i], c.pts[(i+1)%n]
			if i+1 < n || c.closed {
				best = min(best, segmentDistance(p, a, b))
			}
			winding += crossing(p, a, b)
		}
	}
	if fill.A > 0 && winding != 0 {
		return 0, true
	}
	return max(best-half, 0), true
}

func rectDistance(r Rect, p Point) float64 {
	dx := max(r.X-p.X, p.X-r.MaxX(), 0)
	dy := max(r.Y-p.Y, p.Y-r.MaxY(), 0)
	return math.Hypot(dx, dy)
}

func segmentDistance(p, a, b Point) float64 {
	d := b.Sub(a)
	l2 := float64(d.X*d.X) + float64(d.Y*d.Y)
	if l2 == 0 {
		return p.Dist(a)
	}
	e := p.Sub(a)
	t := (float64(e.X*d.X) + float64(e.Y*d.Y)) / l2
	return p.Dist(a.Lerp(b, min(max(t, 0), 1)))
}

// crossing counts the edge a→b for the winding number of p.
func crossing(p, a, b Point) int {
	side := float64((b.X-a.X)*(p.Y-a.Y)) - float64((p.X-a.X)*(b.Y-a.Y))
	switch {
	case a.Y <= p.Y && b.Y > p.Y && side > 0:
		return 1
	case a.Y > p.Y && b.Y <= p.Y && side < 0:
		return -1
	}
	return 0
}
