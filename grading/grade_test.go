package grading_test

import (
	"fmt"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// memory is a sink for attempts that are not to be kept.
type memory struct{}

func (memory) Append([]byte) error { return nil }

func exercise(t *testing.T, id string) attempt.Exercise {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise(id)
	require.NotNil(t, ex, "exercise %s is shipped", id)
	return *ex
}

// play does the actions and returns the records.
func play(t *testing.T, ex attempt.Exercise, actions ...[]attempt.Action) []attempt.Record {
	t.Helper()
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	for _, list := range actions {
		for _, act := range list {
			obs, err := a.Do(act)
			require.NoError(t, err, "%#v", act)
			require.Empty(t, obs.Refused, "%#v", act)
		}
	}
	return a.Records()
}

// runCheck puts the controls through every line of the check and marks each as it is.
func runCheck(t *testing.T, ex attempt.Exercise, before ...[]attempt.Action) []attempt.Action {
	t.Helper()
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	for _, list := range before {
		for _, act := range list {
			_, err := a.Do(act)
			require.NoError(t, err)
		}
	}
	var done []attempt.Action
	do := func(act attempt.Action) attempt.Observation {
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused)
		done = append(done, act)
		return obs
	}
	at := a.State().Controls
	for n, line := range ex.Harness.Check {
		var obs attempt.Observation
		for _, c := range ex.Harness.Controls {
			want := c.Positions[0]
			for _, s := range line.Set {
				if s.Control == c.ID {
					want = s.Position
				}
			}
			if at[c.ID] != want {
				at[c.ID] = want
				obs = do(attempt.Operate{Control: c.ID, Position: want})
			}
		}
		if obs.Effects == nil {
			obs = do(attempt.Wait{Seconds: 1})
		}
		good := true
		for _, e := range line.Expect {
			good = good && obs.Effects[e.Component] == e.Word
		}
		do(attempt.Mark{Line: n, Good: good})
	}
	for _, c := range ex.Harness.Controls {
		if at[c.ID] != c.Positions[0] {
			do(attempt.Operate{Control: c.ID, Position: c.Positions[0]})
		}
	}
	return done
}

func lead(end int, p harness.Point) attempt.Action {
	return attempt.Lead{Tool: meter.Multimeter, End: end, Point: p}
}

// The exercise dt14-06: wire 71c, from X1 to the horn, is broken.
const broken = "dt14-06-gate-four"

var (
	volts = []attempt.Action{
		attempt.Dial{Function: meter.Volts}, lead(1, "G1"), lead(0, "X1.2.b"),
		attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "HORN", Position: "pressed"},
		attempt.Unplug{Connector: "HN"}, lead(0, "HN.in.a"),
		attempt.Plug{Connector: "HN"}, lead(0, ""), lead(1, ""), attempt.Dial{Function: meter.Off},
		attempt.Operate{Control: "HORN", Position: "released"}, attempt.Operate{Control: "KEY", Position: "off"},
	}
	find   = []attempt.Action{attempt.Find{Fault: "wire 71c open"}}
	repair = []attempt.Action{attempt.Repair{Repair: "replace wire 71c"}}
	closed = []attempt.Action{attempt.Close{}}
)

func grade(t *testing.T, ex attempt.Exercise, records []attempt.Record) grading.Report {
	t.Helper()
	r, err := grading.Grade(ex, records)
	require.NoError(t, err)
	sum := 0.0
	for _, s := range r.Stages {
		assert.GreaterOrEqual(t, s.Points, 0.0, s.Name)
		assert.LessOrEqual(t, s.Points, s.Of, s.Name)
		assert.NotEmpty(t, s.Items, "every stage says why: %s", s.Name)
		sum += s.Points
	}
	assert.InDelta(t, sum, r.Score, 0.05, "the stages add up to the score")
	return r
}

