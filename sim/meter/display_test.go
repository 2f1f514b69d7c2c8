package meter_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"faultloom/sim/meter"
)

func TestDisplayIsQuantised(t *testing.T) {
	tests := []struct {
		name string
		f    meter.Function
		v    float64
		text string
		unit string
		back float64
	}{
		{"zero volts", meter.Volts, 0, "0.0", "mV", 0},
		{"minus nothing", meter.Volts, -1e-9, "0.0", "mV", 0},
		{"joint drop", meter.Volts, 0.02344, "23.4", "mV", 0.0234},
		{"top of the lowest range", meter.Volts, 0.59994, "599.9", "mV", 0.5999},
		{"one count over it", meter.Volts, 0.59996, "0.600", "V", 0.6},
		{"supply", meter.Volts, 12.6543, "12.65", "V", 12.65},
		{"supply, leads crossed", meter.Volts, -12.6543, "-12.65", "V", -12.65},
		{"a hundred volts", meter.Volts, 100.06, "100.1", "V", 100.1},
		{"beyond all ranges", meter.Volts, 600, "OL", "V", 0},
		{"not a number", meter.Volts, math.NaN(), "OL", "V", 0},
		{"drop over a fuse", meter.Millivolts, 0.001234, "1.23", "mV", 0.00123},
		{"drop along a wire", meter.Millivolts, 0.12344, "123.4", "mV", 0.1234},
		{"too much for millivolts", meter.Millivolts, 0.6, "OL", "mV", 0},
		{"silicon junction", meter.Diode, 0.5764, "0.576", "V", 0.576},
		{"end of the diode test", meter.Diode, 2.5, "2.500", "V", 2.5},
		{"open in the diode test", meter.Diode, 2.9, "OL", "V", 0},
		{"flasher", meter.Hertz, 1.4167, "1.42", "Hz", 1.42},
		{"pulse width", meter.Hertz, 200.04, "200.0", "Hz", 200},
		{"wheel sensor", meter.Hertz, 1234.4, "1.234", "kHz", 1234},
		{"duty", meter.Duty, 33.33, "33.3", "%", 33.3},
		{"good joint", meter.Ohms, 0.104, "0.1", "Ω", 0.1},
		{"coil", meter.Ohms, 85.13, "85.1", "Ω", 85.1},
		{"kilohms", meter.Ohms, 1234.4, "1.234", "kΩ", 1234},
		{"tens of kilohms", meter.Ohms, 12344, "12.34", "kΩ", 12340},
		{"hundreds of kilohms", meter.Ohms, 123449, "123.4", "kΩ", 123400},
		{"megohms", meter.Ohms, 1.2344e6, "1.234", "MΩ", 1.234e6},
		{"tens of megohms", meter.Ohms, 12.344e6, "12.34", "MΩ", 12.34e6},
		{"open", meter.Ohms, 1e12, "OL", "MΩ", 0},
		{"infinite", meter.Ohms, math.Inf(1), "OL", "MΩ", 0},
		{"continuity has one range", meter.Continuity, 600, "OL", "Ω", 0},
		{"amps", meter.Amps, 4.5678, "4.568", "A", 4.568},
		{"more amps", meter.Amps, 9.876, "9.88", "A", 9.88},
		{"too many amps", meter.Amps, 20.1, "OL", "A", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := meter.Show(tt.f, tt.v)
			assert.Equal(t, tt.text, d.Text, "text")
			assert.Equal(t, tt.unit, d.Unit, "unit")
			assert.Equal(t, tt.text != meter.Overload, d.Valid, "valid")
			assert.Equal(t, tt.back, d.Value, "value must be the very decimal that is shown")
			assert.False(t, math.Signbit(d.Value) && d.Value == 0, "no negative zero")
		})
	}
}

