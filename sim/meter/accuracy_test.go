package meter_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// meters is how many meters, each with a calibration of its own, are tried at everything.
const meters = 25

// stated is something whose value at the leads is known: red and black, and what it is when the leads are there.
type stated struct {
	m          *harness.Machine
	red, black harness.Point
	truth      func(m *harness.Machine) float64
	what       string
}

// TestReadingsKeepTheStatedAccuracy: on every function of the dial, whatever the calibration, a reading is no farther from the truth than per cent
// and counts say. The truth is what stands at the leads while they are there; Ohm's law for what the meter drives itself.
func TestReadingsKeepTheStatedAccuracy(t *testing.T) {
	between := func(red, black harness.Point) func(*harness.Machine) float64 {
		return func(m *harness.Machine) float64 { return m.VoltsBetween(red, black) }
	}
	fixed := func(x float64) func(*harness.Machine) float64 { return func(*harness.Machine) float64 { return x } }
	chain := func() *harness.Machine {
		return rig(t, battery(), resistor(3), resistor(470), resistor(22e3), resistor(0.2))
	}
	// loose is a resistor that hangs on nothing else.
	loose := func(ohms float64) *harness.Machine {
		m := rig(t, battery(), resistor(ohms))
		require.NoError(t, m.Unplug("P1"))
		return m
	}
	cases := map[meter.Function][]stated{}
	m := chain()
	for _, red := range []harness.Point{"BAT.30", "P1.1.a", "P1.2.a", "P2.2.a", "P3.2.a", "P4.2.a", "BAT.31"} {
		cases[meter.Volts] = append(cases[meter.Volts], stated{m, red, "P2.2.a", between(red, "P2.2.a"), "volts at " + string(red)})
	}
	for _, pair := range [][2]harness.Point{{"P1.1.a", "P1.2.a"}, {"P1.2.a", "P2.2.a"}, {"P2.2.a", "P1.2.a"}, {"P3.2.a", "P4.2.a"}} {
		cases[meter.Millivolts] = append(cases[meter.Millivolts], stated{m, pair[0], pair[1], between(pair[0], pair[1]), fmt.Sprint("between ", pair)})
	}
	// All of the current goes through the meter when it bridges what has most of the resistance.
	cases[meter.Amps] = []stated{{m, "P1.1.a", "P2.1.a", func(m *harness.Machine) float64 { return m.VoltsBetween("P1.1.a", "P2.1.a") / meter.ShuntOhms }, "milliamperes"}}
	strong := rig(t, battery(), resistor(0.01), resistor(2.5))
	cases[meter.Amps] = append(cases[meter.Amps], stated{strong, "P1.1.a", "P2.1.a", func(m *harness.Machine) float64 { return m.VoltsBetween("P1.1.a", "P2.1.a") / meter.ShuntOhms }, "amperes"})
	for _, ohms := range []float64{0.5, 12, 450, 3.3e3, 68e3, 1e6, 22e6} {
		cases[meter.Ohms] = append(cases[meter.Ohms], stated{loose(ohms), "P1.1.b", "P1.2.b", fixed(ohms + meter.LeadOhms), fmt.Sprint(ohms, " Ω")})
		if ohms < 500 {
			cases[meter.Continuity] = append(cases[meter.Continuity], stated{loose(ohms), "P1.1.b", "P1.2.b", fixed(ohms + meter.LeadOhms), fmt.Sprint(ohms, " Ω")})
		}
	}
	for _, ohms := range []float64{10, 100, 1000, 2700, 10e3} {
		// The diode test is 3 V behind 3 kΩ, its leads with it.
		truth := meter.DiodeVolts * ohms / (meter.DiodeOhms + ohms)
		cases[meter.Diode] = append(cases[meter.Diode], stated{loose(ohms), "P1.1.b", "P1.2.b", fixed(truth), fmt.Sprint(ohms, " Ω")})
	}
	for _, p := range []struct{ duty, hertz float64 }{{0.25, 200}, {0.5, 90}, {0.8, 1000}} {
		pulsed := pulses(t, p.duty, p.hertz, "resistor", map[string]float64{"resistance": 10})
		what := fmt.Sprintf("%g of %g Hz", p.duty, p.hertz)
		cases[meter.Hertz] = append(cases[meter.Hertz], stated{pulsed, "XL.1.a", "XL.2.a", fixed(p.hertz), what})
		cases[meter.Duty] = append(cases[meter.Duty], stated{pulsed, "XL.1.a", "XL.2.a", fixed(100 * p.duty), what},
			stated{pulsed, "XL.2.a", "XL.1.a", fixed(100 * (1 - p.duty)), what + ", leads crossed"})
	}
	for _, f := range meter.Functions() {
		if f == meter.Off {
			continue
		}
		require.NotEmpty(t, cases[f], "%s: nothing known to measure", f)
		t.Run(string(f), func(t *testing.T) {
			apart := false
			for _, c := range cases[f] {
				first := math.NaN()
				for seed := range uint64(meters) {
					b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
					require.NoError(t, err)
					d := measure(t, c.m, b, f, c.red, c.black)
					require.True(t, d.Valid, "%s, seed %d: %s", c.what, seed, d.Text)
					assert.InDelta(t, c.truth(c.m), d.Value, f.Tolerance(d.Value), "%s, seed %d", c.what, seed)
					apart = apart || !math.IsNaN(first) && d.Value != first
					first = d.Value
				}
			}
			assert.True(t, apart, "every meter is another")
		})
	}
}

