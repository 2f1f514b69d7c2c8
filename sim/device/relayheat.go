package device

import (
	"math"

	"faultloom/sim/circuit"
)

// coilHeat is the temperature of a relay's coil. Its copper has the resistance of IEC 60028,
//
//	R = R₂₀·k    k = 1 + α·(t - 20 °C)    t = surroundings + warming·h    dh/dt = (P/rated - h)/τ
//
// with P the power in the coil, rated that at rated voltage for good in surroundings of 20 °C, where h is 1, and warming the rise in kelvin
// that this makes: one thermal resistance and one heat capacity. What pulls the armature is the current, so the voltages at which it pulls
// in and lets go rise with k: a hot relay needs more of a weak battery. In steady state h solves h·(k(surroundings) + α·warming·h) = v²
// times what it is for v = 1, v being the voltage over the rated one.
type coilHeat struct {
	warming, tau float64 // K, s; a coil without warming has its stated resistance at all times
	around       float64 // °C
	now, final   float64 // h
}

const (
	// coilTau is the time constant of a coil in seconds: plug-in relays have come to rest after some 10 to 20 minutes (common practice, no
	// source).
	coilTau = 240.0
	// coilHeatGrain is how near its steady heat is found.
	coilHeatGrain = 1e-9
)

// Surrounded is a device to whom the temperature of its surroundings matters.
type Surrounded interface {
	Device
	// Surround tells it the temperature in degrees Celsius. It is called once, before anything is solved; without it, it is 20 °C.
	Surround(celsius float64)
}

// Surround implements Surrounded.
func (r *Relay) Surround(celsius float64) { r.heat.around = celsius }

// cold is k with no heat of its own, bend how much a heat of 1 adds.
func (h *coilHeat) cold() float64 {
	return max(0.1, 1+float64(copperPerKelvin*(h.around-copperCelsius)))
}
func (h *coilHeat) bend() float64 { return copperPerKelvin * h.warming }

// factor is k with a heat.
func (h *coilHeat) factor(heat float64) float64 {
	if h.warming == 0 {
		return 1
	}
	return h.cold() + float64(h.bend()*heat)
}

// rest is the heat at v times the rated voltage for good.
func (h *coilHeat) rest(v float64) float64 {
	k, b := h.cold(), h.bend()
	full := 1 + b // h·(k + b·h) = v²·(1 + b), of which this root loses no digits
	return 2 * v * v * full / (k + math.Sqrt(float64(k*k)+float64(4*b*v*v*full)))
}

// heatsUp reports whether the heat of the coil matters: that of shorted turns is not modelled.
func (r *Relay) heatsUp() bool {
	return r.heat.warming > 0 && r.name != "coil-open" && r.name != "coil-shorted"
}

// warmth is k in the present mode.
func (r *Relay) warmth() float64 {
	switch {
	case !r.heatsUp():
		return 1
	case r.mode == Steady:
		return r.heat.factor(r.heat.final)
	}
	return r.heat.factor(r.heat.now)
}

// heating is the power in the coil over the rated one, by the voltage that drives its current for good.
func (r *Relay) heating(s *circuit.Solver) float64 {
	volts := r.across(s)
	if r.mode == Moving {
		volts = r.amps * r.winding()
	}
	v := volts / (r.rated * r.ohms)
	return float64(v*v) * (1 + r.heat.bend()) / r.warmth()
}

// finds moves the steady heat to that of the present solution and reports whether it changed.
func (r *Relay) finds(s *circuit.Solver) bool {
	if !r.heatsUp() || r.mode != Steady {
		return false
	}
	next := r.heat.rest(math.Abs(r.across(s)) / (r.rated * r.ohms))
	moved := math.Abs(next-r.heat.final) > coilHeatGrain
	r.heat.final = next
	return moved
}

// warms is the step in seconds that resolves the warming, +Inf where none is worth it: a heat of 1 is a quarter of the resistance.
func (r *Relay) warms(s *circuit.Solver) float64 {
	if !r.heatsUp() {
		return math.Inf(1)
	}
	off := math.Abs(r.heating(s) - r.heat.now)
	if off <= heaterGrain/3 {
		return math.Inf(1)
	}
	return r.heat.tau * 4 * heaterGrain / off
}
