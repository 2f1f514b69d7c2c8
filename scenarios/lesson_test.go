package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// nowhere keeps no log.
type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

// job is an attempt under way.
type job struct {
	*testing.T
	ex *attempt.Exercise
	at *attempt.Attempt
}

// begin starts an attempt at a shipped exercise.
func begin(t *testing.T, id string) job {
	t.Helper()
	ex := builtin(t).Exercise(id)
	require.NotNil(t, ex, "exercise %s", id)
	return start(t, ex)
}

func start(t *testing.T, ex *attempt.Exercise) job {
	t.Helper()
	a, err := attempt.Start(*ex, nowhere{})
	require.NoError(t, err)
	return job{t, ex, a}
}

// do takes actions, none of which may be refused, and returns the last observation.
func (j job) do(acts ...attempt.Action) attempt.Observation {
	j.Helper()
	var obs attempt.Observation
	for _, act := range acts {
		var err error
		obs, err = j.at.Do(act)
		require.NoError(j, err, "%#v", act)
		require.Empty(j, obs.Refused, "%#v", act)
	}
	return obs
}

// read puts the multimeter on two points in a function and returns what it shows.
func (j job) read(f meter.Function, red, black harness.Point) meter.Display {
	j.Helper()
	obs := j.do(attempt.Dial{Function: f}, attempt.Lead{Tool: meter.Multimeter, End: 0, Point: red}, attempt.Lead{Tool: meter.Multimeter, End: 1, Point: black}, attempt.Wait{Seconds: 2})
	d := obs.Displays[meter.Multimeter]
	j.do(attempt.Lead{Tool: meter.Multimeter, End: 0}, attempt.Lead{Tool: meter.Multimeter, End: 1}, attempt.Dial{Function: meter.Off})
	return d
}

func (j job) set(control, position string) attempt.Observation {
	j.Helper()
	return j.do(attempt.Operate{Control: control, Position: position})
}

// check goes through the normal-operation check as a person does and returns how many lines do not hold.
func (j job) check() int {
	j.Helper()
	wrong := 0
	for _, line := range j.ex.Harness.Check {
		var at []string
		for _, c := range j.ex.Harness.Controls {
			at = append(at, j.at.State().Controls[c.ID])
		}
		for _, s := range j.ex.Harness.Moves(at, j.ex.Harness.Asked(line)) {
			j.set(s.Control, s.Position)
		}
		obs := j.do(attempt.Wait{Seconds: harness.CheckSeconds})
		for _, x := range line.Expect {
			if obs.Effects[x.Component] != x.Word {
				wrong++
				break
			}
		}
	}
	for _, c := range j.ex.Harness.Controls {
		if j.at.State().Controls[c.ID] != c.Positions[0] {
			j.set(c.ID, c.Positions[0])
		}
	}
	return wrong
}

// TestEveryExerciseCanBeMended plays each shipped exercise: the check shows that something is wrong; after the right repair, and new
// fuses of the right rating where they blew, it holds.
func TestEveryExerciseCanBeMended(t *testing.T) {
	for _, f := range builtin(t).Exercises {
		t.Run(f.Exercise.ID, func(t *testing.T) {
			j := start(t, f.Exercise)
			require.Positive(t, j.check(), "the complaint cannot be confirmed")
			for _, x := range f.Exercise.Faults {
				j.do(attempt.Repair{Repair: fault.RepairFor(f.Exercise.Harness, x).String()})
			}
			for _, c := range f.Exercise.Harness.Connectors {
				if c.Mount != harness.Holder {
					continue
				}
				j.do(attempt.Unplug{Connector: c.ID}, attempt.Inspect{Place: c.ID})
				if j.at.State().Fuses[c.ID].Blown {
					j.do(attempt.FitFuse{Connector: c.ID, Amps: specOf(f.Exercise.Harness, c.Component).Values["rating"]})
				} else {
					j.do(attempt.Plug{Connector: c.ID})
				}
			}
			assert.Zero(t, j.check(), "lines that do not hold after the repair")
		})
	}
}

// TestJointThatBeepsAndFails: with the fuse pulled the joint beeps, as anything under 30 Ω does; under load it loses what the lamps
// lack. Corroded joints of some tenths of an ohm dim a lamp of 5 A visibly (common practice, no source).
func TestJointThatBeepsAndFails(t *testing.T) {
	j := begin(t, "dt14-02-candlelight")
	j.do(attempt.Unplug{Connector: "F2"})
	d := j.read(meter.Continuity, "X1.1.a", "X1.1.b")
	assert.Contains(t, d.Words, meter.BeepWord, "the joint beeps: %+v", d)

	j.do(attempt.Plug{Connector: "F2"})
	j.set("KEY", "on")
	j.set("LAMPS", "on")
	lost := j.read(meter.Volts, "X1.1.a", "X1.1.b")
	require.True(t, lost.Valid)
	most := taught(t, "one connection", "12")
	assert.Greater(t, lost.Value, 20*most, "volts lost in the joint under load; %.2f is taught as the most", most)
}

