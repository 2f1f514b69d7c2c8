package device

import (
	"math"

	"faultloom/sim/circuit"
)

// PTCHeater is a heater of ceramic whose resistance jumps up above its switch point, as in an auxiliary air heater or a mirror: it finds
// a temperature a little above that by itself, gives nearly the same heat at every voltage, and cannot overheat. With T its
// temperature, S the switch point and a how steeply its resistance rises there
//
//	R = cold·(1 + e^(a·(T - S)))        G·τ·dT/dt = U·I - G·(T - 20 °C)
//
// a smooth form of the usual characteristic, flat below and exponential above (data sheets give a of 10 to 30 % a kelvin, from memory);
// the second is Newton cooling of a lumped body. G and the temperature at rated voltage follow from its power and from how much
// more it draws cold: R rated = cold·inrush.
//
// Because the current falls while the voltage rises, there may be two steady states with a resistance in its circuit. Which one it is in
// follows from where it comes from: Settle moves the temperature to the next balance on its way.
type PTCHeater struct {
	base
	pins pair
	body circuit.ID

	cold    float64 // ohms
	point   float64 // switch point in °C
	steep   float64 // a in 1/K
	watts   float64 // rated
	give    float64 // G in watts a kelvin
	tau     float64
	t, rest float64 // °C now, and in steady state
	mode    Mode
	spoilt
}

const (
	// ptcSteep is a of a heater, in 1/K.
	ptcSteep = 0.15
	// ptcAir is the temperature round it in °C.
	ptcAir = 20.0
	// ptcMost is the temperature in °C that bounds the search: at 150 K above its switch point nothing conducts any more.
	ptcMost = 500.0
	// ptcStride is by how many kelvins the search for a balance goes on; the characteristic bends over 1/a.
	ptcStride = 1.0
	// ptcGrain is how near in kelvins a balance is found, ptcRest how near to it one counts as there.
	ptcGrain, ptcRest = 1e-9, 0.02
	// ptcMove is the change in kelvins that is worth a step of the circuit: 7 % of the resistance where it is steepest.
	ptcMove = 0.5
)

func ptcHeaterFamily() family {
	return family{
		kind: Kind{
			Name: "ptc-heater", Title: "ceramic heater",
			Doc: "A heater that limits itself: its resistance rises steeply above its switch point, so it draws `inrush` times its current while cold, then " +
				"settles, and gives nearly the same heat at every voltage. Auxiliary air heaters, mirrors, washer nozzles.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: heatWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power at rated voltage, warm", Dim: Watt, Required: true, Min: 0.5, Max: 5000},
				{Key: "inrush", Doc: "current when cold over that when warm", Default: 3, Min: 1.2, Max: 20},
				{Key: "switch", Doc: "temperature above which its resistance rises", Dim: Celsius, Default: 120, Min: 50, Max: 300},
				{Key: "time", Doc: "time constant of its cooling", Dim: Second, Default: 15, Min: 0.5, Max: 600},
			},
			Defects: []Defect{
				{Name: "open", Doc: "no contact to the ceramic", Likelihood: 1},
				{Name: "weak", Doc: "part of the ceramic broken off: so many percent of it are left", Dim: Percent, Low: 3, High: 50, Typical: 25, Likelihood: 0.7},
				{Name: "shorted", Doc: "ceramic bridged", Dim: Ohm, Low: 0.01, High: 1, Typical: 0.05, Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["volts"] * v["volts"] / v["power"]; d.Name == "shorted" {
				d.span(0.001*ohms, 0.02*ohms, 0.1*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			warm := v["volts"] * v["volts"] / v["power"]
			rated := v["switch"] + log(v["inrush"]-1)/ptcSteep
			return &PTCHeater{cold: warm / v["inrush"], point: v["switch"], steep: ptcSteep, watts: v["power"], give: v["power"] / (rated - ptcAir),
				tau: v["time"], t: ptcAir, rest: ptcAir}
		},
	}
}

// Build implements Device.
func (h *PTCHeater) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	h.pins = pair(pins)
	h.body = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: h.cold})
}

// left is the share of the ceramic that is there.
func (h *PTCHeater) left() float64 {
	if h.name == "weak" {
		return h.severity / 100
	}
	return 1
}

// ohmsAt is the resistance at a temperature in °C, whatever is wrong.
func (h *PTCHeater) ohmsAt(t float64) float64 {
	switch h.name {
	case "open":
		return math.Inf(1)
	case "shorted":
		return h.severity
	}
	return h.cold / h.left() * (1 + exp(h.steep*(t-h.point)))
}

// temperature is that of the present mode.
func (h *PTCHeater) temperature() *float64 {
	if h.mode == Steady {
		return &h.rest
	}
	return &h.t
}

// Stamp implements Device.
func (h *PTCHeater) Stamp(s *circuit.Solver, mode Mode) {
	h.mode = mode
	s.SetOhms(h.body, h.ohmsAt(*h.temperature()))
}

