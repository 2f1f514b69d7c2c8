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
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	every := 40
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
