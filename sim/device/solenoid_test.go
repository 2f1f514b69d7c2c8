package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSolenoidPullsAndHolds(t *testing.T) {
	d := create(t, "solenoid", nil).(*device.Solenoid)
	r, source := fed(t, d, 0, 1e-3)
	for _, c := range []struct {
		volts float64
		in    bool
	}{{5, false}, {7.7, false}, {7.9, true}, {5, true}, {3.1, true}, {2.9, false}, {7.7, false}, {12, true}, {-12, true}, {0, false}} {
		r.solver.SetEMF(source, c.volts)
		r.settle()
		assert.Equal(t, c.in, d.PulledIn(), "%g V: pulls in at 65 %%, holds down to 25 %% of 12 V", c.volts)
	}
	r.solver.SetEMF(source, 12)
	all := r.march(1, math.Inf(1))
	require.Len(t, all, 1)
	assert.InDelta(t, 0.03, all[0].at, 1e-6)
	assert.Equal(t, "pulled-in", d.Effect(r.solver).Word)
}

// 18 W warm at 12 V are 1.5 A; cold copper carries 1 + 0.00393·60 times that (IEC 60028, 60 K of warming).
func TestSolenoidCoilWarmsUp(t *testing.T) {
	d := create(t, "solenoid", nil)
	r, source := fed(t, d, 12, 1e-6)
	r.solve(device.Moving)
	assert.InEpsilon(t, 1.5*(1+0.00393*60), -r.solver.Current(source), 1e-4)
	r.march(3600, math.Inf(1))
	assert.InEpsilon(t, 1.5, -r.solver.Current(source), 2e-3)
	r.settle()
	assert.InEpsilon(t, 1.5, -r.solver.Current(source), 1e-4)
}

func TestSolenoidDefects(t *testing.T) {
	for _, c := range []struct {
		defect      string
		at12, at0   string
		least, most float64
	}{{"", "pulled-in", "released", 1.4, 1.6}, {"coil-open", "released", "released", 0, 1e-6}, {"coil-shorted", "pulled-in", "released", 14, 16},
		{"stuck-out", "released", "released", 1.4, 2}, {"stuck-in", "pulled-in", "pulled-in", 1.4, 2}} {
		d := create(t, "solenoid", nil)
		require.NoError(t, d.(device.Defective).Spoil(c.defect, 0))
		r, source := fed(t, d, 12, 1e-3)
		r.settle()
		assert.Equal(t, c.at12, d.Effect(r.solver).Word, c.defect)
		amps := -r.solver.Current(source)
		assert.True(t, amps >= c.least && amps <= c.most, "%s: %g A", c.defect, amps)
		r.solver.SetEMF(source, 0)
		r.settle()
		assert.Equal(t, c.at0, d.Effect(r.solver).Word, c.defect)
	}
}

// flasherRig has a flasher on 12.6 V, its output on two lamps of 21 W behind a switch at node 3.
func flasherRig(t *testing.T) (*rig, *device.Flasher, [2]*device.Lamp, circuit.ID) {
	f := create(t, "flasher", nil).(*device.Flasher)
	lamps := [2]*device.Lamp{lamp(t, 12, 21), lamp(t, 12, 21)}
	r := newRig(t, 3).add(f, 1, 2, 0).add(lamps[0], 3, 0).add(lamps[1], 3, 0)
	r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.02})
	lever := r.branch(2, 3, circuit.Resistor{Ohms: math.Inf(1)})
	return r.compile(), f, lamps, lever
}

// flashes returns how many flashes a minute there are, from the beginnings of flashes.
func flashes(all []happened) float64 {
	var at []float64
	for _, h := range all {
		if h.what == "click-in" {
			at = append(at, h.at)
		}
	}
	if len(at) < 3 {
		return 0
	}
	return 60 * float64(len(at)-2) / (at[len(at)-1] - at[1])
}

// 60 to 120 flashes a minute: UN Regulation 6 and SAE J590, from memory. Twice as fast with a lamp out: common practice.
func TestFlasherRate(t *testing.T) {
	r, f, lamps, lever := flasherRig(t)
	heard := func() string { return f.Effect(r.solver).Word }
	assert.Empty(t, r.march(20, math.Inf(1)), "nothing connected: at rest")
	assert.Equal(t, "silent", heard())
	r.solver.SetOhms(lever, 0.01)
	full := flashes(r.march(20, math.Inf(1)))
	assert.InDelta(t, 85, full, 0.5)
	assert.True(t, full >= 60 && full <= 120)
	for range 20 {
		r.march(0.1, math.Inf(1))
		assert.Equal(t, "ticks", heard(), "at whichever moment")
	}
	require.NoError(t, lamps[1].Spoil("filament-open", 0))
	assert.InDelta(t, 170, flashes(r.march(20, math.Inf(1))), 1, "a lamp is out")
	assert.Equal(t, "ticks-fast", heard())
	require.NoError(t, lamps[1].Spoil("", 0))
	assert.InDelta(t, 85, flashes(r.march(20, math.Inf(1))), 1.5, "mended")
	r.solver.SetOhms(lever, math.Inf(1))
	r.march(2, math.Inf(1))
	assert.Empty(t, r.march(20, math.Inf(1)), "lever back: at rest")
	assert.Equal(t, "silent", heard())
}

// The lamps are seen to come and go, and are never half lit for long.
func TestFlasherLampsComeAndGo(t *testing.T) {
	r, _, lamps, lever := flasherRig(t)
	r.solver.SetOhms(lever, 0.01)
	words := map[string]int{}
	for range 1000 {
		r.march(0.01, math.Inf(1))
		words[lamps[0].Effect(r.solver).Word]++
	}
	assert.Greater(t, words["lit"], 200, "%v", words)
	assert.Greater(t, words["off"]+words["faint"], 200, "%v", words)
}

func TestFlasherSavesItselfFromAShort(t *testing.T) {
	r, _, _, lever := flasherRig(t)
	short := r.branch(3, 0, circuit.Resistor{Ohms: 0.05})
	_ = short
	r.compile()
	r.solver.SetOhms(lever, 0.01)
	all := r.march(5, math.Inf(1))
	on := 0.0
	for i := 1; i < len(all); i++ {
		if all[i].what == "click-out" {
			on += all[i].at - all[i-1].at
		}
	}
	assert.Less(t, on, 0.1, "on for a hundredth of the time")
}

func TestFlasherDefects(t *testing.T) {
	for _, c := range []struct {
		defect string
		rate   float64
		word   string // of a lamp, with the lever thrown for long
	}{{"dead", 0, "off"}, {"stays-on", 0, "lit"}, {"contact-burnt", 170, ""}} {
		r, f, lamps, lever := flasherRig(t)
		require.NoError(t, f.Spoil(c.defect, 0))
		r.solver.SetOhms(lever, 0.01)
		assert.InDelta(t, c.rate, flashes(r.march(20, math.Inf(1))), 2, c.defect)
		if c.word != "" {
			assert.Equal(t, c.word, lamps[0].Effect(r.solver).Word, c.defect)
		}
	}
}
