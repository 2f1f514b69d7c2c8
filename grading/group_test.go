package grading_test

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"testing/fstest"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// twoLamps is a circuit small enough to reason out by hand: a fuse and a switch feed two lamps by way of a splice.
const twoLamps = `harness: two-lamps
title: Two lamps
vehicle: {fleet: XX-1, title: made-up cart, outline: boat, supply: 12 V}
components:
  BAT: {kind: battery, title: Battery}
  F1: {kind: fuse, title: Lamp fuse, rating: 5 A}
  SW: {kind: switch, title: Lamp switch, positions: {off: nothing, on: 1-2}}
  LL: {kind: lamp, title: Left lamp, power: 10 W}
  LR: {kind: lamp, title: Right lamp, power: 10 W}
grounds:
  G1: {title: Frame}
splices:
  S1: {where: behind the lamps}
wires:
  30a: {from: BAT.30, to: F1.1, length: 0.5 m, size: 2.5 mm2, colour: RD}
  30b: {from: F1.2, to: SW.1, length: 2 m, size: 1 mm2, colour: RD}
  58a: {from: SW.2, to: S1, length: 1 m, size: 1 mm2, colour: GY, bundle: loom}
  58b: {from: S1, to: LL.in, length: 1 m, size: 1 mm2, colour: GY/BK, bundle: loom}
  58c: {from: S1, to: LR.in, length: 1 m, size: 1 mm2, colour: GY/RD, bundle: loom}
  31a: {from: LL.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  31b: {from: LR.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  31c: {from: BAT.31, to: G1, length: 0.5 m, size: 16 mm2, colour: BK}
check:
  - expect: {LL: off, LR: off}
  - set: {SW: on}
    expect: {LL: lit, LR: lit}
`

// cart is an exercise on the two lamps with a fault; more are further lines of its file.
func cart(t *testing.T, faultText, more string) attempt.Exercise {
	t.Helper()
	ex, err := scenarios.LoadExercise(fstest.MapFS{
		"two-lamps.yaml": {Data: []byte(twoLamps)},
		"cart.yaml":      {Data: []byte("exercise: cart\ntitle: Cart\nharness: two-lamps.yaml\ncomplaint: Lamps.\nfault: " + faultText + "\n" + more)},
	}, "cart.yaml")
	require.NoError(t, err)
	return *ex
}

// A wire has no point between its ends: of three that meet in a splice nobody can say which it is that touches the body there, for the
// fuse goes and then no current flows that a meter could follow; and a lamp's feed that touches its own ground wire does the same. Wire
// that touches the supply keeps a current flowing, and with the loom open at the splice that current is seen along 58a (2 ohm and two
// cold lamps pass more than 1 A, 1 m of 1 mm2 has 17 milliohm: more than 17 mV, and the meter shows a tenth of one) if it comes
// from that wire's other end. All else in this circuit can be told apart.
func TestGroupsOfTwoLamps(t *testing.T) {
	groups, err := grading.Groups(cart(t, "wire 58a open", ""))
	require.NoError(t, err)
	var got [][]string
	for _, g := range groups {
		require.Len(t, g.Titles, len(g.Faults))
		got = append(got, g.Faults)
	}
	assert.Equal(t, [][]string{
		{"wire 58a short-to-ground", "wire 58b short-to-ground", "wire 58b short-to-wire 31a", "wire 58c short-to-ground", "wire 58c short-to-wire 31b"},
		{"wire 58b short-to-supply", "wire 58c short-to-supply"},
	}, got)
	assert.ElementsMatch(t, []string{"replace wire 58a", "replace wire 58b", "replace wire 58c"}, groups[0].Repairs)
	assert.ElementsMatch(t, []string{"replace wire 58b", "replace wire 58c"}, groups[1].Repairs)
}

// With the same wires in the open each chafed place is seen, and nothing is left that no look or reading tells apart.
func TestNoGroupsInTheOpen(t *testing.T) {
	ex := cart(t, "wire 58a open", "")
	h := *ex.Harness
	h.Wires = slices.Clone(h.Wires)
	for i := range h.Wires {
		h.Wires[i].Bundle = ""
	}
	ex.Harness = &h
	groups, err := grading.Groups(ex)
	require.NoError(t, err)
	assert.Empty(t, groups)
}

