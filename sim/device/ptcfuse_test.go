package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ptcFuse is one of 8 A between a source of 12 V behind 10 mΩ and a load.
func ptcFuse(t *testing.T, load float64) (*rig, *device.PTCFuse, circuit.ID, circuit.ID) {
	f := create(t, "ptc-fuse", map[string]float64{"rating": 8}).(*device.PTCFuse)
	r := newRig(t, 2).add(f, 1, 2)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	id := r.branch(2, 0, circuit.Resistor{Ohms: load})
	return r.compile(), f, source, id
}

// It holds its rating for good and must trip at twice that, at 20 °C (how data sheets of such parts define the two, from memory): in time, and the
// same at once.
func TestPTCFuseHoldsAndTrips(t *testing.T) {
	for _, c := range []struct {
		amps  float64
		trips bool
	}{{4, false}, {8, false}, {16, true}, {40, true}} {
		load := 12/c.amps - 0.01 - 0.1/8
		r, f, _, id := ptcFuse(t, load)
		assert.InEpsilon(t, c.amps, 12/(load+0.01+0.1/8), 1e-9)
		r.march(1800, 10)
		assert.Equal(t, c.trips, f.Tripped(), "%g A, %g C", c.amps, f.Celsius())
		amps := r.solver.Current(id)
		if c.trips {
			assert.Less(t, amps, 0.5, "next to nothing")
			assert.Less(t, f.Celsius(), 150.0)
		} else {
			assert.InEpsilon(t, c.amps, amps, 0.02)
		}
		at, _, _, load2 := ptcFuse(t, load)
		at.settle()
		assert.InDelta(t, amps, at.solver.Current(load2), 0.02*c.amps, "at once as in time")
	}
}

// Five times its rating trips it in about 5 s: with a resistance that hardly changes below the switch point that is τ·ln(x²/(x² - y)) with x
// the current over the one that would hold it at the switch point and y the part of the way; some seconds are what data sheets have
// for that (from memory).
func TestPTCFuseTakesItsTime(t *testing.T) {
	r, f, _, _ := ptcFuse(t, 12/40.0-0.01-0.1/8)
	for !f.Tripped() {
		r.march(0.01, 0.01)
		require.Less(t, r.past, 20.0)
	}
	x2 := math.Pow(40/(1.4*8), 2)
	assert.InDelta(t, 60*math.Log(x2/(x2-1)), r.past, 0.8, "the lumped body's way; towards the end its resistance rises and takes current away")
	assert.True(t, r.past > 2 && r.past < 10, "%g s", r.past)
}

// Tripped, it stays so with a load that it would bear; without voltage it cools down and is as before.
func TestPTCFuseStaysTrippedUntilItsVoltageIsGone(t *testing.T) {
	r, f, source, load := ptcFuse(t, 0.1)
	r.march(60, 1)
	require.True(t, f.Tripped())
	r.solver.SetOhms(load, 3)
	r.march(600, 10)
	assert.True(t, f.Tripped(), "4 A would not trip it, but keep it hot")
	r.settle()
	assert.True(t, f.Tripped(), "at once, too")
	r.solver.SetEMF(source, 0)
	r.march(300, 10)
	assert.False(t, f.Tripped())
	r.solver.SetEMF(source, 12)
	r.march(600, 10)
	assert.False(t, f.Tripped(), "holds again")
	assert.InDelta(t, 12/3.03, r.solver.Current(load), 0.05)
}
