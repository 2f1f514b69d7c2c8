package sample

import "faultloom/sim/harness"

// Cycling returns a harness in which a self-resetting breaker of 10 A opens and closes for ever: half an ohm hangs on it.
func Cycling() *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "cycling", Title: "cycling breaker",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "ground point"}},
	}}
	b.component("BAT", "battery", map[string]float64{"capacity": 10000}, "")
	b.component("CB", "breaker", map[string]float64{"rating": 10}, "")
	b.component("R", "resistor", map[string]float64{"resistance": 0.5}, "")
	b.connector("XCB", harness.Plug, "CB", "1", "2")
	b.connector("XR", harness.Plug, "R", names("resistor")...)
	b.wire("1", "BAT.30", "XCB.1.a", 1, 2.5, "RD", "")
	b.wire("2", "XCB.2.a", "XR.1.a", 1, 2.5, "RD", "")
	b.wire("3", "XR.2.a", "G", 1, 2.5, "BK", "")
	b.wire("4", "BAT.31", "G", 1, 16, "BK", "")
	return b.h
}

// Flashing returns a harness in which a flasher unit flashes two lamps of 21 W, of which one is at XL.1.a and XL.2.a.
func Flashing() *harness.Harness {
	b := &builder{h: &harness.Harness{
		ID: "flashing", Title: "flashing lamps",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: 12, Celsius: 20},
		Grounds: []harness.GroundPoint{{ID: "G", Title: "ground point"}},
		Splices: []harness.Splice{{ID: "S"}},
	}}
	b.component("BAT", "battery", map[string]float64{"capacity": 10000}, "")
	b.component("FL", "flasher", map[string]float64{"load": 42}, "")
	b.component("L1", "lamp", map[string]float64{"power": 21}, "")
	b.component("L2", "lamp", map[string]float64{"power": 21}, "")
	b.connector("XF", harness.Plug, "FL", names("flasher")...)
	b.connector("XL", harness.Plug, "L1", names("lamp")...)
	b.connector("XR", harness.Plug, "L2", names("lamp")...)
	b.wire("1", "BAT.30", "XF.1.a", 1, 2.5, "RD", "")
	b.wire("2", "XF.2.a", "S", 1, 2.5, "GN", "")
	b.wire("3", "S", "XL.1.a", 1, 1.5, "GN", "")
	b.wire("4", "S", "XR.1.a", 1, 1.5, "GN", "")
	b.wire("5", "XL.2.a", "G", 1, 1.5, "BK", "")
	b.wire("6", "XR.2.a", "G", 1, 1.5, "BK", "")
	b.wire("7", "XF.3.a", "G", 1, 1.5, "BK", "")
	b.wire("8", "BAT.31", "G", 1, 16, "BK", "")
	return b.h
}
