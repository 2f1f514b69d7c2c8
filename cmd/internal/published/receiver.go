package published

import (
	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// pair is two nodes on a bus without terminations of their own: 1 and 2 are its wires, 3 the first node's supply, 4 that of the second and 5 its ground.
type pair struct {
	*rig
	nodes       [2]*device.Node
	load, force circuit.ID // between the wires: a resistor, and a current from high to low
	supply      circuit.ID // of the second, over the first one's ground
	shift       circuit.ID // of the second one's ground
}

// pairVolts is their supply, pairOhms a sound bus's terminations.
const pairVolts, pairOhms = 12.0, 60.0

func newPair() *pair {
	p := &pair{rig: newRig(5)}
	p.branch(3, 0, circuit.Source{EMF: pairVolts, Ohms: 0.01})
	p.supply = p.branch(4, 0, circuit.Source{EMF: pairVolts, Ohms: 0.01})
	p.shift = p.branch(5, 0, circuit.Source{EMF: 0, Ohms: 0.01})
	p.load = p.branch(1, 2, circuit.Resistor{Ohms: pairOhms})
	p.force = p.branch(1, 2, circuit.Injection{})
	for i, at := range [2][2]int{{3, 0}, {4, 5}} {
		p.nodes[i], _ = p.add(device.Spec{Kind: "node", Values: map[string]float64{"traffic": 0}}, at[0], at[1], 1, 2).(*device.Node)
	}
	p.compile()
	return p
}

// talk reports whether both say that they talk.
func (p *pair) talk() (bool, error) {
	if err := p.settle(); err != nil {
		return false, err
	}
	return p.nodes[0].Effect(p.solver).Level == 1 && p.nodes[1].Effect(p.solver).Level == 1, nil
}

// edge halves the way from a value with which they talk to one with which they do not, and leaves the last with which they do.
func (p *pair) edge(talks, not float64, set func(x float64)) error {
	for range 40 {
		middle := (talks + not) / 2
		set(middle)
		ok, err := p.talk()
		if err != nil {
			return err
		}
		if ok {
			talks = middle
		} else {
			not = middle
		}
	}
	set(talks)
	return p.settle()
}

// sending settles with one of the nodes dominant.
func (p *pair) sending(i int) error {
	if err := p.nodes[i].Spoil("stuck-dominant", 0); err != nil {
		return err
	}
	return p.settle()
}

// receivers are the rows about what a receiver hears, and what a node is to the bus.
func receivers(find func(quantity, condition string) (line, error)) ([]Row, error) {
	var all []Row
	for _, c := range []struct {
		quantity, what, unit string
		value                func() (float64, error)
		close                string // "" for limits
	}{
		{"receiver: dominant if differential at least", "least difference that a node hears as dominant", "V", leastDominant, "maximum"},
		{"receiver: recessive if differential at most", "largest difference that a node hears as recessive", "V", mostRecessive, "minimum"},
		{"common-mode range of receiver", "mean of both wires over its ground up to which a node hears", "V", mostCommon, "maximum"},
		{"termination, each end", "a node's termination beside its receiver, for a given 120 Ω", "Ω", func() (float64, error) { return between(120) }, ""},
		{"differential receiver input resistance", "between the wires of a node without termination", "kΩ", func() (float64, error) {
			ohms, err := between(0)
			return ohms / 1e3, err
		}, ""},
	} {
		condition := ""
		if c.unit == "kΩ" {
			condition = "per node"
		}
		l, err := find(c.quantity, condition)
		if err != nil {
			return nil, err
		}
		value, err := c.value()
		if err != nil {
			return nil, err
		}
		row := l.row(c.what, c.unit, value)
		if c.close != "" {
			row = row.near(l.number(c.close), 1e-3, "the model decides at the limit itself")
		} else {
			row = row.within(l.number("minimum"), l.number("maximum"), "limits")
		}
		all = append(all, row)
	}
	return all, nil
}

// leastDominant loads the bus until nobody hears anybody, and then has one of them hold it dominant.
func leastDominant() (float64, error) {
	p := newPair()
	if err := p.edge(pairOhms, 5, func(x float64) { p.solver.SetOhms(p.load, x) }); err != nil {
		return 0, err
	}
	if err := p.sending(0); err != nil {
		return 0, err
	}
	return p.volts(1) - p.volts(2), nil
}

// mostRecessive pulls the wires apart until what nobody sends is not heard as nothing any more.
func mostRecessive() (float64, error) {
	p := newPair()
	err := p.edge(0, -0.05, func(x float64) { p.solver.SetAmps(p.force, x) })
	return p.volts(1) - p.volts(2), err
}

// mostCommon raises the second node and its supply until the first does not hear it any more, and then has it hold the bus dominant.
func mostCommon() (float64, error) {
	p := newPair()
	if err := p.edge(0, 20, func(x float64) {
		p.solver.SetEMF(p.shift, x)
		p.solver.SetEMF(p.supply, x+pairVolts)
	}); err != nil {
		return 0, err
	}
	if err := p.sending(1); err != nil {
		return 0, err
	}
	return (p.volts(1) + p.volts(2)) / 2, nil
}

// between is the resistance between the wires of one node without supply, with a termination in ohms or none.
func between(termination float64) (float64, error) {
	r := newRig(2)
	r.add(device.Spec{Kind: "node", Values: map[string]float64{"termination": termination}}, 0, 0, 1, 2)
	const amps = 1e-5
	r.branch(2, 1, circuit.Injection{Amps: amps})
	if err := r.compile().settle(); err != nil {
		return 0, err
	}
	return (r.volts(1) - r.volts(2)) / amps, nil
}
