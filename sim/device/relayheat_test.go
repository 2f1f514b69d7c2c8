package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// warmRelay is a relay of 100 Ω whose coil warms up by 50 K at 12 V, on a source.
func warmRelay(t *testing.T, celsius, emf float64) (*rig, *device.Relay, circuit.ID) {
	k := relay(t, map[string]float64{"warming": 50})
	k.Surround(celsius)
	r := newRig(t, 1).add(k, 0, 1, 0, 0, 0)
	source := r.branch(1, 0, circuit.Source{EMF: emf, Ohms: 0.05})
	return r.compile(), k, source
}

// The resistance of a coil at -40 and 85 °C over that at 20 °C, as data sheets draw it (testdata/device/relay.csv, rows "coil resistance at …").
func TestRelayCoilByTemperature(t *testing.T) {
	ohms := func(celsius float64) float64 {
		r, _, source := warmRelay(t, celsius, 0.01)
		r.settle()
		return 0.01/-r.solver.Current(source) - 0.05
	}
	for celsius, quantity := range map[float64]string{-40: "coil resistance at -40 C over 20 C", 85: "coil resistance at 85 C over 20 C"} {
		want := number(t, published(t, quantity, 12)["value"])
		// 2 %: a figure of two digits, read off a curve.
		assert.InEpsilon(t, want, ohms(celsius)/ohms(20), 0.02, quantity)
	}
	assert.InEpsilon(t, 100, ohms(20), 1e-6)
}

// Warming up for 20 minutes and cooling down again against ngspice with the same equations: its node h is the heat, charged by a capacitor
// of τ farads.
func TestRelayWarmsUpAgainstNgspice(t *testing.T) {
	deck := `relay coil that warms up: 13.5 V at 0 s, off at 1200 s, 30 C around it
vb b 0 13.5
s1 b k ctl 0 contact
vctl ctl 0 pulse(1 0 1200 1m 1m 10000 20000)
.model contact sw(vt=0.5 vh=0.1 ron=0.05 roff=1e9)
bw k 0 i=v(k)/(100*(1+0.00393*(10+50*v(h))))
bh 0 h i=v(k)*v(k)/(100*(1+0.00393*(10+50*v(h))))/(144/100/(1+0.00393*50))-v(h)
ch h 0 240 ic=0
.options reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=8
set wr_singlescale
tran 10 2400 0 0.1 uic
linearize v(h) i(vb)
wrdata out v(h) i(vb)
quit 0
.endc
.end
`
	answer := spice(t, "relay-warm", deck)
	r, k, source := warmRelay(t, 30, 13.5)
	worstKelvin, worstAmps := 0.0, 0.0
	for _, row := range answer {
		at := row[0]
		if at > 1200 && r.past <= 1200 {
			r.march(1200-r.past, 0.5)
			r.solver.SetOhms(source, 1e9)
		}
		r.march(max(0, at-r.past), 0.5)
		if at == 0 || math.Abs(at-1200) < 5 {
			continue
		}
		r.solve(device.Moving)
		worstKelvin = max(worstKelvin, math.Abs(k.CoilCelsius()-(30+50*row[1])))
		worstAmps = max(worstAmps, math.Abs(r.solver.Current(source)-row[2]))
	}
	t.Logf("%d points, at most %.2g K and %.2g A apart", len(answer), worstKelvin, worstAmps)
	assert.Less(t, worstKelvin, 0.1, "of 50 K")
	assert.Less(t, worstAmps, 2e-4, "of 0.135 A: the current follows when it is a thousandth off")
}

// A hot relay needs more volts to pull in and lets go sooner, in proportion to its resistance; what it does at once is what it does in time.
func TestHotRelayNeedsMore(t *testing.T) {
	pullIn := func(celsius float64) float64 {
		r, k, source := warmRelay(t, celsius, 0)
		for v := 4.0; v < 12; v += 0.01 {
			r.solver.SetEMF(source, v)
			k.SetState([]float64{0, 0, 0, 0, 0})
			r.settle()
			if k.PulledIn() {
				return v
			}
		}
		return math.NaN()
	}
	assert.InDelta(t, 0.55*12, pullIn(20), 0.02)
	assert.InDelta(t, 0.55*12*(1+0.00393*65), pullIn(85), 0.02, "copper's resistance at 85 °C over that at 20 °C")

	// One that has been on for half an hour at 14 V, loses its supply for a moment and gets 7 V back, stays out; a cold one pulls in.
	r, k, source := warmRelay(t, 20, 14)
	r.march(1800, 100)
	require.True(t, k.PulledIn())
	warm := k.CoilCelsius()
	r.settle()
	assert.InDelta(t, warm, k.CoilCelsius(), 0.5, "at once as in time")
	r.solver.SetEMF(source, 0)
	r.march(0.1, math.Inf(1))
	require.False(t, k.PulledIn())
	r.solver.SetEMF(source, 7)
	r.march(0.1, math.Inf(1))
	assert.False(t, k.PulledIn(), "hot, at 7 V")
	r.settle()
	assert.False(t, k.PulledIn(), "hot, at 7 V, at once")
	r.march(3000, 100)
	assert.True(t, k.PulledIn() == (7 >= 0.55*12*(1+0.00393*(k.CoilCelsius()-20))), "when it has cooled down, by its temperature")

	cold, c, _ := warmRelay(t, 20, 7)
	cold.march(0.1, math.Inf(1))
	assert.True(t, c.PulledIn(), "cold, at 7 V")
}
