package device

import (
	"slices"

	"faultloom/sim/circuit"
)

// A module on a two-wire bus has a Node's transceiver between its own supply and ground. What it sends, others may have as inputs: an input
// that comes over the bus is what its sender believes, as long as both talk (see Node), and what its file says for a lost talk else.

// How the defects of a module's transceiver begin; the Node's own name for it follows.
const busDefect = "bus-"

// busDefects lists what can go wrong with the transceiver of a module.
func busDefects(l *Logic) []Defect {
	if l.Bus == nil {
		return nil
	}
	all := []Defect{
		{Name: busDefect + "dead", Doc: "bus transceiver of the module dead: neither sends nor hears", Likelihood: 0.5},
		{Name: busDefect + "stuck-dominant", Doc: "bus transceiver of the module stuck: holds the bus dominant", Likelihood: 0.3},
	}
	if l.Bus.Ohms > 0 {
		all = append(all, Defect{Name: busDefect + "termination-open", Doc: "terminating resistor in the module open", Likelihood: 0.5})
	}
	return all
}

// moduleNode makes the transceiver of a module, nil if it is on no bus.
func moduleNode(l *Logic, m *Module) *Node {
	if l.Bus == nil {
		return nil
	}
	n := newNode(l.Bus.Ohms, l.Bus.Traffic, l.Bus.Number)
	n.owner = m
	return n
}

// meet finds out who sends what this module has over the bus. nodes are those of its bus.
func (m *Module) meet(nodes []*Node) {
	m.senders = make([]moduleSender, len(m.logic.Inputs))
	for i, in := range m.logic.Inputs {
		if !in.OverBus {
			continue
		}
		for _, n := range nodes {
			if o := n.owner; o != nil && o != m && slices.Contains(o.logic.Bus.Sends, in.Name) {
				m.senders[i] = moduleSender{n, o.signalPlace(in.Name)}
				break
			}
		}
	}
}

// moduleSender is whoever sends an input, and the place of the signal in its state.
type moduleSender struct {
	node   *Node
	signal int
}

// signalPlace is the place of an input or timer among the signals of the state.
func (m *Module) signalPlace(name string) int {
	if i := slices.IndexFunc(m.logic.Inputs, func(in LogicInput) bool { return in.Name == name }); i >= 0 {
		return i
	}
	return len(m.logic.Inputs) + slices.IndexFunc(m.logic.Timers, func(t LogicTimer) bool { return t.Name == name })
}

// transceive puts the module's state into its transceiver before that is stamped.
func (m *Module) transceive() {
	n := m.node
	n.awake, n.name = m.x.alive, ""
	if d, ok := cutDefect(m.name); ok {
		n.name = d
	}
}

// cutDefect returns the Node's name of a defect of a module's transceiver.
func cutDefect(name string) (string, bool) {
	if len(name) > len(busDefect) && name[:len(busDefect)] == busDefect {
		return name[len(busDefect):], true
	}
	return "", false
}

// receive puts into y what input i is by the bus.
func (m *Module) receive(y *moduleState, s *circuit.Solver, i int) {
	from := m.senders[i]
	heard := y.alive && from.node != nil && m.node.talksWith(s, from.node)
	y.lost[i] = y.alive && !heard
	switch lost := m.logic.Inputs[i].Lost; {
	case !y.alive:
		y.signal[i] = false
	case heard:
		y.signal[i] = from.node.owner.x.signal[from.signal]
	case lost == LostOn:
		y.signal[i] = true
	case lost != LostKeep:
		y.signal[i] = false
	}
}

// talksWith reports whether a node gets what another on its bus sends, and can answer it.
func (n *Node) talksWith(s *circuit.Solver, other *Node) bool {
	n.bus.look(s)
	return n.bus.found[n.at].hears[0][other.at] && n.bus.found[other.at].hears[0][n.at]
}
