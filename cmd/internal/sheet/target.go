package sheet

import (
	"math"
	"sort"
	"strings"

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

// String returns the kind as a word.
func (k Kind) String() string {
	switch k {
	case PointTarget:
		return "point"
	case ConnectorTarget:
		return "connector"
	case ComponentTarget:
		return "component"
	case SpliceTarget:
		return "splice"
	case GroundTarget:
		return "ground"
	case WireTarget:
		return "wire"
	case ControlTarget:
		return "control"
	case NoTarget:
	}
	return "nothing"
}

// Target is one thing that can be pointed at. Two Targets are the same thing when Kind and ID are.
type Target struct {
	Kind Kind
	ID   string // of the thing in the harness; for a point, the point's own text
	// Point is the point for a PointTarget, else "".
	Point harness.Point
	// Label says what it is, for people who cannot see it.
	Label string
	// Box is where it is drawn, At its middle (of a wire: its label), in the picture's units.
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

// area is a box that counts for hit testing.
type area struct {
	target int // index in targets
	box    draw.Rect
}

// Reach of a finger or a pointer, in sheet units at zoom 1.
const (
	// DefaultReach suits a mouse and a finger at zoom 1: half of the 44 CSS px of WCAG 2.1, criterion 2.5.5.
	DefaultReach = 22.0
	pointReach   = 17.0 // a point farther away gives way to what lies right under the pointer
	boxReach     = 7.0
)

// Targets returns everything on the sheet that can be pointed at, each once, in reading order: along the current from
// the supply to ground and from left to right; with a thing its connectors, its points and the wires that leave it
// downwards. The slice is not to be changed.
func (s *Sheet) Targets() []Target { return s.targets }

// Find returns the index in Targets of the thing of that kind and id, -1 if the sheet does not have it.
func (s *Sheet) Find(kind Kind, id string) int {
	if i, ok := s.byKey[key{kind, id}]; ok {
		return i
	}
	return -1
}

func (s *Sheet) addTarget(t Target) int {
	k := key{t.Kind, t.ID}
	if i, ok := s.byKey[k]; ok {
		return i
	}
	s.byKey[k] = len(s.targets)
	s.targets = append(s.targets, t)
	return len(s.targets) - 1
}

// makeTargets lists the targets and their areas.
func (s *Sheet) makeTargets() {
	s.byKey = map[key]int{}
	order := make([]int, len(s.m.blocks))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		x, y := s.m.blocks[order[a]], s.m.blocks[order[b]]
		if x.layer != y.layer {
			return x.layer < y.layer
		}
		return x.x < y.x
	})
	for _, i := range order {
		s.blockTargets(s.m.blocks[i])
	}
	for i := range s.m.wires { // those that no block led to
		s.wireTarget(i)
	}
	linkTargets(s.targets)
}

