package harness_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
)

// window is one row of the published operating times.
type window struct{ percent, least, most float64 }

// windows reads the operating times of blade fuses of 3 to 30 A, ISO 8820-3 (source and standing of each row in the file).
func windows(t *testing.T) []window {
	f, err := os.Open("../../testdata/device/blade_fuse.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	number := func(s string, absent float64) float64 {
		if s == "" {
			return absent
		}
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	var all []window
	for _, r := range rows {
		if r[0] == "operating_time" && r[2] == "3 to 30" {
			all = append(all, window{number(r[3], 0), number(r[4], 0), number(r[5], math.Inf(1))})
		}
	}
	require.Len(t, all, 6)
	return all
}

// between returns the bounds for a percentage between two published ones: no quicker than at the higher, no slower than at the lower.
func between(all []window, percent float64) (least, most float64) {
	most = math.Inf(1)
	for _, w := range all {
		if w.percent <= percent {
			most = w.most
		}
	}
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].percent >= percent {
			least = all[i].least
		}
	}
	return least, most
}

// TestShortBlowsFuse shorts the lamp wire behind X2 to the body through resistances that make some multiple of F1's rating, with
// the lamps on: F1 opens inside the published window, and a new one does the same.
func TestShortBlowsFuse(t *testing.T) {
	all := windows(t)
	for _, c := range []struct {
		name string
		ohms float64
		from float64 // percent of rating that flows at least
	}{
		{"twice", 0.65, 160}, {"three times", 0.35, 200}, {"hard", 0.01, 350},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newTractor(t)
			require.NoError(t, m.Settle())
			require.NoError(t, m.Alter([]harness.Alteration{harness.Bridge{A: "X2.1.b", B: harness.Body, Ohms: c.ohms}}))
			for range 2 {
				operate(t, m, "key", "on", "lamps", "on")
				// What flows once the lamps are warm, and by hand: the battery over the loop to the short.
				calm := m.Snapshot()
				require.NoError(t, m.Settle())
				percent := m.LimbAmps("cavity XF1.1") / 15 * 100
				require.NoError(t, m.Restore(calm))
				require.Greater(t, percent, c.from)
				events, err := m.Run(60)
				require.NoError(t, err)
				opened := -1.0
				for _, e := range events {
					if e.What == "fuse-opened" {
						require.Equal(t, "F1", e.Component, "the main fuse is to hold")
						opened = e.Seconds
						require.False(t, e.Loud)
					}
				}
				least, most := between(all, percent)
				assert.GreaterOrEqual(t, opened, least, "at %.0f %%", percent)
				assert.LessOrEqual(t, opened, most, "at %.0f %%", percent)
				t.Logf("%.0f %%: opened after %.3f s, window %g to %g s", percent, opened, least, most)
				require.True(t, m.Fuse("XF1").Blown())
				assert.Greater(t, m.Volts("XF1.1.b"), 12.0, "the supply side of the fuse is live")
				assert.InDelta(t, 0, m.Volts("XF1.2.b"), 1e-3, "the load side is dead")
				assert.Equal(t, "off", m.EffectOf("LL").Word)
				operate(t, m, "key", "off", "lamps", "off")
				require.NoError(t, m.Unplug("XF1"))
				require.NoError(t, m.FitFuse("XF1", 15))
				require.NoError(t, m.Plug("XF1"))
				require.False(t, m.Fuse("XF1").Blown())
				_, err = m.Run(1)
				require.NoError(t, err)
			}
		})
	}
}

// Held tells for how long at the end of a Hold nothing has changed: since the fuse opened, or since before it began.
func TestHeldSinceTheFuseOpened(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{harness.Bridge{A: "X2.1.b", B: harness.Body, Ohms: 0.35}}))
	operate(t, m, "key", "on", "lamps", "on")
	events, err := m.Hold(60)
	require.NoError(t, err)
	require.Len(t, events, 1)
	require.Equal(t, "fuse-opened", events[0].What)
	require.Greater(t, events[0].Seconds, 0.01)
	assert.InDelta(t, 60-events[0].Seconds, m.Held(), 1e-9)
	_, err = m.Hold(5)
	require.NoError(t, err)
	assert.InDelta(t, 5.0, m.Held(), 1e-9)
}

func TestWrongFuse(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{harness.WrongFuse{Connector: "XF1", Amps: 5}}))
	assert.Equal(t, 5.0, m.Fuse("XF1").Rating())
	lines, err := m.RunCheck()
	require.NoError(t, err)
	assert.Equal(t, "off", lines[2][0].Got, "9 A are 180 % of a 5 A fuse")
	assert.Equal(t, "off", lines[4][0].Got, "and it stays blown")
	assert.False(t, m.Fuse("XF1").Blown(), "the check leaves the machine as it was")
	operate(t, m, "key", "on", "lamps", "on")
	_, err = m.Run(60)
	require.NoError(t, err)
	assert.True(t, m.Fuse("XF1").Blown())
	require.NoError(t, m.FitFuse("XF1", 15))
	assert.Empty(t, m.Alterations())
	assert.Equal(t, 15.0, m.Fuse("XF1").Rating())
	_, err = m.Run(60)
	require.NoError(t, err)
	assert.Equal(t, "lit", m.EffectOf("LL").Word)

	require.NoError(t, m.Alter([]harness.Alteration{harness.WrongFuse{Connector: "XF1", Amps: 30}}))
	assert.Equal(t, 30.0, m.Fuse("XF1").Rating())
	require.NoError(t, m.Alter(nil))
	assert.Equal(t, 15.0, m.Fuse("XF1").Rating())
	assert.Nil(t, m.Fuse("X1"))
	assert.Nil(t, m.Fuse("nowhere"))
	require.ErrorContains(t, m.FitFuse("X1", 10), "holds no fuse")
	require.ErrorContains(t, m.FitFuse("XF1", -1), "got -1")
	require.ErrorContains(t, m.Alter([]harness.Alteration{harness.WrongFuse{Connector: "X1", Amps: 5}}), "holds no fuse")
}
