package grading

import (
	"math"

	"faultloom/sim/meter"
)

// More tolerances of parts, beside those in compare.go.
const (
	// partMillivolts is partVolts for the range that is made for small drops: a tenth of a milliohm more or less in a good joint at
	// twenty amperes, in volts.
	partMillivolts = 0.002
	// partHertz and partDuty are the same for what repeats, in hertz and per cent: clocks of modules are within 1 %, and edges within a
	// few thousandths of a period (common practice, no source).
	partHertz = 0.5
	partDuty  = 2
)

// unitOf returns the base unit of a function as margins name it, and how far parts may move a reading that is near zero.
func unitOf(f meter.Function) (unit string, part float64) {
	switch f {
	case meter.Millivolts:
		return "V", partMillivolts
	case meter.Ohms, meter.Continuity:
		return "ohm", partOhms
	case meter.Amps:
		return "A", partAmps
	case meter.Hertz:
		return "Hz", partHertz
	case meter.Duty:
		return "%", partDuty
	}
	return "V", partVolts
}

// signOf is the unit as people read it.
func signOf(f meter.Function) string {
	unit, _ := unitOf(f)
	if unit == "ohm" {
		return "Ω"
	}
	return unit
}

// toleranceOf is the meter's own tolerance for what a display shows: with a reading subtracted, that of both readings.
func toleranceOf(f meter.Function, d meter.Display) float64 {
	if d.Relative == 0 {
		return f.Tolerance(d.Value)
	}
	return f.Tolerance(d.Value+d.Relative) + f.Tolerance(d.Relative)
}

// sizeOf is the size of what was measured, in base units: with a reading subtracted, that of both together.
func sizeOf(d meter.Display) float64 {
	if d.Relative == 0 {
		return math.Abs(d.Value)
	}
	return math.Abs(d.Value+d.Relative) + math.Abs(d.Relative)
}
