package device

import "math"

// warmth moves a filament's temperature in time: C(T)·dT/dt = rated·(v²/r(T) - p(T)), with C the mass of the wire times tungsten's
// specific heat and rated the rated power.
type warmth struct {
	perKg float64 // rated power over mass, in W/kg
	last  struct{ v, kelvin, rate, decays float64 }
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

// rate returns dT/dt in K/s and how fast that decays with T, in 1/s.
func (w *warmth) rate(v, kelvin float64) (rate, decays float64) {
	// The step of an instant asks for what its end begins with, and a filament at rest for the same again.
	if w.last.v == v && w.last.kelvin == kelvin {
		return w.last.rate, w.last.decays
	}
	k := w.perKg / tungstenHeat(kelvin)
	w.last.v, w.last.kelvin = v, kelvin
	more, decay := excess(v, kelvin)
	w.last.rate, w.last.decays = -k*more, k*decay
	return w.last.rate, w.last.decays
}

// step returns the longest step in seconds that resolves the warming, +Inf when the filament is near its resting temperature.
func (w *warmth) step(v, kelvin float64) float64 {
	rate, decays := w.rate(v, kelvin)
	if math.Abs(rate) <= warmthRest*decays {
		return math.Inf(1)
	}
	return warmthGrain * kelvin / math.Abs(rate)
}

// after returns the temperature after dt seconds at v. Each stride is a step of the exponential Rosenbrock-Euler method (D. A.
// Pope, "An exponential method of numerical integration of ordinary differential equations", Communications of the ACM 6
// (1963)): exact for a rate that is straight in T, and at ease however long it is.
func (w *warmth) after(v, kelvin, dt float64) float64 { return w.stride(v, kelvin, dt, warmthStride) }

// stride is after with another share of its temperature by which a filament changes in one step.
func (w *warmth) stride(v, kelvin, dt, grain float64) float64 {
	t := max(kelvin, coldest)
	for dt > 0 {
		rate, decays := w.rate(v, t)
		h := dt
		if r := math.Abs(rate); r*h > grain*t && r > 1e-3*warmthRest*decays {
			h = grain * t / r
		}
		t += float64(rate / decays * (1 - exp(-decays*h)))
		dt -= h
	}
	return max(t, coldest)
}