// supply is what the circuit looks like from it: volts behind ohms, which is +Inf when hardly anything joins its ends, with the current at
// its own resistance.
func (h *PTCHeater) supply(s *circuit.Solver) (volts, ohms float64) {
	own := h.ohmsAt(*h.temperature())
	if h.name != "" && h.name != "weak" {
		return 0, math.Inf(1) // nothing that its temperature has a part in
	}
	o := see(s, h.pins, 1/own, s.Current(h.body))
	if o.siemens == 0 {
		return 0, math.Inf(1)
	}
	ohms = 1 / o.siemens
	return o.volts + float64(o.amps*ohms), ohms
}

// gain is the power it takes up less what it gives off at a temperature, in watts.
func (h *PTCHeater) gain(t, volts, ohms float64) float64 {
	off := h.give * h.left() * (t - ptcAir)
	if math.IsInf(ohms, 1) {
		return -off
	}
	r := h.ohmsAt(t)
	amps := volts / (r + ohms)
	return float64(amps*amps*r) - off
}

// balance returns the temperature at which it comes to rest when it starts from one.
func (h *PTCHeater) balance(from, volts, ohms float64) float64 {
	up := h.gain(from, volts, ohms)
	if up == 0 {
		return from
	}
	stride := math.Copysign(ptcStride, up)
	a, b := from, from+stride
	for h.gain(b, volts, ohms)*up > 0 && math.Abs(b) < ptcMost {
		a, b = b, b+stride
	}
	for range 60 {
		m := (a + b) / 2
		if h.gain(m, volts, ohms)*up > 0 {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}

// Settle implements Device: it finds the temperature of steady state.
func (h *PTCHeater) Settle(s *circuit.Solver) bool {
	if h.mode != Steady {
		return false
	}
	volts, ohms := h.supply(s)
	now := h.balance(h.rest, volts, ohms)
	other := math.Abs(now-h.rest) > ptcGrain
	if other {
		h.rest = now
	}
	return other && h.ohmsAt(now) != s.Ohms(h.body)
}

// rate returns dT/dt in K/s.
func (h *PTCHeater) rate(t, volts, ohms float64) float64 {
	return h.gain(t, volts, ohms) / (h.give * h.left() * h.tau)
}

// slope returns how fast that falls with the temperature, in 1/s, by a difference over a hundredth of what bends.
func (h *PTCHeater) slope(t, volts, ohms float64) float64 {
	d := 0.01 / h.steep
	return (h.rate(t-d, volts, ohms) - h.rate(t+d, volts, ohms)) / (2 * d)
}

// Step implements Device.
func (h *PTCHeater) Step(s *circuit.Solver) float64 {
	volts, ohms := h.supply(s)
	r := math.Abs(h.rate(h.t, volts, ohms))
	if r <= ptcRest*math.Abs(h.slope(h.t, volts, ohms)) || h.name == "open" || h.name == "shorted" {
		return math.Inf(1)
	}
	return ptcMove / r
}

// Advance implements Device, by the exponential Rosenbrock-Euler method with what the circuit looks like from it.
func (h *PTCHeater) Advance(s *circuit.Solver, dt float64) []Happening {
	if h.mode == Steady {
		h.t = h.rest
		return nil
	}
	volts, ohms := h.supply(s)
	for dt > 0 {
		rate, decays := h.rate(h.t, volts, ohms), h.slope(h.t, volts, ohms)
		step := dt
		if r := math.Abs(rate); r*step > ptcMove/5 && r > ptcRest/100*math.Abs(decays) {
			step = ptcMove / 5 / r
		}
		change := rate * step
		if decays*step > 1e-9 {
			change = float64(rate / decays * (1 - exp(-decays*step)))
		}
		h.t += change
		dt -= step
	}
	h.rest = h.t
	return nil
}

// Rest implements Device. A temperature that was reached in time is taken the last little way to its end.
func (h *PTCHeater) Rest(s *circuit.Solver) {
	if h.mode == Steady {
		volts, ohms := h.supply(s)
		h.rest = h.balance(h.rest, volts, ohms)
	}
	h.t = h.rest
}

// Celsius returns its temperature.
func (h *PTCHeater) Celsius() float64 { return h.t }

// Effect implements Device. The level is the heat that it gives off over the rated one.
func (h *PTCHeater) Effect(*circuit.Solver) Effect {
	level := max(0, h.give*h.left()*(*h.temperature()-ptcAir)/h.watts)
	if level < 1e-6 {
		level = 0
	}
	return Effect{Sense: Heat, Level: level, Word: word(level, heatWords, heaterWarm, heaterHot)}
}

// State implements Device: temperature now and in steady state.
func (h *PTCHeater) State() []float64 { return []float64{h.t, h.rest} }

// SetState implements Device.
func (h *PTCHeater) SetState(x []float64) { h.t, h.rest = x[0], x[1] }
