package grading_test

import (
	"math/rand/v2"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// provoking returns something that a person might do to a joint that comes and goes.
func provoking(r *rand.Rand, h *harness.Harness) attempt.Action {
	place := ""
	switch r.IntN(6) {
	case 0, 1:
		c := h.Connectors[r.IntN(len(h.Connectors))]
		place = c.ID
		if r.IntN(2) == 0 {
			place += "." + c.Cavities[r.IntN(len(c.Cavities))].Number
		}
	case 2:
		place = h.Grounds[r.IntN(len(h.Grounds))].ID
	case 3:
		place = h.Components[r.IntN(len(h.Components))].ID
	case 4:
		place = h.Splices[r.IntN(len(h.Splices))].ID
	default:
		place = "wire " + h.Wires[r.IntN(len(h.Wires))].ID
	}
	switch r.IntN(4) {
	case 0:
		return attempt.Warm{Place: place}
	case 1:
		return attempt.Cool{Place: place}
	}
	return attempt.Wiggle{Place: place}
}

// at returns a thing to provoke that a fault sits at.
func at(f fault.Fault, h *harness.Harness, r *rand.Rand) attempt.Action {
	m, err := harness.NewMachine(h)
	if err != nil {
		return attempt.Wait{Seconds: 1}
	}
	place := f.Place
	if m.Wiggle(place) != nil {
		return attempt.Wait{Seconds: 1}
	}
	switch r.IntN(4) {
	case 0:
		return attempt.Warm{Place: place}
	case 1:
		return attempt.Cool{Place: place}
	}
	return attempt.Wiggle{Place: place}
}

// The true fault must never be dropped, with places wiggled, warmed and cooled at random and at the fault itself: neither one that
// comes and goes nor one that is always there.
func TestTruthIsNeverShakenOff(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		h := hf.Harness
		if hf.Harness.ID != "ft5-mast-and-beacon" && hf.Harness.ID != "dt14-work-lamps" {
			continue
		}
		entries := fault.Catalogue(h)
		points := h.Points()
		random := rand.New(rand.NewPCG(5, uint64(len(entries))))
		every := 5
		if testing.Short() {
			every = 25
		}
		tried := 0
		for i := random.IntN(every); i < len(entries); i += every {
			f := entries[i].Fault
			ex := attempt.Exercise{
				ID: "probe", Title: "probe", Harness: h, Faults: []fault.Fault{f}, Tools: meter.Tools(), Functions: meter.Functions(),
				Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: random.Uint64(),
			}
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err, f)
			for range 30 {
				act := randomAction(random, &ex, points, nil)
				switch random.IntN(5) {
				case 0:
					act = provoking(random, h)
				case 1:
					act = at(f, h, random)
				}
				_, err := a.Do(act)
				require.NoError(t, err, f)
			}
			assert.NoError(t, grading.KeepsTruth(ex, a.Records()), "%s: %s", h.ID, f)
			tried++
		}
		require.Positive(t, tried)
	}
}

// The same of every chafed wire of the vehicles that have some, and of joints that go bad by ohms, some of them: what touches when it is shaken opens
// fuses and moves relays, at the hand that wiggles either wire or when the whole vehicle shakes.
func TestTruthOfWhatGoesBadWhenShaken(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	tried := map[fault.Kind]int{}
	for _, hf := range lib.Harnesses {
		h, every := hf.Harness, share(20)
		var shaken []attempt.Action
		for _, c := range h.Controls {
			for _, p := range c.Shakes {
				shaken = append(shaken, attempt.Operate{Control: c.ID, Position: p})
			}
		}
		for i, entry := range fault.Catalogue(h) {
			random := rand.New(rand.NewPCG(seed(), uint64(i)))
			switch entry.Fault.Kind {
			case fault.TouchesGround, fault.TouchesWire:
				if random.IntN(max(1, every/5)) != 0 {
					continue
				}
			case fault.HighShaken, fault.HighHot, fault.HighCold:
				if random.IntN(every) != 0 {
					continue
				}
			default:
				continue
			}
			f := somewhere(entry, random)
			ex, records := probingWith(t, h, []fault.Fault{f}, random, 25, func(_ int, act attempt.Action) attempt.Action {
				switch random.IntN(6) {
				case 0:
					return at(f, h, random)
				case 1:
					if f.Kind == fault.TouchesWire {
						return attempt.Wiggle{Place: "wire " + f.Other}
					}
				case 2:
					if len(shaken) > 0 {
						return shaken[random.IntN(len(shaken))]
					}
				}
				return act
			})
			keeps(t, ex, records)
			tried[f.Kind]++
		}
	}
	for _, k := range []fault.Kind{fault.TouchesGround, fault.TouchesWire, fault.HighShaken} {
		assert.Positive(t, tried[k], k)
	}
	t.Log(tried)
}

