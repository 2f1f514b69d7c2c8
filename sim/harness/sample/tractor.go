// Package sample builds made-up harnesses for tests and benchmarks: they are no vehicle's.
package sample

import (
	"fmt"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Tractor returns work lamps and horn of a 12 V dock tractor: battery, main fuse and two circuit fuses, key switch, lamp switch,
// relay, two 55 W lamps on splices, a tell-tale on the dash, horn and button, two in-line connectors, and G1, on which
// both lamps and the horn are grounded. The caller owns it.
//
//	BAT.30 -10- XF0 F0 -11- S1 -12- XF1 F1 15 A -20- K1.30
//	                        S1 -13- XS1 key switch -14- XF2 F2 10 A -15- S2
//	S2 -30- XS2 lamp switch -31- X1.1 -32- K1.86, K1.85 -33- G2
//	K1.87 -21- S5 -22- X2.1 -23- S3 -24- LL, -25- LR; LL -26- S4, LR -27- S4; S4 -28- X2.2 -29- G1
//	S5 -34- tell-tale -35- G2
//	S2 -40- XB1 button -41- X1.2 -42- horn -43- G1
//	BAT.31 -50- G0
func Tractor() *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "tractor", Title: "work lamps and horn",
		Vehicle: harness.Vehicle{Fleet: "DT-00", Title: "dock tractor", Outline: "tractor", Volts: 12, Celsius: 20},
	}}
	b.component("BAT", "battery", map[string]float64{"resistance": 0.01}, "")
	b.component("F0", "large-fuse", map[string]float64{"rating": 40}, "")
	b.component("F1", "fuse", map[string]float64{"rating": 15}, "")
	b.component("F2", "fuse", map[string]float64{"rating": 10}, "")
	b.switched("S-KEY", "switch", "key", "30", "15", "off", "on")
	b.switched("S-LAMP", "switch", "lamps", "in", "out", "off", "on")
	b.switched("B-HORN", "button", "horn", "in", "out", "released", "pressed")
	b.component("K1", "relay", nil, "")
	b.component("LL", "lamp", map[string]float64{"power": 55}, "")
	b.component("LR", "lamp", map[string]float64{"power": 55}, "")
	b.component("TT", "lamp", map[string]float64{"power": 2}, "")
	b.component("H1", "horn", map[string]float64{"power": 60}, "")
	b.h.Controls[2].Momentary = true

	b.connector("XF0", harness.Holder, "F0", "1", "2")
	b.connector("XF1", harness.Holder, "F1", "1", "2")
	b.connector("XF2", harness.Holder, "F2", "1", "2")
	b.connector("XS1", harness.Plug, "S-KEY", "30", "15")
	b.connector("XS2", harness.Plug, "S-LAMP", "in", "out")
	b.connector("XB1", harness.Plug, "B-HORN", "in", "out")
	b.socket("XK1", "K1", "85", "86", "30", "87", "87a")
	b.connector("XLL", harness.Plug, "LL", "in", "out")
	b.connector("XLR", harness.Plug, "LR", "in", "out")
	b.connector("XTT", harness.Plug, "TT", "in", "out")
	b.connector("XH1", harness.Plug, "H1", "in", "out")
	b.connector("X1", harness.InLine, "", "", "")
	b.connector("X2", harness.InLine, "", "", "")

	b.wire("10", "BAT.30", "XF0.1.a", 0.4, 10, "RD", "")
	b.wire("11", "XF0.2.a", "S1", 1.2, 6, "RD", "main")
	b.wire("12", "S1", "XF1.1.a", 0.2, 4, "RD", "")
	b.wire("13", "S1", "XS1.1.a", 1.0, 2.5, "RD", "dash")
	b.wire("14", "XS1.2.a", "XF2.1.a", 0.8, 2.5, "BK/YE", "dash")
	b.wire("15", "XF2.2.a", "S2", 0.5, 1.5, "BK/RD", "dash")
	b.wire("20", "XF1.2.a", "XK1.30.a", 0.6, 2.5, "RD/WH", "")
	b.wire("21", "XK1.87.a", "S5", 0.3, 2.5, "WH", "main")
	b.wire("22", "S5", "X2.1.a", 1.5, 2.5, "WH", "main")
	b.wire("23", "X2.1.b", "S3", 2.0, 2.5, "WH", "boom")
	b.wire("24", "S3", "XLL.1.a", 0.8, 1.5, "WH", "")
	b.wire("25", "S3", "XLR.1.a", 0.9, 1.5, "WH", "")
	b.wire("26", "XLL.2.a", "S4", 0.8, 1.5, "BN", "")
	b.wire("27", "XLR.2.a", "S4", 0.9, 1.5, "BN", "")
	b.wire("28", "S4", "X2.2.b", 2.0, 2.5, "BN", "boom")
	b.wire("29", "X2.2.a", "G1", 0.5, 2.5, "BN", "")
	b.wire("30", "S2", "XS2.1.a", 0.4, 1, "BK/RD", "dash")
	b.wire("31", "XS2.2.a", "X1.1.a", 0.9, 1, "GY", "dash")
	b.wire("32", "X1.1.b", "XK1.86.a", 1.1, 0.75, "GY", "main")
	b.wire("33", "XK1.85.a", "G2", 0.4, 0.75, "BN", "")
	b.wire("34", "S5", "XTT.1.a", 1.0, 0.5, "WH/GN", "dash")
	b.wire("35", "XTT.2.a", "G2", 0.6, 0.5, "BN", "dash")
	b.wire("40", "S2", "XB1.1.a", 0.5, 1, "BK/RD", "dash")
	b.wire("41", "XB1.2.a", "X1.2.a", 0.9, 1, "YE", "dash")
	b.wire("42", "X1.2.b", "XH1.1.a", 1.8, 1, "YE", "main")
	b.wire("43", "XH1.2.a", "G1", 0.3, 1, "BN", "")
	b.wire("50", "BAT.31", "G0", 0.5, 16, "BK", "")
	for i, w := range b.h.Wires {
		b.h.Wires[i].Flexing = w.Bundle == "boom"
	}
	for _, id := range []string{"S1", "S2", "S3", "S4", "S5"} {
		b.h.Splices = append(b.h.Splices, harness.Splice{ID: id, Access: 300})
	}
	for _, id := range []string{"G0", "G1", "G2"} {
		b.h.Grounds = append(b.h.Grounds, harness.GroundPoint{ID: id, Title: "ground point " + id, Access: 30})
	}
	on := harness.Setting{Control: "key", Position: "on"}
	lamps := harness.Setting{Control: "lamps", Position: "on"}
	horn := harness.Setting{Control: "horn", Position: "pressed"}
	b.line([]harness.Setting{lamps}, "LL off", "LR off", "TT off", "H1 silent")
	b.line([]harness.Setting{on}, "LL off", "LR off", "TT off", "H1 silent")
	b.line([]harness.Setting{on, lamps}, "LL lit", "LR lit", "TT lit", "H1 silent")
	b.line([]harness.Setting{on, horn}, "LL off", "LR off", "TT off", "H1 sounds")
	b.line([]harness.Setting{on, lamps, horn}, "LL lit", "LR lit", "TT lit", "H1 sounds")
	return b.h
}

