package published

import (
	"fmt"
	"math"

	"faultloom/sim/circuit"
)

// response is a circuit left to itself, with the closed form of what one of its stores holds.
type response struct {
	name, unit string
	build      func(r *rig) (watch circuit.ID)
	want       func(t float64) float64
	span, size float64 // seconds to look at, and what to measure the error by
}

func responses() []response {
	const e, r, l, c = 12, 2, 0.01, 1e-5
	a := r / (2 * l)
	w := math.Sqrt(1/(l*c) - a*a)
	return []response{
		{"RC charging", "V", func(g *rig) circuit.ID {
			g.branch(1, 0, circuit.Source{EMF: 12, Ohms: 100})
			return g.branch(1, 0, circuit.Capacitor{Farads: 1e-4})
		}, func(t float64) float64 { return 12 * (1 - math.Exp(-t/0.01)) }, 0.03, 12},
		{"RL building up", "A", func(g *rig) circuit.ID {
			g.branch(1, 0, circuit.Source{EMF: 12, Ohms: 2})
			return g.branch(1, 0, circuit.Inductor{Henries: 0.1, Ohms: 8})
		}, func(t float64) float64 { return 1.2 * (1 - math.Exp(-t/0.01)) }, 0.03, 1.2},
		{"RLC ringing on a step", "V", func(g *rig) circuit.ID {
			g.branch(1, 0, circuit.Source{EMF: e, Ohms: r / 2.0})
			g.branch(1, 2, circuit.Inductor{Henries: l, Ohms: r / 2.0})
			return g.branch(2, 0, circuit.Capacitor{Farads: c})
		}, func(t float64) float64 { return e * (1 - math.Exp(-a*t)*(math.Cos(w*t)+a/w*math.Sin(w*t))) }, 0.006, e},
	}
}

// run steps a response through and returns what it holds at the end and the largest error on the way.
func (p response) run(steps int) (end, worst float64, err error) {
	g := newRig(2)
	watch := p.build(g)
	if g.compile(); g.err != nil {
		return 0, 0, g.err
	}
	dt := p.span / float64(steps)
	for i := range steps {
		if err := g.solver.Step(dt); err != nil {
			return 0, 0, fmt.Errorf("%s: %w", p.name, err)
		}
		worst = max(worst, math.Abs(g.solver.Stored(watch)-p.want(dt*float64(i+1))))
	}
	return g.solver.Stored(watch), worst, nil
}

// fine is the number of steps of the finer run; the coarser one has half.
const fine = 8000

func closedForms() (Group, error) {
	const source, seen = "closed form of the textbooks: x∞ + (x₀ - x∞)·exp(-t/τ), and the damped oscillation of R, L and C", "computed"
	g := Group{Title: "Responses in time", About: fmt.Sprintf("Circuits stepped through time in %d and %d steps against their closed form.", fine/2, fine)}
	for _, p := range responses() {
		_, coarse, err := p.run(fine / 2)
		if err != nil {
			return g, err
		}
		end, worst, err := p.run(fine)
		if err != nil {
			return g, err
		}
		g.Rows = append(g.Rows,
			line{}.row(fmt.Sprintf("%s, after %g s", p.name, p.span), p.unit, end).near(p.want(p.span), 1e-5*p.size, "1e-5 of full size").from(source, seen),
			line{}.row(p.name+", largest error on the way", p.unit, worst).within(0, 1e-5*p.size, "1e-5 of full size").from(source, seen),
			line{}.row(p.name+", order of accuracy", "", math.Log2(coarse/worst)).near(2, 0.1, "error falls to a quarter with half the step").
				from("order of the trapezoidal rule, any text on numerical methods", seen))
	}
	return g, nil
}
