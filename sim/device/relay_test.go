package device_test

import (
	"math"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func relay(t testing.TB, values map[string]float64) *device.Relay {
	return create(t, "relay", values).(*device.Relay)
}

// relayRig has a relay with its coil from node 1 (86) to ground, and its contact's 30 on 12 V at node 2; 87 is node 3, 87a node 4,
// both with 1 kΩ to ground.
func relayRig(t testing.TB, r *device.Relay, volts float64) (*rig, circuit.ID) {
	g := newRig(t, 4).add(r, 0, 1, 2, 3, 4)
	coil := g.branch(1, 0, circuit.Source{EMF: volts, Ohms: 0.01})
	g.branch(2, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	g.branch(3, 0, circuit.Resistor{Ohms: 1000})
	g.branch(4, 0, circuit.Resistor{Ohms: 1000})
	return g.compile(), coil
}

// bound finds the coil voltage at which a relay changes, going from one voltage towards another in steps of 10 mV with all
// settled at each.
func bound(r *device.Relay, g *rig, coil circuit.ID, from, to float64) float64 {
	was := r.PulledIn()
	step := math.Copysign(0.01, to-from)
	for v := from; (to-v)*step >= 0; v += step {
		g.solver.SetEMF(coil, v)
		g.settle()
		if r.PulledIn() != was {
			return v
		}
	}
	return math.NaN()
}

// published returns the value of the first row of testdata/device/relay.csv whose quantity begins so.
func published(t *testing.T, quantity string, volts float64) map[string]string {
	for _, row := range table(t, "relay.csv") {
		if strings.HasPrefix(row["quantity"], quantity) && number(t, row["rated_V"]) == volts {
			return row
		}
	}
	require.Fail(t, "no such row", quantity)
	return nil
}

func TestRelayPullsInAndLetsGoInsideThePublishedBounds(t *testing.T) {
	for _, c := range []struct {
		name   string
		values map[string]float64
		volts  float64
	}{
		{"12 V", nil, 12},
		{"24 V", map[string]float64{"volts": 24, "coil": 320}, 24},
		{"12 V with diode", map[string]float64{"diode": 1}, 12},
		{"12 V with resistor", map[string]float64{"resistor": 680}, 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := relay(t, c.values)
			g, coil := relayRig(t, r, 0)
			in := bound(r, g, coil, 0, 1.3*c.volts)
			out := bound(r, g, coil, 1.3*c.volts, 0)
			low := number(t, published(t, "pull-in over rated voltage", 12)["value"])
			assert.LessOrEqual(t, in/c.volts, low, "must pull in by 60 %% of rated, the stricter of the sheets (testdata/device/relay.csv)")
			least := number(t, published(t, "drop-out over rated voltage, minimum", 12)["value"])
			assert.GreaterOrEqual(t, out/c.volts, least, "must have dropped out by 10 %% of rated")
			typical := published(t, "drop-out over rated voltage, typical", 12)
			assert.True(t, out/c.volts >= number(t, typical["value"]) && out/c.volts <= number(t, typical["value_high"]),
				"lets go at 0.2 to 0.4 of rated, common practice, no source (got %.3f)", out/c.volts)
		})
	}
	// Coil currents of the 22 A relay: 100 Ω at 12 V, 320 Ω at 24 V.
	r := relay(t, nil)
	g, coil := relayRig(t, r, 12)
	g.settle()
	assert.InEpsilon(t, 12/number(t, published(t, "coil resistance, 22 A", 12)["value"]), -g.solver.Current(coil), 1e-3)
}

// testdata/device/relay.csv: operate within 3 to 10 ms, release 5 to 7 ms, longer with a diode.
func TestRelayTakesItsTime(t *testing.T) {
	timing := func(values map[string]float64) (operate, release float64) {
		r := relay(t, values)
		g, coil := relayRig(t, r, 12)
		all := g.march(0.1, math.Inf(1))
		require.Len(t, all, 1)
		require.Equal(t, "click-in", all[0].what)
		require.True(t, r.PulledIn())
		g.solver.SetEMF(coil, 0)
		all = append(all, g.march(0.1, math.Inf(1))...)
		require.Len(t, all, 2)
		require.Equal(t, "click-out", all[1].what)
		return all[0].at, all[1].at - 0.1
	}
	operate, release := timing(nil)
	assert.True(t, operate >= 0.003 && operate <= 0.010, "operates in %g s", operate)
	assert.True(t, release >= 0.005-1e-9 && release <= 0.007, "releases in %g s", release)
	_, slow := timing(map[string]float64{"diode": 1})
	assert.Greater(t, slow, release, "a diode across the coil lengthens it")
}

func TestRelayForgetsAShortPulse(t *testing.T) {
	r := relay(t, nil)
	g, coil := relayRig(t, r, 12)
	for range 10 {
		g.solver.SetEMF(coil, 12)
		require.Empty(t, g.march(0.005, math.Inf(1)), "shorter than it takes to operate")
		g.solver.SetEMF(coil, 0)
		require.Empty(t, g.march(0.005, math.Inf(1)))
	}
}

// contact drop at 10 A, new: 20 to 300 mV (testdata/device/relay.csv).
func TestRelayContactDrop(t *testing.T) {
	r := relay(t, nil)
	g := newRig(t, 4).add(r, 0, 1, 2, 3, 4)
	g.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	g.branch(2, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	g.branch(3, 0, circuit.Injection{Amps: 10})
	g.compile().settle()
	row := published(t, "contact voltage drop at 10 A, new", 12)
	drop := 1000 * (g.volts(2) - g.volts(3))
	assert.True(t, drop >= number(t, row["value"]) && drop <= number(t, row["value_high"]), "%g mV", drop)
}

// A relay whose coil is fed through its own break contact buzzes: it has no steady state, and in time it opens and closes with
// the sum of its delays as period.
func TestRelayBuzzesThroughItsOwnBreakContact(t *testing.T) {
	r := relay(t, nil)
	g := newRig(t, 3).add(r, 0, 1, 2, 3, 1)
	g.branch(2, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	g.compile()
	changes := 0
	for range 20 {
		g.solve(device.Steady)
		if r.Settle(g.solver) {
			changes++
		}
	}
	assert.Equal(t, 20, changes, "never at rest")
	all := g.march(1, math.Inf(1))
	period := 0.007 + 0.005
	assert.InDelta(t, 2/period, float64(len(all)), 3, "clicks in a second")
	for i := 2; i < len(all); i++ {
		assert.InDelta(t, period, all[i].at-all[i-2].at, 1e-4)
	}
}

func TestRelayContacts(t *testing.T) {
	for _, c := range []struct {
		defect              string
		severity            float64
		restMake, restBreak float64 // volts on 87 and 87a at rest
		inMake, inBreak     float64 // and with 12 V on the coil
		clicks              int
	}{
		{"", 0, 0, 12, 12, 0, 1},
		{"coil-open", 0, 0, 12, 0, 12, 0},
		{"stuck-out", 0, 0, 12, 0, 12, 0},
		{"contact-open", 0, 0, 12, 0, 0, 1},
		{"contact-burnt", 1000, 0, 6, 6, 0, 1},
		{"contact-welded", 0, 12, 0, 12, 0, 0},
		{"break-open", 0, 0, 0, 12, 0, 1},
		{"coil-shorted", 5, 0, 12, 12, 0, 1},
	} {
		t.Run(c.defect, func(t *testing.T) {
			r := relay(t, nil)
			require.NoError(t, r.Spoil(c.defect, c.severity))
			g, coil := relayRig(t, r, 0)
			g.settle()
			assert.InDelta(t, c.restMake, g.volts(3), 0.01, "87 at rest")
			assert.InDelta(t, c.restBreak, g.volts(4), 0.01, "87a at rest")
			g.solver.SetEMF(coil, 12)
			assert.Len(t, g.march(0.2, math.Inf(1)), c.clicks, "clicks")
			assert.InDelta(t, c.inMake, g.volts(3), 0.01, "87 pulled in, through time")
			g.settle()
			assert.InDelta(t, c.inMake, g.volts(3), 0.01, "87 pulled in")
			assert.InDelta(t, c.inBreak, g.volts(4), 0.01, "87a pulled in")
			if c.defect == "coil-shorted" {
				assert.InEpsilon(t, 12/5.01, -g.solver.Current(coil), 0.01, "draws more")
			}
		})
	}
}

func TestRelaySuppressionDiode(t *testing.T) {
	r := relay(t, map[string]float64{"diode": 1})
	g, coil := relayRig(t, r, 12)
	g.settle()
	assert.InEpsilon(t, 0.12, -g.solver.Current(coil), 0.01, "does not conduct the right way round")
	g.solver.SetEMF(coil, -12)
	g.settle()
	assert.Greater(t, g.solver.Current(coil), 50.0, "fed the wrong way round it is a short")
	require.NoError(t, r.Spoil("diode-open", 0))
	g.settle()
	assert.InEpsilon(t, 0.12, g.solver.Current(coil), 0.01, "a coil pulls in either way round")
	assert.True(t, r.PulledIn())
	require.NoError(t, r.Spoil("diode-shorted", 0))
	g.solver.SetEMF(coil, 12)
	g.settle()
	assert.Greater(t, -g.solver.Current(coil), 100.0)
	assert.ErrorContains(t, relay(t, nil).Spoil("diode-shorted", 0), "unknown defect", "a relay without one cannot have it shorted")
}
