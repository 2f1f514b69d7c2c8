package published

import (
	"bufio"
	"bytes"
	"fmt"
	"math"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
	"faultloom/testdata"
)

// others are rows about parts that have no group of their own.
func others() (Group, error) {
	g := Group{Title: "Other parts", About: "Fusible links at a constant current; diodes through a resistor on a supply that is swept, beside ngspice's own diode with the same parameters; a relay's coil by its temperature; an alternator's output through whole turns."}
	for _, compute := range []func() ([]Row, error){fusibleLinks, sweptDiode, sweptSuppressor, coilByTemperature, sixPulses} {
		rows, err := compute()
		if err != nil {
			return g, err
		}
		g.Rows = append(g.Rows, rows...)
	}
	return g, nil
}

// linkOn returns after how many seconds a fusible link opens at a current, limit if it does not by then.
func linkOn(mm2, amps, limit float64) (float64, error) {
	r := newRig(1)
	r.add(device.Spec{Kind: "fusible-link", Values: map[string]float64{"size": mm2}}, 1, 0)
	r.branch(0, 1, circuit.Injection{Amps: amps})
	return r.compile().march(limit)
}

func fusibleLinks() ([]Row, error) {
	const (
		preece    = "W. H. Preece, Proceedings of the Royal Society 36 (1884) and 43 (1887): 80·d^1.5 A for copper of d mm"
		onderdonk = "I. M. Onderdonk's formula, in E. R. Stauffacher, General Electric Review 31 (1928)"
		patience  = 1e5 // s
		circular  = 1973.525
	)
	var all []Row
	for _, mm2 := range []float64{0.5, 1, 2.5} {
		preeceAmps := 80 * math.Pow(math.Sqrt(4*mm2/math.Pi), 1.5)
		// The least current that melts it is sought by halving, to a thousandth.
		low, high := 0.5*preeceAmps, 2*preeceAmps
		for high-low > 1e-3*preeceAmps {
			middle := (low + high) / 2
			at, err := linkOn(mm2, middle, patience)
			if err != nil {
				return nil, err
			}
			if at < patience {
				high = middle
			} else {
				low = middle
			}
		}
		at, err := linkOn(mm2, 12*preeceAmps, 100)
		if err != nil {
			return nil, err
		}
		want := math.Log10(1063.0/254+1) / 33 * math.Pow(mm2*circular/(12*preeceAmps), 2)
		all = append(all,
			line{}.row(fmt.Sprintf("fusible link of %g mm², least current that melts it", mm2), "A", high).
				near(preeceAmps, 0.02*preeceAmps, "the model is made from this formula; the current is sought to a thousandth").from(preece, "from memory"),
			line{}.row(fmt.Sprintf("fusible link of %g mm² at %.0f A, opens after", mm2, 12*preeceAmps), "s", at).
				near(want, 0.01*want, "the model is made from this formula; a hundredth for the heat that is lost meanwhile").from(onderdonk, "from memory"))
	}
	return all, nil
}

// swept compares the voltage of a part behind a resistor, on a supply that goes through a range, with ngspice's stored answers.
func swept(deck, what, kind string, ohms, tolerance float64, why string) ([]Row, error) {
	file := "device/ngspice/" + deck
	text, err := testdata.Tables.ReadFile(file + ".txt")
	if err != nil {
		return nil, err
	}
	r := newRig(1)
	r.add(device.Spec{Kind: kind}, 1, 0)
	source := r.branch(1, 0, circuit.Source{Ohms: ohms})
	r.compile()
	var off difference
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		var emf, volts float64
		if _, err := fmt.Sscan(s.Text(), &emf, &volts); err != nil {
			return nil, fmt.Errorf("%s.txt: %w", file, err)
		}
		if r.err == nil {
			r.solver.SetEMF(source, emf)
		}
		if err := r.settle(); err != nil {
			return nil, fmt.Errorf("%s: %g V: %w", file, emf, err)
		}
		off.see(r.volts(1), volts, true)
	}
	return []Row{line{}.row(fmt.Sprintf("%s: its voltage at %d points, up to %.4g V", what, off.count, off.size), "V", off.worst).
		within(0, tolerance, why).from("ngspice 39 on testdata/"+file+".cir", "yes: run, its answers stored beside the deck")}, nil
}

func sweptDiode() ([]Row, error) {
	return swept("diode", "diode behind 10 Ω, from 24 V backwards to 24 V ahead", "diode", 10, 1e-6,
		"ngspice's kT/q is of older constants, some parts in a million of the drop")
}

