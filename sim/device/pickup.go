package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Pickup is an inductive (variable-reluctance) speed sensor: a coil on a magnet before a toothed wheel. Each tooth that passes changes the
// flux, and by Faraday's law the force is in proportion to how fast: with the wheel at n revolutions a minute
//
//	e = E·(n/1000)·sin(2π·f·t)        f = teeth·n/60
//
// taken as a pure sine, behind the resistance of the coil; its inductance is left out. The mean of that is 0, so a voltmeter on
// direct current shows nothing of it, and an ohmmeter the coil. Wave lets it be followed.
type Pickup struct {
	base
	dial
	coil circuit.ID

	low, high   float64 // rpm in the first and last position
	teeth, peak float64
	ohms        float64
	wave        wave
	spoilt
}

// pickupParts is into how many steps a period is cut while it is followed: the highest of them are within 0.5 % of the peak.
const pickupParts = 32

func pickupFamily() family {
	return family{
		kind: Kind{
			Name: "pickup", Title: "inductive speed sensor",
			Doc: "A coil before a toothed wheel: its alternating voltage and frequency grow with speed. Its positions are speeds, evenly spaced between " +
				"`low` and `high`; join nothing in them. On direct volts it reads nothing; its resistance, its frequency and its highest and lowest " +
				"voltage can be measured.",
			Terminals: []Terminal{{"signal", "towards the module"}, {"out", "return"}},
			Table:     true, Plugged: true,
			Params: append(speedParams(),
				Param{Key: "teeth", Doc: "teeth of its wheel", Default: 40, Min: 1, Max: 200},
				Param{Key: "resistance", Doc: "resistance of its coil", Dim: Ohm, Default: 1000, Min: 1, Max: 1e5},
				Param{Key: "peak", Doc: "peak voltage at 1000 rpm, nothing connected", Dim: Volt, Default: 3, Min: 0.01, Max: 100},
			),
			Defects: []Defect{
				{Name: "open", Doc: "coil open", Likelihood: 1.5},
				{Name: "shorted", Doc: "turns of the coil shorted", Dim: Ohm, Low: 1, High: 600, Typical: 100, Likelihood: 0.5},
				{Name: "gap-wide", Doc: "too far from its wheel: so many percent of its voltage", Dim: Percent, Low: 0.5, High: 50, Typical: 10, Likelihood: 1},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["resistance"]; d.Name == "shorted" {
				d.span(0.01*ohms, 0.2*ohms, 0.6*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			return &Pickup{dial: dial{places: len(s.Positions)}, low: v["low"], high: v["high"], teeth: v["teeth"], peak: v["peak"], ohms: v["resistance"]}
		},
	}
}

// Build implements Device.
func (p *Pickup) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	p.coil = n.Add(name, pins[0], pins[1], circuit.Source{Ohms: p.ohms})
}

// Hertz returns the frequency of its wave, 0 while it stands.
func (p *Pickup) Hertz() float64 { return p.between(p.low, p.high) * p.teeth / 60 }

// Peak returns the peak of its force in volts. Shorted turns take their part of it with them.
func (p *Pickup) Peak() float64 {
	e := p.peak * p.between(p.low, p.high) / 1000
	switch p.name {
	case "shorted":
		return e * p.severity / p.ohms
	case "gap-wide":
		return e * p.severity / 100
	}
	return e
}

// Stamp implements Device.
func (p *Pickup) Stamp(s *circuit.Solver, mode Mode) {
	ohms, e := p.ohms, 0.0
	switch p.name {
	case "open":
		ohms = math.Inf(1)
	case "shorted":
		ohms = p.severity
	}
	if p.waving() && mode == Moving {
		e = p.Peak() * sine(p.wave.at*p.Hertz())
	}
	s.SetOhms(p.coil, ohms)
	s.SetEMF(p.coil, e)
}

// waving reports whether the wave is followed now.
func (p *Pickup) waving() bool { return p.wave.on && p.Hertz() > 0 }

// Step implements Device.
func (p *Pickup) Step(*circuit.Solver) float64 {
	if p.waving() {
		return 1 / (pickupParts * p.Hertz())
	}
	return math.Inf(1)
}

// Advance implements Device.
func (p *Pickup) Advance(_ *circuit.Solver, dt float64) []Happening {
	if p.waving() {
		p.wave.advance(dt, 1/p.Hertz())
	}
	return nil
}

// Wave implements Waving: its voltage goes up and down.
func (p *Pickup) Wave(on bool) { p.wave = wave{on: on} }

// State implements Device: the position.
func (p *Pickup) State() []float64 { return p.dial.State() }

// SetState implements Device.
func (p *Pickup) SetState(x []float64) { p.dial.SetState(x) }

// sine returns the sine of a whole turn times x, x from 0 to 1, within 1e-15 and with the same bits on every processor.
func sine(x float64) float64 {
	sign := 1.0
	if x > 0.5 {
		x, sign = x-0.5, -1
	}
	if x > 0.25 {
		x = 0.5 - x
	}
	// The Taylor series from 0 to a quarter of a turn; its term of the 21st power is below 1e-15 there.
	a := 2 * math.Pi * x
	a2 := a * a
	sum := 0.0
	for n := 19.0; n > 0; n -= 2 {
		sum = 1 - float64(a2/((n+1)*(n+2))*sum)
	}
	return sign * a * sum
}