func TestPlanFollowed(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	again := runCheck(t, ex, check, volts, find, repair)
	r := grade(t, ex, play(t, ex, check, volts, find, repair, again, closed))
	for _, s := range []string{grading.Confirm, grading.Repair, grading.Retest, grading.Safety} {
		assert.Equal(t, r.Stage(s).Of, r.Stage(s).Points, "%s: %+v", s, r.Stage(s).Items)
	}
	assert.Contains(t, r.Verdict, "Confirmed, found, repaired and retested")
	assert.True(t, r.Closed)
}

// The scores of five ways of working must rank as an instructor would rank them.
func TestRanking(t *testing.T) {
	t.Parallel()
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	live := []attempt.Action{
		attempt.Dial{Function: meter.Ohms}, lead(1, "G1"), lead(0, "X1.2.b"),
		attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "HORN", Position: "pressed"},
		attempt.Operate{Control: "HORN", Position: "released"}, attempt.Operate{Control: "KEY", Position: "off"},
	}
	swap := []attempt.Action{
		attempt.Repair{Repair: "replace component HN"}, attempt.Repair{Repair: "replace component HORN"}, attempt.Repair{Repair: "replace wire 71c"},
	}
	plan := grade(t, ex, play(t, ex, check, volts, find, repair, runCheck(t, ex, check, volts, find, repair), closed)).Score
	unsafe := grade(t, ex, play(t, ex, check, live, volts, find, repair, runCheck(t, ex, check, live, volts, find, repair), closed)).Score
	unproved := grade(t, ex, play(t, ex, check, volts, find, repair, closed)).Score
	guess := grade(t, ex, play(t, ex, find, repair, closed)).Score
	swapped := grade(t, ex, play(t, ex, check, swap, runCheck(t, ex, check, swap), closed)).Score
	nothing := grade(t, ex, play(t, ex, closed)).Score
	assert.Greater(t, plan, unsafe, "ohms on a live circuit cost")
	assert.Greater(t, unsafe, unproved, "a retest is worth more than one unsafe moment")
	assert.Greater(t, unproved, swapped, "finding without a retest beats swapping parts with one")
	assert.Greater(t, swapped, guess, "whoever confirms and retests beats a bare guess")
	assert.Greater(t, guess, nothing, "a lucky guess beats nothing")
	assert.Zero(t, nothing, "doing nothing is worth nothing")
}

// Points for confirm count only if nothing had been disturbed.
func TestConfirmAfterTouching(t *testing.T) {
	ex := exercise(t, broken)
	touch := []attempt.Action{attempt.Unplug{Connector: "HN"}, attempt.Plug{Connector: "HN"}}
	r := grade(t, ex, play(t, ex, touch, runCheck(t, ex, touch)))
	assert.Zero(t, r.Stage(grading.Confirm).Points)
}

// Marks that do not tell the truth are worth nothing, and so are marks of lines that were never operated.
func TestMarksMustBeTrue(t *testing.T) {
	ex := exercise(t, broken)
	var blind []attempt.Action
	for n := range ex.Harness.Check {
		blind = append(blind, attempt.Mark{Line: n, Good: true})
	}
	r := grade(t, ex, play(t, ex, blind))
	// Line 1 (all at rest) can be judged by standing there; the others cannot.
	assert.Less(t, r.Stage(grading.Confirm).Points, 0.2*r.Stage(grading.Confirm).Of)
}

// The retest counts only with all put back.
func TestRetestWithConnectorOpen(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	open := []attempt.Action{attempt.Unplug{Connector: "TT"}}
	r := grade(t, ex, play(t, ex, check, volts, find, repair, open, runCheck(t, ex, check, volts, find, repair, open), closed))
	assert.Zero(t, r.Stage(grading.Retest).Points, "%+v", r.Stage(grading.Retest).Items)
}

func TestLargerFuseIsAHazard(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	r := grade(t, ex, play(t, ex, check, []attempt.Action{attempt.Unplug{Connector: "F3"}, attempt.FitFuse{Connector: "F3", Amps: 30}}))
	require.Less(t, r.Stage(grading.Safety).Points, r.Stage(grading.Safety).Of)
	assert.Contains(t, r.Stage(grading.Safety).Items[0].Text, "larger fuse")
}

