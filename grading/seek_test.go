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
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the search passes over, because even certainty would not be worth its time, is never what it should have found.
func TestPassingOverLosesNothing(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	tried := 0
	full := os.Getenv("FAULTLOOM_FULL") != ""
	for k, hf := range lib.Harnesses {
		if !full && slices.Contains(long[:], hf.Harness.ID) {
			continue
		}
		entries := fault.Catalogue(hf.Harness)
		random := rand.New(rand.NewPCG(seed(), uint64(len(entries))+2))
		for i, steps := range []int{0, 6} {
			if !full && i != k%2 {
				continue // of every other vehicle one, of the rest the other
			}
			if testing.Short() && tried == 4 {
				return
			}
			ex, records := probing(t, hf.Harness, []fault.Fault{entries[random.IntN(len(entries))].Fault}, random, steps)
			p, err := grading.NewPlanner(ex)
			require.NoError(t, err)
			p.Learn(records)
			if left, _, err := p.Left(); err != nil || left == 0 {
				require.NoError(t, err)
				continue
			}
			pruned, whole, err := p.BothWays()
			require.NoError(t, err)
			tried++
			assert.Equal(t, whole.Bits > 0, pruned.Bits > 0)
			if whole.Bits > 0 {
				assert.InEpsilon(t, whole.Bits/whole.Minutes, pruned.Bits/pruned.Minutes, 1e-6, "%s, %s, after %d steps: %+v, %+v", hf.Harness.ID, ex.Faults[0], steps, whole, pruned)
			}
		}
	}
	assert.Greater(t, tried, 3)
}

// threeCoils is a circuit in which nothing is seen of what three resistors carry.
const threeCoils = `harness: three-coils
title: Three heating coils
vehicle: {fleet: XX-3, title: made-up sledge, outline: boat, supply: 12 V}
components:
  BAT: {kind: battery, title: Battery}
  F1: {kind: fuse, title: Fuse, rating: 15 A}
  SW: {kind: switch, title: Switch, positions: {off: nothing, on: 1-2}}
  PL: {kind: lamp, title: Pilot lamp, power: 2 W}
  R1: {kind: resistor, title: First coil, resistance: 4 ohm}
  R2: {kind: resistor, title: Second coil, resistance: 4 ohm}
  R3: {kind: resistor, title: Third coil, resistance: 4 ohm}
splices:
  S1: {where: behind the switch}
grounds:
  G1: {title: Frame}
wires:
  30a: {from: BAT.30, to: F1.1, length: 0.5 m, size: 4 mm2, colour: RD}
  30b: {from: F1.2, to: SW.1, length: 1 m, size: 2.5 mm2, colour: RD}
  15a: {from: SW.2, to: S1, length: 0.5 m, size: 2.5 mm2, colour: BK}
  15b: {from: S1, to: R1.1, length: 1 m, size: 1.5 mm2, colour: BK/RD}
  15c: {from: S1, to: R2.1, length: 1 m, size: 1.5 mm2, colour: BK/BU}
  15d: {from: S1, to: R3.1, length: 1 m, size: 1.5 mm2, colour: BK/YE}
  15e: {from: S1, to: PL.in, length: 1 m, size: 1.5 mm2, colour: BK/WH}
  31a: {from: R1.2, to: G1, length: 1 m, size: 1.5 mm2, colour: BN}
  31b: {from: R2.2, to: G1, length: 1 m, size: 1.5 mm2, colour: BN}
  31c: {from: R3.2, to: G1, length: 1 m, size: 1.5 mm2, colour: BN}
  31d: {from: PL.out, to: G1, length: 1 m, size: 1.5 mm2, colour: BN}
  31e: {from: BAT.31, to: G1, length: 0.5 m, size: 16 mm2, colour: BK}
check:
  - expect: {PL: off}
  - set: {SW: on}
    expect: {PL: lit}
`

// Where nothing but a test lamp is allowed it tells what is live and what is at ground, and finds the place where that ends.
func TestAdviceWithNothingButATestLamp(t *testing.T) {
	h, err := scenarios.Load(fstest.MapFS{"h.yaml": {Data: []byte(hornRelay)}}, "h.yaml")
	require.NoError(t, err)
	for _, text := range []string{"wire 71b open", "cavity X1.2 corroded 1000 ohm", "wire 15a open"} {
		t.Run(text, func(t *testing.T) {
			f, records, repairs := advised(t, h, text, meter.TestLamp)
			lamps := 0
			for _, rec := range records {
				if act, ok := rec.Action.(attempt.Lead); ok {
					assert.Equal(t, meter.TestLamp, act.Tool)
					lamps++
				}
			}
			assert.GreaterOrEqual(t, lamps, 2)
			book := fault.NewBook(h)
			assert.True(t, slices.ContainsFunc(repairs, func(r string) bool {
				rep, err := fault.ParseRepair(r)
				return err == nil && book.Mends(rep, f)
			}), "%v", repairs)
			assert.LessOrEqual(t, len(repairs), 3, "%v", repairs)
		})
	}
}

// advised follows the advice of an exercise with one tool until it names repairs; it asserts that the fault still stands then.
func advised(t *testing.T, h *harness.Harness, text string, tool meter.Tool) (f fault.Fault, records []attempt.Record, repairs []string) {
	t.Helper()
	f, err := fault.Parse(text)
	require.NoError(t, err)
	ex := probe(h, []fault.Fault{f}, 1)
	ex.Tools = []meter.Tool{tool}
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err)
	p, err := grading.NewPlanner(ex)
	require.NoError(t, err)
	for range 60 {
		p.Learn(a.Records())
		next, err := p.Next()
		require.NoError(t, err)
		if len(next.Repairs) > 0 {
			require.NoError(t, grading.KeepsTruth(ex, a.Records()))
			return f, a.Records(), next.Repairs
		}
		do(t, ex, a, next)
	}
	t.Fatal("it does not come to an end")
	return f, nil, nil
}

// Where nothing but a clamp is allowed the advice is to clamp wires, its zero set once and before that, and it finds which of three branches
// carries nothing, as far as that can be found so.
func TestAdviceWithNothingButAClamp(t *testing.T) {
	t.Parallel()
	h, err := scenarios.Load(fstest.MapFS{"h.yaml": {Data: []byte(threeCoils)}}, "h.yaml")
	require.NoError(t, err)
	for _, text := range []string{"wire 15c open", "wire 31c open"} {
		t.Run(text, func(t *testing.T) {
			f, records, repairs := advised(t, h, text, meter.Clamp)
			zeros, clamped := 0, 0
			for _, rec := range records {
				switch act := rec.Action.(type) {
				case attempt.Zero:
					assert.Zero(t, clamped, "set before it is around anything")
					zeros++
				case attempt.Lead:
					assert.Equal(t, meter.Clamp, act.Tool)
					clamped++
				}
			}
			assert.Positive(t, clamped)
			assert.Equal(t, 1, zeros)
			assert.Contains(t, repairs, "replace "+f.Place)
			assert.LessOrEqual(t, len(repairs), 3, "a branch is one wire in, one out, and the coil: %v", repairs)
		})
	}
}
