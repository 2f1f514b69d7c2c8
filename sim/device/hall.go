package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Hall is a speed or position sensor with three wires: before a toothed wheel its output transistor joins the signal to ground while a
// tooth passes, and lets it go else (an open collector), so that the pull-up of whoever listens makes a square wave of it. Its
// frequency is teeth·n/60 at n revolutions a minute. While it stands, it is one or the other.
//
// Its wave is faster than a slow instrument. What that shows is the mean: the signal carries duty times the current that it carries
// while the transistor conducts, which is found from what the circuit looks like from it (Thévenin) and exact where that is
// linear. Wave lets it be followed edge by edge.
type Hall struct {
	base
	dial
	pins             []circuit.Node
	own, out, pulses circuit.ID

	low, high   float64 // rpm in the first and last position
	teeth, duty float64
	tooth       bool // before it at rest
	ohms, alive float64
	volts, amps float64 // its own current
	awake       bool
	mean        float64 // amperes of the signal
	wave        wave
	mode        Mode
	spoilt
}

const (
	// hallOhms is its output transistor: 0.4 V at 20 mA (data sheets, from memory).
	hallOhms = 20.0
	// hallAlive is the supply in volts that it needs: 3.8 to 4.5 V are usual (data sheets, from memory).
	hallAlive = 4.0
	// hallGrain is how near its mean is found, as a share of it, and hallLeast in amperes.
	hallGrain, hallLeast = 1e-9, 1e-12
)

// speedParams are those by which a control's positions become speeds.
func speedParams() []Param {
	return []Param{
		{Key: "low", Doc: "speed in the first position", Dim: RevPerMinute, Default: 0, Min: 0, Max: 10000},
		{Key: "high", Doc: "speed in the last position", Dim: RevPerMinute, Default: 2400, Min: 0, Max: 10000},
	}
}

func hallFamily() family {
	return family{
		kind: Kind{
			Name: "hall", Title: "Hall sensor",
			Doc: "A speed or position sensor with three wires and an open-collector output: it joins `signal` to ground while a tooth passes, and whoever " +
				"listens must pull it up. Its positions are speeds, evenly spaced between `low` and `high`; join nothing in them. A voltmeter shows " +
				"the mean of its square wave; at rest it is low or high, by `tooth`.",
			Terminals: []Terminal{{"in", "supply"}, {"signal", "output, to be pulled up"}, {"out", "ground"}},
			Table:     true, Plugged: true,
			Params: append(speedParams(),
				Param{Key: "teeth", Doc: "teeth of its wheel", Default: 4, Min: 1, Max: 200},
				Param{Key: "duty", Doc: "part of the time for which a tooth is before it", Dim: Percent, Default: 50, Min: 5, Max: 95},
				Param{Key: "tooth", Doc: "1 when a tooth is before it at rest, 0 when none is", Default: 0, Min: 0, Max: 1},
				Param{Key: "volts", Doc: "rated supply voltage", Dim: Volt, Default: 12, Min: 4, Max: 48},
				Param{Key: "amps", Doc: "current that it draws itself", Dim: Ampere, Default: 0.008, Min: 0.0005, Max: 0.1},
			),
			Defects: []Defect{
				{Name: "dead", Doc: "sensor dead: its output never goes low", Likelihood: 1.5},
				{Name: "stuck-low", Doc: "output transistor shorted: always low", Likelihood: 1},
				{Name: "supply-shorted", Doc: "supply shorted inside", Dim: Ohm, Low: 0.2, High: 100, Typical: 2, Likelihood: 0.3},
				{Name: "output-weak", Doc: "output transistor weak: does not pull down to ground", Dim: Ohm, Low: 500, High: 1e5, Typical: 5000, Likelihood: 0.5},
			},
		},
		make: func(s Spec) Device {
			v := s.Values
			return &Hall{dial: dial{places: len(s.Positions)}, low: v["low"], high: v["high"], teeth: v["teeth"], duty: v["duty"] / 100,
				tooth: v["tooth"] >= 0.5, ohms: hallOhms, alive: hallAlive, volts: v["volts"], amps: v["amps"]}
		},
	}
}

