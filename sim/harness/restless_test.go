package harness_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// buzzing returns a machine whose relay is about to begin to buzz.
func buzzing(t *testing.T) *harness.Machine {
	t.Helper()
	m, err := harness.NewMachine(sample.Buzzing())
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	operate(t, m, "switch", "on")
	return m
}

// TestBuzzing: a relay that breaks its own coil's supply has no steady state. In time it pulls in after 7 ms and lets go after
// 5 ms, again and again, and the lamp beside it gets the supply for 7 ms of 12.
func TestBuzzing(t *testing.T) {
	m, err := harness.NewMachine(sample.Buzzing())
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	require.Empty(t, m.Restless())
	operate(t, m, "switch", "on")
	err = m.Settle()
	require.ErrorIs(t, err, harness.ErrRestless)
	require.EqualError(t, err, `the circuit does not come to rest: "K1" keeps changing`)
	require.Equal(t, "K1", m.Restless())
	_, err = m.Hold(1)
	require.ErrorIs(t, err, harness.ErrRestless)

	m = buzzing(t)
	events, err := m.Run(1.2)
	require.NoError(t, err)
	require.Equal(t, "K1", m.Restless())
	clicks := 0
	for _, e := range events {
		if e.Component == "K1" {
			assert.True(t, e.Loud)
			clicks++
		}
	}
	assert.InDelta(t, 200, clicks, 2, "1.2 s at 12 ms, two clicks each")
	lamp := slices.IndexFunc(sample.Buzzing().Components, func(c harness.Component) bool { return c.Spec.Kind == "lamp" })
	assert.True(t, m.Moved()[lamp], "it came on")
	was := m.Snapshot()
	_, err = m.Run(0.5)
	require.NoError(t, err)
	assert.False(t, m.Moved()[lamp], "its filament is too slow for 12 ms")
	require.NoError(t, m.Restore(was))
	before := m.Snapshot()
	var mean, time, area float64
	require.NoError(t, m.Average(1.2, func(dt float64) {
		v := m.Volts("XL.1.b")
		mean += v * dt
		time += dt
		if v > 0 {
			area += v * dt
		}
	}))
	assert.InDelta(t, 1.2, time, 1e-9)
	assert.InDelta(t, 12.6*7/12, area/time, 0.1, "on for 7 ms of 12 at nearly the battery's 12.65 V")
	assert.Less(t, mean, area-0.2*time, "and below ground while the coil drives its current on through the lamp")
	require.NoError(t, m.Restore(before))
	require.NoError(t, m.Average(0, func(float64) { t.Fatal("no time passes") }))
	require.Equal(t, "K1", m.Restless())
	ok, seen, err := m.CheckPasses(0)
	require.NoError(t, err)
	assert.True(t, ok, "%v", seen)

	operate(t, m, "switch", "off")
	_, err = m.Run(1)
	require.NoError(t, err)
	require.Empty(t, m.Restless())
}

// TestRacing: moved together, both relays would change places for ever; one of them wins, always the same one.
func TestRacing(t *testing.T) {
	in := func(m *harness.Machine) []string {
		require.NoError(t, m.Settle())
		var all []string
		for _, k := range []string{"K1", "K2"} {
			if m.Device(k).(*device.Relay).PulledIn() {
				all = append(all, k)
			}
		}
		return all
	}
	first := ""
	for range 3 {
		m, err := harness.NewMachine(sample.Racing())
		require.NoError(t, err)
		operate(t, m, "switch", "on")
		won := in(m)
		require.Len(t, won, 1)
		if first == "" {
			first = won[0]
		}
		require.Equal(t, first, won[0])
		require.NoError(t, m.Unplug("X"+won[0]))
		require.Empty(t, in(m), "without the one, nothing feeds the other")
	}
}

