package grading_test

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"faultloom/grading"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever rides with the leader shows at every moment what it shows when it is gone through by itself.
func TestRidingChangesNothing(t *testing.T) {
	full := os.Getenv("FAULTLOOM_FULL") != ""
	for k, ex := range vehicles(t) {
		if slices.Contains(long[:], ex.Harness.ID) && !full || k > 0 && testing.Short() {
			continue
		}
		t.Run(ex.Harness.ID, func(t *testing.T) {
			t.Parallel()
			how, led, err := grading.RideDiffers(ex, wander(t, ex, uint64(k), 30))
			require.NoError(t, err)
			assert.Empty(t, how)
			assert.Greater(t, led, 100)
			t.Logf("%d sights were the leader's", led)
		})
	}
}

// wander is a log of so many steps at random, in which nothing is mended: after that nobody rides.
func wander(t *testing.T, ex attempt.Exercise, k uint64, steps int) []attempt.Record {
	t.Helper()
	random := rand.New(rand.NewPCG(k, seed()))
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	points := ex.Harness.Points()
	for len(a.Records()) < steps {
		act := randomAction(random, &ex, points, nil)
		if _, mends := act.(attempt.FitFuse); mends {
			continue
		}
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	return a.Records()
}
