package device_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// busRig is nodes A, B, C, … along two wires of 0.05 Ω from one to the next, with terminations in the first and the last. Each has its
// supply at node 1.
type busRig struct {
	*rig
	n        []*device.Node
	supplies []circuit.ID
	wires    [2][]circuit.ID // high and low, from one to the next
	stubs    [2][]circuit.ID
	shorts   [5]circuit.ID // in the middle: high to low, high to ground, low to ground, high to plus, low to plus
}

// Rig nodes: 1 is plus, then for each bus node its high, its low and its supply, and both wires where it joins.
func newBusRig(t testing.TB, count int, values map[string]float64) *busRig {
	b := &busRig{rig: newRig(t, 1+5*count)}
	b.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	for i := range count {
		v := map[string]float64{}
		for k, x := range values {
			v[k] = x
		}
		if _, given := v["termination"]; !given && (i == 0 || i == count-1) {
			v["termination"] = 120
		}
		n := create(t, "node", v).(*device.Node)
		b.n = append(b.n, n)
		b.add(n, b.at(i, 2), 0, b.at(i, 0), b.at(i, 1))
		b.supplies = append(b.supplies, b.branch(1, b.at(i, 2), circuit.Resistor{Ohms: 0.05}))
		for k := range 2 {
			b.stubs[k] = append(b.stubs[k], b.branch(b.at(i, k), b.at(i, 3+k), circuit.Resistor{Ohms: 0.01}))
			if i > 0 {
				b.wires[k] = append(b.wires[k], b.branch(b.at(i-1, 3+k), b.at(i, 3+k), circuit.Resistor{Ohms: 0.05}))
			}
		}
	}
	return b
}

// at is a rig node of bus node i: 0 high, 1 low, 2 supply, 3 and 4 the wires.
func (b *busRig) at(i, k int) int { return 2 + 5*i + k }

// words settles and returns what each node's display tells.
func (b *busRig) words() string {
	b.settle()
	var all []string
	for _, n := range b.n {
		all = append(all, n.Effect(b.solver).Word)
	}
	return strings.Join(all, " ")
}

func (b *busRig) open(id circuit.ID) { b.solver.SetOhms(id, math.Inf(1)) }

const allTalk, nobodyTalks = "talks talks talks", "silent silent silent"

// Two nodes, each dominant for a tenth of the time: 2.5 V, 3.5 and 1.5 V at 60 Ω (testdata/device/can_levels.csv), and so 2.7 and 2.3 V
// on a meter, which is what is taught.
func TestBusMeansOfTraffic(t *testing.T) {
	b := newBusRig(t, 2, nil)
	b.compile()
	require.Equal(t, "talks talks", b.words())
	assert.InDelta(t, 2.7, b.volts(b.at(0, 0)), 0.01)
	assert.InDelta(t, 2.3, b.volts(b.at(0, 1)), 0.01)
	b.march(0.1, math.Inf(1))
	assert.InDelta(t, 2.7, b.volts(b.at(0, 0)), 0.01)
	b = newBusRig(t, 2, map[string]float64{"traffic": 0})
	b.compile()
	assert.Equal(t, "talks talks", b.words())
	assert.InDelta(t, 2.5, b.volts(b.at(0, 0)), 1e-3)
	assert.InDelta(t, 2.5, b.volts(b.at(0, 1)), 1e-3)
}

// The mean is that of the states of which it is made: two circuits with one driver on for good, and one with none, weighted by their
// time. The stuck driver stands for a sending one.
func TestBusMeanIsThatOfItsStates(t *testing.T) {
	for _, leak := range []float64{math.Inf(1), 200, 47} {
		of := func(stuck int, traffic float64) (volts [6]float64) {
			b := newBusRig(t, 3, map[string]float64{"traffic": traffic})
			b.branch(b.at(1, 3), 0, circuit.Resistor{Ohms: leak})
			b.compile()
			if stuck >= 0 {
				require.NoError(t, b.n[stuck].Spoil("stuck-dominant", 0))
			}
			b.settle()
			for i := range 3 {
				volts[2*i], volts[2*i+1] = b.volts(b.at(i, 0)), b.volts(b.at(i, 1))
			}
			return volts
		}
		mean, rest := of(-1, 15), of(-1, 0)
		var states [3][6]float64
		for i := range states {
			states[i] = of(i, 0)
		}
		for k := range mean {
			want := 0.55*rest[k] + 0.15*(states[0][k]+states[1][k]+states[2][k])
			assert.InDelta(t, want, mean[k], 2e-4, "wire %d with %g ohm to ground", k, leak)
		}
	}
}

