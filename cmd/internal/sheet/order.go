package sheet

import (
	"math"
	"sort"
)

// item is what stands in a layer: a block, or a wire on its way through.
type item struct {
	block int // -1 for a wire passing through
	wire  int
	pass  int // index in plan.passes
	x     float64
}

// pass is a wire's way through one layer.
type pass struct {
	wire, layer int
	x           float64
}

// grid is the layers in the order of their items, and the ways of the wires through them.
type grid struct {
	m      *plan
	layers [][]*item
	items  []*item // by block
	passes []pass
	// passItem is the item of each pass.
	passItem []*item
	// through lists for each wire its passes, from end 0 to end 1.
	through [][]int
	// ends of wires in each channel: channel c lies above layer c; see spans.
	spans [][]span
	// ways is room to work in for crossings.
	ways [][2]float64
}

// span is one wire's way through one channel, between two pins: on the lower edge of the layer above (top) or the upper
// edge of the layer below.
type span struct {
	wire int
	a, b pin
}

// pin is where a wire enters a channel: at a port, or at a pass.
type pin struct {
	top        bool // at the channel's upper edge
	port, pass int  // one of them, the other -1
}

// newGrid puts the blocks into their layers and the wires' ways through layers between them.
func newGrid(m *plan, layers int) *grid {
	g := &grid{m: m, layers: make([][]*item, layers), items: make([]*item, len(m.blocks)), through: make([][]int, len(m.wires)),
		spans: make([][]span, layers+1)}
	for i, b := range m.blocks {
		it := &item{block: i, wire: -1, pass: -1}
		g.items[i] = it
		g.layers[b.layer] = append(g.layers[b.layer], it)
	}
	for i := range m.wires {
		g.lead(i)
	}
	return g
}

// channelOf returns the channel that a port opens into.
func (g *grid) channelOf(p int) int {
	l := g.m.blocks[g.m.ports[p].block].layer
	if g.m.ports[p].top {
		return l
	}
	return l + 1
}

// lead finds the channels and passes of wire i.
func (g *grid) lead(i int) {
	w := g.m.wires[i]
	from, to := g.channelOf(w.port[0]), g.channelOf(w.port[1])
	at := pin{top: !g.m.ports[w.port[0]].top, port: w.port[0], pass: -1}
	step := 1
	if to < from {
		step = -1
	}
	for c := from; c != to; c += step {
		layer := c
		if step < 0 {
			layer = c - 1
		}
		p := len(g.passes)
		g.passes = append(g.passes, pass{wire: i, layer: layer})
		g.through[i] = append(g.through[i], p)
		it := &item{block: -1, wire: i, pass: p}
		g.passItem = append(g.passItem, it)
		g.layers[layer] = append(g.layers[layer], it)
		g.spans[c] = append(g.spans[c], span{i, at, pin{top: step < 0, port: -1, pass: p}})
		at = pin{top: step > 0, port: -1, pass: p}
	}
	g.spans[to] = append(g.spans[to], span{i, at, pin{top: !g.m.ports[w.port[1]].top, port: w.port[1], pass: -1}})
}

// pinX returns where a pin stands, from the left edge of the layer's present arrangement.
func (g *grid) pinX(p pin) float64 {
	if p.pass >= 0 {
		return g.passes[p.pass].x
	}
	q := g.m.ports[p.port]
	return g.items[q.block].x + q.x
}

// pack sets the x of all items of a layer, close together in their order. Ordering only compares places, and a place
// measured in widths spreads the ports of a block as they will stand.
func (g *grid) pack(layer int) {
	var x float64
	for _, it := range g.layers[layer] {
		if it.block < 0 {
			it.x = x + portGap/2
			g.passes[it.pass].x = it.x
			x += portGap
			continue
		}
		b := g.m.blocks[it.block]
		it.x = x
		x += b.w + b.right + blockGap
	}
	// All layers about the same middle.
	for _, it := range g.layers[layer] {
		it.x -= x / 2
		if it.block < 0 {
			g.passes[it.pass].x = it.x
		}
	}
}

