package scenarios_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// parse loads the harness in text.
func parse(t *testing.T, text string) *harness.Harness {
	t.Helper()
	h, err := scenarios.Load(fstest.MapFS{"h.yaml": {Data: []byte(text)}}, "h.yaml")
	require.NoError(t, err)
	return h
}

// graded returns the findings of a grade.
func graded(all []scenarios.Finding, g scenarios.Grade) []scenarios.Finding {
	var out []scenarios.Finding
	for _, f := range all {
		if f.Grade == g {
			out = append(out, f)
		}
	}
	return out
}

// TestProveFindsABadHarness: each harness below has one thing that a proof must find.
func TestProveFindsABadHarness(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		grade          scenarios.Grade
		about, text    string
	}{
		{"a check that does not hold", "LB: lit}", "LB: off}", scenarios.Fails, scenarios.AboutCheck,
			"line 1 (Switch on: Lamp A lit, Lamp B off) does not hold in the healthy harness: Lamp B (LB): lit instead of off"},
		// At 12.9 V a lamp rated for 14 V gives (12.9/14)^3.4 = 0.76 of its light; below 0.6 it is dim.
		{"a lamp all but dim", "LA: {kind: lamp, title: Lamp A, power: 10 W}", "LA: {kind: lamp, title: Lamp A, power: 10 W, volts: 14 V}", scenarios.Advice, scenarios.AboutCheck,
			"holds, but only just: Lamp A (LA): lit, near to dim. What parts differ by would do that"},
		// Two lamps of 10 W draw 1.7 A; a fuse of 1 A opens within the check.
		{"a fuse too small", "rating: 10 A", "rating: 1 A", scenarios.Fails, scenarios.AboutFuse, "fuse F1 (1 A) carries 1.7 A"},
		{"a fuse near its rating", "rating: 10 A", "rating: 2 A", scenarios.Advice, scenarios.AboutFuse, "more than 80 % is too much for good"},
		{"a wire too thin", "3: {from: SW.2, to: X1.1.a, length: 1 m, size: 2.5 mm2", "3: {from: SW.2, to: X1.1.a, length: 20 m, size: 1 mm2",
			scenarios.Advice, scenarios.AboutDrop, "wire 3 loses 0."},
	} {
		t.Run(c.name, func(t *testing.T) {
			found := graded(scenarios.Prove(parse(t, swap(t, c.old, c.new))), c.grade)
			require.NotEmpty(t, found)
			var texts []string
			for _, f := range found {
				if f.About == c.about {
					texts = append(texts, f.Text)
				}
			}
			assert.Contains(t, strings.Join(texts, "\n"), c.text)
		})
	}
}

func TestProveHolds(t *testing.T) {
	all := scenarios.Prove(parse(t, good))
	assert.Len(t, graded(all, scenarios.Holds), len(all), "%v", all)
}

// TestProveExercise: a fault that shows, one that does not, and two at once.
func TestProveExercise(t *testing.T) {
	h := parse(t, good)
	prove := func(texts ...string) []scenarios.Finding {
		ex := &attempt.Exercise{ID: "x", Harness: h}
		for _, text := range texts {
			f, err := fault.Parse(text)
			require.NoError(t, err)
			ex.Faults = append(ex.Faults, f)
		}
		return scenarios.ProveExercise(ex)
	}
	shown := prove("wire 5 open")
	require.Len(t, shown, 1)
	assert.Equal(t, scenarios.Finding{Grade: scenarios.Holds, About: scenarios.AboutFault, Place: "wire 5 open",
		Text: "wire 5 open shows in line 1: Lamp A (LA): off instead of lit"}, shown[0])

	hidden := prove("wire 5 high-resistance 0.001 ohm")
	require.Len(t, hidden, 1)
	assert.Equal(t, scenarios.Fails, hidden[0].Grade)
	assert.Equal(t, "wire 5 high-resistance 0.001 ohm does not show in any line of the normal-operation check", hidden[0].Text)

	two := prove("wire 5 open", "component LB filament-open")
	require.Len(t, two, 3, "each by itself, and both together")
	assert.Equal(t, "wire 5 open and component LB filament-open shows in line 1: Lamp A (LA): off instead of lit, Lamp B (LB): off instead of lit", two[2].Text)

	among := prove("wire 8 high-resistance 15 ohm", "wire 6 high-resistance 0.001 ohm")
	require.Len(t, among, 3)
	assert.Equal(t, scenarios.Fails, among[1].Grade)
	assert.Contains(t, among[1].Text, "neither by itself nor by what it adds to the other faults")
	// A larger fuse shows nothing by itself. With a short of 20 A it does: the other lamp stays lit.
	bigger := prove("fuse F1 wrong-fuse 30 A", "wire 3 short-to-ground 0.6 ohm", "wire 5 open")
	require.Len(t, bigger, 4)
	for _, f := range bigger {
		assert.Equal(t, scenarios.Holds, f.Grade, f.Text)
	}
	assert.Equal(t, "fuse F1 wrong-fuse 30 A shows with the other faults in line 1: Lamp A (LA): off instead of lit "+
		"(without it it would be line 1: Lamp A (LA): off instead of lit, Lamp B (LB): off instead of lit)", bigger[0].Text)

	assert.Equal(t, scenarios.Fails, prove()[0].Grade, "an exercise without a fault")
}

// TestShowsLeavesTheMachineHealthy: a blown fuse or a broken wire does not outlive the question.
func TestShowsLeavesTheMachineHealthy(t *testing.T) {
	h := builtin(t).Harness("dt14-work-lamps")
	m := machine(t, h)
	for _, e := range fault.Catalogue(h) {
		_, err := scenarios.Shows(m, e.Fault)
		require.NoError(t, err, "%s", e.Fault)
	}
	lines, err := scenarios.Shows(m)
	require.NoError(t, err)
	assert.Empty(t, lines, "the healthy harness passes its check after every fault was in it")
}

// TestDraw: the same seed draws the same, what is drawn shows, and only what was asked for is drawn.
func TestDraw(t *testing.T) {
	h := builtin(t).Harness("dt14-work-lamps")
	m := machine(t, h)
	places := map[string]bool{}
	for seed := range uint64(25) {
		drawn, err := scenarios.Draw(h, seed, 1)
		require.NoError(t, err)
		again, err := scenarios.Draw(h, seed, 1)
		require.NoError(t, err)
		assert.Equal(t, drawn, again, "seed %d", seed)
		lines, err := scenarios.Shows(m, drawn...)
		require.NoError(t, err)
		assert.NotEmpty(t, lines, "seed %d drew %s, which does not show", seed, drawn[0])
		places[drawn[0].Place] = true
	}
	assert.Greater(t, len(places), 12, "different seeds draw different faults")

	for seed := range uint64(10) {
		drawn, err := scenarios.Draw(h, seed, 2, fault.BackedOut, fault.Open)
		require.NoError(t, err)
		require.Len(t, drawn, 2)
		assert.NotEqual(t, drawn[0].Place, drawn[1].Place)
		for _, f := range drawn {
			assert.Contains(t, []fault.Kind{fault.BackedOut, fault.Open}, f.Kind)
		}
	}
	_, err := scenarios.Draw(h, 1, 3)
	assert.Error(t, err)
}
