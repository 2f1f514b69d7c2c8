package sample

import "faultloom/sim/harness"

// Buzzing returns a harness that cannot rest when its switch is on: a relay that feeds its own coil through its break contact,
// and a 5 W lamp beside the coil.
func Buzzing() *harness.Harness {
	b := relays("buzzing", 1)
	b.component("L", "lamp", map[string]float64{"power": 5}, "")
	b.connector("XL", harness.Plug, "L", "in", "out")
	b.wire("1", "XS.2.a", "XK1.30.a", 1, 1, "RD", "")
	b.wire("2", "XK1.87a.a", "S1", 1, 1, "RD", "")
	b.wire("3", "S1", "XK1.86.a", 1, 1, "RD", "")
	b.wire("4", "S1", "XL.1.a", 1, 1, "RD", "")
	b.wire("5", "XL.2.a", "G", 1, 1, "BK", "")
	b.wire("6", "XK1.85.a", "G", 1, 1, "BK", "")
	b.h.Splices = []harness.Splice{{ID: "S1"}}
	b.line([]harness.Setting{{Control: "switch", Position: "on"}}, "L dim")
	return b.h
}

// Racing returns a harness with two relays, each of which feeds its coil through the other's break contact: which of them
// pulls in when the switch goes on is a race.
func Racing() *harness.Harness {
	b := relays("racing", 2)
	b.wire("1", "XS.2.a", "S1", 1, 1, "RD", "")
	b.wire("2", "S1", "XK1.30.a", 1, 1, "RD", "")
	b.wire("3", "S1", "XK2.30.a", 1, 1, "RD", "")
	b.wire("4", "XK1.87a.a", "XK2.86.a", 1, 1, "RD", "")
	b.wire("5", "XK2.87a.a", "XK1.86.a", 1, 1, "RD", "")
	b.wire("6", "XK1.85.a", "G", 1, 1, "BK", "")
	b.wire("7", "XK2.85.a", "G", 1, 1, "BK", "")
	b.h.Splices = []harness.Splice{{ID: "S1"}}
	return b.h
}

// relays begins a harness with a battery, a switch and relays K1, K2, …
func relays(id string, count int) *builder {
	b := &builder{h: &harness.Harness{
		ID: id, Title: id, Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Volts: 12, Celsius: 20},
	}}
	b.component("BAT", "battery", nil, "")
	b.switched("SW", "switch", "switch", "1", "2", "off", "on")
	b.connector("XS", harness.Plug, "SW", "1", "2")
	for i := range count {
		k := "K" + string(rune('1'+i))
		b.component(k, "relay", nil, "")
		b.socket("X"+k, k, "85", "86", "30", "87", "87a")
	}
	b.h.Grounds = []harness.GroundPoint{{ID: "G"}}
	b.wire("30", "BAT.30", "XS.1.a", 1, 2.5, "RD", "")
	b.wire("31", "BAT.31", "G", 1, 2.5, "BK", "")
	return b
}
