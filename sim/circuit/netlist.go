package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Node is a point of a circuit at which branches meet. Ground is the reference; the others are counted from 1 in the
// order in which Netlist.Node made them.
type Node int

// Ground is the reference node, at 0 V.
const Ground Node = 0

// ID is a branch of a netlist, counted from 0 in the order of Netlist.Add.
type ID int

// Branch is a two-terminal element: Resistor, Source, Injection, Curve, Capacitor or Inductor. The set is closed.
type Branch interface{ branch() }

// Resistor is a branch that obeys Ohm's law. Ohms lies between MinOhms and +Inf, which is an open circuit (0 S).
type Resistor struct{ Ohms float64 }

// Source is an electromotive force in series with a resistance. EMF, in volts, raises node a above node b when no
// current flows; Ohms lies between MinOhms and +Inf, which disconnects the source.
type Source struct{ EMF, Ohms float64 }

// Injection is a source of current with no conductance of its own. Amps flows through the branch from a to b, so it
// leaves the circuit at a and enters it at b.
type Injection struct{ Amps float64 }

// Curve is a branch that follows a nonlinear characteristic.
type Curve struct{ Law Law }

// Capacitor is a capacitance in series with a resistance. Farads is above 0; Ohms is 0 or more, and +Inf disconnects it. At an
// operating point no current flows through it.
type Capacitor struct{ Farads, Ohms float64 }

// Inductor is an inductance in series with a resistance, which every winding has. Henries is above 0; Ohms lies between MinOhms
// and +Inf, which breaks the winding. At an operating point only the resistance counts.
type Inductor struct{ Henries, Ohms float64 }

func (Resistor) branch()  {}
func (Source) branch()    {}
func (Injection) branch() {}
func (Curve) branch()     {}
func (Capacitor) branch() {}
func (Inductor) branch()  {}

// MinOhms is the smallest resistance that a Resistor or Source may have. It is far below any real joint (a battery post
// is near 1e-4 Ω) and only keeps products of conductances away from overflow.
const MinOhms = 1e-15

// Netlist is a list of named nodes and of the branches between them. The zero value is ready for use. It is only read by
// Compile, so it can be added to and compiled again.
type Netlist struct {
	nodes    []string // names of nodes 1, 2, ...
	branches []element
}

// element is a branch with its place.
type element struct {
	name string
	a, b Node
	br   Branch
}

// Node adds a node and returns it. The name is used in errors only and need not be unique.
func (n *Netlist) Node(name string) Node {
	n.nodes = append(n.nodes, name)
	return Node(len(n.nodes))
}

// Add puts a branch between a and b and returns its ID. Voltages and currents of the branch are positive from a to b. The
// name is used in errors only. Values are checked by Compile.
func (n *Netlist) Add(name string, a, b Node, br Branch) ID {
	n.branches = append(n.branches, element{name, a, b, br})
	return ID(len(n.branches) - 1)
}

// Reserve makes room for as many nodes and branches as another netlist has.
func (n *Netlist) Reserve(as *Netlist) {
	n.nodes = slices.Grow(n.nodes, len(as.nodes))
	n.branches = slices.Grow(n.branches, len(as.branches))
}

// NodeName returns the name of a node, "ground" for Ground, and a number for a node that is not of this netlist.
func (n *Netlist) NodeName(v Node) string {
	switch {
	case v == Ground:
		return "ground"
	case v < 0 || int(v) > len(n.nodes):
		return fmt.Sprintf("#%d", int(v))
	}
	return n.nodes[v-1]
}

// BranchName returns the name of a branch, and a number for one that is not of this netlist.
func (n *Netlist) BranchName(id ID) string {
	if id < 0 || int(id) >= len(n.branches) {
		return fmt.Sprintf("#%d", int(id))
	}
	return n.branches[id].name
}

// Branch returns a branch as it was added, with the nodes it lies between. It panics if the ID is not of this netlist.
func (n *Netlist) Branch(id ID) (a, b Node, br Branch) {
	el := n.branches[id]
	return el.a, el.b, el.br
}

