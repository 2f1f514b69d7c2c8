package circuit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// A solver that has been through much and takes up a netlist again solves it to the bit as one that has just been compiled.
func TestAdoptIsAsCompiled(t *testing.T) {
	for seed := range uint64(20) {
		net := &newHarness(60, seed, false).net
		used, err := circuit.Compile(net)
		require.NoError(t, err)
		for id := range net.Branches() {
			if _, _, br := net.Branch(circuit.ID(id)); id%3 == 0 {
				if r, ok := br.(circuit.Resistor); ok {
					used.SetOhms(circuit.ID(id), 2*r.Ohms+0.1)
				}
			}
		}
		require.NoError(t, used.Solve())
		require.True(t, used.Adopt(net))
		fresh, err := circuit.Compile(net)
		require.NoError(t, err)
		require.NoError(t, used.Solve())
		require.NoError(t, fresh.Solve())
		assert.Equal(t, fresh.Voltages(), used.Voltages())
		for id := range net.Branches() {
			assert.Equal(t, fresh.Current(circuit.ID(id)), used.Current(circuit.ID(id)))
		}
	}
}

// Only a netlist of the same nodes and branches, with values that are allowed, is taken up.
func TestAdoptRefuses(t *testing.T) {
	build := func(name string, to circuit.Node, br circuit.Branch) *circuit.Netlist {
		n := &circuit.Netlist{}
		a := n.Node("a")
		n.Node("b")
		n.Add("feed", a, circuit.Ground, circuit.Source{EMF: 12, Ohms: 0.1})
		n.Add(name, a, to, br)
		return n
	}
	s, err := circuit.Compile(build("load", 2, circuit.Resistor{Ohms: 10}))
	require.NoError(t, err)
	assert.True(t, s.Adopt(build("load", 2, circuit.Resistor{Ohms: 20})))
	for what, n := range map[string]*circuit.Netlist{
		"another name":  build("lamp", 2, circuit.Resistor{Ohms: 10}),
		"another place": build("load", circuit.Ground, circuit.Resistor{Ohms: 10}),
		"another kind":  build("load", 2, circuit.Source{Ohms: 10}),
		"no such value": build("load", 2, circuit.Resistor{Ohms: -1}),
		"none at all":   build("load", 2, circuit.Resistor{Ohms: math.NaN()}),
	} {
		assert.False(t, s.Adopt(n), what)
	}
	assert.Equal(t, 20.0, s.Ohms(1))
	stores, err := circuit.Compile(build("load", 2, circuit.Capacitor{Farads: 1e-6, Ohms: 1}))
	require.NoError(t, err)
	assert.False(t, stores.Adopt(build("load", 2, circuit.Capacitor{Farads: 1e-6, Ohms: 1})))
}
