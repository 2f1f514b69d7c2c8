package sample

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Wiper returns a wiper with two speeds: battery, fuse F, switch S with positions off, slow and fast, of which off joins 53 to 31b so
// that the motor M parks itself.
func Wiper() *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "wiper", Title: "wiper",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "ground point"}},
	}}
	b.component("BAT", "battery", map[string]float64{"resistance": 0.01}, "")
	b.component("F", "fuse", map[string]float64{"rating": 20}, "")
	b.switched("S", "switch", "wiper", "53a", "53", "off", "slow")
	b.component("M", "wiper", nil, "")
	s := &b.h.Components[2].Spec
	s.Terminals = []string{"53a", "53", "53i", "31b"}
	s.Positions = []device.Position{
		{Name: "off", Joins: [][2]string{{"53", "31b"}}},
		{Name: "slow", Joins: [][2]string{{"53a", "53"}}},
		{Name: "fast", Joins: [][2]string{{"53a", "53i"}}},
	}
	b.h.Controls[0].Positions = []string{"off", "slow", "fast"}
	b.connector("XF", harness.Holder, "F", "1", "2")
	b.connector("XS", harness.Plug, "S", "53a", "53", "53i", "31b")
	b.connector("XM", harness.Plug, "M", names("wiper")...)
	b.wire("1", "BAT.30", "XF.1.a", 1, 4, "RD", "")
	b.wire("2", "XF.2.a", "S1", 1, 2.5, "RD", "")
	b.wire("3", "S1", "XS.1.a", 1, 2.5, "RD", "")
	b.wire("4", "S1", "XM.3.a", 1, 2.5, "RD", "")
	b.wire("5", "XS.2.a", "XM.1.a", 1, 2.5, "GN", "")
	b.wire("6", "XS.3.a", "XM.2.a", 1, 2.5, "YE", "")
	b.wire("7", "XS.4.a", "XM.4.a", 1, 2.5, "BU", "")
	b.wire("8", "XM.5.a", "G", 1, 2.5, "BN", "")
	b.wire("9", "BAT.31", "G", 1, 16, "BK", "")
	b.h.Splices = []harness.Splice{{ID: "S1"}}
	for _, l := range [][2]string{{"slow", "wipes"}, {"fast", "fast"}, {"off", "parked"}} {
		b.line([]harness.Setting{{Control: "wiper", Position: l[0]}}, "M "+l[1])
	}
	return b.h
}
