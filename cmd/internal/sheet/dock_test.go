package sheet_test

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// maker builds harnesses for tests; invented data.
type maker struct{ h harness.Harness }

func (m *maker) part(id, title, kind string, terminals []string, values map[string]float64) *harness.Component {
	m.h.Components = append(m.h.Components, harness.Component{
		ID: id, Title: title,
		Spec: device.Spec{Kind: kind, Terminals: terminals, Values: values},
	})
	return &m.h.Components[len(m.h.Components)-1]
}

func (m *maker) plug(id, title string, mount harness.Mount, component string, cavities ...string) {
	c := harness.Connector{ID: id, Title: title, Mount: mount, Component: component}
	for i := 0; i+1 < len(cavities); i += 2 {
		c.Cavities = append(c.Cavities, harness.Cavity{Number: cavities[i], Terminal: cavities[i+1]})
	}
	m.h.Connectors = append(m.h.Connectors, c)
}

func (m *maker) wire(id, from, to, colour string, size float64) {
	m.h.Wires = append(m.h.Wires, harness.Wire{ID: id, From: harness.Point(from), To: harness.Point(to), Metres: 1.5, Size: size, Colour: colour})
}

func (m *maker) splice(id string) { m.h.Splices = append(m.h.Splices, harness.Splice{ID: id}) }

func (m *maker) ground(id, title string) {
	m.h.Grounds = append(m.h.Grounds, harness.GroundPoint{ID: id, Title: title})
}

