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

// A relay's coil without suppression drives its current on through the losses of its iron when its switch opens: 100 to 400 V backwards (usual;
// common practice, no source). Here 100 Ω are 105.26 Ω of winding beside losses of 2 kΩ, through which its current makes 19 times what it had. Trace
// view and capture both see it, though it is over in some milliseconds; with a diode it is less than a volt.
func TestKickOfACoil(t *testing.T) {
	look := func(diode float64) (before, trace, capture float64) {
		h := sample.Tractor()
		for i, c := range h.Components {
			if c.ID == "K1" {
				h.Components[i].Spec.Values = map[string]float64{"diode": diode}
			}
		}
		m, err := harness.NewMachine(h)
		require.NoError(t, err)
		require.NoError(t, m.Settle())
		require.NoError(t, m.Operate("key", "on"))
		require.NoError(t, m.Operate("lamps", "on"))
		b := bench(t)
		require.NoError(t, b.Dial(meter.Volts))
		b.SetCapture(true)
		b.SetSweep(meter.Sweep{Seconds: 0.02, Level: 6})
		require.NoError(t, b.Place(meter.TraceView, 0, "XK1.86.b"))
		require.NoError(t, b.Place(meter.Multimeter, 0, "XK1.86.b"))
		require.NoError(t, b.Place(meter.Multimeter, 1, "BAT.31"))
		require.NoError(t, b.Connect(m))
		pass(t, m, b, 2)
		b.Forget()
		pass(t, m, b, 0.5)
		before = m.VoltsBetween("XK1.86.b", "XK1.85.b")
		require.NoError(t, m.Operate("lamps", "off"))
		pass(t, m, b, 2)
		out, err := b.Read(m)
		require.NoError(t, err)
		d := out[meter.TraceView]
		require.Equal(t, "once", d.Text)
		require.NotNil(t, out[meter.Multimeter].Capture)
		assert.InDelta(t, 0, out[meter.Multimeter].Value, 0.01, "the display shows nothing of it")
		return before, d.Channels[0].Low.Value, out[meter.Multimeter].Capture.Low.Value
	}
	before, trace, capture := look(0)
	assert.InEpsilon(t, -2000/105.26*before, trace, 0.005, "0.2 % go through the instruments")
	assert.InDelta(t, trace, capture, 0.1)
	assert.True(t, trace > -400 && trace < -100, "%g V", trace)
	_, trace, capture = look(1)
	assert.InDelta(t, -0.7, trace, 0.2)
	assert.InDelta(t, trace, capture, 0.02)
}
