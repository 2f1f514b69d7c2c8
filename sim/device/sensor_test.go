package device_test

import (
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// places is a table of n positions that join nothing.
func places(n int) []device.Position {
	var all []device.Position
	for i := range n {
		all = append(all, device.Position{Name: string(rune('a' + i))})
	}
	return all
}

// pedal is a 5 kΩ potentiometer with five positions from 10 to 90 %.
func pedal(t testing.TB) *device.Potentiometer {
	d, err := device.New(device.Spec{Kind: "potentiometer", Positions: places(5)})
	require.NoError(t, err)
	return d.(*device.Potentiometer)
}

// A potentiometer on a 5 V reference gives its place in volts; loaded by R it follows the loaded divider of any text on circuits,
// U·x/(1 + x·(1-x)·track/R), here with the wiper's 50 Ω in R.
func TestPotentiometerDivides(t *testing.T) {
	p := pedal(t)
	r := newRig(t, 2).add(p, 1, 2, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 1e-3})
	load := r.branch(2, 0, circuit.Resistor{Ohms: 1e7})
	r.compile()
	for i, want := range []float64{0.5, 1.5, 2.5, 3.5, 4.5} {
		p.Set(i)
		r.solver.SetOhms(load, 1e7)
		r.settle()
		assert.InDelta(t, want, r.volts(2), 0.002, "position %d, into an input of 10 megohm", i)
		r.solver.SetOhms(load, 10e3)
		r.settle()
		x := want / 5
		tap := 5 * x / (1 + x*(1-x)*5000/(10e3+50))
		assert.InDelta(t, tap*10e3/(10e3+50), r.volts(2), 1e-5, "position %d, into 10 kilohm", i)
	}
}

func TestPotentiometerDefects(t *testing.T) {
	p := pedal(t)
	r := newRig(t, 2).add(p, 1, 2, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 1})
	r.branch(2, 0, circuit.Resistor{Ohms: 1e5})
	r.compile()
	p.Set(2)
	for _, c := range []struct {
		defect   string
		severity float64
		volts    float64
	}{
		{"", 0, 2.47}, {"wiper-open", 0, 0}, {"wiper-dirty", 1e5, 1.24}, {"upper-track-open", 0, 0}, {"lower-track-open", 0, 4.88},
		{"shifted", 20, 3.47}, {"shorted", 5, 2.08},
	} {
		require.NoError(t, p.Spoil(c.defect, c.severity))
		r.settle()
		assert.InDelta(t, c.volts, r.volts(2), 0.03, c.defect)
	}
	assert.Greater(t, -r.solver.Current(source), 0.8, "a shorted sensor pulls the shared reference down")
}
