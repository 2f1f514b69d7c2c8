package draw

import "math"

// Verb says what one segment of a Path does.
type Verb uint8

// The verbs of a Path segment and the points of Seg each one uses.
const (
	MoveTo  Verb = iota // start a contour at A
	LineTo              // straight to A
	QuadTo              // quadratic curve with control A to B
	CubicTo             // cubic curve with controls A and B to C
	Close               // straight back to the start of the contour
)

// Seg is one segment of a Path. Which of A, B, C count depends on Verb.
type Seg struct {
	Verb    Verb
	A, B, C Point
}

// Path is a set of contours built of straight lines and curves. Fills use the
// non-zero winding rule. The zero Path is empty and ready for use.
type Path struct{ Segs []Seg }

// Reset empties p and keeps its capacity.
func (p *Path) Reset() { p.Segs = p.Segs[:0] }

// MoveTo starts a new contour at a.
func (p *Path) MoveTo(a Point) { p.Segs = append(p.Segs, Seg{Verb: MoveTo, A: a}) }

// LineTo adds a straight line to a. On an empty path it starts a contour.
func (p *Path) LineTo(a Point) {
	if len(p.Segs) == 0 {
		p.MoveTo(a)
		return
	}
	p.Segs = append(p.Segs, Seg{Verb: LineTo, A: a})
}

// QuadTo adds a quadratic curve to end with one control point.
func (p *Path) QuadTo(control, end Point) {
	if len(p.Segs) == 0 {
		p.MoveTo(control)
	}
	p.Segs = append(p.Segs, Seg{Verb: QuadTo, A: control, B: end})
}

// CubicTo adds a cubic curve to end with two control points.
func (p *Path) CubicTo(c1, c2, end Point) {
	if len(p.Segs) == 0 {
		p.MoveTo(c1)
	}
	p.Segs = append(p.Segs, Seg{Verb: CubicTo, A: c1, B: c2, C: end})
}

// Close ends the contour with a straight line back to its start.
func (p *Path) Close() {
	if n := len(p.Segs); n > 0 && p.Segs[n-1].Verb != Close {
		p.Segs = append(p.Segs, Seg{Verb: Close})
	}
}

// Arc adds a circular arc about c with radius r, from start degrees through
// sweep degrees (both clockwise on the screen), as cubic curves. It is joined
// to the current contour by a straight line, or starts one on an empty path.
func (p *Path) Arc(c Point, r, start, sweep float64) {
	sweep = min(max(sweep, -360), 360)
	p.LineTo(onCircle(c, r, start))
	p.arcTail(c, r, start, sweep)
}

// MoveArc is Arc that begins a contour of its own.
func (p *Path) MoveArc(c Point, r, start, sweep float64) {
	sweep = min(max(sweep, -360), 360)
	p.MoveTo(onCircle(c, r, start))
	p.arcTail(c, r, start, sweep)
}

func (p *Path) arcTail(c Point, r, start, sweep float64) {
	if sweep == 0 || !finite(sweep) || !finite(start) {
		return
	}
	// A quarter circle by one cubic errs by 2.7e-4 of the radius: the usual
	// control length (4/3)·tan(angle/4).
	n := int(math.Ceil(math.Abs(sweep)/90 - 1e-9))
	step := sweep / float64(n)
	k := r * 4 / 3 * math.Tan(step*math.Pi/180/4)
	for i := range n {
		a0 := start + float64(float64(i)*step)
		a1 := a0 + step
		p0, p1 := onCircle(c, r, a0), onCircle(c, r, a1)
		t0, t1 := unit(a0+90), unit(a1+90)
		p.CubicTo(p0.Add(t0.Mul(k)), p1.Sub(t1.Mul(k)), p1)
	}
}

// Rect adds a closed rectangle with corners of the given radius, clockwise.
func (p *Path) Rect(r Rect, radius float64) {
	radius = min(max(radius, 0), r.W/2, r.H/2)
	if !(radius > 0) {
		p.MoveTo(r.Min())
		p.LineTo(Point{r.MaxX(), r.Y})
		p.LineTo(r.Max())
		p.LineTo(Point{r.X, r.MaxY()})
		p.Close()
		return
	}
	p.MoveArc(Point{r.X + radius, r.Y + radius}, radius, 180, 90)
	p.Arc(Point{r.MaxX() - radius, r.Y + radius}, radius, 270, 90)
	p.Arc(Point{r.MaxX() - radius, r.MaxY() - radius}, radius, 0, 90)
	p.Arc(Point{r.X + radius, r.MaxY() - radius}, radius, 90, 90)
	p.Close()
}

// Rounded adds the open polyline pts with every corner replaced by a quadratic
// curve that starts radius before the corner, or half a leg where that is less.
func (p *Path) Rounded(pts []Point, radius float64) {
	if len(pts) == 0 {
		return
	}
	p.MoveTo(pts[0])
	for i := 1; i+1 < len(pts); i++ {
		a, b, c := pts[i-1], pts[i], pts[i+1]
		in, out := a.Dist(b), b.Dist(c)
		d := min(radius, in/2, out/2)
		if !(d > 0) {
			p.LineTo(b)
			continue
		}
		p.LineTo(b.Lerp(a, d/in))
		p.QuadTo(b, b.Lerp(c, d/out))
	}
	p.LineTo(pts[len(pts)-1])
}

// Bounds returns the smallest Rect around all points of p, control points
// included. It is the zero Rect for an empty path.
func (p Path) Bounds() Rect {
	var b boundsOf
	for _, s := range p.Segs {
		switch s.Verb {
		case MoveTo, LineTo:
			b.add(s.A)
		case QuadTo:
			b.add(s.A)
			b.add(s.B)
		case CubicTo:
			b.add(s.A)
			b.add(s.B)
			b.add(s.C)
		case Close:
		}
	}
	return b.rect()
}

func (p Path) finite() bool {
	for _, s := range p.Segs {
		if !s.A.finite() || !s.B.finite() || !s.C.finite() {
			return false
		}
	}
	return true
}

func (p Path) mapped(f func(Point) Point) Path {
	out := Path{Segs: make([]Seg, len(p.Segs))}
	for i, s := range p.Segs {
		out.Segs[i] = Seg{s.Verb, f(s.A), f(s.B), f(s.C)}
	}
	return out
}

type boundsOf struct {
	x0, y0, x1, y1 float64
	any            bool
}

func (b *boundsOf) add(p Point) {
	if !b.any {
		*b = boundsOf{p.X, p.Y, p.X, p.Y, true}
		return
	}
	b.x0, b.y0 = min(b.x0, p.X), min(b.y0, p.Y)
	b.x1, b.y1 = max(b.x1, p.X), max(b.y1, p.Y)
}

func (b *boundsOf) rect() Rect { return Rect{b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0} }

// unit returns the direction of deg degrees, exact at quarter turns so that
// upright shapes get upright coordinates.
func unit(deg float64) Point {
	switch math.Mod(math.Mod(deg, 360)+360, 360) {
	case 0:
		return Point{1, 0}
	case 90:
		return Point{0, 1}
	case 180:
		return Point{-1, 0}
	case 270:
		return Point{0, -1}
	}
	s, c := math.Sincos(deg * math.Pi / 180)
	return Point{c, s}
}

func onCircle(c Point, r, deg float64) Point { return c.Add(unit(deg).Mul(r)) }
