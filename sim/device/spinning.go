package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Spinning is a device that takes moments to come to its speed, and seconds to run down: how long it has been fed or left alone tells between what
// its speed lies.
type Spinning interface {
	Device
	// Speed returns the speed over the rated one at this moment.
	Speed() float64
	// Final returns that to which the present solution, in steady state, brings it.
	Final(s *circuit.Solver) float64
	// Most returns the highest speed to which so many volts would bring it.
	Most(volts float64) float64
	// Speeds returns between what it lies after so many seconds of that solution, having lain between lo and hi.
	Speeds(s *circuit.Solver, lo, hi, seconds float64) (float64, float64)
}

const (
	// slowSpin and fastSpin bound how much slower and faster, as a share, a motor that is fed may come to its speed than it would if what lies around
	// it were straight and at rest: other motors start beside it, lamps warm up.
	slowSpin, fastSpin = 0.7, 1.4
	// spinStride is the change of speed, over the rated one, within one step: the bounds above are far wider than what it leaves.
	spinStride = 0.1
)

// Speed implements Spinning, positive when 33 is the positive terminal.
func (m *Motor) Speed() float64 { return m.w }

// Final implements Spinning.
func (m *Motor) Final(s *circuit.Solver) float64 {
	if m.name == "open" {
		return 0
	}
	v := m.pins.volts(s)
	w, _ := m.law.speed(math.Abs(v))
	return math.Copysign(w, v)
}

// Most implements Spinning, for a sound motor.
func (m *Motor) Most(volts float64) float64 {
	sound := motorLaw{volts: m.law.volts, amps: m.law.amps, ohms: m.ohms, emf: m.law.emf, rub: m.law.rub}
	w, _ := sound.speed(volts)
	return w
}

// unfed is the current in amperes of a motor up to which it runs down by itself. What is joined to it may brake it as a generator, and so may a defect of
// its own, but nothing shows that as long as it is not fed.
const unfed = 1e-6

// Speeds implements Spinning. A speed comes nearer to the final one all the while, so where it is between the slowest and the fastest way lies
// between where these lead.
func (m *Motor) Speeds(s *circuit.Solver, lo, hi, seconds float64) (float64, float64) {
	final, amps := m.Final(s), s.Current(m.curve.id)
	switch {
	case !(seconds > 0), math.Abs(lo-final) <= speedRest && math.Abs(hi-final) <= speedRest:
		return lo, hi
	case math.Abs(amps) <= unfed:
		return min(0, m.runsDown(lo, seconds)), max(0, m.runsDown(hi, seconds))
	}
	o := see(s, m.pins, s.Slope(m.curve.id), amps)
	slow, fast := slowSpin*seconds, fastSpin*seconds
	return min(m.spin(o, lo, slow, spinStride), m.spin(o, lo, fast, spinStride)), max(m.spin(o, hi, slow, spinStride), m.spin(o, hi, fast, spinStride))
}

// runsDown returns the speed that w becomes within so many seconds of a sound motor that is left alone: H·dw/dt = -(rub + fan·w²) leads to
// √(fan/rub)·w = tan(atan(√(fan/rub)·w₀) - √(rub·fan)·t/H).
func (m *Motor) runsDown(w, seconds float64) float64 {
	rub, fan, t := m.law.rub, 1-m.law.rub, seconds/m.inert
	left := math.Abs(w) - float64(rub*t)
	if fan > 0 {
		bent := math.Sqrt(fan / rub)
		left = math.Tan(max(0, math.Atan(bent*math.Abs(w))-float64(math.Sqrt(rub*fan)*t))) / bent
	}
	return math.Copysign(max(0, left), w)
}

// spin returns the speed that w becomes within dt seconds, by the exponential Rosenbrock-Euler method like warmth.after, in steps that change it by so
// much at most; one that would change its sign first comes to a stand.
func (m *Motor) spin(o outside, w, dt, stride float64) float64 {
	for dt > 0 {
		rate, decays := m.push(o, w)
		if rate == 0 {
			break
		}
		h := dt
		if r := math.Abs(rate); r*h > stride && r > 1e-3*speedRest*decays {
			h = stride / r
		}
		change := rate * h
		if decays*h > 1e-9 {
			change = float64(rate / decays * (1 - exp(-decays*h)))
		}
		if to := w + change; to*w < 0 {
			w = 0
		} else {
			w = to
		}
		dt -= h
	}
	return w
}
