package meter_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// one reads a tool with one end.
func one(t testing.TB, m *harness.Machine, b *meter.Bench, tool meter.Tool, at harness.Point) meter.Display {
	t.Helper()
	require.NoError(t, b.Place(tool, 0, at))
	require.NoError(t, b.Connect(m))
	_, err := m.Run(2)
	require.NoError(t, err)
	out, err := b.Read(m)
	require.NoError(t, err)
	return out[tool]
}

// The clamp shows the current in a wire with its sign, without loading anything: 12.65 V over 5 Ω and 10 mΩ are 2.525 A (Ohm's law).
func TestClamp(t *testing.T) {
	m := rig(t, battery(), resistor(5))
	want := 12.65 / (5 + 0.01)
	b := bench(t)
	before := m.Volts("P1.1.a")
	d := one(t, m, b, meter.Clamp, meter.WirePlace("2"))
	assert.InDelta(t, want, d.Value, 0.02, "towards the load; 10 mA for wires and contacts")
	assert.Equal(t, "A", d.Unit)
	assert.InDelta(t, before, m.Volts("P1.1.a"), 1e-4, "no load, but the battery drains a little")
	assert.InDelta(t, -want, one(t, m, b, meter.Clamp, meter.WirePlace("1")).Value, 0.02, "from the negative post to ground flows as much, the other way")
	amps, slack := b.IdealClamp(m)
	assert.InDelta(t, -want, amps, 0.02)
	assert.Equal(t, meter.ClampDrift, slack, "as far as anybody knows who has not zeroed it")
}

// Until it is zeroed a clamp's zero is off by tenths of an ampere; zeroed with its jaw empty it is right, zeroed around a wire it shows the
// difference.
func TestClampIsZeroed(t *testing.T) {
	m := rig(t, battery(), resistor(5))
	want := 12.65 / (5 + 0.01)
	drifts := map[float64]bool{}
	for seed := range uint64(20) {
		b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
		require.NoError(t, err)
		drift := one(t, m, b, meter.Clamp, meter.WirePlace("2")).Value - want
		assert.LessOrEqual(t, math.Abs(drift), meter.ClampDrift+meter.ClampTolerance(want))
		assert.Greater(t, math.Abs(drift), 0.03, "seed %d: nobody may forget to zero it", seed)
		drifts[drift] = true
		require.NoError(t, b.Place(meter.Clamp, 0, ""))
		require.NoError(t, b.Zero(meter.Clamp, m))
		assert.InDelta(t, want, one(t, m, b, meter.Clamp, meter.WirePlace("2")).Value, meter.ClampTolerance(want))
		require.NoError(t, b.Zero(meter.Clamp, m))
		assert.InDelta(t, 0, one(t, m, b, meter.Clamp, meter.WirePlace("2")).Value, 0.011)
		amps, slack := b.IdealClamp(m)
		assert.InDelta(t, 0, amps, 1e-4, "the battery drains a little meanwhile")
		assert.InDelta(t, 0.02*want, slack, 1e-3, "as well as it shows the current on which it was zeroed")
	}
	assert.Greater(t, len(drifts), 10, "every clamp is another")
	require.Error(t, bench(t).Zero(meter.Jumper, m))
}

// Thresholds at 30 and 70 % of 12 V; a tip that nothing holds floats between them.
func TestLogicProbe(t *testing.T) {
	m := rig(t, battery(), resistor(1000), resistor(1000), resistor(1000), resistor(1000))
	b := bench(t)
	for _, tt := range []struct {
		at         harness.Point
		want, sure string // of this probe, and of any: 26 % are low to one whose threshold is no less than 26 %
	}{
		{"BAT.30", meter.HighWord, meter.HighWord}, {"P1.2.a", meter.HighWord, meter.HighWord}, // 75 % of 12.65 V
		{"P2.2.a", meter.FloatingWord, meter.FloatingWord}, // 50 %
		{"P3.2.a", meter.LowWord, meter.FloatingWord},      // 25 %
		{"BAT.31", meter.LowWord, ""},                      // its own ground
	} {
		assert.Equal(t, tt.want, one(t, m, b, meter.LogicProbe, tt.at).Text, "at %s", tt.at)
		assert.Equal(t, tt.sure, b.IdealLogic(m), "at %s, supposed", tt.at)
	}
	require.NoError(t, m.Unplug("P1"))
	require.NoError(t, m.Unplug("P2"))
	assert.Equal(t, meter.FloatingWord, one(t, m, b, meter.LogicProbe, "P1.2.a").Text, "a loose wire")
	p := pulses(t, 0.5, 200, "resistor", map[string]float64{"resistance": 10})
	assert.Equal(t, meter.PulsingWord, one(t, p, bench(t), meter.LogicProbe, "XL.1.a").Text)
}

