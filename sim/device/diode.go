package device

import (
	"faultloom/sim/circuit"
)

// Diode is a silicon diode, see junctionLaw, with a leakage path beside it.
type Diode struct {
	base
	curve curve
	leak  circuit.ID
	law   *junctionLaw
	spoilt
}

// diodeLeakOhms is what a good diode leaks backwards beyond its saturation current, over its case: 10 MΩ or more (common
// practice, no source).
const diodeLeakOhms = 1e8

func diodeFamily() family {
	return family{
		kind: Kind{
			Name: "diode", Title: "diode",
			Doc:       "A silicon diode. It conducts from the anode A to the cathode K, the end with the band.",
			Terminals: []Terminal{{"A", "anode"}, {"K", "cathode, the end with the band"}},
			Plugged:   true,
			Params: []Param{
				{Key: "amps", Doc: "current at which its drop is given", Dim: Ampere, Default: 1, Min: 0.001, Max: 1000},
				{Key: "drop", Doc: "forward voltage at that current", Dim: Volt, Default: 0.9, Min: 0.2, Max: 3},
			},
			Defects: []Defect{
				{Name: "open", Doc: "diode open", Likelihood: 1},
				{Name: "shorted", Doc: "diode shorted", Dim: Ohm, Low: 0.01, High: 10, Typical: 0.05, Likelihood: 1},
				{Name: "leaky", Doc: "diode leaks backwards", Dim: Ohm, Low: 10, High: 1e5, Typical: 1000, Likelihood: 0.3},
			},
		},
		make: func(s Spec) Device { return &Diode{law: newJunction(s.Values["drop"], s.Values["amps"])} },
	}
}

// Build implements Device.
func (d *Diode) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	d.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
	d.leak = n.Add(name+" leakage", pins[0], pins[1], circuit.Resistor{Ohms: diodeLeakOhms})
}

// Stamp implements Device.
func (d *Diode) Stamp(s *circuit.Solver, _ Mode) {
	var law circuit.Law = d.law
	leak := diodeLeakOhms
	switch d.name {
	case "open":
		law = open
	case "shorted", "leaky":
		leak = d.severity
	}
	d.curve.set(s, law, false)
	s.SetOhms(d.leak, leak)
}
