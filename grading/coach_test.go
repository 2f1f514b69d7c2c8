package grading_test

import (
	"testing"

	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The coach answers from what was seen: where the suspects are, what a reading would tell, what to do next.
func TestCoach(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	records := play(t, ex, check, []attempt.Action{attempt.Dial{Function: meter.Volts}, lead(1, "G1"),
		attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "HORN", Position: "pressed"}})
	coach := grading.NewCoach(ex)
	require.NoError(t, coach.Think(records[:len(records)-2]), "thinking along changes no answer")
	c, err := coach.Answer(records, attempt.Ask{Topic: attempt.AskSuspects})
	require.NoError(t, err)
	require.NotEmpty(t, c.Suspects)
	sum := 0.0
	for _, s := range c.Suspects {
		sum += s.Share
	}
	assert.InDelta(t, 1, sum, 1e-9, "the shares are of one whole")

	c, err = coach.Answer(records, attempt.Ask{Topic: attempt.AskReading, Point: "X1.2.b"})
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(c.Outcomes), 2, "12 V or nothing: %+v", c.Outcomes)
	left := 0
	for _, o := range c.Outcomes {
		left += o.WouldLeave
	}
	assert.GreaterOrEqual(t, left, c.Left, "every suspect shows something")

	next, err := coach.Answer(records, attempt.Ask{Topic: attempt.AskNext})
	require.NoError(t, err)
	require.NotNil(t, next.Next)
	assert.NotEmpty(t, next.Text)
	assert.NotContains(t, next.Text, "71c open", "the coach does not know the fault")

	// With another fault that shows the same so far, the coach says the same: it cannot know.
	other := exercise(t, broken)
	other.Faults[0].Place = "crimp HN.in.a"
	again, err := grading.NewCoach(other).Answer(records, attempt.Ask{Topic: attempt.AskNext})
	require.NoError(t, err)
	assert.Equal(t, next.Text, again.Text)
}
