package fault_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestEveryEntry puts every fault of the catalogue in, goes through the whole check and looks at every point.
func TestEveryEntry(t *testing.T) {
	h := sample.Tractor()
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	healthy := m.Snapshot()
	points := h.Points()
	book := fault.NewBook(h)
	seen := map[string]bool{}
	for _, e := range book.Catalogue() {
		text := e.Fault.String()
		require.False(t, seen[text], "%s is there twice", text)
		seen[text] = true
		parsed, err := fault.Parse(text)
		require.NoError(t, err)
		require.Equal(t, e.Fault, parsed)
		list, err := book.Alterations(e.Fault)
		require.NoError(t, err)
		require.NoError(t, m.Restore(healthy))
		require.NoError(t, m.Alter(list), text)
		_, err = m.RunCheck()
		require.NoError(t, err, text)
		for _, p := range points {
			assert.False(t, math.IsNaN(m.Volts(p)) || math.Abs(m.Volts(p)) > 20, "%s: %g V at %s", text, m.Volts(p), p)
		}
		assert.True(t, book.Mends(e.Repair, e.Fault), text)
		assert.True(t, book.CanRepair(e.Repair), "%s: %s", text, e.Repair)
		assert.True(t, book.SameCause(e.Fault, e.Fault), text)
		assert.Positive(t, e.Likelihood, text)
		t.Logf("%-45s %-30s %.2f %v %s", text, e.Repair, e.Likelihood, e.Visible, e.Title)
	}
}
