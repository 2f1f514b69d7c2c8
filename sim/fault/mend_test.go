package fault_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestEveryRepair puts every fault in, uses the vehicle so that the fault does its harm, makes the usual repair, fits new fuses for
// blown ones and lamps for broken ones, and finds the whole check good.
func TestEveryRepair(t *testing.T) {
	for name, h := range map[string]*harness.Harness{"tractor": sample.Tractor(), "many": sample.Many(4)} {
		m, err := harness.NewMachine(h)
		require.NoError(t, err)
		healthy := m.Snapshot()
		b := fault.NewBook(h)
		shown, steady := 0, 0
		entries := b.Catalogue()
		for _, e := range entries {
			text := e.Fault.String()
			require.NoError(t, m.Restore(healthy))
			list, err := b.Alterations(e.Fault)
			require.NoError(t, err)
			require.NoError(t, m.Alter(list))
			if !good(t, m) {
				shown++
			}
			if harness.When(list[0]) == harness.Always {
				steady++
			}
			use(t, m)
			repair(t, m, b, e)
			require.True(t, good(t, m), "%s, %s: after %s", name, text, e.Repair)
		}
		t.Logf("%s: %d of %d faults show in the check, of which %d are always there", name, shown, len(entries), steady)
		// Most of what can go wrong goes wrong where it matters. What does not show is what does no harm until something else
		// happens: a fuse too large, a short that only ever joins what is joined, moisture; and neither vehicle is shaken or hot in its check.
		assert.Greater(t, shown, steady/2)
	}
}

func good(t *testing.T, m *harness.Machine) bool {
	lines, err := m.RunCheck()
	require.NoError(t, err)
	for _, seen := range lines {
		for _, s := range seen {
			if !s.Ok() {
				return false
			}
		}
	}
	return true
}

// use switches everything on for a minute and off again.
func use(t *testing.T, m *harness.Machine) {
	for _, c := range m.Harness().Controls {
		require.NoError(t, m.Operate(c.ID, c.Positions[1]))
	}
	require.NoError(t, m.Dwell(60))
	m.Rest()
	require.NoError(t, m.Dwell(1))
}

func repair(t *testing.T, m *harness.Machine, b *fault.Book, e fault.Entry) {
	require.True(t, b.Mends(e.Repair, e.Fault))
	require.NoError(t, m.Alter(nil))
	for _, c := range m.Harness().Connectors {
		if f := m.Fuse(c.ID); f != nil && (f.Blown() || e.Repair == fault.FitFuse(c.Component)) {
			require.NoError(t, m.FitFuse(c.ID, f.Fitted()))
		}
	}
	for _, c := range m.Harness().Components {
		lamp, _ := m.Device(c.ID).(*device.Lamp)
		if c.ID == e.Repair.Component() && m.Fuse(c.ID) == nil || lamp != nil && lamp.Broken() {
			require.NoError(t, m.Replace(c.ID))
		}
	}
	require.NoError(t, m.Settle())
}

// slow is long enough for the slowest that is found here: filaments behind some ohms, which warm each other up for ten seconds.
const slow = 30

// TestSlowAndFast: what Dwell says a person would see, Run finds when it follows every filament and contact. They may differ only
// where inrush decides, which no fault of the catalogue's typical severities makes happen here.
func TestSlowAndFast(t *testing.T) {
	h := sample.Tractor()
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	healthy := m.Snapshot()
	b := fault.NewBook(h)
	for i, e := range b.Catalogue() {
		if testing.Short() && i%5 != 0 {
			continue
		}
		list, err := b.Alterations(e.Fault)
		require.NoError(t, err)
		for _, settings := range [][3]string{{"on", "on", "released"}, {"on", "off", "pressed"}} {
			var found [2]map[string]string
			for way := range found {
				require.NoError(t, m.Restore(healthy))
				require.NoError(t, m.Alter(list))
				for k, c := range h.Controls {
					require.NoError(t, m.Operate(c.ID, settings[k]))
				}
				if way == 0 {
					require.NoError(t, m.Dwell(slow))
				} else {
					_, err := m.Run(slow)
					require.NoError(t, err)
				}
				found[way] = map[string]string{"restless": m.Restless()}
				for id, e := range m.Effects() {
					found[way][id] = e.Word
				}
			}
			assert.Equal(t, found[0], found[1], "%s %v", e.Fault, settings)
		}
	}
}

// TestPreparedAgrees: with room for bridges every fault gives the voltages that it gives compiled in.
func TestPreparedAgrees(t *testing.T) {
	h := sample.Tractor()
	plain, err := harness.NewMachine(h)
	require.NoError(t, err)
	prepared, err := plain.Clone()
	require.NoError(t, err)
	require.NoError(t, prepared.Prepare())
	b := fault.NewBook(h)
	starts := map[*harness.Machine]*harness.Snapshot{plain: plain.Snapshot(), prepared: prepared.Snapshot()}
	for _, e := range b.Catalogue() {
		list, err := b.Alterations(e.Fault)
		require.NoError(t, err)
		for _, m := range []*harness.Machine{plain, prepared} {
			require.NoError(t, m.Restore(starts[m]))
			require.NoError(t, m.Alter(list))
			require.NoError(t, m.Operate("key", "on"))
			require.NoError(t, m.Operate("lamps", "on"))
			require.NoError(t, m.Dwell(1))
		}
		for _, p := range h.Points() {
			// A thousandth of the last digit of a good meter; a buzzing relay may be caught at another point of its swing only
			// if the two differ at all.
			if v, w := plain.Volts(p), prepared.Volts(p); math.Abs(v-w) > 1e-6 {
				require.Failf(t, "prepared differs", "%s: %g V and %g V at %s", e.Fault, v, w, p)
			}
		}
	}
}
