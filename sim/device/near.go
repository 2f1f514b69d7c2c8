package device

import "slices"

// bounds returns the words of a kind's effect and the least level of each but the first, nil for a kind whose words do not
// follow from its level alone.
func bounds(kind string) (words []string, least []float64) {
	switch kind {
	case "lamp":
		return lampWords, []float64{lampFaint, lampDim, lampLit, lampOver}
	case "led":
		return lampWords, []float64{ledFaint, ledDim, ledLit, ledOver}
	case "horn", "buzzer":
		return soundWords, []float64{hornWeak, hornSounds}
	case "heater", "ptc-heater":
		return heatWords, []float64{heaterWarm, heaterHot}
	case "motor":
		return motorWords, []float64{motorTurns, motorRuns, motorRaces}
	case "wiper":
		// Where a wiper that stands has stopped, in its park position or elsewhere, does not follow from its speed.
		return wiperWords[1:], []float64{wiperMoves, wiperWipes, wiperFast}
	}
	return nil, nil
}

// Plausible reports whether a person could have put what a device of a kind does into word, when a model of it says e:
// either it is e's own word, or one that e's level would have if it were off by share of itself (of a bus node: with thresholds that are off
// by busDoubt). A comparison that must not
// exclude what is true near a threshold asks so.
func (e Effect) Plausible(kind, word string, share float64) bool {
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
	words, least := bounds(kind)
	if kind == "motor" && (slices.Contains(motorBack[1:], e.Word) || slices.Contains(motorBack[1:], word)) {
		words = motorBack
	}
	i, k := slices.Index(words, e.Word), slices.Index(words, word)
	if i < 0 || k < 0 || i-k > 1 || k-i > 1 {
		return false
	}
	edge := least[max(i, k)-1]
	return e.Level*(1+share) >= edge && e.Level*(1-share) <= edge
}
