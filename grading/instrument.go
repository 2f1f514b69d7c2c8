package grading

import (
	"math"

	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// instruments compares what the clamp and the logic probe show. What the trace view, the data list and a captured extreme tell is held
// neither for nor against a candidate: they show what moves between two steady states, or what a unit believes, which is not computed for every
// candidate.
func instruments(obs attempt.Observation, lo, hi *attempt.Sight) *Margin {
	if d, ok := obs.Displays[meter.Clamp]; ok {
		if m := clamped(d, lo, hi); m != nil {
			return m
		}
	}
	if d, ok := obs.Displays[meter.LogicProbe]; ok && lo.Logic != "" && lo.Logic == hi.Logic && lo.Logic != meter.FloatingWord {
		// Only the opposite of a sure level contradicts: what lies between depends on what little pulls there.
		if opposite := map[string]string{meter.HighWord: meter.LowWord, meter.LowWord: meter.HighWord}[lo.Logic]; d.Text == opposite {
			return &Margin{What: "logic probe", Predicted: lo.Logic, Shown: d.Text}
		}
	}
	return nil
}

// clamped compares the current that a clamp shows.
func clamped(d meter.Display, lo, hi *attempt.Sight) *Margin {
	if !d.Valid || math.IsNaN(lo.Clamp) || math.IsNaN(hi.Clamp) {
		return nil
	}
	least, most := min(lo.Clamp, hi.Clamp), max(lo.Clamp, hi.Clamp)
	tolerance := meter.ClampTolerance(d.Value) + max(lo.ClampSlack, hi.ClampSlack) + partAmps + float64(partShareOf*math.Abs(d.Value))
	if d.Value < least-tolerance || d.Value > most+tolerance {
		return &Margin{What: "clamp", Predicted: amount(least, most, "A"), Shown: d.Text + " " + d.Unit, Tolerance: tolerance, Unit: "A"}
	}
	return nil
}
