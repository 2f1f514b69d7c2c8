package harness_test

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// A starter makes the battery sag: at the first instant it stands still and is 20 mΩ (12 V at 600 A) behind cables, joints and the battery's own
// resistance; turning it draws 150 A against a constant torque (U = E - R·I, any text on sources). Lamps go with the 3.4th power of their voltage
// (testdata/device/lamp.csv). A sound battery stays above the 9.6 V that are taught for cranking, a weak one does not (testdata/device/lead_acid.csv,
// common practice, no source).
func TestStarterMakesTheBatterySag(t *testing.T) {
	const emf, taught = 12.65, 9.6
	for _, c := range []struct {
		ohms     float64
		sound    bool
		cranking string // what the lamp does meanwhile
	}{{0.01, true, "lit"}, {0.03, false, "dim"}} {
		m, err := harness.NewMachine(sample.Starting(c.ohms))
		require.NoError(t, err)
		require.NoError(t, m.Settle())
		before, light := m.VoltsBetween("XL.1.a", "XL.2.a"), m.EffectOf("L").Level
		assert.Equal(t, "lit", m.EffectOf("L").Word)
		operate(t, m, "key", "start")
		type instant struct{ volts, starter, lamp, light float64 }
		var all []instant
		_, err = m.RunSeeing(3, func(float64) {
			all = append(all, instant{m.VoltsBetween("BAT.30", "BAT.31"), m.LimbAmps("cavity XM.1"), m.LimbAmps("cavity XL.1"), m.EffectOf("L").Level})
		})
		require.NoError(t, err)
		for _, x := range all {
			assert.InDelta(t, emf-c.ohms*(x.starter+x.lamp), x.volts, 0.006, "what it lacks is R·I; 450 As take 0.2 % of its charge, and make that much more R")
		}
		// 2.6 m of 35 mm² copper (IEC 60028) with both crimps of four wires, four rings, four contacts and the switch.
		cables := 2.6/58/35 + 4*1e-3 + 4*0.5e-3 + 4*1.5e-3 + 0.5e-3
		assert.InEpsilon(t, emf/(0.02+c.ohms+cables), all[0].starter, 0.01, "at first it stands still; 1 % for the lamp, whose share of the sag is less")
		last := all[len(all)-1]
		assert.InDelta(t, 150, last.starter, 2, "turning")
		lowest := slices.MinFunc(all, func(a, b instant) int { return cmp.Compare(a.volts, b.volts) })
		assert.Equal(t, all[0].volts, lowest.volts, "lowest at first")
		assert.Equal(t, c.sound, last.volts > taught, "%g ohm: %g V", c.ohms, last.volts)
		assert.Equal(t, c.cranking, m.EffectOf("L").Word)
		if c.sound {
			want := math.Pow(m.VoltsBetween("XL.1.a", "XL.2.a")/before, 3.4)
			assert.InEpsilon(t, want, last.light/light, 0.02, "dimmed")
			assert.Less(t, want, 0.6)
		}
		operate(t, m, "key", "rest")
		_, err = m.Run(1)
		require.NoError(t, err)
		assert.Equal(t, "lit", m.EffectOf("L").Word)
		assert.InDelta(t, before, m.VoltsBetween("XL.1.a", "XL.2.a"), 0.01, "and back again")
	}
}

// A module that does not sleep draws 0.5 A more; a battery of 70 Ah loses so many ampere-hours as flow: I·t/C in three days, and is flat after C/I.
func TestModuleThatStaysAwakeDrainsTheBattery(t *testing.T) {
	const day, capacity = 86400.0, 70.0
	for _, more := range []float64{0, 0.1, 0.5, 2} {
		m, err := harness.NewMachine(sample.Awake())
		require.NoError(t, err)
		if more > 0 {
			require.NoError(t, m.Alter([]harness.Alteration{harness.Spoil{Component: "MOD", Defect: "stays-awake", Severity: more}}))
		}
		require.NoError(t, m.Settle())
		b := m.Device("BAT").(*device.Battery)
		begun := b.Amps(m.Solver())
		_, err = m.Hold(3 * day)
		require.NoError(t, err)
		left := b.State()[0]
		want := 1 - (begun+b.Amps(m.Solver()))/2*72/capacity // it draws a little less as the voltage falls
		assert.InDelta(t, 0.005+more, begun, 0.06*(0.005+more), "12.65 V where 12 V are rated")
		assert.InDelta(t, max(0, want), left, 0.002, "%g A more", more)
		assert.InDelta(t, max(0, 1-(0.005+more)*72/capacity), left, 0.03, "%g A more: by its rated current", more)
		if want > 0 {
			continue
		}
		flat := capacity / ((begun + b.Amps(m.Solver())) / 2) * 3600
		m, err = harness.NewMachine(sample.Awake())
		require.NoError(t, err)
		require.NoError(t, m.Alter([]harness.Alteration{harness.Spoil{Component: "MOD", Defect: "stays-awake", Severity: more}}))
		_, err = m.Hold(0.97 * flat)
		require.NoError(t, err)
		left = m.Device("BAT").State()[0]
		assert.InDelta(t, 0.03, left, 0.01, "nearly flat after %g h", 0.97*flat/3600)
	}
}
