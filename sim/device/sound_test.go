package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHornByVoltage(t *testing.T) {
	// The shares of rated voltage are common practice, no source.
	for _, kind := range []string{"horn", "buzzer"} {
		for _, c := range []struct {
			volts float64
			word  string
		}{{0, "silent"}, {4, "silent"}, {6, "weak"}, {8, "weak"}, {9, "sounds"}, {12, "sounds"}, {14.4, "sounds"}, {-12, "sounds"}} {
			d := create(t, kind, nil)
			r := newRig(t, 1).add(d, 1, 0)
			r.branch(1, 0, circuit.Source{EMF: c.volts, Ohms: 1e-6})
			r.compile().settle()
			e := d.Effect(r.solver)
			assert.Equal(t, c.word, e.Word, "%s at %g V", kind, c.volts)
			assert.Equal(t, device.Sound, e.Sense)
			if c.word != "silent" {
				assert.InDelta(t, math.Abs(c.volts)/12, e.Level, 1e-3)
			}
		}
	}
}

func TestHornMeetsItsRatingAndDrawsMoreWhenItsInterrupterSticks(t *testing.T) {
	h := create(t, "horn", map[string]float64{"power": 60}).(*device.Horn)
	r := newRig(t, 1).add(h, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
	r.compile()
	amps := func() float64 { r.settle(); return -r.solver.Current(source) }
	assert.InEpsilon(t, 5, amps(), 1e-4, "60 W at 12 V")
	r.solver.SetEMF(source, 0.2)
	assert.InEpsilon(t, 1.2, 0.2/amps(), 0.01, "at rest an ohmmeter finds the coil: half of 2.4 ohm")
	r.solver.SetEMF(source, 12)
	require.NoError(t, h.Spoil("interrupter-stuck", 0))
	assert.InEpsilon(t, 10, amps(), 1e-4)
	assert.Equal(t, "silent", h.Effect(r.solver).Word)
	require.NoError(t, h.Spoil("coil-open", 0))
	assert.InDelta(t, 0, amps(), 1e-9)
	require.NoError(t, h.Spoil("coil-shorted", 0.1))
	assert.InEpsilon(t, 120, amps(), 1e-4)
	require.NoError(t, h.Spoil("interrupter-open", 1e4))
	assert.InEpsilon(t, 1.2e-3, amps(), 1e-4)
	require.NoError(t, h.Spoil("", 0))
	assert.InEpsilon(t, 5, amps(), 1e-4)
	checkLaw(t, "horn", device.HornLaw(h), 0.01, 60)
}

func TestHeaterWarmsUp(t *testing.T) {
	h := create(t, "heater", map[string]float64{"power": 120}).(*device.Heater)
	r := newRig(t, 1).add(h, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
	r.compile()
	r.solve(device.Moving)
	assert.Equal(t, "cold", h.Effect(r.solver).Word)
	r.march(60, math.Inf(1))
	// One time constant after switching on a first-order body is at 1 - 1/e.
	assert.InDelta(t, 1-1/math.E, h.Effect(r.solver).Level, 1e-5)
	assert.Equal(t, "hot", h.Effect(r.solver).Word)
	r.solver.SetEMF(source, 0)
	r.march(90, math.Inf(1))
	assert.Equal(t, "warm", h.Effect(r.solver).Word)
	r.solver.SetEMF(source, 12)
	r.settle()
	assert.InDelta(t, 1, h.Effect(r.solver).Level, 1e-4)
	assert.InEpsilon(t, 10, -r.solver.Current(source), 1e-4)
	require.NoError(t, h.Spoil("open", 0))
	r.settle()
	assert.Equal(t, "cold", h.Effect(r.solver).Word)
}

// A glow plug whose wire grows threefold: three times its rated current at first, and a current that hardly depends on voltage.
func TestHeaterThatLimitsItself(t *testing.T) {
	h := create(t, "heater", map[string]float64{"power": 120, "rise": 3, "time": 5}).(*device.Heater)
	r := newRig(t, 1).add(h, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-3})
	r.compile()
	r.solve(device.Moving)
	assert.InEpsilon(t, 30, -r.solver.Current(source), 0.01)
	r.march(60, math.Inf(1))
	assert.InEpsilon(t, 10, -r.solver.Current(source), 0.01)
	assert.InDelta(t, 1, h.Effect(r.solver).Level, 0.01)
	r.settle()
	assert.InEpsilon(t, 10, -r.solver.Current(source), 0.005)
	r.solver.SetEMF(source, 14.4)
	r.settle()
	assert.InEpsilon(t, 10.34, -r.solver.Current(source), 0.005, "a fifth more voltage, a few percent more current: h·(1+2h) = 3·1.44")
	for _, rise := range []float64{1, 2, 8} {
		checkLaw(t, "heater", device.HeaterLaw(create(t, "heater", map[string]float64{"power": 120, "rise": rise}).(*device.Heater)), 0.01, 60)
	}
}

// The warming of a wire that grows threefold against ngspice: its node h is the heat, charged by a capacitor of τ farads.
func TestHeaterAgainstNgspice(t *testing.T) {
	deck := `glow plug on a supply with resistance
vb b 0 12.6
rb b m 0.05
bh m 0 i=v(m)/(0.4*(1+2*v(h)))
bp 0 h i=v(m)*v(m)/(0.4*(1+2*v(h)))/120-v(h)
ch h 0 5 ic=0
.options reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=15
set wr_singlescale
tran 100m 20 0 2m uic
linearize v(h) v(m)
wrdata out v(h) v(m)
quit 0
.endc
.end
`
	h := create(t, "heater", map[string]float64{"power": 120, "rise": 3, "time": 5}).(*device.Heater)
	r := newRig(t, 1).add(h, 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.05})
	r.compile()
	for _, row := range spice(t, "heater", deck) {
		r.march(max(0, row[0]-r.past), 0.005)
		if row[0] < 0.05 {
			continue
		}
		assert.InDelta(t, row[1], h.State()[0], 1e-3, "heat after %g s", row[0])
		assert.InDelta(t, row[2], r.volts(1), 0.005, "volts after %g s", row[0])
	}
}
