package grading_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/require"
)

// large is an exercise on a made-up harness of some 150 points and 1,100 candidates.
func large(tb testing.TB) attempt.Exercise {
	tb.Helper()
	f, err := fault.Parse("cavity X1.3 corroded 4 ohm")
	require.NoError(tb, err)
	return attempt.Exercise{
		ID: "large", Title: "large", Harness: sample.Many(6), Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
		Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: 1,
	}
}

// vehicles is the first exercise of each shipped vehicle, and the large one.
func vehicles(tb testing.TB) []attempt.Exercise {
	tb.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(tb, err)
	var out []attempt.Exercise
	seen := map[string]bool{}
	for _, e := range lib.Exercises {
		if id := e.Exercise.Harness.ID; !seen[id] && len(e.Exercise.Faults) == 1 {
			seen[id] = true
			out = append(out, *e.Exercise)
		}
	}
	return append(out, large(tb))
}

// do carries out advice, and marks the line of the check that it is about.
func do(tb testing.TB, ex attempt.Exercise, a *attempt.Attempt, adv grading.Advice) {
	tb.Helper()
	var obs attempt.Observation
	for _, act := range adv.Actions {
		var err error
		obs, err = a.Do(act)
		require.NoError(tb, err)
		require.Empty(tb, obs.Refused)
	}
	if adv.Line < 0 {
		return
	}
	good := true
	for _, e := range ex.Harness.Check[adv.Line].Expect {
		good = good && obs.Effects[e.Component] == e.Word
	}
	_, err := a.Do(attempt.Mark{Line: adv.Line, Good: good})
	require.NoError(tb, err)
}

// checked is an attempt at which the check has been run, with the planner that says so.
func checked(tb testing.TB, ex attempt.Exercise) (*attempt.Attempt, *grading.Planner) {
	tb.Helper()
	a, err := attempt.Start(ex, memory{})
	require.NoError(tb, err)
	p, err := grading.NewPlanner(ex)
	require.NoError(tb, err)
	for {
		p.Learn(a.Records())
		adv, err := p.Next()
		require.NoError(tb, err)
		if adv.Line < 0 {
			return a, p
		}
		do(tb, ex, a, adv)
	}
}

// varied is an attempt of so many steps: the check first, then what a person might do, sensible or not.
func varied(tb testing.TB, ex attempt.Exercise, steps int) []attempt.Record {
	tb.Helper()
	a, _ := checked(tb, ex)
	random := rand.New(rand.NewPCG(7, 7))
	points := ex.Harness.Points()
	for len(a.Records()) < steps {
		_, err := a.Do(randomAction(random, &ex, points, nil))
		require.NoError(tb, err)
	}
	return a.Records()
}

// BenchmarkWeigh weighs the whole catalogue of each vehicle against an attempt of fifty steps.
func BenchmarkWeigh(b *testing.B) {
	for _, ex := range vehicles(b) {
		b.Run(ex.Harness.ID, func(b *testing.B) {
			records := varied(b, ex, 50)
			b.ReportAllocs()
			begin := cpuTime()
			for b.Loop() {
				_, err := grading.Weigh(ex, records, 0)
				require.NoError(b, err)
			}
			b.ReportMetric((cpuTime()-begin).Seconds()/float64(b.N), "cpu-s/op")
			b.ReportMetric(float64(len(ex.Harness.Points())), "points")
			b.ReportMetric(float64(len(fault.Catalogue(ex.Harness))), "candidates")
		})
	}
}

// BenchmarkNext follows the best next test to the repair. It reports how long the first test took to find with nothing weighed
// before, all of the check included; and the longest of the answers to a planner that had weighed all but the last step,
// that step included; both in processor time.
func BenchmarkNext(b *testing.B) {
	for _, ex := range vehicles(b) {
		b.Run(ex.Harness.ID, func(b *testing.B) {
			var first, later time.Duration
			for b.Loop() {
				f, l := answers(b, ex)
				first, later = first+f, later+l
			}
			b.ReportMetric(float64(first.Microseconds())/1e3/float64(b.N), "cpu-ms/first")
			b.ReportMetric(float64(later.Microseconds())/1e3/float64(b.N), "cpu-ms/longest-later")
		})
	}
}

func answers(tb testing.TB, ex attempt.Exercise) (cold, longest time.Duration) {
	tb.Helper()
	a, err := attempt.Start(ex, memory{})
	require.NoError(tb, err)
	p, err := grading.NewPlanner(ex)
	require.NoError(tb, err)
	for {
		if n := len(a.Records()); cold > 0 {
			p.Learn(a.Records()[:n-1])
			_, _, err := p.Left()
			require.NoError(tb, err)
		}
		begin := cpuTime()
		p.Learn(a.Records())
		next, err := p.Next()
		require.NoError(tb, err)
		switch took := cpuTime() - begin; {
		case next.Line >= 0:
		case cold == 0:
			cold = took
		default:
			longest = max(longest, took)
		}
		if len(next.Repairs) > 0 {
			return cold, longest
		}
		do(tb, ex, a, next)
	}
}
