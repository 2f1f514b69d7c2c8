package meter

import (
	"fmt"
	"math"
	"strings"
)

// The multimeter's fixed properties.
const (
	// MaxCounts is the largest number the display can hold, "6000 counts" in the trade. Ordinary handhelds have 2000
	// to 6000 (common practice, no source).
	MaxCounts = 5999
	// InputOhms is the resistance between the leads in volts, the same on every range (OpenStax University Physics
	// volume 2, section 10.4; Lessons In Electric Circuits I, chapter 8).
	InputOhms = 10e6
	// LeadOhms is what both leads and their plugs add to a reading in ohms: 0.1 to 0.3 Ω unless nulled (common practice,
	// no source).
	LeadOhms = 0.1
	// TestVolts is the open-circuit voltage in ohms and continuity. 0.5 to 3 V are usual, the lower end on
	// ranges that should not turn a diode on (common practice, no source).
	TestVolts = 0.5
	// BeepOhms is where continuity stops beeping: 20 to 50 Ω are usual, 30 a fair middle (common practice, no source).
	BeepOhms = 30
	// ShuntOhms is the ammeter's shunt with its fuse and leads on the 10 A range: 0.02 to 0.05 Ω (common practice, no
	// source).
	ShuntOhms = 0.03
	// AmpsFuse is the rating in amperes of the fuse in the ammeter's input.
	AmpsFuse = 10
	// DiodeVolts and DiodeOhms are the source of the diode test: 1 mA into a short circuit, 0.8 mA through a junction. 2.5 to 3.5 V
	// open and 0.5 to 1 mA are usual (common practice, no source).
	DiodeVolts = 3
	DiodeOhms  = 3000
	// DiodeFull is the largest forward voltage that the diode test shows; beyond it, as with open leads, it shows Overload.
	DiodeFull = 2.5
	// SwingVolts is the least swing from peak to peak of which hertz and duty are told: some tenths of a volt are usual (common
	// practice, no source).
	SwingVolts = 0.5
	// LiveVolts is the foreign voltage in volts from which the meter says "live circuit" in ohms. Against the 1 mA of the
	// lowest range 10 mV falsify a reading by 10 Ω, a third of what beeps.
	LiveVolts = 0.010
	// Update is the time in seconds between two readings on the display: 2 to 5 a second are usual (common practice, no
	// source). A circuit that does not come to rest is averaged over it.
	Update = 0.25
)

// Range is one range of a function. The meter chooses it by itself.
type Range struct {
	// Exponent is the power of ten of one count, in base units (V, Ω, A): -4 is 0.1 mV.
	Exponent int
	// Counts is the largest number of counts shown on it.
	Counts int
	// Unit is the unit shown, and Decimals the digits after the point in it.
	Unit     string
	Decimals int
	// EMF and Ohms are the source that the leads present to the circuit on it: open-circuit volts and inner ohms, the
	// leads not counted.
	EMF, Ohms float64
}

// Step is the value of one count in base units.
func (r Range) Step() float64 { return fromCounts(1, r.Exponent) }

// Full is the largest value that the range can show, in base units.
func (r Range) Full() float64 { return fromCounts(r.Counts, r.Exponent) }

// Accuracy is how far a reading may be from the truth, stated as the trade does: percent of reading plus counts.
type Accuracy struct {
	Percent float64
	Counts  float64
	Ranges  []Range // lowest first; nil for Off
}

