package sample

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Charging returns a vehicle of 12 or 24 V whose engine turns: battery (10 mΩ for each 12 V, 80 % full), an alternator of 70 A at XA.51.a with its
// charge lamp, and a load of a quarter of a kilowatt for each 12 V at XL.1.a. The control "engine" goes from 0 rpm through 800 and 1600
// to 2400.
func Charging(volts float64) *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "charging", Title: "charging system",
		Vehicle:  harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: volts, Celsius: 20},
		Grounds:  []harness.GroundPoint{{ID: "G", Title: "engine block"}, {ID: "G2", Title: "frame"}},
		Controls: []harness.Control{{ID: "engine", Title: "engine", Positions: []string{"rest", "idle", "fast", "full"}}},
	}}
	scale := volts / 12
	b.component("BAT", "battery", map[string]float64{"volts": volts, "resistance": 0.01 * scale, "capacity": 100, "charge": 80}, "")
	b.component("ALT", "alternator", map[string]float64{"volts": volts, "amps": 70}, "engine")
	for _, p := range b.h.Controls[0].Positions {
		spec := &b.h.Components[1].Spec
		spec.Positions = append(spec.Positions, device.Position{Name: p})
	}
	b.component("HC", "lamp", map[string]float64{"volts": volts, "power": 1.2}, "")
	b.component("LOAD", "resistor", map[string]float64{"resistance": 12 * scale / 20}, "")
	b.socket("XA", "ALT", "51", "61", "31")
	b.connector("XC", harness.Plug, "HC", names("lamp")...)
	b.connector("XL", harness.Plug, "LOAD", names("resistor")...)
	b.wire("1", "BAT.30", "XA.51.a", 1.5, 16, "RD", "")
	b.wire("2", "XA.31.a", "G", 0.1, 16, "BK", "")
	b.wire("3", "BAT.31", "G", 1, 35, "BK", "")
	b.wire("4", "BAT.30", "XC.1.a", 1, 0.75, "BK", "")
	b.wire("5", "XC.2.a", "XA.61.a", 1, 0.75, "BU", "")
	b.wire("6", "BAT.30", "XL.1.a", 1, 4, "RD", "")
	b.wire("7", "XL.2.a", "G2", 1, 4, "BK", "")
	return b.h
}
