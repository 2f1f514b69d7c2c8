package device

import (
	"math"

	"faultloom/sim/circuit"
)

// divider is a resistance from a supply to a ground with a tap on it, as two branches of a circuit.
type divider struct{ upper, lower circuit.ID }

// set gives it so many ohms in all, with the tap at a share x of them from the lower end. A half that is broken is open, whatever the
// rest.
func (d divider) set(s *circuit.Solver, ohms, x float64, upperBroken, lowerBroken bool) {
	upper, lower := float64(ohms*(1-x)), float64(ohms*x)
	if upperBroken {
		upper = math.Inf(1)
	}
	if lowerBroken {
		lower = math.Inf(1)
	}
	s.SetOhms(d.upper, upper)
	s.SetOhms(d.lower, lower)
}
