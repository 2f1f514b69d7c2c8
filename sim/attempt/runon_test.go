package attempt_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"faultloom/scenarios"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chatters are kinds of fault that make something come and go more often than others do: what hinders a current.
var chatters = [...]fault.Kind{"high-resistance", "corroded", "spread", "element-cracked"}

// Whatever comes and goes on and on in the shipped vehicles, with any fault: not gone through to the end of a long wait, it takes as much from the
// batteries and warms as much, opens the same fuses and leaves the same behind.
func TestRunOnInVehicles(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(12, 12))
	wanted, seconds := 4, 60.0
	if os.Getenv("FAULTLOOM_FULL") == "1" {
		wanted, seconds = 60, 300
	}
	found, solved := 0, [2]int{}
	for tries := 0; found < wanted && tries < 500*wanted; tries++ {
		h := lib.Exercises[random.IntN(len(lib.Exercises))].Exercise.Harness
		entries := fault.NewBook(h).Catalogue()
		f := entries[random.IntN(len(entries))].Fault
		if !slices.Contains(chatters[:], f.Kind) {
			continue
		}
		f.Severity = math.Pow(10, 2*random.Float64())
		line := h.Check[random.IntN(len(h.Check))]
		begin := func() *harness.Machine {
			m, err := harness.NewMachine(h)
			require.NoError(t, err)
			list, err := fault.NewBook(h).Alterations(f)
			require.NoError(t, err)
			require.NoError(t, m.Alter(list))
			for _, s := range line.Set {
				require.NoError(t, m.Operate(s.Control, s.Position))
			}
			return m
		}
		m := begin()
		if events, err := m.Run(2); err != nil || len(events) < 40 {
			continue
		}
		found++
		var both [2]*harness.Machine
		for k := range both {
			m := begin()
			m.Observe(func() { solved[k]++ })
			run := m.Run
			if k == 1 {
				run = m.RunOn
			}
			_, err := run(seconds)
			require.NoError(t, err)
			both[k] = m
		}
		assert.InDeltaSlice(t, both[0].Charges(), both[1].Charges(), 1e-5, "%s: %s", h.ID, f)
		assert.Equal(t, both[0].Restless(), both[1].Restless(), "%s: %s", h.ID, f)
		for _, c := range h.Components {
			a, warms := both[0].Device(c.ID).(device.Warming)
			if warms {
				b := both[1].Device(c.ID).(device.Warming)
				assert.Less(t, device.Spread(a, a.Heat(), b.Heat()), 0.01, "%s: %s: heat of %s", h.ID, f, c.ID)
			}
			if a, ok := both[0].Device(c.ID).(*device.Fuse); ok {
				assert.Equal(t, a.Blown(), both[1].Device(c.ID).(*device.Fuse).Blown(), "%s: %s: %s", h.ID, f, c.ID)
			}
		}
		for _, m := range both {
			m.Rest()
			_, err := m.Run(20)
			require.NoError(t, err)
		}
		for id, e := range both[0].Effects() {
			assert.Equal(t, e.Word, both[1].Effects()[id].Word, "%s: %s: %s", h.ID, f, id)
		}
		if t.Failed() {
			return
		}
	}
	require.Equal(t, wanted, found)
	assert.Less(t, 2*solved[1], solved[0], "most repeat themselves")
	t.Logf("%d, solutions %v", found, solved)
}
