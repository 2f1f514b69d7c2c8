package meter_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// The voltmeter's own 10 MΩ pull down what it measures: -Rth/(Rth+Rm) (Thevenin; testdata/meter/meter.csv rows "loading
// error", "source resistance for 1 % loading error").
func TestVoltmeterLoadsTheCircuit(t *testing.T) {
	tests := []struct {
		name string
		ohms float64
		want float64 // loading error, as a fraction
	}{
		{"stiff source", 1, -1e-7},
		{"100 kohm source: -0.99 %", 100e3, -0.0099},
		{"101 kohm source: 1 %", 10e6 / 99, -0.01},
		{"1 Mohm source", 1e6, -1.0 / 11},
		{"10 Mohm source: half is left", 10e6, -0.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			// The meter is the only way to ground behind the resistor, so the resistor is the source's.
			m := rig(t, battery(), resistor(tt.ohms), resistor(1e8))
			require.NoError(t, m.Unplug("P2"))
			require.NoError(t, m.Settle())
			free := m.VoltsBetween("P1.2.a", "BAT.31")
			assert.InDelta(t, 12.65, free, 0.001, "nothing is lost without the meter")
			b := bench(t)
			d := measure(t, m, b, meter.Volts, "P1.2.a", "BAT.31")
			at := m.VoltsBetween("P1.2.a", "BAT.31")
			// 1e-5: the leakage of 1 TΩ at each point beside 10 MΩ.
			assert.InDelta(t, tt.want, at/free-1, 1e-5*(1+math.Abs(tt.want))+1e-6, "loading error")
			assert.InDelta(t, at, d.Value, 0.005+1e-9, "shown to the count of 10 mV")
		})
	}
}

// Lessons In Electric Circuits I, chapter 8, "Voltmeter impact on measured circuit": two resistors of 250 MΩ on 24 V, 12 V
// each, read as 0.8889 V by a 10 MΩ meter (testdata/circuit/worked_examples.yaml, voltmeter-loading-after).
func TestWorkedExampleOfVoltmeterLoading(t *testing.T) {
	// 24.00 V is a battery of two times 12 V at the charge at which each rests at 12.00 V: between 11.89 V at 0 and 12.06 V at 25 %.
	source := map[string]float64{"volts": 24, "resistance": 0.01, "charge": 25 * (12.00 - 11.89) / (12.06 - 11.89)}
	m := rig(t, source, resistor(1e8), resistor(1e8), resistor(0.5e8), resistor(1e8), resistor(1e8), resistor(0.5e8))
	d := measure(t, m, bench(t), meter.Volts, "P3.2.a", "BAT.31")
	// Half a count, and 0.1 % for the leakage: 1 TΩ at each of the ten points above, at some 12 V, takes 0.12 nA of the 96 nA.
	assert.InDelta(t, 0.8889, d.Value, 0.0005+0.0009)
	assert.Equal(t, "V", d.Unit)
}

// NAVEDTRA 14009, page of figure 2-4: 22 V on the low range, 82 V on a range with ten times the resistance, so the true
// voltage is V2·(S-1)/(S-V2/V1) = 117.7 V (testdata/meter/meter.csv). A source that is so read by loads of R and 10·R has
// Rth = R·(V/22 - 1); a meter of 10 times the input resistance must then read 82 V.
func TestTwoRangesTellTheTrueVoltage(t *testing.T) {
	const low, high, ratio, published = 22.0, 82.0, 10.0, 117.7
	truth := high * (ratio - 1) / (ratio - high/low)
	assert.InDelta(t, published, truth, 0.1, "as printed there, from rounded steps")
	// The same on this bench, scaled to 12.65 V: the meter's 10 MΩ, and 1 MΩ when a resistor of 1.111 MΩ lies beside it.
	rth := 1e6 * (truth/low - 1)
	m := rig(t, battery(), resistor(rth/2), resistor(rth/2), resistor(10e6/9))
	b := bench(t)
	v1 := measure(t, m, b, meter.Volts, "P2.2.a", "BAT.31").Value
	require.NoError(t, m.Unplug("P3"))
	v2 := measure(t, m, b, meter.Volts, "P2.2.a", "BAT.31").Value
	assert.InDelta(t, low/truth*12.65, v1, 0.005, "low range")
	assert.InDelta(t, high/truth*12.65, v2, 0.005, "high range")
	// The formula turns half a count of the low range into 20 of its own.
	assert.InDelta(t, 12.65, v2*(ratio-1)/(ratio-v2/v1), 0.05, "true voltage from both readings")
}

