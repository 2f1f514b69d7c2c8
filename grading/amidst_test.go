package grading_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"faultloom/grading"

	"github.com/stretchr/testify/assert"
)

// Cells are cut in their middle half, those with the same part of a decade at the same value whatever their other bound, and what is cut again comes to
// any ratio.
func TestCellsAreCutAtSharedValues(t *testing.T) {
	root := math.Sqrt(10)
	assert.Equal(t, grading.Amidst(10, 100), grading.Amidst(10, 50), "3.16 times ten, to the bit")
	assert.InEpsilon(t, 10*root, grading.Amidst(10, 50), 1e-12)
	assert.Equal(t, grading.Amidst(1, grading.Amidst(1, 10)), grading.Amidst(1, root), "1.78")
	random := rand.New(rand.NewPCG(3, 1))
	for range 10000 {
		lo := math.Exp(random.Float64()*20 - 8)
		hi := lo * math.Exp(math.Exp(random.Float64()*10-8))
		mid := grading.Amidst(lo, hi)
		share := math.Log(mid/lo) / math.Log(hi/lo)
		assert.True(t, share >= 0.25-1e-6 && share <= 0.75+1e-6, "%g of the way from %g to %g", share, lo, hi)
	}
}
