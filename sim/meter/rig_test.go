package meter_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// part is one component of a rig.
type part struct {
	kind   string
	values map[string]float64
}

func resistor(ohms float64) part { return part{"resistor", map[string]float64{"resistance": ohms}} }

func lamp(watts float64) part { return part{"lamp", map[string]float64{"power": watts}} }

// battery of 12 V nominal, full: 12.65 V behind 10 mΩ.
func battery() map[string]float64 { return map[string]float64{"resistance": 0.01} }

// rig is a battery with parts in series from its positive post to ground point G: BAT.30, P1.1.a, P1.2.a, P2.1.a and so on.
// The battery's negative post goes to G too. Two posts without parts are an open supply.
func rig(t testing.TB, source map[string]float64, parts ...part) *harness.Machine {
	t.Helper()
	h := &harness.Harness{
		ID: "rig", Title: "rig", Vehicle: harness.Vehicle{Fleet: "R-1", Title: "rig", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G"}},
	}
	if v, ok := source["volts"]; ok {
		h.Vehicle.Volts = v
	}
	add := func(id, kind string, values map[string]float64) []device.Terminal {
		k, ok := device.Lookup(kind)
		require.True(t, ok, "kind %s", kind)
		spec := device.Spec{Kind: kind, Values: values}
		for _, term := range k.Terminals {
			spec.Terminals = append(spec.Terminals, term.Name)
		}
		h.Components = append(h.Components, harness.Component{ID: id, Title: id, Spec: spec})
		return k.Terminals
	}
	wire := func(from, to harness.Point) {
		h.Wires = append(h.Wires, harness.Wire{ID: fmt.Sprint(len(h.Wires) + 1), From: from, To: to, Metres: 0.1, Size: 6, Colour: "RD"})
	}
	add("BAT", "battery", source)
	wire("BAT.31", "G")
	last := harness.Point("BAT.30")
	for i, p := range parts {
		id, plug := fmt.Sprintf("C%d", i+1), fmt.Sprintf("P%d", i+1)
		c := harness.Connector{ID: plug, Title: plug, Mount: harness.Plug, Component: id}
		for k, term := range add(id, p.kind, p.values) {
			c.Cavities = append(c.Cavities, harness.Cavity{Number: fmt.Sprint(k + 1), Terminal: term.Name})
		}
		h.Connectors = append(h.Connectors, c)
		wire(last, harness.CavityPoint(plug, "1", "a"))
		last = harness.CavityPoint(plug, "2", "a")
	}
	if len(parts) > 0 {
		wire(last, "G")
	}
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	return m
}

// bench with every tool and function, without calibration error.
func bench(t testing.TB) *meter.Bench {
	t.Helper()
	b, err := meter.NewBench(kit(), meter.Ideal())
	require.NoError(t, err)
	return b
}

func kit() meter.Kit {
	return meter.Kit{Tools: meter.Tools(), Functions: meter.Functions(), Volts: 12}
}

// read puts a tool's ends on two points and returns what all tools show after a few seconds.
func read(t testing.TB, m *harness.Machine, b *meter.Bench, tool meter.Tool, red, black harness.Point) map[meter.Tool]meter.Display {
	t.Helper()
	require.NoError(t, b.Place(tool, 0, red))
	require.NoError(t, b.Place(tool, 1, black))
	require.NoError(t, b.Connect(m))
	_, err := m.Run(2)
	require.NoError(t, err)
	out, err := b.Read(m)
	require.NoError(t, err)
	return out
}

// measure reads the multimeter alone.
func measure(t testing.TB, m *harness.Machine, b *meter.Bench, f meter.Function, red, black harness.Point) meter.Display {
	t.Helper()
	require.NoError(t, b.Dial(f))
	return read(t, m, b, meter.Multimeter, red, black)[meter.Multimeter]
}

// pass lets time go by while the tools look on.
func pass(t testing.TB, m *harness.Machine, b *meter.Bench, seconds float64) {
	t.Helper()
	_, err := m.RunSeeing(seconds, b.Seeing(m))
	require.NoError(t, err)
}
