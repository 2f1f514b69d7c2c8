package desk

import (
	"sync"
	"time"

	"faultloom/grading"
	"faultloom/sim/attempt"
)

// usualPause is how long nothing must have been done before the coach thinks along: who works goes on after a second or two, who plays
// a log back does not wait.
const usualPause = 300 * time.Millisecond

// tutor is a coach who weighs what was seen, and what would tell more, while the person does the next thing, so that an answer comes at once.
type tutor struct {
	mu    sync.Mutex // held while the coach thinks or answers
	coach *grading.Coach
	known int         // records that the coach has been told
	timer *time.Timer // nil while there is nothing to think about
}

func newTutor(ex attempt.Exercise) *tutor { return &tutor{coach: grading.NewCoach(ex)} }

// ThinkAfter says how long nothing must have been done before the coach of an attempt weighs what was seen, in advance of a question.
// It is to be called before anything else.
func (d *Desk) ThinkAfter(pause time.Duration) { d.pause = pause }

// watch lets the coach think about the records once nothing more is done for so long.
func (t *tutor) watch(records []attempt.Record, pause time.Duration) {
	t.rest()
	t.timer = time.AfterFunc(pause, func() {
		t.mu.Lock()
		defer t.mu.Unlock()
		if len(records) > t.known {
			t.known = len(records)
			_ = t.coach.Ponder(records) // what cannot be computed is told when it is asked for
		}
	})
}

// rest ends the watching.
func (t *tutor) rest() {
	if t.timer != nil {
		t.timer.Stop()
		t.timer = nil
	}
}

// answer answers a question after the records.
func (t *tutor) answer(records []attempt.Record, ask attempt.Ask) (grading.Coaching, error) {
	t.rest()
	t.mu.Lock()
	defer t.mu.Unlock()
	t.known = len(records)
	return t.coach.Answer(records, ask)
}
