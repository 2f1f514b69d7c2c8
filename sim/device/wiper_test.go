package device_test

import (
	"maps"
	"math"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wiperRig is a wiper of 13 V on a source, with a switch that joins 53 to plus (1), 53i to plus (2) or 53 to 31b (0).
type wiperRig struct {
	*rig
	m      *device.Wiper
	source circuit.ID
	throws [3]circuit.ID
}

func newWiper(t testing.TB, values map[string]float64, emf float64) *wiperRig {
	v := map[string]float64{"volts": 13}
	maps.Copy(v, values)
	w := &wiperRig{rig: newRig(t, 4), m: create(t, "wiper", v).(*device.Wiper)}
	w.add(w.m, 1, 2, 3, 4, 0)
	w.source = w.branch(3, 0, circuit.Source{EMF: emf, Ohms: 1e-3})
	for i, ends := range [3][2]int{{1, 4}, {3, 1}, {3, 2}} {
		w.throws[i] = w.branch(ends[0], ends[1], circuit.Resistor{Ohms: math.Inf(1)})
	}
	w.compile()
	w.set(0)
	return w
}

// set puts the wiper switch into a position.
func (w *wiperRig) set(k int) {
	for i, b := range w.throws {
		ohms := math.Inf(1)
		if i == k {
			ohms = 0.005
		}
		w.solver.SetOhms(b, ohms)
	}
}

func (w *wiperRig) amps() float64 { return -w.solver.Current(w.source) }
func (w *wiperRig) word() string  { return w.m.Effect(w.solver).Word }

func TestWiperMeetsItsRating(t *testing.T) {
	for _, rub := range []float64{40, 80, 100} {
		w := newWiper(t, map[string]float64{"rub": rub}, 13)
		w.settle()
		assert.Equal(t, "parked", w.word())
		w.set(1)
		w.solve(device.Moving)
		assert.InDelta(t, 20, w.amps(), 0.2, "starts with five times the running current")
		w.settle()
		assert.InDelta(t, 1, w.m.Speed(), 3e-3, "the supply has some resistance")
		assert.InDelta(t, 4, w.amps(), 0.01)
		assert.Equal(t, "wipes", w.word())
		w.set(2)
		w.settle()
		assert.InDelta(t, 1.45, w.m.Speed(), 7e-3, "rub %g %%", rub)
		assert.Equal(t, "fast", w.word())
	}
}

// The higher speed of a wiper must be 45 wipes a minute or more and 15 more than a lower one, that 20 or more (49 CFR 571.104 S4.1.1,
// from memory): here also with an engine at rest, 12.6 V instead of 13.
func TestWiperSpeedsAreThoseRequired(t *testing.T) {
	w := newWiper(t, nil, 12.6)
	w.set(1)
	w.settle()
	slow := 45 * w.m.Speed()
	w.set(2)
	w.settle()
	fast := 45 * w.m.Speed()
	assert.GreaterOrEqual(t, slow, 20.0)
	assert.GreaterOrEqual(t, fast, 45.0)
	assert.GreaterOrEqual(t, fast-slow, 15.0)
}

// Switched off anywhere, it runs on, at most for a wipe, and stands still in its park position without current; the steady state is
// the same at once.
func TestWiperParks(t *testing.T) {
	for i := range 12 {
		w := newWiper(t, nil, 13)
		w.settle()
		w.set(1 + i%2)
		w.march(1.5+0.11*float64(i), math.Inf(1))
		require.False(t, w.m.Parked())
		w.set(0)
		w.solve(device.Moving)
		assert.InDelta(t, 4, w.amps(), 20, "still fed through 31b")
		w.march(60.0/45+0.3, math.Inf(1))
		assert.True(t, w.m.Parked(), "switched off after run %d", i)
		assert.Zero(t, w.m.Speed())
		assert.InDelta(t, 0, w.amps(), 1e-6)
		assert.Equal(t, "parked", w.word())
		volts := w.volts(1)
		w.settle()
		assert.Equal(t, "parked", w.word())
		assert.InDelta(t, volts, w.volts(1), 1e-9)
		w.set(1)
		w.settle()
		require.Equal(t, "wipes", w.word())
		w.march(1, math.Inf(1))
		w.settle()
		assert.InDelta(t, 0.9*13, w.volts(4), 0.1, "31b is at plus for nine tenths of each wipe")
		w.set(0)
		w.settle()
		assert.Equal(t, "parked", w.word(), "at once")
		assert.InDelta(t, 0, w.volts(4), 1e-6, "31b is at ground when it is parked")
	}
}

// Braked by its own short, with a load that does not change with speed: H·dw/dt = -1 - k·w with k = emf/(R·I rated) gives
// w = (w₀ + 1/k)·e^(-t/τ) - 1/k and so the way (w₀ - ln(1 + k·w₀)/k)·τ, τ = H/k; without the brake it is H·w₀²/2.
func TestWiperBrakesAgainstClosedForm(t *testing.T) {
	const tau, ohms, emf = 0.1, 13.0 / 20, 13 - 13.0/5
	w := newWiper(t, map[string]float64{"rub": 100, "spin-up": tau}, 13)
	w.settle()
	w.set(1)
	w.march(3, math.Inf(1))
	w.set(0)
	for !w.m.Parked() {
		w.march(1e-4, math.Inf(1))
		require.Less(t, w.past, 6.0)
	}
	start, at := w.m.Speed(), w.m.State()[2]
	w.march(1, math.Inf(1))
	k := emf / (ohms * 4)
	loop := ohms + 0.005 + 0.01 // winding, wiper switch, park contact
	k2 := emf / (loop * 4)
	h := tau * k
	way := (start - math.Log(1+k2*start)/k2) * h / k2 * 45 / 60
	assert.InDelta(t, way, w.m.State()[2]-at, 2e-4, "turns")
	assert.Greater(t, h*start*start/2*45/60, 0.1, "unbraked it would leave the park sector")
}

func TestWiperDefects(t *testing.T) {
	for _, c := range []struct {
		defect           string
		severity         float64
		off, slow, quick string
	}{
		{"", 0, "parked", "wipes", "fast"},
		{"open", 0, "stopped", "stopped", "stopped"},
		{"slow-brush-open", 0, "stopped", "stopped", "fast"},
		{"fast-brush-open", 0, "parked", "wipes", "stopped"},
		{"brushes-worn", 1.5, "parked", "slow", "slow"},
		{"jammed", 0, "stopped", "stopped", "stopped"},
		{"stiff", 100, "parked", "wipes", "wipes"},
		{"park-plus-open", 0, "stopped", "wipes", "fast"},
		{"park-ground-open", 0, "wipes", "wipes", "fast"},
		{"park-burnt", 50, "stopped", "wipes", "fast"},
	} {
		t.Run(c.defect, func(t *testing.T) {
			for _, how := range []string{"at once", "in time"} {
				w := newWiper(t, nil, 13)
				w.settle()
				w.set(1)
				w.march(2, math.Inf(1)) // away from its park position
				require.NoError(t, w.m.Spoil(c.defect, c.severity))
				for i, want := range []string{c.off, c.slow, c.quick} {
					w.set(i)
					amps := math.NaN()
					if how == "in time" {
						w.march(8, math.Inf(1))
						amps = w.amps()
					}
					w.settle()
					if how == "at once" && !strings.Contains("stopped parked", want) {
						w.march(0.5, math.Inf(1)) // leaving the park sector takes its time
						w.settle()
					}
					assert.Equal(t, want, w.word(), "%s, switch at %d", how, i)
					if how == "in time" {
						assert.InDelta(t, w.amps(), amps, 1e-4, "at rest")
					}
					if i == 0 && how == "in time" && want == "stopped" {
						assert.False(t, w.m.Parked())
					}
				}
			}
		})
	}
}

// Start at the lower speed and change to the higher one, on a supply with resistance, against ngspice with the same equations: its node w
// is the speed, charged by a capacitor of H farads.
func TestWiperAgainstNgspice(t *testing.T) {
	// 13 V, 4 A, five times that standing, 145 %, rub 80 %, 0.1 s: R = 0.65 ohm, e = 10.4 V, H = 0.4 s; the load at the higher speed is
	// 0.8 + 0.2·1.45², and n₂ = (13 - 0.65·4·1.2205)/(1.45·10.4) = 0.6516352785.
	deck := `wiper motor: lower speed at 0 s, higher speed at 1 s
vb b 0 12.6
s1 b in1 c1 0 contact
s2 b in2 c2 0 contact
v1 c1 0 pulse(1 0 1 1u 1u 10 20)
v2 c2 0 pulse(0 1 1 1u 1u 10 20)
.model contact sw(vt=0.5 vh=0.1 ron=0.05 roff=1e6)
va1 in1 m1 0
ra1 m1 e1 0.65
be1 e1 0 v=10.4*v(w)
va2 in2 m2 0
ra2 m2 e2 0.423562931
be2 e2 0 v=6.7770068966*v(w)
bload 0 w i=(i(va1)+0.6516352785*i(va2))/4-(0.8+0.2*v(w)*v(w))
cw w 0 0.4 ic=0.0001
.options reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=15
set wr_singlescale
tran 10m 2 0 0.2m uic
linearize v(w) i(va1) i(va2)
wrdata out v(w) i(va1) i(va2)
quit 0
.endc
.end
`
	answer := spice(t, "wiper", deck)
	m := create(t, "wiper", map[string]float64{"volts": 13}).(*device.Wiper)
	r := newRig(t, 3).add(m, 1, 2, 0, 0, 0)
	r.branch(3, 0, circuit.Source{EMF: 12.6, Ohms: 1e-9})
	one := r.branch(3, 1, circuit.Resistor{Ohms: 0.05})
	two := r.branch(3, 2, circuit.Resistor{Ohms: 1e6})
	r.compile()
	worstSpeed, worstAmps := 0.0, 0.0
	for _, row := range answer {
		at := row[0]
		if at > 1 && r.past <= 1 {
			r.march(1-r.past, 1e-3)
			r.solver.SetOhms(one, 1e6)
			r.solver.SetOhms(two, 0.05)
		}
		r.march(max(0, at-r.past), 1e-3)
		if math.Abs(at-1) < 0.02 || at < 0.02 || at > 1.99 {
			continue
		}
		r.solve(device.Moving)
		worstSpeed = max(worstSpeed, math.Abs(m.Speed()-row[1]))
		worstAmps = max(worstAmps, math.Abs(r.solver.Current(one)-row[2]), math.Abs(r.solver.Current(two)-row[3]))
	}
	t.Logf("%d points, at most %.2g of the speed and %.2g A apart", len(answer), worstSpeed, worstAmps)
	assert.Less(t, worstSpeed, 2e-4, "of the lower speed; its start 1e-4 off is in it")
	assert.Less(t, worstAmps, 0.01, "of 19 A at the start")
}
