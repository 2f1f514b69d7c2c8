package published

import (
	"fmt"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// busOf settles a bus of nodes with one driver stuck or not, all on the same two wires with ohms between them, and calls look.
func busOf(nodes int, volts, ohms, traffic float64, stuck bool, look func(r *rig)) error {
	r := newRig(3)
	r.branch(3, 0, circuit.Source{EMF: volts, Ohms: 0.01})
	if ohms > 0 {
		r.branch(1, 2, circuit.Resistor{Ohms: ohms})
	}
	for i := range nodes {
		d := r.add(device.Spec{Kind: "node", Values: map[string]float64{"traffic": traffic}}, 3, 0, 1, 2)
		if n, ok := d.(*device.Node); ok && stuck && i == 0 {
			if err := n.Spoil("stuck-dominant", 0); err != nil {
				return err
			}
		}
	}
	if err := r.compile().settle(); err != nil {
		return err
	}
	look(r)
	return nil
}

// resistances returns what an ohmmeter sees between the wires of a dead bus with two nodes, in ohms.
func resistances(ends []float64) (float64, error) {
	r := newRig(2)
	for _, ohms := range ends {
		r.branch(1, 2, circuit.Resistor{Ohms: ohms})
	}
	for range 2 {
		r.add(device.Spec{Kind: "node"}, 0, 0, 1, 2)
	}
	const amps = 1e-3
	r.branch(2, 1, circuit.Injection{Amps: amps})
	if err := r.compile().settle(); err != nil {
		return 0, err
	}
	return (r.volts(1) - r.volts(2)) / amps, nil
}

// busRow is a row of the table with what to compute for it.
type busRow struct {
	quantity, condition string // as in the table
	what                string
	ohms                float64 // between the wires
	traffic             float64
	stuck               bool
	value               func(r *rig) float64
}

func busRows() []busRow {
	high := func(r *rig) float64 { return r.volts(1) }
	low := func(r *rig) float64 { return r.volts(2) }
	apart := func(r *rig) float64 { return r.volts(1) - r.volts(2) }
	return []busRow{
		{"CAN_H recessive", "no load", "high wire, recessive", 0, 0, false, high},
		{"CAN_L recessive", "no load", "low wire, recessive", 0, 0, false, low},
		{"differential recessive, driver", "no load", "difference, recessive", 0, 0, false, apart},
		{"CAN_H dominant", "50 to 65 ohm", "high wire, dominant into 50 Ω", 50, 0, true, high},
		{"CAN_H dominant", "50 to 65 ohm", "high wire, dominant into 65 Ω", 65, 0, true, high},
		{"CAN_L dominant", "50 to 65 ohm", "low wire, dominant into 50 Ω", 50, 0, true, low},
		{"CAN_L dominant", "50 to 65 ohm", "low wire, dominant into 65 Ω", 65, 0, true, low},
		{"differential dominant, driver", "50 to 65 ohm", "difference, dominant into 50 Ω", 50, 0, true, apart},
		{"differential dominant, driver", "50 to 65 ohm", "difference, dominant into 60 Ω", 60, 0, true, apart},
		{"differential dominant, driver", "50 to 65 ohm", "difference, dominant into 65 Ω", 65, 0, true, apart},
		{"differential dominant, driver", "45 to 70 ohm", "difference, dominant into 45 Ω", 45, 0, true, apart},
		{"differential dominant, driver", "45 to 70 ohm", "difference, dominant into 70 Ω", 70, 0, true, apart},
		{"meter average on CAN_H with traffic", "d.c. volts, busy bus", "mean of the high wire, two nodes with the kind's traffic", 60, 10, false, high},
		{"meter average on CAN_L with traffic", "d.c. volts, busy bus", "mean of the low wire, two nodes with the kind's traffic", 60, 10, false, low},
	}
}

func buses() (Group, error) {
	g := Group{Title: "Two-wire bus", About: "Voltages of a bus with two nodes, their drivers at rest, on for good, or sending, its resistance without supply, and what its receivers hear."}
	all, err := table("device/can_levels.csv")
	if err != nil {
		return g, err
	}
	find := func(quantity, condition string) (line, error) {
		for _, l := range all {
			if l.cells["quantity"] == quantity && l.cells["condition"] == condition {
				return l, nil
			}
		}
		return line{}, fmt.Errorf("device/can_levels.csv: no row %q, %q", quantity, condition)
	}
	for _, c := range busRows() {
		l, err := find(c.quantity, c.condition)
		if err != nil {
			return g, err
		}
		var value float64
		if err := busOf(2, 12, c.ohms, c.traffic, c.stuck, func(r *rig) { value = c.value(r) }); err != nil {
			return g, fmt.Errorf("%s: %w", c.what, err)
		}
		g.Rows = append(g.Rows, l.row(c.what, "V", value).within(l.number("minimum"), l.number("maximum"), "limits"))
	}
	for _, c := range []struct {
		quantity, condition, what string
		ends                      []float64
	}{
		{"resistance CAN_H to CAN_L, power off, both ends fitted", "", "both terminations", []float64{120, 120}},
		{"same, one terminator open", "", "one of them", []float64{120}},
		{"same, third terminator fitted by mistake", "", "three of them", []float64{120, 120, 120}},
		{"same, CAN_H shorted to CAN_L", "", "high and low joined", []float64{120, 120, 1e-6}},
	} {
		l, err := find(c.quantity, c.condition)
		if err != nil {
			return g, err
		}
		ohms, err := resistances(c.ends)
		if err != nil {
			return g, err
		}
		want := l.number("typical")
		if l.cells["source"] == "" {
			l.cells["source"] = "resistors of ISO 11898-2 beside each other"
		}
		g.Rows = append(g.Rows, l.row(fmt.Sprintf("high to low, no supply, %s", c.what), "Ω", ohms).
			near(want, want*120/15e3+1e-5, "the receivers of two nodes, 30 kΩ each, lie beside them"))
	}
	more, err := receivers(find)
	g.Rows = append(g.Rows, more...)
	return g, err
}
