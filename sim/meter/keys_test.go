package meter_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// The drop along a conductor is I·R (Ohm's law): 1 A through 1.23 mΩ leaves 1.23 mV, which only millivolts shows to three digits.
func TestMillivolts(t *testing.T) {
	m := rig(t, battery(), resistor(0.00123), resistor(12.6))
	amps := m.VoltsBetween("P2.1.a", "P2.2.a") / 12.6
	b := bench(t)
	d := measure(t, m, b, meter.Millivolts, "P1.1.b", "P1.2.b")
	assert.Equal(t, "mV", d.Unit)
	assert.InDelta(t, 0.00123*amps, d.Value, 0.000005+1e-9, "shown to 0.01 mV")
	assert.Equal(t, meter.Overload, measure(t, m, b, meter.Millivolts, "P1.1.a", "BAT.31").Text, "it does not change to volts by itself")
}

// A silicon diode, here one of 0.9 V at 1 A, reads 0.5 to 0.7 V at the test current (Lessons In Electric Circuits III, chapter 3;
// testdata/meter/meter.csv row "silicon diode reading").
func TestDiodeTest(t *testing.T) {
	m := rig(t, battery(), part{"diode", map[string]float64{"amps": 1, "drop": 0.9}}, resistor(1000))
	b := bench(t)
	require.NoError(t, m.Unplug("P1"))
	forward := measure(t, m, b, meter.Diode, "P1.1.b", "P1.2.b")
	assert.True(t, forward.Valid)
	assert.GreaterOrEqual(t, forward.Value, 0.5, "published range of silicon")
	assert.LessOrEqual(t, forward.Value, 0.7, "published range of silicon")
	amps := (meter.DiodeVolts - m.VoltsBetween("P1.1.b", "P1.2.b")) / (meter.DiodeOhms + meter.LeadOhms)
	assert.InDelta(t, 0.0008, amps, 0.0003, "about a milliampere: 0.5 to 1 mA are usual (common practice, no source)")
	assert.Empty(t, forward.Words)
	assert.Equal(t, meter.Overload, measure(t, m, b, meter.Diode, "P1.2.b", "P1.1.b").Text, "backwards")
	assert.Equal(t, meter.Overload, measure(t, m, b, meter.Diode, "P1.1.b", "").Text, "one lead lifted")
	assert.InDelta(t, 0, measure(t, m, b, meter.Diode, "P1.1.b", "P1.1.b").Value, 0.001, "leads together")
	assert.Contains(t, measure(t, m, b, meter.Diode, "P1.1.a", "BAT.31").Words, meter.LiveWord)
	shorted := measure(t, m, b, meter.Diode, "P2.1.b", "P2.2.b")
	assert.InDelta(t, 3.0*1000/4000, shorted.Value, 0.01, "a resistor of 1 kΩ divides with the meter's 3 kΩ")
}

// What the leads add to ohms is taken out with the leads on one point: 0.1 Ω here (meter.LeadOhms).
func TestRelativeTakesTheLeadsOut(t *testing.T) {
	m := rig(t, battery(), resistor(2))
	require.NoError(t, m.Unplug("P1"))
	b := bench(t)
	require.ErrorContains(t, b.SetRelative(true), "no number")
	assert.Equal(t, "0.1", measure(t, m, b, meter.Ohms, "P1.1.b", "P1.1.b").Text)
	require.NoError(t, b.SetRelative(true))
	both := read(t, m, b, meter.Multimeter, "P1.1.b", "P1.1.b")[meter.Multimeter]
	assert.Equal(t, "0.0", both.Text)
	assert.Equal(t, []string{meter.RelativeWord}, both.Words)
	assert.Equal(t, 0.1, both.Relative)
	assert.Equal(t, "2.0", read(t, m, b, meter.Multimeter, "P1.1.b", "P1.2.b")[meter.Multimeter].Text)
	require.NoError(t, b.SetRelative(false))
	assert.Equal(t, "2.1", read(t, m, b, meter.Multimeter, "P1.1.b", "P1.2.b")[meter.Multimeter].Text)
	require.NoError(t, b.SetRelative(true))
	require.NoError(t, b.Dial(meter.Volts))
	assert.False(t, b.Relative(), "turning the dial ends it")
}

