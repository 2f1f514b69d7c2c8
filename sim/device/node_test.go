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

// Who talks to whom follows from what each receiver gets, and so does what a meter shows of both wires at the second node, each sending
// node being heard for a tenth of the time. By hand, with 45 Ω in each driver from 5 V and to ground, R between the wires (60 Ω, 120 Ω where one
// termination is cut off) and 15 kΩ from each wire of each node to its middle, which is 2.5 V behind 1 kΩ:
//
//	both drivers into R     2.5 V ± 2.5 V·R/(R + 90 Ω): 3.500 and 1.500 V, 3.929 and 1.071 V with 120 Ω
//	at rest                 2.5 V; one wire held at E: the other at E + R·(half a node's (2.5 V - E)/8.5 kΩ for each that hangs on it)
//	one wire held at E      the other's driver makes a divider of R and 45 Ω with E
func TestBusFaults(t *testing.T) {
	// apart is how far from 2.5 V both drivers bring the wires with R between them.
	apart := func(r float64) float64 { return 2.5 * r / (r + 90) }
	const whole, cut = 60.0, 120.0
	// pull is the current in amperes of a node's receiver in one wire, when both are at e volts.
	pull := func(e float64) float64 { return (2.5 - e) / 8500 / 2 }
	mean := func(rest float64, sent ...float64) float64 {
		sum := rest * (1 - 0.1*float64(len(sent)))
		for _, v := range sent {
			sum += 0.1 * v
		}
		return sum
	}
	even := func(senders, r float64) [2]float64 {
		return [2]float64{2.5 + 0.1*senders*apart(r), 2.5 - 0.1*senders*apart(r)}
	}
	up, down := 2.5+apart(cut), 2.5-apart(cut)
	// Low at plus through what is left of R, and the low driver's divider with it; with high cut off at the first, its high driver has a say in its
	// own: (12 V - l)/120 Ω + (5 V - l)/165 Ω = l/45 Ω.
	plus := 12 + 3*whole*pull(12)
	plusCut, first := 12+4*cut*pull(12), (12/cut+5/(cut+45))/(1/cut+1/(cut+45)+1/45.0)
	for _, c := range []struct {
		name  string
		put   func(b *busRig)
		words string
		volts [2]float64 // mean of high and low at the second node
	}{
		{"sound", func(*busRig) {}, allTalk, even(3, whole)},
		// The first hears itself and pulls the other's low down, from where the last termination brings high along.
		{"high broken between the first and the second", func(b *busRig) { b.open(b.wires[0][0]) }, "silent misses-some misses-some",
			[2]float64{mean(2.5, up, up, down), mean(2.5, down, down, down)}},
		{"low broken there", func(b *busRig) { b.open(b.wires[1][0]) }, "silent misses-some misses-some",
			[2]float64{mean(2.5, up, up, up), mean(2.5, down, down, up)}},
		{"both broken there", func(b *busRig) { b.open(b.wires[0][0]); b.open(b.wires[1][0]) }, "silent misses-some misses-some", even(2, cut)},
		// While it sends itself its low is at ground, and the bus as a whole at 5 V less 45 Ω times what five halves of receivers take.
		{"stub of the second broken", func(b *busRig) { b.open(b.stubs[1][1]) }, "misses-some silent misses-some",
			[2]float64{mean(2.5, 3.5, 3.5, 5+45*(4*pull(5)-2.5/15e3)), mean(2.5, 2.5+1/16.0, 2.5+1/16.0, 0)}},
		{"high and low joined", func(b *busRig) { b.solver.SetOhms(b.shorts[0], 0.5) }, nobodyTalks, [2]float64{2.5, 2.5}},
		{"high at ground", func(b *busRig) { b.solver.SetOhms(b.shorts[1], 0.5) }, nobodyTalks, [2]float64{0, 3 * whole * pull(0)}},
		{"low at plus", func(b *busRig) { b.solver.SetOhms(b.shorts[4], 0.5) }, nobodyTalks, [2]float64{plus, 12}},
		// With low at ground a high driver alone still makes a difference of 2.9 V, and with high at plus a low driver one of 6.9 V.
		// At rest the terminations bring the other wire along, so these work on.
		{"low at ground", func(b *busRig) { b.solver.SetOhms(b.shorts[2], 0.5) }, allTalk,
			[2]float64{mean(3*whole*pull(0), 5*whole/105, 5*whole/105, 5*whole/105), 0}},
		{"high at plus", func(b *busRig) { b.solver.SetOhms(b.shorts[3], 0.5) }, allTalk,
			[2]float64{12, mean(plus, 12*45/105.0, 12*45/105.0, 12*45/105.0)}},
		{"high at plus and broken", func(b *busRig) { b.solver.SetOhms(b.shorts[3], 0.5); b.open(b.wires[0][0]) }, "silent misses-some misses-some",
			[2]float64{12, mean(plusCut, 12*45/165.0, 12*45/165.0, first)}},
		{"no supply of the third", func(b *busRig) { b.open(b.supplies[2]) }, "misses-some misses-some silent", even(2, whole)},
		{"third dead", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("dead", 0)) }, "misses-some misses-some silent", even(2, whole)},
		{"third stuck", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("stuck-dominant", 0)) }, nobodyTalks, even(10, whole)},
		{"one termination missing", func(b *busRig) { require.NoError(b.t, b.n[2].Spoil("termination-open", 0)) }, allTalk, even(3, cut)},
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
			// The shorts have 0.5 Ω, through which 0.11 A flow for three tenths of the time; wires and supplies have hundredths.
			const tolerance = 0.025
			assert.InDelta(t, c.volts[0], b.volts(b.at(1, 0)), tolerance, "high")
			assert.InDelta(t, c.volts[1], b.volts(b.at(1, 1)), tolerance, "low")
			b.march(1, math.Inf(1))
			high, low := b.volts(b.at(1, 0)), b.volts(b.at(1, 1))
			b.settle()
			assert.InDelta(t, high, b.volts(b.at(1, 0)), 1e-6, "in time as at once")
			assert.InDelta(t, low, b.volts(b.at(1, 1)), 1e-6, "in time as at once")
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
