package circuit_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// response is a circuit that is left to itself from stored values, with the closed form of what one of its stores holds.
type response struct {
	name, text string
	from       map[string]float64 // what is stored at the start
	watch      string             // branch
	want       func(t float64) float64
	span       float64 // seconds to look at
	size       float64 // of what is watched
}

// The closed forms are those of any textbook: first-order responses x∞ + (x₀ - x∞)·exp(-t/τ), and the damped oscillation of a
// series circuit of R, L and C on a step.
func responses() []response {
	rlc := func(r, l, c, e float64) func(t float64) float64 {
		a := r / (2 * l)
		w := math.Sqrt(1/(l*c) - a*a)
		return func(t float64) float64 {
			return e * (1 - math.Exp(-a*t)*(math.Cos(w*t)+a/w*math.Sin(w*t)))
		}
	}
	return []response{
		{"RC charges", "E a 0 volt 12 100; C a 0 farad 1e-4 0", nil, "C",
			func(t float64) float64 { return 12 * (1 - math.Exp(-t/0.01)) }, 0.03, 12},
		{"RC with series resistance discharges", "R a 0 ohm 70; C a 0 farad 1e-4 30", map[string]float64{"C": 12}, "C",
			func(t float64) float64 { return 12 * math.Exp(-t/0.01) }, 0.03, 12},
		{"RL builds up", "E a 0 volt 12 2; L a 0 henry 0.1 8", nil, "L",
			func(t float64) float64 { return 1.2 * (1 - math.Exp(-t/0.01)) }, 0.03, 1.2},
		{"RL runs down", "R a 0 ohm 90; L a 0 henry 0.1 10", map[string]float64{"L": 2}, "L",
			func(t float64) float64 { return 2 * math.Exp(-t/0.001) }, 0.003, 2},
		{"RLC rings", "E a 0 volt 12 1; L a b henry 0.01 1; C b 0 farad 1e-5 0", nil, "C",
			rlc(2, 0.01, 1e-5, 12), 0.006, 12},
		{"two equal RC in a row", "E a 0 volt 1 1; C a 0 farad 1 0; R a b ohm 1; D b 0 farad 1 0", nil, "D",
			func(t float64) float64 { // poles at -(3±√5)/2 with R = C = 1
				p, q := (3-math.Sqrt(5))/2, (3+math.Sqrt(5))/2
				return 1 - (q*math.Exp(-p*t)-p*math.Exp(-q*t))/(q-p)
			}, 6, 1},
	}
}

// run steps a response with n steps and returns the largest error of what is watched.
func (r *response) run(t *testing.T, n int) float64 {
	t.Helper()
	f := text(t, r.text)
	for name, x := range r.from {
		f.SetStored(f.ids[name], x)
	}
	dt, worst := r.span/float64(n), 0.0
	for i := range n {
		require.NoError(t, f.Step(dt))
		worst = max(worst, math.Abs(f.Stored(f.ids[r.watch])-r.want(dt*float64(i+1))))
	}
	return worst
}

// Each halving of the step divides the error by four, the abrupt start included.
func TestOrderOfAccuracy(t *testing.T) {
	for _, r := range responses() {
		t.Run(r.name, func(t *testing.T) {
			var errs []float64
			for _, n := range []int{500, 1000, 2000, 4000, 8000} {
				errs = append(errs, r.run(t, n))
			}
			for i := 1; i < len(errs); i++ {
				assert.InDelta(t, 2, math.Log2(errs[i-1]/errs[i]), 0.1, "order from errors %.3g", errs)
			}
			assert.Less(t, errs[len(errs)-1], 1e-5*r.size)
		})
	}
}

// A part that is faster than the step goes to rest, it does not go on alternating.
func TestFastPartsDoNotRing(t *testing.T) {
	for _, ohms := range []float64{300, 1e3, 1e4, 1e5, 1e6, 1e9} {
		t.Run(fmt.Sprint(ohms), func(t *testing.T) {
			f := text(t, fmt.Sprintf("E a 0 volt 12 0.1; S a b ohm 0.01; L b 0 henry 0.01 12; R b 0 ohm %g", ohms)).solve(t)
			f.SetOhms(f.ids["S"], math.Inf(1))
			kick := f.Stored(f.ids["L"]) * ohms
			for i := range 100 {
				require.NoError(t, f.Step(1e-5)) // L/R is 33 µs to 10 ps
				require.LessOrEqual(t, f.volts("b", "0"), 1e-3*kick, "the free end goes negative, step %d", i)
			}
			assert.InDelta(t, 0, f.volts("b", "0"), 1e-6*kick)
		})
	}
}

