package circuit

import "math"

// Adopt makes the solver hold the values of a netlist as if it had just been compiled from it, which costs far less. It reports whether it
// can: the netlist must have the nodes and branches of the one that the solver was compiled from, by name, place and kind, with nothing among them
// that stores, and values that are allowed. Else the solver stays as it is.
func (s *Solver) Adopt(n *Netlist) bool {
	if len(s.str) > 0 || !s.sym.net.alike(n) || n.check() != nil {
		return false
	}
	for i, el := range n.branches {
		id := ID(i)
		switch br := el.br.(type) {
		case Resistor:
			s.putBack(id, value{br.Ohms, 0})
		case Source:
			s.putBack(id, value{br.Ohms, br.EMF})
		case Injection:
			s.putBack(id, value{math.Inf(1), br.Amps})
		case Curve:
			c := &s.crv[s.sym.curveOf[i]]
			*c = curve{law: br.Law, kinked: kinked(br.Law), a: c.a, b: c.b, sign: c.sign}
		}
	}
	clear(s.volts)
	s.bad = s.bad[:0]
	s.since = since{changed: s.since.changed[:0]}
	s.behind, s.moving, s.dt, s.unstamped, s.jump, s.rough, s.smooth = false, false, 0, true, true, 0, 0
	s.Cold()
	return true
}

// alike reports whether two netlists differ by nothing but values.
func (n *Netlist) alike(m *Netlist) bool {
	if len(n.nodes) != len(m.nodes) || len(n.branches) != len(m.branches) {
		return false
	}
	for i, x := range n.branches {
		if y := &m.branches[i]; x.a != y.a || x.b != y.b || kindOf(x.br) != kindOf(y.br) || x.name != y.name {
			return false
		}
	}
	for i, name := range n.nodes {
		if m.nodes[i] != name {
			return false
		}
	}
	return true
}

func kindOf(br Branch) kind {
	switch br.(type) {
	case Resistor:
		return resistor
	case Source:
		return source
	case Injection:
		return injection
	case Curve:
		return curved
	case Capacitor:
		return capacitor
	}
	return inductor
}
