package grading

import (
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
)

// KeepsTruth returns an error that says by which step and margin the exercise's own first fault would be ruled out by its log, its other
// faults taken as given: as bad as it is, driven exactly as the attempt went, or as the interval of severity that holds it, however that
// is cut. It must always be nil: that the true fault is never dropped is what all else here rests on.
func KeepsTruth(ex attempt.Exercise, records []attempt.Record) error {
	r := newReasoner(&ex, ex.Faults[1:])
	l, err := newLearner(r, ex)
	if err != nil {
		return err
	}
	f := ex.Faults[0]
	l.cells = slices.DeleteFunc(l.cells, func(c mind) bool {
		own := r.entries[c.entry].Fault
		return own.Place != f.Place || own.Kind != f.Kind || own.Other != f.Other
	})
	if len(l.cells) == 0 {
		return fmt.Errorf("%s is not in the catalogue", f)
	}
	entry := l.cells[0].entry
	l.fallen = []cell{}
	if err := l.decided(records); err != nil {
		return err
	}
	for i, rec := range records {
		s, err := l.sight(trackKey{entry, f.Severity, true}, i)
		if err != nil {
			return err
		}
		if why := agrees(ex.Harness, rec, l.dials[i], s, s); why != nil {
			return fmt.Errorf("step %d (%+v) rules the true fault out: %s", rec.Seq+1, rec.Action, why)
		}
	}
	// A log that leaves nothing is the fault of the cell that holds the truth; one that leaves something else has dropped it too.
	for _, c := range l.fallen {
		if c.lo <= f.Severity && f.Severity <= c.hi && !slices.ContainsFunc(l.cells, func(m mind) bool { return m.lo <= f.Severity && f.Severity <= m.hi }) {
			rec := records[c.fell]
			return fmt.Errorf("step %d (%+v) rules %g to %g of the true fault out: %s", rec.Seq+1, rec.Action, c.lo, c.hi, c.why)
		}
	}
	return nil
}

// withinShares are the places between the ends of a cell, as shares of its logarithm, that are looked into.
var withinShares = [...]float64{0, 0.03, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 1}

// FallsExactly returns an error that names a candidate which the log of an exercise rules out though it was not driven exactly, and of which some
// severity that is looked into would be kept by an exact drive as far as that. It must always be nil. The number is of the cells that were looked into.
func FallsExactly(ex attempt.Exercise, records []attempt.Record) (looked int, err error) {
	l, err := newLearner(newReasoner(&ex, ex.Faults[1:]), ex)
	if err != nil {
		return 0, err
	}
	l.fallen = []cell{}
	if err := l.decided(records); err != nil {
		return 0, err
	}
	for _, c := range l.fallen {
		if c.exact {
			continue
		}
		looked++
		driven := mind{cell: c}
		driven.exact = true
		kept, err := l.keptExactly(&driven)
		if err != nil {
			return looked, err
		}
		for _, share := range withinShares {
			if !kept {
				break
			}
			one := driven
			one.lo = c.lo
			if c.hi > c.lo {
				one.lo *= math.Pow(c.hi/c.lo, share)
			}
			one.hi = one.lo
			agrees, err := l.keptExactly(&one)
			if err != nil {
				return looked, err
			}
			if agrees {
				f := l.r.entries[c.entry].Fault
				f.Severity = one.lo
				return looked, fmt.Errorf("step %d (%+v) rules %s out with all from %g to %g, but exactly it would not: %s", records[c.fell].Seq+1, records[c.fell].Action, f, c.lo, c.hi, c.why)
			}
		}
	}
	return looked, nil
}

// keptExactly reports whether a cell that fell, driven exactly, agrees with all as far as where it did.
func (l *learner) keptExactly(c *mind) (bool, error) {
	for i := range c.fell + 1 {
		a, b, err := l.ends(c, i)
		if err != nil || l.agrees(i, a, b) != nil {
			return false, err
		}
	}
	return true, nil
}
