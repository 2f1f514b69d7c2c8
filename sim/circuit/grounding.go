package circuit

import "math"

// Resistances writes to out the resistance in ohms from every node to Ground (indexed by Node, length Nodes, 0 for Ground itself), in the
// circuit linearised at the last solution: what Thevenin returns for each of them, for about the price of one elimination. All
// are NaN unless Solve has succeeded since the last change. It panics if out has another length.
//
// It finds those entries of the inverse that lie where the elimination has entries, from the last column to the first: R_kq = Σ l_i·R_iq
// over the columns i that k is joined to, and R_kk = 1/d_k + Σ l_i·R_ki (Takahashi, Fagan and Chen, "Formation of a sparse bus impedance
// matrix and its application to short circuit study", 1973). Nothing in it is ever negative, so no digits are lost.
func (s *Solver) Resistances(out []float64) {
	if len(out) != len(s.volts) {
		panic("circuit: Resistances needs room for every node")
	}
	if !s.solved {
		fill(out, math.NaN())
		return
	}
	sym := s.sym
	if s.joint == nil {
		s.joint = make([]float64, sym.slots)
	}
	joint := s.joint
	out[Ground] = 0
	for k := sym.columns - 1; k >= 0; k-- {
		p0, p1 := s.entries(k)
		for e := p0; e < p1; e++ {
			joint[e] = s.part[e] * out[sym.rowNode[e]]
		}
		for e := p0; e+1 < p1; e++ {
			at := sym.reach[e]
			for f := e + 1; f < p1; f++ {
				q := at + f - e - 1
				if at < 0 {
					q = sym.target[^at+f-e-1]
				}
				joint[e] += float64(s.part[f] * joint[q])
				joint[f] += float64(s.part[e] * joint[q])
			}
		}
		r := s.inv[k]
		for e := p0; e < p1; e++ {
			r += float64(s.part[e] * joint[e])
		}
		out[sym.node[k]] = r
	}
}
