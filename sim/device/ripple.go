package device

import (
	"math"

	"faultloom/sim/circuit"
)

// A three-phase bridge passes at every instant the highest of its phases less the lowest, so its output has six pulses a turn between
// √3/2 of the crest and the crest, with 3√3/π of a phase's peak as the mean. With one diode open its phase is left out of the highest,
// and once a turn the output falls to nothing for an instant (any text on rectifiers; from memory).
const (
	// polePairs of claw-pole machines: six (common practice, no source).
	polePairs = 6
	// rippleParts is how many steps a turn of the phases is followed in: eight for each pulse, crests and troughs among them.
	rippleParts = 48
	// rippleGive is the conductance that the output has beside its current, over that of a resistor which takes the full current: next to
	// none, for behind its own reactance the machine is nearly a source of current (common practice, no source).
	rippleGive = 0.02
)

// bridge returns the output of the bridge at a share x of a turn, in terms of its mean.
func bridge(x float64, open bool) float64 {
	a, b, c := sine(x), sine(math.Mod(x+1.0/3, 1)), sine(math.Mod(x+2.0/3, 1))
	top, mean := max(a, b, c), 3*math.Sqrt(3)/math.Pi
	if open {
		top = max(b, c)
		mean = 3*math.Sqrt(3)/(2*math.Pi) + math.Sqrt(3)/math.Pi
	}
	return (top - min(a, b, c)) / mean
}

// rippleLaw is the output of an alternator at one instant: its mean current times what the bridge passes now. The regulator is too slow to
// do anything about it; what the voltage moves by, the machine answers with its own conductance.
type rippleLaw struct{ amps, volts, siemens float64 }

// At implements circuit.Law.
func (l *rippleLaw) At(v float64) (i, g float64) {
	return -l.amps + float64((v-l.volts)*l.siemens), l.siemens
}

// Limit implements circuit.Law.
func (l *rippleLaw) Limit(next, _ float64) float64 { return next }

// Wave implements Waving: the output pulsates as the bridge makes it.
func (a *Alternator) Wave(on bool) { a.wave = wave{on: on} }

// rippling reports whether the ripple is followed now.
func (a *Alternator) rippling() bool { return a.wave.on && a.Charging() && a.amps > 0 }

// turns is the frequency of the phases in hertz.
func (a *Alternator) turns() float64 { return polePairs * a.speed() / 60 }

// Freeze implements Inert: the ripple goes from what the output is in the mean.
func (a *Alternator) Freeze(s *circuit.Solver) {
	if s != nil {
		a.amps, a.volts = -s.Current(a.output.id), s.Voltage(a.pins[0])-s.Voltage(a.pins[2])
	}
}

// stampRipple writes what the output is at this instant.
func (a *Alternator) stampRipple(s *circuit.Solver) {
	a.ripple = rippleLaw{
		amps: a.amps * bridge(a.wave.at*a.turns(), a.name == "diode-open"), volts: a.volts, siemens: rippleGive * a.limit() / a.set,
	}
	a.output.set(s, &a.ripple, true)
}
