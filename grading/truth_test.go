package grading_test

import (
	"bufio"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// randomAction returns something that a person might do, sensible or not, repairs among it if there are any.
func randomAction(r *rand.Rand, ex *attempt.Exercise, points []harness.Point, repairs []fault.Repair) attempt.Action {
	h := ex.Harness
	point := func() harness.Point { return points[r.IntN(len(points))] }
	connector := func() string { return h.Connectors[r.IntN(len(h.Connectors))].ID }
	switch r.IntN(20) {
	case 0, 1, 2:
		c := h.Controls[r.IntN(len(h.Controls))]
		return attempt.Operate{Control: c.ID, Position: c.Positions[r.IntN(len(c.Positions))]}
	case 3:
		functions := meter.Functions()
		return attempt.Dial{Function: functions[r.IntN(len(functions))]}
	case 4, 5, 6, 7:
		return attempt.Lead{Tool: meter.Multimeter, End: r.IntN(2), Point: point()}
	case 8:
		return attempt.Lead{Tool: meter.TestLamp, End: r.IntN(2), Point: point()}
	case 9:
		if r.IntN(3) > 0 {
			return attempt.Lead{Tool: meter.Jumper, End: r.IntN(2)}
		}
		return attempt.Lead{Tool: meter.Jumper, End: r.IntN(2), Point: point()}
	case 10, 11:
		return attempt.Unplug{Connector: connector()}
	case 12:
		return attempt.Plug{Connector: connector()}
	case 13:
		return attempt.Inspect{Place: connector()}
	case 14:
		if len(h.Splices) == 0 || r.IntN(2) == 0 {
			return attempt.Inspect{Place: "wire " + h.Wires[r.IntN(len(h.Wires))].ID}
		}
		splice := h.Splices[r.IntN(len(h.Splices))].ID
		if r.IntN(2) == 0 {
			return attempt.OpenLoom{Splice: splice}
		}
		return attempt.CloseLoom{Splice: splice}
	case 15:
		switch n := r.IntN(4); {
		case n == 0 && len(repairs) > 0:
			return attempt.Repair{Repair: repairs[r.IntN(len(repairs))].String()}
		case n <= 1:
			return attempt.ResetFuse{Tool: []meter.Tool{meter.Multimeter, meter.Jumper}[r.IntN(2)]}
		}
		var holders []string
		for _, c := range h.Connectors {
			if c.Mount == harness.Holder {
				holders = append(holders, c.ID)
			}
		}
		amps := device.FuseRatings()
		return attempt.FitFuse{Connector: holders[r.IntN(len(holders))], Amps: amps[r.IntN(len(amps))]}
	case 16:
		return attempt.Relative{On: r.IntN(2) == 0}
	case 17:
		return attempt.Capture{On: r.IntN(2) == 0}
	case 18:
		return []attempt.Action{attempt.Wiggle{Place: connector()}, attempt.Warm{Place: connector()}, attempt.Cool{Place: connector()}}[r.IntN(3)]
	}
	return attempt.Wait{Seconds: 1 + float64(r.IntN(20))}
}

// seed is that of the random probing: 1, or $FAULTLOOM_SEED for a long night.
func seed() uint64 {
	if n, err := strconv.ParseUint(os.Getenv("FAULTLOOM_SEED"), 10, 64); err == nil {
		return n
	}
	return 1
}

// share returns of how many faults one is tried: usual, many times more under -short, or what $FAULTLOOM_FULL says.
func share(usual int) int {
	if n, err := strconv.Atoi(os.Getenv("FAULTLOOM_FULL")); err == nil && n > 0 {
		return n
	}
	if testing.Short() {
		return 5 * usual
	}
	return usual
}

// somewhere returns an entry's fault at a severity anywhere in its interval.
func somewhere(e fault.Entry, random *rand.Rand) fault.Fault {
	f := e.Fault
	if e.High > e.Low && e.Low > 0 {
		f.Severity = min(e.High, max(e.Low, e.Low*math.Pow(e.High/e.Low, random.Float64())))
	}
	return f
}

// probing is an attempt at faults of a harness with things done at random.
func probing(t testing.TB, h *harness.Harness, faults []fault.Fault, random *rand.Rand, steps int) (attempt.Exercise, []attempt.Record) {
	t.Helper()
	return probingWith(t, h, faults, random, steps, func(_ int, act attempt.Action) attempt.Action { return act })
}

// probingWith is probing in which instead says what is done in the place of each random action.
func probingWith(t testing.TB, h *harness.Harness, faults []fault.Fault, random *rand.Rand, steps int,
	instead func(n int, act attempt.Action) attempt.Action) (attempt.Exercise, []attempt.Record) {
	t.Helper()
	ex := probe(h, faults, random.Uint64())
	a, err := attempt.Start(ex, memory{})
	require.NoError(t, err, faults)
	points, repairs := h.Points(), fault.Repairs(h)
	for n := range steps {
		_, err := a.Do(instead(n, randomAction(random, &ex, points, repairs)))
		require.NoError(t, err, faults)
	}
	return ex, a.Records()
}

// probe is an exercise with all tools.
func probe(h *harness.Harness, faults []fault.Fault, seed uint64) attempt.Exercise {
	return attempt.Exercise{
		ID: "probe", Title: "probe", Harness: h, Faults: faults, Tools: meter.Tools(), Functions: meter.Functions(),
		Mode: attempt.Drill, Weights: scenarios.DefaultWeights(), Seed: seed,
	}
}

// keeps asserts that a log does not rule an exercise's first fault out, and gives the case if it does.
func keeps(t *testing.T, ex attempt.Exercise, records []attempt.Record) {
	t.Helper()
	if !assert.NoError(t, grading.KeepsTruth(ex, records), "%s: %v", ex.Harness.ID, ex.Faults) {
		t.Log(string(line(t, ex, records)))
	}
}

// The true fault must never be dropped, whatever is done, wherever it is and however bad: neither by itself, driven exactly, nor as the
// interval of severity that holds it. $FAULTLOOM_FULL=n tries every n-th entry of every catalogue, 1 all of them.
func TestTruthIsNeverDropped(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		t.Run(hf.Harness.ID, func(t *testing.T) {
			t.Parallel()
			h, every := hf.Harness, share(16)
			for i, entry := range fault.Catalogue(h) {
				random := rand.New(rand.NewPCG(seed(), uint64(i)))
				if random.IntN(every) != 0 {
					continue
				}
				ex, records := probing(t, h, []fault.Fault{somewhere(entry, random)}, random, 25)
				keeps(t, ex, records)
			}
		})
	}
}

