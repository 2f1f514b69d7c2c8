package scenarios_test

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"faultloom/scenarios"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The guide's two modules: the cab's light switch lights the tail light over the bus, which is lit when the talk is lost; the tail's ramp switch
// lights the warning lamp in the cab, which is lit when the talk is lost.
func twoEnds(t *testing.T, faults ...string) *harness.Machine {
	t.Helper()
	h, err := scenarios.Load(os.DirFS("guide"), "bus.yaml")
	require.NoError(t, err)
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	book := fault.NewBook(h)
	var all []harness.Alteration
	for _, text := range faults {
		f, err := fault.Parse(text)
		require.NoError(t, err)
		more, err := book.Alterations(f)
		require.NoError(t, err)
		all = append(all, more...)
	}
	require.NoError(t, m.Alter(all))
	require.NoError(t, m.Settle())
	return m
}

// What each fault does to whoever looks, with the light switch off and on: at once, and when it comes about in time. A bus of two works on
// with one wire at ground or at plus that the other can do without (see the node's test), and dies of the rest (ISO 11898-2 by its levels).
func TestWhatIsLostWithTheTalk(t *testing.T) {
	for _, c := range []struct {
		fault            string
		tailOff, warning string
		tailOn           string
	}{
		{"", "off", "off", "lit"},
		{"wire 90h open", "lit", "lit", "lit"},
		{"wire 90l open", "lit", "lit", "lit"},
		{"wire 90h short-to-wire 90l 0.05 ohm", "lit", "lit", "lit"},
		{"wire 90h short-to-ground 0.05 ohm", "lit", "lit", "lit"},
		{"wire 90l short-to-ground 0.05 ohm", "off", "off", "lit"},
		{"wire 90l short-to-supply 0.05 ohm", "lit", "lit", "lit"},
		{"component CAB bus-dead", "lit", "lit", "lit"},
		{"component CAB bus-stuck-dominant", "lit", "lit", "lit"},
		{"component CAB bus-termination-open", "off", "off", "lit"},
		{"component TAIL bus-dead", "lit", "lit", "lit"},
		{"wire 15b open", "lit", "off", "lit"}, // no supply of the cab: the tail hears nothing, and the warning lamp has no supply either
		{"wire 15c open", "off", "lit", "off"}, // no supply of the tail
		{"wire 31e open", "off", "lit", "off"}, // no ground of the tail
		{"wire 56a open", "off", "off", "off"}, // no input, but the talk is there
		{"component TL filament-open", "off", "off", "off"},
	} {
		t.Run(c.fault, func(t *testing.T) {
			var faults []string
			if c.fault != "" {
				faults = append(faults, c.fault)
			}
			at := twoEnds(t, faults...)
			assert.Equal(t, []string{c.tailOff, c.warning}, []string{word(at, "TL"), word(at, "WL")}, "light switch off")
			require.NoError(t, at.Operate("SW", "on"))
			require.NoError(t, at.Settle())
			assert.Equal(t, []string{c.tailOn, c.warning}, []string{word(at, "TL"), word(at, "WL")}, "light switch on")
			in := twoEnds(t, faults...)
			require.NoError(t, in.Operate("SW", "on"))
			run(t, in, 3)
			assert.Equal(t, []string{c.tailOn, c.warning}, []string{word(in, "TL"), word(in, "WL")}, "light switch on, in time")
			assert.Empty(t, in.Restless())
		})
	}
}

// The data list of the tail tells the voltages of its own inputs, and of what comes over the bus whether it is heard.
func TestDataListOfTheBus(t *testing.T) {
	state := func(m *harness.Machine, name string) string {
		unit, ok := m.Device("TAIL").(device.DataLister)
		require.True(t, ok)
		rows, alive := unit.DataList(m.Solver())
		require.True(t, alive)
		for _, r := range rows {
			if r.Name == name {
				return r.State
			}
		}
		return "no such row"
	}
	m := twoEnds(t)
	assert.Equal(t, "off", state(m, "lights"))
	assert.Equal(t, "off", state(m, "ramp"))
	require.NoError(t, m.Operate("SW", "on"))
	require.NoError(t, m.Settle())
	assert.Equal(t, "on", state(m, "lights"))
	require.NoError(t, m.Unplug("CAB"))
	require.NoError(t, m.Settle())
	assert.Equal(t, "not heard, taken as on", state(m, "lights"))
}

