package grading_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the search passes over, because even certainty would not be worth its time, is never what it should have found.
func TestPassingOverLosesNothing(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	tried := 0
	full := os.Getenv("FAULTLOOM_FULL") != ""
	for _, hf := range lib.Harnesses {
		if !full && (hf.Harness.ID == "qs9-brush-control" || hf.Harness.ID == "mc7-cab-blower") {
			continue // the searches that take longest, for whoever asks for all
		}
		entries := fault.Catalogue(hf.Harness)
		random := rand.New(rand.NewPCG(seed(), uint64(len(entries))+2))
		for _, steps := range []int{0, 6} {
			if testing.Short() && tried == 4 {
				return
			}
			ex, records := probing(t, hf.Harness, []fault.Fault{entries[random.IntN(len(entries))].Fault}, random, steps)
			p, err := grading.NewPlanner(ex)
			require.NoError(t, err)
			p.Learn(records)
			if left, _, err := p.Left(); err != nil || left == 0 {
				require.NoError(t, err)
				continue
			}
			pruned, whole, err := p.BothWays()
			require.NoError(t, err)
			tried++
			assert.Equal(t, whole.Bits > 0, pruned.Bits > 0)
			if whole.Bits > 0 {
				assert.InEpsilon(t, whole.Bits/whole.Minutes, pruned.Bits/pruned.Minutes, 1e-6, "%s, %s, after %d steps: %+v, %+v", hf.Harness.ID, ex.Faults[0], steps, whole, pruned)
			}
		}
	}
	assert.Greater(t, tried, 3)
}