// Of two faults each must stand while the other is taken as given.
func TestTruthOfTwoIsNeverDropped(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, hf := range lib.Harnesses {
		t.Run(hf.Harness.ID, func(t *testing.T) {
			t.Parallel()
			h, every := hf.Harness, share(45)
			entries := fault.Catalogue(h)
			for i, entry := range entries {
				random := rand.New(rand.NewPCG(seed(), uint64(len(entries)+i)))
				other := entries[random.IntN(len(entries))]
				if random.IntN(every) != 0 || other.Fault.Place == entry.Fault.Place {
					continue
				}
				ex, records := probing(t, h, []fault.Fault{somewhere(entry, random), somewhere(other, random)}, random, 25)
				keeps(t, ex, records)
			}
		})
	}
}

// What is ruled out without an exact drive would be ruled out by one too.
func TestFallsAreExact(t *testing.T) {
	t.Parallel()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	all := 0
	for i, hf := range lib.Harnesses {
		h := hf.Harness
		if testing.Short() && i != 1 { // one in which everything comes to rest at once
			continue
		}
		random := rand.New(rand.NewPCG(seed(), uint64(len(h.Wires))))
		entries := fault.Catalogue(h)
		ex, records := probing(t, h, []fault.Fault{somewhere(entries[random.IntN(len(entries))], random)}, random, 12)
		n, err := grading.FallsExactly(ex, records)
		if !assert.NoError(t, err, "%s: %v", h.ID, ex.Faults) {
			t.Log(string(line(t, ex, records)))
		}
		t.Logf("%s, %v: %d fell so", h.ID, ex.Faults, n)
		all += n
	}
	require.NotZero(t, all)
}

// found is a case in which a true fault was once dropped, as a line of JSON: the shortest actions that did it.
type found struct {
	Why     string            `json:"why,omitempty"`
	Harness string            `json:"harness"`
	Faults  []string          `json:"faults"`
	Seed    uint64            `json:"seed"`
	Actions []json.RawMessage `json:"actions"`
}

// line writes an attempt as a case.
func line(t testing.TB, ex attempt.Exercise, records []attempt.Record) []byte {
	t.Helper()
	f := found{Harness: ex.Harness.ID, Seed: ex.Seed}
	for _, x := range ex.Faults {
		f.Faults = append(f.Faults, x.String())
	}
	for _, rec := range records {
		act, err := attempt.EncodeAction(rec.Action)
		require.NoError(t, err)
		f.Actions = append(f.Actions, act)
	}
	out, err := json.Marshal(f)
	require.NoError(t, err)
	return out
}

// Cases that random probing has found, each once a true fault that was dropped.
func TestTruthOnceDropped(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	file, err := os.Open("../testdata/grading/truth.jsonl")
	require.NoError(t, err)
	defer file.Close()
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		var f found
		require.NoError(t, json.Unmarshal(lines.Bytes(), &f), lines.Text())
		t.Run(strings.Join(f.Faults, " and "), func(t *testing.T) {
			t.Parallel()
			var faults []fault.Fault
			for _, text := range f.Faults {
				x, err := fault.Parse(text)
				require.NoError(t, err)
				faults = append(faults, x)
			}
			var h *harness.Harness
			for _, hf := range lib.Harnesses {
				if hf.Harness.ID == f.Harness {
					h = hf.Harness
				}
			}
			require.NotNil(t, h, f.Harness)
			ex := probe(h, faults, f.Seed)
			a, err := attempt.Start(ex, memory{})
			require.NoError(t, err)
			for _, text := range f.Actions {
				act, err := attempt.DecodeAction(text)
				require.NoError(t, err)
				_, err = a.Do(act)
				require.NoError(t, err)
			}
			keeps(t, ex, a.Records())
		})
	}
	require.NoError(t, lines.Err())
}
