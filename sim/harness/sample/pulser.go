package sample

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Pulser returns a harness in which a module pulses a load of a kind between XL.1.a and XL.2.a, with a duty from 0 to 1 and a frequency
// in hertz, from the moment when it is fed.
func Pulser(duty, hertz float64, kind string, values map[string]float64) *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "pulser", Title: "pulsed load",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "ground point"}},
	}}
	logic := &device.Logic{
		Supply: "1", Ground: "2",
		Inputs:  []device.LogicInput{{Name: "want", Terminal: "3", PullUp: 1000, Above: 6}},
		Outputs: []device.LogicOutput{{Name: "out", Terminal: "4", Side: device.HighSide, Ohms: 0.05, Limit: 20}},
		Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
			Then: []device.LogicDrive{{Output: "out", Duty: duty, Hertz: hertz}}}},
	}
	b.component("BAT", "battery", map[string]float64{"resistance": 0.01}, "")
	b.component("LOAD", kind, values, "")
	b.h.Components = append(b.h.Components, harness.Component{ID: "MOD", Title: "module",
		Spec: device.Spec{Kind: "module", Terminals: logic.Terminals(), Logic: logic}})
	b.connector("XM", harness.Plug, "MOD", logic.Terminals()...)
	b.connector("XL", harness.Plug, "LOAD", names(kind)...)
	b.wire("1", "BAT.30", "XM.1.a", 0.1, 6, "RD", "")
	b.wire("2", "XM.2.a", "G", 0.1, 6, "BK", "")
	b.wire("3", "XM.4.a", "XL.1.a", 0.1, 6, "WH", "")
	b.wire("4", "XL.2.a", "G", 0.1, 6, "BK", "")
	b.wire("5", "BAT.31", "G", 0.1, 6, "BK", "")
	return b.h
}
