package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Solenoid is a coil that pulls a plunger: a valve, a lock, a stop solenoid. The plunger pulls in at a share of rated voltage and,
// with the gap closed, holds down to a much lower one, each after a delay, like a relay's armature; the coil is a plain
// resistance that grows with its own heat like copper:
//
//	R = R₂₀·(1 + α·rise·h)     dh/dt = (P/rated - h)/τ
//
// with h the heat over that at rated voltage for good, rise its temperature in kelvin above the cold coil, and α that of IEC
// 60028. In steady state h solves h·(1 + α·rise·h) = (1 + α·rise)·v².
type Solenoid struct {
	base
	pins   pair
	curve  curve
	law    heaterLaw // a coil is a heater
	moving ohmic
	watts  float64
	tau    float64
	heat   float64

	pull, hold     float64 // volts
	delay, release float64 // seconds
	in             bool
	waited         float64
	mode           Mode
	spoilt
}

// solenoidRise is how much warmer in kelvin a coil gets that is on for good (common practice, no source).
const solenoidRise = 60.0

var solenoidWords = []string{"released", "pulled-in"}

func solenoidFamily() family {
	return family{
		kind: Kind{
			Name: "solenoid", Title: "solenoid",
			Doc: "A coil with a plunger: stop solenoid, lock, valve. One hears and feels it pull in at `pull-in` of its rated voltage; it holds " +
				"down to `hold`. Its coil warms up and draws less then.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: solenoidWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power at rated voltage, warm", Dim: Watt, Default: 18, Min: 0.5, Max: 2000},
				{Key: "pull-in", Doc: "voltage at which it pulls in, of the rated one", Dim: Percent, Default: 65, Min: 10, Max: 95},
				{Key: "hold", Doc: "voltage down to which it holds, of the rated one; below pull-in", Dim: Percent, Default: 25, Min: 1, Max: 90},
				{Key: "delay", Doc: "time it takes to pull in", Dim: Second, Default: 0.03, Min: 0.001, Max: 2},
				{Key: "time", Doc: "time to reach 63 % of its heat", Dim: Second, Default: 300, Min: 1, Max: 3600},
			},
			Defects: []Defect{
				{Name: "coil-open", Doc: "coil broken", Likelihood: 1},
				{Name: "coil-shorted", Doc: "turns of the coil shorted", Dim: Ohm, Low: 0.05, High: 20, Typical: 0.5, Likelihood: 0.5},
				{Name: "stuck-out", Doc: "plunger stuck: does not pull in", Likelihood: 1},
				{Name: "stuck-in", Doc: "plunger stuck: does not let go", Likelihood: 0.5},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["volts"] * v["volts"] / v["power"]; d.Name == "coil-shorted" {
				d.span(0.01*ohms, 0.1*ohms, 0.6*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			volts, watts := v["volts"], v["power"]
			return &Solenoid{
				law: heaterLaw{volts, watts / (volts * volts), 1 + copperPerKelvin*solenoidRise}, watts: watts, tau: v["time"],
				pull: volts * v["pull-in"] / 100, hold: volts * min(v["hold"], 0.95*v["pull-in"]) / 100,
				delay: v["delay"], release: v["delay"] / 2,
			}
		},
	}
}

// Build implements Device.
func (d *Solenoid) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	d.pins = pair(pins)
	d.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
}

// Stamp implements Device.
func (d *Solenoid) Stamp(s *circuit.Solver, mode Mode) {
	d.mode = mode
	switch {
	case d.name == "coil-open":
		d.curve.set(s, open, false)
	case d.name == "coil-shorted":
		d.curve.set(s, &d.moving, d.moving.become(1/d.severity))
	case mode == Steady:
		d.curve.set(s, &d.law, false)
	default:
		d.curve.set(s, &d.moving, d.moving.become(d.law.siemens*d.law.rise/(1+float64((d.law.rise-1)*d.heat))))
	}
}

// PulledIn reports where the plunger is.
func (d *Solenoid) PulledIn() bool {
	switch d.name {
	case "stuck-out":
		return false
	case "stuck-in":
		return true
	}
	return d.in
}

// wants reports whether the coil asks for the other state. Shorted turns leave the pull at a voltage as it was, see Relay.
func (d *Solenoid) wants(s *circuit.Solver) bool {
	switch d.name {
	case "stuck-out", "stuck-in":
		return false
	case "coil-open":
		return d.in
	}
	v := math.Abs(d.pins.volts(s))
	if d.in {
		return v <= d.hold
	}
	return v >= d.pull
}

// Settle implements Device.
func (d *Solenoid) Settle(s *circuit.Solver) bool {
	d.waited = 0
	if !d.wants(s) {
		return false
	}
	d.in = !d.in
	return true
}

// Due implements Device: the rest of the delay.
func (d *Solenoid) Due(s *circuit.Solver) float64 {
	if !d.wants(s) {
		return math.Inf(1)
	}
	return max(0, d.wait()-d.waited)
}

func (d *Solenoid) wait() float64 {
	if d.in {
		return d.release
	}
	return d.delay
}

// Step implements Device: the plunger on its way, or the coil warming up.
func (d *Solenoid) Step(s *circuit.Solver) float64 {
	step := d.Due(s)
	if off := math.Abs(d.share(s) - d.heat); d.name == "" && off > heaterGrain/3 {
		step = min(step, d.tau*4*heaterGrain/off) // a quarter as much of the resistance depends on heat as in a glow plug
	}
	return step
}

// share is the heating power over the rated one.
func (d *Solenoid) share(s *circuit.Solver) float64 { return s.Power(d.curve.id) / d.watts }

// Advance implements Device.
func (d *Solenoid) Advance(s *circuit.Solver, dt float64) []Happening {
	p := d.share(s)
	d.heat = p + float64((d.heat-p)*exp(-dt/d.tau))
	if !d.wants(s) {
		d.waited = 0
		return nil
	}
	d.waited += dt
	if d.waited < d.wait()-timeGrain {
		return nil
	}
	d.in, d.waited = !d.in, 0
	if d.in {
		return []Happening{{What: "click-in", Loud: true}}
	}
	return []Happening{{What: "click-out", Loud: true}}
}

// Rest implements Device.
func (d *Solenoid) Rest(s *circuit.Solver) { d.heat = d.rest(s) }

// rest is the heat to which the present solution, in steady state, brings it.
func (d *Solenoid) rest(s *circuit.Solver) float64 {
	if d.name == "" {
		heat, _ := d.law.heat(d.pins.volts(s))
		return heat
	}
	return d.share(s)
}

// Effect implements Device.
func (d *Solenoid) Effect(*circuit.Solver) Effect {
	level := flag(d.PulledIn())
	return Effect{Sense: Motion, Level: level, Word: word(level, solenoidWords, 1)}
}

// State implements Device: pulled in, time waited, heat.
func (d *Solenoid) State() []float64 { return d.appendState(nil) }

func (d *Solenoid) appendState(dst []float64) []float64 {
	return append(dst, flag(d.in), d.waited, d.heat)
}

// SetState implements Device.
func (d *Solenoid) SetState(x []float64) { d.in, d.waited, d.heat = x[0] != 0, x[1], x[2] }
