package harness_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// What a slow observer finds of a wiper is what is there after half a minute, with every fault that it can have, after each change of
// its switch: the same word, and the same voltages at all points, to what a shorted battery sags in that time.
func TestWiperSameAtOnceAndInTime(t *testing.T) {
	h := sample.Wiper()
	book := fault.NewBook(h)
	entries := append([]fault.Entry{{}}, book.Catalogue()...)
	seen := map[string]int{}
	for _, e := range entries {
		if e.Fault.String() == "wire 6 short-to-wire 7 0.05 ohm" {
			continue // the fuse and the crank that leaves the grounded park contact run a race, which depends on how fast it starts
		}
		slow, quick := fresh(t, h), fresh(t, h)
		if e.Fault.Place != "" {
			all, err := book.Alterations(e.Fault)
			require.NoError(t, err)
			require.NoError(t, slow.Alter(all))
			require.NoError(t, quick.Alter(all))
		}
		for _, position := range []string{"slow", "off", "fast", "off"} {
			for _, m := range []*harness.Machine{slow, quick} {
				require.NoError(t, m.Operate("wiper", position))
			}
			_, err := slow.Run(30)
			require.NoError(t, err)
			_, err = quick.Hold(30)
			require.NoError(t, err, "%s, %s", e.Fault, position)
			want := quick.EffectOf("M").Word
			seen[want]++
			assert.Empty(t, slow.Restless(), "%s, %s", e.Fault, position)
			if !assert.Equal(t, want, slow.EffectOf("M").Word, "%s, %s", e.Fault, position) {
				continue
			}
			for _, p := range h.Points() {
				assert.InDelta(t, quick.Volts(p), slow.Volts(p), 0.02, "%s, %s: %s", e.Fault, position, p)
			}
		}
	}
	t.Log(len(entries), "faults:", seen)
}

// fresh is the machine of a harness, settled.
func fresh(t *testing.T, h *harness.Harness) *harness.Machine {
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	return m
}
