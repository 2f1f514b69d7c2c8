package circuit_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// lawTolerance is the share of a current by which it may miss its law: what Newton's method is asked for, and the rounding of
// voltages at the steepest slopes.
const lawTolerance = 1.1e-10

// onLaw asserts that every curve of a solved circuit is on its law and that the currents at every node add up.
func onLaw(t *testing.T, net *circuit.Netlist, s *circuit.Solver) {
	t.Helper()
	volts := 1 + emfs(net)
	sum, size := make([]float64, s.Nodes()), make([]float64, s.Nodes())
	for id := range net.Branches() {
		a, b, br := net.Branch(circuit.ID(id))
		amps := s.Current(circuit.ID(id))
		require.False(t, math.IsNaN(amps), "current of %s", s.BranchName(circuit.ID(id)))
		sum[a] += amps
		sum[b] -= amps
		rounding := math.Abs(amps)
		if c, ok := br.(circuit.Curve); ok {
			v := s.Voltage(a) - s.Voltage(b)
			i, g := c.Law.At(v)
			rounding += g * volts
			require.InDelta(t, i, amps, lawTolerance*math.Abs(i)+1e-15*g*volts+1e-17,
				"current of %s at %g V", s.BranchName(circuit.ID(id)), v)
		} else {
			g, j := norton(br)
			rounding += g*volts + math.Abs(j)
		}
		size[a] += rounding
		size[b] += rounding
	}
	for n := 1; n < s.Nodes(); n++ {
		sum[n] += circuit.LeakSiemens * s.Voltage(circuit.Node(n))
		require.LessOrEqual(t, math.Abs(sum[n]), 1e-14*size[n]+1e-17, "amperes left over at %s", s.NodeName(circuit.Node(n)))
	}
}

