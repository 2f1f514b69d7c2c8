package circuit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

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
	p := f.i0 * lampPower(q)
	return p * u, p / f.v0 * (1 - 0.45*u*u/q)
}

// lampPower returns q^-0.225 for q above 0, to some roundings, without a logarithm and an exponential, which together would take
// longer than the solver does for a node: q = 2^e·m·(1+r) with m in the middle of one of lampNodes stretches of 1 to 2, and the
// binomial series for the last factor, whose seventh term is below 1e-17.
func lampPower(q float64) float64 {
	bits := math.Float64bits(q)
	n := &lampTable[bits>>(52-lampBits)&(lampNodes-1)]
	r := (math.Float64frombits(bits&(1<<52-1)|1023<<52) - n.middle) * n.inverse
	const p = lampExponent
	r2 := r * r
	a := 1 + p*r + r2*(p*(p-1)/2+r*(p*(p-1)*(p-2)/6))
	b := p*(p-1)*(p-2)*(p-3)/24 + r*(p*(p-1)*(p-2)*(p-3)*(p-4)/120) + r2*(p*(p-1)*(p-2)*(p-3)*(p-4)*(p-5)/720)
	return lampScale[bits>>52&2047] * n.power * (a + r2*r2*b)
}

const (
	lampExponent = -0.225
	lampBits     = 7
	lampNodes    = 1 << lampBits
)

type lampNode struct{ middle, inverse, power float64 }

var lampTable, lampScale = func() (t [lampNodes]lampNode, scale [2048]float64) {
	for i := range t {
		m := 1 + (float64(i)+0.5)/lampNodes
		t[i] = lampNode{m, 1 / m, math.Pow(m, lampExponent)}
	}
	for e := range scale {
		scale[e] = math.Pow(2, lampExponent*float64(e-1023))
	}
	return t, scale
}()

func TestLampPower(t *testing.T) {
	for q := 1e-9; q < 1e9; q *= 1.00123 {
		assert.InEpsilon(t, math.Pow(q, lampExponent), lampPower(q), 2e-15)
	}
}

func (f *filament) Limit(next, last float64) float64 {
	if next*last < 0 {
		return 0
	}
	return next
}

func (f *filament) Seed() float64 { return f.v0 }
