package circuit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// leakShare is what the leakage of circuit.LeakSiemens at each of a few nodes takes off a voltage behind some tens of ohms: every
// expected value here is that of the circuit without leakage.
const leakShare = 1e-9

func TestClosedForms(t *testing.T) {
	golden := (1 + math.Sqrt(5)) / 2
	cases := []struct {
		name, text string
		a, b       string
		volts      float64
		branch     string
		amps       float64
	}{
		// Ohm's and Kirchhoff's laws.
		{"divider", "E top 0 volt 12.6 0.005; R1 top mid ohm 2; R2 mid 0 ohm 4", "mid", "0", 12.6 * 4 / 6.005, "R1", 12.6 / 6.005},
		// A bridge is balanced when R1·R4 = R2·R3: then its middle branch carries nothing, whatever it is.
		{"balanced bridge", "E t 0 volt 24 1; R1 t l ohm 10; R2 t r ohm 20; R3 l 0 ohm 30; R4 r 0 ohm 60; M l r ohm 0.001",
			"l", "0", 24 * 30.0 / 40 * (80 * 40 / 120.0) / (1 + 80*40/120.0), "M", 0},
		// Millman's theorem: V = Σ E/R / Σ 1/R.
		{"two sources", "E1 n 0 volt 14.4 0.05; E2 n 0 volt 12.2 0.02; R n 0 ohm 0.5",
			"n", "0", (14.4/0.05 + 12.2/0.02) / (1/0.05 + 1/0.02 + 1/0.5), "R", 2 * (14.4/0.05 + 12.2/0.02) / (1/0.05 + 1/0.02 + 1/0.5)},
		// A current source across a resistor.
		{"injection", "I 0 n amp 2; R n 0 ohm 3", "n", "0", 6, "I", 2},
		// A source that hangs between two nodes.
		{"between nodes", "E a b volt 6 1; R1 a 0 ohm 2; R2 0 b ohm 3", "a", "0", 2, "E", -1},
		{"open resistor", "E a 0 volt 12 1; R a b ohm open; S b 0 ohm 5", "b", "0", 0, "R", 0},
		{"open source", "E a 0 volt 12 open; R a 0 ohm 5", "a", "0", 0, "E", 0},
		{"branch on one node", "E a 0 volt 12 1; R a a ohm 5; S a 0 ohm 5", "a", "0", 10, "R", 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := text(t, c.text).solve(t)
			assert.InDelta(t, c.volts, f.volts(c.a, c.b), leakShare, "voltage")
			assert.InDelta(t, c.amps, f.amps(c.branch), leakShare, "current")
		})
	}
	t.Run("endless ladder", func(t *testing.T) {
		// A ladder of 1 Ω along and 1 Ω across without end looks like the golden ratio (a continued fraction of ones).
		var n circuit.Netlist
		at := n.Node("in")
		in := at
		for range 60 {
			next := n.Node("rung")
			n.Add("along", at, next, circuit.Resistor{Ohms: 1})
			n.Add("across", next, circuit.Ground, circuit.Resistor{Ohms: 1})
			at = next
		}
		s, err := circuit.Compile(&n)
		require.NoError(t, err)
		require.NoError(t, s.Solve())
		_, ohms := s.Thevenin(in, circuit.Ground)
		assert.InDelta(t, golden, ohms, leakShare)
	})
}

// Twelve equal resistors along the edges of a cube: 5/6 between opposite corners, 3/4 across a face, 7/12 along an edge
// (a classic; from memory).
func TestCubeOfResistors(t *testing.T) {
	var n circuit.Netlist
	corner := make([]circuit.Node, 8)
	for i := range corner {
		corner[i] = n.Node("corner")
	}
	for i := range corner {
		for bit := 1; bit < 8; bit *= 2 {
			if i&bit == 0 {
				n.Add("edge", corner[i], corner[i|bit], circuit.Resistor{Ohms: 1})
			}
		}
	}
	s, err := circuit.Compile(&n)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	for _, c := range []struct {
		name string
		to   int
		ohms float64
	}{{"diagonal", 7, 5.0 / 6}, {"face", 3, 3.0 / 4}, {"edge", 1, 7.0 / 12}} {
		_, ohms := s.Thevenin(corner[0], corner[c.to])
		// The cube hangs on nothing but leakage, 1.25e11 Ω from ground, and keeps all digits.
		assert.InDelta(t, c.ohms, ohms, 1e-11, c.name)
	}
}

// What a 10 MΩ meter on a wire that is joined to nothing reads, and one that is fed through a very high resistance.
func TestFloatingWire(t *testing.T) {
	t.Run("nothing feeds it", func(t *testing.T) {
		f := text(t, "E p 0 volt 12.6 0.01; W a b ohm 0.01; M b 0 ohm 1e7").solve(t)
		assert.Zero(t, f.volts("b", "0"))
	})
	t.Run("leakage only, no meter", func(t *testing.T) {
		// Two nodes leak 1 pS each, one is fed through 1 TΩ: 12.6 / 3 but for 10 mΩ.
		f := text(t, "E p 0 volt 12.6 0.01; X p a ohm 1e12; W a b ohm 0.01").solve(t)
		assert.InEpsilon(t, 12.6/3, f.volts("b", "0"), 1e-13)
	})
	t.Run("through a teraohm, with the meter", func(t *testing.T) {
		g := 1e-7 + 2e-12 + 1e-12
		f := text(t, "E p 0 volt 12.6 0.01; X p a ohm 1e12; W a b ohm 0.001; M b 0 ohm 1e7").solve(t)
		assert.InEpsilon(t, 12.6*1e-12/g, f.volts("b", "0"), 1e-9)
		assert.InEpsilon(t, 12.6*1e-12/g, f.volts("a", "0"), 1e-9)
	})
	t.Run("a battery that nothing holds", func(t *testing.T) {
		// 2,520 A in the Norton source; both posts leak alike, so they stand as far above as below ground.
		f := text(t, "E p q volt 12.6 0.005; R p q ohm 1").solve(t)
		assert.InDelta(t, 6.3/1.005, f.volts("p", "0"), 1e-13)
		assert.InDelta(t, -6.3/1.005, f.volts("q", "0"), 1e-13)
	})
	t.Run("a battery whose ground lead is off, with a meter on the body", func(t *testing.T) {
		// The lamp joins the positive post to the body, so the negative post stands 12.6 V below, but for the meter.
		f := text(t, "E p q volt 12.6 0.005; H p 0 ohm 3; M q 0 ohm 1e7").solve(t)
		i := 12.6 / (1e7 + 3.005)
		assert.InDelta(t, -i*1e7, f.volts("q", "0"), 12.6*1e-5*1e-7+1e-8)
		assert.InEpsilon(t, i, f.amps("H"), 2e-5, "leakage of the post is 1e-12/1e-7 of it")
	})
}
