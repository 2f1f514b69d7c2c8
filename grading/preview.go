package grading

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// predicted is what one candidate would show.
type predicted struct {
	cell  int
	value float64 // +Inf for an open circuit in ohms
}

// Preview returns what the multimeter might show after an action, as far as the faults still suspected differ in it, the likeliest
// outcome first. It is empty when the meter would show nothing, or in ohms on a live circuit only what means nothing.
// It returns an error when a circuit cannot be computed.
func (p *Planner) Preview(act attempt.Action) ([]Outcome, error) {
	if err := p.weigh(); err != nil {
		return nil, err
	}
	dial, last := meter.Off, int64(0)
	for _, rec := range p.records {
		dial, last = dialAfter(dial, rec), rec.Observation.Ticks
	}
	rec := attempt.Record{Seq: len(p.records), Ticks: last, Action: act, Observation: attempt.Observation{Ticks: last + previewTicks}}
	dial = dialAfter(dial, rec)
	var all []predicted
	model, err := p.r.trial()
	if err != nil {
		return nil, err
	}
	cells := p.team.standing()
	for i := range cells {
		c := &cells[i]
		if err := model.Suppose(p.r.with(c.entry, math.Sqrt(c.lo*c.hi))...); err != nil {
			return nil, p.r.named(c, err)
		}
		for _, known := range p.records {
			if _, err := model.Take(known); err != nil {
				return nil, p.r.named(c, err)
			}
		}
		s, err := model.Take(rec)
		if err != nil {
			return nil, p.r.named(c, err)
		}
		if math.IsNaN(s.Meter) {
			return nil, nil
		}
		all = append(all, predicted{i, s.Meter})
	}
	return p.outcomes(cells, all, dial), nil
}

// previewTicks is the time that a step which is only thought of is taken to last, in ticks: a lead placed.
const previewTicks = 600

// outcomes groups predictions that the meter could not tell apart.
func (p *Planner) outcomes(cells []cell, all []predicted, dial meter.Function) []Outcome {
	slices.SortStableFunc(all, func(a, b predicted) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	total := 0.0
	for _, q := range all {
		total += cells[q.cell].weight
	}
	var out []Outcome
	for start := 0; start < len(all); {
		end := start + 1
		for end < len(all) && !tellsApart(all[end-1].value, all[end].value, dial) {
			end++
		}
		o := Outcome{Reading: readingText(all[start].value, all[end-1].value, dial)}
		var entries []int
		for _, q := range all[start:end] {
			c := cells[q.cell]
			o.Share += c.weight / total
			if !slices.Contains(entries, c.entry) {
				entries = append(entries, c.entry)
			}
		}
		slices.Sort(entries)
		o.WouldLeave, o.Repairs = len(entries), len(p.classes.cover(entries))
		out = append(out, o)
		start = end
	}
	slices.SortStableFunc(out, func(a, b Outcome) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}

// tellsApart reports whether the meter surely shows two values differently.
func tellsApart(a, b float64, dial meter.Function) bool {
	if math.IsInf(a, 1) || math.IsInf(b, 1) {
		return a != b
	}
	_, part := unitOf(dial)
	tolerance := func(v float64) float64 {
		t := dial.Tolerance(v)
		if math.IsInf(t, 1) {
			t = 0
		}
		return t + part + float64(partShareOf*math.Abs(v))
	}
	return b-a > tolerance(a)+tolerance(b)
}

// readingText says in which range a reading lies.
func readingText(least, most float64, dial meter.Function) string {
	if math.IsInf(least, 1) {
		return "an open circuit (" + meter.Overload + ")"
	}
	unit := signOf(dial)
	a, b := threeDigits(least), threeDigits(most)
	if a == b {
		return "about " + a + " " + unit
	}
	return fmt.Sprintf("%s to %s %s", a, b, unit)
}

func threeDigits(v float64) string {
	switch m := math.Abs(v); {
	case m < 0.0005:
		return "0"
	case m >= 1000:
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	s := strconv.FormatFloat(v, 'f', 2, 64)
	if s == "-0.00" {
		return "0.00"
	}
	return s
}
