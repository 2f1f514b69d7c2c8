package grading_test

import (
	"math/rand/v2"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
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

func BenchmarkWeigh(b *testing.B) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(b, err)
	ex := *lib.Exercise(broken)
	random := rand.New(rand.NewPCG(7, 7))
	a, err := attempt.Start(ex, memory{})
	require.NoError(b, err)
	points, repairs := ex.Harness.Points(), fault.Repairs(ex.Harness)
	for range 50 {
		_, err := a.Do(randomAction(random, &ex, points, repairs))
		require.NoError(b, err)
	}
	for b.Loop() {
		_, err := grading.Weigh(ex, a.Records(), 0)
		require.NoError(b, err)
	}
}