// OpenStax College Physics 2e, section 21.4, problem: an ammeter of 0.0200 Ω in series with 10.00 Ω lowers the current to
// 0.9980 (testdata/meter/meter.csv). This one has 0.03 Ω, so 10.00 Ω leaves 10/10.03.
func TestAmmeterLowersTheCurrent(t *testing.T) {
	m := rig(t, battery(), resistor(9.98))
	before := m.VoltsBetween("P1.1.b", "P1.2.b") / 9.98
	require.NoError(t, m.Unplug("P1"))
	require.NoError(t, m.Settle())
	b := bench(t)
	require.NoError(t, b.Dial(meter.Amps))
	// In series: from the loom to the component's own terminal; the other cavity is bridged by the jumper.
	read(t, m, b, meter.Jumper, "P1.2.a", "P1.2.b")
	d := read(t, m, b, meter.Multimeter, "P1.1.a", "P1.1.b")[meter.Multimeter]
	total := 12.65 / before // all resistance of the circuit with both contacts mated
	want := 12.65 / (total - 2*0.0015 + meter.ShuntOhms + meter.JumperOhms)
	assert.InDelta(t, want, d.Value, 0.0005+1e-6, "current with 0.03 Ω of meter and 0.02 Ω of jumper instead of two contacts of 1.5 mΩ")
	assert.InDelta(t, 0.9980, 10/(10+0.02), 0.00005, "the published case, by the same rule")
	assert.Empty(t, d.Words)
	crossed := read(t, m, b, meter.Multimeter, "P1.1.b", "P1.1.a")[meter.Multimeter]
	assert.Equal(t, -d.Value, crossed.Value, "leads crossed")
}

// ISO 8820-3: at twice its rating a 10 A fuse opens after 0.15 to 5 s (testdata/device/blade_fuse.csv, seen for 10 A); at its
// rating it holds.
func TestAmmeterFuse(t *testing.T) {
	tests := []struct {
		name     string
		ohms     float64 // in series
		min, max float64 // seconds until it opens, 0 if never within 30 s
	}{
		{"5 A for as long as one likes", 2.5, 0, 0},
		{"20 A", 0.58, 0.15, 5},
		{"across the battery", 0, 0, 0.02}, // 300 A: far beyond the standard's table
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, red, black := rig(t, battery()), harness.Point("BAT.30"), harness.Point("G")
			if tt.ohms != 0 {
				// In series, in place of a contact.
				m, red, black = rig(t, battery(), resistor(tt.ohms)), "P1.1.a", "P1.1.b"
				require.NoError(t, m.Alter([]harness.Alteration{harness.SeriesOhms{Where: "cavity P1.1", Ohms: harness.Broken}}))
			}
			b := bench(t)
			require.NoError(t, b.Dial(meter.Amps))
			require.NoError(t, b.Place(meter.Multimeter, 0, red))
			require.NoError(t, b.Place(meter.Multimeter, 1, black))
			require.NoError(t, b.Connect(m))
			events, err := m.Run(30)
			require.NoError(t, err)
			d, err := b.Read(m)
			require.NoError(t, err)
			if tt.max == 0 {
				assert.Empty(t, events)
				assert.False(t, b.Blown(meter.Multimeter))
				assert.Empty(t, d[meter.Multimeter].Words)
				return
			}
			require.NotEmpty(t, events)
			assert.Equal(t, "fuse-opened", events[0].What)
			assert.GreaterOrEqual(t, events[0].Seconds, tt.min, "not before")
			assert.LessOrEqual(t, events[0].Seconds, tt.max, "not after")
			assert.Equal(t, meter.Display{Text: "0.000", Unit: "A", Valid: true, Words: []string{meter.FuseWord}}, d[meter.Multimeter])
			assert.InDelta(t, 12.65, m.VoltsBetween("BAT.30", "BAT.31"), 0.001, "the supply is free again")

			require.NoError(t, b.ResetFuse(meter.Multimeter))
			assert.False(t, b.Blown(meter.Multimeter), "a new fuse is whole")
			assert.Equal(t, "V", measure(t, m, b, meter.Volts, "BAT.30", "BAT.31").Unit, "volts do not need that fuse")
		})
	}
}

