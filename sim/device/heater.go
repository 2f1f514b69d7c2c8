package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Heater is a resistance wire whose heat a person feels. The heat h, 1 at rated power, follows the power P, and the resistance
// the heat:
//
//	dh/dt = (P/rated - h)/τ        R = cold·(1 + (rise - 1)·h)
//
// The first is Newton cooling of a lumped body; the second a resistance that is straight in the temperature, which grows by the
// factor rise to rated heat: 1 for constantan and nickel-chromium (a few percent to red heat, from memory), 2 to 4 for the iron
// or nickel regulating wire of a glow plug, which so takes a large current at first and limits itself (common practice, no
// source). In steady state h solves h·(1 + (rise-1)·h) = rise·v², v the voltage over the rated one.
type Heater struct {
	base
	pins   pair
	curve  curve
	law    heaterLaw
	moving ohmic
	watts  float64
	tau    float64
	heat   float64
	sought float64 // heat in steady state on pulses, 0 without any
	pulses onPulses
	mode   Mode
	spoilt
}

// heaterLaw is a heater that has been on for long; siemens is the conductance at rated voltage.
type heaterLaw struct{ volts, siemens, rise float64 }

// heat returns h at a voltage, and its slope over v².
func (l *heaterLaw) heat(v float64) (h, slope float64) {
	x := v / l.volts
	root := math.Sqrt(1 + float64(4*(l.rise-1)*l.rise*x*x))
	return 2 * l.rise * x * x / (1 + root), l.rise / root
}

// At implements circuit.Law.
func (l *heaterLaw) At(v float64) (i, g float64) {
	x := v / l.volts
	h, slope := l.heat(v)
	// The conductance over that at rated voltage is q = rise/(1 + (rise-1)·h), and dq/dv = -q²·(rise-1)/rise·dh/d(v²)·2v.
	q := l.rise / (1 + float64((l.rise-1)*h))
	bend := float64(q * q * (l.rise - 1) / l.rise * slope * 2 * x * x)
	return v * q * l.siemens, (q - bend) * l.siemens
}

// Limit implements circuit.Law: as with a lamp, whose curve bends the same way.
func (l *heaterLaw) Limit(next, last float64) float64 {
	if next*last < 0 && math.Abs(last) > lampNear*l.volts {
		return 0
	}
	return next
}

// From these shares of rated heat a heater is felt, and is as hot as it should be (common practice, no source).
const heaterWarm, heaterHot = 0.1, 0.6

var heatWords = []string{"cold", "warm", "hot"}

func heaterFamily() family {
	return family{
		kind: Kind{
			Name: "heater", Title: "heater",
			Doc:       "A heating wire, as in a heated window, mirror or seat, or a glow plug.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: heatWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power at rated voltage", Dim: Watt, Required: true, Min: 0.1, Max: 5000},
				{Key: "rise", Doc: "resistance when hot over cold: 1 for a heated window, 2 to 4 for a glow plug", Default: 1, Min: 1, Max: 8},
				{Key: "time", Doc: "time to reach 63 % of its heat", Dim: Second, Default: 60, Min: 0.1, Max: 3600},
			},
			Defects: []Defect{
				{Name: "open", Doc: "heating wire broken", Likelihood: 1},
				{Name: "weak", Doc: "part of the heating wire broken", Dim: Ohm, Low: 0.1, High: 1e4, Typical: 10, Likelihood: 0.5},
				{Name: "shorted", Doc: "heating wire shorted", Dim: Ohm, Low: 0.01, High: 1, Typical: 0.05, Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			ohms := v["volts"] * v["volts"] / v["power"]
			switch d.Name {
			case "weak":
				d.span(1.3*ohms, 3*ohms, 1000*ohms)
			case "shorted":
				d.span(0.001*ohms, 0.03*ohms, 0.5*ohms)
			}
		},
		make: func(s Spec) Device {
			v, w := s.Values["volts"], s.Values["power"]
			return &Heater{law: heaterLaw{v, w / (v * v), s.Values["rise"]}, watts: w, tau: s.Values["time"]}
		},
	}
}

