package published

import (
	"fmt"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// fuseType is a type and range of ratings as the table of published windows names them.
type fuseType struct {
	kind, table, span string
	ratings           []float64
}

func fuseTypes() []fuseType {
	var small, high []float64
	for _, a := range device.FuseRatings() {
		switch {
		case a >= 3 && a <= 30:
			small = append(small, a)
		case a > 30:
			high = append(high, a)
		}
	}
	return []fuseType{
		{"fuse", "blade, type C medium and type F", "3 to 30", small},
		{"fuse", "blade, type C medium", "35 and 40", high},
		{"large-fuse", "blade, type E", "20 to 80", device.LargeFuseRatings()},
	}
}

// fuseOn puts a current through a cold fuse.
func fuseOn(kind string, rating, amps float64) *rig {
	r := newRig(1)
	r.add(device.Spec{Kind: kind, Values: map[string]float64{"rating": rating}}, 1, 0)
	r.branch(0, 1, circuit.Injection{Amps: amps})
	return r.compile()
}

// carries is the published time in seconds from which on a fuse need only be watched for so long: a hundred hours.
const carries = 360000

func fuses() (Group, error) {
	g := Group{Title: "Fuses", About: "A constant current through a cold fuse, stepped through time until it opens. Where the window has no end, the time for which it was watched without opening."}
	all, err := table("device/blade_fuse.csv")
	if err != nil {
		return g, err
	}
	for _, t := range fuseTypes() {
		for _, l := range all {
			if l.cells["quantity"] != "operating_time" || !strings.HasPrefix(l.cells["fuse_link_type"], t.table) || l.cells["rated_current_A"] != t.span {
				continue
			}
			percent, least, most := l.number("percent_of_rated_current"), l.number("minimum"), l.number("maximum")
			for _, rating := range t.ratings {
				limit, what := 2*most, fmt.Sprintf("%s %g A at %g %%, opens after", t.kind, rating, percent)
				if least >= carries {
					limit, what = least, fmt.Sprintf("%s %g A at %g %%, carried for", t.kind, rating, percent)
				}
				at, err := fuseOn(t.kind, rating, rating*percent/100).march(limit)
				if err != nil {
					return g, fmt.Errorf("%s: %w", l.where, err)
				}
				g.Rows = append(g.Rows, l.row(what, "s", at).within(least, most, "window of the standard"))
			}
		}
	}
	return g, nil
}

func fuseFigures() (Group, error) {
	g := Group{Title: "Fuse resistance, drop and melting integral", About: "Cold resistance, voltage at rated current once warm, and current squared by time at ten times the rating."}
	all, err := table("device/blade_fuse.csv")
	if err != nil {
		return g, err
	}
	for _, l := range all {
		if !strings.HasSuffix(l.cells["quantity"], "_typical") {
			continue
		}
		kind := "fuse"
		if strings.Contains(l.cells["fuse_link_type"], "type E") {
			kind = "large-fuse"
		}
		want, rating := l.number("maximum"), l.number("rated_current_A")
		what := fmt.Sprintf("%s %g A, ", kind, rating)
		r := fuseOn(kind, rating, rating)
		switch l.cells["quantity"] {
		case "cold_resistance_typical":
			if r.err != nil {
				return g, r.err
			}
			ohms := r.devices[0].(*device.Fuse).ColdOhms()
			g.Rows = append(g.Rows, l.row(what+"cold resistance", "mΩ", 1000*ohms).near(want, 0.01*want, "a typical figure"))
		case "voltage_drop_typical":
			if err := r.settle(); err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row(what+"drop at rated current", "mV", 1000*r.volts(1)).near(want, 0.01*want, "a typical figure"))
		case "melting_integral_typical":
			at, err := fuseOn(kind, rating, 10*rating).march(10)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row(what+"melting integral", "A²s", 100*rating*rating*at).near(want, 0.2*want, "what typical figures spread by"))
		}
	}
	return g, nil
}
