package attempt_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// parked is the sample tractor with a control by which it stands for three days, or for a night on the charger.
func parked(t testing.TB, faults ...string) attempt.Exercise {
	t.Helper()
	h := sample.Tractor()
	h.Controls = append(h.Controls, harness.Control{ID: "time", Title: "Time", Positions: []string{"now", "later", "charged"},
		Stands: []harness.Stand{{Position: "later", Seconds: 3 * 86400}, {Position: "charged", Seconds: 43200, Charged: true}}})
	return exerciseOn(t, h, faults...)
}

// TestModelsStandAlike: with whatever fault, the model that goes through time and the one that goes from one steady state to the next have the same
// charge after three days, and both show what the attempt shows; after a night on the charger it is forgotten.
func TestModelsStandAlike(t *testing.T) {
	for _, c := range []struct {
		fault string
		flat  bool // the battery has lost more than a tenth
	}{
		{"wire 26 open", false},
		{"wire 20 added-load 60 ohm", true},
		{"component K1 contact-welded", true},
		{"wire 11 short-to-ground 40 ohm", true},
		{"component BAT weak 0.3 ohm", false},
	} {
		t.Run(c.fault, func(t *testing.T) {
			ex := parked(t, c.fault)
			a, log := start(t, ex)
			var models [2]*attempt.Model
			for k := range models {
				m, err := attempt.NewModel(ex)
				require.NoError(t, err)
				m.Exact(k == 1)
				require.NoError(t, m.Suppose(ex.Faults...))
				models[k] = m
			}
			take := func(act attempt.Action) (obs attempt.Observation, s [2]*attempt.Sight) {
				obs = do(t, a, act)
				rec := a.Records()[len(a.Records())-1]
				for k, m := range models {
					var err error
					s[k], err = m.Take(rec)
					require.NoError(t, err)
					assert.Equal(t, obs.Events != nil && hasClick(obs), anyOf(s[k].Clicked), "%v", act)
				}
				return obs, s
			}
			for _, act := range []attempt.Action{dial(meter.Volts), black("BAT.31"), red("BAT.30"), operate("key", "on"), operate("lamps", "on"),
				operate("lamps", "off"), operate("key", "off")} {
				take(act)
			}
			before := a.Records()[len(a.Records())-1].Observation.Ticks
			obs, s := take(operate("time", "later"))
			assert.Equal(t, int64(60/attempt.Tick), obs.Ticks-before, "a minute of the bench")
			require.Len(t, s[0].Charges, 1)
			assert.InDelta(t, s[1].Charges[0], s[0].Charges[0], device.ChargeGrain)
			assert.Equal(t, c.flat, s[0].Charges[0] < 0.9, "%g", s[0].Charges)
			assert.InDelta(t, obs.Displays[meter.Multimeter].Value, s[0].Meter, 0.08)
			for _, act := range []attempt.Action{operate("time", "now"), operate("key", "on"), operate("lamps", "on")} {
				obs, s = take(act)
			}
			assert.InDelta(t, obs.Displays[meter.Multimeter].Value, s[0].Meter, 0.08)
			sure, err := models[0].OneWay()
			require.NoError(t, err)
			assert.True(t, sure)
			take(operate("lamps", "off"))
			take(operate("key", "off"))
			_, s = take(operate("time", "charged"))
			assert.InDelta(t, 1, s[0].Charges[0], 1e-3)
			assert.False(t, s[0].Adrift)

			again, err := attempt.Replay(ex, &log.Buffer)
			require.NoError(t, err)
			assert.Equal(t, a.Records(), again)
		})
	}
}

func hasClick(obs attempt.Observation) bool {
	n := 0
	for _, e := range obs.Events {
		switch e.What {
		case attempt.EventClickIn:
			n++
		case attempt.EventClickOut:
			n--
		}
	}
	return n != 0
}

func anyOf(flags []bool) bool {
	for _, on := range flags {
		if on {
			return true
		}
	}
	return false
}

// TestLeftInDoubt: what was drawn through a fuse that carries too much all the while, and opens sooner or later, is not sure, and no candidate is ruled out by it but by
// one that goes through time.
func TestLeftInDoubt(t *testing.T) {
	ex := parked(t, "wire 20 added-load 0.72 ohm")
	m, err := attempt.NewModel(ex)
	require.NoError(t, err)
	require.NoError(t, m.Suppose(ex.Faults...))
	s, err := m.Take(attempt.Record{Ticks: 6000, Action: operate("time", "later"), Observation: attempt.Observation{Ticks: 12000}})
	require.NoError(t, err)
	assert.True(t, s.Adrift, "when it opened depends on how warm it was")
}
