package bench

import (
	"errors"
	"fmt"

	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/attempt"
)

// Port is where the attempt lives: in this process, or in another behind a connection. Every request returns at once;
// its answer is delivered by a later Poll, on the goroutine that calls Poll, and exactly once. One request is under way at a time, but for Par.
type Port interface {
	// Exercises asks for what there is to choose from.
	Exercises(done func([]wire.Exercise, error))
	// Start begins an attempt at an exercise, or takes up the one under way unless fresh is asked for.
	Start(id string, fresh bool, done func(*wire.Job, error))
	// Job asks for the attempt at an exercise as it stands.
	Job(id string, done func(*wire.Job, error))
	// Do asks for one action; seq is State.Seq as last seen. Asking again with the same seq and action after a lost answer
	// is safe: the action is done once.
	Do(exercise string, seq int, act attempt.Action, done func(Reply, error))
	// Par asks what the best next test each time would have made of a closed job. It may take many seconds; other requests may be
	// under way meanwhile.
	Par(exercise string, done func(*wire.Par, error))
	// Poll delivers the answers that have come and reports whether there were any.
	Poll() bool
}

// Reply is the answer to an action.
type Reply struct {
	State       attempt.State
	Observation attempt.Observation
	Report      *grading.Report   // once the action closed the job
	Coaching    *grading.Coaching // the answer to an attempt.Ask
}

// PortError is a failure that the other side explained.
type PortError struct {
	Status  int // as in HTTP: 404 not there, 409 the attempt has moved on, 500 could not be kept
	Message string
}

func (e *PortError) Error() string { return e.Message }

// ErrLost says that no answer came. What was asked may or may not have been done; asking again is safe.
var ErrLost = errors.New("the program that keeps the attempt does not answer")

// movedOn reports whether the attempt is elsewhere than this screen believes.
func movedOn(err error) bool {
	var p *PortError
	return errors.As(err, &p) && p.Status == statusConflict
}

const (
	statusOK       = 200
	statusConflict = 409
)

// lost wraps a transport's own words.
func lost(err error) error {
	if err == nil {
		return ErrLost
	}
	return fmt.Errorf("%w (%w)", ErrLost, err)
}
