package circuit_test

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// exactBits are 96 decimal digits: what cancels between 1e-12 and 1e3 S leaves 80.
const exactBits = 320

// exact is nodal analysis as textbooks have it, a matrix with sums on its diagonal and currents on its right, by plain Gaussian
// elimination in numbers of exactBits.
type exact struct {
	n    int
	rows []map[int]*big.Float // by node, [0] unused
	rhs  []*big.Float
}

func number(x float64) *big.Float { return new(big.Float).SetPrec(exactBits).SetFloat64(x) }

func newExact(net *circuit.Netlist) *exact {
	x := &exact{n: net.Nodes() - 1, rows: make([]map[int]*big.Float, net.Nodes()), rhs: make([]*big.Float, net.Nodes())}
	for i := range x.rows {
		x.rows[i] = map[int]*big.Float{i: number(circuit.LeakSiemens)}
		x.rhs[i] = number(0)
	}
	for id := range net.Branches() {
		a, b, br := net.Branch(circuit.ID(id))
		g, j := norton(br)
		x.add(int(a), int(a), g)
		x.add(int(b), int(b), g)
		x.add(int(a), int(b), -g)
		x.add(int(b), int(a), -g)
		x.rhs[a].Add(x.rhs[a], number(j))
		x.rhs[b].Sub(x.rhs[b], number(j))
	}
	return x
}

func (x *exact) add(i, k int, v float64) {
	if x.rows[i][k] == nil {
		x.rows[i][k] = number(0)
	}
	x.rows[i][k].Add(x.rows[i][k], number(v))
}

// solve returns the voltages of all nodes, fewest neighbours first.
func (x *exact) solve() []*big.Float {
	var order []int
	gone := make([]bool, x.n+1)
	gone[0] = true
	quotient, product := number(0), number(0)
	for range x.n {
		p := 0
		for i := 1; i <= x.n; i++ {
			if !gone[i] && (p == 0 || len(x.rows[i]) < len(x.rows[p])) {
				p = i
			}
		}
		gone[p] = true
		order = append(order, p)
		for i := range x.rows[p] {
			if gone[i] {
				continue
			}
			quotient.Quo(x.rows[i][p], x.rows[p][p])
			for k, v := range x.rows[p] {
				if k != 0 && k != p && !gone[k] {
					if x.rows[i][k] == nil {
						x.rows[i][k] = number(0)
					}
					x.rows[i][k].Sub(x.rows[i][k], product.Mul(quotient, v))
				}
			}
			delete(x.rows[i], p)
			x.rhs[i].Sub(x.rhs[i], product.Mul(quotient, x.rhs[p]))
		}
	}
	v := make([]*big.Float, x.n+1)
	v[0] = number(0)
	for i := len(order) - 1; i >= 0; i-- {
		p := order[i]
		t := number(0).Set(x.rhs[p])
		for k, g := range x.rows[p] {
			if k != 0 && k != p {
				t.Sub(t, product.Mul(g, v[k]))
			}
		}
		v[p] = t.Quo(t, x.rows[p][p])
	}
	return v
}

// off returns the distance of got from want.
func off(got float64, want *big.Float) float64 {
	d, _ := new(big.Float).Sub(number(got), want).Float64()
	return math.Abs(d)
}

// errorBound is what the package's documentation promises, in units of 2^-53.
func errorBound(s *circuit.Solver) float64 { return float64(16 + s.Levels()) }