// What the meter sends a current with is named as what it is, here on a battery that is always live.
func TestDiodeTestOnALiveCircuitIsNamed(t *testing.T) {
	ex := exercise(t, broken)
	ex.Functions = meter.Functions()
	r := grade(t, ex, play(t, ex, []attempt.Action{attempt.Dial{Function: meter.Diode},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "BAT.30"}, attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "BAT.31"}}))
	assert.Contains(t, r.Stage(grading.Safety).Items[0].Text, "The diode test was used on a live circuit")
}

func TestExerciseWithoutFault(t *testing.T) {
	ex := exercise(t, broken)
	ex.Faults = nil
	_, err := grading.Grade(ex, nil)
	assert.ErrorContains(t, err, "no fault")
}

// A line that only asks for everything at rest can be marked as the vehicle came in: nothing has to be operated for it.
func TestLineThatStandsAlready(t *testing.T) {
	ex := exercise(t, broken)
	r := grade(t, ex, play(t, ex, []attempt.Action{attempt.Mark{Line: 0, Good: true}}))
	for _, i := range r.Stage(grading.Confirm).Items {
		assert.NotContains(t, i.Text, "without putting the controls so")
	}
	assert.Positive(t, r.Stage(grading.Confirm).Points)
}

func TestVerdictOfWorkWithoutTheWholeConfirmation(t *testing.T) {
	ex := exercise(t, broken)
	again := runCheck(t, ex, volts, find, repair)
	r := grade(t, ex, play(t, ex, volts, find, repair, again, closed))
	assert.Equal(t, r.Stage(grading.Retest).Of, r.Stage(grading.Retest).Points)
	assert.Contains(t, r.Verdict, "the complaint was not fully confirmed")
}

// What is named once the vehicle works again is the cause all the same, and worth little; nor is a repair that came before any test worth
// what one is that tests had led to.
func TestNamedInHindsight(t *testing.T) {
	t.Parallel()
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	after := runCheck(t, ex, check, repair)
	late := grade(t, ex, play(t, ex, check, repair, after, find, closed))
	silent := grade(t, ex, play(t, ex, check, repair, after, closed))
	early := grade(t, ex, play(t, ex, check, find, repair, after, closed))
	tested := grade(t, ex, play(t, ex, check, volts, find, repair, after, closed))
	assert.Greater(t, late.Score, silent.Score)
	assert.Greater(t, early.Score, late.Score)
	var named []string
	for _, i := range late.Stage(grading.Isolate).Items {
		named = append(named, i.Text)
	}
	assert.Contains(t, named, "You named it once the vehicle worked again: wire 71c broken.")
	assert.Contains(t, silent.Verdict, "the cause was never named")
	assert.Contains(t, late.Verdict, "the cause was never named", "naming what was changed is no finding")
	assert.Greater(t, tested.Stage(grading.Repair).Points, 1.5*early.Stage(grading.Repair).Points)
	assert.Contains(t, early.Stage(grading.Repair).Items[0].Text, "before your tests had told what it was")
}

// Findings that had been ruled out cost, but do not undo what tests had told.
func TestWrongConclusionsDoNotUndoTests(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	var wrong []attempt.Action
	for _, f := range []string{"wire 56b open", "wire 56c open", "component LL filament-open", "component LR filament-open", "ground G2 open",
		"wire 58a open", "wire 56d open", "component K1 coil-open"} {
		wrong = append(wrong, attempt.Find{Fault: f})
	}
	without, with := grade(t, ex, play(t, ex, check, volts, find, repair)), grade(t, ex, play(t, ex, check, volts, wrong, find, repair))
	plain, r := without.Stage(grading.Isolate), with.Stage(grading.Isolate)
	assert.InDelta(t, plain.Points/2, r.Points, 0.1, "%+v", r.Items)
}

