package device_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// checkLaw checks that a law passes through the origin, is odd when it is positive only by symmetry, rises everywhere, and has
// the slope that it says, from step to top volts.
func checkLaw(t *testing.T, name string, law interface {
	At(v float64) (i, g float64)
}, step, top float64) {
	t.Helper()
	i0, g0 := law.At(0)
	assert.InDelta(t, 0, i0, 1e-12, "%s: no volts, no current", name)
	assert.Positive(t, g0, "%s: slope at 0 V", name)
	last := i0
	for v := step; v < top; v = v*1.02 + step {
		i, g := law.At(v)
		if !assert.Greater(t, i, last, "%s at %g V: the current rises", name, v) {
			return
		}
		last = i
		// Central differences are true to the square of the step; 1e-4 of the voltage leaves about 1e-6 where the slope
		// changes over the voltage itself. At joints of cubics the second derivative jumps, hence 1e-3.
		h := 1e-4 * v
		up, _ := law.At(v + h)
		down, _ := law.At(v - h)
		assert.InEpsilon(t, (up-down)/(2*h), g, 1e-3, "%s at %g V: slope", name, v)
		back, _ := law.At(-v)
		assert.Equal(t, -i, back, "%s at %g V: the same both ways", name, v)
		assert.False(t, math.IsNaN(g))
	}
}
