package harness_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func pulser(t testing.TB, duty, hertz float64, kind string, values map[string]float64) *harness.Machine {
	t.Helper()
	m, err := harness.NewMachine(sample.Pulser(duty, hertz, kind, values))
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	_, err = m.Run(1)
	require.NoError(t, err)
	return m
}

// A switch that is on for a share d of its period puts d·V on a resistor in the mean, V while it is on and nothing while it is off
// (definition of the mean). What the steady state shows without looking closer is the same mean.
func TestPulsesSeenEdgeByEdge(t *testing.T) {
	for _, tt := range []struct{ duty, hertz float64 }{{0.25, 200}, {0.5, 100}, {0.9, 400}} {
		t.Run(fmt.Sprintf("%.0f %% of %.0f Hz", 100*tt.duty, tt.hertz), func(t *testing.T) {
			m := pulser(t, tt.duty, tt.hertz, "resistor", map[string]float64{"resistance": 10})
			mean := m.Volts("XL.1.a")
			full := pulser(t, 1, tt.hertz, "resistor", map[string]float64{"resistance": 10}).Volts("XL.1.a")
			assert.InDelta(t, tt.duty*full, mean, 0.005, "the mean that stands in steady state; 5 mV for the sag of the supply, which is not linear in the duty")
			const periods = 8
			sum, high, rises, was := 0.0, 0.0, 0, false
			var first, last float64
			require.NoError(t, m.Watch(0.01, periods/tt.hertz, func(at, dt float64) bool {
				v := m.Volts("XL.1.a")
				sum += v * dt
				on := v > full/2
				if on {
					assert.InDelta(t, full, v, 0.002, "while it is on")
					high += dt
				} else {
					assert.InDelta(t, 0, v, 0.001, "while it is off")
				}
				if on && !was && at > 0 {
					if rises == 0 {
						first = at
					}
					rises, last = rises+1, at
				}
				was = on
				return true
			}))
			assert.InDelta(t, tt.duty, high*tt.hertz/periods, 1e-6, "duty")
			assert.InDelta(t, tt.duty*full, sum*tt.hertz/periods, 0.003, "mean")
			assert.InDelta(t, tt.hertz, float64(rises-1)/(last-first), 1e-6*tt.hertz, "frequency")
			assert.InDelta(t, mean, m.Volts("XL.1.a"), 1e-9, "it was only a look")
		})
	}
}

// Looking closer changes nothing, and costs nothing where nothing moves.
func TestWatchingLeavesStatesAlone(t *testing.T) {
	m := pulser(t, 0.5, 200, "lamp", map[string]float64{"power": 21})
	before, glow := m.Volts("XL.1.a"), m.EffectOf("LOAD")
	n := 0
	require.NoError(t, m.Watch(0.1, 0.1, func(float64, float64) bool { n++; return n < 12 }))
	assert.Equal(t, 12, n, "ends when it is told to")
	assert.InDelta(t, before, m.Volts("XL.1.a"), 1e-9, "solved again from another start")
	assert.InDelta(t, glow.Level, m.EffectOf("LOAD").Level, 1e-9)
	quiet := pulser(t, 1, 200, "resistor", map[string]float64{"resistance": 10})
	n = 0
	require.NoError(t, quiet.Watch(0.1, 10, func(_, dt float64) bool { n++; assert.Equal(t, 10.0, dt); return true }))
	assert.Equal(t, 1, n, "where nothing moves there is one solution")
}
