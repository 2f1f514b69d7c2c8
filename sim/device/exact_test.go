package device_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
)

// ulps is the distance of x from want in units of want's last place.
func ulps(x, want float64) float64 {
	return math.Abs(x-want) / (math.Nextafter(math.Abs(want), math.Inf(1)) - math.Abs(want))
}

// The standard library is accurate to 1 unit in the last place, so 3 allows for 2 of our own.
func TestExpAndLogAgreeWithTheStandardLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		x := rng.Float64()*1400 - 700
		assert.LessOrEqual(t, ulps(device.Exp(x), math.Exp(x)), 3.0, "exp(%g)", x)
		x = rng.NormFloat64()
		assert.LessOrEqual(t, ulps(device.Exp(x), math.Exp(x)), 3.0, "exp(%g)", x)
		x = math.Exp(rng.Float64()*1400 - 700)
		assert.LessOrEqual(t, ulps(device.Log(x), math.Log(x)), 3.0, "log(%g)", x)
		x = 1 + (rng.Float64()-0.5)*1e-3
		assert.LessOrEqual(t, ulps(device.Log(x), math.Log(x)), 3.0, "log(%g)", x)
	}
	assert.Zero(t, device.Exp(math.Inf(-1)))
	assert.True(t, math.IsInf(device.Exp(710), 1))
	assert.True(t, math.IsNaN(device.Exp(math.NaN())))
	assert.True(t, math.IsInf(device.Log(0), -1))
	assert.True(t, math.IsNaN(device.Log(-1)))
	assert.True(t, math.IsInf(device.Log(math.Inf(1)), 1))
	assert.Equal(t, 1.0, device.Exp(0))
	assert.Zero(t, device.Log(1))
}

// ω + ln ω = x is what defines Wright's function; the residue is taken relative to what may be lost to rounding.
func TestOmegaSolvesItsEquation(t *testing.T) {
	for x := -100.0; x < 3000; x += 0.037 {
		w := device.Omega(x)
		residue := math.Abs(w+math.Log(w)-x) / (1 + math.Abs(x))
		if !assert.Less(t, residue, 4e-16*10, "x = %g", x) {
			return
		}
	}
	// ω(1) = 1 and ω(1+e) = e, by definition.
	assert.InDelta(t, 1, device.Omega(1), 1e-15)
	assert.InDelta(t, math.E, device.Omega(1+math.E), 1e-15)
}

func BenchmarkExp(b *testing.B) {
	x, sum := -5.0, 0.0
	for b.Loop() {
		sum += device.Exp(x)
		if x += 0.01; x > 5 {
			x = -5
		}
	}
	_ = sum
}