// Build implements Device.
func (h *Heater) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	h.pins = pair(pins)
	h.pulses = onPulses{}
	h.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
}

// Stamp implements Device.
func (h *Heater) Stamp(s *circuit.Solver, mode Mode) {
	h.mode = mode
	h.pulses.stale()
	switch {
	case h.name == "open":
		h.curve.set(s, open, false)
	case h.name != "":
		h.curve.set(s, &h.moving, h.moving.become(1/h.severity))
	case mode == Steady && h.sought > 0:
		h.curve.set(s, &h.moving, h.moving.become(h.siemens(h.sought)))
	case mode == Steady:
		h.curve.set(s, &h.law, false)
	default:
		h.curve.set(s, &h.moving, h.moving.become(h.siemens(h.heat)))
	}
}

// siemens is the conductance at a heat.
func (h *Heater) siemens(heat float64) float64 {
	return h.law.siemens * h.law.rise / (1 + float64((h.law.rise-1)*heat))
}

// joins and ends implement warmable.
func (h *Heater) joins(p *pulses, at int) { h.pulses.joins(p, at) }
func (h *Heater) ends() pair              { return h.pins }

// volts is the voltage that warms the heater: on pulses more than the mean, see pulses.
func (h *Heater) volts(s *circuit.Solver) float64 {
	return effective(h.pins.volts(s), h.pulses.variance(s))
}

// heatSought is how near the heat on pulses is found in steady state.
const heatSought = 1e-6

// Settle implements Device: on pulses it seeks the heat, each time with the resistance of the last.
func (h *Heater) Settle(s *circuit.Solver) bool {
	was := h.sought
	switch {
	case h.mode != Steady:
		return false
	case h.name != "" || h.pulses.variance(s) == 0:
		h.sought = 0
	default:
		h.sought, _ = h.law.heat(h.volts(s))
	}
	return math.Abs(h.sought-was) > heatSought
}

// share is the heating power over the rated one. The heat of a short is at the place of the short, where nobody feels it.
func (h *Heater) share(s *circuit.Solver) float64 {
	if h.name == "shorted" {
		return 0
	}
	power := s.Power(h.curve.id)
	if v := h.pulses.variance(s); v > 0 {
		_, siemens := h.curve.now.At(h.pins.volts(s))
		power += v * siemens
	}
	return power / h.watts
}

// heaterGrain is the change of heat that is worth a step while the resistance follows it: 2 to 3 % of the resistance.
const heaterGrain = 0.03

// Step implements Device.
func (h *Heater) Step(s *circuit.Solver) float64 {
	off := math.Abs(h.share(s) - h.heat)
	if h.law.rise == 1 || h.name != "" || off < heaterGrain/30 {
		return math.Inf(1)
	}
	return h.tau * heaterGrain / off
}

// Advance implements Device. The power is taken as it is over the whole step.
func (h *Heater) Advance(s *circuit.Solver, dt float64) []Happening {
	p := h.share(s)
	h.heat = p + float64((h.heat-p)*exp(-dt/h.tau))
	return nil
}

// Rest implements Device.
func (h *Heater) Rest(s *circuit.Solver) { h.heat = h.rest(s) }

// rest is the heat to which the present solution, in steady state, brings it.
func (h *Heater) rest(s *circuit.Solver) float64 {
	if h.name == "" {
		heat, _ := h.law.heat(h.volts(s))
		return heat
	}
	return h.share(s)
}

// Effect implements Device.
func (h *Heater) Effect(s *circuit.Solver) Effect {
	level := h.heat
	if h.mode == Steady {
		level = h.share(s)
	}
	return Effect{Sense: Heat, Level: level, Word: word(level, heatWords, heaterWarm, heaterHot)}
}

// State implements Device: the heat, and the steady one on pulses or 0.
func (h *Heater) State() []float64 { return []float64{h.heat, h.sought} }

// SetState implements Device.
func (h *Heater) SetState(x []float64) { h.heat, h.sought = x[0], x[1] }
