package device

import "math"

// warmth moves a filament's temperature in time: C(T)·dT/dt = rated·(v²/r(T) - p(T)), with C the mass of the wire times tungsten's
// specific heat and rated the rated power.
type warmth struct {
	perKg float64 // rated power over mass, in W/kg
	last  struct {
		by                   feed
		kelvin, rate, decays float64
	}
}

// feed is what heats a filament, in units of its rating: the voltage v where that stands whatever the filament does; else, with around above 0, what
// the rest of the circuit looks like from it (Norton): a current of drive, and a conductance of around beside it.
type feed struct{ v, drive, around float64 }

// excess returns by how much more a filament loses than it takes in, as excess does, with its slope.
func (f feed) excess(kelvin float64) (more, decay float64) {
	if f.around <= 0 {
		return excess(f.v, kelvin)
	}
	p, slope := losses(kelvin)
	r, rise := ratios(kelvin)
	part := 1 / (1 + float64(f.around*r))
	amps := f.drive * part
	heats := float64(amps*amps) * r
	return p - heats, slope - float64(float64(amps*amps)*(1-float64(f.around*r))*part*rise)
}

func newWarmth(volts, watts float64) warmth { return warmth{perKg: watts / filamentMass(volts, watts)} }

const (
	// warmthGrain is the share of its temperature by which a filament may change within one step of the circuit: its resistance
	// then changes by 2 to 3 %.
	warmthGrain = 0.02
	// warmthStride is the same for the steps taken here, under a given voltage.
	warmthStride = 0.005
	// warmthCoarse is the same where a few percent of the time make no difference.
	warmthCoarse = 0.05
	// warmthRest is how near in kelvin to its resting temperature a filament counts as at rest: half a kelvin is 0.02 % of its
	// resistance and 0.2 % of its light.
	warmthRest = 0.5
	// coldest is far below any temperature in kelvin that a filament has.
	coldest = 0.5 * filamentCold
)

// rate returns dT/dt in K/s and how fast that decays with T, in 1/s: not at all, below 0, where more resistance takes in more.
func (w *warmth) rate(by feed, kelvin float64) (rate, decays float64) {
	// The step of an instant asks for what its end begins with, and a filament at rest for the same again.
	if w.last.by == by && w.last.kelvin == kelvin {
		return w.last.rate, w.last.decays
	}
	k := w.perKg / tungstenHeat(kelvin)
	w.last.by, w.last.kelvin = by, kelvin
	more, decay := by.excess(kelvin)
	w.last.rate, w.last.decays = -k*more, k*decay
	return w.last.rate, w.last.decays
}

// step returns the longest step in seconds that resolves the warming at v, +Inf when the filament is near its resting temperature.
func (w *warmth) step(v, kelvin float64) float64 {
	rate, decays := w.rate(feed{v: v}, kelvin)
	if math.Abs(rate) <= warmthRest*decays {
		return math.Inf(1)
	}
	return warmthGrain * kelvin / math.Abs(rate)
}

// after returns the temperature after dt seconds. Each stride is a step of the exponential Rosenbrock-Euler method (D. A.
// Pope, "An exponential method of numerical integration of ordinary differential equations", Communications of the ACM 6
// (1963)): exact for a rate that is straight in T, and at ease however long it is.
func (w *warmth) after(by feed, kelvin, dt float64) float64 {
	return w.stride(by, kelvin, dt, warmthStride)
}

// stride is after with another share of its temperature by which a filament changes in one step.
func (w *warmth) stride(by feed, kelvin, dt, grain float64) float64 {
	t := max(kelvin, coldest)
	for dt > 0 {
		rate, decays := w.rate(by, t)
		h := dt
		if r := math.Abs(rate); r*h > grain*t && r > 1e-3*warmthRest*decays {
			h = grain * t / r
		}
		t += float64(rate * fading(decays, h))
		dt -= h
	}
	return max(t, coldest)
}

// fading returns the seconds for which a rate that decays, or grows if decays is below 0, does as much as it would in h at its full size.
func fading(decays, h float64) float64 {
	x := decays * h
	if math.Abs(x) < 1e-6 {
		return h * (1 - float64(0.5*x))
	}
	return (1 - exp(-x)) / decays
}

// until returns after how many seconds a rate that decays has done so much, +Inf if never.
func until(much, rate, decays float64) float64 {
	x := decays * much / rate
	switch {
	case math.Abs(x) < 1e-6:
		return much / rate
	case x >= 1:
		return math.Inf(1)
	}
	return -log(1-x) / decays
}
