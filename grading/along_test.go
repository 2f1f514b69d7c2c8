package grading_test

import (
	"os"
	"slices"
	"testing"

	"faultloom/grading"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A fault that does nothing at any instant shows through time what the vehicle shows without it.
func TestAlongIsThroughTime(t *testing.T) {
	full := os.Getenv("FAULTLOOM_FULL") != ""
	for k, ex := range vehicles(t) {
		if slices.Contains([]string{"qs9-brush-control", "mc7-cab-blower", "many-6"}, ex.Harness.ID) && !full || k > 0 && testing.Short() {
			continue
		}
		t.Run(ex.Harness.ID, func(t *testing.T) {
			t.Parallel()
			how, n, err := grading.AlongDiffers(ex, wander(t, ex, uint64(k), 20))
			require.NoError(t, err)
			assert.Empty(t, how)
			assert.Greater(t, n, 50, "%d", n)
			t.Logf("%d sights were the leader's", n)
		})
	}
}

// While a flasher ticks nothing in its circuit comes to rest. All the same, a lamp of it that stays dark speaks against whatever lets it flash: after the
// check a twentieth of the catalogue is left.
func TestDarkLampBesideATickingFlasher(t *testing.T) {
	t.Parallel()
	ex := exercise(t, "pp6-05-nervous")
	a, p := checked(t, ex)
	left, _, err := p.Left()
	require.NoError(t, err)
	assert.Less(t, left, 60)
	e, err := grading.Weigh(ex, a.Records(), 0)
	require.NoError(t, err)
	_, why, out := e.Contradiction(ex.Faults[0], len(a.Records()))
	assert.False(t, out, "%s", why)
}
