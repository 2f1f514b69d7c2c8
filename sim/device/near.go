package device

import "slices"

// bounds returns the words of a kind's effect and the least level of each but the first, nil for a kind whose words do not
// follow from its level alone.
func bounds(kind string) (words []string, least []float64) {
	switch kind {
	case "lamp":
		return lampWords, []float64{lampFaint, lampDim, lampLit, lampOver}
	case "horn", "buzzer":
		return soundWords, []float64{hornWeak, hornSounds}
	case "heater", "ptc-heater":
		return heatWords, []float64{heaterWarm, heaterHot}
	}
	return nil, nil
}

// Plausible reports whether a person could have put what a device of a kind does into word, when a model of it says e:
// either it is e's own word, or one that e's level would have if it were off by share of itself. A comparison that must not
// exclude what is true near a threshold asks so.
func (e Effect) Plausible(kind, word string, share float64) bool {
	if e.Word == word {
		return true
	}
	words, least := bounds(kind)
	i, k := slices.Index(words, e.Word), slices.Index(words, word)
	if i < 0 || k < 0 || i-k > 1 || k-i > 1 {
		return false
	}
	edge := least[max(i, k)-1]
	return e.Level*(1+share) >= edge && e.Level*(1-share) <= edge
}
