package attempt

import (
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Between one steady state and the next a motor comes to its speed or runs down. How fast it is follows from how long the present one has stood,
// whatever it did before. A model that goes from one to the next may have been wrong about that; where it was not, more is known.

// spun is between what the speed of a motor lies, over the rated one: whatever it did before the circuit changed last, and if it did what this model
// says; and where the present steady state leads it.
type spun struct {
	lo, hi    float64
	low, high float64
	final     float64
}

// overSupply is the highest voltage of a vehicle over its nominal one: 14.4 V of 12 V and some more (common practice, no source).
const overSupply = 1.25

// spin lets motors come nearer to their speeds through seconds of the present steady state.
func (m *Model) spin(seconds float64) {
	sol := m.w.m.Solver()
	late := min(m.lags, seconds)
	m.lags -= late
	for k, d := range m.spinning {
		x := &m.spins[k]
		x.lo, x.hi = d.Speeds(sol, x.lo, x.hi, seconds-late)
		x.low, x.high = d.Speeds(sol, x.low, x.high, seconds-late)
		x.final = d.Final(sol)
	}
}

// jolt notes that the circuit changes, which takes hold of motors a little later: up to then they go on to where they were led.
func (m *Model) jolt() {
	m.lags = lateSeconds
	for k, d := range m.spinning {
		x, most := &m.spins[k], m.most(d)
		x.lo, x.hi = -most, most
		x.low, x.high = min(x.low, x.final), max(x.high, x.final)
	}
}

// lose notes that the circuit changes, or may have changed, in a way that takes hold of motors within so many seconds: nothing is known of them.
func (m *Model) lose(within float64) {
	m.lags = within
	for k, d := range m.spinning {
		x, most := &m.spins[k], m.most(d)
		x.lo, x.hi, x.low, x.high = -most, most, -most, most
	}
}

// most is the highest speed to which this vehicle's supply brings a motor.
func (m *Model) most(d device.Spinning) float64 {
	return d.Most(overSupply * m.w.ex.Harness.Vehicle.Volts)
}

// steadied puts motors where they are.
func (m *Model) steadied() {
	m.lags = 0
	for k, d := range m.spinning {
		w := d.Speed()
		m.spins[k] = spun{w, w, w, w, w}
	}
}

// turns reports whether a motor may not have come to its speed yet, whatever it did before, and if it did what this model says.
func (m *Model) turns() (anyhow, asTold bool) {
	for _, x := range m.spins {
		anyhow = anyhow || math.Max(x.hi-x.final, x.final-x.lo) > nearShare
		asTold = asTold || math.Max(x.high-x.final, x.final-x.low) > nearShare
	}
	return anyhow, asTold
}

// speedsUpBy is how far from its final speed a motor draws so much more, five times its current when it stands (common practice, no source).
const speedsUpBy = 0.1

// speedsUp reports whether a motor may be so far from where the present steady state leads it that what it draws tells in its supply.
func (m *Model) speedsUp() bool {
	sol := m.w.m.Solver()
	for k, d := range m.spinning {
		x, final := m.spins[k], d.Final(sol)
		if math.Max(x.high-final, final-x.low) > speedsUpBy {
			return true
		}
	}
	return false
}

// spinners finds the motors.
func (m *Model) spinners() {
	m.spinning = m.spinning[:0]
	for _, c := range m.w.ex.Harness.Components {
		if d, ok := m.w.m.Device(c.ID).(device.Spinning); ok {
			m.spinning = append(m.spinning, d)
		}
	}
	if len(m.spins) != len(m.spinning) {
		m.spins = make([]spun, len(m.spinning))
	}
}

// slack is how much later than at once, in seconds, what has changed takes hold of motors: longer where relays let go and take hold again first.
func (m *Model) slack() float64 {
	if m.w.m.Marched() {
		return harness.InrushSeconds + lateSeconds
	}
	return lateSeconds
}
