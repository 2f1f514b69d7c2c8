package circuit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

func TestDivider(t *testing.T) {
	var n circuit.Netlist
	top, mid := n.Node("top"), n.Node("mid")
	e := n.Add("E", top, circuit.Ground, circuit.Source{EMF: 12.6, Ohms: 0.005})
	r1 := n.Add("R1", top, mid, circuit.Resistor{Ohms: 2})
	r2 := n.Add("R2", mid, circuit.Ground, circuit.Resistor{Ohms: 4})
	s, err := circuit.Compile(&n)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	i := 12.6 / 6.005
	assert.InDelta(t, i, s.Current(r1), 1e-10)
	assert.InDelta(t, -i, s.Current(e), 1e-10)
	assert.InDelta(t, 4*i, s.Voltage(mid), 1e-10)
	assert.InDelta(t, 4*i*i, s.Power(r2), 1e-10)
	v, r := s.Thevenin(mid, circuit.Ground)
	assert.InDelta(t, 4*i, v, 1e-10)
	assert.InDelta(t, 4*2.005/6.005, r, 1e-9)
	out := make([]float64, s.Nodes())
	s.WhatIf(top, mid, -1/2.0, 0, out)
	s.SetOhms(r1, math.Inf(1))
	require.NoError(t, s.Solve())
	assert.InDeltaSlice(t, s.Voltages(), out, 1e-13)
	assert.InDelta(t, 12.6, s.Voltage(top), 1e-9)
	assert.InDelta(t, 0, s.Voltage(mid), 1e-9)
}

func TestFloatingBattery(t *testing.T) {
	var n circuit.Netlist
	p, q := n.Node("p"), n.Node("q")
	n.Add("E", p, q, circuit.Source{EMF: 12.6, Ohms: 0.005})
	n.Add("R", p, q, circuit.Resistor{Ohms: 1})
	s, err := circuit.Compile(&n)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	assert.InDelta(t, 6.3/1.005, s.Voltage(p), 1e-13)
	assert.InDelta(t, -6.3/1.005, s.Voltage(q), 1e-13)
}
