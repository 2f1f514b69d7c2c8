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
		if err := carryOut(p, w, a); err != nil {
			return err
		}
		if stop(a) {
			return nil
		}
	}
	return fmt.Errorf("exercise %s: the job is not done after %d pieces of advice", p.ex.ID, mostAdvice)
}

// carryOut does what was advised, and marks the line of the check that it is about. It ends before a fuse is fitted to see what
// happens when the look at the old one has told all.
func carryOut(p *Planner, w Worker, a Advice) error {
	var obs attempt.Observation
	ex := p.ex
	for k, act := range a.Actions {
		if _, fits := act.(attempt.FitFuse); fits && k > 0 && len(a.Outcomes) > 0 {
			p.Learn(w.Records())
			if next, err := p.Next(); err != nil || next.Isolated {
				return err
			}
		}
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

	Proved  bool       `json:"proved"`  // one repair was left when it was made
	Alike   bool       `json:"alike"`   // more were left, but no test tells them apart
	Repairs []string   `json:"repairs"` // that were left, in text form; of two faults those of the last
	Floor   Floor      `json:"floor"`   // of isolating the first fault
	Curve   []ParPoint `json:"curve"`   // what was known about the first fault, from the check to its repair

	Records []attempt.Record `json:"-"` // of the job
}

// ParStep is one test of par.
type ParStep struct {
	Text    string  `json:"text"`
	Shows   string  `json:"shows"`   // what it came to
	Minutes float64 `json:"minutes"` // bench time at which it is done
	Bits    float64 `json:"bits"`    // expected
	Left    int     `json:"left"`    // faults still suspected after it
}

// nowhere is a log that is not kept.
type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

// ParOf does the exercise by the best next test. Of two faults each is looked for with the other known. It returns an error when
// the exercise cannot be attempted or computed, or its fault cannot be found by what may be used.
func ParOf(ex attempt.Exercise) (Par, error) { return parOf(ex, true) }

// QuickPar is ParOf without the floor and the curve; where one repair was left, the planner's word is taken for it.
func QuickPar(ex attempt.Exercise) (Par, error) { return parOf(ex, false) }

func parOf(ex attempt.Exercise, whole bool) (Par, error) {
	g := &parGame{whole: whole}
	var err error
	if g.a, err = attempt.Start(ex, nowhere{}); err != nil {
		return g.par, err
	}
	for k := range ex.Faults {
		others := append(append([]fault.Fault(nil), ex.Faults[:k]...), ex.Faults[k+1:]...)
		if g.p, err = NewPlanner(ex, others...); err != nil {
			return g.par, err
		}
		if err := follow(g.p, g.a, g.told, func(adv Advice) bool { g.done(ex, adv); return len(adv.Repairs) > 0 }); err != nil {
			return g.par, err
		}
		if g.err != nil {
			return g.par, g.err
		}
	}
	par := &g.par
	par.Repair = minutesOf(g.a) - par.Check - par.Isolate
	if err := Follow(g.p, g.a, nil); err != nil {
		return g.par, err
	}
	par.Minutes = minutesOf(g.a)
	par.Retest = par.Minutes - par.Check - par.Isolate - par.Repair
	for _, m := range []*float64{&par.Minutes, &par.Check, &par.Isolate, &par.Repair, &par.Retest} {
		*m = round2(*m)
	}
	par.Records = g.a.Records()
	if !whole && g.proved == len(ex.Faults) {
		par.Proved = true
		return g.par, nil
	}
	return g.par, par.proof(ex)
}

// parGame is a job under way for par.
type parGame struct {
	whole  bool
	par    Par
	a      *attempt.Attempt
	p      *Planner
	begun  bool // the check is over
	proved int  // faults of which the planner had one repair left
	err    error
}

// told takes note of advice before it is done.
func (g *parGame) told(adv Advice) {
	if n := len(g.par.Steps); n > 0 && g.par.Steps[n-1].Left < 0 {
		g.par.Steps[n-1].Left = len(g.p.standing())
	}
	if !g.begun && adv.Line < 0 {
		g.begun = true
		g.par.Check = minutesOf(g.a)
		if g.whole {
			g.par.Floor, g.err = g.p.floor()
		}
	}
	if len(adv.Repairs) > 0 {
		g.par.Isolate = minutesOf(g.a) - g.par.Check
		g.par.Repairs = adv.Repairs
		if adv.Isolated {
			g.proved++
		}
	}
}

// done takes note of advice after it was done.
func (g *parGame) done(ex attempt.Exercise, adv Advice) {
	if adv.Line >= 0 || len(adv.Repairs) > 0 || len(adv.Outcomes) == 0 {
		return
	}
	g.par.Tests++
	records := g.a.Records()
	_, shows := attempt.Words(ex.Harness, records[len(records)-1])
	g.par.Steps = append(g.par.Steps, ParStep{Text: adv.Text, Shows: shows, Minutes: round2(minutesOf(g.a)), Bits: adv.Bits, Left: -1})
}

// proof judges whether the repair was proved, and draws the curve.
func (par *Par) proof(ex attempt.Exercise) error {
	par.Proved = true
	w := newWalk(&ex, par.Records)
	for k := range ex.Faults {
		e, err := Weigh(ex, par.Records, k)
		if err != nil {
			return err
		}
		at := w.decided(k)
		iso := e.IsolatedAt(at)
		par.Proved = par.Proved && iso.Share >= 1
		par.Alike = par.Alike || iso.Alike
		if k == 0 {
			par.Curve = e.curve(at)
		}
	}
	return nil
}

// curve lists the steps after which more was known, up to the first n records, from the start to the last of them.
func (e *Evidence) curve(n int) []ParPoint {
	var out []ParPoint
	for i, s := range e.Steps[:n] {
		if s.Gained == 0 && i < n-1 {
			continue
		}
		did, _ := attempt.Words(e.r.ex.Harness, e.records[i])
		out = append(out, ParPoint{Minutes: s.Minutes, Total: s.Total, Did: did})
	}
	return out
}

// minutesOf is the bench time that a worker has used.
func minutesOf(w Worker) float64 {
	records := w.Records()
	if len(records) == 0 {
		return 0
	}
	return float64(records[len(records)-1].Observation.Ticks) * attempt.Tick / wholeMinutes
}
