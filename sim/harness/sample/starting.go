package sample

import (
	"faultloom/sim/harness"
)

// Starting returns a 12 V vehicle whose starter draws 150 A whatever its speed (four times that when it stands still) while the control "key" is on
// "start", from a full battery with an inner resistance in ohms. A lamp of 55 W at XL.1.a is always on.
func Starting(ohms float64) *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "starting", Title: "starting system",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "engine block"}, {ID: "G2", Title: "frame"}},
	}}
	b.component("BAT", "battery", map[string]float64{"resistance": ohms, "capacity": 70}, "")
	b.switched("S", "switch", "key", "30", "50", "rest", "start")
	b.h.Components[1].Spec.Values = map[string]float64{"contact": 0.0005}
	b.component("M", "motor", map[string]float64{"amps": 150, "stall": 4, "rub": 100, "spin-up": 0.2}, "")
	b.component("L", "lamp", map[string]float64{"power": 55}, "")
	b.connector("XS", harness.Plug, "S", "30", "50")
	b.connector("XM", harness.Plug, "M", names("motor")...)
	b.connector("XL", harness.Plug, "L", names("lamp")...)
	b.wire("1", "BAT.30", "XS.1.a", 0.5, 35, "RD", "")
	b.wire("2", "XS.2.a", "XM.1.a", 1, 35, "BK", "")
	b.wire("3", "XM.2.a", "G", 0.1, 35, "BK", "")
	b.wire("4", "BAT.31", "G", 1, 35, "BK", "")
	b.wire("5", "BAT.30", "XL.1.a", 1, 4, "RD", "")
	b.wire("6", "XL.2.a", "G2", 1, 4, "BK", "")
	return b.h
}

// Awake returns a harness in which nothing but a module hangs on a full battery of 70 Ah: MOD, which draws 5 mA.
func Awake() *harness.Harness {
	h := Pulser(1, 100, "resistor", map[string]float64{"resistance": 1e6})
	for i, c := range h.Components {
		switch c.ID {
		case "MOD":
			h.Components[i].Spec.Values = map[string]float64{"amps": 0.005}
		case "BAT":
			h.Components[i].Spec.Values["capacity"] = 70
		}
	}
	return h
}
