package grading_test

import (
	"math/rand/v2"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/require"
)

// parked is a shipped vehicle with a control by which it stands for three days, or for a night on the charger.
func parked(t testing.TB, id string) *harness.Harness {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		if h := hf.Harness; h.ID == id {
			h.Controls = append(h.Controls, harness.Control{ID: "TIME", Title: "Time", Positions: []string{"now", "later", "charged"},
				Stands: []harness.Stand{{Position: "later", Seconds: 3 * 86400}, {Position: "charged", Seconds: 43200, Charged: true}}})
			require.Empty(t, h.Validate())
			return h
		}
	}
	t.Fatalf("there is no harness %s", id)
	return nil
}

// standing is random probing of a vehicle that is left to stand again and again.
func standing(t testing.TB, h *harness.Harness, faults []fault.Fault, random *rand.Rand, steps int) (attempt.Exercise, []attempt.Record) {
	t.Helper()
	return probingWith(t, h, faults, random, steps, func(n int, act attempt.Action) attempt.Action {
		if n%5 == 2 {
			return attempt.Operate{Control: "TIME", Position: []string{"now", "later", "charged", "later"}[random.IntN(4)]}
		}
		return act
	})
}

// The true fault must stand too where a battery has run down, by its own doing or by what was left on.
func TestTruthStandsForDays(t *testing.T) {
	t.Parallel()
	h := parked(t, "dt14-work-lamps")
	every := share(12)
	for i, entry := range fault.Catalogue(h) {
		random := rand.New(rand.NewPCG(seed(), uint64(3000+i)))
		if random.IntN(every) != 0 {
			continue
		}
		ex, records := standing(t, h, []fault.Fault{somewhere(entry, random)}, random, 20)
		keeps(t, ex, records)
	}
}

// What falls after a vehicle has stood, without going through all of time, would fall by that too.
func TestFallsAfterStandingAreExact(t *testing.T) {
	h := parked(t, "dt14-work-lamps")
	f, err := fault.Parse("component K1 contact-welded")
	require.NoError(t, err)
	ex := probe(h, []fault.Fault{f}, 5)
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	for _, act := range []attempt.Action{
		attempt.Operate{Control: "TIME", Position: "later"}, attempt.Dial{Function: meter.Volts}, attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "BAT.31"},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "BAT.30"}, attempt.Operate{Control: "KEY", Position: "on"},
	} {
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused)
	}
	n, err := grading.FallsExactly(ex, a.Records())
	require.NoError(t, err)
	t.Logf("%d fell so", n)
	require.NotZero(t, n)
}
