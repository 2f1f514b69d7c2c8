package device

import (
	"faultloom/sim/circuit"
)

// Led is a light-emitting diode with its series resistor, or several in a row in one lamp. It follows Shockley's law with series
// resistance (see junctionLaw), with as many junctions in a row as its forward voltage takes, and its light is in proportion to
// its current (common practice, no source: within a few percent below rated current).
type Led struct {
	base
	curve curve
	short circuit.ID
	law   *junctionLaw
	amps  float64
	spoilt
}

// ledJunction is the forward voltage of one junction for which ledIdeality counts: a red one at 20 mA is near 2 V (from memory).
const ledJunction, ledIdeality = 2.0, 2.0

// From these shares of rated current an LED is seen, no longer a mere glow, as it should be, and too bright (common practice, no
// source). An LED is still seen with a thousandth of its current.
const ledFaint, ledDim, ledLit, ledOver = 1e-3, 0.03, 0.5, 2.2

func ledFamily() family {
	return family{
		kind: Kind{
			Name: "led", Title: "LED lamp",
			Doc: "A light-emitting diode with its series resistor. It lights one way round only, at once, and draws little: what leaks through a " +
				"bad insulation can make it glow.",
			Terminals: []Terminal{{"A", "anode, positive side"}, {"K", "cathode, ground side"}},
			Plugged:   true, Words: lampWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1.5, Max: 100},
				{Key: "amps", Doc: "current at rated voltage", Dim: Ampere, Default: 0.02, Min: 0.001, Max: 20},
				{Key: "drop", Doc: "forward voltage of the diodes alone, below the rated voltage: 2 V each for red and amber, 3 V for white", Dim: Volt,
					Default: 2, Min: 1.2, Max: 90},
			},
			Defects: []Defect{
				{Name: "open", Doc: "LED open", Likelihood: 1},
				{Name: "shorted", Doc: "LED lamp shorted", Dim: Ohm, Low: 0.1, High: 1e5, Typical: 10, Likelihood: 0.5},
				{Name: "reversed", Doc: "fitted the wrong way round", Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["volts"] / v["amps"]; d.Name == "shorted" {
				d.span(1e-4*ohms, 0.01*ohms, 0.3*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			amps := v["amps"]
			drop := min(v["drop"], 0.95*v["volts"])
			j := &junctionLaw{volts: ledIdeality * thermalVolts * drop / ledJunction, series: (v["volts"] - drop) / amps}
			j.saturation = amps / (exp(drop/j.volts) - 1)
			j.prepare()
			return &Led{law: j, amps: amps}
		},
	}
}

// Build implements Device.
func (l *Led) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	l.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
	l.short = n.Add(name+" leakage", pins[0], pins[1], circuit.Resistor{Ohms: diodeLeakOhms})
}

// Stamp implements Device.
func (l *Led) Stamp(s *circuit.Solver, _ Mode) {
	var law circuit.Law = l.law
	leak := diodeLeakOhms
	switch l.name {
	case "open":
		law = open
	case "shorted":
		leak = l.severity
	case "reversed":
		law = (*mirrored)(l.law)
	}
	l.curve.set(s, law, false)
	s.SetOhms(l.short, leak)
}

// mirrored is a junction the other way round.
type mirrored junctionLaw

func (m *mirrored) At(v float64) (i, g float64) {
	i, g = (*junctionLaw)(m).At(-v)
	return -i, g
}

func (m *mirrored) Limit(next, last float64) float64 { return -(*junctionLaw)(m).Limit(-next, -last) }

// Effect implements Device. The level is the current over the rated one.
func (l *Led) Effect(s *circuit.Solver) Effect {
	level := 0.0
	switch l.name {
	case "open":
	case "reversed":
		level = max(0, -s.Current(l.curve.id)/l.amps)
	default:
		level = max(0, s.Current(l.curve.id)/l.amps)
	}
	e := Effect{Sense: Light, Level: level, Word: word(level, lampWords, ledFaint, ledDim, ledLit, ledOver)}
	if level < ledFaint {
		e.Level = 0
	}
	return e
}