// order arranges every layer so that wires cross little: sweeps by the mean place of what each item joins, then
// exchanges of neighbours while that helps, keeping the best arrangement seen.
func (g *grid) order() {
	g.start()
	best, bestCost := g.save(), g.cost()
	const sweeps = 12
	for s := range sweeps {
		if s%2 == 0 {
			for l := range g.layers {
				g.sortLayer(l, true)
			}
		} else {
			for l := len(g.layers) - 1; l >= 0; l-- {
				g.sortLayer(l, false)
			}
		}
		g.arrangeBlocks()
		g.exchange()
		if c := g.cost(); c < bestCost {
			best, bestCost = g.save(), c
		}
	}
	g.restore(best)
}

// start is the first arrangement: depth first from the supply, so that what belongs to one circuit starts side by side.
func (g *grid) start() {
	m := g.m
	next := make([][]int, len(m.blocks))
	for _, w := range m.wires {
		a, b := m.ports[w.port[0]].block, m.ports[w.port[1]].block
		next[a] = append(next[a], b)
		next[b] = append(next[b], a)
	}
	number := make([]int, len(m.blocks))
	for i := range number {
		number[i] = -1
	}
	n := 0
	var visit func(i int)
	visit = func(i int) {
		if number[i] >= 0 {
			return
		}
		number[i] = n
		n++
		for _, j := range next[i] {
			if m.blocks[j].layer > m.blocks[i].layer {
				visit(j)
			}
		}
		for _, j := range next[i] {
			visit(j)
		}
	}
	byLayer := make([]int, len(m.blocks))
	for i := range byLayer {
		byLayer[i] = i
	}
	sort.SliceStable(byLayer, func(a, b int) bool {
		x, y := m.blocks[byLayer[a]], m.blocks[byLayer[b]]
		if x.layer != y.layer {
			return x.layer < y.layer
		}
		return g.feeds(x) && !g.feeds(y)
	})
	for _, i := range byLayer {
		visit(i)
	}
	for l := range g.layers {
		key := func(it *item) float64 {
			if it.block >= 0 {
				return float64(number[it.block])
			}
			w := m.wires[it.wire]
			a, b := number[m.ports[w.port[0]].block], number[m.ports[w.port[1]].block]
			return float64(min(a, b)) + 0.5
		}
		sort.SliceStable(g.layers[l], func(a, b int) bool {
			x, y := g.layers[l][a], g.layers[l][b]
			if p, q := g.band(x), g.band(y); p != q {
				return p < q
			}
			return key(x) < key(y)
		})
		g.holdColumns(l)
		g.pack(l)
	}
}

// band returns which band of a folded sheet an item belongs to: 0, 2, 4 from the left, and what lies between them for
// wires from one to another.
func (g *grid) band(it *item) int {
	if it.block >= 0 {
		if g.m.blocks[it.block].kind == bodyBlock {
			return math.MaxInt // to the right of all
		}
		return 2 * g.m.blocks[it.block].band
	}
	w := g.m.wires[it.wire]
	a, b := g.m.blocks[g.m.ports[w.port[0]].block], g.m.blocks[g.m.ports[w.port[1]].block]
	if a.kind == groundBlock || a.kind == bodyBlock {
		a = b
	}
	if b.kind == groundBlock || b.kind == bodyBlock {
		b = a
	}
	return a.band + b.band
}

func (g *grid) feeds(b *block) bool {
	if b.kind != componentBlock {
		return false
	}
	_, _, ok := supplyTerminals(g.m.h.Components[b.at].Spec)
	return ok
}

// column returns where the author wants an item to stand among its layer; what feeds stands first unless told otherwise.
func (g *grid) column(it *item) (float64, bool) {
	if it.block < 0 {
		return 0, false
	}
	b := g.m.blocks[it.block]
	if b.placed {
		return b.placedCol, true
	}
	if g.feeds(b) && b.layer == 0 {
		return feedColumn, true
	}
	return 0, false
}

// holdColumns puts the items of a layer that have a column into the order of their columns, in the places they hold together.
func (g *grid) holdColumns(l int) {
	var at []int
	var held []*item
	for i, it := range g.layers[l] {
		if _, ok := g.column(it); ok {
			at = append(at, i)
			held = append(held, it)
		}
	}
	sort.SliceStable(held, func(a, b int) bool {
		x, _ := g.column(held[a])
		y, _ := g.column(held[b])
		return x < y
	})
	for i, it := range held {
		g.layers[l][at[i]] = it
	}
	// What feeds is the leftmost of all: of battery and alternator the one that was before the other stays so.
	front := 0
	for i, it := range g.layers[l] {
		if c, ok := g.column(it); ok && c == feedColumn {
			copy(g.layers[l][front+1:i+1], g.layers[l][front:i])
			g.layers[l][front] = it
			front++
		}
	}
}

