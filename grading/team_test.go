package grading_test

import (
	"testing"

	"faultloom/grading"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// However many share the work, they come to the same: every cell, when it fell, and by what.
func TestTeamsAgree(t *testing.T) {
	steps := 40
	if testing.Short() {
		steps = 20
	}
	for k, id := range []string{broken, "vn22-07-right-side"} {
		if k > 0 && testing.Short() {
			break
		}
		ex := exercise(t, id)
		records := varied(t, ex, steps)
		alone, err := grading.CellsBy(1, ex, records)
		require.NoError(t, err)
		require.Greater(t, len(alone), 500)
		for _, n := range []int{2, 5} {
			shared, err := grading.CellsBy(n, ex, records)
			require.NoError(t, err)
			assert.Equal(t, alone, shared, "%s: %d members", id, n)
		}
	}
}
