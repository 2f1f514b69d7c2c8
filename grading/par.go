package grading

import (
	"fmt"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
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
	return follow(p, w, told, func(Advice) bool { return false })
}

// follow is Follow up to the first advice, done, after which stop says so.
func follow(p *Planner, w Worker, told func(Advice), stop func(Advice) bool) error {
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
		if stop(a) {
			return nil
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

// Par is what an exercise takes whoever always does the best next test, and what no one could do without.
type Par struct {
	Minutes float64   `json:"minutes"` // bench time of the whole job
	Check   float64   `json:"check"`   // of it the check before anything is touched
	Isolate float64   `json:"isolate"` // the tests
	Repair  float64   `json:"repair"`  // putting back and repairing
	Retest  float64   `json:"retest"`  // the check again, and closing
	Tests   int       `json:"tests"`   // how many tests isolate the cause
	Steps   []ParStep `json:"steps"`   // those tests

	Proved bool `json:"proved"` // one repair was left when it was made
	Alike  bool `json:"alike"`  // more were left, but no test tells them apart

	// Bits is what is not known about the repair when the check has been run, and MostBits and BestRate the most that one test can tell
	// of it then, in bits and in bits per minute.
	Bits     float64 `json:"bits"`
	MostBits float64 `json:"mostBits"`
	BestRate float64 `json:"bestRate"`
	// FloorTests and FloorMinutes are Bits over MostBits and over BestRate: on average over what may be wrong after the same check nobody can do with
	// fewer tests, and hardly anybody with less time. In one exercise it may go quicker.
	FloorTests   float64 `json:"floorTests"`
	FloorMinutes float64 `json:"floorMinutes"`

	Records []attempt.Record `json:"-"` // of the job
}

// ParStep is one test of par.
type ParStep struct {
	Text    string  `json:"text"`
	Minutes float64 `json:"minutes"` // bench time at which it is done
	Bits    float64 `json:"bits"`    // expected
	Left    int     `json:"left"`    // faults still suspected before it
}

// nowhere is a log that is not kept.
type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

// ParOf does the exercise by the best next test. Of two faults each is looked for with the other known. It returns an error when
// the exercise cannot be attempted or computed, or its fault cannot be found by what may be used.
func ParOf(ex attempt.Exercise) (Par, error) {
	var par Par
	a, err := attempt.Start(ex, nowhere{})
	if err != nil {
		return par, err
	}
	floor := false
	told := func(p *Planner) func(Advice) {
		return func(adv Advice) {
			test := adv.Line < 0 && len(adv.Repairs) == 0 && len(adv.Outcomes) > 0
			if (test || len(adv.Repairs) > 0) && !floor {
				floor = true
				par.Check = minutesOf(a)
				err = par.bound(p)
			}
			if test {
				par.Tests++
				par.Steps = append(par.Steps, ParStep{Text: adv.Text, Minutes: round2(minutesOf(a)), Bits: adv.Bits, Left: len(p.standing())})
			}
			if len(adv.Repairs) > 0 {
				par.Isolate = minutesOf(a) - par.Check
			}
		}
	}
	var p *Planner
	for k := range ex.Faults {
		others := append(append([]fault.Fault(nil), ex.Faults[:k]...), ex.Faults[k+1:]...)
		p, err = NewPlanner(ex, others...)
		if err != nil {
			return par, err
		}
		if e := follow(p, a, told(p), func(adv Advice) bool { return len(adv.Repairs) > 0 }); e != nil || err != nil {
			return par, first(e, err)
		}
	}
	par.Repair = minutesOf(a) - par.Check - par.Isolate
	if err := Follow(p, a, nil); err != nil {
		return par, err
	}
	par.Minutes = minutesOf(a)
	par.Retest = par.Minutes - par.Check - par.Isolate - par.Repair
	for _, m := range []*float64{&par.Minutes, &par.Check, &par.Isolate, &par.Repair, &par.Retest} {
		*m = round2(*m)
	}
	par.Records = a.Records()
	return par, par.proof(ex)
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// proof judges whether the repair was proved.
func (par *Par) proof(ex attempt.Exercise) error {
	par.Proved = true
	for k := range ex.Faults {
		e, err := Weigh(ex, par.Records, k)
		if err != nil {
			return err
		}
		w := newWalk(&ex, par.Records)
		iso := e.IsolatedAt(w.decided(k))
		par.Proved = par.Proved && iso.Share >= 1
		par.Alike = par.Alike || iso.Alike
	}
	return nil
}

// minutesOf is the bench time that a worker has used.
func minutesOf(w Worker) float64 {
	records := w.Records()
	if len(records) == 0 {
		return 0
	}
	return float64(records[len(records)-1].Observation.Ticks) * attempt.Tick / wholeMinutes
}

// bound fills in what is not known after the check, and the most that a test can tell of it.
//
// To know the repair, tests must tell Bits between them (Shannon). What a test tells on average of all that is suspected, whatever was
// told before, is at most the entropy of what it may show now; so MostBits is taken over faults, not over repairs.
func (par *Par) bound(p *Planner) error {
	c := attempt.NewCourse(p.ex.Harness, p.records)
	if err := p.weigh(); err != nil {
		return err
	}
	class, n := p.byCover()
	s, err := p.newSearch(c, mostCircuits, class, n)
	if err != nil {
		return err
	}
	par.Bits = round2(s.fine.whole)
	s.scale, s.fine = scaleOf(s.suspects, s.circuits, func(entry int) int { return entry }, len(p.r.entries))
	s.times, s.every = 1, true
	if err := s.near(); err != nil {
		return err
	}
	par.MostBits, par.BestRate = round2(s.mostBits), round2(s.bestRate)
	if s.mostBits > 0 {
		par.FloorTests, par.FloorMinutes = round2(par.Bits/s.mostBits), round2(par.Bits/s.bestRate)
	}
	return nil
}
