package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Tolerances of the comparison between what a candidate would have shown and what was shown. All lean towards keeping a
// candidate: a true fault that is dropped is worse than a false one that stays a step longer.
const (
	// partShareOf is how far parts may be from their nominal values, as a share of a reading: 2 %, about what a healthy harness
	// varies by temperature, supply and age (common practice, no source).
	partShareOf = 0.02
	// partVolts is the same for voltages near zero, in volts: a few milliohms more or less in good joints at lamp currents.
	partVolts = 0.02
	// partOhms is the same in ohms: contact of probe tips and leads.
	partOhms = 0.2
	// partAmps is the same in amperes.
	partAmps = 0.02
	// farShare is the share of the vehicle's nominal voltage by which a reading is off without doubt while filaments that are seen to be
	// off or bright may not have come to rest: a dark one has less than an eighth across it.
	farShare = 0.25
	// liveMargin is the factor by which a foreign voltage must be off the meter's threshold to be sure of its warning.
	liveMargin = 2
	// overMargin is the share below the end of the highest range from which an overload is believed.
	overMargin = 0.1
)

// Margin says how a candidate was contradicted: what it would have shown, what was shown, and what would still have been
// accepted.
type Margin struct {
	What      string  `json:"what"` // "multimeter", "test lamp", or a component's id, or "inspection"
	Predicted string  `json:"predicted"`
	Shown     string  `json:"shown"`
	Tolerance float64 `json:"tolerance,omitempty"` // of a reading, in the unit of Shown's base
	Unit      string  `json:"unit,omitempty"`
}

// inspected is the What of what was seen when somebody looked closely.
const inspected = "inspection"

func (m Margin) String() string {
	s := fmt.Sprintf("%s: it would show %s, shown was %s", m.What, m.Predicted, m.Shown)
	if m.Tolerance > 0 {
		s += fmt.Sprintf(" (tolerance %.3g %s)", m.Tolerance, m.Unit)
	}
	return s
}

// dial follows the multimeter's function through a log.
func dialAfter(dial meter.Function, rec attempt.Record) meter.Function {
	if act, ok := rec.Action.(attempt.Dial); ok && rec.Observation.Refused == "" {
		return act.Function
	}
	return dial
}

// agrees compares what was shown with what a candidate shows at both ends of its interval of severity. What lies between the
// ends is taken to lie in the hull of what they show: in a linear circuit every voltage is a monotone function of one branch's
// resistance. It returns nil when nothing contradicts the candidate.
//
// Of a model that goes from one steady state to the next, a contradiction says no more than that the candidate is to be driven
// exactly: a filament or a motor may have been on its way, a relay may have taken another turn, the meter may have
// pulled what it measured.
func agrees(h *harness.Harness, rec attempt.Record, dial meter.Function, lo, hi *attempt.Sight) *Margin {
	if lo.Restless || hi.Restless {
		if m := unmoved(h, rec.Observation, lo, hi); m != nil {
			return m
		}
		return unrest(rec, lo, hi)
	}
	obs := rec.Observation
	elsewhere := false // a wiper may have stopped elsewhere than it did at either end
	for i, c := range h.Components {
		word, ok := obs.Effects[c.ID]
		if !ok || lo.Astir[i] || hi.Astir[i] {
			continue
		}
		a, b := lo.Effects[i], hi.Effects[i]
		if !between(c.Spec.Kind, word, a, b) {
			if c := max(lo.Chances[i], hi.Chances[i]); c.Allows(word) {
				if c != device.ChanceLasting || math.IsNaN(lo.Else) && math.IsNaN(hi.Else) {
					return unrest(rec, lo, hi)
				}
				elsewhere = true
				continue
			}
			return &Margin{What: c.ID, Predicted: span(a.Word, b.Word), Shown: word}
		}
	}
	if m := clicks(h, obs, lo, hi); m != nil {
		return m
	}
	if _, ok := rec.Action.(attempt.Inspect); ok && obs.Refused == "" {
		if !sameSights(obs.Seen, lo.Seen) && !sameSights(obs.Seen, hi.Seen) {
			return &Margin{What: inspected, Predicted: list(lo.Seen), Shown: list(obs.Seen)}
		}
	}
	if elsewhere {
		return readingElsewhere(obs, dial, lo, hi)
	}
	if d, ok := obs.Displays[meter.TestLamp]; ok && lo.Lamp.Word != "" && hi.Lamp.Word != "" {
		if !between("lamp", d.Text, lo.Lamp, hi.Lamp) {
			return &Margin{What: "test lamp", Predicted: span(lo.Lamp.Word, hi.Lamp.Word), Shown: d.Text}
		}
	}
	if m := instruments(obs, lo, hi); m != nil {
		return m
	}
	if d, ok := obs.Displays[meter.Multimeter]; ok {
		return reading(d, dial, lo, hi)
	}
	return nil
}

