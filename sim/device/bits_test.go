package device_test

import (
	"encoding/binary"
	"fmt"
	"hash"
	"hash/fnv"
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
)

// bits gathers the bits of numbers.
type bits struct{ hash.Hash64 }

func (b bits) put(xs ...float64) {
	for _, x := range xs {
		var raw [8]byte
		binary.LittleEndian.PutUint64(raw[:], math.Float64bits(x))
		b.Write(raw[:])
	}
}

// What devices compute must be the same to the last bit on every machine, so that replays agree: the digests are what this test
// gave on linux/amd64, and js/wasm gives the same. One that changes without the model having been changed on purpose is a fault.
func TestSameBitsOnEveryMachine(t *testing.T) {
	law := func(l interface {
		At(v float64) (i, g float64)
	}) func(b bits) {
		return func(b bits) {
			for v := -30.0; v < 30; v += 0.0173 {
				i, g := l.At(v)
				b.put(i, g)
			}
		}
	}
	junction, _, _, _ := device.DiodeLaw(diode(t, nil))
	for _, c := range []struct {
		name, want string
		run        func(b bits)
	}{
		{"exp", "20ab618e3ff865ef", func(b bits) {
			for x := -700.0; x < 700; x += 0.317 {
				b.put(device.Exp(x))
			}
		}},
		{"log", "8c13fe6e4c27abaf", func(b bits) {
			for x := 1e-300; x < 1e300; x *= 1.37 {
				b.put(device.Log(x))
			}
		}},
		{"gauges", "a4c267d796589015", func(b bits) {
			for n := -3; n <= 36; n++ {
				b.put(device.GaugeMM2(n))
			}
		}},
		{"lamp", "e5ba6fdfe5196b43", law(device.LampSteady(lamp(t, 12, 55)))},
		{"fuse", "99c6be45a49d9354", law(device.FuseSteady(create(t, "fuse", map[string]float64{"rating": 25}).(*device.Fuse)))},
		{"diode", "ead8bb2badaa4120", law(junction)},
		{"horn", "143ab78c1efe9f05", law(device.HornLaw(create(t, "horn", nil).(*device.Horn)))},
		{"motor", "c3f9f7e4b2ccedd9", law(device.MotorLaw(motor(t, nil)))},
		{"heater", "c2d0c98064d63ad8", law(device.HeaterLaw(create(t, "heater", map[string]float64{"power": 120, "rise": 3}).(*device.Heater)))},
		{"warming up", "b499529dfcf18cb6", func(b bits) {
			// The source is stiff enough for the solver's rounding not to matter: its voltage is all that the lamp sees.
			l := lamp(t, 12, 55)
			r := newRig(t, 1).add(l, 1, 0)
			source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-12})
			r.compile()
			for k := range 400 {
				r.solver.SetEMF(source, float64(k%16))
				r.solve(device.Moving)
				l.Advance(r.solver, 0.01*float64(k%7))
				b.put(math.Round(l.Kelvin()*1e6), math.Round(l.Effect(r.solver).Level*1e6))
			}
		}},
		{"melting", "96039508774a3f88", func(b bits) {
			for _, kind := range []string{"fuse", "large-fuse"} {
				for amps := 20.0; amps < 500; amps *= 1.1 {
					b.put(math.Round(1e6 * opening(t, kind, 20, amps, 3600, true)))
				}
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := bits{fnv.New64a()}
			c.run(b)
			assert.Equal(t, c.want, fmt.Sprintf("%016x", b.Sum64()))
		})
	}
}