func (s *Sheet) blockTargets(b *block) {
	live := Live{}
	thing := func(kind Kind, label string, box draw.Rect) {
		i := s.addTarget(Target{Kind: kind, ID: b.id, Label: label, Box: box, At: box.Center()})
		s.areas = append(s.areas, area{i, box})
		for _, t := range b.text {
			r := draw.TextBounds(draw.Point{X: b.x + t.x, Y: b.y + t.y}, t.s, draw.TextStyle{Size: t.size, Face: t.face, Align: t.align})
			s.areas = append(s.areas, area{i, r})
		}
	}
	connector := func(conn int, box draw.Rect) {
		c := &s.m.h.Connectors[conn]
		i := s.addTarget(Target{Kind: ConnectorTarget, ID: c.ID, Label: connectorLabel(c), Box: box, At: box.Center()})
		s.areas = append(s.areas, area{i, box})
	}
	switch b.kind {
	case componentBlock:
		c := &s.m.h.Components[b.at]
		label := c.ID
		if c.Title != "" {
			label += ", " + c.Title
		}
		if r := rating(c.Spec); r != "" {
			label += ", " + r
		}
		thing(ComponentTarget, label, s.symbolBox(b))
		for k := range b.runs {
			outer, inner := s.bars(b, &b.runs[k], &live)
			box := outer.Union(inner)
			w := draw.Measure(b.runs[k].label, draw.Bold, sizeID)
			if b.lying == 0 && b.runs[k].labelShown {
				box = draw.Rect{X: box.X - 4 - w, Y: box.Y, W: box.W + 4 + w, H: box.H}
			}
			connector(b.runs[k].conn, box)
		}
	case inlineBlock:
		up, low := s.inlineBars(b, &live)
		box := up.Union(low)
		connector(b.at, box)
		for _, t := range b.text {
			r := draw.TextBounds(draw.Point{X: b.x + t.x, Y: b.y + t.y}, t.s, draw.TextStyle{Size: t.size, Face: t.face, Align: t.align})
			s.areas = append(s.areas, area{s.byKey[key{ConnectorTarget, b.id}], r})
		}
	case spliceBlock:
		// The joint itself is the point; the splice as a place in the loom is its lettering.
		w := b.text[0].width()
		thing(SpliceTarget, "splice "+b.id+" in the loom", draw.Rect{X: b.x + b.text[0].x - w, Y: b.y, W: w, H: 2 * spliceDot})
	case groundBlock:
		label := "ground point " + b.id
		if t := s.m.h.Grounds[b.at].Title; t != "" {
			label += ", " + t
		}
		thing(GroundTarget, label, s.symbolBox(b))
	case bodyBlock:
	}
	s.pointTargets(b)
	for _, c := range b.cols {
		for _, t := range [2]int{c.top, c.bottom} {
			if t < 0 {
				continue
			}
			for _, p := range b.taps[t].ports {
				if !s.m.ports[p].top {
					s.wireTarget(s.m.ports[p].wire)
				}
			}
		}
	}
}

// pointTargets adds the points of a block, from the top down and from left to right.
func (s *Sheet) pointTargets(b *block) {
	type found struct {
		p  harness.Point
		at draw.Point
	}
	var list []found
	for t := range b.taps {
		tp := &b.taps[t]
		add := func(p harness.Point) {
			if at, ok := s.WhereNow(p, Live{}); ok {
				list = append(list, found{p, at})
			}
		}
		add(tp.point)
		if tp.conn >= 0 && b.kind == componentBlock {
			c := &s.m.h.Connectors[tp.conn]
			add(harness.CavityPoint(c.ID, c.Cavities[tp.cav].Number, "b"))
		}
		if tp.conn >= 0 {
			continue
		}
		for _, p := range tp.ports {
			if end := s.m.wires[s.m.ports[p].wire].ends[s.m.ports[p].end]; end != tp.point {
				add(end)
			}
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if math.Abs(list[i].at.Y-list[j].at.Y) > same {
			return list[i].at.Y < list[j].at.Y
		}
		return list[i].at.X < list[j].at.X
	})
	for _, f := range list {
		s.addTarget(Target{
			Kind: PointTarget, ID: string(f.p), Point: f.p, Label: s.pointLabel(f.p),
			Box: draw.RectAround(f.at, 10, 10), At: f.at,
		})
	}
}

// pointLabel says what a point is and which wires end there.
func (s *Sheet) pointLabel(p harness.Point) string {
	info := s.m.infos[s.m.info[p]]
	label := info.Title
	var wires []string
	for _, id := range info.Wires {
		if i, ok := s.wireIndex[id]; ok {
			wires = append(wires, wireWords(s.m.wires[i].h))
		}
	}
	if len(wires) > 0 && info.Kind != harness.SplicePoint && info.Kind != harness.GroundStud {
		label += ": " + strings.Join(wires, "; ")
	}
	return label
}

// wireWords names a wire: "wire 31b, brown, 1.5 mm²".
func wireWords(w *harness.Wire) string {
	name, err := draw.WireName(w.Colour)
	if err != nil {
		name = w.Colour
	}
	return "wire " + w.ID + ", " + name + ", " + sizeText(w.Size) + "\u00a0mm²"
}

func connectorLabel(c *harness.Connector) string {
	label := "connector " + c.ID
	if c.Mount == harness.Holder || c.Mount == harness.Socket {
		label = string(c.Mount) + " " + c.ID
	}
	if c.Title != "" {
		label += ", " + c.Title
	}
	return label
}