func TestOverloadedAmmeterSaysSo(t *testing.T) {
	assert.Equal(t, meter.Overload, meter.Show(meter.Amps, 25).Text)
	m := rig(t, battery(), resistor(1.02), resistor(1e8))
	require.NoError(t, m.Unplug("P2"))
	d := measure(t, m, bench(t), meter.Amps, "P1.2.a", "BAT.31")
	assert.InDelta(t, 11.8, d.Value, 0.1, "12.65 V over 1.02 Ω, the meter, two contacts, wires and the battery")
	assert.Equal(t, []string{meter.OverloadWord}, d.Words, "more than its 10 A fuse is rated for")
}

// An ohmmeter shows what lies between its leads, its own leads' 0.1 Ω included.
func TestOhmsOfResistors(t *testing.T) {
	for _, ohms := range []float64{0.01, 1, 4.7, 33, 470, 590, 820, 4.7e3, 56e3, 330e3, 2.2e6, 10e6, 47e6} {
		t.Run(fmt.Sprint(ohms), func(t *testing.T) {
			m := rig(t, battery(), resistor(ohms))
			require.NoError(t, m.Unplug("P1"))
			d := measure(t, m, bench(t), meter.Ohms, "P1.1.b", "P1.2.b")
			require.True(t, d.Valid, "shown: %v", d)
			i, _ := meter.Ohms.RangeOf(d.Value)
			step := meter.Ohms.Accuracy().Ranges[i].Step()
			// Half a count, and the leakage of 1 TΩ at each end.
			assert.InDelta(t, ohms+meter.LeadOhms, d.Value, step/2*(1+1e-9)+ohms*ohms/1e12)
			assert.Empty(t, d.Words)
		})
	}
}

// What the display shows with nothing to measure.
func TestNothingBetweenTheLeads(t *testing.T) {
	m := rig(t, battery(), resistor(10))
	require.NoError(t, m.Unplug("P1"))
	tests := []struct {
		name       string
		f          meter.Function
		red, black harness.Point
		text       string
		words      []string
	}{
		{"volts, one lead lifted", meter.Volts, "BAT.30", "", "0.0", nil},
		{"volts, both on one point", meter.Volts, "BAT.30", "BAT.30", "0.0", nil},
		{"volts at a floating terminal", meter.Volts, "P1.1.b", "BAT.31", "0.0", nil},
		{"ohms, one lead lifted", meter.Ohms, "", "P1.1.b", "OL", nil},
		{"ohms, both on one point", meter.Ohms, "P1.1.b", "P1.1.b", "0.1", nil},
		{"ohms between parts that are not joined", meter.Ohms, "P1.1.b", "P1.2.a", "OL", nil},
		{"continuity, one lead lifted", meter.Continuity, "", "P1.1.b", "OL", nil},
		{"continuity, both on one point", meter.Continuity, "P1.1.b", "P1.1.b", "0.1", []string{meter.BeepWord}},
		{"amps, one lead lifted", meter.Amps, "BAT.30", "", "0.000", nil},
		{"amps between parts that are not joined", meter.Amps, "P1.1.b", "P1.2.a", "0.000", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := measure(t, m, bench(t), tt.f, tt.red, tt.black)
			assert.Equal(t, tt.text, d.Text)
			assert.Equal(t, tt.words, d.Words)
		})
	}
	b := bench(t)
	assert.Empty(t, read(t, m, b, meter.Multimeter, "BAT.30", "BAT.31"), "off shows nothing")
	assert.Empty(t, read(t, m, b, meter.Multimeter, "", ""), "nothing placed, nothing shown")
}

