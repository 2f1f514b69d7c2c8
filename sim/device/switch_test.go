package device_test

import (
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lightSwitch has three positions: off, park (30-58), head (30-58 and 30-56).
var lightSwitch = device.Spec{
	Kind: "switch", Terminals: []string{"30", "56", "58"},
	Positions: []device.Position{
		{Name: "off"},
		{Name: "park", Joins: [][2]string{{"30", "58"}}},
		{Name: "head lights", Joins: [][2]string{{"58", "30"}, {"30", "56"}}},
	},
}

// switchRig feeds terminal 30 with 12 V and loads each output with 1 kΩ.
func switchRig(t testing.TB, d device.Device) *rig {
	r := newRig(t, 3).add(d, 1, 2, 3)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.001})
	r.branch(2, 0, circuit.Resistor{Ohms: 1000})
	r.branch(3, 0, circuit.Resistor{Ohms: 1000})
	return r.compile()
}

func TestSwitchFollowsItsTable(t *testing.T) {
	for _, c := range []struct {
		defect        string
		severity      float64
		volts56, by58 [3]float64 // by position
	}{
		{"", 0, [3]float64{0, 0, 12}, [3]float64{0, 12, 12}},
		{"open-in-park", 0, [3]float64{0, 0, 12}, [3]float64{0, 0, 12}},
		{"open-in-head-lights", 0, [3]float64{0, 0, 0}, [3]float64{0, 12, 0}},
		{"welded-in-park", 0, [3]float64{0, 0, 12}, [3]float64{12, 12, 12}},
		{"welded-in-head-lights", 0, [3]float64{12, 12, 12}, [3]float64{12, 12, 12}},
		{"contact-open", 0, [3]float64{0, 0, 0}, [3]float64{0, 0, 0}},
		{"contact-burnt", 1000, [3]float64{0, 0, 6}, [3]float64{0, 6, 6}},
	} {
		t.Run(c.defect, func(t *testing.T) {
			d, err := device.New(lightSwitch)
			require.NoError(t, err)
			sw := d.(*device.Switch)
			require.NoError(t, sw.Spoil(c.defect, c.severity))
			r := switchRig(t, sw)
			for i := range 3 {
				sw.Set(i)
				assert.Equal(t, i, sw.Position())
				r.settle()
				assert.InDelta(t, c.volts56[i], r.volts(2), 0.01, "56 in position %d", i)
				assert.InDelta(t, c.by58[i], r.volts(3), 0.01, "58 in position %d", i)
			}
		})
	}
}

func TestSwitchListsTheDefectsOfItsContacts(t *testing.T) {
	var names []string
	for _, d := range lightSwitch.Defects() {
		names = append(names, d.Name)
		assert.NotEmpty(t, d.Doc)
		assert.Positive(t, d.Likelihood)
	}
	assert.Equal(t, []string{"contact-burnt", "contact-open", "open-in-park", "welded-in-park", "open-in-head-lights", "welded-in-head-lights"}, names)
}

func TestSwitchPositionOutsideTheTableIsTakenToItsEnds(t *testing.T) {
	d, err := device.New(lightSwitch)
	require.NoError(t, err)
	sw := d.(device.Controlled)
	sw.Set(-5)
	assert.Equal(t, 0, sw.Position())
	sw.Set(99)
	assert.Equal(t, 2, sw.Position())
}