// Who talks to whom follows from what each receiver gets.
func TestBusFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		put   func(b *busRig)
		words string
	}{
		{"sound", func(*busRig) {}, allTalk},
		{"high broken between the first and the second", func(b *busRig) { b.open(b.wires[0][0]) }, "silent misses-some misses-some"},
		{"both broken there", func(b *busRig) { b.open(b.wires[0][0]); b.open(b.wires[1][0]) }, "silent misses-some misses-some"},
		{"stub of the second broken", func(b *busRig) { b.open(b.stubs[1][1]) }, "misses-some silent misses-some"},
		{"high and low joined", func(b *busRig) { b.solver.SetOhms(b.shorts[0], 0.5) }, nobodyTalks},
		{"high at ground", func(b *busRig) { b.solver.SetOhms(b.shorts[1], 0.5) }, nobodyTalks},
		{"low at plus", func(b *busRig) { b.solver.SetOhms(b.shorts[4], 0.5) }, nobodyTalks},
		// With low at ground a high driver alone still makes a difference of 2.9 V, and with high at plus a low driver one of 4.8 V.
		// At rest the terminations bring the other wire along, so these work on.
		{"low at ground", func(b *busRig) { b.solver.SetOhms(b.shorts[2], 0.5) }, allTalk},
		{"high at plus", func(b *busRig) { b.solver.SetOhms(b.shorts[3], 0.5) }, allTalk},
		{"no supply of the third", func(b *busRig) { b.open(b.supplies[2]) }, "misses-some misses-some silent"},
		{"third dead", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("dead", 0)) }, "misses-some misses-some silent"},
		{"third stuck", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("stuck-dominant", 0)) }, nobodyTalks},
		{"one termination missing", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("termination-open", 0)) }, allTalk},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBusRig(t, 3, nil)
			for i, ends := range [5][2]int{{b.at(1, 3), b.at(1, 4)}, {b.at(1, 3), 0}, {b.at(1, 4), 0}, {b.at(1, 3), 1}, {b.at(1, 4), 1}} {
				b.shorts[i] = b.branch(ends[0], ends[1], circuit.Resistor{Ohms: math.Inf(1)})
			}
			b.compile()
			require.Equal(t, allTalk, b.words())
			c.put(b)
			assert.Equal(t, c.words, b.words())
			b.march(1, math.Inf(1))
			volts := b.volts(b.at(1, 0))
			b.settle()
			assert.InDelta(t, volts, b.volts(b.at(1, 0)), 1e-6, "in time as at once")
		})
	}
}

// The receiver decides between 0.5 and 0.9 V (testdata/device/can_levels.csv): a load across the bus pulls the difference down until
// nobody hears anybody, with R across it at 5 V·R/(R + 90 Ω).
func TestBusReceiverThreshold(t *testing.T) {
	b := newBusRig(t, 2, map[string]float64{"traffic": 0})
	load := b.branch(b.at(0, 3), b.at(0, 4), circuit.Resistor{Ohms: 1e6})
	b.compile()
	for ohms := 60.0; ; ohms -= 0.1 {
		require.Greater(t, ohms, 5.0)
		b.solver.SetOhms(load, ohms)
		if b.words() == "talks talks" {
			continue
		}
		all := 1 / (1/ohms + 1/60.0 + 1/15e3)
		volts := 5 * all / (all + 90)
		assert.True(t, volts > 0.5 && volts < 0.92, "%g V", volts)
		break
	}
}

// Two buses in one circuit are none of each other's business.
func TestTwoBuses(t *testing.T) {
	r := newRig(t, 5)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	var all []device.Device
	for i := range 4 {
		n := create(t, "node", map[string]float64{"termination": 120, "bus": float64(1 + i/2)})
		r.add(n, 1, 0, 2+2*(i/2), 3+2*(i/2))
		all = append(all, n)
	}
	r.compile().settle()
	for i, n := range all {
		assert.Equal(t, "talks", n.Effect(r.solver).Word, fmt.Sprint(i))
	}
	require.NoError(t, all[0].(device.Defective).Spoil("dead", 0))
	r.settle()
	assert.Equal(t, "silent", all[1].Effect(r.solver).Word)
	assert.Equal(t, "talks", all[2].Effect(r.solver).Word)
}
