package device_test

import (
	"fmt"
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// coilRig is a relay on 12.6 V through a contact of 50 mΩ, closed or open.
func coilRig(t testing.TB, values map[string]float64) (r *rig, k *device.Relay, contact circuit.ID) {
	k = relay(t, values)
	r = newRig(t, 2).add(k, 0, 2, 0, 0, 0)
	r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 1e-6})
	contact = r.branch(1, 2, circuit.Resistor{Ohms: 0.05})
	return r.compile(), k, contact
}

// A coil of 100 Ω and 0.5 H builds up its current with L/R; broken, it drives it through what there is: its losses, a resistor, a diode.
func TestRelayCoilKicks(t *testing.T) {
	for _, c := range []struct {
		name        string
		values      map[string]float64
		least, most float64 // volts of the kick
	}{
		{"plain", nil, -400, -100},
		{"resistor", map[string]float64{"resistor": 680}, -12.6 / 100 * 680, -0.7 * 12.6 / 100 * 680},
		{"diode", map[string]float64{"diode": 1}, -1.1, -0.6},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, k, contact := coilRig(t, c.values)
			winding := 1 / (1.0/100 - 1.0/2000)
			for range 40 {
				r.march(0.0005, math.Inf(1))
				want := 12.6 / winding * (1 - math.Exp(-r.past*winding/0.5))
				assert.InDelta(t, want, k.CoilAmps(), 1e-3*0.126, "after %g s", r.past)
			}
			r.march(0.2, math.Inf(1))
			steady := r.volts(2)
			r.settle()
			assert.InDelta(t, steady, r.volts(2), 1e-5, "at rest as in steady state")
			r.solver.SetOhms(contact, math.Inf(1))
			r.solve(device.Moving)
			assert.True(t, r.volts(2) >= c.least && r.volts(2) <= c.most, "kick of %g V", r.volts(2))
			all := r.march(0.1, math.Inf(1))
			require.Len(t, all, 1, "lets go")
			assert.InDelta(t, 0, r.volts(2), 1e-3, "over")
		})
	}
}

// With a diode the current runs down slowly and the armature waits for it: L·di/dt = -R·i - u with the diode's drop u nearly constant
// takes τ·ln((i + u/R)/(i₀ + u/R)) to fall to a quarter of the rated 0.12 A.
func TestRelayWithDiodeLetsGoLater(t *testing.T) {
	r, _, contact := coilRig(t, map[string]float64{"diode": 1})
	r.march(0.2, math.Inf(1))
	r.solver.SetOhms(contact, math.Inf(1))
	from := r.past
	all := r.march(0.2, math.Inf(1))
	require.Len(t, all, 1)
	winding := 1 / (1.0/100 - 1.0/2000)
	const drop = 0.7
	wait := 0.5 / winding * math.Log((12.6/winding+drop/winding)/(0.03+drop/winding))
	assert.InDelta(t, wait+0.005, all[0].at-from, 0.0006)
	assert.Greater(t, all[0].at-from, 0.009, "twice as late as without")
}

// Pull-in and break, with and without diode, against ngspice with the same coil, losses and diode.
func TestRelayCoilAgainstNgspice(t *testing.T) {
	for _, c := range []struct {
		name   string
		values map[string]float64
	}{{"plain", nil}, {"diode", map[string]float64{"diode": 1}}, {"resistor", map[string]float64{"resistor": 680}}} {
		t.Run(c.name, func(t *testing.T) {
			part := ""
			switch c.name {
			case "diode":
				law := device.RelayDiode()
				part = fmt.Sprintf("d1 0 k suppress\n.model suppress d (is=%.12g n=%.12g rs=%.12g)\n", law.Saturation, law.Emission, law.Series)
			case "resistor":
				part = "rd k 0 680\n"
			}
			deck := `relay coil: fed at 0 s, broken at 40 ms
vb b 0 12.6
s1 b k ctl 0 contact
vctl ctl 0 pulse(1 0 40m 1n 1n 1 2)
.model contact sw(vt=0.5 vh=0.1 ron=0.05 roff=1e9)
rl k 0 2000
rw k w 105.263157894737
l1 w 0 0.5 ic=0
` + part + `.options temp=25 tnom=25 reltol=1e-6 abstol=1e-12 vntol=1e-9 method=gear
.control
set numdgt=15
set wr_singlescale
tran 0.2m 60m 0 2u uic
linearize i(l1) v(k)
wrdata out i(l1) v(k)
quit 0
.endc
.end
`
			answer := spice(t, "relay-"+c.name, deck)
			r, k, contact := coilRig(t, c.values)
			worstAmps, worstVolts := 0.0, 0.0
			for _, row := range answer {
				at := row[0]
				if at > 0.04 && r.past <= 0.04 {
					r.march(0.04-r.past, 1e-5)
					r.solver.SetOhms(contact, 1e9)
				}
				r.march(max(0, at-r.past), 1e-5)
				r.solve(device.Moving)
				if math.Abs(at-0.04) < 1e-4 {
					continue
				}
				worstAmps = max(worstAmps, math.Abs(k.CoilAmps()-row[1]))
				worstVolts = max(worstVolts, math.Abs(r.volts(2)-row[2]))
			}
			t.Logf("%d points, at most %.2g A and %.2g V apart", len(answer), worstAmps, worstVolts)
			// Half a microsecond, within which ngspice finds the instant at which its contact opens, of a decay with 0.24 ms.
			assert.Less(t, worstAmps, 3e-4, "of 0.12 A")
			assert.Less(t, worstVolts, 0.6, "of a kick of up to 240 V")
		})
	}
}

// What is left of a current that has come to its end may flow either way, by rounding. The armature waits for neither.
func TestRestOfCoilCurrentHasNoSign(t *testing.T) {
	r, k, _ := coilRig(t, nil)
	for _, amps := range []float64{-1e-5, -1e-12, 0, 1e-12, 1e-5} {
		state := k.State()
		state[0], state[2] = 0, amps
		k.SetState(state)
		r.solve(device.Moving)
		assert.InDelta(t, 0.007, k.Due(r.solver), 1e-12, "seconds until it pulls in, with %g A left", amps)
	}
}
