package circuit_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

func TestCompileRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	cases := []struct {
		name string
		br   circuit.Branch
		want string
	}{
		{"short circuit", circuit.Resistor{Ohms: 0}, `branch "x": resistance must be at least 1e-15 Ω, or +Inf for an open (got 0 Ω)`},
		{"negative", circuit.Resistor{Ohms: -2}, `resistance must be at least 1e-15 Ω, or +Inf for an open (got -2 Ω)`},
		{"not a number", circuit.Resistor{Ohms: nan}, `(got NaN Ω)`},
		{"minus infinity", circuit.Resistor{Ohms: -inf}, `(got -Inf Ω)`},
		{"ideal source", circuit.Source{EMF: 12, Ohms: 0}, `(got 0 Ω)`},
		{"emf", circuit.Source{EMF: inf, Ohms: 1}, `branch "x": emf must be a number between -1e+30 and 1e+30 (got +Inf V)`},
		{"emf not a number", circuit.Source{EMF: nan, Ohms: 1}, `emf`},
		{"current", circuit.Injection{Amps: nan}, `branch "x": current must be a number between -1e+30 and 1e+30 (got NaN A)`},
		{"capacitance", circuit.Capacitor{Farads: 0}, `branch "x": capacitance must be between 1e-18 and 1e+09 F (got 0 F)`},
		{"capacitor's resistance", circuit.Capacitor{Farads: 1, Ohms: -1}, `branch "x": resistance must be 0 Ω or more`},
		{"inductance", circuit.Inductor{Henries: nan, Ohms: 1}, `branch "x": inductance must be between 1e-18 and 1e+09 H (got NaN H)`},
		{"ideal winding", circuit.Inductor{Henries: 1}, `branch "x": resistance must be at least 1e-15 Ω`},
		{"no law", circuit.Curve{}, `branch "x": law must be a characteristic, not nil`},
		{"no branch", nil, `branch "x": kind must be Resistor, Source, Injection, Curve, Capacitor or Inductor, not <nil>`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var n circuit.Netlist
			a := n.Node("a")
			n.Add("good", a, circuit.Ground, circuit.Resistor{Ohms: 1})
			id := n.Add("x", a, circuit.Ground, c.br)
			_, err := circuit.Compile(&n)
			var e *circuit.ValueError
			require.True(t, errors.As(err, &e), "got %v", err)
			assert.Equal(t, id, e.Branch)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	for _, node := range []circuit.Node{-1, 2} {
		var n circuit.Netlist
		a := n.Node("a")
		n.Add("x", a, node, circuit.Resistor{Ohms: 1})
		_, err := circuit.Compile(&n)
		require.Error(t, err)
		assert.Contains(t, err.Error(), `branch "x": node must be a node of this netlist, 0 to 1`)
	}
}

func TestSettersRefuse(t *testing.T) {
	f := text(t, "E a 0 volt 12 1; R a 0 ohm 1; I 0 a amp 1; H a 0 lamp 1 12").solve(t)
	e, r, i, h := f.ids["E"], f.ids["R"], f.ids["I"], f.ids["H"]
	before := append([]float64(nil), f.Voltages()...)
	for name, c := range map[string]struct {
		bad, good func()
		want      string
	}{
		"ohms":        {func() { f.SetOhms(r, 0) }, func() { f.SetOhms(r, 1) }, `branch "R": resistance`},
		"source ohms": {func() { f.SetOhms(e, math.NaN()) }, func() { f.SetOhms(e, 1) }, `branch "E": resistance`},
		"emf":         {func() { f.SetEMF(e, math.Inf(-1)) }, func() { f.SetEMF(e, 12) }, `branch "E": emf`},
		"amps":        {func() { f.SetAmps(i, math.NaN()) }, func() { f.SetAmps(i, 1) }, `branch "I": current`},
		"law":         {func() { f.SetLaw(h, nil) }, func() { f.SetLaw(h, &filament{i0: 1, v0: 12}) }, `branch "H": law`},
	} {
		t.Run(name, func(t *testing.T) {
			c.bad()
			require.ErrorContains(t, f.Solve(), c.want)
			require.ErrorContains(t, f.Solve(), c.want, "still")
			c.good()
			require.NoError(t, f.Solve())
			assert.InDeltaSlice(t, before, f.Voltages(), 1e-9)
		})
	}
	t.Run("two at once", func(t *testing.T) {
		f.SetOhms(r, -1)
		f.SetEMF(e, math.NaN())
		f.SetOhms(r, 1)
		require.ErrorContains(t, f.Solve(), `branch "E"`)
		f.SetEMF(e, 12)
		require.NoError(t, f.Solve())
	})
	t.Run("wrong kind", func(t *testing.T) {
		assert.Panics(t, func() { f.SetOhms(i, 1) })
		assert.Panics(t, func() { f.SetEMF(r, 1) })
		assert.Panics(t, func() { f.SetAmps(e, 1) })
		assert.Panics(t, func() { f.SetLaw(r, &filament{i0: 1, v0: 1}) })
	})
}

// What a solver holds follows from its values, not from how they came about: after any detour it is the same to the last bit.
func TestNoHistory(t *testing.T) {
	h := newHarness(200, 4, true)
	s, fresh := compiled(t, h), compiled(t, h)
	for i, w := range h.wires {
		was := s.Ohms(w)
		s.SetOhms(w, []float64{math.Inf(1), 1e-6, 1e9}[i%3])
		if i%5 == 0 {
			require.NoError(t, s.Solve())
		}
		s.SetOhms(w, was)
	}
	require.NoError(t, s.Solve())
	assert.Equal(t, fresh.Voltages(), s.Voltages())
}

func TestEmptyCircuits(t *testing.T) {
	var none circuit.Netlist
	s, err := circuit.Compile(&none)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	assert.Equal(t, []float64{0}, s.Voltages())

	var lonely circuit.Netlist
	lonely.Node("a")
	s, err = circuit.Compile(&lonely)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	assert.Equal(t, []float64{0, 0}, s.Voltages())
	_, ohms := s.Thevenin(1, 0)
	assert.InEpsilon(t, 1/circuit.LeakSiemens, ohms, 1e-15)
}

func TestNames(t *testing.T) {
	var n circuit.Netlist
	a := n.Node("post")
	id := n.Add("battery", a, circuit.Ground, circuit.Source{EMF: 12, Ohms: 1})
	assert.Equal(t, "post", n.NodeName(a))
	assert.Equal(t, "ground", n.NodeName(circuit.Ground))
	assert.Equal(t, "#7", n.NodeName(7))
	assert.Equal(t, "battery", n.BranchName(id))
	assert.Equal(t, "#3", n.BranchName(3))
	assert.Equal(t, 2, n.Nodes())
	assert.Equal(t, 1, n.Branches())
	s, err := circuit.Compile(&n)
	require.NoError(t, err)
	p, q := s.Ends(id)
	assert.Equal(t, [2]circuit.Node{a, circuit.Ground}, [2]circuit.Node{p, q})
	assert.Equal(t, []string{"post", "battery"}, []string{s.NodeName(a), s.BranchName(id)})
	assert.Equal(t, []int{2, 1}, []int{s.Nodes(), s.Branches()})
}