// suspectedAfter does actions and returns the places that are then suspected.
func suspectedAfter(t *testing.T, ex attempt.Exercise, a *attempt.Attempt, acts []attempt.Action) map[string]bool {
	t.Helper()
	for _, act := range acts {
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused, "%#v", act)
	}
	e, err := grading.Weigh(ex, a.Records(), 0)
	require.NoError(t, err)
	out := map[string]bool{}
	for _, s := range e.Suspects(len(a.Records())) {
		out[s.Place] = true
	}
	return out
}

// A wire that chafes is told from all else in its circuit by the fuse that opens in the hand: what was moved and opened none is ruled out.
func TestShakenShortTells(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("ft5-08-eats-fuses")
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	suspects := func(acts ...attempt.Action) map[string]bool { return suspectedAfter(t, ex, a, acts) }
	lit := []attempt.Action{attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "MLS", Position: "on"}}
	before := suspects(append(lit, attempt.Operate{Control: "RIDE", Position: "shaking"}, attempt.Operate{Control: "RIDE", Position: "still"})...)
	assert.True(t, before["wire 56c"])
	assert.False(t, before["cavity X1.1"], "a loose terminal would have come back")
	after := suspects(attempt.Unplug{Connector: "F2"}, attempt.FitFuse{Connector: "F2", Amps: 15}, attempt.Wiggle{Place: "X1"}, attempt.Wiggle{Place: "wire 56c"})
	assert.Equal(t, map[string]bool{"wire 56c": true}, after)
}

// Wiggling tells one loose terminal from another in the same circuit where nothing else is shaken: what does not move the lamp is
// ruled out, what does stands.
func TestWigglingTells(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("ft5-01-every-rut")
	suspects := func(acts ...attempt.Action) map[string]bool {
		a, err := attempt.Start(ex, memory{})
		require.NoError(t, err)
		return suspectedAfter(t, ex, a, acts)
	}
	acts := []attempt.Action{
		attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "RIDE", Position: "shaking"},
		attempt.Operate{Control: "RIDE", Position: "still"},
	}
	loose := []string{"cavity X2.1", "cavity BE.in", "cavity X2.2", "ring G1.61e", "crimp X2.1.a"}
	before := suspects(acts...)
	for _, place := range loose {
		assert.True(t, before[place], "%s stands while only the whole truck was shaken", place)
	}
	acts = append(acts, attempt.Wiggle{Place: "BE"}, attempt.Wiggle{Place: "G1"})
	after := suspects(acts...)
	assert.False(t, after["cavity BE.in"], "the beacon's plug was wiggled and the beacon shone on")
	assert.False(t, after["ring G1.61e"], "so it did with the ground rings wiggled")
	acts = append(acts, attempt.Wiggle{Place: "X2.1"})
	after = suspects(acts...)
	assert.True(t, after["cavity X2.1"])
	assert.True(t, after["cavity X2.2"], "wiggling one cavity moves the one beside it")
	assert.True(t, after["crimp X2.1.a"], "and the crimp in it")
	acts = append(acts, attempt.Unplug{Connector: "X2"}, attempt.Inspect{Place: "X2"})
	after = suspects(acts...)
	assert.Equal(t, map[string]bool{"cavity X2.1": true}, after, "the loose terminal is seen at the face")
}

// Whoever follows the advice is told to wiggle where that tells most for the time, and proves what only opens when it is shaken.
func TestAdviceToWiggle(t *testing.T) {
	if testing.Short() {
		return // it takes some ten seconds
	}
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("ft5-06-both-at-once")
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	p, err := grading.NewPlanner(ex)
	require.NoError(t, err)
	require.NoError(t, grading.Follow(p, a, nil))
	wiggled, told := 0, false
	for _, rec := range a.Records() {
		if act, ok := rec.Action.(attempt.Wiggle); ok {
			wiggled++
			told = told || act.Place == "K1" && rec.Observation.Effects["ML"] == "off"
		}
	}
	assert.Positive(t, wiggled)
	assert.True(t, told, "the relay was wiggled in its socket, and the lamps went out")
	r := grade(t, ex, a.Records())
	assert.True(t, r.Closed)
	assert.Contains(t, r.Stage(grading.Isolate).Items[0].Text, "Proved")
	assert.Equal(t, r.Stage(grading.Repair).Of, r.Stage(grading.Repair).Points, "%+v", r.Stage(grading.Repair).Items)
	assert.Equal(t, r.Stage(grading.Retest).Of, r.Stage(grading.Retest).Points, "%+v", r.Stage(grading.Retest).Items)
}