// builder puts a harness together in a few words.
type builder struct{ h *harness.Harness }

func (b *builder) component(id, kind string, values map[string]float64, control string) {
	b.h.Components = append(b.h.Components, harness.Component{
		ID: id, Title: id, Control: control, Access: 20,
		Spec: device.Spec{Kind: kind, Values: values, Terminals: names(kind)},
	})
}

func names(kind string) []string {
	k, _ := device.Lookup(kind)
	var all []string
	for _, t := range k.Terminals {
		all = append(all, t.Name)
	}
	return all
}

// switched adds a switch or button that joins in and out in its second position, with its control.
func (b *builder) switched(id, kind, control, in, out, rest, on string) {
	b.component(id, kind, nil, control)
	spec := &b.h.Components[len(b.h.Components)-1].Spec
	spec.Terminals = []string{in, out}
	spec.Positions = []device.Position{{Name: rest}, {Name: on, Joins: [][2]string{{in, out}}}}
	b.h.Controls = append(b.h.Controls, harness.Control{ID: control, Title: control, Positions: []string{rest, on}})
}

// connector adds a connector with cavities 1, 2, … for the terminals given, which may be "".
func (b *builder) connector(id string, mount harness.Mount, component string, terminals ...string) {
	c := harness.Connector{ID: id, Title: id, Mount: mount, Component: component, Access: 20}
	for i, t := range terminals {
		c.Cavities = append(c.Cavities, harness.Cavity{Number: fmt.Sprint(i + 1), Terminal: t})
	}
	b.h.Connectors = append(b.h.Connectors, c)
}

// socket adds a relay's socket, its cavities numbered like the pins.
func (b *builder) socket(id, component string, pins ...string) {
	c := harness.Connector{ID: id, Title: id, Mount: harness.Socket, Component: component, Access: 20}
	for _, p := range pins {
		c.Cavities = append(c.Cavities, harness.Cavity{Number: p, Terminal: p})
	}
	b.h.Connectors = append(b.h.Connectors, c)
}

func (b *builder) wire(id string, from, to harness.Point, metres, size float64, colour, bundle string) {
	b.h.Wires = append(b.h.Wires, harness.Wire{
		ID: id, From: from, To: to, Metres: metres, Size: size, Colour: colour, Bundle: bundle,
	})
}

// line adds a check line; each expectation is a component and a word.
func (b *builder) line(set []harness.Setting, expect ...string) {
	l := harness.CheckLine{Set: set}
	for _, e := range expect {
		for i := range e {
			if e[i] == ' ' {
				l.Expect = append(l.Expect, harness.Expect{Component: e[:i], Word: e[i+1:]})
			}
		}
	}
	b.h.Check = append(b.h.Check, l)
}
