package device

import (
	"math"

	"faultloom/sim/circuit"
)

// ResistorPack is the set of resistors of a blower: three in a row between four terminals.
// A switch feeds one of the terminals, and the motor gets what is left after the resistors behind it: fed at terminal k, the resistances from k on
// add up, Rₖ + … + R₃ (Kirchhoff's voltage law; any text on circuits). They do not change with their heat: wire of nickel and chromium
// gains some 5 % up to red heat (handbooks; from memory). The given ohms, 2.1 Ω in all for a blower of 10 to 20 A, are common practice, no source.
type ResistorPack struct {
	base
	branch [packParts]circuit.ID
	ohms   [packParts]float64
	spoilt
}

// packParts is the number of resistors.
const packParts = 3

var (
	packTerminals = [packParts + 1]string{"1", "2", "3", "4"}
	packKeys      = [packParts]string{"first", "second", "third"}
	packOpen      = [packParts]string{"first-open", "second-open", "third-open"}
)

func resistorPackFamily() family {
	k := Kind{
		Name: "resistor-pack", Title: "resistor pack",
		Doc: "The series resistors of a blower: `first` lies between terminals 1 and 2, `second` between 2 and 3, `third` between 3 and 4. " +
			"Terminal 4 feeds the motor; a speed switch feeds 1 for the lowest speed to 4 for the full one.",
		Plugged: true,
	}
	for i, t := range packTerminals {
		k.Terminals = append(k.Terminals, Terminal{t, [...]string{"lowest speed", "", "", "motor, and full speed"}[i]})
	}
	for i, key := range packKeys {
		k.Params = append(k.Params, Param{Key: key, Doc: "resistance from terminal " + packTerminals[i] + " to " + packTerminals[i+1], Dim: Ohm,
			Default: [...]float64{1.2, 0.6, 0.3}[i], Min: 0.01, Max: 1000})
		k.Defects = append(k.Defects, Defect{Name: packOpen[i], Doc: key + " resistor burnt out", Likelihood: 1, Visible: true})
	}
	k.Defects = append(k.Defects, Defect{Name: "corroded", Doc: "resistors corroded: so many percent of their resistance", Dim: Percent,
		Low: 150, High: 5000, Typical: 300, Likelihood: 0.5})
	return family{kind: k, make: func(s Spec) Device {
		p := new(ResistorPack)
		for i, key := range packKeys {
			p.ohms[i] = s.Values[key]
		}
		return p
	}}
}

// Build implements Device.
func (p *ResistorPack) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	for i := range p.branch {
		p.branch[i] = n.Add(name+" "+packKeys[i], pins[i], pins[i+1], circuit.Resistor{Ohms: p.ohms[i]})
	}
}

// Stamp implements Device.
func (p *ResistorPack) Stamp(s *circuit.Solver, _ Mode) {
	for i, id := range p.branch {
		ohms := p.ohms[i]
		switch p.name {
		case packOpen[i]:
			ohms = math.Inf(1)
		case "corroded":
			ohms *= p.severity / 100
		}
		s.SetOhms(id, ohms)
	}
}
