package meter_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// The trace view on the alternator's output tells a lost diode: a sound one ripples by less than the 0.5 V from crest to trough that are taught as
// a limit (from memory), at 24 V as at 12; with a diode lost it falls away once a turn.
func TestTraceOfARipple(t *testing.T) {
	const taught = 0.5
	for _, volts := range []float64{12, 24} {
		// 800, 1600 and 2400 rpm, 2.5 times as fast at the alternator, six pole pairs.
		for engine, turns := range map[string]float64{"idle": 200, "fast": 400, "full": 600} {
			t.Run(fmt.Sprintf("%g V %s", volts, engine), func(t *testing.T) {
				look := func(defect string) (swing, hertz float64) {
					m, err := harness.NewMachine(sample.Charging(volts))
					require.NoError(t, err)
					require.NoError(t, m.Settle())
					require.NoError(t, m.Device("ALT").(device.Defective).Spoil(defect, 0))
					require.NoError(t, m.Operate("engine", engine))
					b := bench(t)
					b.SetSweep(meter.Sweep{Seconds: 0.02, Level: 14.1 * volts / 12})
					d := one(t, m, b, meter.TraceView, "XA.51.a")
					require.True(t, m.Device("ALT").(*device.Alternator).Charging())
					require.Equal(t, "moving", d.Text)
					c := d.Channels[0]
					assert.InDelta(t, m.VoltsBetween("XA.51.a", "BAT.31"), c.Mean.Value, 0.05, "the mean stays")
					if c.Hertz != nil {
						hertz = c.Hertz.Value
					}
					return c.High.Value - c.Low.Value, hertz
				}
				sound, six := look("")
				lost, one := look("diode-open")
				assert.Less(t, sound, taught)
				assert.Greater(t, sound, 0.02, "but it is there")
				assert.Zero(t, six, "too little to count")
				assert.Greater(t, lost, taught)
				assert.Greater(t, lost, 5*sound)
				assert.InEpsilon(t, turns, one, 0.01, "once a turn")
			})
		}
	}
}
