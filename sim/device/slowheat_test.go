package device_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The bounds that follow from steady states alone hold the heat that goes through time, whatever feeds a coil or a heating wire, and are exact
// where its resistance stays.
func TestHeatsHoldWhatGoesThroughTime(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	for range 60 {
		kind, rise := "solenoid", 1+0.00393*60
		values := map[string]float64{"time": math.Pow(10, 1+2*random.Float64())}
		if random.IntN(2) == 0 {
			kind, rise = "heater", []float64{1, 1.5, 4}[random.IntN(3)]
			values["power"], values["rise"] = 18, rise
		}
		d := create(t, kind, values).(device.Warming)
		require.InDelta(t, rise-1, d.Bends(), 1e-9)
		r, source := fed(t, d, 0, 8*math.Pow(10, -3+4*random.Float64())) // from a stiff source to ten times what the coil has
		d.Heated(random.Float64())
		lo, hi := d.Heat(), d.Heat()
		for range 6 {
			seconds := values["time"] * math.Pow(10, -2+2.5*random.Float64())
			r.solver.SetEMF(source, []float64{0, 12, 24, 60}[random.IntN(4)])
			r.solve(device.Steady)
			rest, tau := d.Resting(r.solver)
			lo, hi = device.Heats(rest, lo, hi, seconds, tau, 1+d.Bends()*rest)
			r.march(seconds, tau/300)
			slack := 0.01 * max(rest, hi) // steps take the power as it is at their beginning
			if rise == 1 {
				assert.InDelta(t, lo, hi, 1e-9)
			}
			require.True(t, d.Heat() > lo-slack && d.Heat() < hi+slack, "%s, rise %g: %g is not within %g to %g", kind, rise, d.Heat(), lo, hi)
		}
	}
}

// A coil that is shorted or broken does not follow its heat.
func TestHeatOfDefectiveCoilsBendsNothing(t *testing.T) {
	for defect, bends := range map[string]bool{"": true, "coil-open": false, "coil-shorted": false, "stuck-out": true} {
		d := create(t, "solenoid", nil).(*device.Solenoid)
		require.NoError(t, d.Spoil(defect, 0))
		assert.Equal(t, bends, d.Bends() > 0, defect)
		assert.InDelta(t, 0.3*d.Bends(), device.Spread(d, 0.2, 0.5), 1e-12)
	}
}
