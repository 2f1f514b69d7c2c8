package device_test

import (
	"fmt"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
)

// A word is plausible beside another where a level stands near the bound between the two, and nowhere else.
func TestWordsNearTheirBounds(t *testing.T) {
	for _, c := range []struct {
		kind, says string
		level      float64
		word       string
		want       bool
	}{
		{"lamp", "lit", 0.65, "dim", true}, {"lamp", "lit", 1, "dim", false}, {"lamp", "lit", 0.65, "faint", false}, {"lamp", "lit", 0.76, "dim", true}, {"lamp", "lit", 0.81, "dim", false},
		{"led", "dim", 0.45, "lit", true}, {"led", "dim", 0.2, "lit", false},
		{"motor", "runs-back", 0.65, "slow-back", true}, {"motor", "runs", 0.65, "slow", true}, {"motor", "runs", 0.7, "slow", false}, {"motor", "runs", 0.65, "slow-back", false},
		{"wiper", "slow", 0.55, "wipes", true}, {"wiper", "slow", 0.3, "wipes", false}, {"wiper", "fast", 1.35, "wipes", true},
		{"wiper", "parked", 0, "stopped", false}, {"wiper", "parked", 0, "parked", true},
		{"horn", "sounds", 0.74, "weak", true}, {"horn", "sounds", 0.8, "weak", false}, {"heater", "hot", 0.69, "warm", true}, {"heater", "hot", 0.72, "warm", false},
		{"solenoid", "pulled-in", 1, "released", false},
	} {
		e := device.Effect{Level: c.level, Word: c.says}
		assert.Equal(t, c.want, e.Plausible(c.kind, c.word), "%s %s at %g, told as %s", c.kind, c.says, c.level, c.word)
	}
}

// A bus whose voltages come near a receiver's threshold may talk or not; one that is far from them does what it does. The share of nodes
// alone would not tell: with R across both wires the difference is 5 V·R/(R + 90 Ω), which is 0.9 V at 19.8 Ω for all of the bus.
func TestNodesNearTheirThresholds(t *testing.T) {
	for _, c := range []struct {
		ohms          float64
		talks, silent bool // plausible
	}{{59.8, true, false}, {23, true, false}, {20.2, true, true}, {19.2, true, true}, {17, false, true}} {
		b := newBusRig(t, 2, map[string]float64{"traffic": 0})
		load := 1e9 // what lies beside the two terminations and the receivers
		if c.ohms < 59 {
			load = 1 / (1/c.ohms - 1/60.0 - 1/15e3)
		}
		b.branch(b.at(0, 3), b.at(0, 4), circuit.Resistor{Ohms: load})
		b.compile()
		b.settle()
		for i, n := range b.n {
			e := n.Effect(b.solver)
			what := fmt.Sprintf("%g ohm, node %d: %s", c.ohms, i, e.Word)
			assert.Equal(t, c.talks, e.Plausible("node", "talks"), what)
			assert.Equal(t, c.silent, e.Plausible("node", "silent"), what)
		}
	}
}
