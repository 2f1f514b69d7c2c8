package grading_test

import (
	"slices"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
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

// Where two faults show at once no single one agrees with all that was seen. The coach says so, says what it leaves aside, and goes on with one of
// them; and what it suspects then is one of the two, or would show the same. $FAULTLOOM_FULL tries all exercises with two faults.
func TestCoachBeforeTwoFaults(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	said := map[string]string{ // "" for those that take long
		"vn22-11-two-tickets":         "leave aside what the van left stop lamp (VSL) does.",
		"hl6-10-salt-below-the-floor": "leave aside what the bilge pump (PM) does.",
		"qs9-14-after-the-service":    "",
		"pp6-08-two-batteries":        "",
	}
	tried := 0
	for _, e := range lib.Exercises {
		two := *e.Exercise
		if len(two.Faults) < 2 {
			continue
		}
		says, known := said[two.ID]
		require.True(t, known, two.ID)
		tried++
		if says == "" && share(2) > 1 {
			continue
		}
		t.Run(two.ID, func(t *testing.T) {
			t.Parallel()
			records := checkedByHand(t, two)
			coach := grading.NewCoach(two)
			c, err := coach.Answer(records, attempt.Ask{Topic: attempt.AskSuspects})
			require.NoError(t, err)
			assert.Contains(t, c.Text, "there is more than one")
			assert.Contains(t, c.Text, says)
			var places []string
			for _, s := range c.Suspects {
				places = append(places, s.Place)
			}
			assert.True(t, slices.Contains(places, two.Faults[0].Place) || slices.Contains(places, two.Faults[1].Place), "%v among %v", two.Faults, places)

			next, err := coach.Answer(records, attempt.Ask{Topic: attempt.AskNext})
			require.NoError(t, err)
			require.NotNil(t, next.Next, next.Text)
			assert.NotEmpty(t, next.Next.Actions)
			assert.True(t, next.Next.Bits > 0 || len(next.Next.Repairs) == 1, next.Text)
		})
	}
	assert.Equal(t, len(said), tried)
}

// checkedByHand goes through the whole check of an exercise in its order, with all that a line does not name at rest, and marks what it shows.
func checkedByHand(t *testing.T, ex attempt.Exercise) []attempt.Record {
	t.Helper()
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	for i, line := range ex.Harness.Check {
		for _, c := range ex.Harness.Controls {
			to := c.Positions[0]
			for _, set := range line.Set {
				if set.Control == c.ID {
					to = set.Position
				}
			}
			_, err := a.Do(attempt.Operate{Control: c.ID, Position: to})
			require.NoError(t, err)
		}
		obs, err := a.Do(attempt.Wait{Seconds: 1})
		require.NoError(t, err)
		good := true
		for _, e := range line.Expect {
			good = good && obs.Effects[e.Component] == e.Word
		}
		_, err = a.Do(attempt.Mark{Line: i, Good: good})
		require.NoError(t, err)
	}
	return a.Records()
}

// A coach who has pondered all along says the same as one who has not, and has it ready: nothing is weighed or sought again when somebody asks.
func TestPonderingChangesNoAnswer(t *testing.T) {
	t.Parallel()
	ex := exercise(t, broken)
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	ahead, asked := grading.NewCoach(ex), grading.NewCoach(ex)
	tests := 0
	for range 40 {
		require.NoError(t, ahead.Ponder(a.Records()))
		require.NoError(t, ahead.Ponder(a.Records()), "again")
		_, err := a.Do(attempt.Ask{Topic: attempt.AskNext})
		require.NoError(t, err)
		want, err := asked.Answer(a.Records(), attempt.Ask{Topic: attempt.AskNext})
		require.NoError(t, err)
		ready := ahead.Ready(a.Records())
		got, err := ahead.Answer(a.Records(), attempt.Ask{Topic: attempt.AskNext})
		require.NoError(t, err)
		require.Equal(t, want, got)
		if want.Next.Line < 0 && len(want.Next.Repairs) == 0 {
			assert.True(t, ready, want.Text)
			tests++
		}
		do(t, ex, a, *want.Next)
		if len(want.Next.Repairs) > 0 {
			break
		}
	}
	assert.GreaterOrEqual(t, tests, 2)
}

// What candidates do is remembered where the coach leaves a component aside, and that makes no difference: the same cells stand, and the others fall at the
// same record, as if nothing had been learnt before.
func TestRelearningIsLearning(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("hl6-10-salt-below-the-floor")
	records := checkedByHand(t, ex)
	for _, ids := range [][]string{nil, {"PM"}, {"BZ", "PL"}} {
		again, fresh, err := grading.Relearned(ex, records, ids...)
		require.NoError(t, err)
		assert.NotEmpty(t, fresh)
		assert.Equal(t, fresh, again, ids)
	}
}
