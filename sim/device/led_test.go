package device_test

import (
	"fmt"
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLedByVoltage(t *testing.T) {
	l := create(t, "led", nil).(*device.Led)
	r := newRig(t, 1).add(l, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
	r.compile()
	for _, c := range []struct {
		volts, amps float64
		word        string
	}{{12, 0.02, "lit"}, {0, 0, "off"}, {-12, 0, "off"}, {1.2, 0, "off"}, {1.75, 7.5e-5, "faint"}, {4, 0.0041, "dim"}, {8, 0.012, "lit"}, {26, 0.048, "over-bright"}} {
		r.solver.SetEMF(source, c.volts)
		r.settle()
		assert.InDelta(t, c.amps, -r.solver.Current(source), 0.02*c.amps+2e-5, "%g V", c.volts)
		assert.Equal(t, c.word, l.Effect(r.solver).Word, "%g V", c.volts)
	}
	require.NoError(t, l.Spoil("reversed", 0))
	r.solver.SetEMF(source, 12)
	r.settle()
	assert.Equal(t, "off", l.Effect(r.solver).Word)
	r.solver.SetEMF(source, -12)
	r.settle()
	assert.Equal(t, "lit", l.Effect(r.solver).Word)
	require.NoError(t, l.Spoil("shorted", 10))
	r.settle()
	assert.InEpsilon(t, 1.2, r.solver.Current(source), 0.01)
}

// A moist connector of 100 kΩ lets an LED glow where a lamp stays dark: current through both from 12 V.
func TestLedGlowsOnALeak(t *testing.T) {
	r := newRig(t, 1).add(create(t, "led", nil), 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e5})
	r.compile().settle()
	assert.Equal(t, "faint", r.devices[0].Effect(r.solver).Word)
	r = newRig(t, 1).add(lamp(t, 12, 5), 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e5})
	r.compile().settle()
	assert.Equal(t, "off", r.devices[0].Effect(r.solver).Word)
}

// The clamp against ngspice's diode with breakdown: a resistor and a supply swept from -60 to 60 V. The two breakdown models differ
// in how they are written, not in their curve above a microampere.
func TestSuppressorAgainstNgspice(t *testing.T) {
	d := create(t, "suppressor", nil).(*device.Suppressor)
	j, volts := device.SuppressorLaw(d)
	deck := fmt.Sprintf(`suppression diode through 47 ohm
vin in 0 0
r1 in d 47
rleak d 0 1e8
d1 d 0 junction
d2 0 m junction
vclamp d m dc -%.12g
.model junction d (is=%.12g n=%.12g rs=%.12g)
.options temp=25 tnom=25 reltol=1e-10 abstol=1e-18 vntol=1e-12 gmin=1e-18 itl1=1000 itl2=1000
.control
set numdgt=15
set wr_singlescale
dc vin -60 60 1
wrdata out v(d)
quit 0
.endc
.end
`, volts, j.Saturation, j.Emission, j.Series)
	r := newRig(t, 1).add(d, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 0, Ohms: 47})
	r.compile()
	for _, row := range spice(t, "suppressor", deck) {
		r.solver.SetEMF(source, row[0])
		r.settle()
		assert.InDelta(t, row[1], r.volts(1), 2e-6, "%g V", row[0])
	}
	r.solver.SetEMF(source, -27-47*0.01)
	r.settle()
	assert.InDelta(t, -27, r.volts(1), 0.001, "10 mA at its clamping voltage")
}

func TestSuppressorConverges(t *testing.T) {
	most := 0
	for _, emf := range []float64{-200, -60, -27, -26, -1, 0, 0.5, 1, 12, 200} {
		for _, ohms := range []float64{0.01, 1, 1e3, 1e6} {
			r := newRig(t, 1).add(create(t, "suppressor", nil), 1, 0)
			r.branch(1, 0, circuit.Source{EMF: emf, Ohms: ohms})
			r.compile().settle()
			most = max(most, r.solver.Iterations())
			assert.False(t, math.IsNaN(r.volts(1)))
		}
	}
	assert.LessOrEqual(t, most, mostIterations)
}
