package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// margin is the free room round the diagram in sheet units.
const margin = 28.0

// Sheet is the laid-out wiring diagram of one harness. It is not changed after Layout, so it may be read from several
// goroutines.
type Sheet struct {
	h      *harness.Harness
	m      *plan
	routes []route // by plan wire
	size   draw.Rect
	layers int

	wireIndex map[string]int
	blocksOf  map[string][]int // by id of component, connector, splice or ground
	spots     map[harness.Point]spot
	targets   []Target
	areas     []area
	groups    []group // by plan wire
	byKey     map[key]int
}

// route is where one wire runs, from the edge of one block to the edge of the other.
type route struct {
	pts    []draw.Point
	labels []draw.Point // baseline starts of the first line of each label
}

// spot is where a point is: in a block, at a tap, and which metal of it.
type spot struct {
	block, tap int
	ring       int // port of the ring, -1 when it is not a ring
	inner      bool
}

// Layout lays out the wiring diagram of h. The harness is kept and must not be changed afterwards. The result depends on h
// alone. A harness with mistakes in it (see Harness.Validate) gives a sheet too: what leads nowhere is left out.
func Layout(h *harness.Harness) *Sheet {
	f := newFacts(h)
	best := arrange(f, nil)
	if len(h.Sheet) > 0 || best.size.W*paperH >= best.size.H*paperW {
		best.index()
		return best // the author decides; or a fold would only make it wider still
	}
	score := best.score()
	try := func(folds ...int) {
		if s := arrange(f, folds); s.score() > score {
			best, score = s, s.score()
		}
	}
	// Folds near even parts: the bands of a good sheet are about as tall as each other.
	depth := best.layers
	near := func(part, of, by int) (low, high int) {
		mid := (depth*part + of/2) / of
		return max(mid-by, minFold), min(mid+by, depth-2)
	}
	low, high := near(1, 2, 2)
	for a := low; a <= high; a++ {
		try(a)
	}
	const goodEnough = 0.8
	if score < goodEnough {
		low, high = near(1, 3, 1)
		for a := low; a <= high; a++ {
			first, last := near(2, 3, 1)
			for b := max(first, a+minFold); b <= last; b++ {
				try(a, b)
			}
		}
	}
	best.index()
	return best
}

// minFold is the least number of layers between folds: fewer would take circuits apart.
const minFold = 3

// arrange lays the sheet out with everything from the folds' layers on moved up beside what is above it.
func arrange(f *facts, folds []int) *Sheet {
	m := newPlan(f)
	layers := m.rank(folds)
	g := newGrid(m, layers)
	g.order()
	g.align()
	s := &Sheet{h: f.h, m: m, layers: layers}
	s.finish(g, g.route())
	return s
}

// The paper that a sheet should suit: A3 landscape less frame and title block, in sheet units of 1/96 inch.
const (
	paperW = 1480.0
	paperH = 900.0
)

// score says how good a sheet is to read: how large it can be printed, less a little for every crossing.
func (s *Sheet) score() float64 {
	const perCrossing = 0.985 // a crossing is worth about a line of height
	scale := min(paperW/s.size.W, paperH/s.size.H, 1.1)
	return scale * math.Pow(perCrossing, float64(len(s.Crossings())))
}

// Crossings returns where wires of the sheet cross each other.
func (s *Sheet) Crossings() []draw.Point {
	var out []draw.Point
	for i := range s.routes {
		for j := range s.routes[:i] {
			out = crossings(out, s.routes[i].pts, s.routes[j].pts)
		}
	}
	return out
}

// crossings appends the places where two ways of upright and level lines cross.
func crossings(out []draw.Point, a, b []draw.Point) []draw.Point {
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			p, q, u, v := a[i-1], a[i], b[j-1], b[j]
			if math.Abs(p.X-q.X) > same { // make the first the upright one
				p, q, u, v = u, v, p, q
			}
			if math.Abs(p.X-q.X) > same || math.Abs(u.Y-v.Y) > same {
				continue
			}
			if p.X > min(u.X, v.X)+same && p.X < max(u.X, v.X)-same && u.Y > min(p.Y, q.Y)+same && u.Y < max(p.Y, q.Y)-same {
				out = append(out, draw.Point{X: p.X, Y: u.Y})
			}
		}
	}
	return out
}

