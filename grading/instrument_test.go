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

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// instrumentAction returns something that a person might do with the instruments beside multimeter, test lamp and jumper.
func instrumentAction(r *rand.Rand, h *harness.Harness, points []harness.Point) attempt.Action {
	point := func() harness.Point { return points[r.IntN(len(points))] }
	switch r.IntN(9) {
	case 0, 1, 2:
		return attempt.Lead{Tool: meter.Clamp, Point: meter.WirePlace(h.Wires[r.IntN(len(h.Wires))].ID)}
	case 3:
		return attempt.Zero{Tool: meter.Clamp}
	case 4:
		return attempt.Lead{Tool: meter.LogicProbe, Point: point()}
	case 5:
		return attempt.Lead{Tool: meter.TraceView, End: r.IntN(2), Point: point()}
	case 6:
		return attempt.Sweep{Seconds: meter.Sweeps()[r.IntN(3)], Level: 6}
	case 7:
		return attempt.Lead{Tool: meter.Load, End: r.IntN(2)}
	}
	return attempt.Lead{Tool: meter.Load, End: r.IntN(2), Point: point()}
}

// The true fault is not dropped by what clamp, logic probe, trace view and substitute load tell or do.
func TestTruthBearsTheInstruments(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	every := share(70)
	if testing.Short() {
		every = 150
	}
	for _, hf := range lib.Harnesses {
		h := hf.Harness
		entries := fault.Catalogue(h)
		points, repairs := h.Points(), fault.Repairs(h)
		random := rand.New(rand.NewPCG(seed(), uint64(len(entries))+2))
		for i := random.IntN(every); i < len(entries); i += every {
			f := entries[i].Fault
			ex := attempt.Exercise{
				ID: "probe", Title: "probe", Harness: h, Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
				Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: random.Uint64(),
			}
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err, f)
			for range 25 {
				act := randomAction(random, &ex, points, repairs)
				if random.IntN(2) == 0 {
					act = instrumentAction(random, h, points)
				}
				_, err := a.Do(act)
				require.NoError(t, err, f)
			}
			assert.NoError(t, grading.KeepsTruth(ex, a.Records()), "%s: %s", h.ID, f)
		}
	}
}

// Whatever a clamp's gain and zero, zeroed with its jaw empty, around a wire that carries current, or not at all, what it shows is not held against
// the true fault.
func TestTruthBearsAnyClamp(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	h := lib.Harness("dt14-work-lamps")
	f, err := fault.Parse("cavity X1.1 corroded 0.5 ohm")
	require.NoError(t, err)
	clamp := func(wire string) attempt.Action {
		if wire == "" {
			return attempt.Lead{Tool: meter.Clamp}
		}
		return attempt.Lead{Tool: meter.Clamp, Point: meter.WirePlace(wire)}
	}
	on, zero := attempt.Operate{Control: "LAMPS", Position: "on"}, attempt.Zero{Tool: meter.Clamp}
	shown := map[string]bool{}
	for s := range uint64(12) {
		ex := attempt.Exercise{
			ID: "clamp", Title: "clamp", Harness: h, Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
			Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: s,
		}
		a, err := attempt.Start(ex, memory{})
		require.NoError(t, err)
		for _, act := range []attempt.Action{
			attempt.Operate{Control: "KEY", Position: "on"}, on, clamp("56c"), // not zeroed
			clamp(""), zero, clamp("56c"), clamp("30a"), clamp("56e"),
			zero, clamp("30a"), clamp("31c"), attempt.Operate{Control: "LAMPS", Position: "off"}, clamp("56e"),
		} {
			seen, err := a.Do(act)
			require.NoError(t, err)
			require.Empty(t, seen.Refused, "%v", act)
			shown[seen.Displays[meter.Clamp].Text] = true
		}
		assert.NoError(t, grading.KeepsTruth(ex, a.Records()), "seed %d", s)
	}
	assert.Greater(t, len(shown), 30, "clamps differ in what they show")
}
