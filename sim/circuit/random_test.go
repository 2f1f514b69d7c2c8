package circuit_test

import (
	"fmt"
	"math/rand/v2"

	"faultloom/sim/circuit"
)

// harness is a circuit of the shape of a vehicle's: a battery, fused feeds, splices, loads of which some are lamps, diodes across
// and before them, ground leads that several loads share, studs that several groups share, and a few rings.
type harness struct {
	net     circuit.Netlist
	rand    *rand.Rand
	size    int // nodes to make besides Ground
	linear  bool
	battery circuit.ID
	wires   []circuit.ID
	loads   []circuit.ID // those that are resistors
	lamps   []circuit.ID
	diodes  []circuit.ID
}

// newHarness makes one with n nodes besides Ground, 15 % of them with a lamp and 5 % with a diode. With linear, these are
// resistors.
func newHarness(n int, seed uint64, linear bool) *harness {
	h := &harness{rand: rand.New(rand.NewPCG(seed, uint64(n))), size: n, linear: linear}
	post := h.node()
	h.battery = h.net.Add("battery", post, circuit.Ground, circuit.Source{EMF: 12.6, Ohms: 0.008})
	box := h.chain(post, 1) // the fuse box
	stud := h.chain(circuit.Ground, 1)
	for group := 1; h.room(); group++ {
		if group%4 == 0 {
			stud = h.chain(circuit.Ground, 1)
		}
		if group%12 == 0 {
			box = h.chain(post, 2)
		}
		h.group(box, stud)
	}
	return h
}

func (h *harness) room() bool { return h.net.Nodes() <= h.size }

func (h *harness) node() circuit.Node { return h.net.Node(fmt.Sprintf("n%d", h.net.Nodes())) }

func (h *harness) wire(a, b circuit.Node) {
	h.wires = append(h.wires, h.net.Add(fmt.Sprintf("w%d", len(h.wires)), a, b,
		circuit.Resistor{Ohms: 0.001 + 0.04*h.rand.Float64()}))
}

// chain leads on from a node by some wires, as far as there is room for nodes.
func (h *harness) chain(from circuit.Node, wires int) circuit.Node {
	for range wires {
		if !h.room() {
			break
		}
		to := h.node()
		h.wire(from, to)
		from = to
	}
	return from
}

// group is what hangs on one fuse: a feed, one or two splices, up to six loads, and a ground lead.
func (h *harness) group(box, stud circuit.Node) {
	r := h.rand
	splice := h.chain(box, 2+r.IntN(3))
	back := h.chain(stud, 1+r.IntN(2))
	var last circuit.Node
	for i := range 1 + r.IntN(6) {
		if !h.room() {
			return
		}
		if i == 3 {
			splice = h.chain(splice, 2)
		}
		in := h.chain(splice, 1+r.IntN(3))
		out := h.chain(back, r.IntN(3))
		h.load(in, out)
		if last != 0 && r.Float64() < 0.08 {
			h.wire(in, last) // a ring
		}
		last = in
	}
}

// load puts one load in, a lamp or a diode when these are behind their share.
func (h *harness) load(a, b circuit.Node) {
	r := h.rand
	nodes := h.net.Nodes()
	name := fmt.Sprintf("load%d", nodes)
	resistor := circuit.Resistor{Ohms: 3 + 200*r.Float64()}
	if !h.linear && len(h.diodes)*20 < nodes {
		law := newJunction(1e-12, 0.02585*1.2)
		if len(h.diodes)%2 == 0 && h.room() {
			mid := h.node()
			h.diodes = append(h.diodes, h.net.Add(name+"d", a, mid, circuit.Curve{Law: law}))
			a = mid
		} else {
			h.diodes = append(h.diodes, h.net.Add(name+"d", b, a, circuit.Curve{Law: law}))
		}
	} else if h.linear && h.room() && r.Float64() < 0.05 {
		a = h.chain(a, 1)
	}
	if !h.linear && len(h.lamps)*100 < nodes*15 {
		h.lamps = append(h.lamps, h.net.Add(name, a, b, circuit.Curve{Law: &filament{i0: 0.2 + 4*r.Float64(), v0: 12}}))
		return
	}
	h.loads = append(h.loads, h.net.Add(name, a, b, resistor))
}
