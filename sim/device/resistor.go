package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Resistor is a plain resistance.
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
				{Name: "off-value", Doc: "resistance off its value", Dim: Ohm, Low: 0.001, High: 1e8, Typical: 1e5, Likelihood: 0.5},
			},
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
	case "off-value":
		s.SetOhms(r.branch, r.severity)
	default:
		s.SetOhms(r.branch, r.ohms)
	}
}

// Spoil implements Defective.
func (r *Resistor) Spoil(defect string, severity float64) error {
	return r.put("resistor", resistorFamily().kind.Defects, defect, severity)
}