// 60 Ω between the wires with the supply off, 120 Ω with one end unplugged (testdata/device/can_levels.csv).
func TestTerminationsOfTheBus(t *testing.T) {
	m := twoEnds(t, "wire 30a open")
	_, ohms := m.Thevenin("CAB.4.a", "CAB.5.a")
	assert.InDelta(t, 60, ohms, 1)
	require.NoError(t, m.Unplug("CAB"))
	require.NoError(t, m.Settle())
	_, ohms = m.Thevenin("CAB.4.a", "CAB.5.a")
	assert.InDelta(t, 120, ohms, 2)
}

// What is wrong with a bus is told at its place, with what would be right.
func TestFlawsOfABus(t *testing.T) {
	data, err := os.ReadFile("guide/bus.yaml")
	require.NoError(t, err)
	require.NoError(t, load(string(data), nil))
	for _, c := range []struct{ old, new, want string }{
		{"sends: [ramp]}", "sends: [lights]}", `"lights": inputs: lights: over: comes over the bus, so the module cannot send it`},
		{"sends: [ramp]}", "sends: [ramps]}", `there is no input or timer "ramps" that it could send`},
		{"120 ohm, sends: [ramp]}", "120 ohm}", `component "CAB": input "ramp" comes over bus 1, and no module there sends it`},
		{"120 ohm, sends: [ramp]}", "120 ohm, number: 2, sends: [ramp]}", `input "ramp" comes over bus 1, and no module there sends it`},
		{"ramp:   {over: bus}", "ramp:   {over: bus, above: 3 V}", "has no terminal, no voltages and no pull"},
		{"ramp:   {over: bus}", "ramp:   {lost: on, terminal: 9, above: 3 V}", "only what comes over the bus can be lost"},
		{"ramp:   {over: bus}", "ramp:   {above: 3 V}", "needs a terminal, or over: bus"},
		{"{when: {ramp: on}, then", "{when: {lights: lost}, then", `"lights" does not come over the bus, so it cannot be lost`},
		{"bus: {high: 4, low: 5, termination: 120 ohm, sends: [lights]}", "bus: {high: 4, low: 4, termination: 120 ohm, sends: [lights]}", "terminal 4 has another use already"},
		{"    bus: {high: 4, low: 5, termination: 120 ohm, sends: [lights]}\n", "", "comes over the bus, but the module is on none"},
	} {
		text := strings.Replace(string(data), c.old, c.new, 1)
		require.NotEqual(t, string(data), text, c.old)
		err := load(text, nil)
		require.Error(t, err, c.new)
		assert.Contains(t, err.Error(), strings.TrimPrefix(c.want, `"lights": `), c.new)
	}
}

// With lost: keep a module goes on with what it heard last.
func TestKeptOverTheBus(t *testing.T) {
	data, err := os.ReadFile("guide/bus.yaml")
	require.NoError(t, err)
	text := strings.Replace(string(data), "lost: on}", "lost: keep}", 1)
	h, err := scenarios.Load(fstest.MapFS{"h.yaml": {Data: []byte(text)}}, "h.yaml")
	require.NoError(t, err)
	for _, position := range []string{"off", "on"} {
		m, err := harness.NewMachine(h)
		require.NoError(t, err)
		require.NoError(t, m.Operate("SW", position))
		run(t, m, 1)
		require.NoError(t, m.Unplug("CAB"))
		run(t, m, 1)
		assert.Equal(t, map[string]string{"off": "off", "on": "lit"}[position], word(m, "TL"))
	}
}