// Whoever repairs something that their own tests had ruled out did not read them: it costs, the same whether it was declared or swapped without a
// word, and the repair that helps in the end is not owed to the tests.
func TestEvidenceNotRead(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	other := []attempt.Action{attempt.Repair{Repair: "replace wire 56b"}}
	said := []attempt.Action{attempt.Find{Fault: "wire 56b open"}}
	read := grade(t, ex, play(t, ex, check, volts, find, repair))
	silent := grade(t, ex, play(t, ex, check, volts, other, find, repair))
	declared := grade(t, ex, play(t, ex, check, volts, said, other, find, repair))
	for _, s := range []string{grading.Isolate, grading.Repair} {
		assert.Less(t, silent.Stage(s).Points, 0.7*read.Stage(s).Points, s)
		assert.Equal(t, declared.Stage(s).Points, silent.Stage(s).Points, s)
	}
	assert.Contains(t, silent.Stage(grading.Isolate).Items[0].Text, "it was not read off your tests")
}

// A new fuse is a part like any other: one that nobody had looked at or measured costs most, and it is no repair where it mends nothing.
func TestFuseFittedBlind(t *testing.T) {
	ex := exercise(t, broken)
	check := runCheck(t, ex)
	pull, fit := attempt.Unplug{Connector: "F3"}, attempt.FitFuse{Connector: "F3", Amps: 15}
	blind := grade(t, ex, play(t, ex, check, []attempt.Action{pull, fit}, find, repair))
	measured := grade(t, ex, play(t, ex, check, []attempt.Action{pull, lead(0, "F3.1.b"), fit, lead(0, "")}, find, repair))
	looked := grade(t, ex, play(t, ex, check, []attempt.Action{pull, attempt.Inspect{Place: "F3"}, fit}, find, repair))
	assert.Less(t, blind.Stage(grading.Economy).Points, measured.Stage(grading.Economy).Points)
	assert.Less(t, measured.Stage(grading.Economy).Points, looked.Stage(grading.Economy).Points)
	assert.Less(t, blind.Stage(grading.Repair).Points, looked.Stage(grading.Repair).Points)
}

// A look at a fuse that is whole to the eye and cracked all the same speaks for others. Nobody is worth less for having looked.
func TestLookThatMisleads(t *testing.T) {
	ex := exercise(t, "dt14-16-nothing-wrong-to-see")
	check := runCheck(t, ex)
	look := []attempt.Action{attempt.Unplug{Connector: "F3"}, attempt.Inspect{Place: "F3"}, attempt.Plug{Connector: "F3"}}
	feed := []attempt.Action{attempt.Dial{Function: meter.Volts}, lead(1, "BAT.31"), lead(0, "KEY.15.a"), attempt.Operate{Control: "KEY", Position: "on"}}
	end := []attempt.Action{attempt.Find{Fault: "component F3 element-cracked 1000 ohm"}, attempt.Repair{Repair: "fit fuse F3"}}
	only, both := grade(t, ex, play(t, ex, check, feed, end)), grade(t, ex, play(t, ex, check, look, feed, end))
	assert.Greater(t, both.Stage(grading.Isolate).Points, only.Stage(grading.Isolate).Points)
	assert.Negative(t, both.Steps[len(check)+1].Evidence.Gained, "the look speaks against the truth")
}

// Leads that are laid before the dial is turned to what is to be read make one reading with it, and not three.
func TestReadingSetUpOnTheWay(t *testing.T) {
	ex := exercise(t, broken)
	actions := []attempt.Action{attempt.Dial{Function: meter.Volts}}
	for range 8 {
		actions = append(actions, lead(0, "G1"), lead(1, "body"), attempt.Dial{Function: meter.Ohms}, attempt.Dial{Function: meter.Volts})
	}
	r := grade(t, ex, play(t, ex, runCheck(t, ex), actions))
	texts := fmt.Sprint(r.Stage(grading.Economy).Items)
	assert.Contains(t, texts, "of your 8 readings and looks told nothing")
	moved := []attempt.Action{attempt.Dial{Function: meter.Volts}, lead(1, "body")}
	for range 4 {
		moved = append(moved, lead(0, "G1"), lead(0, "BAT.31"))
	}
	r = grade(t, ex, play(t, ex, runCheck(t, ex), moved))
	texts = fmt.Sprint(r.Stage(grading.Economy).Items)
	assert.Contains(t, texts, "of your 8 readings and looks told nothing", "one lead moved on and on reads each time")
}
