package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Warming is a device with a heat of its own that comes and goes for minutes. How long it has been on or off tells how warm it is: exactly where
// that changes nothing, and between bounds where its resistance follows, for then what hangs on its supply counts too.
type Warming interface {
	Device
	// Heat returns the heat at this moment, 1 being that at rated voltage for good.
	Heat() float64
	// Heated puts the heat there.
	Heated(heat float64)
	// Bends returns by which share of itself, cold, its resistance grows for a heat of 1.
	Bends() float64
	// Resting returns the heat to which the present solution, in steady state, brings it, and the time constant in seconds.
	Resting(s *circuit.Solver) (heat, tau float64)
}

// Heats returns between what a heat lies after so many seconds of coming to rest, having lain between lo and hi, with tau the time constant. The
// resistance is as 1 + bend·h, and the power is that at rest times the ratio of resistances to the power -1 from a source of voltage, +1 from one of
// current, and between them from any other. So
//
//	τ·dh/dt = power - h = q·(rest - h)     q = 1 + bend·rest/(1 + bend·h) from voltage, 1/(1 + bend·rest) from current
//
// and q lies between 1/most and most with most = 1 + bend·rest, which is for the caller to state, times the square of that of whatever else warms up.
func Heats(rest, lo, hi, seconds, tau, most float64) (float64, float64) {
	slow, fast := exp(-seconds/(tau*most)), exp(-seconds*most/tau)
	to := func(h, decay float64) float64 { return rest + float64((h-rest)*decay) }
	return min(to(lo, slow), to(lo, fast)), max(to(hi, slow), to(hi, fast))
}

// Spread is how far apart two heats of a device are by what is noticed of it: as a share of its resistance, or of its heat where that is felt.
func Spread(d Warming, lo, hi float64) float64 {
	share := d.Bends()
	if _, felt := d.(*Heater); felt {
		share = max(share, 1)
	}
	return math.Abs(hi-lo) * share
}

// Heat implements Warming.
func (h *Heater) Heat() float64 { return h.heat }

// Heated implements Warming.
func (h *Heater) Heated(heat float64) { h.heat = heat }

// Bends implements Warming: the resistance of a defective one stays.
func (h *Heater) Bends() float64 {
	if h.name != "" {
		return 0
	}
	return h.law.rise - 1
}

// Resting implements Warming.
func (h *Heater) Resting(s *circuit.Solver) (heat, tau float64) { return h.rest(s), h.tau }

// Heat implements Warming.
func (d *Solenoid) Heat() float64 { return d.heat }

// Heated implements Warming.
func (d *Solenoid) Heated(heat float64) { d.heat = heat }

// Bends implements Warming: the resistance of a defective coil stays.
func (d *Solenoid) Bends() float64 {
	switch d.name {
	case "coil-open", "coil-shorted":
		return 0
	}
	return d.law.rise - 1
}

// Resting implements Warming.
func (d *Solenoid) Resting(s *circuit.Solver) (heat, tau float64) { return d.rest(s), d.tau }