// The substitute load draws what its bulb is rated for at rated voltage: 21 W at 12 V are 1.75 A; behind 5 Ω it stays dim and pulls the
// voltage down.
func TestLoad(t *testing.T) {
	m := rig(t, battery(), resistor(5), resistor(1e6))
	require.NoError(t, m.Unplug("P2"))
	b := bench(t)
	out := read(t, m, b, meter.Load, "BAT.30", "BAT.31")
	assert.Equal(t, "lit", out[meter.Load].Text)
	assert.Greater(t, out[meter.Load].Glow, 0.9)
	assert.InDelta(t, 0.01*21/12.0*1.03, 12.65-m.VoltsBetween("BAT.30", "BAT.31"), 0.002, "the battery's 10 mΩ feel about 1.8 A")
	out = read(t, m, b, meter.Load, "P2.1.a", "BAT.31")
	assert.Less(t, out[meter.Load].Glow, 0.6)
	assert.Less(t, m.VoltsBetween("P2.1.a", "BAT.31"), 9.0)
}

// The trace view shows pulses as they are: their rails, mean d·V, frequency and duty, and in its columns the edges where they belong.
func TestTraceView(t *testing.T) {
	const duty, hertz = 0.25, 200.0
	m := pulses(t, duty, hertz, "resistor", map[string]float64{"resistance": 10})
	b := bench(t)
	b.SetSweep(meter.Sweep{Seconds: 0.02, Level: 6})
	require.NoError(t, b.Place(meter.TraceView, 1, "BAT.30"))
	d := one(t, m, b, meter.TraceView, "XL.1.a")
	require.Len(t, d.Channels, 2)
	c := d.Channels[0]
	full := c.High.Value
	assert.InDelta(t, 12.6, full, 0.1)
	assert.InDelta(t, 0, c.Low.Value, 0.01)
	assert.InDelta(t, duty*full, c.Mean.Value, 0.02, "mean is duty times what it is while on")
	require.NotNil(t, c.Hertz)
	assert.InDelta(t, hertz, c.Hertz.Value, 0.2)
	assert.InDelta(t, 100*duty, c.Duty.Value, 0.2)
	assert.Nil(t, d.Channels[1].Hertz, "the supply only sags")
	trace := b.Trace()
	assert.True(t, trace.Found)
	row := trace.Channels[0]
	require.Len(t, row, meter.TraceColumns)
	for i, col := range row {
		at := math.Mod(float64(i)*0.02/meter.TraceColumns+1e-9, 1/hertz) * hertz // share of the period at the column's left
		if at > 0.02 && at < duty-0.03 {
			assert.InDelta(t, full, col[0], 0.02, "column %d is on", i)
		}
		if at > duty+0.02 && at < 0.96 {
			assert.InDelta(t, 0, col[1], 0.02, "column %d is off", i)
		}
	}
	b.SetSweep(meter.Sweep{Seconds: 0.02, Level: 50})
	one(t, m, b, meter.TraceView, "XL.1.a")
	assert.False(t, b.Trace().Found, "nothing rises through 50 V")
	still := rig(t, battery(), resistor(5))
	b = bench(t)
	d = one(t, still, b, meter.TraceView, "BAT.30")
	assert.Equal(t, "steady", d.Text)
	assert.Equal(t, d.Channels[0].Low.Value, d.Channels[0].High.Value)
}

