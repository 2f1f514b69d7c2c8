package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// melts returns when a link of a size opens at a current.
func melts(t *testing.T, mm2, amps, limit float64) float64 {
	r := newRig(t, 1).add(create(t, "fusible-link", map[string]float64{"size": mm2}), 1, 0)
	r.branch(0, 1, circuit.Injection{Amps: amps})
	r.compile()
	if all := r.march(limit, math.Inf(1)); len(all) > 0 {
		return all[0].at
	}
	return math.Inf(1)
}

func TestFusibleLinkAgainstPreeceAndOnderdonk(t *testing.T) {
	for _, mm2 := range []float64{0.5, 1, 2.5} {
		least := 80 * math.Pow(math.Sqrt(4*mm2/math.Pi), 1.5) // Preece, copper, diameter in mm
		assert.True(t, math.IsInf(melts(t, mm2, 0.98*least, 1e5), 1), "%g mm² carries %g A", mm2, 0.98*least)
		assert.False(t, math.IsInf(melts(t, mm2, 1.02*least, 1e5), 1), "%g mm² melts in the end at %g A", mm2, 1.02*least)
		// Onderdonk, from 20 °C to 1083 °C, with I over circular mils: 33·(I/A)²·t = lg(1063/254 + 1).
		mils := mm2 * 1973.525
		amps := 12 * least
		want := math.Log10(1063.0/254+1) / 33 * math.Pow(mils/amps, 2)
		assert.InEpsilon(t, want, melts(t, mm2, amps, 100), 0.01, "%g mm² at %g A", mm2, amps)
	}
}

// Selectivity: behind a link of 2.5 mm² a 30 A fuse opens long before it at any current.
func TestFuseOpensBeforeTheLink(t *testing.T) {
	for _, amps := range []float64{60, 100, 200, 400, 800} {
		assert.Less(t, 10*opening(t, "fuse", 30, amps, 1e4, true), melts(t, 2.5, amps, 1e4), "%g A", amps)
	}
}

func TestResistorPackGivesSteps(t *testing.T) {
	p := create(t, "resistor-pack", nil)
	m := motor(t, nil)
	var last float64
	for i, step := range []float64{1.2 + 0.6 + 0.3, 0.6 + 0.3, 0.3, 0} {
		r := newRig(t, 4).add(p, 1, 2, 3, 4).add(m, 4, 0)
		r.branch(i+1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
		r.compile().settle()
		assert.Greater(t, m.Speed(), last+0.05, "step %d is faster", i+1)
		last = m.Speed()
		drop := r.volts(i+1) - r.volts(4)
		assert.InDelta(t, step*(12-drop-m.Speed()*9.6)/0.3, drop, 1e-3, "step %d: Ohm's law over the resistors", i+1)
	}
	require.NoError(t, p.(device.Defective).Spoil("second-open", 0))
	for i, runs := range []bool{false, false, true, true} {
		r := newRig(t, 4).add(p, 1, 2, 3, 4).add(m, 4, 0)
		r.branch(i+1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
		r.compile().settle()
		assert.Equal(t, runs, m.Speed() > 0, "step %d with the second resistor burnt out", i+1)
	}
}
