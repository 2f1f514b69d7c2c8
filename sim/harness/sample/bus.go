package sample

import (
	"fmt"

	"faultloom/sim/harness"
)

// Bus returns a two-wire bus with three nodes N0, N1 and N2 on splices, a terminating resistor RT at its near end, the other termination
// in N2, an in-line connector in the middle, and a fuse for all.
func Bus() *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "bus", Title: "two-wire bus",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "ground point"}},
	}}
	b.component("BAT", "battery", map[string]float64{"resistance": 0.01}, "")
	b.component("F", "fuse", map[string]float64{"rating": 10}, "")
	b.component("RT", "resistor", map[string]float64{"resistance": 120}, "")
	b.connector("XF", harness.Holder, "F", "1", "2")
	b.connector("XRT", harness.Plug, "RT", names("resistor")...)
	b.connector("X1", harness.InLine, "", "", "")
	wires := 0
	lead := func(from, to harness.Point, metres float64, colour, bundle string) {
		wires++
		b.wire(fmt.Sprint(wires), from, to, metres, 0.5, colour, bundle)
	}
	lead("BAT.30", "XF.1.a", 1, "RD", "")
	lead("BAT.31", "G", 1, "BK", "")
	lead("XF.2.a", "SP", 1, "RD", "")
	for i := range 3 {
		n := fmt.Sprintf("N%d", i)
		values := map[string]float64{}
		if i == 2 {
			values["termination"] = 120
		}
		b.component(n, "node", values, "")
		b.connector("X"+n, harness.Plug, n, names("node")...)
		lead("SP", harness.CavityPoint("X"+n, "1", "a"), 2, "RD", "")
		lead(harness.CavityPoint("X"+n, "2", "a"), "G", 1, "BN", "")
		if i < 2 {
			for k, s := range []string{"SH", "SL"} {
				splice := fmt.Sprintf("%s%d", s, i)
				b.h.Splices = append(b.h.Splices, harness.Splice{ID: splice})
				lead(harness.Point(splice), harness.CavityPoint("X"+n, fmt.Sprint(3+k), "a"), 0.5, []string{"YE", "GN"}[k], "bus")
			}
		}
	}
	for k, s := range []string{"SH", "SL"} {
		colour := []string{"YE", "GN"}[k]
		cavity := fmt.Sprint(1 + k)
		lead(harness.CavityPoint("XRT", cavity, "a"), harness.Point(s+"0"), 1, colour, "bus")
		lead(harness.Point(s+"0"), harness.CavityPoint("X1", cavity, "a"), 3, colour, "bus")
		lead(harness.CavityPoint("X1", cavity, "b"), harness.Point(s+"1"), 2, colour, "bus")
		lead(harness.Point(s+"1"), harness.CavityPoint("XN2", fmt.Sprint(3+k), "a"), 3, colour, "bus")
	}
	b.h.Splices = append(b.h.Splices, harness.Splice{ID: "SP"})
	b.line(nil, "N0 talks", "N1 talks", "N2 talks")
	return b.h
}