// flagrant reports whether a contradiction of ends whose circuits come to what they show in one way stands without an exact drive: they come
// to it at once, and what was shown is so far off that nothing on its way makes up for it.
func flagrant(h *harness.Harness, rec attempt.Record, dial meter.Function, lo, hi *attempt.Sight) bool {
	if !lo.AtOnce || !hi.AtOnce {
		return false
	}
	dark := func(a, b device.Effect) bool { return max(a.Level, b.Level) < attempt.DarkLevel }
	bright := func(a, b device.Effect) bool { return min(a.Level, b.Level) > attempt.BrightLevel }
	obs := rec.Observation
	for i, c := range h.Components {
		a, b := lo.Effects[i], hi.Effects[i]
		switch obs.Effects[c.ID] {
		case "lit", "over-bright", "sounds":
			if dark(a, b) {
				return true
			}
		case "off", "faint", "silent":
			if bright(a, b) {
				return true
			}
		}
	}
	d, ok := obs.Displays[meter.Multimeter]
	if !ok || !d.Valid || d.Relative != 0 || dial != meter.Volts || lo.Feeble || hi.Feeble {
		return false
	}
	far := farShare * h.Vehicle.Volts
	return d.Value < min(lo.Meter, hi.Meter)-far || d.Value > max(lo.Meter, hi.Meter)+far
}

// sameSights reports whether the same was seen, in whichever order it is told: of two faults at one place either may be the one that is
// looked for.
func sameSights(a, b []string) bool {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	return slices.Equal(a, b)
}

// unrest compares what was shown with what cannot come to rest, or has come to it by chance: it is heard or seen to come and go, and it can be
// looked at.
func unrest(rec attempt.Record, lo, hi *attempt.Sight) *Margin {
	obs := rec.Observation
	if _, ok := rec.Action.(attempt.Inspect); ok && obs.Refused == "" && !sameSights(obs.Seen, lo.Seen) && !sameSights(obs.Seen, hi.Seen) {
		return &Margin{What: inspected, Predicted: list(lo.Seen), Shown: list(obs.Seen)}
	}
	if lo.Swarms && hi.Swarms && !chatters(obs) {
		return &Margin{What: "the vehicle", Predicted: "something that comes and goes on and on", Shown: "nothing that does"}
	}
	if lo.Restless && hi.Restless && len(obs.Events) == 0 && min(lo.Stirs, hi.Stirs) >= attempt.ManyStirs {
		return &Margin{What: "the vehicle", Predicted: "something that comes and goes without end", Shown: "nothing that changes"}
	}
	return nil
}

// unmoved compares what was shown with what does not move while something else comes and goes without end, and what did not move with what comes and
// goes: that is no chance.
func unmoved(h *harness.Harness, obs attempt.Observation, lo, hi *attempt.Sight) *Margin {
	if !lo.Restless || !hi.Restless || lo.Moved == nil || hi.Moved == nil {
		return nil
	}
	for i, c := range h.Components {
		word, ok := obs.Effects[c.ID]
		if ok && lo.Stirring[i] && hi.Stirring[i] && !slices.ContainsFunc(obs.Events, func(e attempt.Event) bool { return e.Component == c.ID }) {
			return &Margin{What: c.ID, Predicted: "something that comes and goes", Shown: word + " all the while"}
		}
		if !ok || lo.Moved[i] || hi.Moved[i] || lo.Astir[i] || hi.Astir[i] || lo.Chances[i] != device.ChanceNone || hi.Chances[i] != device.ChanceNone {
			continue
		}
		if a, b := lo.Effects[i], hi.Effects[i]; !between(c.Spec.Kind, word, a, b) {
			return &Margin{What: c.ID, Predicted: span(a.Word, b.Word), Shown: word}
		}
	}
	return nil
}

// chatters reports whether somebody was told that something goes on and on.
func chatters(obs attempt.Observation) bool {
	return slices.ContainsFunc(obs.Events, func(e attempt.Event) bool { return e.What == attempt.EventChatter })
}

// between reports whether a word can come from an effect between two.
func between(kind, word string, a, b device.Effect) bool {
	if a.Plausible(kind, word) || b.Plausible(kind, word) {
		return true
	}
	if a.Word == b.Word {
		return false
	}
	k, ok := device.Lookup(kind)
	if !ok {
		return true
	}
	words := ordered(k.Words)
	i, j, n := slices.Index(words, a.Word), slices.Index(words, b.Word), slices.Index(words, word)
	return i < 0 || j < 0 || (min(i, j) <= n && n <= max(i, j))
}

// ordered returns a kind's words in the order in which they follow from what feeds it, those of a device that runs backwards first: from
// one way round to the other it comes to a stand.
func ordered(words []string) []string {
	var out []string
	for _, w := range words {
		if strings.HasSuffix(w, "-back") {
			out = slices.Insert(out, 0, w)
		} else {
			out = append(out, w)
		}
	}
	return out
}

