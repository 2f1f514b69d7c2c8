package device_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// TestModuleThatDoesNotSleep: it draws its own current and what the defect says more, at its rated voltage (Ohm's law; the common rule
// that more than some 50 mA at rest are too much has no source).
func TestModuleThatDoesNotSleep(t *testing.T) {
	spec := device.Spec{Kind: "module", Terminals: []string{"15", "31", "1"}, Values: map[string]float64{"volts": 12, "amps": 0.02}, Logic: &device.Logic{
		Supply: "15", Ground: "31", Inputs: []device.LogicInput{{Name: "door", Terminal: "1", Below: 3, PullUp: 1000}},
	}}
	spec.Logic.Outputs = []device.LogicOutput{{Name: "lamp", Terminal: "4", Side: device.HighSide}}
	spec.Terminals = append(spec.Terminals, "4")
	spec.Logic.Rows = []device.LogicRow{{When: []device.LogicTerm{{Name: "door", State: "on"}}, Then: []device.LogicDrive{{Output: "lamp", Duty: 1}}}}
	draws := func(defect string, severity float64) float64 {
		t.Helper()
		d, err := device.New(spec)
		require.NoError(t, err)
		require.NoError(t, d.(device.Defective).Spoil(defect, severity))
		r := newRig(t, 3)
		source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-3})
		r.add(d, 1, 0, 2, 3).compile().settle()
		return -r.solver.Current(source)
	}
	own := draws("", 0)
	assert.InDelta(t, 0.02, own, 0.001)
	for _, more := range []float64{0.1, 0.5, 5} {
		assert.InDelta(t, own+more, draws("stays-awake", more), 0.01*more)
	}
}
