package circuit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// with returns the netlist with one more source, solved. Only linear ones.
func with(t *testing.T, net *circuit.Netlist, a, b circuit.Node, siemens, emf float64) *circuit.Solver {
	t.Helper()
	more := &circuit.Netlist{}
	for n := 1; n < net.Nodes(); n++ {
		more.Node(net.NodeName(circuit.Node(n)))
	}
	for id := range net.Branches() {
		p, q, br := net.Branch(circuit.ID(id))
		more.Add(net.BranchName(circuit.ID(id)), p, q, br)
	}
	more.Add("more", a, b, circuit.Source{EMF: emf, Ohms: 1 / siemens})
	s, err := circuit.Compile(more)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	return s
}

// All resistances to ground at once are those found one by one.
func TestResistances(t *testing.T) {
	for _, n := range []int{1, 2, 5, 20, 100, 400} {
		for seed := range uint64(10) {
			r := rand.New(rand.NewPCG(seed, 22))
			s, err := circuit.Compile(network(n, widest, r))
			require.NoError(t, err)
			out := make([]float64, s.Nodes())
			s.Resistances(out)
			assert.True(t, math.IsNaN(out[n]), "nothing is solved yet")
			require.NoError(t, s.Solve())
			s.Resistances(out)
			assert.Zero(t, out[circuit.Ground])
			for i := 1; i <= n; i++ {
				_, ohms := s.Thevenin(circuit.Node(i), circuit.Ground)
				require.InEpsilon(t, ohms, out[i], 1e-12, "node %d of %d", i, n)
			}
		}
	}
}

// Adding any branch between any two nodes gives what compiling it in gives, also round parts that hang on leakage alone.
func TestWhatIfAdds(t *testing.T) {
	worst := 0.0
	for _, n := range []int{2, 5, 20, 100, 400} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			for seed := range uint64(max(2, 60/n)) {
				r := rand.New(rand.NewPCG(seed, 21))
				net := network(n, widest, r)
				s, err := circuit.Compile(net)
				require.NoError(t, err)
				require.NoError(t, s.Solve())
				before := append([]float64(nil), s.Voltages()...)
				out := make([]float64, s.Nodes())
				for range 12 {
					a, b := circuit.Node(r.IntN(n+1)), circuit.Node(r.IntN(n+1))
					g, emf := 1/widest.ohms(r), 24*r.Float64()-12
					s.WhatIf(a, b, g, emf, out)
					want := with(t, net, a, b, g, emf)
					for i, v := range want.Voltages() {
						worst = max(worst, math.Abs(v-out[i]))
						require.InDelta(t, v, out[i], 2e-8, "node %d, %g S between %d and %d", i, g, a, b)
					}
				}
				assert.Equal(t, before, s.Voltages(), "the solver's own solution stays")
			}
		})
	}
	t.Logf("largest difference %.2g V", worst)
}

// Taking away part of a wire, and a source in series with it that is not there, leaves the rest of the wire with that source the other way round.
func TestWhatIfTakesPartAway(t *testing.T) {
	for _, emf := range []float64{0, 3, -3} {
		left := func(wire circuit.Branch) *circuit.Solver {
			var net circuit.Netlist
			lamp, post := net.Node("lamp"), net.Node("post")
			net.Add("battery", post, circuit.Ground, circuit.Source{EMF: 12, Ohms: 0.1})
			net.Add("wire", post, lamp, wire)
			net.Add("lamp", lamp, circuit.Ground, circuit.Resistor{Ohms: 10})
			s, err := circuit.Compile(&net)
			require.NoError(t, err)
			require.NoError(t, s.Solve())
			return s
		}
		s := left(circuit.Resistor{Ohms: 0.01}) // 100 S, of which 5 S stay
		out := make([]float64, s.Nodes())
		s.WhatIf(2, 1, -95, emf, out)
		want := left(circuit.Source{EMF: -95 * emf / 5, Ohms: 0.2})
		assert.InDeltaSlice(t, want.Voltages(), out, 1e-12, "%g V", emf)
	}
}

