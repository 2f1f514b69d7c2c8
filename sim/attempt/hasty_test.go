package attempt_test

import (
	"testing"

	"faultloom/sim/attempt"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// buzzing is a model of a relay that breaks its own coil's supply once the switch is on; it returns what takes actions, three seconds each.
func buzzing(t *testing.T, exact, hasty bool) func(attempt.Action) attempt.Sight {
	t.Helper()
	m, err := attempt.NewModel(attempt.Exercise{ID: "buzzing", Title: "buzzing", Harness: sample.Buzzing(), Tools: meter.Tools(), Functions: meter.Functions()})
	require.NoError(t, err)
	m.Exact(exact)
	require.NoError(t, m.Suppose())
	m.Hasty(hasty)
	ticks := int64(0)
	return func(act attempt.Action) attempt.Sight {
		rec := attempt.Record{Ticks: ticks, Action: act, Observation: attempt.Observation{Ticks: ticks + 300}}
		ticks += 300
		s, err := m.Take(rec)
		require.NoError(t, err)
		return s.Clone()
	}
}

// A hasty model says of what comes and goes on and on what a patient one does, long before its time is over.
func TestHasty(t *testing.T) {
	on := attempt.Operate{Control: "switch", Position: "on"}
	take := buzzing(t, true, false)
	patient := take(on)
	take = buzzing(t, true, true)
	hasty := take(on)
	require.True(t, patient.Restless && patient.Swarms)
	assert.True(t, hasty.Restless && hasty.Swarms)
	assert.Equal(t, patient.Astir, hasty.Astir)
	assert.Less(t, 5*hasty.Stirs, patient.Stirs, "it has been cut short")
	take(attempt.Operate{Control: "switch", Position: "off"})
	off := take(attempt.Wait{Seconds: 3})
	assert.False(t, off.Restless || off.Swarms, "and goes on from there")
}

// What has no steady state has none until something changes.
func TestRestlessUntilChanged(t *testing.T) {
	take := buzzing(t, false, false)
	assert.False(t, take(attempt.Mark{Line: 0, Good: true}).Restless)
	for _, act := range []attempt.Action{attempt.Operate{Control: "switch", Position: "on"}, attempt.Mark{Line: 0}, attempt.Wait{Seconds: 3}, attempt.Inspect{Place: "K1"}} {
		s := take(act)
		assert.True(t, s.Restless, "%v", act)
		assert.Equal(t, attempt.ManyStirs, s.Stirs)
	}
	take(attempt.Operate{Control: "switch", Position: "off"})
	s := take(attempt.Wait{Seconds: 3})
	assert.False(t, s.Restless)
	assert.Zero(t, s.Stirs)
}
