package device

import "math"

// driverLaw is a module's output that is on: a resistance, from a current on nearly a source of that current. Pulsed, it is the
// mean over a period: with duty d a switch between V volts and a resistive load passes the mean current d·V/R, as does one that
// is on for good with (1 - d)·V in series; that is emf.
type driverLaw struct {
	emf, ohms, limit float64
	// oneWay is a low-side output: nothing flows out of it, so that a load that is missing leaves it at ground and not at emf.
	oneWay bool
}

const (
	// limitSlope is the conductance of a driver at its limit over that of one that is fully on.
	limitSlope = 1e-3
	// driverLeak is the conductance in siemens of one that is off: 1 µA at 12 V (data sheets of smart switches, from memory).
	driverLeak = 1e-7
)

// At implements circuit.Law.
func (l *driverLaw) At(v float64) (i, g float64) {
	x := v - l.emf
	if l.oneWay && l.emf > 0 && x < 0 {
		return driverLeak * v, driverLeak
	}
	i, g = x/l.ohms, 1/l.ohms
	if most := l.limit; math.Abs(i) > most {
		g *= limitSlope
		i = math.Copysign(most+float64((math.Abs(x)-float64(most*l.ohms))*g), x)
	}
	if l.oneWay && l.emf > 0 {
		i, g = i+float64(driverLeak*v), g+driverLeak
	}
	return i, g
}

// Limit implements circuit.Law.
func (l *driverLaw) Limit(next, last float64) float64 {
	knee := l.limit * l.ohms
	if l.oneWay && l.emf > 0 {
		return overSteep(next, last, l.emf, l.emf+knee)
	}
	return overSteep(next, last, l.emf-knee, l.emf+knee)
}

// Kinked implements circuit.Kinked.
func (l *driverLaw) Kinked() {}

// overSteep ends a step from one side to the other of the part, between lo and hi, in which a law is steep, in the middle of that part: outside of
// it the law is flat, and of two flat tangents each throws the voltage over to where the other is.
func overSteep(next, last, lo, hi float64) float64 {
	if last >= hi && next <= lo || last <= lo && next >= hi {
		return lo + (hi-lo)/2
	}
	return next
}

// referenceLaw is a regulator that holds volts between its output and ground: it gives current up to a limit and takes none.
type referenceLaw struct{ volts, ohms, limit float64 }

// At implements circuit.Law.
func (l *referenceLaw) At(v float64) (i, g float64) {
	x := l.volts - v
	if x <= 0 {
		return -x * driverLeak, driverLeak
	}
	i, g = x/l.ohms, 1/l.ohms
	if i > l.limit {
		g *= limitSlope
		i = l.limit + float64((x-float64(l.limit*l.ohms))*g)
	}
	return -i, g
}

// Limit implements circuit.Law.
func (l *referenceLaw) Limit(next, last float64) float64 {
	return overSteep(next, last, l.volts-float64(l.limit*l.ohms), l.volts)
}

// Kinked implements circuit.Kinked.
func (l *referenceLaw) Kinked() {}

// Seed implements circuit.Seeded.
func (l *referenceLaw) Seed() float64 { return l.volts }
