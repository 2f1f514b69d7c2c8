package grading_test

import (
	"math/rand/v2"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// probing is an attempt at a fault somewhere in a harness, at any severity that it may have, with things done at random.
func probing(t testing.TB, hf scenarios.HarnessFile, entry fault.Entry, random *rand.Rand, steps int) (attempt.Exercise, []attempt.Record) {
	t.Helper()
	f := entry.Fault
	if entry.High > entry.Low && entry.Low > 0 {
		f.Severity = entry.Low * pow(entry.High/entry.Low, random.Float64())
	}
	ex := attempt.Exercise{
		ID: "probe", Title: "probe", Harness: hf.Harness, Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
		Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: random.Uint64(),
	}
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err, f)
	points, repairs := hf.Harness.Points(), fault.Repairs(hf.Harness)
	for range steps {
		_, err := a.Do(randomAction(random, &ex, points, repairs))
		require.NoError(t, err, f)
	}
	return ex, a.Records()
}

// Among what stands after a log must be the true fault, wherever it is and whatever was done, however its range is cut.
func TestTruthStandsAsARange(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	every := 30
	if testing.Short() {
		every = 150
	}
	for _, hf := range lib.Harnesses {
		entries := fault.Catalogue(hf.Harness)
		random := rand.New(rand.NewPCG(seed(), uint64(len(entries))+1))
		for i := random.IntN(every); i < len(entries); i += every {
			ex, records := probing(t, hf, entries[i], random, 25)
			assert.NoError(t, grading.KeepsRange(ex, records), "%s: %s", hf.Harness.ID, ex.Faults[0])
		}
	}
}

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
