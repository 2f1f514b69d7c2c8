package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func diode(t testing.TB, values map[string]float64) *device.Diode {
	return create(t, "diode", values).(*device.Diode)
}

// The law must satisfy Shockley's equation with series resistance, put back into it, and have the slope it says.
func TestDiodeSatisfiesItsEquation(t *testing.T) {
	for _, values := range []map[string]float64{nil, {"amps": 35, "drop": 1.1}, {"amps": 0.02, "drop": 0.3}, {"amps": 0.001, "drop": 3}} {
		law, saturation, n, series := device.DiodeLaw(diode(t, values))
		// kT/q at 25 °C from the constants of the SI.
		vt := 1.380649e-23 * 298.15 / 1.602176634e-19
		last := math.Inf(-1)
		for v := -20.0; v < 20; v += 0.0137 {
			i, g := law.At(v)
			residue := saturation*math.Expm1((v-i*series)/(n*vt)) - i
			// An error of the junction voltage by 1e-13 V is what rounding of v leaves.
			assert.InDelta(t, 0, residue/(saturation+math.Abs(i)), 1e-11, "%g V", v)
			if !assert.GreaterOrEqual(t, i, last, "%g V: rises", v) {
				return
			}
			last = i
			if v > -5*n*vt { // below, i and saturation cancel to the last digit
				assert.InEpsilon(t, 1/(series+n*vt/(i+saturation)), g, 1e-9, "%g V: slope", v)
			}
		}
		v, amps := 0.9, 1.0
		if values != nil {
			v, amps = values["drop"], values["amps"]
		}
		i, _ := law.At(v)
		assert.InEpsilon(t, amps, i, 1e-9, "passes its rated current at its drop")
	}
}

func TestDiodeConductsOneWay(t *testing.T) {
	d := diode(t, nil)
	r := newRig(t, 1).add(d, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 11.1})
	r.compile()
	r.settle()
	assert.InDelta(t, 0.9, r.volts(1), 0.001, "0.9 V at 1 A")
	r.solver.SetEMF(source, -12)
	r.settle()
	assert.InDelta(t, -12, r.volts(1), 1e-4, "blocks")
	for _, c := range []struct {
		defect   string
		severity float64
		ahead    float64
		back     float64
	}{{"open", 0, 12, -12}, {"shorted", 0.1, 0.107, -0.107}, {"leaky", 100, 0.9, -10.8}, {"", 0, 0.9, -12}} {
		require.NoError(t, d.Spoil(c.defect, c.severity))
		r.solver.SetEMF(source, 12)
		r.settle()
		assert.InDelta(t, c.ahead, r.volts(1), 0.01, "%s, ahead", c.defect)
		r.solver.SetEMF(source, -12)
		r.settle()
		assert.InDelta(t, c.back, r.volts(1), 0.01, "%s, back", c.defect)
	}
}

// Two diodes facing each other, strings, and a cold start from any voltage must be found in a few rounds.
func TestDiodesConverge(t *testing.T) {
	most := 0
	for _, emf := range []float64{-24, -12.6, -0.5, 0, 0.3, 0.7, 12.6, 24, 200} {
		for _, ohms := range []float64{1e-3, 0.1, 10, 1e4, 1e7} {
			r := newRig(t, 4).add(diode(t, nil), 1, 2).add(diode(t, nil), 2, 3).add(diode(t, map[string]float64{"amps": 20}), 4, 3)
			r.branch(1, 0, circuit.Source{EMF: emf, Ohms: ohms})
			r.branch(4, 0, circuit.Resistor{Ohms: 100})
			r.branch(3, 0, circuit.Resistor{Ohms: ohms})
			r.compile()
			r.settle()
			most = max(most, r.solver.Iterations())
			assert.LessOrEqual(t, r.solver.Iterations(), 20, "%g V through %g ohm", emf, ohms)
		}
	}
	t.Logf("%d rounds at most", most)
}

func BenchmarkDiodeLaw(b *testing.B) {
	law, _, _, _ := device.DiodeLaw(diode(b, nil))
	v, sum := 0.0, 0.0
	for b.Loop() {
		i, g := law.At(v)
		sum += i + g
		if v += 0.013; v > 1 {
			v = -1
		}
	}
	_ = sum
}