// A contact that opens for 1 ms is caught, though the display that is updated four times a second never shows it.
func TestCaptureSeesADropoutOfAMillisecond(t *testing.T) {
	m := rig(t, battery(), resistor(10), resistor(10))
	b := bench(t)
	require.NoError(t, b.Dial(meter.Volts))
	read(t, m, b, meter.Multimeter, "P2.1.b", "BAT.31")
	b.SetCapture(true)
	pass(t, m, b, 1)
	require.NoError(t, m.Unplug("P1"))
	pass(t, m, b, 0.001)
	require.NoError(t, m.Plug("P1"))
	pass(t, m, b, 1)
	out, err := b.Read(m)
	require.NoError(t, err)
	d := out[meter.Multimeter]
	assert.InDelta(t, 6.3, d.Value, 0.1, "the display shows the circuit as it is")
	require.NotNil(t, d.Capture)
	assert.InDelta(t, 0, d.Capture.Low.Value, 0.01, "the dropout")
	assert.Equal(t, d.Value, d.Capture.High.Value)
	require.NoError(t, b.Place(meter.Multimeter, 0, "P1.1.a"))
	require.NoError(t, b.Connect(m))
	pass(t, m, b, 1)
	out, err = b.Read(m)
	require.NoError(t, err)
	assert.InDelta(t, 12.6, out[meter.Multimeter].Capture.Low.Value, 0.1, "moving a lead begins anew")
}

// pulses is a machine with a load on pulses.
func pulses(t testing.TB, duty, hertz float64, kind string, values map[string]float64) *harness.Machine {
	t.Helper()
	m, err := harness.NewMachine(sample.Pulser(duty, hertz, kind, values))
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	return m
}

// Volts shows d·V, hertz and duty what the pulses have, and a capture their rails (definitions of mean, frequency and duty).
func TestPulses(t *testing.T) {
	for _, tt := range []struct{ duty, hertz float64 }{{0.25, 200}, {0.5, 90}, {0.8, 1000}} {
		t.Run(fmt.Sprintf("%g of %g Hz", tt.duty, tt.hertz), func(t *testing.T) {
			m := pulses(t, tt.duty, tt.hertz, "resistor", map[string]float64{"resistance": 10})
			b := bench(t)
			full := 12.65 * 10 / (10 + 0.05 + 0.01) // the output's and the battery's own resistance; 10 mV for wires and contacts
			volts := measure(t, m, b, meter.Volts, "XL.1.a", "XL.2.a")
			assert.InDelta(t, tt.duty*full, volts.Value, 0.03)
			hertz := measure(t, m, b, meter.Hertz, "XL.1.a", "XL.2.a")
			assert.InDelta(t, tt.hertz, hertz.Value, meter.Hertz.Tolerance(hertz.Value), "frequency")
			assert.InDelta(t, 100*tt.duty, measure(t, m, b, meter.Duty, "XL.1.a", "XL.2.a").Value, 0.1, "duty")
			assert.InDelta(t, 100*(1-tt.duty), measure(t, m, b, meter.Duty, "XL.2.a", "XL.1.a").Value, 0.1, "duty with the leads crossed")
			require.NoError(t, b.Dial(meter.Volts))
			b.SetCapture(true)
			d := read(t, m, b, meter.Multimeter, "XL.1.a", "XL.2.a")[meter.Multimeter]
			require.NotNil(t, d.Capture)
			assert.InDelta(t, 0, d.Capture.Low.Value, 0.01, "lowest")
			assert.InDelta(t, full, d.Capture.High.Value, 0.03, "highest")
			assert.InDelta(t, tt.duty*full, d.Value, 0.03, "the display goes on showing the mean")
		})
	}
}

// Nothing repeats in a circuit at rest.
func TestNothingRepeats(t *testing.T) {
	m := rig(t, battery(), resistor(10))
	b := bench(t)
	assert.Equal(t, "0.00", measure(t, m, b, meter.Hertz, "BAT.30", "BAT.31").Text)
	d := measure(t, m, b, meter.Duty, "BAT.30", "BAT.31")
	assert.Equal(t, meter.Blank, d.Text)
	assert.False(t, d.Valid)
}

// An ideal meter, which is what a supposed fault is read with, agrees with the real one to its last digit in the functions that are not
// volts or ohms.
func TestIdealAgrees(t *testing.T) {
	m := pulses(t, 0.3, 200, "diode", map[string]float64{})
	b := bench(t)
	for _, f := range []meter.Function{meter.Millivolts, meter.Diode, meter.Hertz, meter.Duty} {
		t.Run(string(f), func(t *testing.T) {
			d := measure(t, m, b, f, "XL.1.a", "XL.2.a")
			require.NoError(t, b.ConnectLoads(m))
			require.NoError(t, m.Settle())
			v, _, err := b.Ideal(m)
			require.NoError(t, err)
			if !d.Valid {
				assert.True(t, math.IsInf(v, 1) || math.IsNaN(v) || f == meter.Millivolts, "%v", v)
				return
			}
			assert.InDelta(t, d.Value, v, 2*f.Accuracy().Ranges[0].Step())
		})
	}
}