// TestInrush: with 2 Ω in the supply the relay holds once the lamps are warm, but cold they pull the supply down to a volt and it
// lets go, again and again, so the lamps never warm. A slow observer must find that too.
func TestInrush(t *testing.T) {
	weak := []harness.Alteration{series("ground G0", 2)}
	fresh := func() *harness.Machine {
		m := newTractor(t)
		require.NoError(t, m.Settle())
		return m
	}
	m := fresh()
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	require.NoError(t, m.Alter(weak))
	_, err := m.Hold(5)
	require.NoError(t, err)
	assert.Equal(t, "faint", m.EffectOf("LL").Word, "warm already when the joint went bad: the relay stays in")

	for name, wait := range map[string]func(m *harness.Machine) error{
		"Run":   func(m *harness.Machine) error { _, err := m.Run(5); return err },
		"Dwell": func(m *harness.Machine) error { return m.Dwell(5) },
	} {
		m := fresh()
		require.NoError(t, m.Alter(weak))
		operate(t, m, "key", "on", "lamps", "on")
		require.NoError(t, wait(m), name)
		assert.Equal(t, "K1", m.Restless(), name)
		assert.Equal(t, "off", m.EffectOf("LL").Word, name)
		operate(t, m, "lamps", "off")
		require.NoError(t, wait(m), name)
		assert.Empty(t, m.Restless(), name)
	}

	m = fresh()
	require.NoError(t, m.Alter(weak))
	operate(t, m, "key", "on", "lamps", "on")
	_, err = m.Quiet()
	require.ErrorIs(t, err, harness.ErrRestless)
	m = fresh()
	operate(t, m, "key", "on", "lamps", "on")
	quiet, err := m.Quiet()
	require.NoError(t, err)
	assert.Greater(t, quiet, 60.0, "only the battery's charge moves")
}

// A breaker that opens and closes for ever is followed so far and no further, and what Hold leaves is settled all the same.
func TestHoldEndsWithABreakerThatCycles(t *testing.T) {
	m, err := harness.NewMachine(sample.Cycling())
	require.NoError(t, err)
	events, err := m.Hold(1e7)
	require.NoError(t, err)
	assert.Greater(t, len(events), 1000)
	assert.Less(t, len(events), 1100)
	left := volts(m)
	require.NoError(t, m.Settle())
	assert.Equal(t, left, volts(m), "it was settled")
}

// A run that is to end once enough has happened ends there, is restless then if it was, and goes on from there as the whole run would have.
func TestRunUntil(t *testing.T) {
	whole := buzzing(t)
	all, err := whole.Run(1.2)
	require.NoError(t, err)

	m, seen := buzzing(t), 0
	first, passed, err := m.RunUntil(1.2, func(more []harness.Event) bool {
		require.NotEmpty(t, more)
		seen += len(more)
		return seen >= 20
	})
	require.NoError(t, err)
	assert.Equal(t, "K1", m.Restless())
	assert.InDelta(t, 10*0.012, passed, 0.02, "ten cycles")
	assert.GreaterOrEqual(t, len(first), 20)
	rest, err := m.Run(1.2 - passed)
	require.NoError(t, err)
	clicks := func(list []harness.Event) (at []float64) {
		for _, e := range list {
			if e.Loud {
				at = append(at, e.Seconds)
			}
		}
		return at
	}
	var both []float64
	both = append(both, clicks(first)...)
	for _, s := range clicks(rest) {
		both = append(both, passed+s)
	}
	assert.InDeltaSlice(t, clicks(all), both, 1e-4)

	events, passed, err := buzzing(t).RunUntil(1.2, func([]harness.Event) bool { return false })
	require.NoError(t, err)
	assert.Equal(t, 1.2, passed)
	assert.Equal(t, all, events)
}

// What repeats itself is not gone through to the end of a long wait, and the circuit comes to the same as if it were; what still changes
// with it, such as an element that warms, is waited for.
func TestRunOn(t *testing.T) {
	for _, seconds := range []float64{0.05, 7, 300} {
		begin := func() (*harness.Machine, *int) {
			m, solved := buzzing(t), 0
			m.Observe(func() { solved++ })
			return m, &solved
		}
		whole, all := begin()
		_, err := whole.Run(seconds)
		require.NoError(t, err)
		m, some := begin()
		events, err := m.RunOn(seconds)
		require.NoError(t, err)
		assert.Equal(t, whole.Restless(), m.Restless())
		assert.InDeltaSlice(t, whole.Charges(), m.Charges(), 1e-7)
		if seconds > 100 {
			assert.Less(t, 20**some, *all)
			assert.Greater(t, len(events), 20)
		}
		for _, c := range sample.Buzzing().Components {
			if l, ok := m.Device(c.ID).(*device.Lamp); ok {
				other := whole.Device(c.ID).(*device.Lamp)
				assert.InDelta(t, other.Kelvin(), l.Kelvin(), 25, "its filament lags behind the buzzing by little, whatever the moment")
			}
		}
		// Then it stops, as from any moment of it.
		for _, x := range []*harness.Machine{whole, m} {
			operate(t, x, "switch", "off")
			_, err = x.Run(5)
			require.NoError(t, err)
			assert.Empty(t, x.Restless())
		}
		assert.InDeltaSlice(t, whole.Charges(), m.Charges(), 1e-7)
	}
}
