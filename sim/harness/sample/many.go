package sample

import (
	"fmt"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Many returns a harness of a number of circuits on one battery, 1 to 99, each with its fuse, switch, two cavities of an in-line
// connector shared by three circuits, and a load: lamps, a horn, a heater, a buzzer in turn. Every third circuit is switched by
// a relay. Three circuits share a ground point, and a bundle. Nine circuits have about 170 points, the body counted.
func Many(circuits int) *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: fmt.Sprintf("many-%d", circuits), Title: "many circuits",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
	}}
	b.component("BAT", "battery", map[string]float64{"resistance": 0.01}, "")
	b.wire("1", "BAT.30", "SP", 1, 16, "RD", "")
	b.wire("2", "BAT.31", "G0", 0.5, 16, "BK", "")
	b.h.Splices = append(b.h.Splices, harness.Splice{ID: "SP"})
	b.h.Grounds = append(b.h.Grounds, harness.GroundPoint{ID: "G0", Title: "battery ground"})
	for i := range circuits {
		if i%3 == 0 {
			g := fmt.Sprintf("G%d", 1+i/3)
			b.h.Grounds = append(b.h.Grounds, harness.GroundPoint{ID: g, Title: "ground point " + g})
			b.connector(fmt.Sprintf("X%d", i/3), harness.InLine, "", make([]string, 6)...)
		}
		b.circuit(i)
	}
	return b.h
}

// loads of Many, in turn, with the words of the ones that are off and on.
var loads = [...]struct {
	kind    string
	values  map[string]float64
	off, on string
}{
	{"lamp", map[string]float64{"power": 55}, "off", "lit"},
	{"horn", nil, "silent", "sounds"},
	{"lamp", map[string]float64{"power": 21}, "off", "lit"},
	{"lamp", map[string]float64{"power": 5}, "off", "lit"},
}

// circuit adds circuit number i.
func (b *builder) circuit(i int) {
	id := func(s string) string { return fmt.Sprintf("%s%d", s, i) }
	at := func(connector, cavity, half string) harness.Point {
		return harness.CavityPoint(connector, cavity, half)
	}
	load := loads[i%len(loads)]
	bundle := fmt.Sprintf("bundle %d", i/3)
	feed, back := fmt.Sprint(1+2*(i%3)), fmt.Sprint(2+2*(i%3))
	x, g := fmt.Sprintf("X%d", i/3), harness.Point(fmt.Sprintf("G%d", 1+i/3))
	wire := func(n int, from, to harness.Point, metres, size float64) {
		b.wire(fmt.Sprint(100*(i+1)+n), from, to, metres, size, "RD", bundle)
	}

	b.component(id("F"), "fuse", map[string]float64{"rating": 10}, "")
	b.connector(id("XF"), harness.Holder, id("F"), "1", "2")
	b.switched(id("S"), "switch", id("c"), "in", "out", "off", "on")
	b.connector(id("XS"), harness.Plug, id("S"), "in", "out")
	b.component(id("L"), load.kind, load.values, "")
	b.connector(id("XL"), harness.Plug, id("L"), "in", "out")
	wire(1, "SP", at(id("XF"), "1", "a"), 0.5, 2.5)
	if i%3 == 0 {
		b.component(id("K"), "relay", nil, "")
		b.socket(id("XK"), id("K"), "85", "86", "30", "87", "87a")
		b.h.Splices = append(b.h.Splices, harness.Splice{ID: id("SF")})
		wire(2, at(id("XF"), "2", "a"), harness.Point(id("SF")), 0.2, 2.5)
		wire(3, harness.Point(id("SF")), at(id("XK"), "30", "a"), 0.2, 2.5)
		wire(4, harness.Point(id("SF")), at(id("XS"), "1", "a"), 1, 1)
		wire(5, at(id("XS"), "2", "a"), at(id("XK"), "86", "a"), 1, 1)
		wire(6, at(id("XK"), "85", "a"), g, 1, 1)
		wire(7, at(id("XK"), "87", "a"), at(x, feed, "a"), 1, 2.5)
	} else {
		wire(2, at(id("XF"), "2", "a"), at(id("XS"), "1", "a"), 1, 2.5)
		wire(7, at(id("XS"), "2", "a"), at(x, feed, "a"), 1, 2.5)
	}
	wire(8, at(x, feed, "b"), at(id("XL"), "1", "a"), 2, 2.5)
	wire(9, at(id("XL"), "2", "a"), at(x, back, "b"), 2, 2.5)
	wire(10, at(x, back, "a"), g, 1, 2.5)
	b.line([]harness.Setting{{Control: id("c"), Position: "on"}}, id("L")+" "+load.on)
}

// ManyPulsed returns Many with a module more that pulses a lamp of 21 W, 40 % of the time at 200 Hz, and a motor of 8 A, both for good.
func ManyPulsed(circuits int) *harness.Harness {
	b := &builder{h: Many(circuits)}
	b.h.ID, b.h.Title = fmt.Sprintf("many-pulsed-%d", circuits), "many circuits, one of them on pulses, and a motor"
	logic := &device.Logic{
		Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "want", Terminal: "1", PullUp: 1000, Above: 6}},
		Outputs: []device.LogicOutput{{Name: "lamp", Terminal: "2", Limit: 20}},
		Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
			Then: []device.LogicDrive{{Output: "lamp", Duty: 0.4, Hertz: 200}}}},
	}
	b.h.Components = append(b.h.Components, harness.Component{ID: "MOD", Title: "module",
		Spec: device.Spec{Kind: "module", Terminals: logic.Terminals(), Logic: logic}})
	b.component("PL", "lamp", map[string]float64{"power": 21}, "")
	b.component("MM", "motor", map[string]float64{"amps": 8}, "")
	b.connector("XMOD", harness.Plug, "MOD", logic.Terminals()...)
	b.connector("XPL", harness.Plug, "PL", "in", "out")
	b.connector("XMM", harness.Plug, "MM", names("motor")...)
	for i, ends := range [6][2]harness.Point{{"SP", "XMOD.1.a"}, {"XMOD.2.a", "G1"}, {"XMOD.4.a", "XPL.1.a"}, {"XPL.2.a", "G1"}, {"SP", "XMM.1.a"}, {"XMM.2.a", "G1"}} {
		b.wire(fmt.Sprint(11+i), ends[0], ends[1], 1, 2.5, "RD", "bundle 0")
	}
	return b.h
}
