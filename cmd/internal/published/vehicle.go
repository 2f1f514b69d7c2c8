package published

import (
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"

	"faultloom/scenarios"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/testdata"
)

// wholeHarnesses compares every point of a whole harness with what ngspice made of a deck that was written from its drawing.
func wholeHarnesses() (Group, error) {
	g := Group{Title: "A whole harness, beside another simulator", About: "Every point of a made-up tractor, and the stored answers of ngspice 39 to decks that were written from its drawing alone. Lamps, horn and fuses stand in them as the resistances at which they are here, since their laws have groups of their own: what is compared is the network."}
	series := func(limb harness.Limb, ohms float64) []harness.Alteration {
		return []harness.Alteration{harness.SeriesOhms{Where: limb, Ohms: ohms}}
	}
	for _, c := range []struct {
		deck, title string
		on          []string // controls, each followed by its position
		altered     []harness.Alteration
	}{
		{"lamps-on", "work lamps on", []string{"key", "on", "lamps", "on"}, nil},
		{"all-on", "all on", []string{"key", "on", "lamps", "on", "horn", "pressed"}, nil},
		{"ground-5-ohm", "all on, 5 Ω in a ground point", []string{"key", "on", "lamps", "on", "horn", "pressed"}, series("ground G1", 5)},
		{"ground-lost", "horn on, a ground point lost", []string{"key", "on", "horn", "pressed"}, series("ground G1", harness.Broken)},
		{"contact-5-ohm", "work lamps on, 5 Ω in a contact", []string{"key", "on", "lamps", "on"}, series("cavity X2.1", 5)},
	} {
		m, err := harness.NewMachine(sample.Tractor())
		if err != nil {
			return g, err
		}
		if err := m.Alter(c.altered); err != nil {
			return g, err
		}
		for i := 0; i < len(c.on); i += 2 {
			if err := m.Operate(c.on[i], c.on[i+1]); err != nil {
				return g, err
			}
		}
		if err := m.Settle(); err != nil {
			return g, err
		}
		file := "harness/ngspice/" + c.deck
		off, err := everyPoint(m, file+".csv")
		if err != nil {
			return g, err
		}
		g.Rows = append(g.Rows, line{}.row(fmt.Sprintf("%s, voltages of %d points", c.title, off.count), "V", off.worst).
			within(0, 1e-9, "the answers are stored with twelve digits").from("ngspice 39 on testdata/"+file+".cir", "yes: run, its answers stored beside the deck"))
	}
	return g, nil
}

// everyPoint compares a machine's points with a file of point and volts.
func everyPoint(m *harness.Machine, name string) (difference, error) {
	var off difference
	f, err := testdata.Tables.Open(name)
	if err != nil {
		return off, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return off, fmt.Errorf("%s: %w", name, err)
	}
	for _, r := range rows[1:] {
		want, err := strconv.ParseFloat(r[1], 64)
		if err != nil {
			return off, fmt.Errorf("%s: %w", name, err)
		}
		off.see(m.Volts(harness.Point(r[0])), want, true)
	}
	return off, nil
}

// drops holds a healthy vehicle with everything on against the voltage drops that are taught.
func drops() (Group, error) {
	g := Group{Title: "Taught voltage drops", About: "The largest drop of each sort on the healthy dock tractor DT-14 with work lamps and horn on, beside the most that is taught. (Rows about starters, charging and 24 V have nothing on this vehicle to be held against.)"}
	all, err := table("scenarios/voltage_drop.csv")
	if err != nil {
		return g, err
	}
	h, err := scenarios.Load(scenarios.Builtin(), "harbour/dock-tractor.yaml")
	if err != nil {
		return g, err
	}
	m, err := harness.NewMachine(h)
	if err != nil {
		return g, err
	}
	for control, position := range map[string]string{"KEY": "on", "LAMPS": "on", "HORN": "pressed"} {
		if err := m.Operate(control, position); err != nil {
			return g, err
		}
	}
	if err := m.Settle(); err != nil {
		return g, err
	}
	var contacts, wires [][2]harness.Point
	for _, c := range h.Connectors {
		for _, cav := range c.Cavities {
			contacts = append(contacts, [2]harness.Point{harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b")})
		}
	}
	for _, w := range h.Wires {
		from, to := h.Ends(w)
		wires = append(wires, [2]harness.Point{from, to})
	}
	toBody := func(points ...harness.Point) (all [][2]harness.Point) {
		for _, p := range points {
			all = append(all, [2]harness.Point{p, harness.Body})
		}
		return all
	}
	pair := func(points ...harness.Point) (all [][2]harness.Point) {
		for p := range slices.Chunk(points, 2) {
			all = append(all, [2]harness.Point{p[0], p[1]})
		}
		return all
	}
	for _, c := range []struct {
		where string
		volts float64
		pairs [][2]harness.Point
		why   string
	}{
		{"one connection", 12, contacts, "most that is taught"},
		{"length of wire in a lighting or body circuit", 12, wires, "most that is taught"},
		{"switch", 12, pair("KEY.30.b", "KEY.15.b", "LAMPS.1.b", "LAMPS.2.b", "HORN.1.b", "HORN.2.b"), "most that is taught"},
		{"relay contact", 12, pair("K1.30.b", "K1.87.b"), "most that is taught"},
		{"fuse with its clips", 12, pair("F1.1.a", "F1.2.a", "F2.1.a", "F2.2.a", "F3.1.a", "F3.2.a"), "most that is taught"},
		{"ground path of a load", 12, toBody("LL.out.b", "LR.out.b", "HN.out.b", "TT.out.b", "K1.85.b"), "most that is taught"},
		{"supply bus to load, continuous", 14, pair("S2", "LL.in.b", "S2", "LR.in.b"), "limit for 14 V; at 12 V the same is the stricter"},
		{"supply bus to load, intermittent", 14, pair("S2", "HN.in.b"), "limit for 14 V; at 12 V the same is the stricter"},
	} {
		i := slices.IndexFunc(all, func(l line) bool { return l.cells["where"] == c.where && l.number("system_V") == c.volts })
		if i < 0 {
			return g, fmt.Errorf("scenarios/voltage_drop.csv: no row %q at %g V", c.where, c.volts)
		}
		worst := 0.0
		for _, p := range c.pairs {
			worst = max(worst, math.Abs(m.VoltsBetween(p[0], p[1]))) // what is no number stays
		}
		g.Rows = append(g.Rows, all[i].row(fmt.Sprintf("%s, the largest of %d", c.where, len(c.pairs)), "V", worst).
			within(0, all[i].number("max_drop_V"), c.why))
	}
	return g, nil
}
