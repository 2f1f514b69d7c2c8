package attempt_test

import (
	"math/rand/v2"
	"testing"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is said to turn back at once does: all stands as it did when it has been turned over and the circuit has settled.
func TestWhatRevertsTurnsBack(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	reverted, stayed := 0, 0
	for _, id := range []string{"qs9-01-nothing-moves", "pp6-05-nervous", "wl4-06-twelve-volts-there"} {
		ex := shipped(t, id)
		catalogue := fault.Catalogue(ex.Harness)
		m, err := attempt.NewModel(ex)
		require.NoError(t, err)
		for range 60 {
			require.NoError(t, m.Suppose(catalogue[random.IntN(len(catalogue))].Fault))
			machine := m.Machine()
			for _, c := range ex.Harness.Controls {
				if len(c.Stands) == 0 {
					require.NoError(t, machine.Turn(c.ID, c.Positions[random.IntN(len(c.Positions))]))
				}
			}
			if machine.Settle() != nil {
				continue // this one has no rest
			}
			d := machine.Device("M1").(device.Reverting)
			was := d.Stands()
			for part := range d.Parts() {
				if !d.Reverts(machine.Solver(), part) {
					stayed++
					continue
				}
				reverted++
				d.Turn(part)
				require.NoError(t, machine.Settle())
				require.Equal(t, was, d.Stands(), "%s, part %d", id, part)
			}
		}
	}
	assert.NotZero(t, reverted)
	assert.NotZero(t, stayed)
}

// A timer that has run out is forgotten: the dial light goes out two seconds after the key, and then there is one way in which all can stand.
func TestTimersRunOutInTheModel(t *testing.T) {
	ex := shipped(t, "pp6-05-nervous")
	ex.Faults = nil
	a, err := attempt.Start(ex, nowhere{})
	require.NoError(t, err)
	m, err := attempt.NewModel(ex)
	require.NoError(t, err)
	require.NoError(t, m.Suppose())
	words := map[string]string{}
	for _, act := range []attempt.Action{attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "KEY", Position: "off"}, attempt.Wait{Seconds: 1}, attempt.Wait{Seconds: 1}} {
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused)
		for id, word := range obs.Effects {
			words[id] = word
		}
		s, err := m.Take(a.Records()[len(a.Records())-1])
		require.NoError(t, err)
		for i, c := range ex.Harness.Components {
			if c.ID == "DL" {
				assert.Equal(t, words["DL"], s.Effects[i].Word, "%v", act)
			}
		}
		if op, ok := act.(attempt.Operate); ok && op.Position == "off" {
			assert.Equal(t, "lit", words["DL"], "it has not been told to go out for two seconds yet")
		}
	}
	assert.Equal(t, "off", words["DL"])
	one, err := m.OneWay()
	require.NoError(t, err)
	assert.True(t, one)
}

// What a short takes out of a battery is counted as it is through time, and is not taken to be off by much.
func TestModelCountsWhatDrainsTheBattery(t *testing.T) {
	ex := shipped(t, "qs9-01-nothing-moves")
	for text, drains := range map[string]bool{"wire 31a short-to-supply 0.02 ohm": true, "component WL open": false} {
		f, err := fault.Parse(text)
		require.NoError(t, err)
		var left [2]float64
		for k := range left {
			m, err := attempt.NewModel(ex)
			require.NoError(t, err)
			m.Exact(k == 1)
			require.NoError(t, m.Suppose(f))
			s, err := m.Take(attempt.Record{Action: attempt.Wait{Seconds: 60}, Observation: attempt.Observation{Ticks: 6000}})
			require.NoError(t, err)
			assert.False(t, s.Drained, text)
			left[k] = s.Charges[0]
		}
		assert.Equal(t, drains, left[1] < 0.97, text)
		assert.InEpsilon(t, 1+(1-left[1]), 1+(1-left[0]), 1e-3, text)
	}
}