// shapes are circuits with one source, which leave nothing to average.
func shapes(n int, r *rand.Rand) map[string]*circuit.Netlist {
	all := map[string]*circuit.Netlist{}
	for _, shape := range []string{"chain", "equal chain", "star", "tree", "ladder", "grid"} {
		net := &circuit.Netlist{}
		for i := range n {
			net.Node(fmt.Sprintf("n%d", i+1))
		}
		for i := 1; i <= n; i++ {
			to, ohms := i-1, widest.ohms(r)
			switch shape {
			case "equal chain":
				ohms = 0.013
			case "star":
				to = min(i-1, 1)
			case "tree":
				to = r.IntN(i)
			case "grid":
				if i > 15 {
					net.Add("across", circuit.Node(i), circuit.Node(i-15), circuit.Resistor{Ohms: widest.ohms(r)})
				}
			}
			net.Add("along", circuit.Node(i), circuit.Node(to), circuit.Resistor{Ohms: ohms})
			if shape == "ladder" {
				net.Add("rung", circuit.Node(i), circuit.Ground, circuit.Resistor{Ohms: widest.ohms(r)})
			}
		}
		net.Add("source", circuit.Node(1+r.IntN(n)), circuit.Node(r.IntN(n+1)), circuit.Source{EMF: 12.6, Ohms: 0.001})
		all[shape] = net
	}
	return all
}

// Every node's voltage is right to 2^-53·(16 + levels) of the sum of the electromotive forces, with conductances from 1e-12 to
// 1e3 S and parts that hang on leakage alone: fourteen digits for a hundred levels.
func TestExactVoltages(t *testing.T) {
	worst := 0.0
	check := func(t *testing.T, net *circuit.Netlist, name string) {
		s, err := circuit.Compile(net)
		require.NoError(t, err)
		require.NoError(t, s.Solve())
		bound := 0x1p-53 * emfs(net) * errorBound(s)
		for i, want := range newExact(net).solve() {
			e := off(s.Voltages()[i], want)
			require.LessOrEqual(t, e, bound, "node %d of %s", i, name)
			if bound > 0 {
				worst = max(worst, e/bound)
			}
		}
	}
	for _, n := range []int{2, 3, 5, 10, 20, 50, 100, 200, 500, 2000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			for seed := range uint64(max(1, 200/n)) {
				r := rand.New(rand.NewPCG(seed, 7))
				check(t, network(n, widest, r), fmt.Sprintf("network %d", seed))
				for name, net := range shapes(n, r) {
					check(t, net, fmt.Sprintf("%s %d", name, seed))
				}
			}
		})
	}
	t.Logf("largest error: %.2g of the bound", worst)
}

// Resistances between any two nodes, and every entry of a column of the inverse of the nodal matrix, are right to a few
// roundings of themselves.
func TestExactResistances(t *testing.T) {
	worst := 0.0
	check := func(t *testing.T, s *circuit.Solver, got float64, want *big.Float, what string) {
		size, _ := want.Float64()
		e := off(got, want)
		require.LessOrEqual(t, e, 0x1p-53*errorBound(s)*math.Abs(size), what)
		if size != 0 {
			worst = max(worst, e/math.Abs(size)/0x1p-53)
		}
	}
	for _, n := range []int{2, 5, 20, 60, 150} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			for seed := range uint64(max(2, 120/n)) {
				r := rand.New(rand.NewPCG(seed, 11))
				net := network(n, widest, r)
				s, err := circuit.Compile(net)
				require.NoError(t, err)
				require.NoError(t, s.Solve())
				out := make([]float64, s.Nodes())
				for range 4 {
					a, b := 1+r.IntN(n), r.IntN(n+1)
					if a == b {
						continue
					}
					_, ohms := s.Thevenin(circuit.Node(a), circuit.Node(b))
					v := newExact(net).response(a, b)
					check(t, s, ohms, new(big.Float).Sub(v[a], v[b]), "resistance")
					s.Transfer(circuit.Node(a), circuit.Ground, out)
					for i, want := range newExact(net).response(a, 0) {
						check(t, s, out[i], want, "entry")
					}
				}
			}
		})
	}
	t.Logf("largest error: %.3g times 2^-53", worst)
}

// response returns the voltages for one ampere into a and out of b and nothing else.
func (x *exact) response(a, b int) []*big.Float {
	for i := range x.rhs {
		x.rhs[i] = number(0)
	}
	x.rhs[a], x.rhs[b] = number(1), number(-1)
	x.rhs[0] = number(0)
	return x.solve()
}
