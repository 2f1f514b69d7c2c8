package published

import (
	"fmt"
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// burning returns the made-up tractor of the tests with both of its work lamps on, so that some amperes flow through every joint of
// their circuit.
func burning() (*harness.Machine, error) {
	m, err := harness.NewMachine(sample.Tractor())
	if err != nil {
		return nil, err
	}
	for control, position := range map[string]string{"key": "on", "lamps": "on"} {
		if err := m.Operate(control, position); err != nil {
			return nil, err
		}
	}
	return m, m.Settle()
}

// item returns the row of a table whose column has a cell.
func item(all []line, column, cell string) (line, error) {
	for _, l := range all {
		if l.cells[column] == cell {
			return l, nil
		}
	}
	return line{}, fmt.Errorf("no row whose %s is %q", column, cell)
}

// joints measures good joints by the drop over them and the current through them.
func joints() (Group, error) {
	g := Group{Title: "Joints", About: "Resistance of good joints by the drop over them and the current through them, with two work lamps of 55 W burning on a made-up tractor; of crimps and splices what is left of the wire's when its copper is taken off."}
	all, err := table("harness/ground_connector.csv")
	if err != nil {
		return g, err
	}
	m, err := burning()
	if err != nil {
		return g, err
	}
	// A figure in whole nanoohms, for what is left is a difference of two drops.
	nano := func(ohms float64) float64 { return math.Round(1e9*ohms) / 1e9 }
	ohms := func(limb harness.Limb, a, b harness.Point) float64 { return m.VoltsBetween(a, b) / m.LimbAmps(limb) }
	celsius := m.Harness().Vehicle.Celsius
	// Wire 29 of 0.5 m has a crimp at either end, wire 28 of 2 m a splice and a crimp; both are 2.5 mm².
	crimp := (ohms("wire 29", "X2.2.a", "G1.29") - device.CopperOhms(0.5, 2.5, celsius)) / 2
	splice := ohms("wire 28", "S4", "X2.2.b") - device.CopperOhms(2, 2.5, celsius) - crimp
	small, large := ohms("cavity X2.1", "X2.1.a", "X2.1.b"), ohms("cavity XF1.1", "XF1.1.a", "XF1.1.b")
	ground := ohms("ring G1.29", "G1.29", "G1") + ohms("ground G1", "G1", harness.Body)
	// dimmed is the light that is left behind a joint of some ohms, in percent.
	dimmed := func(extra float64) (float64, error) {
		before := m.EffectOf("LL").Level
		if err := m.Alter([]harness.Alteration{harness.SeriesOhms{Where: "cavity XLL.1", Ohms: extra}}); err != nil {
			return 0, err
		}
		if err := m.Settle(); err != nil {
			return 0, err
		}
		return 100 * m.EffectOf("LL").Level / before, nil
	}
	const usual, most, summed = "usual range", "limit of the source", "limit of the source, for ring and stud together"
	for _, c := range []struct {
		name, what string
		ohms       float64
		why        string
	}{
		{"good crimp", "crimp", crimp, usual},
		{"good crimp", "splice, one leg", splice, "usual range of a crimp, which it is like"},
		{"good mated small terminal pair", "contact of wires up to 2.5 mm²", small, usual},
		{"2.8 mm terminal", "contact of wires up to 2.5 mm²", small, most},
		{"6.3 mm terminal", "contact of larger wires", large, most},
		{"each joint of a bonding jumper", "ring on its stud, and the stud on the body", ground, summed},
		{"equipment case to structure", "ring on its stud, and the stud on the body", ground, summed},
		{"class R bond", "ring on its stud, and the stud on the body", ground, summed},
		{"good ground stud joint", "ring on its stud, and the stud on the body", ground, ""},
	} {
		l, err := item(all, "item", c.name)
		if err != nil {
			return g, fmt.Errorf("harness/ground_connector.csv: %w", err)
		}
		r := l.row(fmt.Sprintf("%s (%s)", c.what, c.name), "mΩ", 1000*nano(c.ohms))
		switch {
		case c.why == "":
			r = r.near(1000*l.number("limit"), 0.5, "a figure of one digit")
		case !math.IsNaN(l.number("least")):
			r = r.within(1000*l.number("least"), 1000*l.number("most"), c.why)
		default:
			r = r.within(0, 1000*l.number("limit"), c.why)
		}
		g.Rows = append(g.Rows, r)
	}
	l, err := item(all, "item", "corroded joint that dims a 5 A lamp visibly")
	if err != nil {
		return g, fmt.Errorf("harness/ground_connector.csv: %w", err)
	}
	extra := l.number("limit")
	light, err := dimmed(extra)
	if err != nil {
		return g, err
	}
	g.Rows = append(g.Rows, l.row(fmt.Sprintf("light left behind a corroded joint of %g Ω", extra), "%", light).
		within(50, 80, "seen beside the other lamp, and not yet called dim by itself"))
	return g, nil
}