func TestOperatingPoints(t *testing.T) {
	nvt := 1.2 * thermalVoltage(27)
	cases := []struct {
		name, text string
		check      func(t *testing.T, f *fixture)
	}{
		{"diode and resistor", "E a 0 volt 12 0.01; R a b ohm 100; D b 0 diode 1e-12 1.2", func(t *testing.T, f *fixture) {
			// The series circuit has the closed form i = n·Vt/R · W(Is·R/(n·Vt)·exp((E + Is·R)/(n·Vt))) - Is, with Lambert's W.
			r, is := 100.01, 1e-12
			w := lambertW(math.Log(is*r/nvt) + (12+is*r)/nvt)
			assert.InEpsilon(t, nvt/r*w-is, f.amps("D"), 1e-9)
		}},
		{"blocking diode", "E 0 a volt 12 0.01; R a b ohm 100; D b 0 diode 1e-12 1.2", func(t *testing.T, f *fixture) {
			assert.InDelta(t, -12, f.volts("b", "0"), 1e-8)
			assert.InEpsilon(t, -1e-12, f.amps("D"), 1e-9)
		}},
		{"two diodes in series", "E a 0 volt 12 0.01; R a b ohm 100; D1 b c diode 1e-12 1.2; D2 c 0 diode 1e-12 1.2", func(t *testing.T, f *fixture) {
			assert.InDelta(t, f.volts("b", "0")/2, f.volts("c", "0"), 1e-9)
		}},
		{"two diodes back to back", "E a 0 volt 12 0.01; R a b ohm 100; D1 b c diode 1e-12 1.2; D2 0 c diode 1e-12 1.2", func(t *testing.T, f *fixture) {
			// Is flows backwards through D2 and forwards through D1, where it needs n·Vt·ln 2, but for leakage of c.
			assert.InDelta(t, nvt*math.Log(2+12*1e-12/1e-12), f.volts("b", "c"), 0.01)
		}},
		{"diodes against each other in parallel", "I 0 b amp 3; D1 b 0 diode 1e-12 1.2; D2 0 b diode 1e-12 1.2", func(t *testing.T, f *fixture) {
			assert.InDelta(t, nvt*math.Log(3e12+1), f.volts("b", "0"), 1e-9)
		}},
		{"bridge of diodes", "E a b volt 14 0.1; D1 a p diode 1e-12 1.2; D2 b p diode 1e-12 1.2; D3 n a diode 1e-12 1.2; D4 n b diode 1e-12 1.2; R p n ohm 10; G n 0 ohm 1",
			func(t *testing.T, f *fixture) { assert.InDelta(t, 14-2*0.9, f.volts("p", "n"), 0.15) }},
		{"lamp at its voltage", "E a 0 volt 12 1e-9; H a 0 lamp 4.58 12", func(t *testing.T, f *fixture) {
			assert.InEpsilon(t, 4.58, f.amps("H"), 1e-4, "the bend near zero takes 1e-5 off")
		}},
		{"lamp at 90 %", "E a 0 volt 10.8 1e-9; H a 0 lamp 4.58 12", func(t *testing.T, f *fixture) {
			assert.InEpsilon(t, 4.58*math.Pow(0.9, 0.55), f.amps("H"), 1e-4)
		}},
		{"two lamps in series", "E a 0 volt 12 0.01; H1 a b lamp 4.58 12; H2 b 0 lamp 0.42 12", func(t *testing.T, f *fixture) {
			// Equal currents: v1/v2 = (i2/i1)^(1/0.55), so the small lamp takes nearly all.
			x := math.Pow(0.42/4.58, 1/0.55)
			assert.InDelta(t, 12*x/(1+x), f.volts("a", "b"), 0.02)
		}},
		{"lamp without supply", "E a 0 volt 0 0.01; H a 0 lamp 4.58 12", func(t *testing.T, f *fixture) {
			assert.Zero(t, f.amps("H"))
		}},
		{"lamp the other way round", "E 0 a volt 12 0.01; H a 0 lamp 4.58 12", func(t *testing.T, f *fixture) {
			assert.InDelta(t, -4.58, f.amps("H"), 0.01)
		}},
		{"lamp through a megohm", "E a 0 volt 12 1e6; H a 0 lamp 4.58 12", func(t *testing.T, f *fixture) {
			assert.InDelta(t, 12e-6/(12*4.58/12), f.volts("a", "0"), 1e-9, "as its cold resistance")
		}},
		{"diode fed by leakage", "D a 0 diode 1e-12 1.2; E b 0 volt 12 1; X b a ohm 1e12", func(t *testing.T, f *fixture) {
			assert.InDelta(t, 0, f.volts("a", "0"), 0.1)
		}},
		{"curve on one node", "E a 0 volt 12 1; H a a lamp 1 12", func(t *testing.T, f *fixture) { assert.Zero(t, f.amps("H")) }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := text(t, c.text).solve(t)
			onLaw(t, &f.net, f.Solver)
			c.check(t, f)
			cold := append([]float64(nil), f.Voltages()...)
			f.Start(make([]float64, f.Nodes()))
			f.solve(t)
			assert.InDeltaSlice(t, cold, f.Voltages(), 1e-8, "from 0 V everywhere")
		})
	}
}

// lambertW returns W(exp(y)), that is w with w + ln w = y, by Newton's method.
func lambertW(y float64) float64 {
	w := math.Max(y, 1)
	for range 50 {
		w -= (w + math.Log(w) - y) / (1 + 1/w)
	}
	return w
}

// Random harnesses with random faults and supplies from reversed to jump-start converge, cold and warm, to the same point.
func TestRandomHarnessesConverge(t *testing.T) {
	iterations, most, solves := 0, 0, 0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		h := newHarness(30+r.IntN(300), seed, false)
		s, err := circuit.Compile(&h.net)
		require.NoError(t, err)
		for range 12 {
			s.SetEMF(h.battery, []float64{-12.6, 0, 0.7, 6, 12.6, 14.4, 24}[r.IntN(7)])
			w := h.wires[r.IntN(len(h.wires))]
			s.SetOhms(w, []float64{math.Inf(1), 1e9, 1e4, 10, 0.5}[r.IntN(5)])
			require.NoError(t, s.Solve(), "warm, seed %d", seed)
			warm := append([]float64(nil), s.Voltages()...)
			iterations, most, solves = iterations+s.Iterations(), max(most, s.Iterations()), solves+1
			s.Cold()
			require.NoError(t, s.Solve(), "cold, seed %d", seed)
			iterations, most, solves = iterations+s.Iterations(), max(most, s.Iterations()), solves+1
			require.InDeltaSlice(t, warm, s.Voltages(), 1e-6, "seed %d: nodes on leakage alone are known to a microvolt", seed)
			s.SetOhms(w, 0.01)
		}
	}
	t.Logf("%d solves, %.1f iterations on average, %d at most", solves, float64(iterations)/float64(solves), most)
	assert.LessOrEqual(t, most, 20, "iterations")
}

