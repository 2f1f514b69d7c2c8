// Package robot holds four scripted technicians who play any exercise through a real attempt, each by a method of its own.
// They judge the judge: a grade that ranks them otherwise than an instructor would is wrong, or the technician is.
//
// A technician has the harness sheet, the good readings that follow from it, and what an attempt shows. None is handed the fault.
package robot

import (
	"fmt"

	"faultloom/grading"
	"faultloom/sim/attempt"
)

// Robot is one technician.
type Robot struct {
	Name  string // stable word
	Title string // how they work, for people
	// Seeds is how many different persons of this sort there are to play; 1 for a method that leaves nothing to chance.
	Seeds int

	work func(h *hand, seed uint64) error
}

// Robots returns the technicians in the order in which a fair grade ranks them, best first.
func Robots() []Robot {
	return []Robot{
		{Name: Best, Title: "does the best next test", Seeds: 1, work: follow},
		{Name: Halver, Title: "halves the circuit by the book", Seeds: 1, work: halve},
		{Name: Prober, Title: "probes here and there, then guesses", Seeds: probers, work: probe},
		{Name: Swapper, Title: "swaps parts until the check passes", Seeds: 1, work: swap},
	}
}

// The robots' names.
const (
	Best    = "best"
	Halver  = "halver"
	Prober  = "prober"
	Swapper = "swapper"
)

// probers is how many random probers play an exercise: one of them may be lucky, so they are judged by their mean.
const probers = 3

// longest is the bench time in minutes after which a technician gives the job back unfinished.
const longest = 150

// Play plays an exercise as the robot's person number seed, counted from 0, writing the log to sink, and returns the records. The
// robot is not told the exercise's faults. It returns an error when the exercise cannot be attempted or a circuit not computed.
func (r Robot) Play(ex attempt.Exercise, seed uint64, sink attempt.Sink) ([]attempt.Record, error) {
	a, err := attempt.Start(ex, sink)
	if err != nil {
		return nil, err
	}
	ex.Faults = nil
	h, err := newHand(ex, a)
	if err != nil {
		return nil, err
	}
	err = r.work(h, seed)
	if err == nil {
		err = h.err
	}
	if err != nil {
		return nil, fmt.Errorf("exercise %s: %s: %w", ex.ID, r.Name, err)
	}
	return a.Records(), nil
}

// follow does the best next test. Where no single fault agrees with all that was seen, it goes on by the book.
func follow(h *hand, seed uint64) error {
	p, err := grading.NewPlanner(h.ex)
	if err != nil {
		return err
	}
	if err := grading.Follow(p, h.a, nil); err != nil {
		if h.a.State().Closed {
			return err
		}
		h.home()
		return halve(h, seed)
	}
	return nil
}

// None is a sink for attempts that are not kept.
type None struct{}

// Append does nothing.
func (None) Append([]byte) error { return nil }