// A coil that is cut off drives its current on through the diode across it.
func TestSuppressionDiode(t *testing.T) {
	f := text(t, "E a 0 volt 12 0.05; S a b ohm 0.01; L b 0 henry 0.1 80; D 0 b diode 1e-12 1.2").solve(t)
	i0 := f.Stored(f.ids["L"])
	f.SetOhms(f.ids["S"], math.Inf(1))
	prev := i0
	for range 3000 {
		require.NoError(t, f.Step(1e-6))
		i := f.Stored(f.ids["L"])
		require.LessOrEqual(t, i, prev*(1+1e-9), "it only falls")
		prev = i
		if i > 0.01*i0 {
			require.InDelta(t, -1.2*thermalVoltage(27)*math.Log(i/1e-12), f.volts("b", "0"), 1e-6, "one diode below ground")
		}
		require.InDelta(t, 0, f.amps("D")-f.amps("L"), 1e-9, "all through the diode")
	}
	// L·i' = -R·i - Vd with Vd near 0.8 V.
	at := func(t float64) float64 { return (i0+0.8/80)*math.Exp(-t*80/0.1) - 0.8/80 }
	assert.InDelta(t, at(0.003), prev, 0.005)
}

// Charge that flows is charge that is stored, and what a source gives is what resistors take and stores hold.
func TestEnergyBalance(t *testing.T) {
	f := text(t, "E a 0 volt 12 1; L a b henry 0.01 1; C b 0 farad 1e-4 0.2; R b 0 ohm 30")
	given, heat := 0.0, 0.0
	const dt = 2e-6
	power := func() (source, resistors float64) {
		i := -f.amps("E")
		return 12 * i, i*i + f.amps("L")*f.amps("L") + 0.2*f.amps("C")*f.amps("C") + f.Power(f.ids["R"])
	}
	lastGiven, lastHeat := 0.0, 0.0
	for range 5000 {
		require.NoError(t, f.Step(dt))
		g, h := power()
		given += dt * (g + lastGiven) / 2
		heat += dt * (h + lastHeat) / 2
		lastGiven, lastHeat = g, h
	}
	u, i := f.Stored(f.ids["C"]), f.Stored(f.ids["L"])
	held := 1e-4*u*u/2 + 0.01*i*i/2
	assert.InEpsilon(t, given, heat+held, 1e-5)
}

// Solve is where Step ends up, and Step stays where Solve has put it.
func TestRestAndMotionMeet(t *testing.T) {
	s := "E a 0 volt 12 0.5; L a b henry 0.02 2; C b 0 farad 1e-3 0.1; H b 0 lamp 1.75 12; D b c diode 1e-12 1.2; G c 0 farad 1e-5 0; R c 0 ohm 100"
	moved, rest := text(t, s), text(t, s).solve(t)
	for range 4000 {
		require.NoError(t, moved.Step(1e-4))
	}
	assert.InDeltaSlice(t, rest.Voltages(), moved.Voltages(), 1e-7)
	for range 20 {
		require.NoError(t, rest.Step(1e-3))
	}
	assert.InDeltaSlice(t, moved.Voltages(), rest.Voltages(), 1e-7)
	for _, b := range []string{"L", "C", "G"} {
		assert.InDelta(t, rest.Stored(rest.ids[b]), moved.Stored(moved.ids[b]), 1e-7, b)
	}
	require.NoError(t, moved.Solve())
	assert.InDeltaSlice(t, rest.Voltages(), moved.Voltages(), 1e-7)
}

// The estimate of a step's error is the real one: what a step makes of what is held, against what exact exponentials do.
func TestStepError(t *testing.T) {
	f := text(t, "E a 0 volt 12 100; C a 0 farad 1e-4 0; F b 0 volt 12 2; L b 0 henry 0.1 8")
	const dt, tau = 2e-4, 0.01 // both
	decay := math.Exp(-dt / tau)
	for i := range 100 {
		u, a := f.Stored(f.ids["C"]), f.Stored(f.ids["L"])
		require.NoError(t, f.Step(dt))
		volts, amps := f.StepError()
		if i < 4 {
			assert.Equal(t, i < 3, math.IsNaN(volts) && math.IsNaN(amps), "not known so early, step %d", i)
			continue
		}
		assert.InEpsilon(t, math.Abs(12+(u-12)*decay-f.Stored(f.ids["C"])), volts, 0.1, "volts, step %d", i)
		assert.InEpsilon(t, math.Abs(1.2+(a-1.2)*decay-f.Stored(f.ids["L"])), amps, 0.1, "amperes, step %d", i)
	}
}