func sweptSuppressor() ([]Row, error) {
	return swept("suppressor", "suppression diode of 27 V behind 47 Ω, from -60 to 60 V", "suppressor", 47, 2e-6,
		"as of the diode, and two junctions in a row")
}

func coilByTemperature() ([]Row, error) {
	all, err := table("device/relay.csv")
	if err != nil {
		return nil, err
	}
	ohms := func(celsius float64) (float64, error) {
		r := newRig(1)
		d := r.add(device.Spec{Kind: "relay", Values: map[string]float64{"warming": 50}}, 0, 1, 0, 0, 0)
		const emf = 0.01 // V, which warms nothing
		source := r.branch(1, 0, circuit.Source{EMF: emf, Ohms: 1e-6})
		r.compile()
		k, ok := d.(*device.Relay)
		if !ok {
			return 0, r.err
		}
		k.Surround(celsius)
		if err := r.settle(); err != nil {
			return 0, err
		}
		return emf / -r.solver.Current(source), nil
	}
	cold, err := ohms(20)
	if err != nil {
		return nil, err
	}
	var rows []Row
	for _, celsius := range []float64{-40, 85} {
		l, err := item(all, "quantity", fmt.Sprintf("coil resistance at %g C over 20 C", celsius))
		if err != nil {
			return nil, fmt.Errorf("device/relay.csv: %w", err)
		}
		x, err := ohms(celsius)
		if err != nil {
			return nil, err
		}
		rows = append(rows, l.row(fmt.Sprintf("relay coil, resistance at %g °C over that at 20 °C", celsius), "", x/cold).
			near(l.number("value"), 0.02*l.number("value"), "two digits, read off a curve"))
	}
	return rows, nil
}

// sixPulses drives an alternator at 6000 rpm against a stiff 13.5 V and looks at what comes out through 30 turns of its phases.
func sixPulses() ([]Row, error) {
	places := []device.Position{{Name: "rest"}, {Name: "running"}}
	r := newRig(2)
	d := r.add(device.Spec{Kind: "alternator", Positions: places}, 1, 2, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 13.5, Ohms: 1e-3})
	probe := r.branch(2, 0, circuit.Source{EMF: 1, Ohms: 1e-6})
	r.compile()
	a, ok := d.(*device.Alternator)
	if !ok {
		return nil, r.err
	}
	// At rest, a volt on 61 tells the field's resistance: what the field takes comes out of the output too.
	if err := r.settle(); err != nil {
		return nil, err
	}
	fieldOhms := 1 / -r.solver.Current(probe)
	r.solver.SetOhms(probe, math.Inf(1))
	a.Set(1)
	if err := r.settle(); err != nil {
		return nil, err
	}
	a.Freeze(r.solver)
	output := func() float64 { return r.solver.Current(source) + r.volts(2)/fieldOhms }
	mean := output()
	a.Wave(true)
	const (
		seconds = 0.05
		hertz   = 600.0 // six pole pairs at 6000 rpm
	)
	least, most, rises, was := math.Inf(1), math.Inf(-1), 0, false
	time := 0.0
	for time < seconds-1e-9 {
		if err := r.solve(device.Moving); err != nil {
			return nil, err
		}
		i := output()
		least, most = min(least, i), max(most, i)
		if i > mean && !was {
			rises++
		}
		was = i > mean
		dt := a.Step(r.solver)
		if !(dt > 0 && dt < seconds) {
			return nil, fmt.Errorf("the alternator has no ripple at 6000 rpm")
		}
		a.Advance(r.solver, dt)
		time += dt
	}
	const source6, seen = "six-pulse bridge: crest π/3 of the mean, trough √3/2 of the crest, six pulses a turn; any text on rectifiers", "from memory"
	const steps = "the model is made from this form; its steps, and the output's own conductance answers a little"
	return []Row{
		line{}.row("alternator's ripple, crest over mean", "", most/mean).near(math.Pi/3, 0.02, steps).from(source6, seen),
		line{}.row("alternator's ripple, trough over crest", "", least/most).near(math.Sqrt(3)/2, 0.02, steps).from(source6, seen),
		line{}.row("alternator's ripple at 6000 rpm with six pole pairs", "Hz", float64(rises)/time).near(6*hertz, 0.02*6*hertz, "counted over 50 ms").from(source6, seen),
	}, nil
}