func (s *Sheet) wireTarget(i int) {
	w := &s.m.wires[i]
	at := s.routes[i].labels[0]
	box := draw.Rect{X: at.X, Y: at.Y - sizeWire, W: w.label.width, H: labelLead + sizeWire}
	s.addTarget(Target{
		Kind: WireTarget, ID: w.h.ID, Box: box, At: box.Center(),
		Label: wireWords(w.h) + ", from " + string(w.ends[0]) + " to " + string(w.ends[1]),
	})
}

// At returns what is at p with every connector mated: see Pick.
func (s *Sheet) At(p draw.Point) (Target, bool) { return s.Pick(p, Live{}, DefaultReach) }

// Pick returns what is meant by pointing at p in the state of live, with a pointer that may be reach sheet units off.
// Points come before connectors, those before components, splices and grounds, those before wires. With nothing that close,
// the nearest point within reach is meant.
func (s *Sheet) Pick(p draw.Point, live Live, reach float64) (Target, bool) {
	point, d := s.nearestPoint(p, &live)
	if d <= min(reach, pointReach) {
		return s.moved(s.targets[point], &live), true
	}
	best, bestRank, bestDist := -1, 0, math.Inf(1)
	for _, a := range s.areas {
		dist := rectDistance(a.box, p)
		if dist > min(reach, boxReach) {
			continue
		}
		rank := 1
		if s.targets[a.target].Kind == ConnectorTarget {
			rank = 0
		}
		if best < 0 || rank < bestRank || rank == bestRank && dist < bestDist {
			best, bestRank, bestDist = a.target, rank, dist
		}
	}
	if best >= 0 {
		return s.targets[best], true
	}
	if i, dist := s.nearestWire(p, &live); i >= 0 && dist <= reach {
		if d <= reach && d < dist {
			return s.moved(s.targets[point], &live), true
		}
		return s.targets[s.byKey[key{WireTarget, s.m.wires[i].h.ID}]], true
	}
	if d <= reach {
		return s.moved(s.targets[point], &live), true
	}
	return Target{}, false
}

// NearestPoint returns the point nearest to p in the state of live, if it is within reach sheet units: what a lead that is
// dropped there is meant for.
func (s *Sheet) NearestPoint(p draw.Point, live Live, reach float64) (harness.Point, bool) {
	i, d := s.nearestPoint(p, &live)
	if d > reach {
		return "", false
	}
	return s.targets[i].Point, true
}

// moved returns a point's target where it is in the state of live.
func (s *Sheet) moved(t Target, live *Live) Target {
	if at, ok := s.WhereNow(t.Point, *live); ok && at != t.At {
		t.Box = t.Box.Move(at.Sub(t.At))
		t.At = at
	}
	return t
}

func (s *Sheet) nearestPoint(p draw.Point, live *Live) (int, float64) {
	best, dist := -1, math.Inf(1)
	for i := range s.targets {
		t := &s.targets[i]
		if t.Kind != PointTarget || t.At.Dist(p) > dist+2*partGap {
			continue
		}
		at, _ := s.WhereNow(t.Point, *live)
		if d := at.Dist(p); d < dist {
			best, dist = i, d
		}
	}
	return best, dist
}

func (s *Sheet) nearestWire(p draw.Point, live *Live) (int, float64) {
	best, dist := -1, math.Inf(1)
	var buf [64]draw.Point
	for i := range s.m.wires {
		way := s.way(buf[:0], i, live)
		for k := 1; k < len(way); k++ {
			a, b := way[k-1], way[k]
			r := draw.Rect{X: min(a.X, b.X), Y: min(a.Y, b.Y), W: math.Abs(a.X - b.X), H: math.Abs(a.Y - b.Y)}
			if d := rectDistance(r, p); d < dist {
				best, dist = i, d
			}
		}
		w := &s.m.wires[i]
		for _, at := range s.routes[i].labels {
			r := draw.Rect{X: at.X, Y: at.Y - sizeWire, W: w.label.width, H: labelLead + sizeWire}
			if d := rectDistance(r, p); d < dist {
				best, dist = i, d
			}
		}
	}
	return best, dist
}

// rectDistance returns how far p is from a box or, with no width or height, from a line; 0 inside.
func rectDistance(r draw.Rect, p draw.Point) float64 {
	dx := max(r.X-p.X, p.X-r.MaxX(), 0)
	dy := max(r.Y-p.Y, p.Y-r.MaxY(), 0)
	return math.Hypot(dx, dy)
}