// After any setter the next step sees the new value, and what was not abrupt keeps the order.
func TestStepSetters(t *testing.T) {
	f := text(t, "E a 0 volt 0 100; C a 0 farad 1e-4 0; I 0 b amp 0; L b 0 henry 0.1 10; R b 0 ohm 1e6").solve(t)
	e, c, l := f.ids["E"], f.ids["C"], f.ids["L"]
	const dt, rise = 1e-5, 120.0
	// A source that rises evenly: after the start the capacitor follows at a distance of rise·τ.
	for i := range 20000 {
		f.SetEMF(e, rise*dt*float64(i+1))
		require.NoError(t, f.Step(dt))
	}
	assert.InDelta(t, rise*(0.2-0.01), f.Stored(c), 1e-6)
	f.SetFarads(c, 2e-4)
	require.NoError(t, f.Step(1e-9))
	assert.InDelta(t, rise*(0.2-0.01), f.Stored(c), 1e-6, "the voltage stays")
	f.SetAmps(f.ids["I"], 2)
	for range 3000 {
		require.NoError(t, f.Step(1e-3))
	}
	assert.InDelta(t, 2, f.Stored(l), 1e-4)
	f.SetHenries(l, 0.5)
	require.NoError(t, f.Step(1e-9))
	assert.InDelta(t, 2, f.Stored(l), 1e-4, "the current stays")
	f.SetOhms(l, math.Inf(1))
	require.NoError(t, f.Step(1e-9))
	assert.Zero(t, f.Stored(l), "a broken winding")
	f.SetOhms(c, math.Inf(1))
	before := f.Stored(c)
	for range 10 {
		require.NoError(t, f.Step(1))
	}
	assert.Equal(t, before, f.Stored(c), "a capacitor that is cut off keeps its charge")
	for _, dt := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		require.ErrorContains(t, f.Step(dt), "step must be between")
	}
	f.SetStored(c, math.NaN())
	require.ErrorContains(t, f.Step(1), `branch "C": stored voltage`)
	f.SetStored(c, 1)
	require.NoError(t, f.Step(1))
	assert.Panics(t, func() { f.Stored(e) })
	assert.Panics(t, func() { f.SetStored(e, 1) })
	assert.Panics(t, func() { f.SetFarads(l, 1) })
	assert.Panics(t, func() { f.SetHenries(c, 1) })
}

// A step that fails leaves what is stored as it was.
func TestStepThatFails(t *testing.T) {
	f := text(t, "E a 0 volt 12 10; C a 0 farad 1e-4 0; H a 0 lamp 0.1 12")
	require.NoError(t, f.Step(1e-3))
	held := f.Stored(f.ids["C"])
	f.SetLaw(f.ids["H"], odd(func(v float64) (float64, float64) { return math.Copysign(50, v-held-0.01), 0 }))
	require.Error(t, f.Step(1e-3))
	assert.Equal(t, held, f.Stored(f.ids["C"]))
	f.SetLaw(f.ids["H"], &filament{i0: 0.1, v0: 12})
	require.NoError(t, f.Step(1e-3))
	assert.Greater(t, f.Stored(f.ids["C"]), held)
}

// A snapshot in mid-motion leads to the same again.
func TestSnapshotInMotion(t *testing.T) {
	f := text(t, "E a 0 volt 12 1; L a b henry 0.01 1; C b 0 farad 1e-5 0; H b 0 lamp 0.2 12")
	for range 50 {
		require.NoError(t, f.Step(1e-5))
	}
	k := f.Snapshot()
	twin := f.Clone()
	var first []float64
	for range 100 {
		require.NoError(t, f.Step(1e-5))
		first = append(first, f.Stored(f.ids["C"]))
	}
	f.Restore(k)
	for i := range 100 {
		require.NoError(t, f.Step(1e-5))
		require.NoError(t, twin.Step(1e-5))
		require.InDelta(t, first[i], f.Stored(f.ids["C"]), 1e-10)
		require.Equal(t, first[i], twin.Stored(f.ids["C"]))
	}
}

// Currents add up at every node in every step of a harness with coils, capacitors, lamps and a supply that is switched.
func TestCurrentLawInMotion(t *testing.T) {
	h := newHarness(120, 9, false)
	relay := addCoils(h)
	s, err := circuit.Compile(&h.net)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	for i := range 400 {
		s.SetOhms(relay, []float64{0.01, math.Inf(1)}[i/40%2])
		require.NoError(t, s.Step(5e-5), "step %d", i)
		sum, size := make([]float64, s.Nodes()), make([]float64, s.Nodes())
		for id := range h.net.Branches() {
			a, b := s.Ends(circuit.ID(id))
			amps := s.Current(circuit.ID(id))
			sum[a] += amps
			sum[b] -= amps
			size[a] += math.Abs(amps)
			size[b] += math.Abs(amps)
		}
		for n := 1; n < s.Nodes(); n++ {
			sum[n] += circuit.LeakSiemens * s.Voltage(circuit.Node(n))
			// 1,000 S of a wire at 13 V are rounded to 3e-12 A.
			require.LessOrEqual(t, math.Abs(sum[n]), 2e-11+1e-13*size[n], "step %d, node %d", i, n)
		}
	}
}

// addCoils puts ten inductors and capacitors into a harness and a contact, which it returns.
func addCoils(h *harness) circuit.ID {
	post, _, _ := h.net.Branch(h.battery)
	fed := h.net.Node("switched")
	relay := h.net.Add("contact", post, fed, circuit.Resistor{Ohms: 0.01})
	for i := range 5 {
		at := circuit.Node(5 + i*(h.net.Nodes()-10)/5)
		h.net.Add(fmt.Sprintf("coil%d", i), fed, circuit.Ground, circuit.Inductor{Henries: 0.1, Ohms: 80})
		h.net.Add(fmt.Sprintf("filter%d", i), at, circuit.Ground, circuit.Capacitor{Farads: 1e-5, Ohms: 0.1})
	}
	h.net.Add("suppressor", circuit.Ground, fed, circuit.Curve{Law: newJunction(1e-12, 0.031)})
	return relay
}
