package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Pressure is a pressure sensor with three wires whose signal is in proportion to its pressure and its supply (ratiometric): a tenth of
// the supply at no pressure, nine tenths at full range, which are 0.5 and 4.5 V of 5 V (common practice, no source). What its
// bridge and amplifier are to the circuit is taken as a divider that draws what such a sensor draws:
//
//	U signal = U supply·(0.1 + 0.8·p)        resistance of the divider = rated supply/current
//
// so that a signal that is shorted loads the reference, as it does.
type Pressure struct {
	base
	dial
	halves divider
	signal circuit.ID

	low, high float64 // share of its range in the first and last position
	track     float64
	spoilt
}

const (
	// pressureZero and pressureSpan are the signal over the supply at no pressure and how much more at full range.
	pressureZero, pressureSpan = 0.1, 0.8
	// pressureEnd is how near to either rail the signal of a sensor that is off comes.
	pressureEnd = 0.02
	// pressureOut is what protects its output, in ohms.
	pressureOut = 50.0
	// pressureSupply is the reference that such sensors are made for.
	pressureSupply = 5.0
)

func pressureFamily() family {
	return family{
		kind: Kind{
			Name: "pressure", Title: "pressure sensor",
			Doc: "A pressure sensor on a reference of 5 V: its signal goes from a tenth of its supply at no pressure to nine tenths at full range, 0.5 to " +
				"4.5 V. Its positions are pressures in percent of its range, evenly spaced between `low` and `high`; join nothing in them.",
			Terminals: []Terminal{{"in", "supply, a 5 V reference"}, {"signal", "output"}, {"out", "ground"}},
			Table:     true, Plugged: true,
			Params: []Param{
				{Key: "low", Doc: "pressure in the first position, of its range", Dim: Percent, Default: 0, Min: 0, Max: 100},
				{Key: "high", Doc: "pressure in the last position, of its range", Dim: Percent, Default: 100, Min: 0, Max: 100},
				{Key: "amps", Doc: "current that it draws at 5 V", Dim: Ampere, Default: 0.008, Min: 0.001, Max: 0.05},
			},
			Defects: []Defect{
				{Name: "signal-open", Doc: "signal open inside", Likelihood: 1},
				{Name: "supply-open", Doc: "supply open inside: signal at ground", Likelihood: 0.7},
				{Name: "ground-open", Doc: "ground open inside: signal at its supply", Likelihood: 0.7},
				{Name: "shorted", Doc: "supply shorted inside", Dim: Ohm, Low: 0.1, High: 60, Typical: 2, Likelihood: 0.3},
				{Name: "reads-high", Doc: "reads too high, by so many percent of its range", Dim: Percent, Low: 3, High: 60, Typical: 15, Likelihood: 0.7},
				{Name: "reads-low", Doc: "reads too low, to so many percent of what it should", Dim: Percent, Low: 10, High: 90, Typical: 60, Likelihood: 0.7},
			},
		},
		make: func(s Spec) Device {
			v := s.Values
			return &Pressure{dial: dial{places: len(s.Positions)}, low: v["low"] / 100, high: v["high"] / 100, track: pressureSupply / v["amps"]}
		},
	}
}

// Build implements Device.
func (p *Pressure) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	tap := n.Node(name + " amplifier")
	p.halves.upper = n.Add(name+" from supply", pins[0], tap, circuit.Resistor{Ohms: p.track / 2})
	p.halves.lower = n.Add(name+" to ground", tap, pins[2], circuit.Resistor{Ohms: p.track / 2})
	p.signal = n.Add(name+" output", tap, pins[1], circuit.Resistor{Ohms: pressureOut})
}

// Ratio returns the signal over the supply.
func (p *Pressure) Ratio() float64 {
	x := p.between(p.low, p.high)
	switch p.name {
	case "reads-high":
		x += p.severity / 100
	case "reads-low":
		// What is lost is the sensor's zero too, so that it shows at no pressure.
		return max(pressureEnd, (pressureZero+float64(pressureSpan*x))*p.severity/100)
	}
	return min(1-pressureEnd, pressureZero+float64(pressureSpan*x))
}

// Stamp implements Device.
func (p *Pressure) Stamp(s *circuit.Solver, _ Mode) {
	x, track, out := p.Ratio(), p.track, pressureOut
	switch p.name {
	case "shorted":
		track = min(track, p.severity)
	case "signal-open":
		out = math.Inf(1)
	}
	p.halves.set(s, track, x, p.name == "supply-open", p.name == "ground-open")
	s.SetOhms(p.signal, out)
}

// State implements Device: the position.
func (p *Pressure) State() []float64 { return p.dial.State() }

// SetState implements Device.
func (p *Pressure) SetState(x []float64) { p.dial.SetState(x) }
