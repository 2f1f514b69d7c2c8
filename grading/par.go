package grading

import (
	"fmt"

	"faultloom/sim/attempt"
)

// Worker is whoever does actions at a vehicle: an *attempt.Attempt.
type Worker interface {
	Do(act attempt.Action) (attempt.Observation, error)
	Records() []attempt.Record
}

// mostAdvice bounds the tests of one job, so that it ends whatever happens.
const mostAdvice = 200

// Follow does a whole job by a planner's advice, from the first line of the check to closing it. told is called with each piece of
// advice before it is done; it may be nil. It returns an error when an advised action was refused, when the planner has none, and
// when it does not come to an end.
func Follow(p *Planner, w Worker, told func(Advice)) error {
	for range mostAdvice {
		p.Learn(w.Records())
		a, err := p.Next()
		if err != nil {
			return err
		}
		if len(a.Actions) == 0 {
			return nil
		}
		if told != nil {
			told(a)
		}
		if err := carryOut(p.ex, w, a); err != nil {
			return err
		}
	}
	return fmt.Errorf("exercise %s: the job is not done after %d pieces of advice", p.ex.ID, mostAdvice)
}

// carryOut does what was advised, and marks the line of the check that it is about.
func carryOut(ex attempt.Exercise, w Worker, a Advice) error {
	var obs attempt.Observation
	for _, act := range a.Actions {
		var err error
		if obs, err = w.Do(act); err != nil {
			return err
		}
		if obs.Refused != "" {
			return fmt.Errorf("exercise %s: %q was refused: %s", ex.ID, act.Do(), obs.Refused)
		}
	}
	if a.Line < 0 {
		return nil
	}
	_, err := w.Do(attempt.Mark{Line: a.Line, Good: passes(ex.Harness.Check[a.Line], obs)})
	return err
}
