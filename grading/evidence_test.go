package grading_test

import (
	"testing"

	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEvidenceOfThePlan(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	records := play(t, ex, check, volts, find, repair)
	e, err := grading.Weigh(ex, records, 0)
	require.NoError(t, err)
	for i, s := range e.Steps {
		t.Logf("%-40T left %3d repairs %3d gained %5.2f  %s", records[i].Action, s.Left, s.Repairs, s.Gained, s.Told)
	}
	for _, s := range e.Suspects(len(check) + len(volts)) {
		t.Logf("%5.1f %%  %s", 100*s.Share, s.Title)
	}
	iso := e.IsolatedAt(len(check) + len(volts))
	assert.True(t, iso.Alive)
}

// With every step the vehicle is seen as well. What that tells is not owed to a step that tries nothing, such as reading the hints; and
// what the vehicle showed as it was found is told once, with whatever was done first.
func TestReadingRulesNothingOut(t *testing.T) {
	ex := exercise(t, broken)
	hints, diagram := attempt.Study{Page: "hints"}, attempt.Study{Page: "sheet"}
	on := attempt.Operate{Control: "KEY", Position: "on"}
	e, err := grading.Weigh(ex, play(t, ex, []attempt.Action{hints, diagram, on}), 0)
	require.NoError(t, err)
	assert.Regexp(t, `^What was seen of the vehicle as it was found ruled out \d+ faults; \d+ are left\.$`, e.Steps[0].Told)
	assert.Empty(t, e.Steps[1].Told, "the same vehicle, seen again")
	assert.Regexp(t, "^It ruled out ", e.Steps[2].Told)

	// What could not be done told nothing, but the vehicle that it was to be done to did.
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	obs, err := a.Do(attempt.Plug{Connector: ex.Harness.Connectors[0].ID})
	require.NoError(t, err)
	require.NotEmpty(t, obs.Refused, "what is plugged cannot be plugged")
	e, err = grading.Weigh(ex, a.Records(), 0)
	require.NoError(t, err)
	assert.Regexp(t, "^What was seen of the vehicle as it was found ruled out ", e.Steps[0].Told)
}

// A unit that starts anew for ever behind a bad joint of its feed leaves what it drives dead all the while: that is no chance, though the circuit never
// comes to rest.
func TestWhatDoesNotMoveIsNoChance(t *testing.T) {
	ex := exercise(t, "pp6-03-only-on-the-road")
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	_, err = a.Do(attempt.Operate{Control: "KEY", Position: "on"})
	require.NoError(t, err)
	for ohms, want := range map[float64]string{0.3: "", 214: "step 1: DL: it would show off, shown was lit"} {
		why, err := grading.Driven(ex, a.Records(), fault.Fault{Place: "cavity M1.30", Kind: "corroded", Severity: ohms})
		require.NoError(t, err)
		assert.Equal(t, want, why, "%g ohm", ohms)
	}
}

// What is proved is the repair that mends all that is left, and no other; nothing is before anything has been seen.
func TestProvesTheOnlyRepairLeft(t *testing.T) {
	ex := exercise(t, "dt14-06-gate-four")
	par, err := grading.QuickPar(ex)
	require.NoError(t, err)
	e, err := grading.Weigh(ex, par.Records, 0)
	require.NoError(t, err)
	at := -1
	var right fault.Repair
	for i, rec := range par.Records {
		if act, ok := rec.Action.(attempt.Repair); ok && at < 0 {
			at = i
			right, err = fault.ParseRepair(act.Repair)
			require.NoError(t, err)
		}
	}
	require.Positive(t, at)
	assert.True(t, e.Proves(right, at))
	assert.False(t, e.Proves(right, 1))
	other, err := fault.ParseRepair("replace component HN")
	require.NoError(t, err)
	assert.False(t, e.Proves(other, at))
}