// dock is work lamps and horn of a dock tractor: invented data, shaped like a real small harness.
func dock() *harness.Harness {
	m := &maker{}
	m.h.ID, m.h.Title = "dock-lamps", "Work lamps and horn"
	m.h.Vehicle = harness.Vehicle{Fleet: "DT-14", Title: "dock tractor", Outline: "tractor", Volts: 12, Celsius: 20}
	two := []string{"in", "out"}
	m.part("BAT", "battery", "battery", []string{"30", "31"}, map[string]float64{"volts": 12, "capacity": 70, "charge": 100})
	m.part("F0", "main fuse", "large-fuse", []string{"1", "2"}, map[string]float64{"rating": 60})
	m.part("F1", "work lamps", "fuse", []string{"1", "2"}, map[string]float64{"rating": 15})
	m.part("F2", "ignition circuits and horn", "fuse", []string{"1", "2"}, map[string]float64{"rating": 10})
	key := m.part("KS", "key switch", "switch", []string{"30", "15"}, nil)
	key.Control = "key"
	key.Spec.Positions = []device.Position{{Name: "off"}, {Name: "run", Joins: [][2]string{{"30", "15"}}}}
	sw := m.part("LS", "work lamp switch", "switch", []string{"15", "58"}, nil)
	sw.Control = "lamps"
	sw.Spec.Positions = []device.Position{{Name: "off"}, {Name: "on", Joins: [][2]string{{"15", "58"}}}}
	m.part("K1", "work lamp relay", "relay", []string{"85", "86", "30", "87", "87a"}, nil)
	m.part("LL", "left work lamp", "lamp", two, map[string]float64{"power": 55, "volts": 12})
	m.part("LR", "right work lamp", "lamp", two, map[string]float64{"power": 55, "volts": 12})
	m.part("HN", "horn", "horn", two, map[string]float64{"power": 40})
	hb := m.part("HB", "horn button", "button", two, nil)
	hb.Control = "horn"
	hb.Spec.Positions = []device.Position{{Name: "released"}, {Name: "pressed", Joins: [][2]string{{"in", "out"}}}}

	m.h.Controls = []harness.Control{
		{ID: "key", Title: "key", Positions: []string{"off", "run"}},
		{ID: "lamps", Title: "work lamp switch", Positions: []string{"off", "on"}},
		{ID: "horn", Title: "horn button", Positions: []string{"released", "pressed"}, Momentary: true},
	}
	m.plug("XF0", "main fuse holder", harness.Holder, "F0", "1", "1", "2", "2")
	m.plug("XF1", "fuse holder 1", harness.Holder, "F1", "1", "1", "2", "2")
	m.plug("XF2", "fuse holder 2", harness.Holder, "F2", "1", "1", "2", "2")
	m.plug("XK", "key switch plug", harness.Plug, "KS", "1", "30", "2", "15")
	m.plug("XS", "lamp switch plug", harness.Plug, "LS", "1", "15", "2", "58")
	m.plug("XR", "relay socket", harness.Socket, "K1", "1", "86", "2", "85", "3", "30", "4", "87a", "5", "87")
	m.plug("XL", "left lamp plug", harness.Plug, "LL", "1", "in", "2", "out")
	m.plug("XQ", "right lamp plug", harness.Plug, "LR", "1", "in", "2", "out")
	m.plug("XH", "horn plug", harness.Plug, "HN", "1", "in", "2", "out")
	m.plug("XB", "horn button plug", harness.Plug, "HB", "1", "in", "2", "out")
	m.plug("X1", "dash to front loom", harness.InLine, "", "1", "", "2", "", "3", "", "4", "")
	m.plug("X2", "front loom to lamp frame", harness.InLine, "", "1", "", "2", "")
	m.splice("S1")
	m.splice("S2")
	m.splice("S3")
	m.ground("G1", "left frame rail, front")

	m.wire("30", "BAT.30", "XF0.1.a", "RD", 16)
	m.wire("30a", "XF0.2.a", "S1", "RD", 6)
	m.wire("30b", "S1", "XF1.1.a", "RD", 4)
	m.wire("30c", "S1", "XF2.1.a", "RD", 2.5)
	m.wire("30d", "XF1.2.a", "XR.3.a", "RD/YE", 2.5)
	m.wire("30e", "XF2.2.a", "XK.1.a", "RD/BU", 2.5)
	m.wire("15", "XK.2.a", "S3", "BK/YE", 1.5)
	m.wire("15a", "S3", "XS.1.a", "BK/YE", 1)
	m.wire("15b", "S3", "XB.1.a", "BK/GN", 1.5)
	m.wire("58", "XS.2.a", "XR.1.a", "GY/RD", 0.75)
	m.wire("31a", "XR.2.a", "G1", "BN", 0.75)
	m.wire("58a", "XR.5.a", "X1.1.a", "WH/RD", 2.5)
	m.wire("58b", "X1.1.b", "X2.1.a", "WH/RD", 2.5)
	m.wire("58c", "X2.1.b", "S2", "WH/RD", 2.5)
	m.wire("58L", "S2", "XL.1.a", "WH/RD", 1.5)
	m.wire("58R", "S2", "XQ.1.a", "WH/RD", 1.5)
	m.wire("31L", "XL.2.a", "X2.2.b", "BN", 1.5)
	m.wire("31R", "XQ.2.a", "G1", "BN", 1.5)
	m.wire("31b", "X2.2.a", "G1", "BN", 2.5)
	m.wire("71", "XB.2.a", "X1.2.a", "GN/WH", 1.5)
	m.wire("71a", "X1.2.b", "XH.1.a", "GN/WH", 1.5)
	m.wire("31h", "XH.2.a", "X1.3.b", "BN", 1.5)
	m.wire("31c", "X1.3.a", "G1", "BN", 1.5)
	m.wire("31", "BAT.31", "G1", "BK", 16)
	return &m.h
}

// placed is the dock tractor with places given by an author, some of them turned.
func placed() *harness.Harness {
	h := dock()
	h.Sheet = []harness.Placement{
		{ID: "BAT", Column: 0, Row: 0}, {ID: "F0", Column: 1, Row: 0, Turn: 1}, {ID: "S1", Column: 2, Row: 1},
		{ID: "F1", Column: 4, Row: 2, Turn: 3}, {ID: "F2", Column: 2, Row: 2}, {ID: "KS", Column: 2, Row: 3},
		{ID: "K1", Column: 4.2, Row: 3, Turn: 1}, {ID: "X1", Column: 5, Row: 5, Turn: 1}, {ID: "HN", Column: 6, Row: 5.5, Turn: 2},
		{ID: "LS", Column: 1, Row: 5}, {ID: "LL", Column: 3, Row: 6}, {ID: "LR", Column: 4, Row: 6, Turn: 3},
	}
	return h
}