// wild makes a circuit of any branches between any nodes, most of them diodes, some parts of it on leakage alone.
func wild(n int, r *rand.Rand, wrap func(*junction) circuit.Law) *circuit.Netlist {
	net := &circuit.Netlist{}
	for i := range n {
		net.Node(fmt.Sprintf("n%d", i+1))
	}
	for i := range 2 * n {
		var br circuit.Branch
		switch r.IntN(8) {
		case 0:
			br = circuit.Source{EMF: 48*r.Float64() - 24, Ohms: 0.001 + r.Float64()}
		case 1, 2, 3:
			br = circuit.Resistor{Ohms: span{1e-9, 1e3}.ohms(r)}
		case 4:
			br = circuit.Curve{Law: &filament{i0: 0.1 + 5*r.Float64(), v0: 12}}
		default:
			d := newJunction([]float64{1e-9, 1e-12, 1e-14}[r.IntN(3)], 0.0258*(1+r.Float64()))
			br = circuit.Curve{Law: wrap(d)}
		}
		net.Add(fmt.Sprintf("b%d", i), circuit.Node(1+r.IntN(n)), circuit.Node(r.IntN(n+1)), br)
	}
	return net
}

// No circuit of monotone laws fails, however they are joined, with limiting or without.
func TestWildCircuitsConverge(t *testing.T) {
	for name, wrap := range map[string]func(*junction) circuit.Law{
		"limited":   func(d *junction) circuit.Law { return d },
		"unlimited": func(d *junction) circuit.Law { return unlimited{d} },
	} {
		t.Run(name, func(t *testing.T) {
			most, sum := 0, 0
			const seeds = 2000
			for seed := range uint64(seeds) {
				r := rand.New(rand.NewPCG(seed, 99))
				net := wild(2+r.IntN(20), r, wrap)
				s, err := circuit.Compile(net)
				require.NoError(t, err)
				require.NoError(t, s.Solve(), "seed %d", seed)
				onLaw(t, net, s)
				most, sum = max(most, s.Iterations()), sum+s.Iterations()
			}
			t.Logf("%.1f iterations on average, %d at most", float64(sum)/seeds, most)
		})
	}
}

// unlimited is a law without limiting: Newton's method with it runs into overflow, and the damped iteration has to help.
type unlimited struct{ *junction }

func (unlimited) Limit(next, _ float64) float64 { return next }
func (unlimited) Seed() float64                 { return 0 }

// stubborn is a law that never lets Newton's method move.
type stubborn struct{ circuit.Law }

func (stubborn) Limit(_, last float64) float64 { return last }

func TestDampedIterationHelps(t *testing.T) {
	for _, c := range []struct {
		name string
		wrap func(circuit.Law) circuit.Law
	}{
		{"laws that do not limit", func(l circuit.Law) circuit.Law {
			if d, ok := l.(*junction); ok {
				return unlimited{d}
			}
			return l
		}},
		{"laws that do not move", func(l circuit.Law) circuit.Law { return stubborn{l} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			for seed := range uint64(15) {
				h := newHarness(60, seed, false)
				want := compiled(t, h)
				s := compiledWith(t, h, c.wrap)
				require.NoError(t, s.Solve(), "seed %d", seed)
				require.InDeltaSlice(t, want.Voltages(), s.Voltages(), 1e-7, "seed %d", seed)
			}
		})
	}
}

