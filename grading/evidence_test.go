package grading_test

import (
	"math/rand/v2"
	"os"
	"strconv"
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

// randomAction returns something that a person might do, sensible or not.
func randomAction(r *rand.Rand, ex *attempt.Exercise, points []harness.Point, repairs []fault.Repair) attempt.Action {
	h := ex.Harness
	point := func() harness.Point { return points[r.IntN(len(points))] }
	switch r.IntN(18) {
	case 0, 1, 2:
		c := h.Controls[r.IntN(len(h.Controls))]
		return attempt.Operate{Control: c.ID, Position: c.Positions[r.IntN(len(c.Positions))]}
	case 3:
		return attempt.Dial{Function: meter.Functions()[r.IntN(len(meter.Functions()))]}
	case 4, 5, 6, 7:
		return attempt.Lead{Tool: meter.Multimeter, End: r.IntN(2), Point: point()}
	case 8:
		return attempt.Lead{Tool: meter.TestLamp, End: r.IntN(2), Point: point()}
	case 9:
		if r.IntN(3) > 0 {
			return attempt.Lead{Tool: meter.Jumper, End: r.IntN(2)}
		}
		return attempt.Lead{Tool: meter.Jumper, End: r.IntN(2), Point: point()}
	case 10, 11:
		return attempt.Unplug{Connector: h.Connectors[r.IntN(len(h.Connectors))].ID}
	case 12:
		return attempt.Plug{Connector: h.Connectors[r.IntN(len(h.Connectors))].ID}
	case 13:
		return attempt.Inspect{Place: h.Connectors[r.IntN(len(h.Connectors))].ID}
	case 14:
		if len(h.Splices) > 0 && r.IntN(2) == 0 {
			return attempt.OpenLoom{Splice: h.Splices[r.IntN(len(h.Splices))].ID}
		}
		return attempt.Inspect{Place: "wire " + h.Wires[r.IntN(len(h.Wires))].ID}
	case 15:
		return attempt.Relative{On: r.IntN(2) == 0}
	case 16:
		return attempt.Capture{On: r.IntN(2) == 0}
	}
	return attempt.Wait{Seconds: 1 + float64(r.IntN(20))}
}

// seed is that of the random probing: 1, or $FAULTLOOM_SEED for a long night.
func seed() uint64 {
	if n, err := strconv.ParseUint(os.Getenv("FAULTLOOM_SEED"), 10, 64); err == nil {
		return n
	}
	return 1
}

// The true fault must never be dropped, whatever is done and wherever it is. With $FAULTLOOM_FULL every entry of every catalogue
// is tried, else a share of them.
func TestTruthIsNeverDropped(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		h := hf.Harness
		entries := fault.Catalogue(h)
		points, repairs := h.Points(), fault.Repairs(h)
		random := rand.New(rand.NewPCG(seed(), uint64(len(entries))))
		every := 8
		switch {
		case os.Getenv("FAULTLOOM_FULL") != "":
			every = 1
		case testing.Short():
			every = 40
		}
		for i := random.IntN(every); i < len(entries); i += every {
			entry := entries[i]
			f := entry.Fault
			if entry.High > entry.Low && entry.Low > 0 { // anywhere in its interval
				f.Severity = entry.Low * pow(entry.High/entry.Low, random.Float64())
			}
			ex := attempt.Exercise{
				ID: "probe", Title: "probe", Harness: h, Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
				Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: random.Uint64(),
			}
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err, f)
			for range 25 {
				_, err := a.Do(randomAction(random, &ex, points, repairs))
				require.NoError(t, err, f)
			}
			assert.NoError(t, grading.KeepsTruth(ex, a.Records()), "%s: %s", h.ID, f)
		}
	}
}

func pow(x, y float64) float64 {
	r := 1.0
	// Coarse on purpose: any value in the interval will do.
	for range int(y * 16) {
		r *= root16(x)
	}
	return r
}

func root16(x float64) float64 {
	lo, hi := 1.0, x
	for range 60 {
		mid := (lo + hi) / 2
		p := mid * mid
		p *= p
		p *= p
		p *= p
		if p > x {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}

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
