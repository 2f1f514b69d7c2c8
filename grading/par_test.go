package grading_test

import (
	"os"
	"strings"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The check of the two lamps takes a look of 1 s and a mark of 1 s for its first line, 3 s to turn the switch and a mark for its
// second: 6 s. The retest takes the same and 3 s to switch off again. A wire takes 15 minutes and more to replace.
func TestParOfTwoLamps(t *testing.T) {
	ex := cart(t, "wire 58b open", "")
	par, err := grading.ParOf(ex)
	require.NoError(t, err)
	assert.InDelta(t, 0.10, par.Check, 0.001)
	assert.InDelta(t, 0.15, par.Retest, 0.001)
	assert.Greater(t, par.Repair, 15.0)
	assert.InDelta(t, par.Minutes, par.Check+par.Isolate+par.Repair+par.Retest, 0.03, "the parts are those of the whole, each rounded to a hundredth")
	assert.True(t, par.Proved)
	assert.False(t, par.Alike)
	assert.Equal(t, []string{"replace wire 58b"}, par.Repairs)

	require.Len(t, par.Steps, par.Tests)
	before := par.Check
	for i, s := range par.Steps {
		assert.NotEmpty(t, s.Text)
		assert.GreaterOrEqual(t, s.Minutes, before, "step %d", i+1)
		assert.Positive(t, s.Left, "step %d", i+1)
		before = s.Minutes
	}
	assert.InDelta(t, par.Check+par.Isolate, before, 0.011, "the last test ends the isolating")

	require.NotEmpty(t, par.Curve)
	for i := 1; i < len(par.Curve); i++ {
		assert.GreaterOrEqual(t, par.Curve[i].Minutes, par.Curve[i-1].Minutes)
	}
	r := grade(t, ex, par.Records)
	assert.Equal(t, r.Needed, par.Curve[len(par.Curve)-1].Total, "the curve ends with one repair left")
	assert.GreaterOrEqual(t, par.Floor.Tests, 1.0, "the check does not tell the repair, so it takes a test at least")
	assert.Positive(t, par.Floor.Bits)

	quick, err := grading.QuickPar(ex)
	require.NoError(t, err)
	assert.Equal(t, []any{par.Minutes, par.Tests, par.Steps, par.Proved}, []any{quick.Minutes, quick.Tests, quick.Steps, quick.Proved})
}

// With nothing to measure with, a broken wire in a loom cannot be told from what else keeps a lamp dark: that is no fault of whoever has
// to do without a meter, so it counts as isolated, but it is said.
func TestParWithoutAMeter(t *testing.T) {
	for _, of := range []func(attempt.Exercise) (grading.Par, error){grading.ParOf, grading.QuickPar} {
		par, err := of(cart(t, "wire 58b open", "tools: [jumper]\n"))
		require.NoError(t, err)
		assert.True(t, par.Alike)
		assert.True(t, par.Proved)
		assert.Greater(t, len(par.Repairs), 1)
	}
}

// Of two faults each is found and repaired, one after the other, also where one look shows both.
func TestParOfTwoFaults(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, one, other string }{
		{"two branches", "cavity LL.in backed-out", "wire 58c open"},
		{"a part that is known to be bad", "component LL filament-open", "wire 58c open"},
		{"one plug", "cavity LL.in corroded 30 ohm", "cavity LL.out backed-out"},
	} {
		t.Run(c.name, func(t *testing.T) {
			ex, other := cart(t, c.one, ""), cart(t, c.other, "")
			ex.Faults = append(ex.Faults, other.Faults...)
			par, err := grading.ParOf(ex)
			require.NoError(t, err)
			assert.True(t, par.Proved)
			r := grade(t, ex, par.Records)
			assert.Equal(t, r.Stage(grading.Repair).Of, r.Stage(grading.Repair).Points, "%+v", r.Stage(grading.Repair).Items)
			assert.Equal(t, r.Stage(grading.Retest).Of, r.Stage(grading.Retest).Points, "%+v", r.Stage(grading.Retest).Items)
		})
	}
}

// The debrief says how an attempt compares with par, whether it went on too long, stopped short, or is par itself.
func TestBesidePar(t *testing.T) {
	ex := cart(t, "wire 58b open", "")
	par, err := grading.ParOf(ex)
	require.NoError(t, err)
	for _, c := range []struct {
		name string
		acts []attempt.Action
		says string
	}{
		{"par itself", nil, "in all, as par;"},
		{"nothing", []attempt.Action{attempt.Operate{Control: "SW", Position: "on"}}, "You repaired nothing in 0.1 bench minutes, with 0 readings and looks."},
		{"a guess", []attempt.Action{attempt.Find{Fault: "wire 58b open"}, attempt.Repair{Repair: "replace wire 58b"}, attempt.Close{}}, "proves nothing"},
		{"a slow one", []attempt.Action{attempt.Inspect{Place: "wire 31a"}, attempt.Inspect{Place: "wire 31b"}, attempt.Repair{Repair: "replace wire 58b"}}, "2 readings and looks"},
	} {
		t.Run(c.name, func(t *testing.T) {
			records := par.Records
			if c.acts != nil {
				a, err := attempt.Start(ex, memory{})
				require.NoError(t, err)
				for _, act := range c.acts {
					_, err := a.Do(act)
					require.NoError(t, err)
				}
				records = a.Records()
			}
			r := grade(t, ex, records)
			assert.Nil(t, r.Par)
			assert.Nil(t, r.Beside)
			r.SetPar(ex, records, par)
			assert.Equal(t, par.Curve, r.Par)
			text := strings.Join(r.Beside, "\n")
			assert.Contains(t, text, c.says)
			assert.Contains(t, text, "whatever is wrong, nobody can do with fewer than")
		})
	}
}

// Every shipped exercise can be isolated with what it allows; one of most vehicles is tried here, with FAULTLOOM_FULL=1 of each; the
// check command tries all.
func TestShippedExercisesHavePar(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Log("left to the long run")
		return
	}
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	seen := map[string]bool{}
	for i := range lib.Exercises {
		ex := lib.Exercises[len(lib.Exercises)-1-i].Exercise // TestFollowingTheAdvice takes the first of each
		slow := ex.Harness.ID == "qs9-brush-control" || ex.Harness.ID == "pp6-start-and-charge"
		if seen[ex.Harness.ID] || slow && os.Getenv("FAULTLOOM_FULL") == "" {
			continue // a control unit's timers take minutes
		}
		seen[ex.Harness.ID] = true
		par, err := grading.QuickPar(*ex)
		require.NoError(t, err, ex.ID)
		assert.True(t, par.Proved, ex.ID)
	}
}
