package published

import (
	"fmt"
	"strconv"
	"strings"

	"faultloom/sim/device"
)

// metresPerKm is what tables of wire resistance are for.
const metresPerKm = 1000

// gauge reads a gauge number as it is written: 0000 is -3.
func gauge(s string) (int, error) {
	if s != "" && strings.Trim(s, "0") == "" {
		return 1 - len(s), nil
	}
	return strconv.Atoi(s)
}

func wires() (Group, error) {
	g := Group{Title: "Wire", About: "Resistance of a kilometre at 20 °C from the area: the area of a gauge by its formula, that of a metric size by its name."}
	awg, err := table("device/wire_awg.csv")
	if err != nil {
		return g, err
	}
	for _, l := range awg {
		n, err := gauge(l.cells["awg"])
		if err != nil {
			return g, fmt.Errorf("%s: %w", l.where, err)
		}
		what, area := "AWG "+l.cells["awg"], device.GaugeMM2(n)
		perKm := device.CopperOhms(metresPerKm, area, 20)
		g.Rows = append(g.Rows, l.row(what+", area", "mm²", area).near(l.number("area_mm2"), 0.5e-4, "printed to 4 decimals").
			from(l.cells["source_computed"], l.cells["seen_computed"]))
		share, why := 4e-4, "printed to 4 figures"
		if n < 2 {
			share, why = 1e-3, "printed to 2 or 3 figures"
		}
		printed := l.number("published_ohm_per_km_20C")
		g.Rows = append(g.Rows, l.row(what+", resistance", "Ω/km", perKm).near(printed, share*printed, why).
			from(l.cells["source_published"], l.cells["seen_published"]))
		if l.cells["tinned_stranded_area_mm2"] != "" {
			ours := device.CopperOhms(metresPerKm, l.number("tinned_stranded_area_mm2"), 20)
			g.Rows = append(g.Rows, l.row(what+", area of the tinned stranded wire", "Ω/km", ours).
				within(0, l.number("tinned_stranded_max_ohm_per_km_20C"), "highest allowed").
				from("FAA AC 43.13-1B table 11-9", l.cells["seen_published"]))
		}
	}
	metric, err := table("device/wire_metric.csv")
	if err != nil {
		return g, err
	}
	for _, l := range metric {
		what, perKm := l.cells["nominal_area_mm2"]+" mm²", device.CopperOhms(metresPerKm, l.number("nominal_area_mm2"), 20)
		ideal := l.number("ideal_solid_ohm_per_km_20C")
		g.Rows = append(g.Rows, l.row(what+", solid copper of that area", "Ω/km", perKm).near(ideal, 5e-4*ideal, "printed to 4 figures").
			from("IEC 60028 (1925): 1/58 Ω·mm²/m over the area", "computed"))
		for _, limit := range []struct{ column, name, source string }{
			{"iso6722_max_ohm_per_km_20C", "ISO 6722-1", "iso"},
			{"iec60228_class5_plain_max_ohm_per_km_20C", "IEC 60228 class 5", "iec"},
			{"iec60228_class1_2_plain_max_ohm_per_km_20C", "IEC 60228 class 1 and 2", "iec"},
		} {
			if l.cells[limit.column] != "" {
				g.Rows = append(g.Rows, l.row(what+", "+limit.name, "Ω/km", perKm).within(0, l.number(limit.column), "highest allowed").
					from(l.cells["source_"+limit.source], l.cells["seen_"+limit.source]))
			}
		}
	}
	return g, nil
}

func copper() (Group, error) {
	g := Group{Title: "Copper with temperature", About: "Resistance of 1 m of 1 mm² and its change with temperature."}
	all, err := table("device/copper.csv")
	if err != nil {
		return g, err
	}
	at := func(celsius float64) float64 { return device.CopperOhms(1, 1, celsius) }
	for _, l := range all {
		name, x := l.cells["quantity"], l.number("value")
		switch {
		case strings.HasPrefix(name, "volume resistivity"):
			share, why := 3e-5, "printed to 5 figures"
			if strings.Contains(name, "exact") {
				share, why = 1e-9, "printed to 9 figures"
			}
			g.Rows = append(g.Rows, l.row(name+", 20 °C", "Ω·mm²/m", at(20)).near(x, share*x, why))
		case strings.HasPrefix(name, "temperature coefficient"):
			g.Rows = append(g.Rows, l.row(name+", over 20 to 85 °C", "1/K", (at(85)/at(20)-1)/65).near(x, 0.5e-5, "printed to 5 decimals"))
		case strings.HasPrefix(name, "check: 20.0 m of 12 gauge"):
			g.Rows = append(g.Rows, l.row("20.0 m of 12 gauge", "Ω", device.CopperOhms(20, device.GaugeMM2(12), 20)).near(x, 0.5e-3, "printed to 3 decimals"))
		case strings.HasPrefix(name, "correction factor"):
			celsius := l.number("at_temperature_C")
			g.Rows = append(g.Rows, l.row(name, "", at(20)/at(celsius)).near(x, 4e-3*x, "the standard rounds the coefficient to 0.004"))
		case strings.HasPrefix(name, "inferred temperature"):
			for celsius := -40.0; celsius <= 150; celsius += 10 {
				want := (celsius - x) / (20 - x)
				g.Rows = append(g.Rows, l.row(fmt.Sprintf("resistance at %g °C over that at 20 °C", celsius), "", at(celsius)/at(20)).
					near(want, 1e-3*want, "the source's temperature is rounded to 0.5 K"))
			}
		}
	}
	return g, nil
}
