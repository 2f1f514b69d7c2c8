package circuit

import (
	"math"
)

// LeakSiemens is the conductance from every node to Ground, in siemens, so that a part of a circuit that is joined to nothing
// has a voltage all the same. 1 TΩ is what a clean, dry connector's plastic keeps between its cavities (a rule of the
// trade is to condemn a harness below 1 MΩ); it takes 0.001 % off the reading of a 10 MΩ meter on a floating wire
// and 12 pA from a 12 V supply, below anything an instrument shows.
const LeakSiemens = 1e-12

// Solver holds the numbers of one compiled circuit and its last solution. It is not safe for concurrent use; Clone gives
// another goroutine its own.
type Solver struct {
	sym  *symbolic
	lin  []linear // by branch
	crv  []curve  // by index in sym.curves
	str  []store  // by index in sym.stores
	orig nortons  // slot -> sum of its linear branches, leakage counted
	base nortons  // slot of a live column -> orig with what the other columns leave there

	still []norton // by index in sym.hotSlots: the sum of the stores there
	hot   []norton // the same with the curves, as in the last elimination

	acc  nortons   // slot -> what stands there when its column is eliminated
	inv  []float64 // column -> reciprocal of its total conductance then
	part []float64 // slot -> what of its column's voltage follows from it, see back

	volts []float64 // by Node

	form  form
	since since

	dirty               []uint8  // column -> what of its numbers does not follow from orig and hot any more
	marks               []uint64 // a bit for each column: whether it is dirty
	fixedCost, liveCost int32    // of mending the dirty columns
	unstamped           bool     // hot may not follow from the curves and stores any more
	moved               int32    // how many laws have been linearised anew since it did
	stale               bool     // some curve may be
	all                 bool     // all live columns are to be eliminated anew

	solved bool // volts is the solution for the present values
	behind bool // but not yet that of the columns that are not live

	moving bool          // the last solution is one in time
	jump   bool          // something has changed abruptly since
	dt     float64       // of the last step in seconds, 0 when the stores stand as at an operating point
	bad    []*ValueError // values that were not allowed, by the order of the calls

	last, before  float64 // the last step and the one before, in seconds
	rough, smooth int     // steps to take by backward Euler, and taken by the trapezoidal rule since
	holds         []hold  // by index in sym.stores, scratch of Step

	iterations int
	tolerance  float64   // share of a current by which it may miss its law
	rhs        []float64 // by column, all zero between calls
	unit       []float64 // by Node, [Ground] always 0
	grounding  []float64 // by Node, [Ground] always 0
	path       []int32   // columns
	spare      []float64 // by place in path
	joint      []float64 // by entry, scratch of Resistances, made when first needed
	damp       *damping  // scratch of the fallback, made when first needed
}

// linear is a branch at its value: i = g·(va-vb) - j, with j the current it drives into a.
type linear struct {
	g, j   float64
	a, b   int32
	kind   kind
	ohms   float64
	source float64 // EMF in volts or injected amperes
}

type kind uint8

const (
	resistor kind = iota
	source
	injection
	curved
	capacitor
	inductor
)

// Compile checks a netlist and prepares it for solving: the order of elimination and the places of all numbers are found
// here, once. It returns a *ValueError for the first branch whose value or node is not allowed. A part of the circuit that is
// joined to nothing is no error. The netlist may be changed afterwards without effect on the solver.
func Compile(n *Netlist) (*Solver, error) {
	if err := n.check(); err != nil {
		return nil, err
	}
	return newSolver(analyse(n)), nil
}

func newSolver(sym *symbolic) *Solver {
	s := &Solver{
		sym:  sym,
		lin:  make([]linear, len(sym.net.branches)),
		crv:  make([]curve, len(sym.curves)),
		str:  make([]store, len(sym.stores)),
		orig: newNortons(sym.slots), base: newNortons(sym.slots),
		still: make([]norton, len(sym.hotSlots)), hot: make([]norton, len(sym.hotSlots)),
		acc: newNortons(sym.slots), inv: make([]float64, sym.columns), part: make([]float64, sym.slots),
		volts: make([]float64, sym.columns+1),
		dirty: make([]uint8, sym.columns), marks: make([]uint64, (sym.columns+63)/64), form: newForm(sym),
	}
	s.scratch()
	for i, el := range sym.net.branches {
		l := linear{a: int32(el.a), b: int32(el.b)}
		switch br := el.br.(type) {
		case Resistor:
			l.kind, l.ohms = resistor, br.Ohms
		case Source:
			l.kind, l.ohms, l.source = source, br.Ohms, br.EMF
		case Injection:
			l.kind, l.ohms, l.source = injection, math.Inf(1), br.Amps
		case Curve:
			l.kind = curved
			s.crv[sym.curveOf[i]] = curve{law: br.Law, kinked: kinked(br.Law), a: l.a, b: l.b, sign: sym.place[i].sign}
		case Capacitor:
			l.kind, l.ohms = capacitor, br.Ohms
			s.str[sym.storeOf[i]] = store{a: l.a, b: l.b, sign: sym.place[i].sign, size: br.Farads, ohms: br.Ohms}
		case Inductor:
			l.kind, l.ohms = inductor, br.Ohms
			s.str[sym.storeOf[i]] = store{a: l.a, b: l.b, sign: sym.place[i].sign, winding: true, size: br.Henries, ohms: br.Ohms}
		}
		l.derive()
		s.lin[i] = l
	}
	for slot := range sym.slots {
		s.sum(int32(slot))
	}
	s.touchAll()
	s.jump, s.unstamped = true, true
	s.Cold()
	return s
}

