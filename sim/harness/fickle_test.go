package harness_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// broken is an open that comes and goes.
func broken(limb string, when harness.Condition) harness.SeriesOhms {
	return harness.SeriesOhms{Where: harness.Limb(limb), Ohms: harness.Broken, When: when}
}

// rough is the tractor with two controls more: one shakes it, one makes it hot.
func rough(t testing.TB) *harness.Machine {
	t.Helper()
	h := sample.Tractor()
	h.Controls = append(h.Controls,
		harness.Control{ID: "ride", Title: "Ride", Positions: []string{"still", "shaking"}, Shakes: []string{"shaking"}},
		harness.Control{ID: "work", Title: "Work", Positions: []string{"none", "a shift"}, Hot: []string{"a shift"}})
	require.Empty(t, h.Validate())
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	return m
}

// TestWiggling shakes places with a terminal of the lamps' feed, a ring of their ground or a wire loose: the lamps go out exactly while
// what is loose moves.
func TestWiggling(t *testing.T) {
	for _, c := range []struct {
		name, loose string
		moves       []string
		rests       []string
	}{
		{"terminal", "cavity X2.1", []string{"X2", "X2.1", "X2.2", "X2.1.b", "cavity X2.1", "connector X2"}, []string{"X1", "S3", "G1", "wire 22", "XLL", "LL"}},
		{"terminal between others", "cavity XK1.30", []string{"XK1.86", "XK1.87"}, []string{"XK1.85", "XK1.87a"}},
		{"crimp", "crimp X2.1.b", []string{"X2", "X2.1", "X2.2"}, []string{"wire 23", "S3"}},
		{"ring", "ring G1.29", []string{"G1", "G1.29", "ring G1.29"}, []string{"G1.10", "S4"}},
		{"post", "ring BAT.30.10", []string{"BAT", "BAT.30", "BAT.30.10"}, []string{"BAT.31", "G1"}},
		{"wire", "wire 23", []string{"wire 23"}, []string{"X2", "X2.1", "S3", "wire 22"}},
		{"relay in its socket", "cavity XK1.30", []string{"K1", "component K1", "XK1", "XK1.30"}, []string{"XF1", "XF2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := rough(t)
			require.NoError(t, m.Alter([]harness.Alteration{broken(c.loose, harness.Shaken)}))
			operate(t, m, "key", "on", "lamps", "on")
			look := func() string {
				t.Helper()
				_, err := m.Hold(5)
				require.NoError(t, err)
				return words(m)["LL"]
			}
			require.Equal(t, "lit", look(), "good at rest")
			for _, place := range c.moves {
				require.NoError(t, m.Wiggle(place))
				assert.Equal(t, place, m.Shaking())
				assert.Equal(t, "off", look(), "while %s is wiggled", place)
				require.NoError(t, m.Wiggle(""))
				assert.Equal(t, "lit", look(), "after %s was let go", place)
			}
			for _, place := range c.rests {
				require.NoError(t, m.Wiggle(place))
				assert.Equal(t, "lit", look(), "while %s is wiggled", place)
			}
			require.NoError(t, m.Wiggle(""))
			operate(t, m, "ride", "shaking")
			assert.Equal(t, "off", look(), "the whole vehicle shakes")
			operate(t, m, "ride", "still")
			assert.Equal(t, "lit", look())
		})
	}
}

