package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A 24 V relay where a 12 V one belongs: its coil takes about what the data sheet of such a relay says (testdata/device/relay.csv, four
// times instead of 3.2 times the ohms of the 12 V relay of the same sheet), and it does not pull in on a battery of 12.6 V. The other way
// round it pulls in far too early, and takes twice the current.
func TestRelayOfAnotherVoltage(t *testing.T) {
	ohms := func(volts float64) float64 { return number(t, published(t, "coil resistance", volts)["value"]) }
	for _, c := range []struct {
		name           string
		volts, coil    float64
		put            float64
		wants, battery float64 // ohms, V
		in             bool
	}{
		{"24 V relay in a 12 V socket", 12, ohms(12), 24, ohms(24), 12.6, false},
		{"12 V relay in a 24 V socket", 24, ohms(24), 12, ohms(12), 25.2, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := relay(t, map[string]float64{"volts": c.volts, "coil": c.coil})
			g, coil := relayRig(t, k, 0)
			right := bound(k, g, coil, 0, 2*c.volts)
			g.solver.SetEMF(coil, 0)
			g.settle()
			require.NoError(t, k.Spoil("wrong-relay", 0))
			wrong := bound(k, g, coil, 0, 60)
			assert.InDelta(t, right*c.put/c.volts, wrong, 0.02, "it pulls in in proportion to its voltage")
			g.solver.SetEMF(coil, 0)
			g.settle()
			g.solver.SetEMF(coil, c.battery)
			g.settle()
			assert.Equal(t, c.in, k.PulledIn(), "on %g V", c.battery)
			assert.InEpsilon(t, c.wants, -c.battery/g.solver.Current(coil), 0.26, "coil resistance of the relay that was fitted")
			require.NoError(t, k.Spoil("", 0))
			g.settle()
			assert.True(t, k.PulledIn(), "the right one")
			assert.InEpsilon(t, c.coil, -c.battery/g.solver.Current(coil), 0.001)
		})
	}
	assert.ErrorContains(t, relay(t, nil).Spoil("wrong-relay", 12), "from 24 to 24 V", "the right one is no defect")
}

// In time it does as in steady state: what is across the coil, its losses and its resistor belong to the relay that was fitted.
func TestRelayOfAnotherVoltageInTime(t *testing.T) {
	k := relay(t, map[string]float64{"resistor": 680})
	g, coil := relayRig(t, k, 0)
	require.NoError(t, k.Spoil("wrong-relay", 24))
	g.settle()
	g.solver.SetEMF(coil, 24)
	events := g.march(0.2, math.Inf(1))
	require.NotEmpty(t, events)
	assert.Equal(t, "click-in", events[0].what)
	g.solve(device.Moving)
	// 400 Ω and 2720 Ω, of which the sheets of 24 V relays with a resistor have about 2.7 kΩ (common practice, no source).
	assert.InEpsilon(t, 1/(1/400.0+1/2720.0), -24/g.solver.Current(coil), 0.002)
}

// Another value shows as Ohm's law says.
func TestResistorAndThermistorOfAnotherValue(t *testing.T) {
	d := create(t, "resistor", map[string]float64{"resistance": 120})
	r := newRig(t, 1).add(d, 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 120})
	r.compile().settle()
	assert.InDelta(t, 2.5, r.volts(1), 1e-6)
	require.NoError(t, d.(device.Defective).Spoil("wrong-value", 60))
	r.settle()
	assert.InDelta(t, 5.0/3, r.volts(1), 1e-6)
	assert.ErrorContains(t, d.(device.Defective).Spoil("wrong-value", 119), "from 1.2 to 90 ohm")

	s, err := device.New(device.Spec{Kind: "thermistor", Positions: places(3), Values: map[string]float64{"low": 0, "high": 100}})
	require.NoError(t, err)
	r = newRig(t, 1).add(s, 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 10000})
	r.compile()
	require.NoError(t, s.(device.Defective).Spoil("wrong-sensor", 2000))
	// A fifth of the resistance that the table of testdata/device/thermistor.csv has at 0 and 100 °C.
	for position, ohms := range map[int]float64{0: 27280.0 / 5, 2: 973.1 / 5} {
		s.(device.Controlled).Set(position)
		r.settle()
		assert.InDelta(t, 5*ohms/(10000+ohms), r.volts(1), 1e-4, "position %d", position)
	}
}