// scratch gives the solver its own scratch memory.
func (s *Solver) scratch() {
	n := s.sym.columns
	s.rhs, s.unit, s.grounding = make([]float64, n), make([]float64, n+1), make([]float64, n+1)
	s.holds = make([]hold, len(s.str))
	s.path, s.spare = make([]int32, 0, n), make([]float64, n)
	s.damp, s.joint = nil, nil
	s.since.changed = make([]ID, 0, len(s.lin))
}

// derive finds the Norton equivalent of the branch.
func (l *linear) derive() {
	switch l.kind {
	case resistor:
		l.g = 1 / l.ohms
	case source:
		l.g = 1 / l.ohms
		l.j = l.g * l.source
	case injection:
		l.j = -l.source
	}
}

// sum adds up the linear branches of a slot, always all of them in the same order: what stands there does not depend on
// what stood there before.
func (s *Solver) sum(slot int32) {
	var t norton
	if s.sym.grounded(slot) {
		t.c = LeakSiemens
	}
	for _, i := range s.sym.slotBranch[s.sym.slotPtr[slot]:s.sym.slotPtr[slot+1]] {
		t.c += s.lin[i].g
		t.j += float64(s.sym.place[i].sign * s.lin[i].j)
	}
	s.orig.put(int(slot), t)
	if int(slot) < s.sym.bare {
		s.acc.c[slot] = t.c // so that it need not be taken over when all is eliminated anew
	}
}

// Voltage returns the voltage of a node against Ground, in volts, in the last solution.
func (s *Solver) Voltage(n Node) float64 {
	s.complete()
	return s.volts[n]
}

// Voltages returns the voltages of all nodes in volts, indexed by Node with 0 for Ground. The slice belongs to the solver
// and changes with the next Solve.
func (s *Solver) Voltages() []float64 {
	s.complete()
	return s.volts
}

// complete finds the voltages of the columns that are not live, which Solve and Step leave until somebody asks.
func (s *Solver) complete() {
	if s.behind {
		s.behind = false
		s.back(s.form.fixedRuns, s.volts)
	}
}

// Current returns the current through a branch in amperes, positive from a to b, in the last solution. A source that
// delivers has a negative current, for its current comes out of a. The current is found from the voltages of both ends,
// so it is rounded to about 2e-16 of conductance times voltage: 3e-12 A for a milliohm at 12 V.
func (s *Solver) Current(b ID) float64 {
	l := &s.lin[b]
	switch l.kind {
	case curved:
		return s.crv[s.sym.curveOf[b]].amps
	case capacitor, inductor:
		return s.str[s.sym.storeOf[b]].i
	}
	s.complete()
	return float64(l.g*(s.volts[l.a]-s.volts[l.b])) - l.j
}

// Power returns the power that a branch takes in, in watts, negative when it delivers, in the last solution.
func (s *Solver) Power(b ID) float64 {
	l := &s.lin[b]
	s.complete()
	return (s.volts[l.a] - s.volts[l.b]) * s.Current(b)
}

// Ohms returns the resistance, or series resistance, that a branch has now, in ohms; +Inf for an Injection or Curve.
func (s *Solver) Ohms(b ID) float64 {
	if s.lin[b].kind == curved {
		return math.Inf(1)
	}
	return s.lin[b].ohms
}

// Slope returns the conductance in siemens with which a branch stands in the circuit now, of a Curve that of its law there; 0 for an
// Injection.
func (s *Solver) Slope(b ID) float64 {
	if s.lin[b].kind == curved {
		return s.crv[s.sym.curveOf[b]].g
	}
	return s.lin[b].g
}

// Iterations returns how many times the last Solve or Step that had anything to do linearised and solved the circuit: 1 for a linear
// circuit.
func (s *Solver) Iterations() int { return s.iterations }

// Levels returns the depth of the elimination: how many nodes are eliminated one into the next at most.
func (s *Solver) Levels() int { return s.sym.levels }

// Nodes returns the number of nodes, Ground counted.
func (s *Solver) Nodes() int { return s.sym.columns + 1 }

// Branches returns the number of branches.
func (s *Solver) Branches() int { return len(s.lin) }

// NodeName returns the name that a node has in the netlist.
func (s *Solver) NodeName(n Node) string { return s.sym.net.NodeName(n) }

// BranchName returns the name that a branch has in the netlist.
func (s *Solver) BranchName(b ID) string { return s.sym.net.BranchName(b) }

// Ends returns the nodes that a branch lies between.
func (s *Solver) Ends(b ID) (a, z Node) { return Node(s.lin[b].a), Node(s.lin[b].b) }
