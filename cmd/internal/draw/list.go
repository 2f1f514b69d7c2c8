package draw

import (
	"errors"
	"fmt"
)

// List is a display list: operations in painting order, later over earlier.
// It is append-only; Reset empties it and keeps its memory, so that a list
// refilled every frame makes no garbage. The zero List is ready for use. A
// List is not safe for concurrent use while it is being appended to.
//
// Appending never panics. A mistake (a pop without its push, a coordinate beyond
// MaxCoordinate or not a number, a negative width) is left out of the list and reported by Err.
type List struct {
	ops   []Op
	nest  []nesting
	errs  []error
	rects arena[RectOp]
	lines arena[PolylineOp]
	polys arena[PolygonOp]
	circs arena[CircleOp]
	arcs  arena[ArcOp]
	paths arena[PathOp]
	texts arena[TextOp]
	clips arena[PushClipOp]
	xfms  arena[PushTransformOp]
	grps  arena[BeginGroupOp]
	hits  arena[HitAreaOp]
	pts   slab[Point]
	segs  slab[Seg]
}

// maxErrors bounds how many mistakes a List remembers: the first few tell all,
// and a broken caller in a loop must not eat the memory.
const maxErrors = 8

type nestKind uint8

const (
	nestClip nestKind = iota
	nestTransform
	nestGroup
)

func (k nestKind) String() string {
	return [...]string{"clip", "transform", "group"}[k]
}

type nesting struct {
	kind nestKind
	at   int    // index of the opening op
	id   string // group id
}

// Reset empties l and keeps its memory. Ops handed out before are overwritten
// by later appends.
func (l *List) Reset() {
	clear(l.ops)
	l.ops, l.nest, l.errs = l.ops[:0], l.nest[:0], nil
	l.rects.reset()
	l.lines.reset()
	l.polys.reset()
	l.circs.reset()
	l.arcs.reset()
	l.paths.reset()
	l.texts.reset()
	l.clips.reset()
	l.xfms.reset()
	l.grps.reset()
	l.hits.reset()
	l.pts.reset()
	l.segs.reset()
}

// Ops returns the operations in painting order. The slice and the operations
// belong to l and are valid until the next append or Reset; do not change them.
func (l *List) Ops() []Op { return l.ops }

// Len returns the number of operations.
func (l *List) Len() int { return len(l.ops) }

// Err returns the mistakes made while appending, joined, and among them every
// clip, transform or group that is still open. It is nil for a sound list.
func (l *List) Err() error {
	errs := append([]error(nil), l.errs...)
	for i := len(l.nest) - 1; i >= 0; i-- {
		n := l.nest[i]
		if n.kind == nestGroup {
			errs = append(errs, fmt.Errorf("op %d: group %q is not closed (want EndGroup before the end)", n.at, n.id))
			continue
		}
		errs = append(errs, fmt.Errorf("op %d: %s is not popped (want its pop before the end)", n.at, n.kind))
	}
	return errors.Join(errs...)
}

func (l *List) fail(format string, args ...any) {
	if len(l.errs) < maxErrors {
		l.errs = append(l.errs, fmt.Errorf("op %d: "+format, append([]any{len(l.ops)}, args...)...))
	}
}

func (l *List) strokeOK(what string, s Stroke) bool {
	ok := finite(s.Width) && s.Width >= 0 && finite(s.DashOffset)
	for _, d := range s.Dash {
		ok = ok && finite(d) && d >= 0
	}
	if !ok {
		l.fail("%s: stroke width, dashes and offset must be finite and not negative (got width %v, dash %v)", what, s.Width, s.Dash)
	}
	return ok
}

// Rect appends a rectangle with rounded corners (radius 0 for sharp ones). A
// fill with alpha 0 paints no inside; a stroke of width 0 paints no outline.
// The stroke lies half inside and half outside the edge.
func (l *List) Rect(r Rect, radius float64, fill Colour, stroke Stroke) {
	if !r.finite() || !finite(radius) || r.W < 0 || r.H < 0 {
		l.fail("rect: coordinates must be finite and sizes not negative (got %v, radius %v)", r, radius)
		return
	}
	if !l.strokeOK("rect", stroke) {
		return
	}
	radius = min(max(radius, 0), r.W/2, r.H/2)
	l.ops = append(l.ops, l.rects.put(RectOp{r, radius, fill, stroke}))
}