// The beeper says "joined" to anything under 30 Ω (testdata/meter/meter.csv: 20 to 50 Ω, common practice, no source): a bad joint
// of 5 Ω passes.
func TestContinuityBeeps(t *testing.T) {
	for ohms, beeps := range map[float64]bool{0.01: true, 5: true, 29.8: true, 30.1: false, 400: false} {
		m := rig(t, battery(), resistor(ohms))
		require.NoError(t, m.Unplug("P1"))
		d := measure(t, m, bench(t), meter.Continuity, "P1.1.b", "P1.2.b")
		assert.Equal(t, beeps, len(d.Words) == 1 && d.Words[0] == meter.BeepWord, "%v Ω shows %v", ohms, d)
	}
}

// A joint of 8 Ω: the beeper passes it, the voltmeter without load passes it, the test lamp does not.
func TestTestLampTellsWhatOthersDoNot(t *testing.T) {
	tests := []struct {
		name string
		bad  float64
		glow [2]float64
		word string
	}{
		{"good feed", 0.001, [2]float64{0.9, 1.3}, "lit"}, // 12.65 V on a 12 V bulb: about 1.05^3.4 = 1.19
		{"8 ohm in the feed", 8, [2]float64{0.2, 0.6}, "dim"},
		{"200 ohm in the feed", 200, [2]float64{0, 0}, "off"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := rig(t, battery(), resistor(tt.bad), resistor(1e8))
			require.NoError(t, m.Unplug("P2"))
			b := bench(t)
			assert.InDelta(t, 12.65, measure(t, m, b, meter.Volts, "P1.2.a", "G").Value, 0.006, "the voltmeter sees nothing wrong")
			require.NoError(t, b.Place(meter.Multimeter, 0, ""))
			d := read(t, m, b, meter.TestLamp, "P1.2.a", "G")[meter.TestLamp]
			assert.Equal(t, tt.word, d.Text)
			assert.GreaterOrEqual(t, d.Glow, tt.glow[0])
			assert.LessOrEqual(t, d.Glow, tt.glow[1])
			assert.Equal(t, math.Round(d.Glow*20)/20, d.Glow, "in steps of 0.05")
			if tt.word != "off" {
				// 5 W at 12 V is 0.417 A, and the current goes with about the 0.55th power of the voltage (Standard Handbook for
				// Electrical Engineers 11th ed. p. 22-8, testdata/device/lamp.csv).
				v := m.VoltsBetween("P1.2.a", "G")
				want := 5.0 / 12 * math.Pow(v/12, 0.55)
				assert.InEpsilon(t, want, (12.65-v)/(tt.bad+0.02), 0.25, "it draws what a 5 W filament draws")
			}
		})
	}
	lifted := read(t, rig(t, battery()), bench(t), meter.TestLamp, "BAT.30", "")
	assert.Equal(t, meter.Display{Text: "off"}, lifted[meter.TestLamp])
}

