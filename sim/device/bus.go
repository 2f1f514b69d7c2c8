package device

import (
	"math"
	"slices"

	"faultloom/sim/circuit"
)

// Introduce makes those devices of one circuit known to each other that must be: the nodes of each bus, the modules on it, and what warms up
// on the pulses of modules. It is called each time the circuit has been built.
func Introduce(all []Device) {
	newPulses(all)
	var groups [][]*Node
	for _, d := range all {
		n, _ := d.(*Node)
		if m, ok := d.(*Module); ok {
			n = m.node
		}
		if n == nil {
			continue
		}
		i := slices.IndexFunc(groups, func(g []*Node) bool { return g[0].group == n.group })
		if i < 0 {
			groups = append(groups, nil)
			i = len(groups) - 1
		}
		groups[i] = append(groups[i], n)
	}
	for _, g := range groups {
		newBus(g)
		for _, n := range g {
			if n.owner != nil {
				n.owner.meet(g)
			}
		}
	}
}

// bus is the nodes that are meant to talk with each other. Whether they are wired so is up to the circuit: it is asked what happens at
// every node when one of them drives.
type bus struct {
	nodes []*Node
	found []busFound
	known bool // found holds for the present solution
	rest  []busLevels
	shift [][2][]busLevels // by driver and wire: what an ampere does at every node
	all   []float64
}

// busFound is what a node learns of a look at the bus.
type busFound struct {
	full, mean [2]float64 // amperes into high and out of low while it sends, and on average
	level      float64    // share of the others with which it talks
	least      float64    // the same for receivers whose thresholds are off by busDoubt, so that they ask for more, and for less
	most       float64
	hears      [3][]bool // by node: that one, when it sends; as it is, and with thresholds that ask for more, and for less
}

// busLevels is the voltages of both wires at a node over its ground, in volts, and what they are when something is added.
type busLevels struct{ high, low float64 }

func (l busLevels) plus(d busLevels, amps float64) busLevels {
	return busLevels{l.high + float64(d.high*amps), l.low + float64(d.low*amps)}
}

// busStrict are the factors by which the three judgements of busFound.hears ask for more than the standard's thresholds.
var busStrict = [3]float64{1, 1 + busDoubt, 1 - busDoubt}

// reads reports whether a receiver can tell a difference, which is that of dominant or of recessive, if it asks for strict times what the
// standard asks for.
func (l busLevels) reads(dominant bool, strict float64) bool {
	if !(math.Abs(l.high+l.low) <= 2*busReach/strict) {
		return false
	}
	if dominant {
		return l.high-l.low >= busDominant*strict
	}
	return l.high-l.low <= busRecessive/strict
}

func newBus(nodes []*Node) {
	b := &bus{nodes: nodes, found: make([]busFound, len(nodes)), rest: make([]busLevels, len(nodes)), shift: make([][2][]busLevels, len(nodes))}
	for i, n := range nodes {
		n.bus, n.at = b, i
		for c := range b.found[i].hears {
			b.found[i].hears[c] = make([]bool, len(nodes))
		}
		b.shift[i] = [2][]busLevels{make([]busLevels, len(nodes)), make([]busLevels, len(nodes))}
	}
}

// look finds out what the present solution means for every node, once for each solution.
func (b *bus) look(s *circuit.Solver) {
	if b.known {
		return
	}
	b.known = true
	if len(b.all) != s.Nodes() {
		b.all = make([]float64, s.Nodes())
	}
	for j, n := range b.nodes {
		g := s.Voltage(n.pins[nodeGround])
		b.rest[j] = busLevels{s.Voltage(n.pins[nodeHigh]) - g, s.Voltage(n.pins[nodeLow]) - g}
	}
	// What is there without any message: the present mean less what everybody adds to it.
	for k, n := range b.nodes {
		if !n.sends() && n.amps == [2]float64{} {
			continue
		}
		s.Transfer(n.pins[nodeHigh], n.pins[nodeSupply], b.all)
		b.keep(b.shift[k][0])
		s.Transfer(n.pins[nodeGround], n.pins[nodeLow], b.all)
		b.keep(b.shift[k][1])
	}
	for k, n := range b.nodes {
		for i, amps := range n.amps {
			if amps == 0 {
				continue
			}
			for j := range b.rest {
				b.rest[j] = b.rest[j].plus(b.shift[k][i][j], -amps)
			}
		}
	}
	total := 0.0
	for k, n := range b.nodes {
		if b.drive(k); b.found[k].hears[0][k] {
			total += n.share
		}
	}
	scale := 1.0
	if total > busFull {
		scale = busFull / total
	}
	for k, n := range b.nodes {
		f := &b.found[k]
		f.mean = [2]float64{}
		if f.hears[0][k] {
			f.mean = [2]float64{n.share * scale * f.full[0], n.share * scale * f.full[1]}
		}
		f.level, f.least, f.most = b.talks(k, 0), b.talks(k, 1), b.talks(k, 2)
	}
}

// talks returns the share of the others with which node k talks, by one of the judgements of busFound.hears.
func (b *bus) talks(k, by int) float64 {
	share := 0.0
	for j := range b.nodes {
		if j != k && b.found[k].hears[by][j] && b.found[j].hears[by][k] {
			share += 1 / float64(len(b.nodes)-1)
		}
	}
	return share
}

// keep picks out of the response of all points that of the nodes.
func (b *bus) keep(to []busLevels) {
	for j, n := range b.nodes {
		g := b.all[n.pins[nodeGround]]
		to[j] = busLevels{b.all[n.pins[nodeHigh]] - g, b.all[n.pins[nodeLow]] - g}
	}
}

// drive finds the currents of node k while it sends, and who hears it. With R in each driver and z the response
//
//	R·i₁ = 5 V - (high + z₁₁·i₁ + z₁₂·i₂)        R·i₂ = low + z₂₁·i₁ + z₂₂·i₂
func (b *bus) drive(k int) {
	n, f := b.nodes[k], &b.found[k]
	f.full = [2]float64{}
	if n.sends() {
		one, two, rest := b.shift[k][0][k], b.shift[k][1][k], b.rest[k]
		a, c := busOhms+one.high, two.high
		d, e := -one.low, busOhms-two.low
		p, q := busVolts-rest.high, rest.low
		det := float64(a*e) - float64(c*d)
		i, o := (float64(p*e)-float64(q*c))/det, (float64(a*q)-float64(d*p))/det
		switch {
		case i < 0:
			i, o = 0, max(0, q/e)
		case o < 0:
			i, o = max(0, p/a), 0
		}
		f.full = [2]float64{i, o}
	}
	for j, other := range b.nodes {
		now := b.rest[j].plus(b.shift[k][0][j], f.full[0]).plus(b.shift[k][1][j], f.full[1])
		for c, strict := range busStrict {
			b.found[j].hears[c][k] = n.sends() && other.works() && b.rest[j].reads(false, strict) && now.reads(true, strict)
		}
	}
}
