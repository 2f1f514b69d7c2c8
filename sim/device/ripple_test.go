package device_test

import (
	"math"
	"testing"

	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rippled drives the alternator's wave over whole turns and returns its output current: mean, least, most, and how often it passes its
// mean upwards in a second.
func rippled(t *testing.T, defect string) (mean, least, most, hertz, before float64) {
	t.Helper()
	r := newCharging(t, 12, 95)
	a, load := r.alternator, r.load
	require.NoError(t, a.Spoil(defect, 0))
	a.Set(3) // 2400 rpm of the engine, 6000 of its own
	r.settle()
	r.solver.SetOhms(load, 0.5)
	r.settle()
	a.Freeze(r.solver)
	before = r.volts(1) / 0.5
	drawn := func() float64 { return r.volts(1) / 0.5 }
	a.Wave(true)
	least, most = math.Inf(1), math.Inf(-1)
	const seconds = 0.05 // 30 turns of the phases at 600 Hz
	time, sum, rises, was := 0.0, 0.0, 0, false
	for time < seconds-1e-9 {
		r.solve(device.Moving)
		dt := a.Step(r.solver)
		require.Less(t, dt, 1e-3)
		i := device.AlternatorAmps(a, r.solver)
		least, most = min(least, i), max(most, i)
		sum += i * dt
		time += dt
		up := i > device.AlternatorMean(a)
		if up && !was {
			rises++
		}
		was = up
		a.Advance(r.solver, dt)
	}
	a.Wave(false)
	r.settle()
	assert.InDelta(t, before, drawn(), 1e-9, "afterwards all is as it was")
	return sum / time, least, most, float64(rises) / time, device.AlternatorMean(a)
}

// Six pulses a turn between π/(2√3) and π/3 of the mean: the trough is √3/2 of the crest (six-pulse bridge; any text on rectifiers, from
// memory).
func TestRippleOfSixPulses(t *testing.T) {
	mean, least, most, hertz, want := rippled(t, "")
	require.Positive(t, want)
	// 1 %: the output's own conductance answers the little that the voltage moves.
	assert.InEpsilon(t, want, mean, 0.01)
	assert.InEpsilon(t, math.Sqrt(3)/2, least/most, 0.02)
	assert.InEpsilon(t, math.Pi/3, most/want, 0.02)
	assert.InEpsilon(t, 6*600.0, hertz, 0.02, "six times 600 Hz: six pole pairs at 6000 rpm")
}

// With one diode open, the output falls to nothing once a turn.
func TestRippleOfALostDiode(t *testing.T) {
	mean, least, most, _, want := rippled(t, "diode-open")
	require.Positive(t, want)
	assert.InEpsilon(t, want, mean, 0.02)
	assert.Less(t, least, 0.1*want, "it falls to nothing")
	assert.Greater(t, most, 1.2*want)
}
