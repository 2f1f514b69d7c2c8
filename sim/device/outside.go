package device

import "faultloom/sim/circuit"

// outside is the rest of a circuit as a two-terminal device sees it at the last solution: a force in volts behind a resistance,
// kept as the current that flows into the device now and the conductance in siemens by which that falls when the device's
// voltage rises. With it a device can move its state over a step as if it were solved together with the circuit.
type outside struct{ amps, volts, siemens float64 }

// weakest is the conductance outside, over the device's own, below which it counts as none: the difference of which it is found
// has lost its digits there.
const weakest = 1e-9

// see returns the outside of a device between two nodes that conducts siemens itself and through which amps flow now.
func see(s *circuit.Solver, p pair, siemens, amps float64) outside {
	o := outside{amps: amps, volts: p.volts(s)}
	_, ohms := s.Thevenin(p[0], p[1])
	if ohms > 0 {
		if g := 1/ohms - siemens; g > weakest*siemens {
			o.siemens = g
		}
	}
	return o
}

// into returns the current into a device that is a force in volts behind a resistance in ohms, and by how many amperes it falls
// for each volt that the force rises.
func (o outside) into(emf, ohms float64) (amps, slope float64) {
	// The device holds v = emf + ohms·i, the outside i = amps - siemens·(v - volts).
	d := 1 + float64(o.siemens*ohms)
	return (o.amps + float64(o.siemens*(o.volts-emf))) / d, o.siemens / d
}
