package attempt_test

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"
)

// TestWiggledInSight wiggles a loose terminal with the leads on: what shows while it moves, and after it is let go; the capture of
// extremes keeps what was only there for a moment.
func TestWiggledInSight(t *testing.T) {
	ex := shipped(t, "ft5-01-every-rut")
	a, log := start(t, ex)
	all(t, a, operate("KEY", "on"), dial(meter.Volts), black("BAT.31"), red("X2.1.b"), attempt.Capture{On: true})
	obs := do(t, a, attempt.Wiggle{Place: "X2.3"})
	assert.Equal(t, "lit", obs.Effects["BE"], "two cavities on, nothing moves that is loose")
	assert.NotContains(t, obs.Displays[meter.Multimeter].Words, attempt.FlickerWord)
	obs = do(t, a, attempt.Wiggle{Place: "X2.1"})
	assert.Equal(t, "off", obs.Effects["BE"])
	d := obs.Displays[meter.Multimeter]
	assert.Less(t, d.Value, 0.1)
	assert.Contains(t, d.Words, attempt.FlickerWord)
	assert.Equal(t, "X2.1", a.State().Shaking)
	last := a.State().Log[len(a.State().Log)-1]
	assert.Equal(t, "X2.1 wiggled", last.Did)
	assert.Contains(t, last.Showed, "Beacon: off")
	assert.Contains(t, last.Showed, "flickers")
	obs = do(t, a, attempt.Wait{Seconds: 2})
	assert.Equal(t, "lit", obs.Effects["BE"], "let go")
	assert.Empty(t, a.State().Shaking)
	d = obs.Displays[meter.Multimeter]
	assert.Greater(t, d.Value, 11.0)
	require.NotNil(t, d.Capture)
	assert.Less(t, d.Capture.Low.Value, 0.1, "the capture has seen the dropout")

	obs = do(t, a, attempt.Wiggle{Place: "G1"})
	assert.Equal(t, "lit", obs.Effects["BE"])
	again, err := attempt.Resume(ex, bytes.NewReader(log.Bytes()), &memory{})
	require.NoError(t, err)
	assert.Equal(t, a.State(), again.State(), "a replay shakes what was shaken")

	// Provoking ends confirming, and after a repair it is retesting.
	assert.Equal(t, attempt.StageIsolate, a.State().Stage)
	all(t, a, attempt.Find{Fault: "cavity X2.1 shaky"}, attempt.Repair{Repair: "remake cavity X2.1"})
	obs = do(t, a, attempt.Wiggle{Place: "X2.1"})
	assert.Equal(t, "lit", obs.Effects["BE"], "mended")
	assert.Equal(t, attempt.StageRetest, a.State().Stage)
}

// TestWarmedInSight warms a relay until its joint opens, and lets it cool.
func TestWarmedInSight(t *testing.T) {
	a, _ := start(t, shipped(t, "ft5-03-after-lunch"))
	all(t, a, operate("KEY", "on"), operate("MLS", "on"))
	assert.Equal(t, "lit", a.State().Effects["ML"].Word)
	obs := do(t, a, attempt.Warm{Place: "component K1"})
	assert.Equal(t, "off", obs.Effects["ML"])
	assert.InDelta(t, 90, a.State().Celsius["K1"], 1)
	obs = do(t, a, attempt.Wait{Seconds: 60})
	assert.Equal(t, "off", obs.Effects["ML"], "72 °C are still too much")
	assert.InDelta(t, 20+70*math.Exp(-62.0/300), a.State().Celsius["K1"], 1)
	obs = do(t, a, attempt.Cool{Place: "K1"})
	assert.Equal(t, "lit", obs.Effects["ML"])
	assert.InDelta(t, -30, a.State().Celsius["K1"], 1)
}

// TestFuseShakenOpen wiggles a chafed wire: the fuse opens in the hand, and stays open when it is let go; a new one holds until the wire is
// moved again.
func TestFuseShakenOpen(t *testing.T) {
	a, _ := start(t, shipped(t, "ft5-08-eats-fuses"))
	all(t, a, operate("KEY", "on"), operate("MLS", "on"), attempt.Wait{Seconds: 60})
	assert.Equal(t, "lit", a.State().Effects["ML"].Word, "nothing wrong at rest")
	obs := do(t, a, attempt.Wiggle{Place: "wire 56c"})
	assert.Equal(t, "off", obs.Effects["ML"])
	obs = do(t, a, attempt.Wait{Seconds: 2})
	assert.Equal(t, "off", obs.Effects["ML"], "the fuse is open")
	all(t, a, attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15})
	obs = do(t, a, attempt.Wait{Seconds: 60})
	assert.Equal(t, "lit", obs.Effects["ML"])
	obs = do(t, a, operate("RIDE", "shaking"))
	assert.Equal(t, "off", obs.Effects["ML"])
	obs = do(t, a, attempt.Inspect{Place: "wire 56c"})
	assert.Equal(t, []string{"wire 56c touches-ground"}, obs.Seen, "it is seen where it has chafed")
	all(t, a, operate("RIDE", "still"), operate("KEY", "off"), operate("MLS", "off"), attempt.Find{Fault: "wire 56c touches-ground"},
		attempt.Repair{Repair: "replace wire 56c"}, attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15}, operate("KEY", "on"), operate("MLS", "on"))
	obs = do(t, a, operate("RIDE", "shaking"))
	assert.Equal(t, "lit", obs.Effects["ML"], "mended")
}

