package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Heater is a resistance wire whose heat a person feels. The heat h, 1 at rated power, follows the power P by
//
//	dh/dt = (P/rated - h)/τ
//
// which is Newton cooling of a lumped body; the resistance does not change with it, as that of constantan and of
// nickel-chromium hardly does (a few percent to red heat, from memory).
type Heater struct {
	base
	pins        pair
	branch      circuit.ID
	ohms, watts float64
	tau         float64
	heat        float64
	mode        Mode
	spoilt
}

// From these shares of rated heat a heater is felt, and is as hot as it should be (common practice, no source).
const heaterWarm, heaterHot = 0.1, 0.6

var heatWords = []string{"cold", "warm", "hot"}

func heaterFamily() family {
	return family{
		kind: Kind{
			Name: "heater", Title: "heater",
			Doc:       "A heating wire, as in a heated window, mirror or seat.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: heatWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power at rated voltage", Dim: Watt, Required: true, Min: 0.1, Max: 5000},
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
			return &Heater{ohms: v * v / w, watts: w, tau: s.Values["time"]}
		},
	}
}

// Build implements Device.
func (h *Heater) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	h.pins = pair(pins)
	h.branch = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: h.ohms})
}

// Stamp implements Device.
func (h *Heater) Stamp(s *circuit.Solver, mode Mode) {
	h.mode = mode
	switch h.name {
	case "open":
		s.SetOhms(h.branch, math.Inf(1))
	case "weak", "shorted":
		s.SetOhms(h.branch, h.severity)
	default:
		s.SetOhms(h.branch, h.ohms)
	}
}

// share is the heating power over the rated one. The heat of a short is at the place of the short, where nobody feels it.
func (h *Heater) share(s *circuit.Solver) float64 {
	if h.name == "shorted" {
		return 0
	}
	return s.Power(h.branch) / h.watts
}

// Advance implements Device.
func (h *Heater) Advance(s *circuit.Solver, dt float64) []Happening {
	p := h.share(s)
	h.heat = p + float64((h.heat-p)*exp(-dt/h.tau))
	return nil
}

// Rest implements Device.
func (h *Heater) Rest(s *circuit.Solver) { h.heat = h.share(s) }

// Effect implements Device.
func (h *Heater) Effect(s *circuit.Solver) Effect {
	level := h.heat
	if h.mode == Steady {
		level = h.share(s)
	}
	return Effect{Sense: Heat, Level: level, Word: word(level, heatWords, heaterWarm, heaterHot)}
}

// State implements Device: the heat.
func (h *Heater) State() []float64 { return []float64{h.heat} }

// SetState implements Device.
func (h *Heater) SetState(x []float64) { h.heat = x[0] }
