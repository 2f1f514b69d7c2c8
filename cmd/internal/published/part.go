package published

import (
	"fmt"
	"math"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

func batteries() (Group, error) {
	g := Group{Title: "Battery at rest", About: "Voltage at the posts of a 12 V flooded battery that nothing loads, by its charge."}
	all, err := table("device/lead_acid.csv")
	if err != nil {
		return g, err
	}
	for _, l := range all {
		if l.cells["quantity"] != "open_circuit_V" || l.cells["type"] != "flooded" {
			continue
		}
		charge := l.number("state_of_charge_percent")
		r := newRig(1)
		r.add(device.Spec{Kind: "battery", Values: map[string]float64{"charge": charge}}, 1, 0)
		if err := r.compile().settle(); err != nil {
			return g, fmt.Errorf("%s: %w", l.where, err)
		}
		tolerance, why := 0.05, "spread of the published tables near full charge"
		switch {
		case l.cells["temperature_C"] == "26.7":
			tolerance, why = 1e-6, "the model is made from this table"
		case charge == 0:
			tolerance, why = 0.3, "spread of the published tables when empty"
		case charge <= 50:
			tolerance, why = 0.15, "spread of the published tables at half charge and below"
		}
		g.Rows = append(g.Rows, l.row(fmt.Sprintf("12 V battery, %g %% charged", charge), "V", r.volts(1)).near(l.number("value"), tolerance, why))
	}
	return g, nil
}

// sensorAt returns the resistance in ohms of a temperature sensor, found with an ampere and a volt.
func sensorAt(kind string, celsius float64, values map[string]float64) (float64, error) {
	v := map[string]float64{"low": celsius, "high": celsius}
	for k, x := range values {
		v[k] = x
	}
	r := newRig(1)
	r.add(device.Spec{Kind: kind, Positions: []device.Position{{Name: "one"}, {Name: "other"}}, Values: v}, 1, 0)
	const amps = 1e-3
	r.branch(0, 1, circuit.Injection{Amps: amps})
	if err := r.compile().settle(); err != nil {
		return 0, err
	}
	return r.volts(1) / amps, nil
}

// misprinted is the temperature of the row of the first thermistor table whose figure is a misprint, as its note there shows.
const misprinted = 40

// steinhart returns the resistance at a temperature from Steinhart and Hart's coefficients, by Newton's method.
func steinhart(a, b, c, celsius float64) float64 {
	ohms := 1000.0
	for range 50 {
		l := math.Log(ohms)
		ohms *= math.Exp((1/(celsius+273.15) - (a + b*l + c*l*l*l)) / (b + 3*c*l*l))
	}
	return ohms
}

func thermistors() (Group, error) {
	g := Group{Title: "Thermistors", About: "Resistance of a sensor that is told the published resistances at 0, 25 and 100 °C, at every other temperature of the same table."}
	all, err := table("device/thermistor.csv")
	if err != nil {
		return g, err
	}
	coefficient := map[string]float64{}
	for _, l := range all {
		if strings.HasPrefix(l.cells["quantity"], "steinhart_hart_") {
			coefficient[l.cells["quantity"]] = l.number("value")
		}
	}
	fit := func(prefix string, celsius float64) float64 {
		return steinhart(coefficient[prefix+"_A"], coefficient[prefix+"_B"], coefficient[prefix+"_C"], celsius)
	}
	// kelvin says what share of resistance a kelvin is there, for an element of that B.
	kelvin := func(b, celsius float64) float64 { return b / math.Pow(celsius+273.15, 2) }
	for _, l := range all {
		celsius, want := l.number("temperature_C"), l.number("value")
		var values map[string]float64
		var tolerance float64
		var why string
		switch l.cells["quantity"] {
		case "ntc_table_b3435":
			tolerance, why = want*0.15*kelvin(3435, celsius), "0.15 K: three points against the whole table"
		case "ntc_from_coefficients":
			values = map[string]float64{"at-0": fit("steinhart_hart", 0), "at-25": fit("steinhart_hart", 25), "at-100": fit("steinhart_hart", 100)}
			tolerance, why = 2e-4*want, "printed to 4 or 5 figures"
		case "ntc_table":
			if celsius == misprinted {
				continue
			}
			values = map[string]float64{"at-0": 32128, "at-25": 9814, "at-100": fit("steinhart_hart_fit", 100)}
			tolerance, why = want*0.005*kelvin(3900, celsius), "5 mK: printed to 4 or 5 figures"
		default:
			continue
		}
		ohms, err := sensorAt("thermistor", celsius, values)
		if err != nil {
			return g, fmt.Errorf("%s: %w", l.where, err)
		}
		g.Rows = append(g.Rows, l.row(fmt.Sprintf("%s, %g °C", l.cells["element"], celsius), "Ω", ohms).near(want, tolerance, why))
	}
	return g, nil
}

func platinum() (Group, error) {
	g := Group{Title: "Platinum sensors", About: "Resistance by temperature of sensors of 100 Ω and 1000 Ω at 0 °C."}
	all, err := table("device/thermistor.csv")
	if err != nil {
		return g, err
	}
	for _, l := range all {
		name := l.cells["quantity"]
		if name == "iec60751_alpha" {
			at100, err := sensorAt("platinum", 100, map[string]float64{"at-0": 100})
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("mean coefficient, 0 to 100 °C", "1/K", (at100-100)/1e4).near(l.number("value"), 0.5e-6, "printed to 4 figures"))
		}
		at0 := map[string]float64{"pt100": 100, "pt1000": 1000}[name]
		if at0 == 0 {
			continue
		}
		celsius := l.number("temperature_C")
		ohms, err := sensorAt("platinum", celsius, map[string]float64{"at-0": at0})
		if err != nil {
			return g, fmt.Errorf("%s: %w", l.where, err)
		}
		g.Rows = append(g.Rows, l.row(fmt.Sprintf("platinum %g Ω, %g °C", at0, celsius), "Ω", ohms).near(l.number("value"), 0.51e-5*at0, "half the last digit"))
	}
	return g, nil
}

