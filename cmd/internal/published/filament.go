package published

import (
	"fmt"
	"math"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// headlamp is the lamp that filament figures are taken from; all lamps here are scaled from one filament.
func headlamp() device.Spec {
	return device.Spec{Kind: "lamp", Values: map[string]float64{"volts": 12, "power": 55}}
}

// lampRig has a lamp on a source of next to no resistance.
func lampRig() (*rig, *device.Lamp, circuit.ID, error) {
	r := newRig(1)
	d := r.add(headlamp(), 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-6})
	r.compile()
	l, _ := d.(*device.Lamp)
	return r, l, source, r.err
}

// burningRatio compares the resistance of a lamp that burns at rated voltage, over the cold one, with what the table has at the
// temperature that its heat balance finds.
func burningRatio(r *rig, lamp *device.Lamp, tungsten []line, amps func() float64, cold float64) (Row, error) {
	if err := r.settle(); err != nil {
		return Row{}, err
	}
	ratio, kelvin := r.volts(1)/amps()/cold, lamp.Kelvin()
	for i, l := range tungsten[1:] {
		last := tungsten[i]
		low, high := last.number("temperature_K"), l.number("temperature_K")
		if kelvin < low || kelvin > high {
			continue
		}
		a, b := last.number("resistivity_ohm_m"), l.number("resistivity_ohm_m")
		want := (a + (kelvin-low)/(high-low)*(b-a)) / tungsten[0].number("resistivity_ohm_m")
		return l.row(fmt.Sprintf("cold (300 K) to hot at rated voltage, where it burns at %.0f K", kelvin), "", ratio).
			near(want, 5e-3*want, "the model is made from this table; between two rows on a straight line").from(l.cells["source"], l.cells["seen_resistivity"]), nil
	}
	return Row{}, fmt.Errorf("device/tungsten.csv: nothing about %g K", kelvin)
}

func filaments() (Group, error) {
	g := Group{Title: "Filament lamps", About: "A lamp's resistance at a filament temperature, and what its heat balance makes of the voltage between 70 and 115 % of rated."}
	r, lamp, source, err := lampRig()
	if err != nil {
		return g, err
	}
	amps := func() float64 { return -r.solver.Current(source) }
	// at returns the resistance with the filament at a temperature.
	at := func(kelvin float64) (float64, error) {
		lamp.SetState([]float64{kelvin, 0, 0})
		if err := r.solve(device.Moving); err != nil {
			return 0, err
		}
		return r.volts(1) / amps(), nil
	}
	tungsten, err := table("device/tungsten.csv")
	if err != nil {
		return g, err
	}
	cold, err := at(300)
	if err != nil {
		return g, err
	}
	burning, err := burningRatio(r, lamp, tungsten, amps, cold)
	if err != nil {
		return g, err
	}
	g.Rows = append(g.Rows, burning)
	for _, l := range tungsten {
		kelvin := l.number("temperature_K")
		hot, err := at(kelvin)
		if err != nil {
			return g, fmt.Errorf("%s: %w", l.where, err)
		}
		if l.cells["ratio_to_300K_published"] == "" {
			continue
		}
		want := l.number("ratio_to_300K_published")
		g.Rows = append(g.Rows, l.row(fmt.Sprintf("resistance at %g K over that at 300 K", kelvin), "", hot/cold).
			near(want, 0.51e-2, "the model is made from this table's resistivities; the ratio is printed to 2 decimals").from(l.cells["source"], l.cells["seen_ratio"]))
	}
	// burn returns current, and light as a share of the rated one, at a share of rated volts.
	burn := func(share float64) (i, light float64, err error) {
		r.solver.SetEMF(source, 12*share)
		if err := r.settle(); err != nil {
			return 0, 0, err
		}
		return amps(), lamp.Effect(r.solver).Level, nil
	}
	// exponents returns those of current and light between two shares.
	exponents := func(low, high float64) (current, light float64, err error) {
		i0, b0, err := burn(low)
		if err != nil {
			return 0, 0, err
		}
		i1, b1, err := burn(high)
		return math.Log(i1/i0) / math.Log(high/low), math.Log(b1/b0) / math.Log(high/low), err
	}
	all, err := table("device/lamp.csv")
	if err != nil {
		return g, err
	}
	for _, l := range all {
		name, want := l.cells["quantity"], l.number("value")
		switch {
		case strings.HasPrefix(name, "current against voltage"):
			whole, _, err := exponents(0.70, 1.15)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("current's exponent, 70 to 115 % of rated volts", "", whole).near(want, 0.01, "the handbook gives two figures"))
			for v := 70; v < 115; v += 5 {
				part, _, err := exponents(float64(v)/100, float64(v+5)/100)
				if err != nil {
					return g, err
				}
				g.Rows = append(g.Rows, l.row(fmt.Sprintf("current's exponent, %d to %d %%", v, v+5), "", part).
					near(want, 0.015, "the handbook's is one figure for the whole range"))
			}
		case strings.HasPrefix(name, "power against voltage"):
			current, _, err := exponents(0.9, 1.1)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("power's exponent, 90 to 110 %", "", 1+current).near(want, 0.06, "with the same handbook's current it is 1.55"))
		case strings.HasPrefix(name, "luminous output"):
			_, light, err := exponents(0.9, 1.1)
			if err != nil {
				return g, err
			}
			g.Rows = append(g.Rows, l.row("light's exponent, 90 to 110 %", "", light).near(want, 0.1, "3.3 is quoted for halogen lamps"))
		case strings.HasPrefix(name, "inrush over steady"):
			lamp.SetState([]float64{293.15, 0, 0})
			r.solver.SetEMF(source, 12+0.08*55/12) // 12 V at the lamp when it burns
			r.solver.SetOhms(source, 0.08)
			if err := r.solve(device.Moving); err != nil {
				return g, err
			}
			peak := amps()
			g.Rows = append(g.Rows, l.row("inrush over steady current of 55 W through 80 mΩ", "", peak/(55.0/12)).
				within(want, l.number("value_high"), "common practice"))
			r.solver.SetOhms(source, 1e-6)
		}
	}
	return g, nil
}
