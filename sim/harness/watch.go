package harness

import (
	"math"

	"faultloom/sim/device"
)

// Watch looks closer for up to seconds, with every wave followed edge by edge (device.Waving), and calls see after each solution with
// its time since the beginning and the seconds for which it stands, until see returns false. Where nothing moves it is one solution. It is
// only a look: afterwards all states are as before, and the last solution is the present one again. The first lead seconds are not shown,
// so that what follows the waves (filaments, currents in coils) has fallen into step. Errors are those of Run.
func (m *Machine) Watch(lead, seconds float64, see func(at, dt float64) bool) error {
	was := m.Snapshot()
	m.wave(true)
	err := m.watch(lead, seconds, see)
	m.wave(false)
	if back := m.Restore(was); err == nil {
		err = back
	}
	if err != nil {
		return err
	}
	if m.restless != "" || !m.resting() {
		return m.solve(device.Moving)
	}
	return m.solve(device.Steady)
}

// resting reports whether the present state is one of rest.
func (m *Machine) resting() bool {
	if m.solve(device.Moving) != nil {
		return false
	}
	for _, d := range m.moving {
		if !math.IsInf(d.Step(m.sol), 1) {
			return false
		}
	}
	return true
}

func (m *Machine) wave(on bool) {
	means := m.sol
	if !on {
		means = nil
	}
	for _, d := range m.devices {
		if x, ok := d.(device.Inert); ok {
			x.Freeze(means)
		}
		if w, ok := d.(device.Waving); ok {
			w.Wave(on)
		}
	}
}

// Waves reports whether a component may hide something faster behind its mean.
func (m *Machine) Waves() bool {
	for _, d := range m.devices {
		if _, ok := d.(device.Waving); ok {
			return true
		}
	}
	return false
}

func (m *Machine) watch(lead, seconds float64, see func(at, dt float64) bool) error {
	var events []Event
	for at := -lead; at < seconds; {
		step, err := m.instant()
		if err != nil {
			return err
		}
		end := seconds
		if at < 0 {
			end = 0
		}
		dt := max(min(step, m.due()), minStep)
		last := at+dt >= end-minStep/2
		if last {
			dt = end - at
		}
		if at >= 0 && !see(at, dt) {
			return nil
		}
		if at += dt; last {
			at = end
		}
		events = events[:0]
		m.advance(dt, at+lead, &events)
	}
	return nil
}
