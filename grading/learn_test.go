package grading_test

import (
	"testing"

	"faultloom/grading"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What was learnt bit by bit, as a planner does, leaves as much standing as what is learnt at once, as grading does: nobody is told that
// the cause is proved and then graded otherwise.
func TestLearningBitByBit(t *testing.T) {
	ex := exercise(t, broken)
	records := play(t, ex, runCheck(t, ex), volts)
	p, err := grading.NewPlanner(ex)
	require.NoError(t, err)
	e, err := grading.Weigh(ex, append(records, play(t, ex, runCheck(t, ex), volts, find)[len(records):]...), 0)
	require.NoError(t, err)
	for n := range len(records) + 1 {
		if n%7 != 0 && n < len(records) {
			continue
		}
		p.Learn(records[:n])
		left, repairs, err := p.Left()
		require.NoError(t, err)
		if n == len(records) {
			iso := e.IsolatedAt(n)
			assert.Equal(t, iso.Left, left)
			assert.Len(t, repairs, len(iso.Repairs))
		}
	}
}