// What happens once, such as a contact that opens for 3 ms, is drawn as it was: when it went through the level stands a tenth from the left
// edge, and the gap is as wide as it was long.
func TestTraceOfWhatHappensOnce(t *testing.T) {
	m := rig(t, battery(), resistor(10), resistor(10))
	b := bench(t)
	b.SetSweep(meter.Sweep{Seconds: 0.02, Level: 3})
	assert.Equal(t, "steady", one(t, m, b, meter.TraceView, "P2.1.b").Text)
	pass(t, m, b, 0.5)
	require.NoError(t, m.Unplug("P1"))
	pass(t, m, b, 0.003)
	require.NoError(t, m.Plug("P1"))
	pass(t, m, b, 1)
	out, err := b.Read(m)
	require.NoError(t, err)
	d := out[meter.TraceView]
	assert.Equal(t, "once", d.Text)
	assert.InDelta(t, 0, d.Channels[0].Low.Value, 0.01)
	assert.InDelta(t, 6.3, d.Channels[0].High.Value, 0.1)
	assert.InDelta(t, 6.3*17/20, d.Channels[0].Mean.Value, 0.1, "gone for 3 ms of the 20 on the screen")
	gone := 0
	for i, col := range b.Trace().Channels[0] {
		if col[1] < 1 {
			gone++
			assert.InDelta(t, 0.1*meter.TraceColumns, float64(i), 0.15*meter.TraceColumns+2, "column %d", i)
		}
	}
	assert.InDelta(t, 0.003/0.02*meter.TraceColumns, float64(gone), 2, "as wide as it was long")
	b.Forget()
	pass(t, m, b, 1)
	out, err = b.Read(m)
	require.NoError(t, err)
	assert.Equal(t, "steady", out[meter.TraceView].Text, "forgotten with the next thing that is done")
}

// The reader shows what a control unit believes, as long as it is fed through its supply and its ground.
func TestReader(t *testing.T) {
	m := pulses(t, 0.25, 200, "resistor", map[string]float64{"resistance": 10})
	b := bench(t)
	d := one(t, m, b, meter.Reader, meter.UnitPlace("MOD"))
	rows := map[string]meter.Row{}
	for _, r := range d.Rows {
		rows[r.Name] = r
	}
	assert.Equal(t, meter.Row{Name: "supply", Text: "12.6", Unit: "V"}, rows["supply"])
	assert.Equal(t, "on", rows["want"].State)
	assert.Equal(t, "pulsed", rows["out"].State)
	assert.Equal(t, "A", rows["out"].Unit)
	assert.Equal(t, fmt.Sprintf("%.1f", 0.25*12.6/10), rows["out"].Text, "the mean current")
	require.NoError(t, m.Unplug("XM"))
	assert.Equal(t, meter.NoAnswer, one(t, m, b, meter.Reader, meter.UnitPlace("MOD")).Text, "without supply")
	assert.Equal(t, meter.NoAnswer, one(t, m, b, meter.Reader, meter.UnitPlace("LOAD")).Text, "no unit")
}

// A tip on the battery's minus lies on its tool's own ground: it is in no circuit, and shows nothing of where it was before, also when that
// place is gone with a tool that has been taken away.
func TestTipsOnTheirOwnGround(t *testing.T) {
	m := rig(t, battery(), resistor(10), resistor(10))
	b := bench(t)
	for _, at := range []harness.Point{"P2.1.b", "BAT.31"} {
		want := map[harness.Point]float64{"P2.1.b": 6.3, "BAT.31": 0}[at]
		d := one(t, m, b, meter.TraceView, at)
		assert.InDelta(t, want, d.Channels[0].Mean.Value, 0.1, at)
	}
	require.NoError(t, m.Attach("probe", device.NewProbe(), "BAT.30", "BAT.31"))
	assert.Equal(t, meter.HighWord, one(t, m, b, meter.LogicProbe, "BAT.30").Text)
	require.NoError(t, m.Detach("probe"))
	assert.Equal(t, meter.LowWord, one(t, m, b, meter.LogicProbe, "BAT.31").Text)
}