// TestLostGroundFeedsBack: without its ground the horn finds one through the lamps, backwards, and the tell-tale.
func TestLostGroundFeedsBack(t *testing.T) {
	j := begin(t, "dt14-01-the-lamp-that-answers")
	j.set("KEY", "on")
	obs := j.set("HORN", "pressed")
	obs = j.do(attempt.Wait{Seconds: 2})
	assert.Equal(t, "silent", obs.Effects["HN"])
	assert.Equal(t, "off", obs.Effects["LL"])
	assert.Equal(t, "lit", obs.Effects["TT"], "the tell-tale answers the horn button")
	stud := j.read(meter.Volts, "G1", harness.Body)
	assert.Greater(t, stud.Value, 10.0, "the stud is at supply instead of ground")
	lamp := j.read(meter.Volts, "LL.in.a", harness.Body)
	assert.Greater(t, lamp.Value, 10.0, "and so is the lamp's feed, though its relay is at rest")
}

// TestShortBlowsEachNewFuse: with the short in, a new fuse opens as soon as the lamps are switched on, every time.
func TestShortBlowsEachNewFuse(t *testing.T) {
	j := begin(t, "dt14-03-third-fuse")
	for range 3 {
		j.set("KEY", "on")
		j.set("LAMPS", "on")
		j.do(attempt.Wait{Seconds: 1})
		j.set("LAMPS", "off")
		j.set("KEY", "off")
		j.do(attempt.Unplug{Connector: "F2"}, attempt.Inspect{Place: "F2"})
		require.True(t, j.at.State().Fuses["F2"].Blown, "the fuse is open")
		j.do(attempt.FitFuse{Connector: "F2", Amps: 15})
	}
	j.do(attempt.Unplug{Connector: "F2"}, attempt.Inspect{Place: "F2"})
	assert.False(t, j.at.State().Fuses["F2"].Blown, "with the lamps off the last one holds")
}

// TestRelayClicksAndDoesNotFeed: the coil pulls, 30 is live, 87 is not.
func TestRelayClicksAndDoesNotFeed(t *testing.T) {
	j := begin(t, "dt14-04-click-and-nothing")
	j.set("KEY", "on")
	obs := j.set("LAMPS", "on")
	clicked := false
	for _, e := range obs.Events {
		clicked = clicked || e.Component == "K1" && e.What == attempt.EventClickIn
	}
	assert.True(t, clicked, "the relay is heard: %+v", obs.Events)
	assert.Greater(t, j.read(meter.Volts, "F2.2.b", harness.Body).Value, 12.0, "feed to the relay")
	assert.Less(t, j.read(meter.Volts, "X1.1.a", harness.Body).Value, 1.0, "nothing comes out of it")
}

// TestBackedOutTerminal: the feed ends at one half of the cavity, and the other half is dead.
func TestBackedOutTerminal(t *testing.T) {
	j := begin(t, "dt14-05-half-the-light")
	j.set("KEY", "on")
	j.set("LAMPS", "on")
	assert.Greater(t, j.read(meter.Volts, "X2.2.a", harness.Body).Value, 11.0)
	assert.Less(t, j.read(meter.Volts, "X2.2.b", harness.Body).Value, 0.1)
	j.set("LAMPS", "off")
	j.do(attempt.Unplug{Connector: "X2"})
	obs := j.do(attempt.Inspect{Place: "X2.2"})
	assert.NotEmpty(t, obs.Seen, "a terminal that stands back is seen")
}

// TestVoltageWithoutLoadDeceives: with the relay pulled the switch's burnt contact passes full voltage to the socket; with the
// relay in, its coil gets too little to pull.
func TestVoltageWithoutLoadDeceives(t *testing.T) {
	j := begin(t, "dt14-17-twelve-and-a-half")
	j.set("KEY", "on")
	j.set("LAMPS", "on")
	j.do(attempt.Unplug{Connector: "K1"})
	assert.Greater(t, j.read(meter.Volts, "K1.86.a", harness.Body).Value, 12.0, "no load")
	j.do(attempt.Plug{Connector: "K1"})
	loaded := j.read(meter.Volts, "LAMPS.2.a", harness.Body).Value
	// The relay of this vehicle pulls in at 55 % of 12 V, the kind's default; data sheets give up to 60 to 67 %
	// (testdata/device/relay.csv).
	k1 := specOf(j.ex.Harness, "K1")
	assert.Less(t, loaded, k1.Values["pull-in"]/100*k1.Values["volts"], "with the coil as load")
}

func specOf(h *harness.Harness, id string) device.Spec {
	for _, c := range h.Components {
		if c.ID == id {
			return c.Spec
		}
	}
	return device.Spec{}
}

// TestWrongFuseLastsSeconds: half the rating lights the lamps and then opens.
func TestWrongFuseLastsSeconds(t *testing.T) {
	j := begin(t, "dt14-13-ten-seconds")
	j.set("KEY", "on")
	obs := j.set("LAMPS", "on")
	obs = j.do(attempt.Wait{Seconds: 1})
	assert.Equal(t, "lit", obs.Effects["LL"], "lit at first")
	obs = j.do(attempt.Wait{Seconds: 9})
	assert.Equal(t, "off", obs.Effects["LL"], "dark after ten seconds")
}

// TestDrawnExerciseShows: what the shipped exercise draws is what its seed draws.
func TestDrawnExerciseShows(t *testing.T) {
	ex := builtin(t).Exercise("dt14-20-luck-of-the-draw")
	require.Len(t, ex.Faults, 1)
	lines, err := scenarios.Shows(machine(t, ex.Harness), ex.Faults...)
	require.NoError(t, err)
	assert.NotEmpty(t, lines)
}