// TestHeat follows a place that was warmed or cooled: T(t) = ambient + (T0 - ambient)·exp(-t/τ), Newton's law of cooling; the joint
// opens and closes when that passes its threshold, in Hold as in Run.
func TestHeat(t *testing.T) {
	const tau = 300.0
	ambient := sample.Tractor().Vehicle.Celsius
	passes := func(from, limit float64) float64 { return tau * math.Log((from-ambient)/(limit-ambient)) }
	for _, c := range []struct {
		name string
		when harness.Condition
		do   func(m *harness.Machine) error
		back float64
	}{
		{"hot", harness.Hot, func(m *harness.Machine) error { return m.Warm("K1") }, passes(harness.WarmedTo, harness.HotAbove)},
		{"cold", harness.Cold, func(m *harness.Machine) error { return m.Cool("XK1") }, passes(harness.CooledTo, harness.ColdBelow)},
	} {
		for name, pass := range map[string]func(m *harness.Machine, s float64) error{
			"hold": func(m *harness.Machine, s float64) error { _, err := m.Hold(s); return err },
			"run":  func(m *harness.Machine, s float64) error { _, err := m.Run(s); return err },
		} {
			t.Run(c.name+" "+name, func(t *testing.T) {
				m := rough(t)
				joint := broken("cavity XK1.86", c.when)
				joint.Inside = "K1"
				require.NoError(t, m.Alter([]harness.Alteration{joint}))
				operate(t, m, "key", "on", "lamps", "on")
				require.NoError(t, pass(m, 5))
				require.Equal(t, "lit", words(m)["LL"])
				require.NoError(t, c.do(m))
				require.NoError(t, pass(m, 2))
				assert.Equal(t, "off", words(m)["LL"])
				require.NoError(t, pass(m, c.back-4))
				assert.Equal(t, "off", words(m)["LL"], "2 s before it closes again")
				require.NoError(t, pass(m, 6))
				assert.Equal(t, "lit", words(m)["LL"], "4 s after")
				start := map[harness.Condition]float64{harness.Hot: harness.WarmedTo, harness.Cold: harness.CooledTo}[c.when]
				assert.InDelta(t, ambient+(start-ambient)*math.Exp(-(c.back+4)/tau), m.Celsius("K1"), 1e-6)
			})
		}
	}
}

// TestWorkedHot: a hot position opens the joint at once, freezer spray closes it, and after the work it cools like any other.
func TestWorkedHot(t *testing.T) {
	m := rough(t)
	joint := broken("cavity XK1.86", harness.Hot)
	joint.Inside = "K1"
	require.NoError(t, m.Alter([]harness.Alteration{joint}))
	operate(t, m, "key", "on", "lamps", "on", "work", "a shift")
	look := func(seconds float64) string {
		t.Helper()
		_, err := m.Hold(seconds)
		require.NoError(t, err)
		return words(m)["LL"]
	}
	assert.Equal(t, "off", look(5))
	require.NoError(t, m.Cool("K1"))
	assert.Equal(t, "lit", look(5))
	operate(t, m, "work", "none", "work", "a shift")
	assert.Equal(t, "off", look(5), "another shift")
	operate(t, m, "work", "none")
	assert.Equal(t, "off", look(60), "still hot")
	was := m.Snapshot()
	assert.Equal(t, "lit", look(600), "cooled down")
	require.NoError(t, m.Restore(was))
	assert.Equal(t, "off", look(1), "a snapshot keeps the heat")
	c, err := m.Clone()
	require.NoError(t, err)
	assert.InDelta(t, m.Celsius("K1"), c.Celsius("K1"), 1e-9)
	require.NoError(t, m.Replace("K1"))
	assert.Equal(t, "lit", look(5), "a new relay has a good joint")
}