// compiledWith compiles a harness with its laws wrapped.
func compiledWith(t *testing.T, h *harness, wrap func(circuit.Law) circuit.Law) *circuit.Solver {
	t.Helper()
	s, err := circuit.Compile(&h.net)
	require.NoError(t, err)
	for _, id := range append(append([]circuit.ID(nil), h.lamps...), h.diodes...) {
		_, _, br := h.net.Branch(id)
		s.SetLaw(id, wrap(br.(circuit.Curve).Law))
	}
	s.Cold()
	return s
}

// odd is a law made of one function.
type odd func(v float64) (i, g float64)

func (f odd) At(v float64) (i, g float64) { return f(v) }
func (odd) Limit(next, _ float64) float64 { return next }

func TestLawsThatCannotBeSolved(t *testing.T) {
	step := odd(func(v float64) (float64, float64) { return math.Copysign(1, v), 0 }) // jumps over the 0.5 A that are asked for
	cases := []struct {
		name string
		law  circuit.Law
		want string
	}{
		{"jump", step, `branch "odd" between a and ground: no operating point`},
		{"falls", odd(func(v float64) (float64, float64) { return -v, -1 }), `branch "odd": slope must be 0 or more`},
		{"not a number", odd(func(v float64) (float64, float64) { return math.NaN(), 1 }), `branch "odd": current must be finite`},
		{"slope not a number", odd(func(v float64) (float64, float64) { return 0, math.NaN() }), `branch "odd": slope must be finite`},
		{"slope without end", odd(func(v float64) (float64, float64) { return 0, math.Inf(1) }), `branch "odd": slope must be finite`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := text(t, "I 0 a amp 0.5; H a 0 lamp 1 12")
			f.add("odd", "a", "0", circuit.Curve{Law: c.law})
			f.compile(t)
			err := f.Solve()
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			volts, ohms := f.Thevenin(1, 0)
			assert.True(t, math.IsNaN(volts) && math.IsNaN(ohms), "no numbers without a solution")
			f.SetLaw(f.ids["odd"], &filament{i0: 1, v0: 12})
			assert.NoError(t, f.Solve(), "a good law mends it")
		})
	}
}

func TestConvergenceErrorIsTyped(t *testing.T) {
	f := text(t, "I 0 a amp 0.5; R a 0 ohm 1e9")
	f.add("jump", "a", "0", circuit.Curve{Law: odd(func(v float64) (float64, float64) { return math.Copysign(1, v), 0 })})
	f.compile(t)
	var e *circuit.ConvergenceError
	require.True(t, errors.As(f.Solve(), &e))
	assert.Equal(t, "jump", e.Name)
	assert.Equal(t, f.ids["jump"], e.Branch)
	assert.Positive(t, e.Iterations)
	assert.Positive(t, e.Excess)
}

// A law that changes is evaluated again, one that does not is left alone.
func TestSetLaw(t *testing.T) {
	f := text(t, "E a 0 volt 12 0.01; H a 0 lamp 4.58 12").solve(t)
	before := f.amps("H")
	f.SetLaw(f.ids["H"], &filament{i0: 1.75, v0: 12})
	f.solve(t)
	assert.InDelta(t, 1.75, f.amps("H"), 0.01)
	f.SetLaw(f.ids["H"], &filament{i0: 4.58, v0: 12})
	f.solve(t)
	assert.InDelta(t, before, f.amps("H"), 1e-9)
}

func ExampleSolver_Solve() {
	var n circuit.Netlist
	post, lamp := n.Node("battery +"), n.Node("lamp")
	n.Add("battery", post, circuit.Ground, circuit.Source{EMF: 12.6, Ohms: 0.01})
	wire := n.Add("wire", post, lamp, circuit.Resistor{Ohms: 0.03})
	n.Add("lamp", lamp, circuit.Ground, circuit.Resistor{Ohms: 2.6})
	s, err := circuit.Compile(&n)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := s.Solve(); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f V at the lamp, %.2f A\n", s.Voltage(lamp), s.Current(wire))
	s.SetOhms(wire, 1.5) // corroded
	if err := s.Solve(); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f V at the lamp, %.2f A\n", s.Voltage(lamp), s.Current(wire))
	// Output:
	// 12.41 V at the lamp, 4.77 A
	// 7.97 V at the lamp, 3.07 A
}
