package draw

import "math"

// Point is a place or an offset in sheet units; Y grows downwards.
type Point struct{ X, Y float64 }

// Add returns p moved by q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns the offset from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p with both coordinates multiplied by k.
func (p Point) Mul(k float64) Point { return Point{p.X * k, p.Y * k} }

// Dist returns the straight distance between p and q in sheet units.
func (p Point) Dist(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Lerp returns the point that is the share t (0 at p, 1 at q) of the way to q.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + float64((q.X-p.X)*t), p.Y + float64((q.Y-p.Y)*t)}
}

func (p Point) finite() bool { return finite(p.X) && finite(p.Y) }

// MaxCoordinate is the largest coordinate, length or size, in sheet units, that
// a List takes: some 2.6 km on screen, far beyond any sheet, and small enough
// that no sum or product of a picture leaves the range of numbers.
const MaxCoordinate = 1e7

// finite reports whether v is a number within ±MaxCoordinate.
func finite(v float64) bool { return v >= -MaxCoordinate && v <= MaxCoordinate }

// Rect is an upright rectangle: X, Y is its upper left corner, W and H its
// width and height. A Rect with W or H at or below zero is empty.
type Rect struct{ X, Y, W, H float64 }

// RectAround returns the rectangle of width w and height h whose middle is c.
func RectAround(c Point, w, h float64) Rect { return Rect{c.X - w/2, c.Y - h/2, w, h} }

// MaxX returns the right edge.
func (r Rect) MaxX() float64 { return r.X + r.W }

// MaxY returns the lower edge.
func (r Rect) MaxY() float64 { return r.Y + r.H }

// Min returns the upper left corner.
func (r Rect) Min() Point { return Point{r.X, r.Y} }

// Max returns the lower right corner.
func (r Rect) Max() Point { return Point{r.X + r.W, r.Y + r.H} }

// Size returns the width and height as a Point.
func (r Rect) Size() Point { return Point{r.W, r.H} }

// Empty reports whether r holds no point.
func (r Rect) Empty() bool { return !(r.W > 0 && r.H > 0) }

// Center returns the middle of r.
func (r Rect) Center() Point { return Point{r.X + r.W/2, r.Y + r.H/2} }

// Inset returns r with every edge moved inwards by d (outwards if d is
// negative). An inset larger than r collapses to an empty Rect at its middle.
func (r Rect) Inset(d float64) Rect { return r.InsetXY(d, d) }

// InsetXY returns r with its left and right edges moved inwards by dx and its
// upper and lower edges by dy.
func (r Rect) InsetXY(dx, dy float64) Rect {
	out := Rect{r.X + dx, r.Y + dy, r.W - 2*dx, r.H - 2*dy}
	if out.W < 0 {
		out.X, out.W = r.X+r.W/2, 0
	}
	if out.H < 0 {
		out.Y, out.H = r.Y+r.H/2, 0
	}
	return out
}

// Move returns r moved by d.
func (r Rect) Move(d Point) Rect { return Rect{r.X + d.X, r.Y + d.Y, r.W, r.H} }

// Contains reports whether p lies in r: the left and upper edges belong to r,
// the right and lower edges do not, so that rectangles side by side never
// both claim a point.
func (r Rect) Contains(p Point) bool {
	return p.X >= r.X && p.Y >= r.Y && p.X < r.X+r.W && p.Y < r.Y+r.H
}

// Intersect returns what r and s share; it is the zero Rect if that is nothing.
func (r Rect) Intersect(s Rect) Rect {
	x0, y0 := max(r.X, s.X), max(r.Y, s.Y)
	x1, y1 := min(r.MaxX(), s.MaxX()), min(r.MaxY(), s.MaxY())
	if x1 <= x0 || y1 <= y0 {
		return Rect{}
	}
	return Rect{x0, y0, x1 - x0, y1 - y0}
}

// Union returns the smallest Rect that holds both r and s. A rectangle with
// neither width nor height counts for nothing.
func (r Rect) Union(s Rect) Rect {
	if r.W <= 0 && r.H <= 0 {
		return s
	}
	if s.W <= 0 && s.H <= 0 {
		return r
	}
	x0, y0 := min(r.X, s.X), min(r.Y, s.Y)
	x1, y1 := max(r.MaxX(), s.MaxX()), max(r.MaxY(), s.MaxY())
	return Rect{x0, y0, x1 - x0, y1 - y0}
}

// CutLeft splits w off the left of r and returns it and what remains.
func (r Rect) CutLeft(w float64) (cut, rest Rect) {
	w = min(max(w, 0), r.W)
	return Rect{r.X, r.Y, w, r.H}, Rect{r.X + w, r.Y, r.W - w, r.H}
}

// CutTop splits h off the top of r and returns it and what remains.
func (r Rect) CutTop(h float64) (cut, rest Rect) {
	h = min(max(h, 0), r.H)
	return Rect{r.X, r.Y, r.W, h}, Rect{r.X, r.Y + h, r.W, r.H - h}
}

// CutRight splits w off the right of r and returns it and what remains.
func (r Rect) CutRight(w float64) (cut, rest Rect) {
	rest, cut = r.CutLeft(r.W - w)
	return cut, rest
}

// CutBottom splits h off the bottom of r and returns it and what remains.
func (r Rect) CutBottom(h float64) (cut, rest Rect) {
	rest, cut = r.CutTop(r.H - h)
	return cut, rest
}

func (r Rect) finite() bool { return finite(r.X) && finite(r.Y) && finite(r.W) && finite(r.H) }
