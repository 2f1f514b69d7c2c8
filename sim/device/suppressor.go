package device

import (
	"faultloom/sim/circuit"
)

// Suppressor is a diode that clamps voltage spikes: an ordinary junction forwards, and one that breaks down backwards at its
// rated voltage. Breakdown is taken as a second junction with a force in series, as SPICE models have it:
//
//	i(u) = j(u) - j(-u - V)        j(u): Shockley's law with a resistance in series, see junctionLaw
//
// with V such that i = -10 mA at the clamping voltage, where data sheets of Zener and suppression diodes give it for 1 to 10 mA (any text on
// semiconductors; data sheets from memory). What it clamps at more current follows from the junction's own resistance. 27 V by default
// stands above the 16 V of a charging 12 V system and below the 32 V of electronics (common practice, no source).
type Suppressor struct {
	base
	curve curve
	leak  circuit.ID
	law   breakdownLaw
	spoilt
}

// suppressorTest is the current in amperes at which a clamp's breakdown voltage is given.
const suppressorTest = 0.01

func suppressorFamily() family {
	return family{
		kind: Kind{
			Name: "suppressor", Title: "suppression diode",
			Doc: "A diode that clamps spikes across a coil or a supply: it conducts from A to K like any diode, and from K to A above its " +
				"clamping voltage. It lies across a supply with K on the positive side.",
			Terminals: []Terminal{{"A", "anode, ground side"}, {"K", "cathode, positive side"}},
			Plugged:   true,
			Params: []Param{
				{Key: "clamp", Doc: "voltage above which it conducts backwards", Dim: Volt, Default: 27, Min: 3, Max: 500},
				{Key: "amps", Doc: "current at which its forward drop is 0.9 V", Dim: Ampere, Default: 1, Min: 0.01, Max: 100},
			},
			Defects: []Defect{
				{Name: "shorted", Doc: "suppression diode shorted", Dim: Ohm, Low: 0.01, High: 10, Typical: 0.05, Likelihood: 2},
				{Name: "open", Doc: "suppression diode open", Likelihood: 1},
				{Name: "leaky", Doc: "suppression diode leaks", Dim: Ohm, Low: 10, High: 1e5, Typical: 1000, Likelihood: 0.5},
			},
		},
		make: func(s Spec) Device {
			j := newJunction(0.9, s.Values["amps"])
			// The clamp starts where the mirrored junction would carry the test current.
			knee := float64(j.volts*log(1+suppressorTest/j.saturation)) + float64(suppressorTest*j.series)
			return &Suppressor{law: breakdownLaw{j: j, volts: s.Values["clamp"] - knee}}
		},
	}
}

// breakdownLaw is a junction with another one that conducts backwards beyond volts.
type breakdownLaw struct {
	j     *junctionLaw
	volts float64
}

// At implements circuit.Law.
func (l *breakdownLaw) At(v float64) (i, g float64) {
	i, g = l.j.At(v)
	back, slope := l.j.At(-v - l.volts)
	return i - back, g + slope
}

// Limit implements circuit.Law by the junction on whose side the next voltage lies.
func (l *breakdownLaw) Limit(next, last float64) float64 {
	if middle := -l.volts / 2; next < middle {
		return -l.volts - l.j.Limit(-next-l.volts, -last-l.volts)
	}
	return l.j.Limit(next, last)
}

// Build implements Device.
func (d *Suppressor) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	d.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
	d.leak = n.Add(name+" leakage", pins[0], pins[1], circuit.Resistor{Ohms: diodeLeakOhms})
}

// Stamp implements Device.
func (d *Suppressor) Stamp(s *circuit.Solver, _ Mode) {
	var law circuit.Law = &d.law
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