// feedColumn is left of every column that an author may give.
const feedColumn = -1e6

// neighbours calls f with the pins at the far ends of the spans that leave item it through the channel above (or below).
func (g *grid) neighbours(it *item, l int, above bool, f func(own, other pin)) {
	c := l + 1
	if above {
		c = l
	}
	mine := func(p pin) bool {
		if p.top == above {
			return false // the pin stands on the other side of the channel
		}
		if it.block < 0 {
			return p.pass == it.pass
		}
		return p.port >= 0 && g.m.ports[p.port].block == it.block
	}
	for _, s := range g.spans[c] {
		if mine(s.a) {
			f(s.a, s.b)
		}
		if mine(s.b) {
			f(s.b, s.a)
		}
	}
}

// sortLayer orders a layer by the mean x of what its items join above (or below).
func (g *grid) sortLayer(l int, above bool) {
	type keyed struct {
		it  *item
		key float64
	}
	list := make([]keyed, len(g.layers[l]))
	for i, it := range g.layers[l] {
		var sum float64
		n := 0
		add := func(own, other pin) {
			at := g.pinX(own) - it.x // aim with the port, not with the corner
			sum += g.pinX(other) - at
			n++
		}
		g.neighbours(it, l, above, add)
		if n == 0 {
			g.neighbours(it, l, !above, add)
		}
		k := it.x
		if n > 0 {
			k = sum / float64(n)
		}
		if it.block >= 0 { // compare middles
			k += g.m.blocks[it.block].w / 2
		}
		list[i] = keyed{it, k}
	}
	sort.SliceStable(list, func(a, b int) bool {
		if p, q := g.band(list[a].it), g.band(list[b].it); p != q {
			return p < q
		}
		return list[a].key < list[b].key
	})
	for i, k := range list {
		g.layers[l][i] = k.it
	}
	g.holdColumns(l)
	g.pack(l)
}

// exchange swaps neighbours within layers as long as wires cross less for it.
func (g *grid) exchange() {
	const rounds = 6
	var was []*item
	for range rounds {
		improved := false
		for l := range g.layers {
			for i := 0; i+1 < len(g.layers[l]); i++ {
				a, b := g.layers[l][i], g.layers[l][i+1]
				_, heldA := g.column(a)
				_, heldB := g.column(b)
				if heldA && heldB || g.band(a) != g.band(b) {
					continue
				}
				before := g.around(l)
				was = append(was[:0], g.layers[l]...)
				g.layers[l][i], g.layers[l][i+1] = b, a
				g.holdColumns(l)
				g.pack(l)
				if g.layers[l][i] == b && g.around(l) < before {
					improved = true
					continue
				}
				copy(g.layers[l], was) // with what the columns moved beside these two
				g.pack(l)
			}
		}
		if !improved {
			return
		}
	}
}

func (g *grid) around(l int) int { return g.crossings(l) + g.crossings(l+1) }

// cost is the number of crossings everywhere.
func (g *grid) cost() int {
	n := 0
	for c := range g.spans {
		n += g.crossings(c)
	}
	return n
}

// crossings counts the pairs of wires in channel c that must cross, whatever their tracks. Going round the channel's rim, the
// upper edge from left to right and the lower edge back, two wires cross if their pins alternate.
func (g *grid) crossings(c int) int {
	const far = 1e7 // beyond any sheet
	ways := g.ways[:0]
	for _, s := range g.spans[c] {
		var r [2]float64
		for i, p := range [2]pin{s.a, s.b} {
			r[i] = far - g.pinX(p)
			if p.top {
				r[i] = g.pinX(p) - far
			}
		}
		ways = append(ways, [2]float64{min(r[0], r[1]), max(r[0], r[1])})
	}
	g.ways = ways
	n := 0
	for i, a := range ways {
		for _, b := range ways[i+1:] {
			if (b[0] > a[0] && b[0] < a[1]) != (b[1] > a[0] && b[1] < a[1]) {
				n++
			}
		}
	}
	return n
}
