package harness_test

import (
	"errors"
	"math"
	"testing"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestUnbranched: wherever in a run, or in a chain, resistance is added, all points outside of it have the same voltages, to rounding, and
// all that is in the vehicle does the same.
func TestUnbranched(t *testing.T) {
	const same = 1e-8 // volts: what the leakage of a point in between makes of 3 ohm, and Newton's method leaves
	h := sample.Tractor()
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	points := h.Points()
	for name, runs := range map[string]harness.Runs{"run": h.Unbranched(), "chain": h.Chains()} {
		tried, longest := 0, 0
		for _, ohms := range []float64{3, math.Inf(1)} {
			first := map[int][]float64{}
			does := map[int][]device.Effect{}
			members := map[int]int{}
			for _, limb := range h.Limbs() {
				k := runs.Of[limb]
				require.NoError(t, m.Alter([]harness.Alteration{harness.SeriesOhms{Where: limb, Ohms: ohms}}))
				for _, c := range h.Controls {
					require.NoError(t, m.Operate(c.ID, c.Positions[len(c.Positions)-1]))
				}
				if err := m.Settle(); errors.Is(err, harness.ErrRestless) {
					continue // a relay that buzzes
				} else {
					require.NoError(t, err)
				}
				volts := append([]float64(nil), m.Potentials()...)
				var effects []device.Effect
				for _, c := range h.Components {
					effects = append(effects, m.EffectOf(c.ID))
				}
				members[k]++
				longest = max(longest, members[k])
				if first[k] == nil {
					first[k], does[k] = volts, effects
					continue
				}
				for i, v := range volts {
					if in, inside := runs.Inside[points[i]]; inside && in == k {
						continue
					}
					tried++
					assert.InDelta(t, first[k][i], v, same, "%s: %s", limb, points[i])
				}
				for i, e := range effects {
					assert.Equal(t, does[k][i].Word, e.Word, "%s: %s", limb, h.Components[i].ID)
					assert.InDelta(t, does[k][i].Level, e.Level, 1e-6, "%s: %s", limb, h.Components[i].ID)
				}
			}
		}
		assert.Greater(t, tried, 1000, name)
		if name == "run" {
			assert.GreaterOrEqual(t, longest, 5, "a wire with its two crimps and a contact at each end")
		} else {
			assert.GreaterOrEqual(t, longest, 10, "a wire to a part and one from it")
		}
	}
}