// A flasher has no steady state: its frequency and duty are read from its own cycle (default 85 a minute, half of the time on).
func TestFlasherHertz(t *testing.T) {
	k, ok := device.Lookup("flasher")
	require.True(t, ok)
	rate := 0.0
	for _, p := range k.Params {
		if p.Key == "rate" {
			rate = p.Default
		}
	}
	m, err := harness.NewMachine(sample.Flashing())
	require.NoError(t, err)
	_ = m.Settle()
	_, err = m.Run(3)
	require.NoError(t, err)
	require.NotEmpty(t, m.Restless(), "it flashes")
	b := bench(t)
	assert.InDelta(t, rate/60, measure(t, m, b, meter.Hertz, "XL.1.a", "XL.2.a").Value, 0.02, "flashes a second")
	assert.InDelta(t, 50, measure(t, m, b, meter.Duty, "XL.1.a", "XL.2.a").Value, 1)
}

// A breaker that resets itself lets a circuit come to rest each time, and still has a frequency and a duty. Its strip is heated by
// h = (I/(1.2·10 A))² and follows with 15 s: closed, it goes from 0.7 to 1 in 15 s·ln((h-0.7)/(h-1)); open, back in 15 s·ln(1/0.7) (sim/device, Breaker).
func TestBreakerHertz(t *testing.T) {
	m, err := harness.NewMachine(sample.Cycling())
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	b := bench(t)
	assert.Equal(t, "0.00", measure(t, m, b, meter.Hertz, "XR.1.a", "XR.2.a").Text, "nobody knows yet that it will trip")
	require.False(t, m.Cycles())
	h := math.Pow(m.LimbAmps("cavity XR.1")/12, 2)
	shut, open := 15*math.Log((h-0.7)/(h-1)), 15*math.Log(1/0.7)
	_, err = m.Run(60)
	require.NoError(t, err)
	var seen [2]int
	for range 8 {
		_, err = m.Run(0.4)
		require.NoError(t, err)
		if m.Device("CB").(*device.Breaker).Tripped() {
			seen[0]++
		} else {
			seen[1]++
		}
		require.Empty(t, m.Restless(), "it comes to rest")
		require.True(t, m.Cycles())
		assert.InDelta(t, 1/(shut+open), measure(t, m, b, meter.Hertz, "XR.1.a", "XR.2.a").Value, 0.006, "0.01 Hz is the last digit")
		assert.InDelta(t, 100*shut/(shut+open), measure(t, m, b, meter.Duty, "XR.1.a", "XR.2.a").Value, 0.3)
	}
	assert.Positive(t, seen[0], "read while it is open")
	assert.Positive(t, seen[1], "and while it is closed")
	assert.Equal(t, "0.00", measure(t, m, b, meter.Hertz, "BAT.31", "G").Text, "nothing comes and goes there")
	require.NoError(t, m.Unplug("XR"))
	_, err = m.Run(20)
	require.NoError(t, err)
	assert.False(t, m.Cycles(), "without a load it cools down and stays closed")
}

// The park switch of a wiper that wipes stands at plus for nine tenths of each wipe and at ground for one (the kind's default). Volts shows the
// mean, hertz the wipes a second, and a capture both ends; a probe on 53, which it has nothing to do with, sees none of it.
func TestParkSwitchOfAWiper(t *testing.T) {
	m, err := harness.NewMachine(sample.Wiper())
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	require.NoError(t, m.Operate("wiper", "slow"))
	_, err = m.Run(5)
	require.NoError(t, err)
	require.Empty(t, m.Restless(), "a wiper at work has its steady state")
	const park, plus, motor = harness.Point("XM.4.a"), harness.Point("XM.3.a"), harness.Point("XM.1.a")
	full := m.VoltsBetween(plus, "BAT.31")
	b := bench(t)
	assert.InDelta(t, 0.9*full, measure(t, m, b, meter.Volts, park, "BAT.31").Value, 0.05)
	wiper, ok := m.Device("M").(*device.Wiper)
	require.True(t, ok)
	assert.InDelta(t, 45*wiper.Speed()/60, measure(t, m, b, meter.Hertz, park, "BAT.31").Value, 0.01, "wipes a second")
	assert.InDelta(t, 90, measure(t, m, b, meter.Duty, park, "BAT.31").Value, 1)
	assert.Equal(t, "0.00", measure(t, m, b, meter.Hertz, motor, "BAT.31").Text)
	require.NoError(t, b.Dial(meter.Volts))
	b.SetCapture(true)
	d := read(t, m, b, meter.Multimeter, park, "BAT.31")[meter.Multimeter]
	require.NotNil(t, d.Capture)
	assert.InDelta(t, 0, d.Capture.Low.Value, 0.1, "at ground")
	assert.InDelta(t, full, d.Capture.High.Value, 0.1, "at plus")
}