func TestRangesCoverWithoutGaps(t *testing.T) {
	for _, f := range meter.Functions() {
		ranges := f.Accuracy().Ranges
		for i, r := range ranges {
			assert.LessOrEqual(t, r.Counts, meter.MaxCounts, "%s range %d", f, i)
			assert.InEpsilon(t, float64(r.Counts)*r.Step(), r.Full(), 1e-12, "%s range %d: full scale", f, i)
			if i > 0 {
				assert.Greater(t, r.Full(), ranges[i-1].Full(), "%s: ranges must rise", f)
			}
			if f == meter.Ohms {
				assert.LessOrEqual(t, r.EMF/r.Ohms, 1e-3, "test current: 1 mA at most")
			}
		}
	}
}

func TestTolerance(t *testing.T) {
	tests := []struct {
		name string
		f    meter.Function
		v    float64
		want float64
	}{
		// 0.5 % of 12 V is 0.06 V, two counts of 10 mV are 0.02 V.
		{"12 V", meter.Volts, 12, 0.08},
		{"12 V, leads crossed", meter.Volts, -12, 0.08},
		// 0.5 % of 0.1 V is 0.5 mV, two counts of 0.1 mV are 0.2 mV.
		{"100 mV", meter.Volts, 0.1, 0.0007},
		// 0.8 % of 5 Ω is 0.04 Ω, two counts of 0.1 Ω are 0.2 Ω.
		{"5 ohm", meter.Ohms, 5, 0.24},
		// 1.5 % of 4 A is 0.06 A, three counts of 1 mA are 3 mA.
		{"4 A", meter.Amps, 4, 0.063},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { assert.InDelta(t, tt.want, tt.f.Tolerance(tt.v), 1e-12) })
	}
	assert.True(t, math.IsInf(meter.Volts.Tolerance(700), 1), "nothing is stated beyond the ranges")
	assert.True(t, math.IsInf(meter.Off.Tolerance(0), 1), "off shows nothing")
}

func TestNamesAreChecked(t *testing.T) {
	for _, f := range meter.Functions() {
		got, err := meter.ParseFunction(string(f))
		assert.NoError(t, err)
		assert.Equal(t, f, got)
	}
	_, err := meter.ParseFunction("farads")
	assert.EqualError(t, err, `meter function "farads": must be one of off, volts, millivolts, ohms, continuity, diode, amps, hertz, duty`)
	_, err = meter.ParseTool("spanner")
	assert.EqualError(t, err, `tool "spanner": must be one of multimeter, test-lamp, jumper, clamp, logic-probe, load, trace, reader`)
	_, err = meter.NewBench(meter.Kit{Tools: []meter.Tool{"spanner"}, Volts: 12}, meter.Ideal())
	assert.ErrorContains(t, err, "spanner")
	_, err = meter.NewBench(meter.Kit{Functions: []meter.Function{"farads"}, Volts: 12}, meter.Ideal())
	assert.ErrorContains(t, err, "farads")
}

func TestCalibrationStaysWithinItsShare(t *testing.T) {
	seen := map[float64]bool{}
	for seed := range uint64(200) {
		c := meter.NewCalibration(seed)
		for _, f := range meter.Functions()[1:] {
			for _, v := range []float64{0, 0.1, 3.7, 12.6, 30, 470, 8200, 1e6} {
				if _, ok := f.RangeOf(v); !ok {
					continue
				}
				// A calibration error uses 0.4 of the stated accuracy at most, by design.
				assert.LessOrEqual(t, math.Abs(meter.Apply(c, f, v)-v), 0.4*f.Tolerance(v)*(1+1e-9), "%s of %v, seed %d", f, v, seed)
			}
			zero := meter.Apply(c, f, 0)
			i, _ := f.RangeOf(0)
			assert.Less(t, math.Abs(zero), f.Accuracy().Ranges[i].Step()/2, "nothing must read as nothing")
		}
		seen[meter.Apply(c, meter.Volts, 12)] = true
		assert.Equal(t, meter.Apply(c, meter.Volts, 12), meter.Apply(meter.NewCalibration(seed), meter.Volts, 12), "the same seed is the same meter")
	}
	assert.Len(t, seen, 200, "different seeds are different meters")
}