// On a live circuit an ohmmeter shows what its converter makes of a voltage that is not its own, and says so.
func TestOhmsOnALiveCircuit(t *testing.T) {
	tests := []struct {
		name       string
		f          meter.Function
		red, black harness.Point
		sign       float64
	}{
		{"ohms across the supply", meter.Ohms, "BAT.30", "BAT.31", -1},
		{"ohms across the supply, leads crossed", meter.Ohms, "BAT.31", "BAT.30", -1},
		{"continuity across the supply", meter.Continuity, "BAT.30", "BAT.31", -1},
		{"ohms across a load that is on", meter.Ohms, "P1.1.a", "P1.2.a", -1},
	}
	m := rig(t, battery(), resistor(10))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := measure(t, m, bench(t), tt.f, tt.red, tt.black)
			assert.Contains(t, d.Words, meter.LiveWord)
			require.True(t, d.Valid, "a number is shown: %v", d)
			// E - V over Rs is the current that the meter's source of 0.5 V and 500 Ω sees, V over it the number.
			v := 12.65
			if tt.red == "BAT.31" {
				v = -v
			}
			assert.InDelta(t, v/((meter.TestVolts-v)/500), d.Value, 2, "the number that physics makes of it")
			assert.Greater(t, math.Abs(d.Value-10), 100.0, "which has nothing to do with the load")
		})
	}
	t.Run("a wire that carries current", func(t *testing.T) {
		m := rig(t, battery(), resistor(1.2), resistor(0.01))
		d := measure(t, m, bench(t), meter.Ohms, "P2.1.a", "P2.2.a") // 10 A over 20 mΩ of resistor and contacts
		assert.Contains(t, d.Words, meter.LiveWord, "0.2 V are there: %v", d)
	})
	t.Run("the same, dead", func(t *testing.T) {
		m := rig(t, battery(), resistor(1.2), resistor(0.01))
		require.NoError(t, m.Unplug("P1"))
		d := measure(t, m, bench(t), meter.Ohms, "P2.1.a", "P2.2.a")
		assert.Equal(t, meter.Display{Text: "0.1", Unit: "Ω", Value: 0.1, Valid: true}, d)
	})
}

func TestJumper(t *testing.T) {
	m := rig(t, battery(), lamp(21), resistor(1e8))
	require.NoError(t, m.Unplug("P2"))
	require.NoError(t, m.Settle())
	b := bench(t)
	d := read(t, m, b, meter.Jumper, "P1.2.a", "G")
	assert.Equal(t, meter.Display{Text: "joined"}, d[meter.Jumper])
	assert.Equal(t, "lit", m.EffectOf("C1").Word, "it stands in for the ground that is missing")

	d = read(t, m, b, meter.Jumper, "BAT.30", "G")
	assert.Equal(t, meter.Display{Text: "open", Words: []string{meter.FuseWord}}, d[meter.Jumper], "across the battery")
	assert.True(t, b.Blown(meter.Jumper))
	read(t, m, b, meter.Jumper, "P1.2.a", "G")
	assert.Equal(t, "off", m.EffectOf("C1").Word, "a blown jumper joins nothing")
	require.NoError(t, b.ResetFuse(meter.Jumper))
	read(t, m, b, meter.Jumper, "P1.2.a", "G")
	assert.Equal(t, "lit", m.EffectOf("C1").Word, "with a new fuse it does")
	assert.EqualError(t, b.ResetFuse(meter.TestLamp), "the test lamp has no fuse")
}

// Reading must leave the vehicle as it was: ranges that are tried are no events.
func TestReadingChangesNothing(t *testing.T) {
	m := rig(t, battery(), lamp(55), resistor(0.5))
	b := bench(t)
	for _, f := range meter.Functions() {
		measure(t, m, b, f, "P1.1.a", "P1.2.a")
		before := m.EffectOf("C1")
		again, err := b.Read(m)
		require.NoError(t, err)
		once, err := b.Read(m)
		require.NoError(t, err)
		assert.Equal(t, again, once, "%s: reading twice", f)
		assert.InDelta(t, before.Level, m.EffectOf("C1").Level, 1e-6, "%s: the lamp burns on", f)
	}
}

