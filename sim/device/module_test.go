package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exampleLogic is a module with one of everything but what never rests.
func exampleLogic() *device.Logic {
	return &device.Logic{
		Supply: "15", Ground: "31",
		Inputs: []device.LogicInput{
			{Name: "up", Terminal: "1", PullDown: 4700, Above: 6, Hysteresis: 1},
			{Name: "down", Terminal: "2", PullUp: 2200, Below: 3, Hysteresis: 1},
			{Name: "middle", Terminal: "2", Above: 4, Below: 14},
			{Name: "free", Terminal: "3", Above: 2},
		},
		Outputs: []device.LogicOutput{
			{Name: "lamp", Terminal: "4", Side: device.HighSide, Limit: 8, LampOut: 0.5},
			{Name: "coil", Terminal: "5", Side: device.LowSide, Limit: 2, Trip: device.Latch},
			{Name: "dimmed", Terminal: "6", Side: device.HighSide},
			{Name: "feed", Terminal: "7", Side: device.Reference, Volts: 5},
		},
		Timers: []device.LogicTimer{
			{Name: "late", Of: "down", OnDelay: 2, OffDelay: 3},
			{Name: "kept", Of: "up", Until: "free"},
			{Name: "turns", Of: "free", Toggle: true},
		},
		Rows: []device.LogicRow{
			{When: []device.LogicTerm{{Name: "up", State: "on"}}, Then: []device.LogicDrive{{Output: "lamp", Duty: 1}, {Output: "coil", Duty: 0.4, Hertz: 100}}},
			{When: []device.LogicTerm{{Name: "late", State: "on"}}, Then: []device.LogicDrive{{Output: "coil", Duty: 1}}},
			{When: []device.LogicTerm{{Name: "middle", State: "on"}}, Then: []device.LogicDrive{{Output: "lamp", Duty: 0.5}, {Output: "dimmed", Duty: 0.8}}},
			{When: []device.LogicTerm{{Name: "free", State: "on"}}, Then: []device.LogicDrive{{Output: "dimmed", Duty: 0.6, Hertz: 200}}},
			{When: []device.LogicTerm{{Name: "turns", State: "on"}, {Name: "kept", State: "off"}, {Name: "lamp", State: "fine"}}, Then: []device.LogicDrive{{Output: "dimmed", Duty: 0.3, Hertz: 200}}},
		},
	}
}

// What a 5 V reference gives is drawn from the supply, like all that a series regulator gives: 10 mA into 500 Ω beside the module's own
// 30 mA at 12 V.
func TestModuleDrawsWhatItsReferenceGives(t *testing.T) {
	d, err := device.New(device.Spec{Kind: "module", Logic: &device.Logic{Supply: "15", Ground: "31",
		Outputs: []device.LogicOutput{{Name: "feed", Terminal: "1", Side: device.Reference, Volts: 5, Ohms: 0.1, Limit: 0.1}}}})
	require.NoError(t, err)
	r := newRig(t, 2).add(d, 1, 0, 2)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.1})
	load := r.branch(2, 0, circuit.Resistor{Ohms: 500})
	r.compile().settle()
	assert.InDelta(t, 0.030+0.010, -r.solver.Current(source), 2e-5)
	r.solver.SetOhms(load, 10)
	r.march(0.5, math.Inf(1))
	assert.InDelta(t, 0.030+r.volts(2)/10, -r.solver.Current(source), 1e-4, "overloaded: what its limit lets through")
	r.solver.SetOhms(load, math.Inf(1))
	r.settle()
	assert.InDelta(t, 0.030, -r.solver.Current(source), 2e-5)
}
