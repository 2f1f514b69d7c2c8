package circuit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// twins are two solvers that are told the same, of which one is made to eliminate everything anew each time.
type twins struct {
	t      *testing.T
	rand   *rand.Rand
	one    *circuit.Solver
	anew   *circuit.Solver
	linear []circuit.ID // branches with a resistance
	emf    []circuit.ID
	amps   []circuit.ID
	lone   circuit.ID // current into a node that nothing joins to any other
	saved  *circuit.Snapshot
	turn   int
}

// newTwins makes them of a harness with coils and capacitors, and with two hubs that an open branch joins to every node.
func newTwins(t *testing.T, n int, seed uint64) *twins {
	h := newHarness(n, seed, false)
	addCoils(h)
	w := &twins{t: t, rand: rand.New(rand.NewPCG(seed, 11))}
	nodes := h.net.Nodes()
	for range 2 {
		hub := h.net.Node("hub")
		for v := range nodes {
			h.net.Add("arm", circuit.Node(v), hub, circuit.Resistor{Ohms: math.Inf(1)})
		}
		h.net.Add("meter", hub, circuit.Ground, circuit.Curve{Law: newJunction(1e-12, 0.031)})
	}
	for range 3 {
		a := circuit.Node(1 + w.rand.IntN(nodes-1))
		h.net.Add("driver", a, circuit.Ground, circuit.Source{EMF: 0, Ohms: math.Inf(1)})
		h.net.Add("message", a, circuit.Node(w.rand.IntN(nodes)), circuit.Injection{})
	}
	for id := range h.net.Branches() {
		switch _, _, br := h.net.Branch(circuit.ID(id)); br.(type) {
		case circuit.Source:
			w.emf = append(w.emf, circuit.ID(id))
			w.linear = append(w.linear, circuit.ID(id))
		case circuit.Injection:
			w.amps = append(w.amps, circuit.ID(id))
		case circuit.Resistor, circuit.Inductor:
			w.linear = append(w.linear, circuit.ID(id))
		}
	}
	island := h.net.Node("island")
	w.lone = h.net.Add("message", circuit.Ground, island, circuit.Injection{})
	h.net.Add("bleeder", island, circuit.Ground, circuit.Resistor{Ohms: 1000})
	var err error
	w.one, err = circuit.Compile(&h.net)
	require.NoError(t, err)
	w.anew = w.one.Clone()
	w.saved = w.one.Snapshot()
	return w
}

// both does the same to both.
func (w *twins) both(f func(s *circuit.Solver) error) {
	w.anew.Touch()
	w.one.Unsolve()
	one, anew := f(w.one), f(w.anew)
	require.Equal(w.t, anew == nil, one == nil, "%v, %v", anew, one)
}

// change does something at random and reports what.
func (w *twins) change() string {
	r := w.rand
	id := w.linear[r.IntN(len(w.linear))]
	switch r.IntN(9) {
	case 8:
		id = w.amps[r.IntN(len(w.amps))]
		amps := float64(r.IntN(3))
		w.both(func(s *circuit.Solver) error { s.SetAmps(id, amps); return nil })
		return fmt.Sprint("amps ", id, amps)
	case 0:
		id = w.emf[r.IntN(len(w.emf))]
		volts := 14 * float64(r.IntN(3)) * r.Float64()
		w.both(func(s *circuit.Solver) error { s.SetEMF(id, volts); return nil })
		return fmt.Sprint("emf ", id, volts)
	case 1, 2:
		w.both(func(s *circuit.Solver) error { s.SetOhms(id, math.Inf(1)); return nil })
		return fmt.Sprint("open ", id)
	case 3:
		w.both(func(s *circuit.Solver) error { s.Restore(w.saved); return nil })
		return "restore"
	case 4:
		w.saved = w.one.Snapshot()
		return "save"
	default:
		ohms := math.Exp(6*r.Float64() - 4)
		w.both(func(s *circuit.Solver) error { s.SetOhms(id, ohms); return nil })
		return fmt.Sprint("close ", id, ohms)
	}
}

// solve turns the current into the lone node on or off and solves both, and a third that has just been compiled and brought to the state of the others, and so has no past.
func (w *twins) solve() {
	w.turn++
	w.both(func(s *circuit.Solver) error { s.SetAmps(w.lone, float64(w.turn%2)); return nil })
	fresh := w.one.Fresh()
	w.both((*circuit.Solver).Solve)
	require.NoError(w.t, fresh.Solve())
	require.True(w.t, slices.Equal(fresh.Voltages(), w.one.Voltages()), "voltages of a solver without a past")
}

// Whatever is left alone because it has not changed, or is left out because it is zero, the solution is to the last bit the one
// of a solver that eliminates all anew.
func TestMendingIsEliminatingAnew(t *testing.T) {
	for seed := range uint64(12) {
		for _, n := range []int{12, 50, 150} {
			w := newTwins(t, n, seed)
			var told []string
			for range 150 {
				told = append(told, w.change())
				switch w.rand.IntN(4) {
				case 0:
					continue
				case 1:
					dt := math.Exp(-6 - 6*w.rand.Float64())
					w.both(func(s *circuit.Solver) error { return s.Step(dt) })
					told = append(told, fmt.Sprint("step ", dt))
				default:
					w.solve()
					told = append(told, "solve")
				}
				w.compare(told)
			}
		}
	}
}

func (w *twins) compare(told []string) {
	w.t.Helper()
	told = told[max(0, len(told)-6):]
	require.True(w.t, slices.Equal(w.anew.Voltages(), w.one.Voltages()), "voltages after %q", told)
	n := w.one.Nodes()
	a, b := circuit.Node(w.rand.IntN(n)), circuit.Node(w.rand.IntN(n))
	u0, r0 := w.anew.Thevenin(a, b)
	u1, r1 := w.one.Thevenin(a, b)
	require.Equal(w.t, [2]float64{u0, r0}, [2]float64{u1, r1}, "equivalent of %d and %d after %q", a, b, told)
	v0, v1 := make([]float64, n), make([]float64, n)
	w.anew.Resistances(v0)
	w.one.Resistances(v1)
	require.True(w.t, slices.Equal(v0, v1), "resistances after %q", told)
	require.Equal(w.t, w.anew.Transfer(a, b, v0), w.one.Transfer(a, b, v1), "transfer of %d and %d after %q", a, b, told)
	require.True(w.t, slices.Equal(v0, v1), "transfer of %d and %d after %q", a, b, told)
	g := []float64{1, 1e6, -5, math.Inf(1)}[w.rand.IntN(4)]
	w.anew.WhatIf(a, b, g, 3, v0)
	w.one.WhatIf(a, b, g, 3, v1)
	require.True(w.t, slices.EqualFunc(v0, v1, func(x, y float64) bool { return x == y || x != x && y != y }), "what if %g S, 3 V between %d and %d after %q", g, a, b, told)
}