// Line appends a straight line from a to b.
func (l *List) Line(a, b Point, stroke Stroke) {
	l.Polyline([]Point{a, b}, stroke)
}

// Polyline appends an open line through pts; the points are copied. Fewer than
// two points append nothing.
func (l *List) Polyline(pts []Point, stroke Stroke) {
	if !l.pointsOK("polyline", pts) || !l.strokeOK("polyline", stroke) || len(pts) < 2 {
		return
	}
	l.ops = append(l.ops, l.lines.put(PolylineOp{l.pts.copy(pts), stroke}))
}

// Polygon appends a closed shape through pts (copied), filled by the non-zero
// winding rule. Fewer than three points append nothing.
func (l *List) Polygon(pts []Point, fill Colour, stroke Stroke) {
	if !l.pointsOK("polygon", pts) || !l.strokeOK("polygon", stroke) || len(pts) < 3 {
		return
	}
	l.ops = append(l.ops, l.polys.put(PolygonOp{l.pts.copy(pts), fill, stroke}))
}

// Circle appends a full circle about c.
func (l *List) Circle(c Point, radius float64, fill Colour, stroke Stroke) {
	if !c.finite() || !finite(radius) || radius < 0 {
		l.fail("circle: centre must be finite and radius not negative (got %v, radius %v)", c, radius)
		return
	}
	if !l.strokeOK("circle", stroke) {
		return
	}
	l.ops = append(l.ops, l.circs.put(CircleOp{c, radius, fill, stroke}))
}

// Arc appends an open circular arc about c from start degrees through sweep
// degrees, clockwise from the positive X axis; sweep is clamped to ±360.
func (l *List) Arc(c Point, radius, start, sweep float64, stroke Stroke) {
	if !c.finite() || !finite(radius) || radius < 0 || !finite(start) || !finite(sweep) {
		l.fail("arc: values must be finite and radius not negative (got %v, radius %v, %v° through %v°)", c, radius, start, sweep)
		return
	}
	if !l.strokeOK("arc", stroke) {
		return
	}
	l.ops = append(l.ops, l.arcs.put(ArcOp{c, radius, start, min(max(sweep, -360), 360), stroke}))
}

// Path appends a path (its segments are copied), filled by the non-zero
// winding rule and then stroked.
func (l *List) Path(p Path, fill Colour, stroke Stroke) {
	if !p.finite() {
		l.fail("path: coordinates must be finite")
		return
	}
	if !l.strokeOK("path", stroke) || len(p.Segs) == 0 {
		return
	}
	l.ops = append(l.ops, l.paths.put(PathOp{Path{l.segs.copy(p.Segs)}, fill, stroke}))
}

// Text appends one line of text with its baseline at at; Style.Align says
// whether at is the start, the middle or the end of the line. Line breaks and
// tabs are drawn as spaces: use Wrap for several lines. An empty string
// appends nothing.
func (l *List) Text(at Point, s string, st TextStyle) {
	if !at.finite() || !finite(st.Size) || st.Size < 0 {
		l.fail("text %.20q: place must be finite and size not negative (got %v, size %v)", s, at, st.Size)
		return
	}
	if s == "" || st.Size == 0 {
		return
	}
	l.ops = append(l.ops, l.texts.put(TextOp{at, s, st}))
}

// HitArea appends an invisible rectangle that counts for hit testing in the
// group it stands in, so that thin things can be caught with a finger.
func (l *List) HitArea(r Rect) {
	if !r.finite() || r.W < 0 || r.H < 0 {
		l.fail("hit area: must be finite and not negative (got %v)", r)
		return
	}
	l.ops = append(l.ops, l.hits.put(HitAreaOp{r}))
}

