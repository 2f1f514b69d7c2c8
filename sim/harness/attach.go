package harness

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// Attach connects an instrument's device, which has two terminals, between two points: its first terminal at a. Each slot
// holds one; a slot that is taken is connected anew. Attaching where the slot is already, with the same device, does nothing.
// Both points may be the same: then the instrument loads nothing.
// Whether a lead can get there is for Reach to say. It does not solve. The device stays the caller's.
func (m *Machine) Attach(name string, d device.Device, a, b Point) error {
	for _, p := range [2]Point{a, b} {
		if _, err := m.node(p); err != nil {
			return fmt.Errorf("instrument %q: %w", name, err)
		}
	}
	s := slot{name: name, dev: d, a: a, b: b}
	i, found := m.slot(name)
	switch {
	case found && m.slots[i] == s:
		return nil
	case found && m.spare != nil && m.slots[i].dev == d:
		m.move(i, s)
		return nil
	case found:
		m.slots[i] = s
	default:
		m.slots = slices.Insert(m.slots, i, s)
	}
	return m.compile()
}

// move lays the leads of an instrument elsewhere, in a circuit that has room for it.
func (m *Machine) move(i int, to slot) {
	m.spare.touch(m.sol, i, m.ends(m.slots[i]), m.ends(to))
	m.slots[i] = to
}

// ends returns the nodes of an instrument's points.
func (m *Machine) ends(s slot) [2]circuit.Node {
	return [2]circuit.Node{m.mustNode(s.a), m.mustNode(s.b)}
}

// refitSlots attaches the instruments that a snapshot tells of.
func (m *Machine) refitSlots(slots []slot) error {
	if slices.Equal(m.slots, slots) {
		return nil
	}
	same := m.spare != nil && slices.EqualFunc(m.slots, slots, func(a, b slot) bool { return a.name == b.name && a.dev == b.dev })
	if !same {
		m.slots = slices.Clone(slots)
		return m.compile()
	}
	for i, s := range slots {
		m.move(i, s)
	}
	return nil
}

// Detach takes an instrument off. It does nothing if there is none in the slot.
func (m *Machine) Detach(name string) error {
	i, found := m.slot(name)
	if !found {
		return nil
	}
	m.slots = slices.Delete(m.slots, i, i+1)
	return m.compile()
}

// Attached returns the points between which the instrument in a slot is connected, and whether there is one.
func (m *Machine) Attached(name string) (a, b Point, ok bool) {
	i, found := m.slot(name)
	if !found {
		return "", "", false
	}
	return m.slots[i].a, m.slots[i].b, true
}

func (m *Machine) slot(name string) (int, bool) {
	return slices.BinarySearchFunc(m.slots, name, func(s slot, name string) int { return strings.Compare(s.name, name) })
}

// Solver returns the circuit as last solved, for instruments that read their own device. It changes whenever the circuit is
// compiled anew, so it is not to be kept.
func (m *Machine) Solver() *circuit.Solver { return m.sol }

// Volts returns the voltage of a point against the body in the last solution, NaN for a point that the harness does not have.
func (m *Machine) Volts(p Point) float64 {
	n, err := m.node(p)
	if err != nil {
		return nan
	}
	return m.sol.Voltage(n)
}

// Potentials returns the voltages of all points in the last solution, in volts against the body and in the order of Harness.Points without
// the body, which is the last. The slice belongs to the machine and changes with its next solution.
func (m *Machine) Potentials() []float64 { return m.sol.Voltages()[1 : m.nodes+1] }

// Resistances returns what Thevenin finds in ohms between each point and the body, in the order of Potentials, NaN where there is no
// solution. It uses the slice it is given if that is long enough.
func (m *Machine) Resistances(into []float64) []float64 {
	if cap(into) < m.sol.Nodes() {
		into = make([]float64, m.sol.Nodes())
	}
	into = into[:m.sol.Nodes()]
	m.sol.Resistances(into)
	copy(into, into[1:m.nodes+1])
	return into[:m.nodes]
}

// VoltsBetween returns the voltage of a above b in the last solution, NaN for a point that the harness does not have.
func (m *Machine) VoltsBetween(a, b Point) float64 { return m.Volts(a) - m.Volts(b) }

// LimbAmps returns the current through a limb in the last solution, positive from a wire's first end to its second, from half a
// to half b, from ring to stud and from stud to body; NaN for a limb that the harness does not have.
func (m *Machine) LimbAmps(l Limb) float64 {
	i, ok := m.named[l]
	if !ok {
		return nan
	}
	return m.sol.Current(m.branch[i])
}

// Thevenin returns what the circuit, linearised at the last solution, looks like from two points: the voltage of a above b in
// volts, and the resistance between them in ohms. Both are NaN for a point that the harness does not have, and when the last
// solution no longer holds.
func (m *Machine) Thevenin(a, b Point) (volts, ohms float64) {
	na, err := m.node(a)
	if err != nil {
		return nan, nan
	}
	nb, err := m.node(b)
	if err != nil {
		return nan, nan
	}
	return m.sol.Thevenin(na, nb)
}
