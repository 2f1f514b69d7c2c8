package device

import "math"

// thermalVolts is kT/q at 25 °C, with the constants of the SI since 2019.
const thermalVolts = 1.380649e-23 * 298.15 / 1.602176634e-19

// junctionIdeality is the emission coefficient of a silicon rectifier; between 1 and 2, and 1.8 fits the common 1 A types near
// their rated current (from memory).
const junctionIdeality = 1.8

// junctionLaw is Shockley's diode with a resistance in series:
//
//	I = saturation·(e^((V - I·series)/(n·Vt)) - 1)
//
// W. Shockley, "The theory of p-n junctions in semiconductors and p-n junction transistors", Bell System Technical Journal 28
// (1949), eq. 4.9; the solution for I by Wright's ω function is that of T. C. Banwell and A. Jayakumar, "Exact analytical
// solution for current flow through diode with series resistance", Electronics Letters 36 (2000).
type junctionLaw struct {
	saturation float64 // amperes
	volts      float64 // n·Vt
	series     float64 // ohms

	offset, scale float64 // of ω's argument: offset + V/volts; current = scale·ω - saturation
	bend          float64 // where the law bends most in volts and amperes: n·Vt·ln(n·Vt/(√2·saturation))
}

// newJunction returns the law that passes amps at volts, with the usual series resistance: a twentieth of a volt at amps.
func newJunction(volts, amps float64) *junctionLaw {
	j := &junctionLaw{volts: junctionIdeality * thermalVolts, series: 0.05 * min(1, volts) / amps}
	j.saturation = amps / (exp((volts-float64(amps*j.series))/j.volts) - 1)
	j.prepare()
	return j
}

// prepare finds the numbers that At needs.
func (j *junctionLaw) prepare() {
	j.scale = j.volts / j.series
	j.offset = log(j.saturation/j.scale) + j.saturation/j.scale
	j.bend = j.volts * log(j.volts/(math.Sqrt2*j.saturation))
}

// At implements circuit.Law.
func (j *junctionLaw) At(v float64) (i, g float64) {
	w := omega(j.offset + v/j.volts)
	// dω/dx = ω/(1+ω), so the slope is 1/series·ω/(1+ω).
	return float64(j.scale*w) - j.saturation, w / (1 + w) / j.series
}

// omega returns Wright's function, the w with w + ln w = x, by the iteration of F. N. Fritsch, R. E. Shafer and W. P. Crowley,
// "Solution of the transcendental equation we^w = x", Communications of the ACM 16 (1973), whose error falls with the fourth
// power each time.
func omega(x float64) float64 {
	var w float64
	switch {
	case x < -2:
		w = exp(x)
		if x < -37 {
			return w // w + ln w = x to the last digit
		}
	case x < 3:
		w = exp(2 * (x - 1) / 3) // both meet ω(1) = 1 and its slope, as (1+w)/w·dw = dx asks, within a few percent
	default:
		l := log(x)
		w = x - l + l/x
	}
	for range 2 {
		r := x - w - log(w)
		t := 1 + w
		q := float64(2 * t * (t + float64(2.0/3*r)))
		w *= 1 + float64(r/t*((q-r)/(q-float64(2*r))))
	}
	return w
}

// Limit implements circuit.Law: a step that is long for the exponential is taken in the current instead, to the voltage at which
// the diode would carry what the last linearisation proposes. That is the junction limiting of L. W. Nagel, "SPICE2: a computer
// program to simulate semiconductor circuits", UCB/ERL M520 (1975), with the series resistance in it, and taken both ways. As there, a
// step up is free as far as the bend of the law. A step down to where nothing would flow goes to where nothing does: tangents
// would come down to what hangs on a leakage by no more than n·Vt at a time.
func (j *junctionLaw) Limit(next, last float64) float64 {
	d := next - last
	if math.Abs(d) <= j.volts/2 || d > 0 && next <= j.bend || d < 0 && last <= j.volts {
		return next
	}
	i, g := j.At(last)
	i += float64(g * d)
	switch {
	case !(i > 0) && d > 0:
		return j.bend
	case !(i > 0):
		return min(next, 0)
	}
	at := float64(j.volts*log(1+i/j.saturation)) + float64(i*j.series)
	if d > 0 {
		return max(at, j.bend, last)
	}
	return at
}
