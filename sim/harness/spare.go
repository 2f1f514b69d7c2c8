package harness

import "faultloom/sim/circuit"

// spare is room for bridges and leads in a compiled circuit: from every node an open branch to ground and one to a hub. A bridge
// between two nodes goes through the hub, half of its resistance in each arm, and each lead of an instrument has a hub of its own.
// A hub costs the elimination one entry in each column, where a branch for every pair that might touch would fill it.
type spare struct {
	ground []circuit.ID // by node-1
	bridge hub
	used   []circuit.ID // of ground and bridge: those that conduct now
	leads  [][2]hub     // by slot
}

// hub is a node with an open arm to every point, by node with 0 for the body.
type hub struct {
	node circuit.Node
	arms []circuit.ID
}

// touchOhms is the arm between a lead's hub and the point where it lies: a millionth of the smallest resistance of an
// instrument's leads, so that a prepared machine reads what a plain one does.
const touchOhms = 1e-8

// Prepare makes room, so that nothing is compiled again when Alter puts in any number of bridges to Body and one between two other
// points, or when an instrument that is attached already is moved to other points by Attach. It pays when many faults or
// many places of the leads are tried in turn.
func (m *Machine) Prepare() error {
	if m.spare != nil {
		return nil
	}
	m.spare = &spare{}
	return m.compile()
}

// build adds the open branches for nodes 0 to nodes.
func (s *spare) build(n *circuit.Netlist, nodes int) {
	s.ground, s.used, s.leads = s.ground[:0], s.used[:0], s.leads[:0]
	for v := 1; v <= nodes; v++ {
		s.ground = append(s.ground, n.Add("spare to body", circuit.Node(v), circuit.Ground, circuit.Resistor{Ohms: Broken}))
	}
	s.bridge = newHub(n, nodes)
}

// lead adds the hubs for an instrument's two leads and returns their nodes.
func (s *spare) lead(n *circuit.Netlist, nodes int) []circuit.Node {
	pair := [2]hub{newHub(n, nodes), newHub(n, nodes)}
	s.leads = append(s.leads, pair)
	return []circuit.Node{pair[0].node, pair[1].node}
}

func newHub(n *circuit.Netlist, nodes int) hub {
	h := hub{node: n.Node("hub")}
	for v := range nodes + 1 {
		h.arms = append(h.arms, n.Add("spare to hub", circuit.Node(v), h.node, circuit.Resistor{Ohms: Broken}))
	}
	return h
}

// touch lays the leads of a slot on two nodes; was are those they lay on before, to be lifted from.
func (s *spare) touch(sol *circuit.Solver, slot int, was, now [2]circuit.Node) {
	for i := range now {
		arms := s.leads[slot][i].arms
		if was[i] != now[i] {
			sol.SetOhms(arms[was[i]], Broken)
		}
		sol.SetOhms(arms[now[i]], touchOhms)
	}
}

// holds reports whether there is room for all of these bridges at once.
func (s *spare) holds(bridges []bridge) bool {
	between := 0
	for i, b := range bridges {
		if b.a != circuit.Ground && b.b != circuit.Ground {
			between++
			continue
		}
		for _, other := range bridges[:i] {
			if other.a+other.b == b.a+b.b && (other.a == circuit.Ground || other.b == circuit.Ground) {
				return false // the same branch to ground twice
			}
		}
	}
	return between <= 1
}

// apply makes exactly these bridges conduct. holds must have allowed them.
func (s *spare) apply(sol *circuit.Solver, bridges []bridge) {
	for _, id := range s.used {
		sol.SetOhms(id, Broken)
	}
	s.used = s.used[:0]
	set := func(id circuit.ID, ohms float64) {
		sol.SetOhms(id, ohms)
		s.used = append(s.used, id)
	}
	for _, b := range bridges {
		switch circuit.Ground {
		case b.a:
			set(s.ground[b.b-1], b.ohms)
		case b.b:
			set(s.ground[b.a-1], b.ohms)
		default:
			set(s.bridge.arms[b.a], b.ohms/2)
			set(s.bridge.arms[b.b], b.ohms/2)
		}
	}
}
