package draw

// Op is one operation of a List. The set is sealed: *RectOp, *PolylineOp,
// *PolygonOp, *CircleOp, *ArcOp, *PathOp, *TextOp, *HitAreaOp, *PushClipOp,
// PopClipOp, *PushTransformOp, PopTransformOp, *BeginGroupOp and EndGroupOp.
type Op interface{ op() }

// Cap is the shape of the ends of a line and of its dashes.
type Cap uint8

// The line caps.
const (
	CapButt  Cap = iota // cut square at the end point
	CapRound            // half a circle beyond the end point
)

// Join is the shape of the corners of a line.
type Join uint8

// The line joins.
const (
	JoinMitre Join = iota // sharp, cut flat when longer than MitreLimit widths
	JoinRound             // rounded
)

// MitreLimit is the longest mitre, in line widths, before the corner is cut
// flat. It is the default of SVG (stroke-miterlimit, SVG 1.1 section 11.4).
const MitreLimit = 4

// Stroke is how a line is drawn. The zero Stroke draws nothing.
type Stroke struct {
	Colour Colour
	Width  float64 // in sheet units, before any transform
	Cap    Cap
	Join   Join
	// Dash is on, off, on, off lengths in sheet units. It is solid if Dash[0]
	// and Dash[1] are 0, and of two lengths only if Dash[2] and Dash[3] are 0.
	Dash       [4]float64
	DashOffset float64 // how far into the pattern the line starts
}

// Pen returns a solid stroke with butt ends and mitred corners.
func Pen(c Colour, width float64) Stroke { return Stroke{Colour: c, Width: width} }

// RoundPen returns a solid stroke with round ends and corners.
func RoundPen(c Colour, width float64) Stroke {
	return Stroke{Colour: c, Width: width, Cap: CapRound, Join: JoinRound}
}

// Dashed returns s with dashes of length on and gaps of length off.
func (s Stroke) Dashed(on, off float64) Stroke {
	s.Dash = [4]float64{on, off}
	return s
}

// Visible reports whether s paints anything.
func (s Stroke) Visible() bool { return s.Width > 0 && s.Colour.A > 0 }

// dashes returns the pattern in use, nil for a solid line.
func (s *Stroke) dashes() []float64 {
	if float64(s.Dash[0]+s.Dash[1]) <= 0 {
		return nil
	}
	if float64(s.Dash[2]+s.Dash[3]) <= 0 {
		return s.Dash[:2]
	}
	return s.Dash[:]
}

// RectOp is a rectangle, filled, stroked or both. Radius is at most half a side.
type RectOp struct {
	Rect   Rect
	Radius float64
	Fill   Colour
	Stroke Stroke
}

// PolylineOp is an open line through at least two points.
type PolylineOp struct {
	Points []Point
	Stroke Stroke
}

// PolygonOp is a closed shape through at least three points.
type PolygonOp struct {
	Points []Point
	Fill   Colour
	Stroke Stroke
}

// CircleOp is a full circle.
type CircleOp struct {
	Center Point
	Radius float64
	Fill   Colour
	Stroke Stroke
}

// ArcOp is an open arc; Start and Sweep are degrees clockwise from the positive
// X axis, Sweep within ±360.
type ArcOp struct {
	Center       Point
	Radius       float64
	Start, Sweep float64
	Stroke       Stroke
}

// PathOp is a path, filled (non-zero winding), stroked or both.
type PathOp struct {
	Path   Path
	Fill   Colour
	Stroke Stroke
}

// TextOp is one line of text with its baseline at At.
type TextOp struct {
	At    Point
	Text  string
	Style TextStyle
}

// HitAreaOp is an invisible target of the group it stands in: painters skip it.
type HitAreaOp struct{ Rect Rect }

// PushClipOp cuts what follows to Rect.
type PushClipOp struct{ Rect Rect }

// PopClipOp ends the innermost clip.
type PopClipOp struct{}

// PushTransformOp draws what follows at p·Scale+Offset; Scale is above 0.
type PushTransformOp struct {
	Scale  float64
	Offset Point
}

// PopTransformOp ends the innermost transform.
type PopTransformOp struct{}

// BeginGroupOp starts the group of the thing ID, described by Label.
type BeginGroupOp struct{ ID, Label string }

// EndGroupOp ends the innermost group.
type EndGroupOp struct{}

func (*RectOp) op()          {}
func (*PolylineOp) op()      {}
func (*PolygonOp) op()       {}
func (*CircleOp) op()        {}
func (*ArcOp) op()           {}
func (*PathOp) op()          {}
func (*TextOp) op()          {}
func (*HitAreaOp) op()       {}
func (*PushClipOp) op()      {}
func (PopClipOp) op()        {}
func (*PushTransformOp) op() {}
func (PopTransformOp) op()   {}
func (*BeginGroupOp) op()    {}
func (EndGroupOp) op()       {}

// AppendShape appends the outline of a shape op (rectangle, polyline, polygon,
// circle, arc or path) to p and returns its fill and stroke. Painters that have
// no shape of their own for an op can draw every one through this. ok is false
// for text, hit areas and everything that is not a shape.
func AppendShape(p *Path, o Op) (fill Colour, stroke Stroke, ok bool) {
	switch o := o.(type) {
	case *RectOp:
		p.Rect(o.Rect, o.Radius)
		return o.Fill, o.Stroke, true
	case *PolylineOp:
		p.poly(o.Points)
		return Colour{}, o.Stroke, true
	case *PolygonOp:
		p.poly(o.Points)
		p.Close()
		return o.Fill, o.Stroke, true
	case *CircleOp:
		p.MoveArc(o.Center, o.Radius, 0, 360)
		p.Close()
		return o.Fill, o.Stroke, true
	case *ArcOp:
		p.MoveArc(o.Center, o.Radius, o.Start, o.Sweep)
		return Colour{}, o.Stroke, true
	case *PathOp:
		p.Segs = append(p.Segs, o.Path.Segs...)
		return o.Fill, o.Stroke, true
	}
	return Colour{}, Stroke{}, false
}

func (p *Path) poly(pts []Point) {
	for i, q := range pts {
		if i == 0 {
			p.MoveTo(q)
			continue
		}
		p.LineTo(q)
	}
}
