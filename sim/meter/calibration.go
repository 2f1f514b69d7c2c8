package meter

import "math/rand/v2"

// share is the part of the stated accuracy that a meter's calibration error may use up. A meter in date sits well inside
// what its sheet states (common practice, no source); the rest is left for rounding.
const share = 0.4

// Calibration is the fixed error of one meter: per function a gain and an offset in counts. The offset stays under half a
// count, so that shorted leads read zero in volts and open leads zero in amps.
type Calibration struct {
	gain   map[Function]float64
	offset map[Function]float64
	drift  float64 // of a clamp's zero, in amperes
	others others
}

// others are the errors of the tools beside the multimeter. What is nought has none.
type others struct {
	clamp  float64    // of the clamp's gain, as a share
	reader float64    // of the gain of a unit's converter
	levels [2]float64 // by how much the logic probe's thresholds are off, low and high, as shares of the supply
	// gains and offsets of the trace view's channels, as shares and in counts.
	gains, offsets [2]float64
}

// drawOthers draws them from the seed of a meter's calibration.
func drawOthers(seed uint64) others {
	const tools = 0x746f6f6c73 // "tools", to keep their numbers apart
	r := rand.New(rand.NewPCG(seed, tools))
	within := func(most float64) float64 { return (float64(2*r.Float64()) - 1) * most }
	o := others{clamp: within(share * ClampPercent / 100), reader: within(share * ReaderPercent / 100)}
	for i := range o.levels {
		o.levels[i] = within(LogicSpread)
	}
	for i := range o.gains {
		o.gains[i], o.offsets[i] = within(share*TracePercent/100), within(share)
	}
	return o
}

// streams keeps the meter's numbers apart from others drawn from the same seed.
const streams = 0x6d65746572 // "meter"

// NewCalibration draws the calibration of one meter: the same seed gives the same meter.
func NewCalibration(seed uint64) Calibration {
	r := rand.New(rand.NewPCG(seed, streams))
	c := Calibration{gain: map[Function]float64{}, offset: map[Function]float64{}, drift: drawDrift(seed), others: drawOthers(seed)}
	// New functions follow the old ones, so that the same seed goes on giving these the same errors.
	for _, f := range []Function{Off, Volts, Ohms, Continuity, Amps, Millivolts, Diode, Hertz, Duty} {
		g, o := float64(2*r.Float64())-1, float64(2*r.Float64())-1
		c.gain[f] = 1 + float64(g*share*accuracies[f].Percent/100)
		c.offset[f] = float64(o * share)
	}
	return c
}

// Ideal is a meter without any calibration error.
func Ideal() Calibration { return Calibration{} }

// apply returns what the meter makes of the value v on range r of f.
func (c Calibration) apply(f Function, r Range, v float64) float64 {
	g, ok := c.gain[f]
	if !ok {
		return v
	}
	return float64(v*g) + float64(c.offset[f]*r.Step())
}
