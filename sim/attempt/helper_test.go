package attempt_test

import (
	"bytes"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// memory is a log that is kept in memory. It fails from the line on that failAt names, counted from 1; 0 for never.
type memory struct {
	bytes.Buffer
	lines, failAt int
}

var errFull = errors.New("no space left")

func (m *memory) Append(line []byte) error {
	m.lines++
	if m.failAt > 0 && m.lines >= m.failAt {
		m.lines--
		return errFull
	}
	m.Write(line)
	return nil
}

// tractor is an exercise on the sample harness (see package sample for its circuit) with these faults in it.
func tractor(t testing.TB, faults ...string) attempt.Exercise {
	t.Helper()
	return exerciseOn(t, sample.Tractor(), faults...)
}

func exerciseOn(t testing.TB, h *harness.Harness, faults ...string) attempt.Exercise {
	t.Helper()
	ex := attempt.Exercise{
		ID: "try", Title: "try", Complaint: "something is wrong", Harness: h, Mode: attempt.Drill, Seed: 7,
		Tools: meter.Tools(), Functions: meter.Functions(),
		Weights: attempt.Weights{Confirm: 15, Isolate: 35, Repair: 15, Retest: 15, Safety: 10, Economy: 10},
	}
	for _, text := range faults {
		f, err := fault.Parse(text)
		require.NoError(t, err)
		ex.Faults = append(ex.Faults, f)
	}
	return ex
}

// start begins an attempt with its log.
func start(t testing.TB, ex attempt.Exercise) (*attempt.Attempt, *memory) {
	t.Helper()
	log := &memory{}
	a, err := attempt.Start(ex, log)
	require.NoError(t, err)
	return a, log
}

// do does an action that must be possible.
func do(t testing.TB, a *attempt.Attempt, act attempt.Action) attempt.Observation {
	t.Helper()
	obs, err := a.Do(act)
	require.NoError(t, err, "%#v", act)
	require.Empty(t, obs.Refused, "%#v", act)
	return obs
}

func all(t testing.TB, a *attempt.Attempt, acts ...attempt.Action) attempt.Observation {
	t.Helper()
	var last attempt.Observation
	for _, act := range acts {
		last = do(t, a, act)
	}
	return last
}

// Short forms of what is done most.
func operate(control, position string) attempt.Action {
	return attempt.Operate{Control: control, Position: position}
}
func dial(f meter.Function) attempt.Action { return attempt.Dial{Function: f} }
func red(p harness.Point) attempt.Action {
	return attempt.Lead{Tool: meter.Multimeter, End: 0, Point: p}
}
func black(p harness.Point) attempt.Action {
	return attempt.Lead{Tool: meter.Multimeter, End: 1, Point: p}
}
func lead(tool meter.Tool, end int, p harness.Point) attempt.Action {
	return attempt.Lead{Tool: tool, End: end, Point: p}
}
