package circuit_test

import "math"

// junction is the exponential law of Shockley (1949): i = Is·(exp(v/nVt) - 1). Above its knee a step is taken in the logarithm of
// the current, upward as is usual (Nagel, SPICE2, 1975; from memory) and downward too: Newton's method alone goes down by no
// more than n·Vt each time.
type junction struct{ is, nvt, knee float64 }

// newJunction makes a junction with saturation current is (A) and n·kT/q (V).
func newJunction(is, nvt float64) *junction {
	return &junction{is, nvt, nvt * math.Log(nvt/(math.Sqrt2*is))}
}

func (d *junction) At(v float64) (i, g float64) {
	e := math.Exp(v / d.nvt)
	return d.is * (e - 1), d.is / d.nvt * e
}

func (d *junction) Limit(next, last float64) float64 {
	if math.Abs(next-last) <= 0.1*d.nvt || next <= d.knee && last <= 0 {
		return next
	}
	// What the linearisation at last says of the current at next, as a share of the current at last.
	share := 1 + (next-last)/d.nvt
	switch {
	case last <= 0:
		return d.nvt * math.Log(next/d.nvt)
	case share > 0:
		return last + d.nvt*math.Log(share)
	case next > 0:
		return next / 2
	}
	return next
}

func (d *junction) Seed() float64 { return d.knee }

// filament is a lamp in its steady state: i = I0·u·(u²+δ²)^-0.225 with u = v/V0, which is |u|^0.55 away from zero (the
// exponent of the Standard Handbook for Electrical Engineers, 11th ed.) and twelve times the hot conductance near it
// (a cold filament has about a tenth to a fifteenth of the hot resistance; common practice, no source).
type filament struct{ i0, v0 float64 }

var filamentBend = math.Pow(12, -2/0.45) // δ²

func (f *filament) At(v float64) (i, g float64) {
	u := v / f.v0
	q := u*u + filamentBend
	p := f.i0 * math.Exp(-0.225*math.Log(q))
	return p * u, p / f.v0 * (1 - 0.45*u*u/q)
}

func (f *filament) Limit(next, last float64) float64 {
	if next*last < 0 {
		return 0
	}
	return next
}

func (f *filament) Seed() float64 { return f.v0 }
