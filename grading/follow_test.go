package grading_test

import (
	"os"
	"slices"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// long are the harnesses of which an attempt takes long to judge: a control unit's timers, a blower's run-down, a flasher and a weekend go through
// time with every candidate.
var long = [...]string{"qs9-brush-control", "mc7-cab-blower", "pp6-start-and-charge"}

// Whoever follows the best next test, from the first line of the check to closing the job, proves the cause and gets the marks for
// it. The planner never looks at the fault. One exercise of most vehicles is done; all with FAULTLOOM_FULL=1 and a -timeout to go with it.
func TestFollowingTheAdvice(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	seen, full := map[string]int{}, os.Getenv("FAULTLOOM_FULL") != ""
	for _, e := range lib.Exercises {
		if testing.Short() && len(seen) == 1 {
			break
		}
		ex := *e.Exercise
		if seen[ex.Harness.ID]++; seen[ex.Harness.ID] > 1 && !full {
			continue
		}
		if !full && slices.Contains(long[:], ex.Harness.ID) {
			continue
		}
		t.Run(ex.ID, func(t *testing.T) {
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err)
			p, err := grading.NewPlanner(ex)
			require.NoError(t, err)
			require.NoError(t, grading.Follow(p, a, nil))
			r := grade(t, ex, a.Records())
			assert.True(t, r.Closed)
			assert.Contains(t, r.Stage(grading.Isolate).Items[0].Text, "Proved")
			assert.Equal(t, r.Stage(grading.Repair).Of, r.Stage(grading.Repair).Points, "%+v", r.Stage(grading.Repair).Items)
			assert.Equal(t, r.Stage(grading.Retest).Of, r.Stage(grading.Retest).Points, "%+v", r.Stage(grading.Retest).Items)
			assert.GreaterOrEqual(t, r.Stage(grading.Isolate).Points, 0.8*r.Stage(grading.Isolate).Of, "%+v", r.Stage(grading.Isolate).Items)
		})
	}
}
