package harness

import "faultloom/sim/circuit"

// spare is room for bridges in a compiled circuit: from every node an open branch to ground and one to a hub. A bridge between two
// nodes goes through the hub, half of its resistance in each arm. One hub node costs the elimination one entry in each column,
// where a branch for every pair that might touch would fill it.
type spare struct {
	ground, arm []circuit.ID // by node-1
	used        []circuit.ID // those that conduct now
}

// Prepare makes room for bridges, so that Alter need not compile again for any number of bridges to Body and one between two
// other points. Solving takes longer then; it pays when many faults are tried in turn.
func (m *Machine) Prepare() error {
	if m.spare != nil {
		return nil
	}
	m.spare = &spare{}
	return m.compile()
}

// build adds the open branches for nodes 1 to nodes.
func (s *spare) build(n *circuit.Netlist, nodes int) {
	s.ground, s.arm, s.used = s.ground[:0], s.arm[:0], s.used[:0]
	hub := n.Node("hub")
	for i := 1; i <= nodes; i++ {
		v := circuit.Node(i)
		s.ground = append(s.ground, n.Add("spare to body", v, circuit.Ground, circuit.Resistor{Ohms: Broken}))
		s.arm = append(s.arm, n.Add("spare to hub", v, hub, circuit.Resistor{Ohms: Broken}))
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
			set(s.arm[b.a-1], b.ohms/2)
			set(s.arm[b.b-1], b.ohms/2)
		}
	}
}