// Nodes returns the number of nodes, Ground counted: valid nodes are 0 to Nodes()-1.
func (n *Netlist) Nodes() int { return len(n.nodes) + 1 }

// Branches returns the number of branches: valid IDs are 0 to Branches()-1.
func (n *Netlist) Branches() int { return len(n.branches) }

// check returns the first thing that is wrong with the netlist, nil if nothing is.
func (n *Netlist) check() error {
	for i, el := range n.branches {
		for _, v := range [2]Node{el.a, el.b} {
			if v < 0 || int(v) > len(n.nodes) {
				return &ValueError{Branch: ID(i), Name: el.name, What: "node", Value: float64(v),
					Want: fmt.Sprintf("a node of this netlist, 0 to %d", len(n.nodes))}
			}
		}
		if err := checkBranch(ID(i), el); err != nil {
			return err
		}
	}
	return nil
}

func checkBranch(id ID, el element) error {
	switch br := el.br.(type) {
	case Resistor:
		return orNil(checkOhms(id, el.name, br.Ohms))
	case Source:
		if err := checkFinite(id, el.name, "emf", "V", br.EMF); err != nil {
			return err
		}
		return orNil(checkOhms(id, el.name, br.Ohms))
	case Injection:
		return orNil(checkFinite(id, el.name, "current", "A", br.Amps))
	case Curve:
		if br.Law == nil {
			return &ValueError{Branch: id, Name: el.name, What: "law", Value: math.NaN(), Want: "a characteristic, not nil"}
		}
		return nil
	case Capacitor:
		if err := checkSize(id, el.name, "capacitance", "F", br.Farads); err != nil {
			return err
		}
		return orNil(checkSeries(id, el.name, br.Ohms))
	case Inductor:
		if err := checkSize(id, el.name, "inductance", "H", br.Henries); err != nil {
			return err
		}
		return orNil(checkOhms(id, el.name, br.Ohms))
	}
	return &ValueError{Branch: id, Name: el.name, What: "kind", Value: math.NaN(),
		Want: fmt.Sprintf("Resistor, Source, Injection, Curve, Capacitor or Inductor, not %T", el.br)}
}

func checkOhms(id ID, name string, ohms float64) *ValueError {
	if ohms >= MinOhms {
		return nil
	}
	return &ValueError{Branch: id, Name: name, What: "resistance", Value: ohms, Unit: "Ω",
		Want: fmt.Sprintf("at least %g Ω, or +Inf for an open", MinOhms)}
}

// checkSeries checks the series resistance of a capacitor, which may be none.
func checkSeries(id ID, name string, ohms float64) *ValueError {
	if ohms >= 0 {
		return nil
	}
	return &ValueError{Branch: id, Name: name, What: "resistance", Value: ohms, Unit: "Ω",
		Want: "0 Ω or more, or +Inf for an open"}
}

// checkSize checks a capacitance or an inductance.
func checkSize(id ID, name, what, unit string, x float64) *ValueError {
	if x >= minSize && x <= maxSize {
		return nil
	}
	return &ValueError{Branch: id, Name: name, What: what, Value: x, Unit: unit,
		Want: fmt.Sprintf("between %g and %g %s", minSize, maxSize, unit)}
}

// minSize and maxSize bound capacitances and inductances, so that no product with a step overflows.
const minSize, maxSize = 1e-18, 1e9

func checkFinite(id ID, name, what, unit string, x float64) *ValueError {
	if !math.IsNaN(x) && math.Abs(x) <= maxValue {
		return nil
	}
	return &ValueError{Branch: id, Name: name, What: what, Value: x, Unit: unit,
		Want: fmt.Sprintf("a number between %g and %g", -maxValue, maxValue)}
}

// maxValue bounds electromotive forces and injected currents, so that no product with a conductance overflows.
const maxValue = 1e30

// orNil keeps a nil *ValueError from becoming an error that is not nil.
func orNil(e *ValueError) error {
	if e == nil {
		return nil
	}
	return e
}