// Without a meter far less can be told apart.
func TestGroupsWithoutAMeter(t *testing.T) {
	with, err := grading.Groups(cart(t, "wire 58a open", ""))
	require.NoError(t, err)
	without, err := grading.Groups(cart(t, "wire 58a open", "tools: [test-lamp]\n"))
	require.NoError(t, err)
	faults := func(groups []grading.Group) (n int) {
		for _, g := range groups {
			n += len(g.Faults)
		}
		return n
	}
	assert.Greater(t, faults(without), faults(with))
}

// What is said to be alike is alike in attempts: whatever is done to a vehicle with one fault of a group in, at random, never rules
// out another of the group. The attempts run through time with a meter that is off by its own calibration; the groups come from
// steady states. One group in four of one vehicle is tried, with $FAULTLOOM_FULL each of all.
func TestGroupsStandInAttempts(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		h := hf.Harness
		if h.ID != "dt14-work-lamps" && os.Getenv("FAULTLOOM_FULL") == "" {
			continue
		}
		ex := attempt.Exercise{ID: "alike", Harness: h, Tools: meter.Tools(), Functions: meter.Functions(), Weights: scenarios.DefaultWeights()}
		groups, err := grading.Groups(ex)
		require.NoError(t, err)
		random := rand.New(rand.NewPCG(seed(), 77))
		entries := map[string]fault.Entry{}
		for _, e := range fault.Catalogue(h) {
			f := e.Fault
			f.Severity = 0
			entries[f.String()] = e
		}
		at := func(text string) fault.Fault {
			e, ok := entries[text]
			require.True(t, ok, text)
			if e.Low < 2 && 2 < e.High {
				e.Fault.Severity = 2
			}
			return e.Fault
		}
		for n, g := range groups {
			if n%4 > 0 && os.Getenv("FAULTLOOM_FULL") == "" {
				continue
			}
			i := random.IntN(len(g.Faults))
			k := (i + 1 + random.IntN(len(g.Faults)-1)) % len(g.Faults)
			one, other := ex, ex
			one.Faults, other.Faults = []fault.Fault{at(g.Faults[i])}, []fault.Fault{at(g.Faults[k])}
			a, err := attempt.Start(one, memory{})
			require.NoError(t, err)
			for range 25 {
				_, err := a.Do(randomAction(random, &one, h.Points(), fault.Repairs(h)))
				require.NoError(t, err)
			}
			assert.NoError(t, grading.KeepsTruth(other, a.Records()), "%s: %s was in, %s is told apart", h.ID, g.Faults[i], g.Faults[k])
		}
	}
}

// Faults that no test tells apart count as one: who has it down to them has isolated the cause, and each of them is as good a finding as
// another.
func TestAlikeCountsAsIsolated(t *testing.T) {
	ex := cart(t, "wire 58b short-to-ground", "")
	par, err := grading.ParOf(ex)
	require.NoError(t, err)
	assert.True(t, par.Proved)
	assert.True(t, par.Alike)
	assert.ElementsMatch(t, []string{"replace wire 58a", "replace wire 58b", "replace wire 58c"}, par.Repairs)

	// The same up to the finding, and then either wire named.
	for _, c := range []struct {
		finding string
		right   bool
	}{
		{"wire 58b short-to-ground", true}, {"wire 58c short-to-ground", true}, {"wire 58a short-to-ground", true},
		{"wire 30b short-to-ground", false}, {"wire 58c open", false},
	} {
		t.Run(c.finding, func(t *testing.T) {
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err)
			for _, rec := range par.Records {
				if _, decided := rec.Action.(attempt.Find); decided {
					break
				}
				_, err := a.Do(rec.Action)
				require.NoError(t, err)
			}
			for _, act := range []attempt.Action{attempt.Find{Fault: c.finding}, attempt.Repair{Repair: "replace wire 58b"}} {
				_, err := a.Do(act)
				require.NoError(t, err)
			}
			r := grade(t, ex, a.Records())
			iso := r.Stage(grading.Isolate)
			if c.right {
				assert.Equal(t, iso.Of, iso.Points, "%+v", iso.Items)
			} else {
				assert.Less(t, iso.Points, 0.7*iso.Of, "%+v", iso.Items)
			}
		})
	}

	// Who has run no more than the check has not got so far, though the finding is the cause.
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	for _, act := range []attempt.Action{
		attempt.Operate{Control: "SW", Position: "on"}, attempt.Find{Fault: "wire 58b short-to-ground"}, attempt.Repair{Repair: "replace wire 58b"},
	} {
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	r := grade(t, ex, a.Records())
	iso := r.Stage(grading.Isolate)
	assert.Less(t, iso.Points, 0.8*iso.Of, "%+v", iso.Items)
}
