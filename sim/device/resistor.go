package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Resistor is a plain resistance, i = u/R (Ohm's law), at any current and temperature: the 25 to 200 ppm/K of wire and film (data sheets; from
// memory) are less than any instrument here shows. One that is too high is taken from 1.3 times its value on, which passes the 5 or 10 % that
// resistors may be off (common practice, no source); it never is too low, for what burns or cracks loses path.
type Resistor struct {
	base
	branch circuit.ID
	ohms   float64
	spoilt
}

func resistorFamily() family {
	return family{
		kind: Kind{
			Name: "resistor", Title: "resistor",
			Doc:       "A fixed resistor: ballast, dropping or terminating resistor.",
			Terminals: []Terminal{{"1", ""}, {"2", ""}},
			Plugged:   true,
			Params:    []Param{{Key: "resistance", Doc: "its resistance", Dim: Ohm, Required: true, Min: 0.001, Max: 1e8}},
			Defects: []Defect{
				{Name: "open", Doc: "resistor burnt out", Likelihood: 1},
				{Name: "too-high", Doc: "resistance too high", Dim: Ohm, Low: 0.001, High: 1e12, Typical: 1e5, Likelihood: 0.5},
				// One of a larger value shows as too-high does, and is mended alike.
				{Name: "wrong-value", Doc: "resistor of a smaller value fitted", Dim: Ohm, Low: 0.00001, High: 1e8, Typical: 1, Likelihood: 0.1, Visible: true},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			switch ohms := v["resistance"]; d.Name {
			case "too-high":
				d.span(1.3*ohms, 4*ohms, 1e4*ohms)
			case "wrong-value":
				d.span(0.01*ohms, 0.22*ohms, 0.75*ohms)
			}
		},
		make: func(s Spec) Device { return &Resistor{ohms: s.Values["resistance"]} },
	}
}

// Build implements Device.
func (r *Resistor) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	r.branch = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: r.ohms})
}

// Stamp implements Device.
func (r *Resistor) Stamp(s *circuit.Solver, _ Mode) {
	switch r.name {
	case "open":
		s.SetOhms(r.branch, math.Inf(1))
	case "too-high", "wrong-value":
		s.SetOhms(r.branch, r.severity)
	default:
		s.SetOhms(r.branch, r.ohms)
	}
}
