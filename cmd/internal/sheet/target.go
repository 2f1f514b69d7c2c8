package sheet

import (
	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// Kind says what a Target is.
type Kind uint8

// The kinds of targets.
const (
	NoTarget Kind = iota
	PointTarget
	ConnectorTarget
	ComponentTarget
	SpliceTarget
	GroundTarget
	WireTarget
	ControlTarget
)

// Target is one thing that can be pointed at. Two Targets are the same thing when Kind and ID are.
type Target struct {
	Kind Kind
	ID   string // of the thing in the harness; for a point, the point's own text
	// Point is the point for a PointTarget, else "".
	Point harness.Point
	// Label says what it is, for people who cannot see it.
	Label string
	// Box is where it is drawn, At its middle, in sheet units.
	Box draw.Rect
	At  draw.Point
	// Left, Right, Up and Down are where the arrow keys go from here: indices into the list of Targets that this one
	// comes from, -1 for nowhere.
	Left, Right, Up, Down int
}

// Is reports whether t and u are the same thing.
func (t Target) Is(u Target) bool { return t.Kind != NoTarget && t.Kind == u.Kind && t.ID == u.ID }

type key struct {
	kind Kind
	id   string
}

func (s *Sheet) makeTargets() {}
