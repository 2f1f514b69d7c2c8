package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chargeRig has a battery at node 1, the alternator's 51 there too, its charge lamp from node 1 through a key to 61 at node 2.
// Positions: engine at rest, 800, 1600 and 2400 rpm.
func chargeRig(t testing.TB) (r *rig, a *device.Alternator, lampOf *device.Lamp, load circuit.ID) {
	d, err := device.New(device.Spec{Kind: "alternator", Positions: places(4)})
	require.NoError(t, err)
	a, lampOf = d.(*device.Alternator), lamp(t, 12, 1.2)
	r = newRig(t, 2).add(battery(t, map[string]float64{"charge": 95}), 1, 0).add(a, 1, 2, 0).add(lampOf, 1, 2)
	load = r.branch(1, 0, circuit.Resistor{Ohms: math.Inf(1)})
	return r.compile(), a, lampOf, load
}

// 13.8 to 14.4 V: testdata/device/lead_acid.csv, charging_V, "common practice, no source".
func TestAlternatorHoldsItsVoltage(t *testing.T) {
	var low, high float64
	for _, row := range table(t, "lead_acid.csv") {
		if row["quantity"] == "charging_V" && row["type"] == "12 V vehicle" {
			low, high = number(t, row["value"]), number(t, row["value_high"])
		}
	}
	require.Positive(t, low)
	r, a, lampOf, load := chargeRig(t)
	r.settle()
	assert.Less(t, r.volts(1), 12.7)
	assert.Equal(t, "lit", lampOf.Effect(r.solver).Word, "at rest the charge lamp lights")
	for i := 1; i < 4; i++ {
		a.Set(i)
		for _, ohms := range []float64{math.Inf(1), 1, 0.5} { // up to 28 A
			r.solver.SetOhms(load, ohms)
			r.settle()
			if i > 1 || ohms > 0.5 {
				assert.True(t, r.volts(1) >= low && r.volts(1) <= high, "position %d, %g ohm: %g V", i, ohms, r.volts(1))
			}
			assert.Equal(t, "off", lampOf.Effect(r.solver).Word, "charging, the lamp is out")
		}
	}
	a.Set(0)
	r.settle()
	assert.Equal(t, "lit", lampOf.Effect(r.solver).Word)
	assert.Less(t, r.volts(1), 12.7)
}

// What it can deliver by speed: I∞·√(1-(1400/n)²) through 70 A at 6000 rpm. More than that and the battery helps out.
func TestAlternatorIsLimitedBySpeed(t *testing.T) {
	r, a, _, load := chargeRig(t)
	for i, n := range []float64{0, 2000, 4000, 6000} {
		a.Set(i)
		r.solver.SetOhms(load, 0.08) // 150 A
		r.settle()
		want := 0.0
		if n > 0 {
			want = 70 * math.Sqrt(1-math.Pow(1400/n, 2)) / math.Sqrt(1-math.Pow(1400/6000.0, 2))
		}
		current := r.volts(1)/0.08 - r.devices[0].(*device.Battery).Amps(r.solver)
		assert.InDelta(t, want, current, 0.02*want+4, "at %g rpm; its field takes 3 A of it", n)
		assert.Less(t, r.volts(1), 12.3, "the battery sags")
	}
}

func TestAlternatorNeedsItsLampToBegin(t *testing.T) {
	r, a, lampOf, _ := chargeRig(t)
	require.NoError(t, lampOf.Spoil("filament-open", 0))
	a.Set(1)
	r.settle()
	assert.Less(t, r.volts(1), 12.7, "no lamp, no excitation")
	a.Set(3)
	r.settle()
	assert.Greater(t, r.volts(1), 13.8, "but at high speed it excites itself")
	a.Set(1)
	r.settle()
	assert.Greater(t, r.volts(1), 13.5, "and goes on")
	assert.NotEmpty(t, a.State())
	r.march(5, math.Inf(1))
	assert.True(t, a.Charging())
}

func TestAlternatorDefects(t *testing.T) {
	for _, c := range []struct {
		defect      string
		severity    float64
		least, most float64 // volts at 1600 rpm with 20 A drawn
		rest, run   string  // charge lamp
	}{
		{"", 0, 13.8, 14.4, "lit", "off"}, {"field-open", 0, 11, 12.6, "off", "off"}, {"regulator-open", 0, 11, 12.6, "lit", "lit"},
		{"regulator-high", 2.5, 16.3, 17, "lit", "off"}, {"regulator-low", 1.2, 12.6, 13.2, "lit", "off"}, {"belt-slips", 20, 11, 12.6, "lit", "lit"},
		{"diode-open", 0, 13.5, 14.4, "lit", "off"}, {"rectifier-leaks", 10, 13.8, 14.4, "lit", "off"},
	} {
		r, a, lampOf, load := chargeRig(t)
		require.NoError(t, a.Spoil(c.defect, c.severity))
		r.settle()
		assert.Equal(t, c.rest, lampOf.Effect(r.solver).Word, "%s at rest", c.defect)
		if c.defect == "rectifier-leaks" {
			assert.Greater(t, r.devices[0].(*device.Battery).Amps(r.solver), 1.2, "drains the battery")
		}
		a.Set(2)
		r.solver.SetOhms(load, 0.7)
		r.settle()
		assert.True(t, r.volts(1) >= c.least && r.volts(1) <= c.most, "%s: %g V", c.defect, r.volts(1))
		assert.Equal(t, c.run, lampOf.Effect(r.solver).Word, "%s running", c.defect)
	}
}