// PushClip cuts what follows, up to the matching PopClip, to r (and to the
// clips already pushed).
func (l *List) PushClip(r Rect) {
	if !r.finite() || r.W < 0 || r.H < 0 {
		l.fail("clip: must be finite and not negative (got %v; an empty clip stands in)", r)
		r = Rect{}
	}
	l.nest = append(l.nest, nesting{kind: nestClip, at: len(l.ops)})
	l.ops = append(l.ops, l.clips.put(PushClipOp{r}))
}

// PopClip ends the innermost clip.
func (l *List) PopClip() { l.pop(nestClip, PopClipOp{}) }

// MinScale is the smallest scale that PushTransform takes.
const MinScale = 1e-4

// PushTransform scales what follows by scale (at least MinScale) and then moves it by
// offset, up to the matching PopTransform: local p is drawn at p·scale+offset.
func (l *List) PushTransform(scale float64, offset Point) {
	if !finite(scale) || scale < MinScale || !offset.finite() {
		l.fail("transform: scale must be at least 1e-4 and all values finite (got scale %v, offset %v; scale 1 stands in)", scale, offset)
		scale, offset = 1, Point{}
	}
	l.nest = append(l.nest, nesting{kind: nestTransform, at: len(l.ops)})
	l.ops = append(l.ops, l.xfms.put(PushTransformOp{scale, offset}))
}

// PopTransform ends the innermost transform.
func (l *List) PopTransform() { l.pop(nestTransform, PopTransformOp{}) }

// BeginGroup starts a group: what follows up to the matching EndGroup belongs
// to the thing id (found again by Hit and Regions) and is described by label,
// which becomes the group's title for people who cannot see the picture.
func (l *List) BeginGroup(id, label string) {
	l.nest = append(l.nest, nesting{kind: nestGroup, at: len(l.ops), id: id})
	l.ops = append(l.ops, l.grps.put(BeginGroupOp{id, label}))
}

// EndGroup ends the innermost group.
func (l *List) EndGroup() { l.pop(nestGroup, EndGroupOp{}) }

func (l *List) pop(kind nestKind, op Op) {
	n := len(l.nest)
	if n == 0 {
		l.fail("%s ended that was never started", kind)
		return
	}
	if top := l.nest[n-1]; top.kind != kind {
		l.fail("%s ended inside the %s started at op %d (want that ended first)", kind, top.kind, top.at)
		return
	}
	l.nest = l.nest[:n-1]
	l.ops = append(l.ops, op)
}

func (l *List) pointsOK(what string, pts []Point) bool {
	for i, p := range pts {
		if !p.finite() {
			l.fail("%s: point %d must be finite within ±1e7 (got %v)", what, i, p)
			return false
		}
	}
	return true
}

// arena hands out pointers to T that stay valid while it grows, and reuses
// them after a reset.
type arena[T any] struct {
	blocks [][]T
	n      int
}

const arenaBlock = 64

func (a *arena[T]) put(v T) *T {
	b, i := a.n/arenaBlock, a.n%arenaBlock
	if b == len(a.blocks) {
		a.blocks = append(a.blocks, make([]T, arenaBlock))
	}
	a.n++
	p := &a.blocks[b][i]
	*p = v
	return p
}

func (a *arena[T]) reset() {
	for i := range a.blocks {
		clear(a.blocks[i])
	}
	a.n = 0
}

// slab keeps copies of short slices in blocks that are reused after a reset.
type slab[T any] struct {
	blocks [][]T
	b      int // block in use
}

const slabBlock = 1024

func (s *slab[T]) copy(v []T) []T {
	for ; s.b < len(s.blocks); s.b++ {
		blk := s.blocks[s.b]
		if cap(blk)-len(blk) >= len(v) {
			n := len(blk)
			s.blocks[s.b] = append(blk, v...)
			return s.blocks[s.b][n : n+len(v) : n+len(v)]
		}
	}
	blk := append(make([]T, 0, max(slabBlock, len(v))), v...)
	s.blocks = append(s.blocks, blk)
	return blk[:len(v):len(v)]
}

func (s *slab[T]) reset() {
	for i := range s.blocks {
		s.blocks[i] = s.blocks[i][:0]
	}
	s.b = 0
}