// Taking a branch away gives what opening it gives, to the last bit where it was nearly all there was between its ends.
func TestWhatIfTakesAway(t *testing.T) {
	bridges := 0
	for _, n := range []int{2, 5, 20, 100, 400} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			for seed := range uint64(max(2, 60/n)) {
				r := rand.New(rand.NewPCG(seed, 22))
				net := network(n, widest, r)
				s, err := circuit.Compile(net)
				require.NoError(t, err)
				require.NoError(t, s.Solve())
				before := append([]float64(nil), s.Voltages()...)
				out := make([]float64, s.Nodes())
				for range 12 {
					id := circuit.ID(r.IntN(net.Branches()))
					a, b, br := net.Branch(id)
					g, _ := norton(br)
					if g == 0 || a == b {
						continue
					}
					_, ohms := s.Thevenin(a, b)
					emf := 0.0
					if e, ok := br.(circuit.Source); ok {
						emf = e.EMF
					}
					s.WhatIf(a, b, -g, emf, out)
					other := s.Clone()
					other.SetOhms(id, math.Inf(1))
					require.NoError(t, other.Solve())
					if 1-g*ohms < 0.05 {
						bridges++
						require.Equal(t, other.Voltages(), out, "%s was a bridge", net.BranchName(id))
					}
					require.InDeltaSlice(t, other.Voltages(), out, 2e-8, "%s taken away", net.BranchName(id))
				}
				assert.Equal(t, before, s.Voltages(), "the solver's own solution stays")
				s.SetOhms(0, s.Ohms(0)*(1+1e-15))
				require.NoError(t, s.Solve())
				assert.InDeltaSlice(t, before, s.Voltages(), 1e-8, "and its elimination too")
			}
		})
	}
	assert.Greater(t, bridges, 100, "bridges among them")
}

func TestWhatIfOddCases(t *testing.T) {
	f := text(t, "E a 0 volt 12 0.01; R a b ohm 2; H b 0 lamp 1 12; S c d ohm 1").solve(t)
	out := make([]float64, f.Nodes())
	a, b, c, d := f.nodes["a"], f.nodes["b"], f.nodes["c"], f.nodes["d"]
	t.Run("nothing", func(t *testing.T) {
		f.WhatIf(a, b, 0, 5, out)
		assert.Equal(t, f.Voltages(), out)
		f.WhatIf(a, a, 1, 5, out)
		assert.Equal(t, f.Voltages(), out)
	})
	t.Run("forced voltage", func(t *testing.T) {
		f.WhatIf(b, 0, math.Inf(1), 3, out)
		assert.InDelta(t, 3, out[b], 1e-14)
	})
	t.Run("a battery in a part that hangs on nothing", func(t *testing.T) {
		f.WhatIf(c, d, 100, 12, out)
		assert.InDelta(t, 12/1.01, out[c]-out[d], 1e-12)
		assert.InDelta(t, 0, out[c]+out[d], 1e-12)
	})
	t.Run("away with what is not there", func(t *testing.T) {
		f.WhatIf(a, c, -1e-13, 0, out)
		assert.InDelta(t, f.Voltage(a), out[a], 1e-9)
	})
	t.Run("not a number", func(t *testing.T) {
		f.WhatIf(a, b, math.NaN(), 0, out)
		assert.True(t, math.IsNaN(out[a]))
	})
	t.Run("unsolved", func(t *testing.T) {
		g := text(t, "E a 0 volt 12 0.01")
		g.WhatIf(1, 0, 1, 0, out[:2])
		assert.True(t, math.IsNaN(out[0]) && math.IsNaN(out[1]))
		assert.True(t, math.IsNaN(g.Transfer(1, 0, out[:2])))
		g.solve(t)
		g.SetEMF(0, 13)
		v, r := g.Thevenin(1, 0)
		assert.True(t, math.IsNaN(v) && math.IsNaN(r), "changed since")
	})
	t.Run("wrong length", func(t *testing.T) {
		assert.Panics(t, func() { f.WhatIf(a, b, 1, 0, out[:2]) })
		assert.Panics(t, func() { f.Transfer(a, b, out[:2]) })
		assert.Panics(t, func() { f.Start(out[:2]) })
	})
	t.Run("a lamp taken away", func(t *testing.T) {
		// The lamp's linearisation is g·v - j: as a source, j/g volts behind 1/g.
		v := f.volts("b", "0")
		i, g := (&filament{i0: 1, v0: 12}).At(v)
		f.WhatIf(b, 0, -g, v-i/g, out)
		assert.InDelta(t, 12, out[b], 1e-4)
	})
}

// A Thevenin equivalent foretells what a load does.
func TestThevenin(t *testing.T) {
	f := text(t, "E a 0 volt 12.6 0.01; R1 a b ohm 2; R2 b 0 ohm 4; R3 b c ohm 0.5; M c 0 ohm open").solve(t)
	volts, ohms := f.Thevenin(f.nodes["c"], 0)
	f.SetOhms(f.ids["M"], 3)
	f.solve(t)
	assert.InDelta(t, volts*3/(3+ohms), f.volts("c", "0"), 1e-12)
	v, r := f.Thevenin(2, 2)
	assert.Zero(t, v)
	assert.Zero(t, r)
}
