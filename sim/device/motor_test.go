package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func motor(t testing.TB, values map[string]float64) *device.Motor {
	v := map[string]float64{"amps": 8}
	for k, x := range values {
		v[k] = x
	}
	return create(t, "motor", v).(*device.Motor)
}

// fed puts a motor on a source through a resistance.
func fed(t testing.TB, d device.Device, emf, ohms float64) (*rig, circuit.ID) {
	r := newRig(t, 1).add(d, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: emf, Ohms: ohms})
	return r.compile(), source
}

func TestMotorMeetsItsRating(t *testing.T) {
	for _, rub := range []float64{1, 20, 80, 100} {
		m := motor(t, map[string]float64{"rub": rub})
		r, source := fed(t, m, 12, 1e-6)
		r.solve(device.Moving)
		assert.InEpsilon(t, 40, -r.solver.Current(source), 1e-4, "starts with its standing current, five times the running one")
		r.settle()
		assert.InEpsilon(t, 8, -r.solver.Current(source), 1e-4, "runs with its rated current")
		assert.InEpsilon(t, 1, m.Speed(), 1e-4, "at its rated speed")
		assert.Equal(t, "runs", m.Effect(r.solver).Word)
		r.solver.SetEMF(source, -12)
		r.settle()
		assert.InEpsilon(t, 8, r.solver.Current(source), 1e-4, "the same backwards")
		assert.Equal(t, "runs-back", m.Effect(r.solver).Word)
	}
}

// A load that does not change with speed makes the balance linear: closed form w = w∞·(1 - e^(-t/τ')), with τ' the mechanical time
// constant stretched by the resistance outside, and a run-down with free terminals that is straight.
func TestMotorAgainstClosedForm(t *testing.T) {
	const tau, outer = 0.1, 0.2
	m := motor(t, map[string]float64{"rub": 100, "spin-up": tau})
	r, source := fed(t, m, 12, outer)
	armature := 12.0 / 40
	final := (12 - 8*(armature+outer)) / (12 - 8*armature)
	stretched := tau * (armature + outer) / armature
	for range 50 {
		r.march(0.01, math.Inf(1))
		want := final * (1 - math.Exp(-r.past/stretched))
		assert.InDelta(t, want, m.Speed(), 2e-4, "after %g s", r.past)
	}
	r.march(1, math.Inf(1))
	assert.InDelta(t, final, m.Speed(), 2e-3)
	r.solver.SetOhms(source, math.Inf(1))
	start, from := r.past, m.Speed()
	h := tau * (12 - 8*armature) / (8 * armature)
	for m.Speed() > 0 {
		r.march(0.01, math.Inf(1))
		assert.InDelta(t, max(0, from-(r.past-start)/h), m.Speed(), 1e-4, "%g s after the supply was cut", r.past-start)
		assert.InDelta(t, m.Speed()*(12-8*armature), r.volts(1), 1e-3, "a motor that runs down is a generator")
		require.Less(t, r.past, 5.0)
	}
	assert.InDelta(t, from*h, r.past-start, 0.02, "stands after")
}

// A fan runs down with dw/dt = -(rub + (1-rub)·w²)/H: from rated speed it stands after H·atan(√((1-rub)/rub))/√(rub·(1-rub)).
func TestFanRunsDown(t *testing.T) {
	m := motor(t, map[string]float64{"rub": 20, "spin-up": 0.1})
	r, source := fed(t, m, 12, 1e-6)
	r.settle()
	r.solver.SetOhms(source, math.Inf(1))
	at := 0.0
	for m.Speed() > 0 {
		r.march(0.001, math.Inf(1))
		at += 0.001
		require.Less(t, at, 20.0)
	}
	h := 0.1 * 4
	assert.InDelta(t, h*math.Atan(math.Sqrt(0.8/0.2))/math.Sqrt(0.2*0.8), at, 0.005)
	assert.Equal(t, "still", m.Effect(r.solver).Word)
}

// With its terminals joined a turning motor brakes itself: much faster than it runs down.
func TestMotorBrakesWhenShorted(t *testing.T) {
	m := motor(t, nil)
	r, source := fed(t, m, 12, 0.01)
	r.settle()
	r.solver.SetEMF(source, 0)
	r.solve(device.Moving)
	assert.Greater(t, r.solver.Current(source), 20.0, "pushes its own current")
	r.march(0.3, math.Inf(1))
	assert.Less(t, m.Speed(), 0.05)
}