var accuracies = map[Function]Accuracy{
	// 0.5 % + 2 counts: ordinary handheld, common practice, no source.
	Volts: {Percent: 0.5, Counts: 2, Ranges: []Range{
		{Exponent: -4, Counts: MaxCounts, Unit: "mV", Decimals: 1, Ohms: InputOhms},
		{Exponent: -3, Counts: MaxCounts, Unit: "V", Decimals: 3, Ohms: InputOhms},
		{Exponent: -2, Counts: MaxCounts, Unit: "V", Decimals: 2, Ohms: InputOhms},
		{Exponent: -1, Counts: MaxCounts, Unit: "V", Decimals: 1, Ohms: InputOhms},
	}},
	// A range of its own for the small drops at joints and fuses, as better handhelds have it: 0.5 % + 2 counts, common practice, no
	// source. It does not change to volts by itself.
	Millivolts: {Percent: 0.5, Counts: 2, Ranges: []Range{
		{Exponent: -5, Counts: MaxCounts, Unit: "mV", Decimals: 2, Ohms: InputOhms},
		{Exponent: -4, Counts: MaxCounts, Unit: "mV", Decimals: 1, Ohms: InputOhms},
	}},
	// 0.8 % + 2 counts: ordinary handheld, common practice, no source. The test current into a short is 1 mA on the
	// lowest range and a tenth of it on each next one.
	Ohms: {Percent: 0.8, Counts: 2, Ranges: []Range{
		{Exponent: -1, Counts: MaxCounts, Unit: "Ω", Decimals: 1, EMF: TestVolts, Ohms: 500},
		{Exponent: 0, Counts: MaxCounts, Unit: "kΩ", Decimals: 3, EMF: TestVolts, Ohms: 5e3},
		{Exponent: 1, Counts: MaxCounts, Unit: "kΩ", Decimals: 2, EMF: TestVolts, Ohms: 50e3},
		{Exponent: 2, Counts: MaxCounts, Unit: "kΩ", Decimals: 1, EMF: TestVolts, Ohms: 500e3},
		{Exponent: 3, Counts: MaxCounts, Unit: "MΩ", Decimals: 3, EMF: TestVolts, Ohms: 5e6},
		{Exponent: 4, Counts: MaxCounts, Unit: "MΩ", Decimals: 2, EMF: TestVolts, Ohms: 50e6},
	}},
	Continuity: {Percent: 0.8, Counts: 2, Ranges: []Range{
		{Exponent: -1, Counts: MaxCounts, Unit: "Ω", Decimals: 1, EMF: TestVolts, Ohms: 500},
	}},
	// 1 % + 3 counts: diode test of an ordinary handheld, common practice, no source.
	Diode: {Percent: 1, Counts: 3, Ranges: []Range{
		{Exponent: -3, Counts: 1000 * DiodeFull, Unit: "V", Decimals: 3, EMF: DiodeVolts, Ohms: DiodeOhms},
	}},
	// 0.1 % + 2 counts for frequency, 0.5 % + 5 counts for duty: ordinary handheld, common practice, no source.
	Hertz: {Percent: 0.1, Counts: 2, Ranges: []Range{
		{Exponent: -2, Counts: MaxCounts, Unit: "Hz", Decimals: 2, Ohms: InputOhms},
		{Exponent: -1, Counts: MaxCounts, Unit: "Hz", Decimals: 1, Ohms: InputOhms},
		{Exponent: 0, Counts: MaxCounts, Unit: "kHz", Decimals: 3, Ohms: InputOhms},
		{Exponent: 1, Counts: MaxCounts, Unit: "kHz", Decimals: 2, Ohms: InputOhms},
	}},
	Duty: {Percent: 0.5, Counts: 5, Ranges: []Range{
		{Exponent: -1, Counts: 1000, Unit: "%", Decimals: 1, Ohms: InputOhms},
	}},
	// 1.5 % + 3 counts: 10 A range of an ordinary handheld, common practice, no source. It still shows up to 20 A.
	Amps: {Percent: 1.5, Counts: 3, Ranges: []Range{
		{Exponent: -3, Counts: MaxCounts, Unit: "A", Decimals: 3, Ohms: ShuntOhms},
		{Exponent: -2, Counts: 2000, Unit: "A", Decimals: 2, Ohms: ShuntOhms},
	}},
}

// Functions lists every position of the dial in its order on the dial, Off first.
func Functions() []Function {
	return []Function{Off, Volts, Millivolts, Ohms, Continuity, Diode, Amps, Hertz, Duty}
}

// UsualFunctions lists those that an exercise allows which names none.
func UsualFunctions() []Function { return []Function{Volts, Ohms, Continuity, Amps} }

// Passive reports whether the leads neither drive nor shunt what they touch on that function, so that they may stay where they are while
// the vehicle is operated: off, and what only takes a voltage.
func (f Function) Passive() bool {
	switch f {
	case Off, Volts, Millivolts, Hertz, Duty:
		return true
	}
	return false
}

// drives reports whether the meter sends a current of its own through what its leads touch.
func (f Function) drives() bool {
	switch f {
	case Ohms, Continuity, Diode:
		return true
	}
	return false
}

// Valid reports whether f is a position of the dial.
func (f Function) Valid() bool {
	for _, g := range Functions() {
		if f == g {
			return true
		}
	}
	return false
}

// Accuracy returns the stated accuracy and the ranges of f; the zero Accuracy for Off and unknown functions. The ranges
// are the caller's own copy.
func (f Function) Accuracy() Accuracy {
	a := accuracies[f]
	a.Ranges = append([]Range(nil), a.Ranges...)
	return a
}

// RangeOf returns the index of the lowest range of f that can show v, in base units, and false on overload.
func (f Function) RangeOf(v float64) (int, bool) {
	for i, r := range accuracies[f].Ranges {
		if _, ok := r.count(v); ok {
			return i, true
		}
	}
	return 0, false
}

// Tolerance is the largest distance, in base units, between a shown value and the value at the meter's terminals by the
// stated accuracy: percent of reading plus counts of the range that shows it. It is +Inf where f cannot show v.
func (f Function) Tolerance(v float64) float64 {
	i, ok := f.RangeOf(v)
	if !ok {
		return math.Inf(1)
	}
	a := accuracies[f]
	return float64(a.Percent/100*math.Abs(v)) + float64(a.Counts*a.Ranges[i].Step())
}

// ParseFunction returns the function with that name, or an error that lists them.
func ParseFunction(s string) (Function, error) {
	if f := Function(s); f.Valid() {
		return f, nil
	}
	var names []string
	for _, f := range Functions() {
		names = append(names, string(f))
	}
	return "", fmt.Errorf("meter function %q: must be one of %s", s, strings.Join(names, ", "))
}
