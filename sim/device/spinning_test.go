package device

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Left alone a motor runs down as the closed form says and as it does step by step, from either side, and stands then.
func TestMotorRunsDown(t *testing.T) {
	for _, rub := range []float64{0.15, 0.5, 1} {
		m := &Motor{law: motorLaw{volts: 24, amps: 6, ohms: 0.8, emf: 19.2, rub: rub}, ohms: 0.8, inert: 1.2}
		for _, w := range []float64{1.2, 0.4, -0.8, 0} {
			for _, seconds := range []float64{0.1, 0.5, 1, 2, 6} {
				assert.InDelta(t, m.spin(outside{}, w, seconds, 1e-4), m.runsDown(w, seconds), 1e-3, "rub %g from %g, %g s", rub, w, seconds)
			}
		}
		assert.Zero(t, m.runsDown(1.2, 60))
		assert.NotZero(t, m.runsDown(1.2, 0.2))
	}
}