// TestRefusedToProvoke tells what cannot be wiggled, warmed or cooled, and why.
func TestRefusedToProvoke(t *testing.T) {
	a, _ := start(t, shipped(t, "ft5-05-quiet-when-hot"))
	for _, c := range []struct {
		act  attempt.Action
		want string
	}{
		{attempt.Wiggle{Place: "S5"}, "splice S5 is inside the loom: open the loom"},
		{attempt.Warm{Place: "S5"}, "splice S5 is inside the loom"},
		{attempt.Warm{Place: "wire 56c"}, "too long to warm"},
		{attempt.Cool{Place: "wire 99"}, "there is no wire 99"},
		{attempt.Wiggle{Place: ""}, "nothing there to wiggle"},
		{attempt.Wiggle{Place: "body"}, "nothing there to wiggle"},
		{attempt.Cool{Place: "X9"}, "there is no X9"},
		{attempt.Wiggle{Place: "X2.9"}, "there is no X2.9"},
	} {
		obs, err := a.Do(c.act)
		require.NoError(t, err)
		assert.Contains(t, obs.Refused, c.want, "%#v", c.act)
	}
	all(t, a, operate("KEY", "on"), operate("REV", "reverse"), attempt.OpenLoom{Splice: "S5"})
	obs := do(t, a, attempt.Warm{Place: "S5"})
	assert.Equal(t, "silent", obs.Effects["BZ"])
	obs = do(t, a, attempt.Cool{Place: "S5"})
	assert.Equal(t, "sounds", obs.Effects["BZ"])
}

// The model goes from steady state to steady state and still must know when a warm joint closes again.
func TestModelKnowsHeatAndShaking(t *testing.T) {
	for id, acts := range map[string][]attempt.Action{
		"ft5-03-after-lunch": {
			operate("KEY", "on"), operate("MLS", "on"), attempt.Warm{Place: "K1"}, attempt.Wait{Seconds: 50}, attempt.Wait{Seconds: 50},
			attempt.Study{Page: "sheet"}, attempt.Wait{Seconds: 60}, attempt.Warm{Place: "K1"}, attempt.Cool{Place: "K1"}, operate("WORK", "a shift"),
			operate("WORK", "none"), attempt.Wait{Seconds: 100}, attempt.Wait{Seconds: 300},
		},
		"ft5-04-up-and-down": {
			operate("KEY", "on"), operate("MLS", "on"), attempt.Wiggle{Place: "wire 56c"}, attempt.Wiggle{Place: "X1"}, attempt.Mark{Line: 2, Good: true},
			attempt.Wiggle{Place: "wire 56c"}, attempt.Wait{Seconds: 1}, operate("RIDE", "shaking"), operate("RIDE", "still"),
		},
		"ft5-08-eats-fuses": {
			operate("KEY", "on"), attempt.Wiggle{Place: "wire 56c"}, operate("MLS", "on"), attempt.Wiggle{Place: "X1"}, attempt.Wiggle{Place: "wire 56c"},
			attempt.Wait{Seconds: 1}, attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15}, attempt.Wait{Seconds: 5}, operate("RIDE", "shaking"), attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15}, operate("RIDE", "still"), attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15},
		},
		"ft5-09-candle-on-the-mast": {
			operate("KEY", "on"), operate("MLS", "on"), attempt.Wiggle{Place: "G2.31d"}, attempt.Wiggle{Place: "G2"}, operate("RIDE", "shaking"), operate("RIDE", "still"),
		},
		"ft5-10-pale-by-evening": {
			operate("KEY", "on"), operate("MLS", "on"), attempt.Warm{Place: "K1"}, attempt.Wait{Seconds: 50}, attempt.Wait{Seconds: 300}, operate("WORK", "a shift"),
			attempt.Cool{Place: "K1"},
		},
		"mb11-08-quiet-while-it-turns": {
			operate("KEY", "on"), attempt.Wiggle{Place: "X1"}, attempt.Wiggle{Place: "wire L2"}, attempt.Wiggle{Place: "wire H2"}, attempt.Wiggle{Place: "wire H4"},
			operate("ENG", "running"), operate("OIL", "normal"), operate("ENG", "stopped"),
		},
	} {
		ex := shipped(t, id)
		for _, exact := range []bool{false, true} {
			a, _ := start(t, ex)
			m, err := attempt.NewModel(ex)
			require.NoError(t, err)
			m.Exact(exact)
			require.NoError(t, m.Suppose([]fault.Fault(ex.Faults)...))
			for i, act := range acts {
				obs := do(t, a, act)
				s, err := m.Take(a.Records()[len(a.Records())-1])
				require.NoError(t, err)
				for k, c := range ex.Harness.Components {
					if word := obs.Effects[c.ID]; word != "" {
						assert.Equal(t, word, s.Effects[k].Word, "%s, exact %v, action %d %#v: %s", id, exact, i, act, c.ID)
					}
				}
			}
		}
	}
}
