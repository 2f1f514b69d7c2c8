package harness_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// What a slow observer finds is what is there after half a minute, with every fault that a harness can have, after each change of its
// control: the same words, and the same voltages at all points, to what a shorted battery sags in that time.
func TestSameAtOnceAndInTime(t *testing.T) {
	for _, c := range []struct {
		h         *harness.Harness
		control   string
		positions []string
		watch     []string
		race      string // a fault by which a fuse and the crank that leaves the grounded park contact run a race
	}{
		{sample.Wiper(), "wiper", []string{"slow", "off", "fast", "off"}, []string{"M"}, "wire 6 short-to-wire 7 0.05 ohm"},
		{sample.Bus(), "", []string{""}, []string{"N0", "N1", "N2"}, ""},
	} {
		t.Run(c.h.ID, func(t *testing.T) {
			book := fault.NewBook(c.h)
			entries := append([]fault.Entry{{}}, book.Catalogue()...)
			seen := map[string]int{}
			for _, e := range entries {
				if c.race != "" && e.Fault.String() == c.race {
					continue
				}
				slow, quick := fresh(t, c.h), fresh(t, c.h)
				if e.Fault.Place != "" {
					all, err := book.Alterations(e.Fault)
					require.NoError(t, err)
					require.NoError(t, slow.Alter(all))
					require.NoError(t, quick.Alter(all))
				}
				for _, position := range c.positions {
					for _, m := range []*harness.Machine{slow, quick} {
						if position != "" {
							require.NoError(t, m.Operate(c.control, position))
						}
					}
					_, err := slow.Run(30)
					require.NoError(t, err)
					_, err = quick.Hold(30)
					require.NoError(t, err, "%s, %s", e.Fault, position)
					assert.Empty(t, slow.Restless(), "%s, %s", e.Fault, position)
					same := true
					for _, id := range c.watch {
						want := quick.EffectOf(id).Word
						seen[want]++
						same = assert.Equal(t, want, slow.EffectOf(id).Word, "%s, %s: %s", e.Fault, position, id) && same
					}
					if !same {
						continue
					}
					for _, p := range c.h.Points() {
						assert.InDelta(t, quick.Volts(p), slow.Volts(p), 0.02, "%s, %s: %s", e.Fault, position, p)
					}
				}
			}
			t.Log(len(entries), "faults:", seen)
		})
	}
}

// fresh is the machine of a harness, settled.
func fresh(t *testing.T, h *harness.Harness) *harness.Machine {
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	return m
}