// relayKinds are the relays that the page looks at: plain ones of 12 and 24 V, and the usual suppressions.
func relayKinds() []struct {
	name   string
	volts  float64
	values map[string]float64
} {
	return []struct {
		name   string
		volts  float64
		values map[string]float64
	}{
		{"relay 12 V", 12, nil},
		{"relay 24 V", 24, map[string]float64{"volts": 24, "coil": 320}},
		{"relay 12 V with diode", 12, map[string]float64{"diode": 1}},
		{"relay 12 V with resistor", 12, map[string]float64{"resistor": 680}},
	}
}

// changesAt takes a relay's coil from one voltage to another in steps of 10 mV, all settled at each, and returns where it changes.
func changesAt(r *rig, coil circuit.ID, k *device.Relay, from, to float64) (float64, error) {
	was, steps := k.PulledIn(), int(math.Round(math.Abs(to-from)/0.01))
	for i := 0; i <= steps; i++ {
		v := from + (to-from)*float64(i)/float64(steps)
		r.solver.SetEMF(coil, v)
		if err := r.settle(); err != nil {
			return 0, err
		}
		if k.PulledIn() != was {
			return v, nil
		}
	}
	return math.NaN(), nil
}

func relays() (Group, error) {
	g := Group{Title: "Relays", About: "Coil voltage at which the contact changes, raised and lowered in steps of 10 mV, and the time it takes."}
	all, err := table("device/relay.csv")
	if err != nil {
		return g, err
	}
	find := func(quantity string, volts float64) (line, error) {
		for _, l := range all {
			if strings.HasPrefix(l.cells["quantity"], quantity) && l.number("rated_V") == volts {
				return l, nil
			}
		}
		return line{}, fmt.Errorf("device/relay.csv: no row %q at %g V", quantity, volts)
	}
	for _, c := range relayKinds() {
		pull, err1 := find("must pull in by, same relay", c.volts)
		drop, err2 := find("must drop out by, same relay", c.volts)
		usual, err3 := find("drop-out over rated voltage, typical", 12)
		operate, err4 := find("operate time", 12)
		for _, err := range []error{err1, err2, err3, err4} {
			if err != nil {
				return g, err
			}
		}
		r := newRig(3)
		d := r.add(device.Spec{Kind: "relay", Values: c.values}, 0, 1, 2, 3, 0)
		coil := r.branch(1, 0, circuit.Source{Ohms: 0.01})
		r.branch(2, 0, circuit.Resistor{Ohms: 1000})
		r.branch(3, 0, circuit.Resistor{Ohms: 1000})
		r.compile()
		k, ok := d.(*device.Relay)
		if !ok {
			return g, r.err
		}
		in, err := changesAt(r, coil, k, 0, 1.3*c.volts)
		if err != nil {
			return g, err
		}
		out, err := changesAt(r, coil, k, 1.3*c.volts, 0)
		if err != nil {
			return g, err
		}
		r.solver.SetEMF(coil, 0)
		if err := r.settle(); err != nil {
			return g, err
		}
		r.solver.SetEMF(coil, c.volts)
		takes, err := r.march(1)
		if err != nil {
			return g, err
		}
		g.Rows = append(g.Rows,
			pull.row(c.name+", pulls in at", "V", in).within(0, pull.number("value"), "must have pulled in by then"),
			drop.row(c.name+", lets go at", "V", out).within(drop.number("value"), math.NaN(), "must let go above that"),
			usual.row(c.name+", lets go over rated voltage", "", out/c.volts).within(usual.number("value"), usual.number("value_high"), "usual hysteresis"),
			operate.row(c.name+", operates after", "ms", 1000*takes).within(math.NaN(), operate.number("value"), "longest of the sheets"))
	}
	return g, nil
}
