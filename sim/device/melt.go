package device

import "math"

// melt is the heat balance of a fuse element: two bodies in series, the element and what it is clamped in, each of which
// warms towards the square of the current with its own time constant. Heat is counted so that the fuse opens at 1:
//
//	dθ₁/dt = (x² - θ₁)/τ₁   dθ₂/dt = (x² - θ₂)/τ₂   x = I/(least·rating)   open when share·θ₁ + (1-share)·θ₂ = 1
//
// least is the smallest current that melts it in the end, over the rating. This is Newton cooling of a lumped body
// (any text on heat transfer); with one body the time to open from cold is τ·ln(x²/(x²-1)). The numbers are fitted to the
// windows of ISO 8820-3 and to a published melting integral; see the families.
type melt struct {
	least      float64
	share      float64
	fast, slow float64 // τ₁, τ₂ in seconds
}

// opensAt is the heat at which a fuse counts as open. The little that is missing from 1 keeps rounding from putting the
// event off when time has been advanced to the instant that Due told.
const opensAt = 1 - 1e-9

// heat is the heat of both bodies.
type heat [2]float64

// total is the heat that counts.
func (m melt) total(h heat) float64 { return float64(m.share*h[0]) + float64((1-m.share)*h[1]) }

// after returns the heat after t seconds at a drive of x².
func (m melt) after(h heat, x2, t float64) heat {
	return heat{
		x2 + float64((h[0]-x2)*exp(-t/m.fast)),
		x2 + float64((h[1]-x2)*exp(-t/m.slow)),
	}
}

// due returns the seconds until the fuse opens at a drive of x² from a heat of h, +Inf if it never does.
func (m melt) due(h heat, x2 float64) float64 {
	switch {
	case m.total(h) >= opensAt:
		return 0
	case x2 <= 1:
		// Not even in the end. A body hotter than this drive is cooling, and so was below 1 already.
		return math.Inf(1)
	case m.share == 1:
		return m.fast * log((x2-h[0])/(x2-1))
	}
	// The total is a constant and two decays, so it turns at most once; as it begins below 1 and ends at x² above 1, it passes 1
	// once. Halving the interval sixty times leaves less than the grain of a float64.
	lo, hi := 0.0, m.fast
	for m.total(m.after(h, x2, hi)) < 1 {
		lo, hi = hi, 2*hi
	}
	for range 60 {
		mid := lo + (hi-lo)/2
		if m.total(m.after(h, x2, mid)) < 1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// step returns the longest step in seconds over which the heat moves by no more than grain, +Inf once it is that near to rest.
func (m melt) step(h heat, x2, grain float64) float64 {
	t := math.Inf(1)
	for i, tau := range [...]float64{m.fast, m.slow} {
		share := m.share
		if i == 1 {
			share = 1 - m.share
		}
		if d := math.Abs(x2-h[i]) * share; d > grain {
			t = min(t, grain*tau/d)
		}
	}
	return t
}

// element is a fuse element of a rating in amperes with its present heat, open for good once it has blown.
type element struct {
	melt   *melt
	rating float64
	heat   heat
	blown  bool
}

// drive returns x² for a current in amperes.
func (e *element) drive(amps float64) float64 {
	x := amps / (e.melt.least * e.rating)
	return x * x
}

// due returns the seconds until the element opens at a current, +Inf if never.
func (e *element) due(amps float64) float64 {
	if e.blown {
		return math.Inf(1)
	}
	return e.melt.due(e.heat, e.drive(amps))
}

// step returns the longest step over which the heat moves by no more than grain.
func (e *element) step(amps, grain float64) float64 {
	if e.blown {
		return math.Inf(1)
	}
	return e.melt.step(e.heat, e.drive(amps), grain)
}

// advance lets dt seconds pass at a current and reports whether the element opened in them.
func (e *element) advance(amps, dt float64) bool {
	if e.blown {
		e.heat = e.melt.after(e.heat, 0, dt)
		return false
	}
	e.heat = e.melt.after(e.heat, e.drive(amps), dt)
	e.blown = e.melt.total(e.heat) >= opensAt
	return e.blown
}

// rest leaves the heat that a current holds. An element that would open has no rest and keeps its heat.
func (e *element) rest(amps float64) {
	if x2 := e.drive(amps); e.blown {
		e.heat = heat{}
	} else if x2 < 1 {
		e.heat = heat{x2, x2}
	}
}

// state returns rating, heat of both bodies, blown; setState puts them back.
func (e *element) appendState(dst []float64) []float64 {
	return append(dst, e.rating, e.heat[0], e.heat[1], flag(e.blown))
}

func (e *element) setState(x []float64) {
	e.rating, e.heat, e.blown = x[0], heat{x[1], x[2]}, x[3] != 0
}
