package fault_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestEveryEntry puts every fault of the catalogue in, goes through the whole check, and then looks at every point in each of
// the check's positions.
func TestEveryEntry(t *testing.T) {
	for name, h := range map[string]*harness.Harness{"tractor": sample.Tractor(), "many": sample.Many(4)} {
		t.Run(name, func(t *testing.T) { everyEntry(t, h) })
	}
}

func everyEntry(t *testing.T, h *harness.Harness) {
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	healthy := m.Snapshot()
	book := fault.NewBook(h)
	seen := map[string]bool{}
	d := newDrawing(h)
	for _, e := range book.Catalogue() {
		text := e.Fault.String()
		require.False(t, seen[text], "%s is there twice", text)
		seen[text] = true
		parsed, err := fault.Parse(text)
		require.NoError(t, err)
		require.Equal(t, e.Fault, parsed)
		require.NotEqual(t, text, e.Title, "it has a title")
		require.Equal(t, e.Title, book.Title(e.Fault))
		require.True(t, book.Mends(e.Repair, e.Fault), text)
		require.True(t, book.CanRepair(e.Repair), "%s: %s", text, e.Repair)
		require.True(t, book.SameCause(e.Fault, e.Fault), text)
		require.Positive(t, e.Likelihood, text)
		require.True(t, e.Low <= e.Fault.Severity && e.Fault.Severity <= e.High, text)
		// The ends of its interval are allowed as well as the typical value, and so is a finding without one.
		severities := []float64{e.Fault.Severity, e.Low, e.High}
		if testing.Short() {
			severities = severities[:1]
		}
		for _, severity := range severities {
			f := e.Fault
			f.Severity = severity
			list, err := book.Alterations(f)
			require.NoError(t, err)
			require.NoError(t, m.Restore(healthy))
			require.NoError(t, m.Alter(list), text)
			inAllPositions(t, m, d, list, f.String())
		}
	}
}

// inAllPositions solves a machine in the positions of every check line.
func inAllPositions(t *testing.T, m *harness.Machine, d drawing, list []harness.Alteration, about string) {
	_, err := m.RunCheck()
	require.NoError(t, err, about)
	for _, line := range m.Harness().Check {
		m.Rest()
		for _, s := range line.Set {
			require.NoError(t, m.Operate(s.Control, s.Position))
		}
		require.NoError(t, m.Dwell(1), about)
		for _, info := range d.infos {
			// No point is farther from the body than the battery is strong: nothing here makes voltage but the coil of a relay that buzzes.
			if v := m.Volts(info.Point); !(math.Abs(v) <= 12.66) && m.Restless() == "" {
				require.Failf(t, "voltage", "%s: %g V at %s", about, v, info.Point)
			}
		}
		kirchhoff(t, m, d, list, about)
	}
}

// TestOrderOfLikelihood: connectors and grounds before wires that flex, these before others, components last: in the mean over
// what each sort of place can suffer (common practice, no source).
func TestOrderOfLikelihood(t *testing.T) {
	h := sample.Tractor()
	flexing := map[string]bool{}
	for _, w := range h.Wires {
		flexing["wire "+w.ID] = w.Flexing
	}
	sum, count := map[string]float64{}, map[string]float64{}
	for _, e := range fault.Catalogue(h) {
		sort, _, _ := strings.Cut(e.Fault.Place, " ")
		switch {
		case e.Fault.Kind == fault.ShortToWire || e.Fault.Kind == fault.Leakage:
			continue // shared among neighbours, however many
		case flexing[e.Fault.Place]:
			sort = "flexing"
		}
		sum[sort] += e.Likelihood
		count[sort]++
	}
	mean := func(sort string) float64 { return sum[sort] / count[sort] }
	assert.Greater(t, mean("cavity"), mean("flexing"))
	assert.Greater(t, mean("ground"), mean("flexing"))
	assert.Greater(t, mean("flexing"), mean("wire"))
	assert.Greater(t, mean("crimp"), mean("wire"))
	assert.Greater(t, mean("wire"), mean("fuse"))
	assert.Equal(t, fault.Catalogue(h), fault.Catalogue(h), "the order is fixed")
}