func TestMotorDefects(t *testing.T) {
	m := motor(t, nil)
	r, source := fed(t, m, 12, 0.01)
	run := func() (amps float64, word string) {
		r.march(10, math.Inf(1))
		amps = -r.solver.Current(source)
		r.settle()
		assert.InDelta(t, amps, -r.solver.Current(source), 0.05, "settled")
		return amps, m.Effect(r.solver).Word
	}
	for _, c := range []struct {
		defect      string
		severity    float64
		least, most float64
		word        string
	}{
		{"", 0, 7.9, 8.1, "runs"}, {"open", 0, 0, 1e-6, "still"}, {"jammed", 0, 38, 40, "still"}, {"brushes-worn", 2, 3, 4.5, "slow"},
		{"winding-shorted", 0.1, 110, 130, "runs"}, {"stiff", 100, 13, 16, "runs"}, {"stiff", 400, 32, 40, "slow"}, {"brushes-worn", 50, 0, 0.3, "still"},
	} {
		require.NoError(t, m.Spoil(c.defect, c.severity))
		amps, word := run()
		assert.True(t, amps >= c.least && amps <= c.most, "%s %g: %g A", c.defect, c.severity, amps)
		assert.Equal(t, c.word, word, "%s %g", c.defect, c.severity)
	}
	require.NoError(t, m.Spoil("", 0))
	amps, _ := run()
	assert.InEpsilon(t, 8, amps, 0.01)
}

func TestMotorLawRises(t *testing.T) {
	for _, rub := range []float64{1, 20, 80, 100} {
		law := device.MotorLaw(motor(t, map[string]float64{"rub": rub}))
		last := 0.0
		for v := 0.01; v < 40; v += 0.01 {
			i, g := law.At(v)
			require.GreaterOrEqual(t, i, last-1e-12, "%g V", v)
			require.GreaterOrEqual(t, g, 0.0)
			up, _ := law.At(v + 1e-6)
			down, _ := law.At(v - 1e-6)
			// At the one voltage where it begins to turn the slope jumps.
			if math.Abs(v-rub/100*12/5) > 2e-6 {
				assert.InDelta(t, (up-down)/2e-6, g, 1e-3, "%g V: slope", v)
			}
			last = i
		}
	}
}

// Two motors in series, and one behind a lamp, from cold at many voltages.
func TestMotorsConverge(t *testing.T) {
	for v := -30.0; v <= 30; v += 0.37 {
		r := newRig(t, 2).add(motor(t, nil), 1, 2).add(motor(t, map[string]float64{"rub": 90}), 2, 0).add(lamp(t, 12, 55), 2, 0)
		r.branch(1, 0, circuit.Source{EMF: v, Ohms: 0.02})
		r.compile().settle()
		assert.LessOrEqual(t, r.solver.Iterations(), 25, "%g V", v)
	}
}

// Starting and running down of a fan on a supply with resistance, against ngspice, which gets the same two equations: its node w is
// the speed, charged by a capacitor of H farads.
func TestMotorStartAgainstNgspice(t *testing.T) {
	deck := `fan motor: start at 0 s, supply cut at 1 s
vb b 0 12.6
s1 b in ctl 0 contact
vctl ctl 0 pulse(1 0 1 1u 1u 10 20)
.model contact sw(vt=0.5 vh=0.1 ron=0.05 roff=1e9)
vsense in m 0
ra m e 0.3
be e 0 v=9.6*v(w)
rs in 0 1e6
bload 0 w i=i(vsense)/8-(v(w)>0?0.2+0.8*v(w)*v(w):0)
cw w 0 0.4 ic=0
.options reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=15
set wr_singlescale
tran 10m 2 0 0.2m uic
linearize v(w) i(vsense)
wrdata out v(w) i(vsense)
quit 0
.endc
.end
`
	answer := spice(t, "motor", deck)
	m := motor(t, nil) // 12 V, 8 A, five times that standing, rub 20 %, 0.1 s
	r, source := fed(t, m, 12.6, 0.05)
	worstSpeed, worstAmps := 0.0, 0.0
	for _, row := range answer {
		at := row[0]
		if at > 1 && r.past <= 1 {
			r.march(1-r.past, 1e-3)
			r.solver.SetOhms(source, 1e6)
		}
		r.march(max(0, at-r.past), 1e-3)
		if math.Abs(at-1) < 0.02 || at < 0.02 || at > 1.9 {
			continue
		}
		r.solve(device.Moving)
		speed, amps := m.Speed()-row[1], -r.solver.Current(source)-row[2]
		if at > 1 {
			amps = 0
		}
		worstSpeed, worstAmps = max(worstSpeed, math.Abs(speed)), max(worstAmps, math.Abs(amps))
	}
	t.Logf("%d points, at most %.2g of rated speed and %.2g A apart", len(answer), worstSpeed, worstAmps)
	assert.Less(t, worstSpeed, 1e-4, "of rated speed")
	assert.Less(t, worstAmps, 0.005, "of 36 A at the start")
}
