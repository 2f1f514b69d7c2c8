package meter

import (
	"math"
	"strconv"
)

// Overload is what the display shows when the value is beyond the highest range, an open circuit in ohms included. The
// two letters are the trade's.
const Overload = "OL"

// Words that a Display may carry.
const (
	BeepWord     = "beep"         // continuity: under BeepOhms
	LiveWord     = "live circuit" // ohms and continuity: the circuit has a voltage of its own, the number means nothing
	RelativeWord = "relative"     // a reading taken before has been subtracted
	OverloadWord = "overload"     // amps: more than the input may carry for long
	FuseWord     = "fuse open"    // the fuse of the ammeter's input, or of the jumper
)

// Blank is what the display shows when there is nothing to tell, such as the duty of what does not repeat.
const Blank = "----"

// Texts of the tools that have no digits.
const (
	jumperClosed = "joined"
	jumperOpen   = "open"
	lampOff      = "off"
)

const (
	glowPerStep = 20 // steps of 0.05
	largestGlow = 3  // times rated brightness; beyond it nobody tells a difference
)

// tens holds exact powers of ten: every one up to 10^22 is exact in a float64, so a count times or over one of
// them is rounded once, the same on every machine.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8}

func fromCounts(n, exponent int) float64 {
	if exponent < 0 {
		return float64(n) / tens[-exponent]
	}
	return float64(n) * tens[exponent]
}

// count returns v in whole counts of the range and whether the display can hold them.
func (r Range) count(v float64) (int, bool) {
	scaled := v
	if r.Exponent < 0 {
		scaled = float64(v * tens[-r.Exponent])
	} else {
		scaled = v / tens[r.Exponent]
	}
	n := math.Round(scaled)
	if !(math.Abs(n) <= float64(r.Counts)) { // NaN lands here too
		return 0, false
	}
	return int(n), true
}

// show makes the display of n counts on the range.
func (r Range) show(n int) Display {
	return Display{Text: digits(n, r.Decimals), Unit: r.Unit, Value: fromCounts(n, r.Exponent), Valid: true}
}

// overload makes the display of a value that no range can show.
func (r Range) overload(words ...string) Display {
	return Display{Text: Overload, Unit: r.Unit, Words: words}
}

// digits writes n with its last decimals digits after the point.
func digits(n, decimals int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	s := strconv.Itoa(n)
	for len(s) <= decimals {
		s = "0" + s
	}
	if decimals == 0 {
		return sign + s
	}
	return sign + s[:len(s)-decimals] + "." + s[len(s)-decimals:]
}

// glow rounds a lamp's brightness to steps of 0.05.
func glow(level float64) float64 {
	if !(level > 0) {
		return 0
	}
	return math.Round(math.Min(level, largestGlow)*glowPerStep) / glowPerStep
}