// finish turns the arrangement into places on the sheet. What it takes to be pointed at is left to index.
func (s *Sheet) finish(g *grid, chans []channel) {
	height := g.heights(chans)
	shift := draw.Point{X: margin, Y: margin}
	m := s.m
	s.routes = make([]route, len(m.wires))
	spanAt := map[[2]int]int{}
	for c, spans := range g.spans {
		for i, sp := range spans {
			spanAt[[2]int{sp.wire, c}] = i
		}
	}
	for i := range m.wires {
		s.routes[i] = s.trace(g, chans, spanAt, i)
	}
	for _, b := range m.blocks {
		b.x, b.y = b.x+shift.X, b.y+shift.Y
	}
	for i := range s.routes {
		for k := range s.routes[i].pts {
			s.routes[i].pts[k] = s.routes[i].pts[k].Add(shift)
		}
		for k := range s.routes[i].labels {
			s.routes[i].labels[k] = s.routes[i].labels[k].Add(shift)
		}
	}
	s.measureSheet(height)
}

// trace lines up the parts of a wire's way.
func (s *Sheet) trace(g *grid, chans []channel, spanAt map[[2]int]int, i int) route {
	m := s.m
	w := &m.wires[i]
	var r route
	edge := func(p int) draw.Point {
		q := m.ports[p]
		b := m.blocks[q.block]
		if q.top {
			return draw.Point{X: b.x + q.x, Y: b.y}
		}
		return draw.Point{X: b.x + q.x, Y: b.y + b.h}
	}
	label := func(x float64, ch *channel, upper bool) {
		y := ch.y + ch.h - labelZone
		if upper {
			y = ch.y
		}
		r.labels = append(r.labels, draw.Point{X: x + labelGap, Y: y + labelLead})
	}
	from, to := g.channelOf(w.port[0]), g.channelOf(w.port[1])
	r.pts = append(r.pts, edge(w.port[0]))
	step := 1
	if to < from {
		step = -1
	}
	for c := from; ; c += step {
		r.pts = g.path(r.pts, c, spanAt[[2]int{i, c}], chans)
		if c == to {
			break
		}
	}
	r.pts = append(r.pts, edge(w.port[1]))
	r.pts = tidy(r.pts)
	p := w.port[w.labelled]
	label(edge(p).X, &chans[g.channelOf(p)], !m.ports[p].top)
	if p := g.secondLabel(i, chans); p >= 0 {
		label(g.passes[p].x, &chans[g.passes[p].layer+1], true)
	}
	return r
}

// tidy removes points that lie on a straight line between their neighbours, and doubled ones.
func tidy(pts []draw.Point) []draw.Point {
	out := pts[:0:0]
	for _, p := range pts {
		if n := len(out); n > 0 && out[n-1].Dist(p) < 1e-6 {
			continue
		}
		for n := len(out); n > 1 && straight(out[n-2], out[n-1], p); n = len(out) {
			out = out[:n-1]
		}
		out = append(out, p)
	}
	return out
}

func straight(a, b, c draw.Point) bool {
	const same = 1e-6
	near := func(x, y float64) bool { return x-y < same && y-x < same }
	return near(a.X, b.X) && near(b.X, c.X) || near(a.Y, b.Y) && near(b.Y, c.Y)
}

// measureSheet sets the size: all blocks, wires and lettering, with a margin.
func (s *Sheet) measureSheet(height float64) {
	right := 0.0
	for _, b := range s.m.blocks {
		right = max(right, b.x+b.w+b.right)
	}
	for i, r := range s.routes {
		for _, p := range r.pts {
			right = max(right, p.X)
		}
		for _, p := range r.labels {
			right = max(right, p.X+s.m.wires[i].label.width)
		}
	}
	s.size = draw.Rect{W: right + margin, H: height + 2*margin}
}