// TestTouching wiggles the two wires of the boom of which one is chafed: the metal touches while either moves, and with nothing else. What flows
// then is by Ohm and Kirchhoff what flows through as many ohms that are always there, in a machine that has room for bridges as in one
// that has none.
func TestTouching(t *testing.T) {
	for _, c := range []struct {
		name  string
		comes harness.Bridge
		moves []string
	}{
		{"body", harness.Bridge{A: "X2.1.b", B: harness.Body, Ohms: 30, When: harness.Shaken, Where: "wire 23"}, []string{"wire 23"}},
		{"other wire", harness.Bridge{A: "X2.1.b", B: "S4", Ohms: 30, When: harness.Shaken, Where: "wire 23", Beside: "wire 28"}, []string{"wire 23", "wire 28"}},
	} {
		for _, room := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, room %t", c.name, room), func(t *testing.T) {
				always := c.comes
				always.When = harness.Always
				amps := func(m *harness.Machine) float64 {
					t.Helper()
					require.NoError(t, m.Settle())
					return m.LimbAmps("wire 22")
				}
				m := rough(t)
				if room {
					require.NoError(t, m.Prepare())
				}
				operate(t, m, "key", "on", "lamps", "on")
				healthy := amps(m)
				require.NoError(t, m.Alter([]harness.Alteration{always}))
				touching := amps(m)
				across := m.VoltsBetween(c.comes.A, c.comes.B)
				require.Greater(t, touching, healthy+0.3)
				require.NoError(t, m.Alter([]harness.Alteration{c.comes}))
				assert.InDelta(t, healthy, amps(m), 1e-9, "at rest")
				for _, place := range append([]string{"X2", "X2.1", "wire 22", "S3", "LL"}, c.moves...) {
					want := healthy
					if slices.Contains(c.moves, place) {
						want = touching
					}
					require.NoError(t, m.Wiggle(place))
					assert.InDelta(t, want, amps(m), 1e-9, "while %s is wiggled", place)
				}
				assert.InDelta(t, across, m.VoltsBetween(c.comes.A, c.comes.B), 1e-9)
				assert.Equal(t, 1, m.Present())
				shaken := m.Snapshot()
				require.NoError(t, m.Wiggle(""))
				assert.InDelta(t, healthy, amps(m), 1e-9, "let go")
				operate(t, m, "ride", "shaking")
				assert.InDelta(t, touching, amps(m), 1e-9, "the whole vehicle shakes")
				operate(t, m, "ride", "still")
				require.NoError(t, m.Restore(shaken))
				assert.InDelta(t, touching, amps(m), 1e-9, "a snapshot keeps what was wiggled")
				require.NoError(t, m.Alter(nil))
				assert.InDelta(t, healthy, amps(m), 1e-9, "mended")
			})
		}
	}
}

// TestBadByOhms shakes a ring on the lamps' ground that has some ohms then: the lamps get what is left of the voltage, and no more is in the
// circuit than it was given.
func TestBadByOhms(t *testing.T) {
	m := rough(t)
	ring := harness.SeriesOhms{Where: "ring G1.29", Ohms: 1, When: harness.Shaken}
	require.NoError(t, m.Alter([]harness.Alteration{ring}))
	operate(t, m, "key", "on", "lamps", "on")
	drop := func() (volts, amps float64) {
		t.Helper()
		require.NoError(t, m.Settle())
		return m.VoltsBetween("G1.29", "G1"), m.LimbAmps("ring G1.29")
	}
	volts, amps := drop()
	good := volts / amps
	require.NoError(t, m.Wiggle("G1"))
	volts, amps = drop()
	assert.InEpsilon(t, good+1, volts/amps, 1e-9)
	assert.Equal(t, "dim", words(m)["LL"])
	require.NoError(t, m.Wiggle(""))
	volts, amps = drop()
	assert.InEpsilon(t, good, volts/amps, 1e-9)
	assert.Equal(t, "lit", words(m)["LL"])
}

func TestWhatCannotBeWiggled(t *testing.T) {
	m := rough(t)
	for place, want := range map[string]string{"X9": `no "X9"`, "X2.77": `no cavity "77"`, "wire zz": `no wire "zz"`} {
		assert.ErrorContains(t, m.Wiggle(place), want)
	}
	assert.ErrorContains(t, m.Warm("wire 23"), "too long")
	assert.ErrorContains(t, m.Alter([]harness.Alteration{harness.SeriesOhms{Where: "wire 23", Ohms: 1, When: harness.Hot, Inside: "nobody"}}), "nobody")
	assert.ErrorContains(t, m.Alter([]harness.Alteration{harness.Bridge{A: "S3", B: harness.Body, Ohms: 1, When: harness.Shaken, Where: "wire 99"}}),
		`comes and goes at "wire 99"`)
	h := sample.Tractor()
	h.Controls[0].Shakes = []string{"sideways"}
	require.Len(t, h.Validate(), 1)
	assert.ErrorContains(t, h.Validate()[0], `shakes: there is no position "sideways"`)
}
