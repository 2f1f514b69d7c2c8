package sheet_test

import (
	"slices"
	"testing"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of suspects at one place the likeliest is labelled there, and no label covers another's number.
func TestSuspectLabelsDoNotCoverEachOther(t *testing.T) {
	s := sheet.Layout(dock())
	var l draw.List
	s.Draw(&l, sheet.Live{Suspects: []sheet.Suspect{
		{Place: "point X1.1.a", Value: 0.1, Label: "3 %"}, {Place: "cavity X1.1", Value: 0.9, Label: "48 %"}, {Place: "crimp X1.1.a", Value: 0.2, Label: "6 %"},
		{Place: "cavity X1.2", Value: 0.5, Label: "20 %"}, {Place: "wire 58a", Value: 0.3, Label: "9 %"},
	}})
	require.NoError(t, l.Err())
	labels := map[string]draw.Rect{}
	for _, q := range texts(&l) {
		if slices.Contains([]string{"3 %", "48 %", "6 %", "20 %", "9 %"}, q.name) {
			for other, r := range labels {
				assert.True(t, r.Intersect(q.Rect).Empty(), "%s covers %s", q.name, other)
			}
			labels[q.name] = q.Rect
		}
	}
	for _, want := range []string{"48 %", "6 %", "20 %", "9 %"} {
		assert.Contains(t, labels, want)
	}
	assert.Greater(t, labels["48 %"].X, labels["6 %"].X, "the likeliest lies next to its place")
}
