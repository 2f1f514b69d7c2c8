package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ceramic(t testing.TB) *device.PTCHeater {
	return create(t, "ptc-heater", map[string]float64{"power": 144}).(*device.PTCHeater)
}

// 144 W at 12 V are 12 A warm and 36 A cold, three times that.
func TestPTCHeaterLimitsItself(t *testing.T) {
	h := ceramic(t)
	r, source := fed(t, h, 12, 1e-6)
	r.solve(device.Moving)
	assert.InEpsilon(t, 36, -r.solver.Current(source), 1e-3, "cold")
	r.settle()
	assert.InEpsilon(t, 12, -r.solver.Current(source), 1e-4, "warm")
	assert.InDelta(t, 120+math.Log(2)/0.15, h.Celsius(), 1e-3)
	assert.Equal(t, "hot", h.Effect(r.solver).Word)
	for _, volts := range []float64{9, 12, 15, 24} {
		r.solver.SetEMF(source, volts)
		r.settle()
		watts := -volts * r.solver.Current(source)
		assert.InDelta(t, 144, watts, 0.12*144, "nearly the same heat at %g V", volts)
		// The balance that was asked for, by its own terms: power = G·(T - 20), resistance by its temperature.
		give := 144 / (120 + math.Log(2)/0.15 - 20)
		assert.InEpsilon(t, give*(h.Celsius()-20), watts, 1e-5, "less what the supply drops")
		assert.InEpsilon(t, 1.0/3*(1+math.Exp(0.15*(h.Celsius()-120))), volts/-r.solver.Current(source), 1e-5)
	}
	r.solver.SetEMF(source, 1)
	r.settle()
	assert.InEpsilon(t, 3, -r.solver.Current(source), 0.02, "too little to reach its switch point: a plain resistor")
	assert.Equal(t, "cold", h.Effect(r.solver).Word)
}

// With resistance in the circuit there are two balances; coming from cold it stays at the cooler one, coming from hot at the other.
func TestPTCHeaterRemembers(t *testing.T) {
	h := ceramic(t)
	r, source := fed(t, h, 12, 1.5)
	r.settle()
	cool := h.Celsius()
	assert.Less(t, cool, 110.0)
	r.solver.SetOhms(source, 1e-3)
	r.settle()
	require.Greater(t, h.Celsius(), 115.0)
	r.solver.SetOhms(source, 1.5)
	r.settle()
	warm := h.Celsius()
	r.march(1000, math.Inf(1))
	assert.InDelta(t, warm, h.Celsius(), 0.05, "in time as at once")
	r.solver.SetEMF(source, 0)
	r.march(1000, math.Inf(1))
	r.solver.SetEMF(source, 12)
	r.march(1000, math.Inf(1))
	assert.InDelta(t, cool, h.Celsius(), 0.05)
}

func TestPTCHeaterDefects(t *testing.T) {
	for _, c := range []struct {
		defect      string
		severity    float64
		least, most float64
		word        string
	}{{"", 0, 11.9, 12.1, "hot"}, {"open", 0, 0, 1e-9, "cold"}, {"weak", 25, 2.9, 3.1, "warm"}, {"shorted", 0.05, 200, 240, "cold"}} {
		h := ceramic(t)
		require.NoError(t, h.Spoil(c.defect, c.severity))
		r, source := fed(t, h, 12, 1e-4)
		r.settle()
		amps := -r.solver.Current(source)
		assert.True(t, amps >= c.least && amps <= c.most, "%s: %g A", c.defect, amps)
		assert.Equal(t, c.word, h.Effect(r.solver).Word, c.defect)
		r.march(500, math.Inf(1))
		assert.Equal(t, c.word, h.Effect(r.solver).Word, c.defect)
	}
}

// Warming up on a supply with resistance and cooling down, against ngspice with the same two equations: its node t is the temperature,
// charged by a capacitor of G·τ.
func TestPTCHeaterAgainstNgspice(t *testing.T) {
	// 144 W at 12 V, inrush 3, 120 °C, 15 s: cold 0.3333 ohm, G = 144/(100 + ln(2)/0.15) = 1.376404 W/K, G·τ = 20.64606 J/K.
	deck := `ceramic heater: on at 0 s, off at 60 s
vb b 0 12.6
s1 b h ctl 0 contact
vctl ctl 0 pulse(1 0 60 1m 1m 1000 2000)
.model contact sw(vt=0.5 vh=0.1 ron=0.1 roff=1e6)
bh h 0 i=v(h)/(0.333333333333*(1+exp(0.15*(v(t)-120))))
bt 0 t i=v(h)*v(h)/(0.333333333333*(1+exp(0.15*(v(t)-120))))-1.376404*(v(t)-20)
ct t 0 20.64606 ic=20
.options reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=15
set wr_singlescale
tran 0.5 120 0 10m uic
linearize v(t) v(h)
wrdata out v(t) v(h)
quit 0
.endc
.end
`
	answer := spice(t, "ptcheater", deck)
	h := ceramic(t)
	r := newRig(t, 1).add(h, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.1})
	r.compile()
	worstKelvin, worstVolts := 0.0, 0.0
	for _, row := range answer {
		at := row[0]
		if at > 60 && r.past <= 60 {
			r.march(60-r.past, math.Inf(1))
			r.solver.SetOhms(source, 1e6)
		}
		r.march(max(0, at-r.past), 0.01)
		if math.Abs(at-60) < 0.1 {
			continue
		}
		r.solve(device.Moving)
		worstKelvin = max(worstKelvin, math.Abs(h.Celsius()-row[1]))
		worstVolts = max(worstVolts, math.Abs(r.volts(1)-row[2]))
	}
	t.Logf("%d points, at most %.2g K and %.2g V apart", len(answer), worstKelvin, worstVolts)
	assert.Less(t, worstKelvin, 0.1)
	assert.Less(t, worstVolts, 0.01)
}