// Bounds returns the sheet's extent in sheet units; its upper left corner is 0, 0.
func (s *Sheet) Bounds() draw.Rect { return s.size }

// Size is Bounds.
func (s *Sheet) Size() draw.Rect { return s.size }

// Harness returns the harness of the sheet; it is not to be changed.
func (s *Sheet) Harness() *harness.Harness { return s.h }

// index finds every point's spot and makes the targets.
func (s *Sheet) index() {
	m := s.m
	s.wireIndex = map[string]int{}
	for i, w := range m.wires {
		if _, ok := s.wireIndex[w.h.ID]; !ok {
			s.wireIndex[w.h.ID] = i
		}
	}
	s.blocksOf = map[string][]int{}
	s.spots = map[harness.Point]spot{}
	put := func(p harness.Point, sp spot) {
		if _, ok := s.spots[p]; !ok {
			s.spots[p] = sp
		}
	}
	for i, b := range m.blocks {
		s.blocksOf[b.id] = append(s.blocksOf[b.id], i)
		for t := range b.taps {
			tp := &b.taps[t]
			put(tp.point, spot{block: i, tap: t, ring: -1})
			if tp.conn >= 0 && b.kind == componentBlock {
				c := &m.h.Connectors[tp.conn]
				put(harness.CavityPoint(c.ID, c.Cavities[tp.cav].Number, "b"), spot{block: i, tap: t, ring: -1, inner: true})
			}
			if tp.conn >= 0 {
				continue
			}
			for _, p := range tp.ports {
				end := m.wires[m.ports[p].wire].ends[m.ports[p].end]
				if end != tp.point {
					put(end, spot{block: i, tap: t, ring: p})
				}
			}
		}
		for _, r := range b.runs {
			id := m.h.Connectors[r.conn].ID
			if id != b.id && !contains(s.blocksOf[id], i) {
				s.blocksOf[id] = append(s.blocksOf[id], i)
			}
		}
	}
	s.makeTargets()
	s.nameGroups()
}

func contains(list []int, v int) bool {
	for _, x := range list {
		if x == v {
			return true
		}
	}
	return false
}

// tapY returns the height of a tap's metal from the block's upper edge: of a cavity's outer half (the loom's), or its
// inner half (the component's), or of a stud's rings or the stud itself.
func (b *block) tapY(t *tap, inner, ring, parted bool) float64 {
	var y float64 // from the edge that the wires come in at
	switch b.kind {
	case spliceBlock:
		return spliceDot
	case groundBlock:
		if ring {
			return groundRing
		}
		return groundStud
	case bodyBlock:
		return bodyPad
	case inlineBlock:
		y = partGap/2 + halfH/2
		if parted {
			y = halfH / 2
		}
	case componentBlock:
		switch {
		case t.conn < 0 && ring:
			y = groundRing
		case t.conn < 0:
			y = groundStud
		case inner:
			y = partGap + 1.5*halfH
		case parted:
			y = halfH / 2
		default:
			y = partGap + 0.5*halfH
		}
	}
	if t.top {
		return b.fan[0] + y
	}
	return b.lh - b.fan[1] - y
}

// WhereNow returns where a point is on the sheet while the connectors of live are parted as they are; ok is false for a
// point that the sheet does not have.
func (s *Sheet) WhereNow(p harness.Point, live Live) (at draw.Point, ok bool) {
	sp, ok := s.spots[p]
	if !ok {
		return draw.Point{}, false
	}
	b := s.m.blocks[sp.block]
	t := &b.taps[sp.tap]
	parted := t.conn >= 0 && live.Unplugged[s.m.h.Connectors[t.conn].ID]
	u := t.x
	if sp.ring >= 0 {
		u = s.m.ports[sp.ring].ring
	}
	return b.pt(u, b.tapY(t, sp.inner, sp.ring >= 0, parted)), true
}

// Where returns where a point is on the sheet with every connector mated; 0, 0 for a point that the sheet does not have.
func (s *Sheet) Where(p harness.Point) draw.Point {
	at, _ := s.WhereNow(p, Live{})
	return at
}
