package harness_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shortestStep is minStep: in seconds, a hundredth of what a relay's armature takes.
const shortestStep = 2e-5

// The edges of pulses are hit exactly, however short the pulse is: between them a resistor needs no step at all.
func TestStepsEndAtEdges(t *testing.T) {
	for _, c := range []struct{ duty, hertz float64 }{{0.25, 200}, {0.9, 90}, {0.05, 1000}, {0.02, 1000}} {
		t.Run(fmt.Sprintf("%g of %g Hz", c.duty, c.hertz), func(t *testing.T) {
			m := pulser(t, c.duty, c.hertz, "resistor", map[string]float64{"resistance": 10})
			full := pulser(t, 1, c.hertz, "resistor", map[string]float64{"resistance": 10}).Volts("XL.1.a")
			steps := 0
			require.NoError(t, m.Watch(10/c.hertz, 8/c.hertz, func(at, dt float64) bool {
				steps++
				want := 1 / c.hertz * (1 - c.duty)
				if m.Volts("XL.1.a") > full/2 {
					want = 1 / c.hertz * c.duty
				}
				assert.InDelta(t, want, dt, 1e-9, "at %g s", at)
				assert.Less(t, math.Abs(at*c.hertz-math.Round(at*c.hertz))*math.Abs(at*c.hertz-c.duty-math.Round(at*c.hertz-c.duty)), 1e-6,
					"at %g s there is an edge", at)
				return true
			}))
			assert.Equal(t, 16, steps, "two for each period")
		})
	}
}

// Steps follow what moves fastest: with the tractor's lamps switched on a relay's coil takes tenths of a millisecond, cold filaments less than that, and
// the warmer the more; with nothing but the battery draining, minutes.
func TestStepsFollowWhatMoves(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Settle())
	operate(t, m, "key", "on", "lamps", "on")
	var coil, inrush, warm, drain []float64
	at := 0.0
	_, err := m.RunSeeing(1, func(dt float64) {
		switch lamps := m.LimbAmps("cavity XLL.1"); {
		case lamps < 0.01:
			coil = append(coil, dt)
		case lamps > 20: // cold filaments take ten times the 4.6 A with which they burn
			inrush = append(inrush, dt)
		case at > 0.1:
			warm = append(warm, dt)
		}
		at += dt
	})
	require.NoError(t, err)
	assert.InDelta(t, 1, at, 1e-9)
	_, err = m.RunSeeing(3600, func(dt float64) { drain = append(drain, dt) })
	require.NoError(t, err)
	require.True(t, len(coil) > 3 && len(inrush) > 3 && len(warm) > 3 && len(drain) > 3)
	assert.True(t, slices.Min(coil) > 1e-4 && slices.Min(coil) < 1e-3, "coil: %g s", slices.Min(coil))
	assert.True(t, slices.Min(inrush) >= shortestStep && slices.Min(inrush) < 1e-4, "inrush: %g s", slices.Min(inrush))
	slices.Sort(warm) // a few are shorter, to where the light gets another word
	assert.Greater(t, warm[len(warm)/2], 50*slices.Min(inrush), "filaments nearly warm: %g s", warm[len(warm)/2])
	slices.Sort(drain)
	assert.Greater(t, drain[len(drain)/2], 0.1, "only a battery drains")
	assert.Greater(t, drain[len(drain)-1], 100.0, "a hundredth of its charge: 70 Ah at 9 A")
}
