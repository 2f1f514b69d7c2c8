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
			random := rand.New(rand.NewPCG(uint64(k), seed()))
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err)
			points := ex.Harness.Points()
			for len(a.Records()) < 30 {
				act := randomAction(random, &ex, points, nil)
				if _, mends := act.(attempt.FitFuse); mends {
					continue // after which nobody rides
				}
				_, err := a.Do(act)
				require.NoError(t, err)
			}
			how, led, err := grading.RideDiffers(ex, a.Records())
			require.NoError(t, err)
			assert.Empty(t, how)
			assert.Greater(t, led, 100)
			t.Logf("%d sights were the leader's", led)
		})
	}
}
