package grading

import (
	"fmt"
	"math"
	"slices"

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
	// lightShare is how far the level of an effect may be off before its word is held against a candidate. Light goes with
	// about the 3.4th power of voltage (Standard Handbook for Electrical Engineers, 11th ed., p. 22-8), so 25 % of light are 6 %
	// of voltage.
	lightShare = 0.25
	// movingShare and movingVolts stand in for partShareOf and partVolts while filaments or motors move, before a candidate is
	// tried exactly.
	movingShare, movingVolts = 0.25, 0.5
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
// With loose, what may still be moving when the person looked is given the benefit of the doubt: a filament that has just been
// switched, a fuse that may open on an inrush. What agrees only so is to be tried again with an exact model.
func agrees(h *harness.Harness, rec attempt.Record, dial meter.Function, lo, hi *attempt.Sight, loose bool) *Margin {
	restless := lo.Restless || hi.Restless
	if loose && (restless || lo.Doubtful || hi.Doubtful) {
		return nil
	}
	obs := rec.Observation
	if restless {
		return unrest(rec, lo, hi)
	}
	for i, c := range h.Components {
		word, ok := obs.Effects[c.ID]
		if !ok {
			continue
		}
		a, b := lo.Effects[i], hi.Effects[i]
		if !between(c.Spec.Kind, word, a, b) && !(loose && (shone(lo, hi, i) && glimmer(c.Spec.Kind, word, a, b) || coming(c.Spec.Kind, word, lo, hi, i))) {
			return &Margin{What: c.ID, Predicted: span(a.Word, b.Word), Shown: word}
		}
	}
	if m := clicks(h, obs, lo, hi); m != nil && !(loose && (lo.Moving || hi.Moving)) {
		return m
	}
	if _, ok := rec.Action.(attempt.Inspect); ok && obs.Refused == "" {
		if !slices.Equal(obs.Seen, lo.Seen) && !slices.Equal(obs.Seen, hi.Seen) {
			return &Margin{What: "inspection", Predicted: list(lo.Seen), Shown: list(obs.Seen)}
		}
	}
	if d, ok := obs.Displays[meter.TestLamp]; ok && lo.Lamp.Word != "" && hi.Lamp.Word != "" {
		if !between("lamp", d.Text, lo.Lamp, hi.Lamp) && !(loose && (lo.Moving || hi.Moving || glimmer("lamp", d.Text, lo.Lamp, hi.Lamp))) {
			return &Margin{What: "test lamp", Predicted: span(lo.Lamp.Word, hi.Lamp.Word), Shown: d.Text}
		}
	}
	if m := instruments(obs, lo, hi, loose); m != nil {
		return m
	}
	if d, ok := obs.Displays[meter.Multimeter]; ok && !(loose && (lo.Feeble || hi.Feeble)) {
		return reading(d, dial, lo, hi, loose && (dial == meter.Amps || lo.Moving || hi.Moving || lo.Lamp.Word != ""))
	}
	return nil
}

// unrest compares what was shown with what cannot come to rest: it is heard or seen to come and go, and it can be looked at.
func unrest(rec attempt.Record, lo, hi *attempt.Sight) *Margin {
	obs := rec.Observation
	if _, ok := rec.Action.(attempt.Inspect); ok && obs.Refused == "" && !slices.Equal(obs.Seen, lo.Seen) && !slices.Equal(obs.Seen, hi.Seen) {
		return &Margin{What: "inspection", Predicted: list(lo.Seen), Shown: list(obs.Seen)}
	}
	if lo.Restless && hi.Restless && len(obs.Events) == 0 && min(lo.Stirs, hi.Stirs) >= attempt.ManyStirs {
		return &Margin{What: "the vehicle", Predicted: "something that comes and goes without end", Shown: "nothing that changes"}
	}
	return nil
}

// between reports whether a word can come from an effect between two.
func between(kind, word string, a, b device.Effect) bool {
	if a.Plausible(kind, word, lightShare) || b.Plausible(kind, word, lightShare) {
		return true
	}
	if a.Word == b.Word {
		return false
	}
	k, ok := device.Lookup(kind)
	if !ok {
		return true
	}
	i, j, n := slices.Index(k.Words, a.Word), slices.Index(k.Words, b.Word), slices.Index(k.Words, word)
	return i < 0 || j < 0 || (min(i, j) <= n && n <= max(i, j))
}

// glimmer reports whether a filament differs from a word by one step only. It may then be on its way: behind a few ohms a lamp takes
// ten seconds and more to warm up, and one that glows faintly moves by less than a model's levels tell.
func glimmer(kind, word string, a, b device.Effect) bool {
	if kind != "lamp" {
		return false
	}
	k, _ := device.Lookup(kind)
	n := slices.Index(k.Words, word)
	near := func(e device.Effect) bool {
		i := slices.Index(k.Words, e.Word)
		return i >= 0 && n >= 0 && max(i-n, n-i) <= 1
	}
	return near(a) || near(b)
}

// shone reports whether there is, or was of late, any light that may be fading or growing.
func shone(lo, hi *attempt.Sight, i int) bool {
	return lo.Effects[i].Level > 0 || hi.Effects[i].Level > 0 || lo.Before[i].Level > 0 || hi.Before[i].Level > 0
}

// coming reports whether a component with inertia may be on its way past a word. Sound is there at once, and of light only the faintest
// takes long enough to tell.
func coming(kind, word string, lo, hi *attempt.Sight, i int) bool {
	switch kind {
	case "lamp", "horn", "buzzer":
		return false
	}
	return (between(kind, word, lo.Before[i], lo.Effects[i]) || between(kind, word, hi.Before[i], hi.Effects[i]))
}

// clicks compares what was heard of each relay: whether it changed over or not.
func clicks(h *harness.Harness, obs attempt.Observation, lo, hi *attempt.Sight) *Margin {
	for i, c := range h.Components {
		if c.Spec.Kind != "relay" {
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

// reading compares what the multimeter shows.
func reading(d meter.Display, dial meter.Function, lo, hi *attempt.Sight, moving bool) *Margin {
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
	share := partShareOf
	if moving {
		share = movingShare
		part += movingVolts
		for _, s := range [2]*attempt.Sight{lo, hi} {
			if !math.IsNaN(s.MeterBefore) {
				least, most = min(least, s.MeterBefore), max(most, s.MeterBefore)
			}
		}
	}
	tolerance := toleranceOf(dial, d) + stray + part + float64(share*sizeOf(d))
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
