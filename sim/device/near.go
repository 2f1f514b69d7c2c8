package device

import "slices"

// FeedDoubt is by which share the voltage that feeds a device may be other than a model of a healthy vehicle says, for what is told
// of it in words: parts, supply, temperature and age all at once (common practice, no source).
const FeedDoubt = 0.075

// How steeply the level of an effect follows the voltage that feeds the device, as the power of it.
const (
	// soundSteep: the level of a sounder is the share of its rated voltage.
	soundSteep = 1
	// motionSteep is of a motor whose load does not fall with its speed, where it begins to be slow: with 5 times its current when it is held
	// a fifth of the voltage is lost in its windings, and at 0.6 of its speed it has 0.68 of its voltage, of which each per cent is 1.4
	// of speed.
	motionSteep = 1.4
	// heatSteep is of a resistor's power.
	heatSteep = 2
	// lightSteep is of a filament's light (Standard Handbook for Electrical Engineers, 11th ed., p. 22-8). An LED on a resistor is flatter, and as
	// steep where it is all but dark.
	lightSteep = 3.4
)

// bounds returns the words of a kind's effect and the least level of each but the first, and how steeply the level follows the voltage; nil for a
// kind whose words do not follow from its level alone.
func bounds(kind string) (words []string, least []float64, steep float64) {
	switch kind {
	case "lamp":
		return lampWords, []float64{lampFaint, lampDim, lampLit, lampOver}, lightSteep
	case "led":
		return lampWords, []float64{ledFaint, ledDim, ledLit, ledOver}, lightSteep
	case "horn", "buzzer":
		return soundWords, []float64{hornWeak, hornSounds}, soundSteep
	case "heater", "ptc-heater":
		return heatWords, []float64{heaterWarm, heaterHot}, heatSteep
	case "motor":
		return motorWords, []float64{motorTurns, motorRuns, motorRaces}, motionSteep
	case "wiper":
		// Where a wiper that stands has stopped, in its park position or elsewhere, does not follow from its speed.
		return wiperWords[1:], []float64{wiperMoves, wiperWipes, wiperFast}, motionSteep
	}
	return nil, nil, 0
}

// Plausible reports whether a person could have put what a device of a kind does into word, when a model of it says e:
// either it is e's own word, or one that e's level would have if the voltage that feeds it were off by FeedDoubt (of a bus node: with thresholds that
// are off by busDoubt). A comparison that must not
// exclude what is true near a threshold asks so.
func (e Effect) Plausible(kind, word string) bool {
	if e.Word == word {
		return true
	}
	if kind == "node" {
		// Its level comes in whole nodes; what may be off is what its receivers take for a message.
		return e.most >= e.Level && (word == nodeWord(e.least) || word == nodeWord(e.most))
	}
	if kind == "flasher" {
		return e.Word != flasherWords[0] // how fast it ticks shows at the end of a flash, and one that ticks never rests
	}
	words, least, steep := bounds(kind)
	if kind == "motor" && (slices.Contains(motorBack[1:], e.Word) || slices.Contains(motorBack[1:], word)) {
		words = motorBack
	}
	i, k := slices.Index(words, e.Word), slices.Index(words, word)
	if i < 0 || k < 0 || i-k > 1 || k-i > 1 {
		return false
	}
	edge := least[max(i, k)-1]
	share := FeedDoubt * steep
	return e.Level*(1+share) >= edge && e.Level*(1-share) <= edge
}

// Near returns the words other than its own into which a person could have put what a device of a kind does, see Plausible.
func (e Effect) Near(kind string) []string {
	var out []string
	words, _, _ := bounds(kind)
	for _, word := range words {
		if word != e.Word && e.Plausible(kind, word) {
			out = append(out, word)
		}
	}
	return out
}
