package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// swingRig is a wiper that wipes at its lower speed, fed through 0.02 Ω, with a load between 31b (rig node 3) and ground or plus. The load
// is held by the contact that a motor at 13 V and 45 wipes a minute moves.
func swingRig(t *testing.T, defect string, toGround, toPlus float64) (*rig, *device.Wiper) {
	m := create(t, "wiper", map[string]float64{"volts": 13}).(*device.Wiper)
	require.NoError(t, m.Spoil(defect, 0))
	r := newRig(t, 3).add(m, 1, 2, 1, 3, 0)
	r.branch(1, 0, circuit.Source{EMF: 13, Ohms: 0.02})
	r.branch(3, 0, circuit.Resistor{Ohms: toGround})
	r.branch(3, 1, circuit.Resistor{Ohms: toPlus})
	r.compile().settle()
	r.march(1, math.Inf(1)) // out of the park sector
	return r, m
}

// 31b is at plus for nine tenths of each wipe and at ground for the tenth of the park sector: a slow meter shows the mean of both, which is
// written out here from the contacts' 10 mΩ and the loads by the divider rule. One that follows the edges sees them at the speed of the crank.
func TestWiperParkSwitchGoesToAndFro(t *testing.T) {
	open := math.Inf(1)
	for _, c := range []struct {
		name, defect      string
		toGround, toPlus  float64
		plus, ground, off float64 // volts of 31b over those of 53a in each state, and by how much the supply bends the mean
	}{
		{"free", "", open, open, 1, 0, 1e-5},
		{"a relay's coil to ground", "", 80, open, 80 / 80.01, 0, 1e-3},
		{"a pull-up", "", open, 1000, 1, 0.01 / 1000.01, 1e-3},
		{"both", "", 47, 33, 1, 0.01 / 33.01, 5e-3},
		{"plus side open", "park-plus-open", 1000, open, 0, 0, 1e-6},
		{"plus side open with a pull-up", "park-plus-open", 1000, 1000, 0.5, 0.01 / 1000.01, 1e-3},
		{"ground side open", "park-ground-open", 1000, 1000, 1, 0.5, 1e-3},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, m := swingRig(t, c.defect, c.toGround, c.toPlus)
			r.settle()
			require.Equal(t, "wipes", m.Effect(r.solver).Word)
			supply := r.volts(1)
			want := supply * (0.9*c.plus + 0.1*c.ground)
			assert.InDelta(t, want, r.volts(3), c.off*supply, "at once")
			r.march(3, math.Inf(1))
			assert.InDelta(t, want, r.volts(3), c.off*supply+2e-3, "in time")
			m.Wave(true)
			turn := 60 / (45 * m.Speed())
			high, sum, edges := 0.0, 0.0, 0
			begin, was := r.past, math.NaN()
			for r.past < begin+5*turn-1e-9 {
				r.solve(device.Moving)
				v := r.volts(3) / r.volts(1)
				dt := min(m.Step(r.solver), begin+5*turn-r.past)
				if math.Abs(v-was) > 0.1 {
					edges++
				}
				was = v
				if math.Abs(v-c.plus) < 1e-3 {
					high += dt
				} else {
					assert.InDelta(t, c.ground, v, 1e-3, "at ground")
				}
				sum += v * dt
				m.Advance(r.solver, dt)
				r.past += dt
			}
			if c.plus != c.ground {
				assert.Equal(t, 10, edges, "two for each wipe")
				assert.InDelta(t, 0.9*5*turn, high, 1e-3*turn, "for nine tenths of the time")
			}
			assert.InDelta(t, 0.9*c.plus+0.1*c.ground, sum/(5*turn), 1e-3)
		})
	}
}

// The mean of the supply's current is right, too: the load's share of it flows for nine tenths of the time.
func TestWiperMeanDrawsItsShare(t *testing.T) {
	amps := func(load float64) float64 {
		r, _ := swingRig(t, "", load, math.Inf(1))
		r.settle()
		return (13 - r.volts(1)) / 0.02
	}
	assert.InDelta(t, 0.9*13/13, amps(13)-amps(math.Inf(1)), 0.02, "13 ohm at 13 V; by 2 % the supply gives way and the motor takes less")
}
