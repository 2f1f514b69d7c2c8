package device_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The mean that a slow observer gets is the one that ngspice finds by following every edge (the last 50 ms of the deck pulsed-lamp, see
// TestPulseWidthIntoALampAgainstNgspice): temperature of the filament, and the volts that a meter shows.
func TestLampOnPulsesIsAsWarmAsNgspiceFindsIt(t *testing.T) {
	answer, err := os.ReadFile(filepath.Join("..", "..", "testdata", "device", "ngspice", "pulsed-lamp.txt"))
	require.NoError(t, err)
	kelvin, volts, n := 0.0, 0.0, 0.0
	all := rows(t, string(answer))
	for _, row := range all {
		if row[0] > 0.55-1e-9 && row[0] < 0.6-1e-9 { // five periods, with 20 instants in each
			kelvin, volts, n = kelvin+row[1], volts+row[2], n+1
		}
	}
	require.Equal(t, 100.0, n)
	r, _, l, _ := pulsedLamp(t)
	r.settle()
	assert.InDelta(t, kelvin/n, l.Kelvin(), 10, "its temperature swings by 42 K; the deck has not quite come to rest")
	// The instants on the edges count half to either side.
	assert.InDelta(t, volts/n, r.volts(4), 13.5*0.5/20, "volts of a slow meter")
	steady, mean := l.Kelvin(), r.volts(4)
	r.march(5, math.Inf(1))
	assert.InDelta(t, steady, l.Kelvin(), 0.6, "in time as at once")
	assert.InDelta(t, mean, r.volts(4), 1e-3)
	cold, _, k, _ := pulsedLamp(t)
	cold.march(5, math.Inf(1))
	assert.InDelta(t, steady, k.Kelvin(), 0.6, "from cold")
	assert.Equal(t, "dim", k.Effect(cold.solver).Word, "what 30 % of the voltage would make faint")
}

// From a stiff supply a duty of d warms a lamp as √d of the voltage does (the effective value of a pulse train), whichever side is switched, and
// a lamp beside it that is not pulsed burns as ever.
func TestEffectiveVoltageOfPulses(t *testing.T) {
	for _, side := range []device.Side{device.HighSide, device.LowSide} {
		for _, duty := range []float64{0.1, 0.5, 0.9} {
			d, err := device.New(device.Spec{Kind: "module", Logic: &device.Logic{Supply: "15", Ground: "31",
				Inputs:  []device.LogicInput{{Name: "want", Terminal: "1", PullUp: 1000, Above: 6}},
				Outputs: []device.LogicOutput{{Name: "lamp", Terminal: "2", Side: side, Ohms: 1e-3, Limit: 60}},
				Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
					Then: []device.LogicDrive{{Output: "lamp", Duty: duty, Hertz: 200}}}}}})
			require.NoError(t, err)
			pulsed, plain, same := lamp(t, 12, 21), lamp(t, 12, 21), lamp(t, 12, 21)
			r := newRig(t, 4).add(d, 1, 0, 2, 3).add(plain, 1, 0).add(same, 4, 0)
			if side == device.HighSide {
				r.add(pulsed, 3, 0)
			} else {
				r.add(pulsed, 1, 3)
			}
			r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-4})
			r.branch(4, 0, circuit.Source{EMF: 12 * math.Sqrt(duty), Ohms: 1e-4})
			r.compile().settle()
			assert.InDelta(t, same.Kelvin(), pulsed.Kelvin(), 2, "%s side, %g", side, duty)
			assert.InDelta(t, device.FilamentAt(1), plain.Kelvin(), 2, "%s side, %g", side, duty)
			assert.InDelta(t, 12*duty, math.Abs(r.volts(3)-map[device.Side]float64{device.HighSide: 0, device.LowSide: 12}[side]), 0.01, "the mean")
		}
	}
}

// A fuse on pulses warms with the effective current, and so does a heater: of 50 % of the time at 20 A a fuse gets 14.1 A and one of 10 A opens
// within a minute, though the mean is 10 A; a heater of 12 V gives half of its heat.
func TestFuseAndHeaterOnPulses(t *testing.T) {
	for _, rise := range []float64{1, 3} {
		d, err := device.New(device.Spec{Kind: "module", Logic: &device.Logic{Supply: "15", Ground: "31",
			Inputs:  []device.LogicInput{{Name: "want", Terminal: "1", PullUp: 1000, Above: 6}},
			Outputs: []device.LogicOutput{{Name: "heat", Terminal: "2", Ohms: 1e-3, Limit: 100}},
			Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
				Then: []device.LogicDrive{{Output: "heat", Duty: 0.5, Hertz: 100}}}}}})
		require.NoError(t, err)
		fuse := create(t, "fuse", map[string]float64{"rating": 20}).(*device.Fuse)
		heater := create(t, "heater", map[string]float64{"power": 240, "rise": rise}).(*device.Heater)
		r := newRig(t, 4).add(d, 1, 0, 2, 3).add(fuse, 3, 4).add(heater, 4, 0)
		r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-4})
		r.compile().settle()
		want := heatAt(rise, math.Sqrt(0.5))
		assert.InDelta(t, want, heater.State()[0], 0.02, "rise %g", rise)
		at := heater.State()[0]
		r.march(600, 1)
		assert.InDelta(t, at, heater.State()[0], 0.01, "in time as at once")
		require.False(t, fuse.Blown(), "14.1 A on 20 A")
		if rise != 1 {
			continue
		}
		assert.InDelta(t, 10, fuse.Amps(r.solver), 0.3, "the mean, which an ammeter shows")
		fuse.Fit(10)
		blown := r.march(60, math.Inf(1))
		require.Len(t, blown, 1)
		assert.Equal(t, "fuse-opened", blown[0].what)
	}
}

// heatAt is the heat h of a heater at a share of its voltage, from h·(1 + (rise-1)·h) = rise·v².
func heatAt(rise, v float64) (h float64) {
	for range 200 {
		h = rise*v*v/(1+(rise-1)*h)*0.5 + h*0.5
	}
	return h
}
