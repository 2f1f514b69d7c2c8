package harness

import "fmt"

// PointKind says what sort of metal a point is.
type PointKind string

// The kinds of points.
const (
	CavityHalf  PointKind = "cavity" // the terminal in one half of a cavity
	SplicePoint PointKind = "splice"
	GroundStud  PointKind = "ground" // the stud of a ground point
	GroundRing  PointKind = "ground-ring"
	PostStud    PointKind = "post" // a component's stud, such as a battery post
	PostRing    PointKind = "post-ring"
	BodyMetal   PointKind = "body"
)

// Info is what there is to say about a point. Fields that do not apply are empty.
type Info struct {
	Point     Point     `json:"point"`
	Kind      PointKind `json:"kind"`
	Connector string    `json:"connector,omitempty"`
	Cavity    string    `json:"cavity,omitempty"` // its number
	Half      string    `json:"half,omitempty"`   // "a" or "b"
	Component string    `json:"component,omitempty"`
	Terminal  string    `json:"terminal,omitempty"` // of the component
	Splice    string    `json:"splice,omitempty"`
	Ground    string    `json:"ground,omitempty"`
	Wires     []string  `json:"wires,omitempty"` // ids of the wires that end here, in the order of the harness
	Title     string    `json:"title"`           // for people: "cavity 3 of X1, half a"
}

// CavityPoint returns the point of one half of a cavity: half is "a" or "b".
func CavityPoint(connector, cavity, half string) Point {
	return Point(connector + "." + cavity + "." + half)
}

// Points returns every point of the harness that a lead could ever touch, each once, in a fixed order: cavities in the order
// of the connectors (half a, then b), splices, ground points with their rings, components' studs with their rings, and Body.
// The slice is the caller's.
func (h *Harness) Points() []Point {
	ix := newIndex(h)
	points := make([]Point, len(ix.infos))
	for i, info := range ix.infos {
		points[i] = info.Point
	}
	return points
}

// Infos returns the Info of every point, in the order of Points. The slice is the caller's, the slices of wires in it are
// not to be written.
func (h *Harness) Infos() []Info { return newIndex(h).infos }

// PointInfo returns what there is to say about a point. For a point that the harness does not have, all but Point is empty.
// To look at many points use Infos.
func (h *Harness) PointInfo(p Point) Info {
	ix := newIndex(h)
	if i, ok := ix.place[p]; ok {
		return ix.infos[i]
	}
	return Info{Point: p}
}

// Ends returns the points of the metal at both ends of a wire: what it says itself, but on a stud ("G1", "BAT.30") the
// wire's own ring terminal there ("G1.31b", "BAT.30.31b").
func (h *Harness) Ends(w Wire) (from, to Point) {
	ix := newIndex(h)
	return ix.metal(w.From, w.ID), ix.metal(w.To, w.ID)
}

// HalfTitle names a half of a connector for people: "loom side", "relay side".
func (c Connector) HalfTitle(half string) string {
	if c.Mount == InLine {
		return "half " + half
	}
	if half == "a" {
		return map[Mount]string{Plug: "loom side", Socket: "socket side", Holder: "holder side"}[c.Mount]
	}
	return map[Mount]string{Plug: "component side", Socket: "pin side", Holder: "fuse side"}[c.Mount]
}

func (ix *index) title(info *Info) string {
	switch info.Kind {
	case CavityHalf:
		c := ix.h.Connectors[ix.connectors[info.Connector]]
		if info.Component == "" || info.Terminal == "" {
			return fmt.Sprintf("cavity %s of %s, %s", info.Cavity, c.ID, c.HalfTitle(info.Half))
		}
		switch c.Mount {
		case Socket:
			return fmt.Sprintf("pin %s of %s", info.Terminal, info.Component)
		case Holder:
			return fmt.Sprintf("test point %s of fuse %s", info.Terminal, info.Component)
		}
		return fmt.Sprintf("terminal %s of %s (cavity %s of %s)", info.Terminal, info.Component, info.Cavity, c.ID)
	case SplicePoint:
		return "splice " + info.Splice
	case GroundStud:
		return "stud of ground point " + info.Ground
	case GroundRing:
		return fmt.Sprintf("ring terminal of wire %s on ground point %s", info.Wires[0], info.Ground)
	case PostStud:
		return fmt.Sprintf("stud %s of %s", info.Terminal, info.Component)
	case PostRing:
		return fmt.Sprintf("ring terminal of wire %s on stud %s of %s", info.Wires[0], info.Terminal, info.Component)
	case BodyMetal:
		return "bare metal of the body"
	}
	return ""
}

// AllEnds returns what Ends says of every wire, in the order of the wires. The slice is the caller's.
func (h *Harness) AllEnds() [][2]Point { return newIndex(h).ends }
