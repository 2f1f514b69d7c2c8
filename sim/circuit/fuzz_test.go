package circuit_test

import (
	"errors"
	"math"
	"testing"

	"faultloom/sim/circuit"
)

// dice reads small numbers from fuzz data, 0 when it is used up.
type dice struct{ data []byte }

func (d *dice) next(n int) int {
	if len(d.data) == 0 {
		return 0
	}
	x := d.data[0]
	d.data = d.data[1:]
	return int(x) % n
}

// amount is a value that is ordinary, extreme or not allowed.
func (d *dice) amount() float64 {
	table := []float64{1, 2, 0.01, 0.005, 12.6, 100, 1e7, 1e12, math.Inf(1), 1e-3, 1e-9, 47, 1e-15, 1e300, 1e-300, 0, -1, -12.6,
		math.NaN(), math.Inf(-1), 1e30, -1e30, 5e-324, 3.3}
	return table[d.next(len(table))]
}

func (d *dice) law() circuit.Law {
	switch d.next(6) {
	case 0, 1:
		return newJunction(1e-12, 0.031)
	case 2:
		return &filament{i0: 4.58, v0: 12}
	case 3:
		return unlimited{newJunction(1e-9, 0.026)}
	case 4:
		return odd(func(v float64) (float64, float64) { return math.Copysign(1, v), 0 })
	}
	return nil
}

func (d *dice) branch() circuit.Branch {
	switch d.next(8) {
	case 0, 1:
		return circuit.Resistor{Ohms: d.amount()}
	case 2:
		return circuit.Source{EMF: d.amount(), Ohms: d.amount()}
	case 3:
		return circuit.Injection{Amps: d.amount()}
	case 4:
		return circuit.Capacitor{Farads: d.amount(), Ohms: d.amount()}
	case 5:
		return circuit.Inductor{Henries: d.amount(), Ohms: d.amount()}
	}
	return circuit.Curve{Law: d.law()}
}

// FuzzSolve compiles, solves and steps through whatever comes, changes it and does so again: no panic, no number that is none, and errors that
// are one of the documented ones.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{3, 4, 1, 0, 2, 4, 3, 2, 1, 0, 5, 2, 3, 1, 1, 0, 7})
	f.Add([]byte{9, 20, 1, 0, 2, 4, 3, 2, 1, 4, 0, 2, 3, 4, 2, 2, 4, 5, 0, 1, 5, 6, 4, 0, 6, 0, 4, 1, 3, 7, 0, 2, 1, 0, 8, 9, 9})
	f.Add([]byte{2, 3, 1, 2, 2, 20, 12, 2, 0, 4, 0, 1, 0, 3, 21, 1, 8, 0, 2, 9, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		d := &dice{data}
		var n circuit.Netlist
		for range d.next(12) {
			n.Node("n")
		}
		for range d.next(40) {
			n.Add("b", circuit.Node(d.next(n.Nodes()+1)), circuit.Node(d.next(n.Nodes())), d.branch())
		}
		s, err := circuit.Compile(&n)
		if err != nil {
			var e *circuit.ValueError
			if !errors.As(err, &e) {
				t.Fatalf("undocumented error %v", err)
			}
			return
		}
		out := make([]float64, s.Nodes())
		for range 4 {
			lookAfter(t, &n, s, s.Solve(), d, out)
			for range d.next(4) {
				dt := d.amount()
				err := s.Step(dt)
				if err != nil && (dt < 1e-15 || dt > 1e9 || math.IsNaN(dt)) {
					continue
				}
				lookAfter(t, &n, s, err, d, out)
			}
			id := circuit.ID(d.next(max(1, n.Branches())))
			if int(id) >= n.Branches() {
				continue
			}
			switch _, _, br := n.Branch(id); br.(type) {
			case circuit.Resistor:
				s.SetOhms(id, d.amount())
			case circuit.Source:
				s.SetEMF(id, d.amount())
				s.SetOhms(id, d.amount())
			case circuit.Injection:
				s.SetAmps(id, d.amount())
			case circuit.Curve:
				s.SetLaw(id, d.law())
			case circuit.Capacitor:
				s.SetOhms(id, d.amount())
				s.SetFarads(id, d.amount())
				s.SetStored(id, d.amount())
			case circuit.Inductor:
				s.SetOhms(id, d.amount())
				s.SetHenries(id, d.amount())
				s.SetStored(id, d.amount())
			}
		}
	})
}

// lookAfter checks what a Solve or Step has left, with the error that it returned.
func lookAfter(t *testing.T, n *circuit.Netlist, s *circuit.Solver, err error, d *dice, out []float64) {
	if err != nil {
		var value *circuit.ValueError
		var converge *circuit.ConvergenceError
		if !errors.As(err, &value) && !errors.As(err, &converge) {
			t.Fatalf("undocumented error %v", err)
		}
		return
	}
	finite := func(what string, x float64) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%s is %g", what, x)
		}
	}
	for _, v := range s.Voltages() {
		finite("voltage", v)
	}
	for id := range n.Branches() {
		finite("current", s.Current(circuit.ID(id)))
		finite("power", s.Power(circuit.ID(id)))
	}
	a, b := circuit.Node(d.next(s.Nodes())), circuit.Node(d.next(s.Nodes()))
	volts, ohms := s.Thevenin(a, b)
	finite("open voltage", volts)
	finite("resistance", ohms)
	if ohms < 0 {
		t.Fatalf("resistance is %g", ohms)
	}
	s.WhatIf(a, b, 0.5, 3, out)
	for _, v := range out {
		finite("what-if voltage", v)
	}
}
