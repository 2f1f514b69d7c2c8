package circuit_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"faultloom/sim/circuit"
)

// span is a range of conductances in siemens, drawn evenly in the logarithm.
type span struct{ low, high float64 }

var (
	everyday = span{1e-2, 1e1}
	// widest runs from an open to a battery post.
	widest = span{1e-12, 1e3}
)

func (s span) ohms(r *rand.Rand) float64 {
	return 1 / (s.low * math.Pow(s.high/s.low, r.Float64()))
}

// network makes a random linear circuit of n nodes: about 1.6 branches per node, mostly between near ones and one in fifty between any, one
// in six a source, some in parallel, some open, some parts joined to nothing.
func network(n int, s span, r *rand.Rand) *circuit.Netlist {
	net := &circuit.Netlist{}
	for i := range n {
		net.Node(fmt.Sprintf("n%d", i+1))
	}
	near := func(a int) circuit.Node {
		d := 1 + int(4*r.ExpFloat64())
		if r.IntN(2) == 0 {
			d = -d
		}
		if b := a + d; b >= 0 && b <= n && r.IntN(50) > 0 {
			return circuit.Node(b)
		}
		return circuit.Node(r.IntN(n + 1))
	}
	for i := range n*8/5 + 1 {
		a := 1 + r.IntN(n)
		b := near(a)
		name := fmt.Sprintf("b%d", i)
		switch r.IntN(12) {
		case 0, 1:
			net.Add(name, circuit.Node(a), b, circuit.Source{EMF: 48*r.Float64() - 24, Ohms: s.ohms(r)})
		case 2:
			if r.IntN(4) == 0 {
				net.Add(name, circuit.Node(a), b, circuit.Resistor{Ohms: math.Inf(1)})
				continue
			}
			fallthrough
		default:
			net.Add(name, circuit.Node(a), b, circuit.Resistor{Ohms: s.ohms(r)})
		}
	}
	return net
}

// norton returns a linear branch's conductance in siemens and the current in amperes that its source drives into a.
func norton(br circuit.Branch) (g, j float64) {
	switch br := br.(type) {
	case circuit.Resistor:
		return 1 / br.Ohms, 0
	case circuit.Source:
		return 1 / br.Ohms, br.EMF * (1 / br.Ohms)
	case circuit.Injection:
		return 0, -br.Amps
	}
	panic("not linear")
}

// emfs returns the sum of the magnitudes of all electromotive forces.
func emfs(net *circuit.Netlist) float64 {
	sum := 0.0
	for id := range net.Branches() {
		if _, _, br := net.Branch(circuit.ID(id)); br != nil {
			if s, ok := br.(circuit.Source); ok && !math.IsInf(s.Ohms, 1) {
				sum += math.Abs(s.EMF)
			}
		}
	}
	return sum
}
