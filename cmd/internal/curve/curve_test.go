package curve_test

import (
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"faultloom/cmd/internal/curve"
	"faultloom/cmd/internal/draw"
	"faultloom/grading"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func report() *grading.Report {
	steps := []grading.Step{}
	for i, e := range []grading.StepEvidence{
		{Minutes: 0.1, Total: 0, Left: 470}, {Minutes: 0.3, Total: 2.8, Gained: 2.8, Left: 99}, {Minutes: 2.2, Total: 2.8, Left: 93},
		{Minutes: 4.1, Total: 4, Gained: 1.2, Left: 22}, {Minutes: 5.5, Total: 6.9, Gained: 2.9, Left: 3}, {Minutes: 9, Total: 6.9, Left: 3},
	} {
		s := grading.Step{Seq: i, Evidence: e}
		if i == 5 {
			s.Decided = "repair"
		}
		steps = append(steps, s)
	}
	return &grading.Report{Needed: 6.9, Steps: steps, Par: []grading.ParPoint{{Minutes: 1, Total: 3}, {Minutes: 2.5, Total: 6.9}}}
}

func TestPlotStaysInItsArea(t *testing.T) {
	for _, w := range []float64{320, 700} {
		var l draw.List
		area := draw.Rect{X: 10, Y: 10, W: w, H: curve.Height(w)}
		curve.Draw(&l, draw.Workshop(), report(), area)
		require.NoError(t, l.Err())
		assert.Empty(t, draw.MissingGlyphs(&l))
		b := draw.Bounds(&l)
		assert.GreaterOrEqual(t, b.X, area.X-1)
		assert.GreaterOrEqual(t, b.Y, area.Y-1)
		assert.LessOrEqual(t, b.MaxX(), area.MaxX()+1)
		assert.LessOrEqual(t, b.MaxY(), area.MaxY()+1)
		if dir := os.Getenv("FAULTLOOM_PICTURES"); dir != "" {
			f, err := os.Create(filepath.Join(dir, "curve.png"))
			require.NoError(t, err)
			require.NoError(t, png.Encode(f, draw.Raster(&l, int(w)+20, int(curve.Height(w))+20, 1)))
			require.NoError(t, f.Close())
		}
	}
}

func TestPlotOfNothing(t *testing.T) {
	var l draw.List
	curve.Draw(&l, draw.Workshop(), &grading.Report{}, draw.Rect{W: 400, H: 200})
	assert.NoError(t, l.Err())
}

// A count at the axis that has room only at the right is left out when the curve rises through there.
func TestCountsAreNotCrossed(t *testing.T) {
	written := func(second float64) string {
		r := &grading.Report{Needed: 9, Steps: []grading.Step{
			{Evidence: grading.StepEvidence{Minutes: 0.1, Total: 5, Gained: 5, Left: 17}},
			{Evidence: grading.StepEvidence{Minutes: second, Total: 6, Gained: 1, Left: 8}},
			{Evidence: grading.StepEvidence{Minutes: 15, Total: 9, Gained: 3, Left: 1}},
		}}
		var l draw.List
		curve.Draw(&l, draw.Workshop(), r, draw.Rect{W: 700, H: curve.Height(700)})
		var b strings.Builder
		require.NoError(t, draw.WriteSVG(&b, &l, draw.Point{X: 700, Y: curve.Height(700)}, draw.SVGOptions{}))
		return b.String()
	}
	assert.Contains(t, written(8), "17 left")
	assert.NotContains(t, written(0.6), "17 left")
	assert.Contains(t, written(0.6), "8 left")
}