// A zeroed clamp keeps 2 % + 5 counts in both of its ranges, and no two show the same.
func TestClampKeepsTheStatedAccuracy(t *testing.T) {
	for _, ohms := range []float64{5, 1, 0.12} { // 2.5 A, 12 A, 95 A
		m := rig(t, battery(), resistor(ohms))
		seen := map[float64]bool{}
		for seed := range uint64(meters) {
			b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
			require.NoError(t, err)
			require.NoError(t, b.Zero(meter.Clamp, m))
			d := one(t, m, b, meter.Clamp, meter.WirePlace("2"))
			amps := m.LimbAmps("wire 2")
			assert.InDelta(t, amps, d.Value, meter.ClampTolerance(d.Value), "seed %d", seed)
			ideal, slack := b.IdealClamp(m)
			assert.Equal(t, amps, ideal)
			assert.Zero(t, slack)
			seen[d.Value] = true
		}
		assert.Greater(t, len(seen), 3, "%g Ω: a gain of its own each", ohms)
	}
}

// The trace view keeps 1 % + 3 counts of 10 mV on either channel: of what stands still, and of the rails and the mean of pulses.
func TestTraceViewKeepsTheStatedAccuracy(t *testing.T) {
	still := rig(t, battery(), resistor(1000), resistor(1000), resistor(1000))
	const duty, hertz = 0.25, 200.0
	moving := pulses(t, duty, hertz, "resistor", map[string]float64{"resistance": 10})
	exact := one(t, moving, bench(t), meter.TraceView, "XL.1.a").Channels[0]
	seen := map[float64]bool{}
	for seed := range uint64(meters) {
		b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
		require.NoError(t, err)
		require.NoError(t, b.Place(meter.TraceView, 1, "P2.2.a"))
		for _, at := range []harness.Point{"BAT.30", "P1.2.a", "P3.2.a"} {
			d := one(t, still, b, meter.TraceView, at)
			for i, p := range []harness.Point{at, "P2.2.a"} {
				mean := d.Channels[i].Mean.Value
				assert.InDelta(t, still.VoltsBetween(p, "BAT.31"), mean, meter.TraceTolerance(mean), "%s on channel %d, seed %d", p, i+1, seed)
				seen[mean] = true
			}
		}
		b, err = meter.NewBench(kit(), meter.NewCalibration(seed))
		require.NoError(t, err)
		c := one(t, moving, b, meter.TraceView, "XL.1.a").Channels[0]
		for _, x := range [][2]float64{{exact.High.Value, c.High.Value}, {exact.Low.Value, c.Low.Value}, {exact.Mean.Value, c.Mean.Value}} {
			assert.InDelta(t, x[0], x[1], meter.TraceTolerance(x[1])+0.005, "seed %d; half a count of the other", seed)
		}
		assert.InDelta(t, hertz, c.Hertz.Value, meter.Hertz.Tolerance(c.Hertz.Value))
		assert.InDelta(t, 100*duty, c.Duty.Value, meter.Duty.Tolerance(c.Duty.Value))
	}
	assert.Greater(t, len(seen), 20, "every channel is another")
}

// A data list keeps 2 % + 1 count of a tenth.
func TestReaderKeepsTheStatedAccuracy(t *testing.T) {
	m := pulses(t, 0.25, 200, "resistor", map[string]float64{"resistance": 1})
	truth := map[string]float64{"supply": m.VoltsBetween("XM.1.a", "BAT.31"), "out": 0.25 * m.VoltsBetween("XM.1.a", "BAT.31") / 1.05}
	seen := map[string]bool{}
	for seed := range uint64(meters) {
		b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
		require.NoError(t, err)
		named := 0
		for _, r := range one(t, m, b, meter.Reader, meter.UnitPlace("MOD")).Rows {
			want, ok := truth[r.Name]
			if !ok {
				continue
			}
			named++
			x, err := strconv.ParseFloat(r.Text, 64)
			require.NoError(t, err)
			assert.InDelta(t, want, x, meter.ReaderPercent/100.0*x+meter.ReaderCounts*0.1, "%s, seed %d", r.Name, seed)
			seen[r.Name+r.Text] = true
		}
		require.Equal(t, 2, named)
	}
	assert.Greater(t, len(seen), 3, "every one is another")
}

// A logic probe's thresholds are within 5 % of the supply of 30 and 70 %: beyond that every probe says the same, between them they differ.
func TestLogicProbesDiffer(t *testing.T) {
	// A divider of 100 parts; shares of the nominal 12 V.
	words := func(share float64) []string {
		lower := 1000 * share * 12 / 12.65
		m := rig(t, battery(), resistor(1000-lower), resistor(lower))
		var all []string
		for seed := range uint64(meters) {
			b, err := meter.NewBench(kit(), meter.NewCalibration(seed))
			require.NoError(t, err)
			w := one(t, m, b, meter.LogicProbe, "P1.2.a").Text
			if sure := b.IdealLogic(m); sure != meter.FloatingWord {
				assert.Equal(t, sure, w, "%g of the supply, seed %d: what is sure holds for every probe", share, seed)
			}
			if !slices.Contains(all, w) {
				all = append(all, w)
			}
		}
		return all
	}
	for share, want := range map[float64][]string{0.2: {meter.LowWord}, 0.24: {meter.LowWord}, 0.36: {meter.FloatingWord}, 0.64: {meter.FloatingWord}, 0.76: {meter.HighWord}, 0.9: {meter.HighWord}} {
		assert.Equal(t, want, words(share), "%g of the supply", share)
	}
	assert.Len(t, words(meter.LogicLow), 2)
	assert.Len(t, words(meter.LogicHigh), 2)
}