func TestBenchRefusesWhatIsNotThere(t *testing.T) {
	b, err := meter.NewBench(meter.Kit{Tools: []meter.Tool{meter.Multimeter}, Functions: []meter.Function{meter.Volts}, Volts: 12}, meter.Ideal())
	require.NoError(t, err)
	assert.NoError(t, b.Dial(meter.Volts))
	assert.NoError(t, b.Dial(meter.Off))
	assert.EqualError(t, b.Dial(meter.Ohms), "the meter has no ohms here")
	assert.EqualError(t, b.Place(meter.Jumper, 0, "G"), "there is no fused jumper here")
	assert.EqualError(t, b.Place(meter.Multimeter, 2, "G"), "multimeter: there is no end 2")
}

// A relay that breaks its own coil's supply buzzes: the meter shows the mean.
func TestRestlessCircuitIsAveraged(t *testing.T) {
	m := rig(t, battery(), part{"relay", nil}) // cavities 1 to 5 are 85, 86, 30, 87 and 87a
	require.NoError(t, m.Alter([]harness.Alteration{
		harness.SeriesOhms{Where: "cavity P1.1", Ohms: harness.Broken},
		harness.Bridge{A: "BAT.30", B: "P1.3.b", Ohms: 0.01},
		harness.Bridge{A: "P1.5.b", B: "P1.1.b", Ohms: 0.01},
	}))
	b := bench(t)
	d := measure(t, m, b, meter.Volts, "P1.1.b", "P1.2.b")
	require.NotEmpty(t, m.Restless(), "the relay must not come to rest")
	assert.Greater(t, d.Value, 1.0, "more than nothing: %v", d)
	assert.Less(t, d.Value, 12.0, "less than the supply: %v", d)
	again, err := b.Read(m)
	require.NoError(t, err)
	assert.Equal(t, d, again[meter.Multimeter], "the display stands still")
	assert.Contains(t, measure(t, m, b, meter.Ohms, "P1.1.b", "P1.2.b").Words, meter.LiveWord)
}

// The accuracy that is stated is that of an ordinary handheld (testdata/meter/meter.csv, common practice, no source).
func TestStatedAccuracyIsTheUsualOne(t *testing.T) {
	file, err := os.Open(filepath.Join("..", "..", "testdata", "meter", "meter.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	row := map[string][]string{}
	for _, r := range rows[1:] {
		row[r[0]] = r
	}
	for quantity, want := range map[string]struct {
		f    meter.Function
		unit string
	}{
		"d.c. volts accuracy, ordinary handheld": {meter.Volts, "percent of reading + 2 counts"},
		"ohms accuracy, ordinary handheld":       {meter.Ohms, "percent of reading + 2 counts"},
		"d.c. amps accuracy, 10 A range":         {meter.Amps, "percent of reading + 3 counts"},
	} {
		r := row[quantity]
		require.NotNil(t, r, quantity)
		a := want.f.Accuracy()
		assert.Equal(t, r[1], fmt.Sprint(a.Percent), quantity)
		assert.Equal(t, want.unit, r[3], quantity)
		assert.Equal(t, want.unit, fmt.Sprintf("percent of reading + %g counts", a.Counts), quantity)
	}
	within := func(quantity string, x float64) {
		r := row[quantity]
		require.NotNil(t, r, quantity)
		low, err := strconv.ParseFloat(r[1], 64)
		require.NoError(t, err)
		high, err := strconv.ParseFloat(r[2], 64)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, x, low, quantity)
		assert.LessOrEqual(t, x, high, quantity)
	}
	within("counts, ordinary handheld", meter.MaxCounts+1)
	within("continuity threshold", meter.BeepOhms)
	within("ohms open-circuit voltage", meter.TestVolts)
	within("display updates", 1/meter.Update)
	assert.Equal(t, "10", row["digital voltmeter input resistance"][1], "megohms")
	assert.Equal(t, 10e6, float64(meter.InputOhms))
	assert.GreaterOrEqual(t, float64(meter.ShuntOhms), 0.02, "shunt, leads and fuse: 0.02 to 0.05 ohm, note of row \"10 A range shunt\"")
	assert.LessOrEqual(t, float64(meter.ShuntOhms), 0.05)
}
