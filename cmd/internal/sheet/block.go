package sheet

import (
	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// blockKind says what a block is.
type blockKind uint8

const (
	componentBlock blockKind = iota
	inlineBlock              // all cavities of an in-line connector that carry their current the same way
	spliceBlock
	groundBlock
	bodyBlock
)

// freedom says how the columns of a block may be rearranged so that wires cross less.
type freedom uint8

const (
	fixed    freedom = iota
	mirrored         // only reversed as a whole
	free             // columns in any order
	split            // upper and lower taps each in any order
)

// block is one thing that stands on the sheet: columns of taps with wires above and below.
type block struct {
	kind blockKind
	id   string // of the component, connector, splice or ground point
	part int    // counts the blocks of one in-line connector
	at   int    // index in the harness's list of its kind
	perm freedom
	cols []column
	taps []tap
	shape
	text []textLine // beside the block, left or right, see measure

	placedCol, placedRow float64
	placed               bool

	// Geometry, from the block's upper left corner.
	w, h        float64
	lying       int // 1 or 3 for a block turned by a quarter, see pt
	core        draw.Point
	lw, lh      float64    // size of the drawing before it is turned
	left, right float64    // how far lettering and labels reach beyond 0 and w
	fan         [2]float64 // height above and below in which several wires of one cavity come together
	runs        []run
	group       group

	rank  float64
	layer int
	band  int // 1 for what a fold moved up to the side
	x, y  float64
}

// column is one upright line through a block: what is connected above and below. -1 is nothing.
type column struct {
	top, bottom int // index in taps
	x           float64
}

// tap is a place in a block where wires end: a cavity, a stud, a splice.
type tap struct {
	top bool
	// cavity taps
	conn, cav int // index in the harness, -1 for a stud or a splice
	half      string
	terminal  string // of the component
	point     harness.Point
	ports     []int
	x         float64 // its middle, from the block's left edge
}

// run is a stretch of neighbouring columns that belong to one connector: drawn as one bar.
type run struct {
	conn        int
	top         bool
	x0, x1      float64 // from the block's left edge
	taps        []int
	label       string
	labelX      float64 // right end of the label
	labelShown  bool
	first, last int // columns
}

// buildBlocks makes the blocks in a fixed order: components, in-line connectors, splices, grounds, body.
func (m *plan) buildBlocks() {
	for i := range m.h.Components {
		if m.component[m.h.Components[i].ID] == i {
			m.addComponent(i)
		}
	}
	for i := range m.h.Connectors {
		c := &m.h.Connectors[i]
		if _, owned := m.component[c.Component]; !owned && m.connector[c.ID] == i {
			m.addInline(i)
		}
	}
	seen := map[string]bool{}
	for i, s := range m.h.Splices {
		if !seen[s.ID] {
			seen[s.ID] = true
			m.addSplice(i)
		}
	}
	clear(seen)
	for i, g := range m.h.Grounds {
		if !seen[g.ID] {
			seen[g.ID] = true
			m.addGround(i)
		}
	}
	m.addBody()
}

func (m *plan) add(b *block, ids ...string) {
	for _, id := range ids {
		if p, ok := m.placed[id]; ok && !b.placed {
			b.placed, b.placedCol, b.placedRow = true, p.Column, p.Row
			if b.kind == componentBlock || b.kind == inlineBlock {
				b.lying = lyingTurn(p.Turn)
			}
		}
	}
	m.blocks = append(m.blocks, b)
}

// tapFor adds a tap to b and gives it a port for every wire that ends at its point. side decides for each wire on
// which edge it leaves; nil means the tap's own.
func (m *plan) tapFor(b *block, t tap, ends []harness.Point, side func(wire, end int) bool) int {
	for _, p := range ends {
		for _, we := range m.wiresAt(p) {
			if m.wires[we[0]].port[we[1]] >= 0 {
				continue
			}
			top := t.top
			if side != nil {
				top = side(we[0], we[1])
			}
			m.wires[we[0]].port[we[1]] = len(m.ports)
			t.ports = append(t.ports, len(m.ports))
			m.ports = append(m.ports, port{block: len(m.blocks), tap: len(b.taps), wire: we[0], end: we[1], top: top})
		}
	}
	b.taps = append(b.taps, t)
	return len(b.taps) - 1
}

// addInline makes one or two blocks of an in-line connector: the cavities that carry their current from half a to half
// b, and those that carry it back.
func (m *plan) addInline(i int) {
	c := &m.h.Connectors[i]
	var down, up []int
	for k, cav := range c.Cavities {
		a, b := harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b")
		if high, differs := m.flow.higher(b, a); high && differs {
			up = append(up, k)
			continue
		}
		down = append(down, k)
	}
	part := 0
	for n, cavs := range [][]int{down, up} {
		if len(cavs) == 0 {
			continue
		}
		b := &block{kind: inlineBlock, id: c.ID, part: part, at: i, perm: free}
		part++
		halves := [2]string{"a", "b"}
		if n == 1 {
			halves = [2]string{"b", "a"}
		}
		ids := []string{}
		if part == 1 {
			ids = append(ids, c.ID)
		}
		for _, k := range cavs {
			cav := c.Cavities[k]
			var pair [2]int
			for side, half := range halves {
				p := harness.CavityPoint(c.ID, cav.Number, half)
				pair[side] = m.tapFor(b, tap{top: side == 0, conn: i, cav: k, half: half, terminal: cav.Terminal, point: p},
					[]harness.Point{p}, nil)
			}
			b.cols = append(b.cols, column{top: pair[0], bottom: pair[1]})
			ids = append(ids, c.ID+"."+cav.Number)
		}
		m.add(b, ids...)
	}
}

func (m *plan) addSplice(i int) {
	s := &m.h.Splices[i]
	p := harness.Point(s.ID)
	b := &block{kind: spliceBlock, id: s.ID, at: i, perm: free}
	t := m.tapFor(b, tap{conn: -1, cav: -1, point: p}, []harness.Point{p}, func(w, e int) bool {
		up, _ := m.flow.higher(m.wires[w].ends[1-e], p)
		return up
	})
	b.cols = []column{{top: t, bottom: t}}
	m.add(b, s.ID)
}

func (m *plan) addGround(i int) {
	g := &m.h.Grounds[i]
	b := &block{kind: groundBlock, id: g.ID, at: i, perm: free}
	stud := harness.Point(g.ID)
	t := m.tapFor(b, tap{top: true, conn: -1, cav: -1, point: stud}, m.studEnds(stud), nil)
	b.cols = []column{{top: t, bottom: -1}}
	m.add(b, g.ID)
}

// studEnds returns the points at which wires of a stud end: its rings, and the stud itself.
func (m *plan) studEnds(stud harness.Point) []harness.Point {
	out := []harness.Point{stud}
	for i := range m.wires {
		for _, p := range m.wires[i].ends {
			if p == stud+harness.Point("."+m.wires[i].h.ID) {
				out = append(out, p)
			}
		}
	}
	return out
}

func (m *plan) addBody() {
	b := &block{kind: bodyBlock, id: string(harness.Body), perm: free}
	t := m.tapFor(b, tap{top: true, conn: -1, cav: -1, point: harness.Body}, []harness.Point{harness.Body}, nil)
	b.cols = []column{{top: t, bottom: -1}}
	m.add(b, b.id)
}

// addComponent makes the block of a component: its symbol, and above and below it the plugs or studs of its terminals.
func (m *plan) addComponent(i int) {
	c := &m.h.Components[i]
	b := &block{kind: componentBlock, id: c.ID, at: i}
	slots, perm := m.slots(c)
	b.perm = perm
	if p, ok := m.placed[c.ID]; ok && ((p.Turn%4)+4)%4 == 2 {
		for k := range slots {
			slots[k].top, slots[k].bottom = slots[k].bottom, slots[k].top
		}
	}
	used := map[[2]int]bool{}
	for _, s := range slots {
		b.cols = append(b.cols, column{
			top:    m.terminalTap(b, c, s.top, true, used),
			bottom: m.terminalTap(b, c, s.bottom, false, used),
		})
	}
	// Cavities that lead to no terminal, or to one that has its cavity already: above, to the right.
	for k := range m.h.Connectors {
		conn := &m.h.Connectors[k]
		if conn.Component != c.ID || m.connector[conn.ID] != k {
			continue
		}
		for j := range conn.Cavities {
			if !used[[2]int{k, j}] {
				used[[2]int{k, j}] = true
				b.cols = append(b.cols, column{top: m.cavityTap(b, k, j, true), bottom: -1})
			}
		}
	}
	if len(b.cols) == 0 { // nothing to connect: a box without leads
		b.cols = append(b.cols, column{top: -1, bottom: -1})
	}
	b.shape = newShape(c, b)
	ids := []string{c.ID}
	for k := range m.h.Connectors {
		if m.h.Connectors[k].Component == c.ID {
			ids = append(ids, m.h.Connectors[k].ID)
		}
	}
	m.add(b, ids...)
}

// terminalTap makes the tap of a component's terminal: its cavity, or its stud; -1 for no terminal or one that is
// neither plugged nor a stud.
func (m *plan) terminalTap(b *block, c *harness.Component, terminal string, top bool, used map[[2]int]bool) int {
	if terminal == "" {
		return -1
	}
	for k := range m.h.Connectors {
		conn := &m.h.Connectors[k]
		if conn.Component != c.ID || m.connector[conn.ID] != k {
			continue
		}
		for j, cav := range conn.Cavities {
			if cav.Terminal == terminal && !used[[2]int{k, j}] {
				used[[2]int{k, j}] = true
				return m.cavityTap(b, k, j, top)
			}
		}
	}
	stud := harness.Point(c.ID + "." + terminal)
	if i, ok := m.info[stud]; !ok || m.infos[i].Kind != harness.PostStud {
		return -1
	}
	return m.tapFor(b, tap{top: top, conn: -1, cav: -1, terminal: terminal, point: stud}, m.studEnds(stud), nil)
}

func (m *plan) cavityTap(b *block, conn, cav int, top bool) int {
	c := &m.h.Connectors[conn]
	number := c.Cavities[cav].Number
	a, half := harness.CavityPoint(c.ID, number, "a"), harness.CavityPoint(c.ID, number, "b")
	return m.tapFor(b, tap{top: top, conn: conn, cav: cav, half: "a", terminal: c.Cavities[cav].Terminal, point: a},
		[]harness.Point{a, half}, nil)
}
