package harness_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// days is a time that a vehicle stands, in seconds.
const days = 86400.0

// standing is the tractor with a control by which it stands for three days, or a night on the charger.
func standing(t testing.TB) *harness.Machine {
	t.Helper()
	h := sample.Tractor()
	h.Controls = append(h.Controls, harness.Control{ID: "time", Title: "Time", Positions: []string{"now", "later", "charged"},
		Stands: []harness.Stand{{Position: "later", Seconds: 3 * days}, {Position: "charged", Seconds: days / 2, Charged: true}}})
	require.Empty(t, h.Validate())
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	return m
}

// TestStandingRunsTheBatteryDown holds what three days leave in a battery against dq/dt = -E(q)/(C·(R + r(q))), gone through in steps
// of a minute, with E and r as the battery's own comment states them.
func TestStandingRunsTheBatteryDown(t *testing.T) {
	for _, ohms := range []float64{20, 60, 500, 5e3} {
		m := standing(t)
		require.NoError(t, m.Alter([]harness.Alteration{harness.Bridge{A: "BAT.30", B: "BAT.31", Ohms: ohms}}))
		require.NoError(t, m.Operate("time", "later"))
		rest := []float64{11.89, 12.06, 12.24, 12.45, 12.65}
		q := 1.0
		for range int(3 * days / 60) {
			k := min(int(4*q), 3)
			e := rest[k] + (4*q-float64(k))*(rest[k+1]-rest[k])
			q = max(0, q-60*e/(70*3600*(ohms+0.01/(0.5+0.5*q))))
		}
		assert.InDelta(t, q, m.Charges()[0], 2*device.ChargeGrain, "%g ohm: between two grains the force is that of the first", ohms)
		assert.Equal(t, 3*days, m.Stood())
		require.NoError(t, m.Operate("time", "charged"))
		assert.Equal(t, []float64{1}, m.Charges())
		assert.Zero(t, m.Stood())
	}
}

// TestChargerDoesNotMend: a night on the charger makes a battery full that was left run down, and does nothing for one that holds no more.
func TestChargerDoesNotMend(t *testing.T) {
	volts := func(m *harness.Machine) float64 {
		require.NoError(t, m.Settle())
		return m.VoltsBetween("BAT.30", "BAT.31")
	}
	m := standing(t)
	full := volts(m)
	require.NoError(t, m.Alter([]harness.Alteration{harness.Spoil{Component: "BAT", Defect: "discharged", Severity: 10}}))
	low := volts(m)
	require.Less(t, low, full-0.5)
	require.NoError(t, m.Operate("time", "charged"))
	assert.InDelta(t, low, volts(m), 1e-9)
	require.NoError(t, m.Replace("BAT"))
	assert.InDelta(t, full, volts(m), 1e-9)
	require.NoError(t, m.Operate("time", "now"))
	operate(t, m, "key", "on", "lamps", "on", "time", "later", "lamps", "off", "key", "off")
	require.Less(t, volts(m), low)
	require.NoError(t, m.Operate("time", "charged"))
	assert.InDelta(t, full, volts(m), 1e-9, "it was only run down")
}

// TestChargerKeepsFull: on the charger a battery is full all the while, whatever drains it.
func TestChargerKeepsFull(t *testing.T) {
	m := standing(t)
	require.NoError(t, m.Alter([]harness.Alteration{harness.Bridge{A: "BAT.30", B: "BAT.31", Ohms: 5}}))
	looked := false
	look := func() error {
		looked = true
		assert.InDelta(t, 1, m.Charges()[0], 1e-3, "ten minutes of 2.5 A from 70 Ah would be 0.006")
		assert.InDelta(t, 12.65, m.VoltsBetween("BAT.30", "BAT.31"), 0.03)
		return nil
	}
	require.NoError(t, m.Stand(harness.Stand{Seconds: days, Charged: true}, look))
	assert.True(t, looked)
	assert.Equal(t, []float64{1}, m.Charges())
	require.NoError(t, m.Stand(harness.Stand{Seconds: days}, nil))
	assert.Less(t, m.Charges()[0], 0.5, "60 Ah without it")
}

