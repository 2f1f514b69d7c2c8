package published

import (
	"fmt"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/meter"
)

// divider returns the voltage across the lower of two resistances on a source, solved as a circuit.
func divider(volts, upper, lower float64) (float64, error) {
	r := newRig(2)
	r.branch(1, 0, circuit.Source{EMF: volts, Ohms: 1e-9 * upper})
	r.branch(1, 2, circuit.Resistor{Ohms: upper})
	r.branch(2, 0, circuit.Resistor{Ohms: lower})
	if err := r.compile().settle(); err != nil {
		return 0, err
	}
	return r.volts(2), nil
}

func meters() (Group, error) {
	g := Group{Title: "Meters", About: "What a meter's own resistance does to what it shows. The examples on meters in the next group belong to it."}
	all, err := table("meter/meter.csv")
	if err != nil {
		return g, err
	}
	input := meter.Volts.Accuracy().Ranges[0].Ohms
	for _, l := range all {
		name := l.cells["quantity"]
		switch {
		case strings.HasPrefix(name, "digital voltmeter input resistance"):
			for i, r := range meter.Volts.Accuracy().Ranges {
				g.Rows = append(g.Rows, l.row(fmt.Sprintf("input resistance on volts, range %d", i+1), "MΩ", r.Ohms/1e6).near(l.number("value"), 0, "same on all ranges"))
			}
		case strings.HasPrefix(name, "loading error"):
			read, err := divider(10, 100e3, input)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("loading error on a source of 100 kΩ", "%", 100*(read-10)/10).near(-0.99, 0.5e-2, "printed to 2 decimals"))
		case strings.HasPrefix(name, "source resistance for 1 % loading"):
			read, err := divider(10, input/99, input)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("loading error on a source of 1/99 of the input resistance", "%", 100*(read-10)/10).near(-1, 2e-5, "exact but for leakage of 1 pS at each node"))
		case strings.HasPrefix(name, "true voltage from two ranges"):
			// The source reads 22 V on a range and 82 V on one of ten times the resistance: it is 117.7 V. What it has inside follows
			// from the higher reading; then the lower one must come out.
			const truth, ratio, high = 117.7, 10, 82
			inside := ratio * (truth/high - 1)
			read, err := divider(truth, inside, 1)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("reading on the lower of two ranges", "V", read).near(22, 0.5, "printed to 2 figures"))
		case strings.HasPrefix(name, "ammeter effect"):
			without, err := divider(10, 1e-6, 10)
			if err != nil {
				return g, err
			}
			with, err := divider(10, 0.02, 10)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("change of current by an ammeter of 20 mΩ in 10 Ω", "%", 100*(with/without-1)).near(l.number("value"), 0.5e-2, "printed to 2 decimals"))
		case strings.HasPrefix(name, "d.c. volts accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy on volts", "%", meter.Volts.Accuracy().Percent).near(l.number("value"), 0, "the trade's figure"))
		case strings.HasPrefix(name, "ohms accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy on ohms", "%", meter.Ohms.Accuracy().Percent).near(l.number("value"), 0, "the trade's figure"))
		case strings.HasPrefix(name, "clamp d.c. accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy of the clamp", "%", meter.ClampPercent).near(l.number("value"), 0, "the trade's figure"))
		case strings.HasPrefix(name, "trace view d.c. accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy of the trace view", "%", meter.TracePercent).near(l.number("value"), 0, "the trade's figure"))
		case strings.HasPrefix(name, "data list accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy of a data list", "%", meter.ReaderPercent).near(l.number("value"), 0, "the trade's figure"))
		case strings.HasPrefix(name, "logic probe thresholds"):
			g.Rows = append(g.Rows, l.row("logic probe, thresholds off by", "%", 100*meter.LogicSpread).near(l.number("value"), rounding, "the trade's figure"))
		case name == "diode-test current":
			g.Rows = append(g.Rows, l.row("diode test, current into a short circuit", "mA", 1e3*meter.DiodeVolts/meter.DiodeOhms).within(l.number("value"), l.number("value_high"), "the trade's range"))
		case name == "diode-test open-circuit voltage":
			g.Rows = append(g.Rows, l.row("diode test, open leads", "V", meter.DiodeVolts).within(l.number("value"), l.number("value_high"), "the trade's range"))
		case strings.HasPrefix(name, "d.c. amps accuracy"):
			g.Rows = append(g.Rows, l.row("stated accuracy on amperes", "%", meter.Amps.Accuracy().Percent).near(l.number("value"), 0, "the trade's figure"))
		}
	}
	return g, nil
}