// clicks compares what was heard of each relay: whether it changed over or not.
func clicks(h *harness.Harness, obs attempt.Observation, lo, hi *attempt.Sight) *Margin {
	for i, c := range h.Components {
		if c.Spec.Kind != "relay" || lo.Astir[i] || hi.Astir[i] {
			continue
		}
		net := 0
		for _, e := range obs.Events {
			if e.Component != c.ID {
				continue
			}
			switch e.What {
			case attempt.EventClickIn:
				net++
			case attempt.EventClickOut:
				net--
			case attempt.EventChatter:
				return nil // it buzzes: what it does at the end is chance
			}
		}
		if heard := net != 0; heard != lo.Clicked[i] && heard != hi.Clicked[i] {
			return &Margin{What: c.ID, Predicted: clickWord(lo.Clicked[i]), Shown: clickWord(heard)}
		}
	}
	return nil
}

func clickWord(on bool) string {
	if on {
		return "a click"
	}
	return "no click"
}

// readingElsewhere is reading where a wiper may stand where it does at either end, or on the other side of the edge of its park sector.
func readingElsewhere(obs attempt.Observation, dial meter.Function, lo, hi *attempt.Sight) *Margin {
	d, ok := obs.Displays[meter.Multimeter]
	if !ok || math.IsNaN(lo.Meter) || math.IsNaN(hi.Meter) {
		return nil
	}
	least, most := *lo, *hi
	least.Meter, most.Meter = min(lo.Meter, hi.Meter), max(lo.Meter, hi.Meter)
	for _, v := range [2]float64{lo.Else, hi.Else} {
		if !math.IsNaN(v) {
			least.Meter, most.Meter = min(least.Meter, v), max(most.Meter, v)
		}
	}
	return reading(d, dial, &least, &most)
}

// reading compares what the multimeter shows.
func reading(d meter.Display, dial meter.Function, lo, hi *attempt.Sight) *Margin {
	if math.IsNaN(lo.Meter) || math.IsNaN(hi.Meter) {
		return nil
	}
	if d.Text == meter.Blank || slices.Contains(d.Words, meter.FuseWord) || lo.MeterFuse || hi.MeterFuse {
		return nil // nothing to show, or the meter's own fuse: nothing of the vehicle is seen
	}
	least, most := min(lo.Meter, hi.Meter), max(lo.Meter, hi.Meter)
	unit, part := unitOf(dial)
	stray := 0.0
	switch dial {
	case meter.Ohms, meter.Continuity, meter.Diode:
		foreign := [2]float64{math.Abs(lo.Foreign), math.Abs(hi.Foreign)}
		weak, strong := min(foreign[0], foreign[1]), max(foreign[0], foreign[1])
		live := slices.Contains(d.Words, meter.LiveWord)
		switch {
		case live && strong*liveMargin < meter.LiveVolts:
			return &Margin{What: "multimeter", Predicted: "a dead circuit", Shown: meter.LiveWord}
		case !live && weak > meter.LiveVolts*liveMargin:
			return &Margin{What: "multimeter", Predicted: meter.LiveWord, Shown: "a dead circuit"}
		case live || strong*liveMargin > meter.LiveVolts:
			return nil // the number means nothing
		}
		// What foreign voltage there is shifts the reading by what it is worth against the test current.
		switch inner := dial.Accuracy().Ranges[0].Ohms; {
		case dial == meter.Diode:
			stray = liveMargin * strong
		case !math.IsInf(most, 1):
			stray = liveMargin * strong * (inner + most) / meter.TestVolts
		}
	}
	if !d.Valid {
		if most := max(math.Abs(least), math.Abs(most)); d.Relative == 0 && most < fullScale(dial)*(1-overMargin) {
			return &Margin{What: "multimeter", Predicted: amount(least, most, unit), Shown: d.Text}
		}
		return nil
	}
	tolerance := toleranceOf(dial, d) + stray + part + float64(partShareOf*sizeOf(d))
	if d.Value < least-tolerance || d.Value > most+tolerance {
		return &Margin{What: "multimeter", Predicted: amount(least, most, unit), Shown: d.Text + " " + d.Unit, Tolerance: tolerance, Unit: unit}
	}
	return nil
}

// fullScale is the end of a function's highest range, in base units.
func fullScale(f meter.Function) float64 {
	ranges := f.Accuracy().Ranges
	if len(ranges) == 0 {
		return math.Inf(1)
	}
	return ranges[len(ranges)-1].Full()
}

func amount(least, most float64, unit string) string {
	if math.IsInf(least, 1) || least > 1e9 {
		return "an open circuit"
	}
	if math.IsInf(least, -1) {
		if math.IsInf(most, -1) {
			return "an overload below zero"
		}
		return fmt.Sprintf("%.4g %s or less", most, unit)
	}
	a := fmt.Sprintf("%.4g %s", least, unit)
	if math.Abs(most-least) <= 0.005*math.Abs(most) {
		return a
	}
	if math.IsInf(most, 1) {
		return a + " or more"
	}
	return fmt.Sprintf("%.4g to %.4g %s", least, most, unit)
}

func span(a, b string) string {
	if a == b {
		return a
	}
	return a + " to " + b
}

func list(items []string) string {
	if len(items) == 0 {
		return "nothing wrong to see"
	}
	s := items[0]
	for _, i := range items[1:] {
		s += ", " + i
	}
	return s
}