// TestStandingHealthy loses next to nothing, and what is switched on runs the battery down: two lamps of 55 W and their tell-tale take 9 A.
func TestStandingHealthy(t *testing.T) {
	m := standing(t)
	require.NoError(t, m.Operate("time", "later"))
	assert.Greater(t, m.Charges()[0], 0.999)
	require.NoError(t, m.Operate("time", "now"))
	operate(t, m, "key", "on", "lamps", "on", "time", "later")
	assert.Less(t, m.Charges()[0], 0.001)
}

// TestStandingSavesItself: what a machine has stood for is part of its snapshot, and a check line with it leaves the machine as it was.
func TestStandingSavesItself(t *testing.T) {
	m := standing(t)
	require.NoError(t, m.Alter([]harness.Alteration{harness.Bridge{A: "BAT.30", B: "BAT.31", Ohms: 30}}))
	fresh := m.Snapshot()
	require.NoError(t, m.Operate("time", "later"))
	stood, charge := m.Snapshot(), m.Charges()[0]
	require.NoError(t, m.Restore(fresh))
	assert.Zero(t, m.Stood())
	assert.Equal(t, 1.0, m.Charges()[0])
	require.NoError(t, m.Restore(stood))
	assert.Equal(t, charge, m.Charges()[0])
	assert.Equal(t, 3*days, m.Stood())
}

// TestWhatNeverRestsStands lets a relay that breaks its own coil's supply buzz for three days: the battery goes down by what it draws in the
// mean, and no time is lost over it.
func TestWhatNeverRestsStands(t *testing.T) {
	h := sample.Buzzing()
	h.Controls = append(h.Controls, harness.Control{ID: "time", Title: "Time", Positions: []string{"now", "later"},
		Stands: []harness.Stand{{Position: "later", Seconds: 3 * days}}})
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Settle())
	operate(t, m, "switch", "on")
	_, err = m.Hold(1)
	require.ErrorIs(t, err, harness.ErrRestless)
	require.NoError(t, m.Operate("time", "later"))
	charge := m.Charges()[0]
	assert.Less(t, charge, 0.99)
	assert.False(t, math.IsNaN(charge))
}

// TestMoves: what goes to rest is moved first; and nothing is left on while the vehicle stands, whatever is wanted when it has.
func TestMoves(t *testing.T) {
	h := standing(t).Harness()
	rest := h.AtRest()
	moves := func(from, to map[int]string) (out []string) {
		at := [2][]string{append([]string(nil), rest...), append([]string(nil), rest...)}
		for k, m := range []map[int]string{from, to} {
			for i, p := range m {
				at[k][i] = p
			}
		}
		for _, s := range h.Moves(at[0], at[1]) {
			out = append(out, s.Control+" "+s.Position)
		}
		return out
	}
	key, lamps, horn, time := 0, 1, 2, len(rest)-1
	assert.Equal(t, []string{"lamps off", "key on"}, moves(map[int]string{lamps: "on"}, map[int]string{key: "on"}))
	assert.Equal(t, []string{"key off", "horn released", "time later", "key on"}, moves(map[int]string{key: "on", horn: "pressed"}, map[int]string{key: "on", time: "later"}))
	assert.Equal(t, []string{"lamps on"}, moves(map[int]string{key: "on", time: "later"}, map[int]string{key: "on", time: "later", lamps: "on"}))
	assert.Equal(t, []string{"time now"}, moves(map[int]string{key: "on", time: "later"}, map[int]string{key: "on"}))
}

func TestStandsAreChecked(t *testing.T) {
	for text, s := range map[string]harness.Stand{
		`there is no position "next year"`: {Position: "next year", Seconds: days},
		`is the one at rest`:               {Position: "now", Seconds: days},
		`from 600 to 2.592e+06 s (got 5)`:  {Position: "later", Seconds: 5},
	} {
		h := sample.Tractor()
		h.Controls = append(h.Controls, harness.Control{ID: "time", Title: "Time", Positions: []string{"now", "later"}, Stands: []harness.Stand{s}})
		errs := h.Validate()
		require.NotEmpty(t, errs)
		assert.ErrorContains(t, errs[0], text)
	}
}
