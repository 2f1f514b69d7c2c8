package circuit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"faultloom/sim/circuit"
)

// everySize runs a test on seeded random networks of 2 to 2,000 nodes.
func everySize(t *testing.T, s span, run func(t *testing.T, net *circuit.Netlist, solved *circuit.Solver, r *rand.Rand)) {
	t.Helper()
	for _, n := range []int{2, 3, 4, 7, 15, 40, 100, 300, 800, 2000} {
		for seed := range uint64(max(1, 40/n)) {
			t.Run(fmt.Sprintf("%d nodes, seed %d", n, seed), func(t *testing.T) {
				r := rand.New(rand.NewPCG(seed, 3))
				net := network(n, s, r)
				solver, err := circuit.Compile(net)
				require.NoError(t, err)
				require.NoError(t, solver.Solve())
				run(t, net, solver, r)
			})
		}
	}
}

// currentSums returns for each node the sum of the currents that leave it, leakage counted, and the bound to which rounding
// voltages to 2^-53 of ΣE can keep it: each branch's conductance times that, and its source's current to 2^-53.
func currentSums(net *circuit.Netlist, s *circuit.Solver, off float64) (sum, bound []float64) {
	sum, bound = make([]float64, s.Nodes()), make([]float64, s.Nodes())
	for id := range net.Branches() {
		a, b, br := net.Branch(circuit.ID(id))
		i := s.Current(circuit.ID(id))
		g, j := norton(br)
		e := g*off + 4*0x1p-53*(math.Abs(i)+math.Abs(j))
		sum[a] += i
		sum[b] -= i
		bound[a] += e
		bound[b] += e
	}
	for n := 1; n < s.Nodes(); n++ {
		sum[n] += circuit.LeakSiemens * s.Voltage(circuit.Node(n))
		bound[n] += circuit.LeakSiemens * off
	}
	return sum, bound
}

// Kirchhoff's current law holds at every node to what the rounding of the voltages allows.
func TestCurrentLaw(t *testing.T) {
	for name, s := range map[string]span{"everyday": everyday, "widest": widest} {
		t.Run(name, func(t *testing.T) {
			everySize(t, s, func(t *testing.T, net *circuit.Netlist, s *circuit.Solver, _ *rand.Rand) {
				sum, bound := currentSums(net, s, 2*0x1p-53*errorBound(s)*emfs(net))
				for n := 1; n < s.Nodes(); n++ {
					require.LessOrEqual(t, math.Abs(sum[n]), bound[n], "amperes left over at node %d", n)
				}
			})
		})
	}
}

// Tellegen's theorem: the powers of all branches and of the leakage add up to nothing.
func TestPowerBalance(t *testing.T) {
	everySize(t, widest, func(t *testing.T, net *circuit.Netlist, s *circuit.Solver, _ *rand.Rand) {
		total, turnover := 0.0, 0.0
		for id := range net.Branches() {
			p := s.Power(circuit.ID(id))
			_, _, br := net.Branch(circuit.ID(id))
			_, j := norton(br)
			a, b := s.Ends(circuit.ID(id))
			total += p
			turnover += math.Abs(p) + math.Abs(j*(s.Voltage(a)-s.Voltage(b)))
		}
		for _, v := range s.Voltages() {
			total += circuit.LeakSiemens * v * v
		}
		// Each branch's power is a product of two differences of rounded numbers.
		assert.LessOrEqual(t, math.Abs(total), 0x1p-53*errorBound(s)*turnover+1e-300, "watts")
	})
}

// An ampere between a and b raises between c and d what an ampere between c and d raises between a and b.
func TestReciprocity(t *testing.T) {
	everySize(t, widest, func(t *testing.T, net *circuit.Netlist, s *circuit.Solver, r *rand.Rand) {
		one, two := make([]float64, s.Nodes()), make([]float64, s.Nodes())
		node := func() circuit.Node { return circuit.Node(r.IntN(s.Nodes())) }
		for range 10 {
			a, b, c, d := node(), node(), node(), node()
			rab, rcd := s.Transfer(a, b, one), s.Transfer(c, d, two)
			assert.InDelta(t, one[c]-one[d], two[a]-two[b], 1e-13*math.Max(rab, rcd)+1e-300, "%d-%d against %d-%d", a, b, c, d)
		}
	})
}

// The solution is the sum of the solutions with one source at a time.
func TestSuperposition(t *testing.T) {
	everySize(t, widest, func(t *testing.T, net *circuit.Netlist, s *circuit.Solver, r *rand.Rand) {
		whole := append([]float64(nil), s.Voltages()...)
		emf := map[circuit.ID]float64{}
		var sources []circuit.ID
		for id := range net.Branches() {
			if _, _, br := net.Branch(circuit.ID(id)); br != nil {
				if e, ok := br.(circuit.Source); ok {
					sources = append(sources, circuit.ID(id))
					emf[circuit.ID(id)] = e.EMF
					s.SetEMF(circuit.ID(id), 0)
				}
			}
		}
		// In groups, or 2,000 nodes would take 500 solutions.
		group := 1 + len(sources)/20
		sum := make([]float64, s.Nodes())
		for i := 0; i < len(sources); i += group {
			part := sources[i:min(i+group, len(sources))]
			for _, id := range part {
				s.SetEMF(id, emf[id])
			}
			require.NoError(t, s.Solve())
			for n, v := range s.Voltages() {
				sum[n] += v
			}
			for _, id := range part {
				s.SetEMF(id, 0)
			}
		}
		assert.InDeltaSlice(t, whole, sum, 2*0x1p-53*errorBound(s)*emfs(net)+1e-300)
	})
}

// A dense LU with pivoting, of other authors, finds the same where the matrix is well conditioned.
func TestAgainstDense(t *testing.T) {
	for _, n := range []int{2, 5, 20, 100, 300} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(n), 5))
			net := network(n, everyday, r)
			for i := range n { // hold every part, or leakage alone would make the condition 1e13
				net.Add("hold", circuit.Node(i+1), circuit.Ground, circuit.Resistor{Ohms: 100})
			}
			s, err := circuit.Compile(net)
			require.NoError(t, err)
			require.NoError(t, s.Solve())
			x, cond := dense(net)
			require.Less(t, cond, 1e5)
			for i := range n {
				assert.InDelta(t, x.AtVec(i), s.Voltage(circuit.Node(i+1)), 1e-10, "node %d", i+1)
			}
		})
	}
}

// dense solves a linear circuit as one dense matrix and returns its condition number too.
func dense(net *circuit.Netlist) (*mat.VecDense, float64) {
	n := net.Nodes() - 1
	a, b := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	add := func(i, k circuit.Node, g float64) {
		if i > 0 && k > 0 {
			a.Set(int(i)-1, int(k)-1, a.At(int(i)-1, int(k)-1)+g)
		}
	}
	for i := 1; i <= n; i++ {
		add(circuit.Node(i), circuit.Node(i), circuit.LeakSiemens)
	}
	for id := range net.Branches() {
		p, q, br := net.Branch(circuit.ID(id))
		g, j := norton(br)
		add(p, p, g)
		add(q, q, g)
		add(p, q, -g)
		add(q, p, -g)
		if p > 0 {
			b.SetVec(int(p)-1, b.AtVec(int(p)-1)+j)
		}
		if q > 0 {
			b.SetVec(int(q)-1, b.AtVec(int(q)-1)-j)
		}
	}
	var lu mat.LU
	lu.Factorize(a)
	x := mat.NewVecDense(n, nil)
	if err := lu.SolveVecTo(x, false, b); err != nil {
		return x, math.Inf(1)
	}
	return x, lu.Cond()
}
