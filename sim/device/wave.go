package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Waving is a device that does something faster than a slow observer can follow, such as pulses of a fixed frequency, and therefore
// gives its mean as long as nobody looks closer: while time passes in Run and Hold, and in steady state.
//
// An instrument that shows the shape of what it measures (extremes, frequency, duty, a trace) has it followed for a while with
// harness.Machine.Watch, which calls Wave. A slow change of state that takes whole instants, such as a flasher's, needs none of this.
type Waving interface {
	Device
	// Wave makes the device follow its wave (on), from the beginning of a period, or give its mean again. While it is on, Stamp in
	// mode Moving writes what holds at this instant of the wave, Step returns no more than the time to the wave's next edge (or a small
	// part of a period, for one without edges) and Advance moves on in the period. It is +Inf from Step when there is no wave now,
	// so that what is at rest costs nothing. Neither the switch nor the place in the period belongs to State, and what is slow, such as
	// the heat of an output, need not follow the wave.
	Wave(on bool)
}

// Inert is a device of which something is too slow to follow waves, and therefore stays as it was before they are looked at.
type Inert interface {
	Device
	// Freeze keeps what is slow as it is in the present solution, which is one of means. With nil, waves are followed no longer. It is
	// called beside Wave and is no part of State.
	Freeze(s *circuit.Solver)
}

// wave is the place of a device in the period of its wave.
type wave struct {
	on bool
	at float64 // seconds since the beginning of the period
}

// edge returns how long it is until a pulse of that duty and period begins or ends.
func (w *wave) edge(duty, period float64) float64 {
	if w.high(duty, period) {
		return duty*period - w.at
	}
	return period - w.at
}

// high reports whether a pulse of that duty and period, which begins with its on part, is on now.
func (w *wave) high(duty, period float64) bool { return w.at < duty*period-timeGrain }

// advance moves on by dt seconds.
func (w *wave) advance(dt, period float64) {
	w.at += dt
	if w.at >= period-timeGrain {
		w.at = math.Max(0, math.Mod(w.at+timeGrain, period)-timeGrain)
	}
}

// Wave implements Waving: pulsed outputs go on and off.
func (m *Module) Wave(on bool) {
	for i := range m.waves {
		m.waves[i] = wave{on: on}
	}
}

// pulsed reports whether an output follows its pulses now, with their duty and their period in seconds.
func (m *Module) pulsed(i int) (duty, period float64, ok bool) {
	if !m.waves[i].on || !m.x.on[i] || m.logic.Outputs[i].Side == Reference {
		return 0, 0, false
	}
	duty = m.duty(i)
	return duty, m.period(i), duty < 1
}

// period is that of an output's pulses in seconds.
func (m *Module) period(i int) float64 {
	if f := m.drives[i].Hertz; f > 0 {
		return 1 / f
	}
	return 1 / usualPulse
}

// usualPulse is the frequency in hertz of pulses that have none given (common practice, no source).
const usualPulse = 100.0

// stampPulse writes what an output does at this instant of its pulses.
func (m *Module) stampPulse(s *circuit.Solver, i int, duty, period float64) {
	o := &m.outputs[i]
	if !m.waves[i].high(duty, period) {
		o.curve.set(s, open, false)
		return
	}
	limit := m.logic.Outputs[i].Limit
	changed := o.driver.emf != 0 || o.driver.limit != limit
	o.driver.emf, o.driver.limit = 0, limit
	o.curve.set(s, &o.driver, changed)
}
