package grading

import (
	"fmt"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Coaching is the coach's answer to an attempt.Ask. It follows from what the trainee has seen, and never from the fault.
type Coaching struct {
	Topic string        `json:"topic"`
	Point harness.Point `json:"point,omitempty"` // of a reading
	Text  string        `json:"text"`            // the answer in a sentence or two

	Left     int       `json:"left"`               // faults still suspected
	Repairs  int       `json:"repairs"`            // repairs that one of them needs
	Suspects []Suspect `json:"suspects,omitempty"` // of "suspects", likeliest first
	Outcomes []Outcome `json:"outcomes,omitempty"` // of "reading" and "next": what it may show
	Next     *Advice   `json:"next,omitempty"`     // of "next"
}

// Coach stands beside one attempt and answers what is asked. It remembers what it has reasoned out, so that the next answer
// comes sooner. It is not safe for concurrent use.
type Coach struct {
	ex    attempt.Exercise
	p     *Planner
	given int      // faults that the planner was told
	mute  []string // components: what they show is left aside, as no single fault agrees with that and all else
	aside []int    // records that the planner leaves aside, where leaving components aside is not enough
}

// mostAside is how many records the coach leaves aside at most, to go on with one trouble where there seem to be more.
const mostAside = 8

// NewCoach returns the coach of an attempt at an exercise.
func NewCoach(ex attempt.Exercise) *Coach { return &Coach{ex: ex} }

// Answer answers a question after the records of the attempt. Faults of the exercise that have been mended are known; of two that
// are in, one is looked for as if it were alone: what cannot come from the same fault as all else is left aside for now, and the answer says so.
// It returns an error when a circuit cannot be computed.
func (k *Coach) Answer(records []attempt.Record, ask attempt.Ask) (c Coaching, err error) {
	if err := k.Think(records); err != nil {
		return Coaching{}, err
	}
	p := k.p
	left, repairs, err := p.Left()
	if err != nil {
		return Coaching{}, err
	}
	c = Coaching{Topic: ask.Topic, Point: ask.Point, Left: left, Repairs: len(repairs)}
	if left == 0 {
		c.Text = "No single fault agrees with all that was seen: there may be more than one."
		return c, nil
	}
	defer func() { c.Text = k.apart(records) + c.Text }()
	switch ask.Topic {
	case attempt.AskSuspects:
		c.Suspects = p.Suspects()
		seen := "all you have seen"
		if len(k.aside) > 0 || len(k.mute) > 0 {
			seen = "all else that you have seen"
		}
		c.Text = fmt.Sprintf("%s in %s still agree with %s. They are hatched on the sheet.",
			capital(count(left, "fault", "faults")), count(len(c.Suspects), "place", "places"), seen)
		if len(repairs) == 1 {
			c.Text = "One repair mends everything that is still suspected: the cause is proved."
		}
	case attempt.AskReading:
		c.Outcomes, err = p.Preview(attempt.Lead{Tool: meter.Multimeter, End: 0, Point: ask.Point})
		if err != nil {
			return Coaching{}, err
		}
		c.Text = previewText(c.Outcomes)
	case attempt.AskNext:
		next, err := p.Next()
		if err != nil {
			return Coaching{}, err
		}
		c.Next, c.Outcomes = &next, next.Outcomes
		c.Text = next.Text
	}
	return c, nil
}

// Think weighs the records of the attempt, so that an answer after them comes soon; those thought about before are at their head.
// It returns an error when a circuit cannot be computed.
func (k *Coach) Think(records []attempt.Record) error {
	given := mended(&k.ex, records)
	if k.p == nil || len(given) != k.given {
		k.given, k.mute, k.aside = len(given), nil, nil
		if err := k.begin(given); err != nil {
			return err
		}
	}
	for tried := false; ; {
		k.p.Learn(without(records, k.mute))
		if err := k.p.weigh(); err != nil || len(k.p.cells) > 0 || len(k.aside) >= mostAside {
			return err
		}
		if !tried && len(k.aside) == 0 {
			tried = true
			if found, err := k.oneTrouble(records); err != nil || found {
				return err
			}
			continue
		}
		last := k.p.team.lasted()
		k.aside = append(k.aside, last)
		k.p.r.aside[last] = true
		k.p.relearn(records)
	}
}

// Ponder is Think that finds what would be a good next test as well. It changes no answer.
func (k *Coach) Ponder(records []attempt.Record) error {
	if err := k.Think(records); err != nil || len(k.p.cells) == 0 {
		return err
	}
	return k.p.Ponder()
}

// begin takes a planner that knows nothing yet.
func (k *Coach) begin(given []fault.Fault) error {
	p, err := NewPlanner(k.ex, given...)
	if err != nil {
		return err
	}
	p.team.keepFallen()
	k.p = p
	return nil
}

// mended lists the exercise's faults that a repair in the log has taken away: they were there when the earlier readings were taken.
func mended(ex *attempt.Exercise, records []attempt.Record) []fault.Fault {
	w := newWalk(ex, records)
	var out []fault.Fault
	for _, f := range w.faults {
		if f.mended >= 0 && len(w.faults) > 1 {
			out = append(out, f.fault)
		}
	}
	return out
}

// Suspects lists what is still suspected after the records that have been weighed (see Left), likeliest first.
func (p *Planner) Suspects() []Suspect {
	r := *p.r
	r.cells = p.team.standing()
	e := Evidence{r: &r, classes: p.classes}
	return e.Suspects(len(p.records))
}

func previewText(outcomes []Outcome) string {
	switch {
	case len(outcomes) == 0:
		return "It would show nothing there."
	case len(outcomes) == 1:
		return "It would tell nothing: every fault still suspected shows " + outcomes[0].Reading + "."
	}
	return fmt.Sprintf("It can come out %d ways; the likeliest is %s.", len(outcomes), outcomes[0].Reading)
}
