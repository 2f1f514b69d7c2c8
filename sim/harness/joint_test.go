package harness_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// joints reads testdata/harness/ground_connector.csv: item to column to cell.
func joints(t *testing.T) map[string]map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/harness/ground_connector.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	all := map[string]map[string]string{}
	for _, r := range rows[1:] {
		all[r[0]] = map[string]string{}
		for i, name := range rows[0] {
			all[r[0]][name] = r[i]
		}
	}
	return all
}

// TestJointsAgainstPublishedFigures measures good joints as a technician would, by the drop over them and the current through them,
// with both lamps burning, and holds them against the limits and ranges of the table, of which each row names its source.
func TestJointsAgainstPublishedFigures(t *testing.T) {
	table := joints(t)
	number := func(item, column string) float64 {
		require.Contains(t, table, item)
		x, err := strconv.ParseFloat(table[item][column], 64)
		require.NoError(t, err, "%s, %s", item, column)
		return x
	}
	m := newTractor(t)
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	ohms := func(limb, a, b string) float64 {
		amps := m.LimbAmps(harness.Limb(limb))
		require.Greater(t, math.Abs(amps), 1.0, limb)
		return m.VoltsBetween(harness.Point(a), harness.Point(b)) / amps
	}
	// Wire 28 ends in a splice and a crimp, wire 29 in a crimp and the crimp of its ring; the copper between is IEC 60028's.
	copper := func(metres, mm2 float64) float64 { return device.CopperOhms(metres, mm2, 20) }
	crimp := (ohms("wire 29", "X2.2.a", "G1.29") - copper(0.5, 2.5)) / 2
	splice := ohms("wire 28", "S4", "X2.2.b") - copper(2, 2.5) - crimp
	small, large := ohms("cavity X2.1", "X2.1.a", "X2.1.b"), ohms("cavity XF1.1", "XF1.1.a", "XF1.1.b")
	ring := ohms("ring G1.29", "G1.29", "G1")
	ground := ring + ohms("ground G1", "G1", string(harness.Body))
	t.Logf("crimp %.3g, splice %.3g, contact %.3g and %.3g, ring %.3g, ground joint %.3g Ω", crimp, splice, small, large, ring, ground)

	for name, x := range map[string]float64{"crimp": crimp, "splice": splice} {
		assert.GreaterOrEqual(t, x, number("good crimp", "least"), name)
		assert.LessOrEqual(t, x, number("good crimp", "most"), name)
	}
	// A part in a billion, for both are differences of drops.
	const exact = 1e-9
	assert.LessOrEqual(t, small, number("2.8 mm terminal", "limit")+exact)
	assert.LessOrEqual(t, large, number("6.3 mm terminal", "limit")+exact)
	assert.GreaterOrEqual(t, small, number("good mated small terminal pair", "least"))
	assert.LessOrEqual(t, small, number("good mated small terminal pair", "most"))
	for _, item := range []string{"each joint of a bonding jumper", "equipment case to structure", "class R bond"} {
		assert.LessOrEqual(t, ground, number(item, "limit"), item)
	}
	assert.InDelta(t, number("good ground stud joint", "limit"), ground, exact)

	// The corroded joint that is seen: a twelfth of the voltage gone, more than a fifth of the light (the exponent of the Standard
	// Handbook for Electrical Engineers is 3.51, so (1 - 1.38/12.2)^3.51 = 0.66 is to be expected of 4.6 A).
	before := m.EffectOf("LL").Level
	require.NoError(t, m.Alter([]harness.Alteration{series("cavity XLL.1", number("corroded joint that dims a 5 A lamp visibly", "limit"))}))
	require.NoError(t, m.Settle())
	assert.InDelta(t, 0.66, m.EffectOf("LL").Level/before, 0.05)
	assert.Greater(t, m.EffectOf("LR").Level, before, "and the other lamp a little brighter than it was")
}

// What hangs between two wires that nothing joins is far above the least insulation that is taught.
func TestInsulationAgainstPublishedFigure(t *testing.T) {
	least, err := strconv.ParseFloat(joints(t)["insulation, wire to wire, dry"]["limit"], 64)
	require.NoError(t, err)
	m := newTractor(t)
	for _, c := range []string{"XLL", "XLR", "XTT", "XH1", "XK1", "X2"} {
		require.NoError(t, m.Unplug(c))
	}
	require.NoError(t, m.Settle())
	_, ohms := m.Thevenin("X2.1.b", "X2.2.b")
	assert.GreaterOrEqual(t, ohms, least, "the two wires of the boom with nothing at either end")
}
