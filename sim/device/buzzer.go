package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Buzzer is an electronic buzzer: to the circuit a resistance, that of rated voltage and power, R = U²/P (Joule's law; its electronics draw less evenly,
// which no reading here shows); to the ear heard from 40 % of rated voltage and as it should be from 70 %, as a horn is (common practice, no source).
type Buzzer struct {
	base
	pins        pair
	branch      circuit.ID
	volts, ohms float64
	spoilt
}

func buzzerFamily() family {
	return family{
		kind: Kind{
			Name: "buzzer", Title: "buzzer",
			Doc:       "A warning buzzer. It is heard from about 40 % of its rated voltage and sounds as it should from 70 %.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: soundWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power drawn at rated voltage", Dim: Watt, Default: 0.5, Min: 0.01, Max: 100},
			},
			Defects: []Defect{
				{Name: "open", Doc: "buzzer open inside", Likelihood: 1},
				{Name: "mute", Doc: "buzzer draws current and is silent", Likelihood: 0.5},
				{Name: "shorted", Doc: "buzzer shorted", Dim: Ohm, Low: 0.02, High: 5, Typical: 0.2, Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["volts"] * v["volts"] / v["power"]; d.Name == "shorted" {
				d.span(1e-4*ohms, 1e-3*ohms, 0.3*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values["volts"]
			return &Buzzer{volts: v, ohms: v * v / s.Values["power"]}
		},
	}
}

// Build implements Device.
func (b *Buzzer) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	b.pins = pair(pins)
	b.branch = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: b.ohms})
}

// Stamp implements Device.
func (b *Buzzer) Stamp(s *circuit.Solver, _ Mode) {
	switch b.name {
	case "open":
		s.SetOhms(b.branch, math.Inf(1))
	case "shorted":
		s.SetOhms(b.branch, b.severity)
	default:
		s.SetOhms(b.branch, b.ohms)
	}
}

// Effect implements Device.
func (b *Buzzer) Effect(s *circuit.Solver) Effect {
	if b.name != "" {
		return sounding(0)
	}
	return sounding(math.Abs(b.pins.volts(s)) / b.volts)
}
