package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A window lift: a motor between two change-over switches that both rest on ground; pressing one puts its side to plus. Rig nodes 1 plus, 2
// and 3 the motor's sides, 4 and 5 the ground sides of the switches.
func windowLift(t *testing.T) (r *rig, m *device.Motor, up, down device.Controlled, ground [2]circuit.ID) {
	change := func() device.Controlled {
		d, err := device.New(device.Spec{Kind: "switch", Terminals: []string{"plus", "motor", "ground"}, Positions: []device.Position{
			{Name: "rest", Joins: [][2]string{{"motor", "ground"}}}, {Name: "pressed", Joins: [][2]string{{"motor", "plus"}}}}})
		require.NoError(t, err)
		return d.(device.Controlled)
	}
	m, up, down = motor(t, nil), change(), change()
	r = newRig(t, 5).add(m, 2, 3).add(up, 1, 2, 4).add(down, 1, 3, 5)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.02})
	for i := range ground {
		ground[i] = r.branch(4+i, 0, circuit.Resistor{Ohms: 0.01})
	}
	return r.compile(), m, up, down, ground
}

// It runs either way by the side that is pressed, in time as at once. Let go while it runs, both sides are at ground: the motor is shorted
// through both switches and brakes itself, which is e²/(R·I rated) as strong as its rated torque, where it would else run down.
func TestMotorBothWaysThroughSwitchesOnGround(t *testing.T) {
	for _, c := range []struct {
		up, down int
		word     string
		sign     float64
	}{{0, 0, "still", 0}, {1, 0, "runs", 1}, {0, 1, "runs-back", -1}, {1, 1, "still", 0}} {
		r, m, up, down, _ := windowLift(t)
		up.Set(c.up)
		down.Set(c.down)
		r.settle()
		assert.Equal(t, c.word, m.Effect(r.solver).Word)
		r, m, up, down, _ = windowLift(t)
		up.Set(c.up)
		down.Set(c.down)
		r.march(2, math.Inf(1))
		assert.Equal(t, c.word, m.Effect(r.solver).Word)
		assert.InDelta(t, c.sign, m.Speed(), 0.05)
		speed := m.Speed()
		up.Set(0)
		down.Set(0)
		r.march(0.1, math.Inf(1))
		assert.LessOrEqual(t, math.Abs(m.Speed()), 0.4*math.Abs(speed)+1e-9, "brakes")
		r.march(2, math.Inf(1))
		assert.Equal(t, "still", m.Effect(r.solver).Word)
	}
}

// The resting side is the way back: with its ground lost the motor does not run the way that needs it, and runs the other; a voltmeter
// finds the supply on both of its sides.
func TestMotorNeedsTheGroundOfTheRestingSwitch(t *testing.T) {
	r, m, up, down, ground := windowLift(t)
	r.solver.SetOhms(ground[1], math.Inf(1)) // of the switch that moves it down
	up.Set(1)
	r.settle()
	assert.Equal(t, "still", m.Effect(r.solver).Word)
	assert.InDelta(t, 12, r.volts(2), 0.01)
	assert.InDelta(t, 12, r.volts(3), 0.01)
	up.Set(0)
	down.Set(1)
	r.settle()
	assert.Equal(t, "runs-back", m.Effect(r.solver).Word, "the other way has its ground")
}