// Build implements Device.
func (h *Hall) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	h.pins = pins
	h.own = n.Add(name+" own current", pins[0], pins[2], circuit.Resistor{Ohms: h.volts / h.amps})
	h.out = n.Add(name+" output", pins[1], pins[2], circuit.Resistor{Ohms: math.Inf(1)})
	h.pulses = n.Add(name+" pulses", pins[1], pins[2], circuit.Injection{})
}

// Hertz returns the frequency of its wave, 0 while it stands.
func (h *Hall) Hertz() float64 { return h.between(h.low, h.high) * h.teeth / 60 }

// turns reports whether there is a wave.
func (h *Hall) turns() bool {
	return h.awake && h.Hertz() > 0 && h.name != "dead" && h.name != "stuck-low"
}

// on is the resistance of its output while a tooth is before it.
func (h *Hall) on() float64 {
	if h.name == "output-weak" {
		return h.severity
	}
	return h.ohms
}

// Stamp implements Device.
func (h *Hall) Stamp(s *circuit.Solver, mode Mode) {
	h.mode = mode
	own, out, mean := h.volts/h.amps, math.Inf(1), h.mean
	if h.name == "supply-shorted" {
		own = h.severity
	}
	waving := h.waving() && mode == Moving
	switch {
	case h.name == "stuck-low",
		!h.turns() && h.awake && h.tooth && h.name != "dead",
		waving && h.wave.high(h.duty, 1/h.Hertz()):
		out = h.on()
	}
	if waving || !h.turns() {
		mean = 0
	}
	s.SetOhms(h.own, own)
	s.SetOhms(h.out, out)
	s.SetAmps(h.pulses, mean)
}

// waving reports whether the wave is followed now.
func (h *Hall) waving() bool { return h.wave.on && h.turns() }

// target is the mean current of the signal that goes with the present solution.
func (h *Hall) target(s *circuit.Solver) float64 {
	if !h.turns() {
		return 0
	}
	volts, ohms := s.Thevenin(h.pins[1], h.pins[2])
	return h.duty * max(0, volts+float64(h.mean*ohms)) / (ohms + h.on())
}

// wakes reports whether its supply comes or goes.
func (h *Hall) wakes(s *circuit.Solver) bool {
	supply := s.Voltage(h.pins[0]) - s.Voltage(h.pins[2])
	if h.awake {
		return supply < h.alive
	}
	return supply >= h.alive+aliveHysteresis/2
}

// Settle implements Device.
func (h *Hall) Settle(s *circuit.Solver) bool {
	if h.wakes(s) {
		h.awake, h.mean = !h.awake, 0
		return true
	}
	if h.waving() || h.mode == Moving {
		return false // a mean is no discrete state
	}
	now := h.target(s)
	other := h.differs(now)
	h.mean = now
	return other
}

// differs reports whether a mean is another than that in the circuit.
func (h *Hall) differs(mean float64) bool {
	return math.Abs(mean-h.mean) > max(hallGrain*mean, hallLeast)
}

// Step implements Device.
func (h *Hall) Step(s *circuit.Solver) float64 {
	switch {
	case h.wakes(s):
		return pulseStep
	case h.waving():
		return h.wave.edge(h.duty, 1/h.Hertz())
	case h.differs(h.target(s)):
		return pulseStep
	}
	return math.Inf(1)
}

// Due implements Device.
func (h *Hall) Due(s *circuit.Solver) float64 {
	if h.wakes(s) {
		return pulseStep
	}
	return math.Inf(1)
}

// Advance implements Device.
func (h *Hall) Advance(s *circuit.Solver, dt float64) []Happening {
	switch {
	case h.wakes(s):
		h.awake, h.mean = !h.awake, 0
	case h.waving():
		h.wave.advance(dt, 1/h.Hertz())
	default:
		h.mean = h.target(s)
	}
	return nil
}

// Wave implements Waving: its output goes up and down.
func (h *Hall) Wave(on bool) { h.wave = wave{on: on} }

// State implements Device: position, supplied, mean current of the signal.
func (h *Hall) State() []float64 { return append(h.dial.State(), flag(h.awake), h.mean) }

// SetState implements Device.
func (h *Hall) SetState(x []float64) {
	h.dial.SetState(x)
	h.awake, h.mean = x[1] != 0, x[2]
}
