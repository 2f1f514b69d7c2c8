package published

import (
	"fmt"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// wipes returns the wipes a minute of a wiper motor with the kind's own values at the lower and the higher speed.
func wipes(volts float64) (slow, fast float64, err error) {
	kind, _ := device.Lookup("wiper")
	var rated float64
	for _, p := range kind.Params {
		if p.Key == "slow" {
			rated = p.Default
		}
	}
	var speeds [2]float64
	for i := range speeds {
		r := newRig(2)
		d := r.add(device.Spec{Kind: "wiper"}, 1+i, 2-i, 0, 0, 0)
		r.branch(1, 0, circuit.Source{EMF: volts, Ohms: 0.05})
		if err := r.compile().settle(); err != nil {
			return 0, 0, err
		}
		m, ok := d.(*device.Wiper)
		if !ok {
			return 0, 0, r.err
		}
		speeds[i] = rated * m.Speed()
	}
	return speeds[0], speeds[1], nil
}

func wipers() (Group, error) {
	g := Group{Title: "Wipers", About: "Wipes a minute of a wiper motor that is given no values of its own, on a battery and on a charging alternator, behind 50 mΩ."}
	all, err := table("device/wiper.csv")
	if err != nil {
		return g, err
	}
	for _, volts := range []float64{12.6, 14.3} {
		slow, fast, err := wipes(volts)
		if err != nil {
			return g, err
		}
		value := map[string]float64{"wipes a minute at the higher speed": fast, "wipes a minute at a lower speed": slow, "difference of the two speeds": fast - slow}
		for _, l := range all {
			name := l.cells["quantity"]
			g.Rows = append(g.Rows, l.row(fmt.Sprintf("%s, at %g V", name, volts), "1/min", value[name]).within(l.number("minimum"), l.number("maximum"), "required"))
		}
	}
	return g, nil
}
