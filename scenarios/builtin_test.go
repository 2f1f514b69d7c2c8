package scenarios_test

import (
	"encoding/csv"
	"os"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// shipped loads what comes with the program, once for all tests: nothing in it is ever written.
var shipped = sync.OnceValues(func() (*scenarios.Library, error) { return scenarios.LoadAll(scenarios.Builtin()) })

func builtin(t testing.TB) *scenarios.Library {
	t.Helper()
	lib, err := shipped()
	require.NoError(t, err, "the files that come with the program must be right")
	return lib
}

func machine(t testing.TB, h *harness.Harness) *harness.Machine {
	t.Helper()
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	return m
}

// TestBuiltinProof is the promise of the shipped files: every healthy harness passes its own check with nothing to remark, and
// every fault that an exercise names shows.
func TestBuiltinProof(t *testing.T) {
	lib := builtin(t)
	for _, f := range lib.Harnesses {
		for _, finding := range scenarios.Prove(f.Harness) {
			assert.Equal(t, scenarios.Holds, finding.Grade, "%s: %s", f.File, finding.Text)
		}
	}
	for _, f := range lib.Exercises {
		require.NotEmpty(t, f.Exercise.Faults, f.File)
		for _, finding := range scenarios.ProveExercise(f.Exercise) {
			assert.Equal(t, scenarios.Holds, finding.Grade, "%s: %s", f.File, finding.Text)
		}
	}
}

// TestDockTractorHoldsWhatItShould counts what the first drill's vehicle is made of.
func TestDockTractorHoldsWhatItShould(t *testing.T) {
	lib := builtin(t)
	h := lib.Harness("dt14-work-lamps")
	require.NotNil(t, h)
	count := map[string]int{}
	for _, c := range h.Components {
		count[c.Spec.Kind]++
	}
	assert.Equal(t, map[string]int{"battery": 1, "fuse": 3, "switch": 2, "button": 1, "relay": 1, "lamp": 3, "horn": 1}, count)
	inline := 0
	for _, c := range h.Connectors {
		if c.Mount == harness.InLine {
			inline++
		}
	}
	assert.Equal(t, 2, inline, "in-line connectors")
	assert.InDelta(t, 24, len(h.Wires), 6, "about twenty wires")
	assert.NotEmpty(t, h.Notes)
	assert.NotEmpty(t, h.Hints)
	assert.NotEmpty(t, h.Symptoms)
	n := 0
	for _, e := range lib.Exercises {
		if e.Exercise.Harness.ID == h.ID {
			n++
		}
	}
	assert.GreaterOrEqual(t, n, 12, "exercises on it")
}

// TestEveryHarnessHasExercises keeps a harness from being shipped with nothing to do on it.
func TestEveryHarnessHasExercises(t *testing.T) {
	lib := builtin(t)
	for _, f := range lib.Harnesses {
		n := 0
		for _, e := range lib.Exercises {
			if e.Exercise.Harness.ID == f.Harness.ID {
				n++
			}
		}
		assert.GreaterOrEqual(t, n, 6, "exercises on %s", f.File)
	}
}

// TestExercisesDoNotGiveTheFaultAway looks for words of the fault in what a trainee reads first: the id of its place, and the
// trade's word for its kind.
func TestExercisesDoNotGiveTheFaultAway(t *testing.T) {
	telling := regexp.MustCompile(`(?i)\b(short(ed)?|corro\w*|ground(ed)?|earth|open circuit|backed|crimp\w*|splice\w*|welded|burnt|filament|resistance|broken wire|leak\w*)\b`)
	for _, f := range builtin(t).Exercises {
		ex := f.Exercise
		for _, fault := range ex.Faults {
			place := strings.Fields(fault.Place)[1]
			id, _, _ := strings.Cut(place, ".")
			if id != "F2" { // the driver of a tractor whose fuse has blown knows which one
				assert.NotRegexp(t, `\b`+id+`\b`, ex.Title+" "+ex.Complaint, "%s names the place of its fault", f.File)
			}
		}
		assert.NotRegexp(t, telling, ex.Title, "%s: the title gives the fault away", f.File)
		assert.GreaterOrEqual(t, len(strings.Fields(ex.Complaint)), 12, "%s: a complaint is more than a few words", f.File)
		assert.Equal(t, 100.0, ex.Weights.Sum(), "%s: weights", f.File)
		assert.Positive(t, ex.Minutes, "%s: minutes", f.File)
		assert.NotEmpty(t, ex.VehicleState, "%s: state", f.File)
	}
}

// TestExercisesDiffer keeps titles and faults apart within one harness.
func TestExercisesDiffer(t *testing.T) {
	titles, faults := map[string]string{}, map[string]string{}
	for _, f := range builtin(t).Exercises {
		assert.Empty(t, titles[f.Exercise.Title], "title %q again", f.Exercise.Title)
		titles[f.Exercise.Title] = f.File
		var all []string
		for _, x := range f.Exercise.Faults {
			all = append(all, x.String())
		}
		text := f.Exercise.Harness.ID + ": " + strings.Join(all, ", ")
		assert.Empty(t, faults[text], "%s has the fault of %s", f.File, faults[text])
		faults[text] = f.File
	}
}

// TestBothModesAreShipped: drills and graded exercises.
func TestBothModesAreShipped(t *testing.T) {
	modes := map[attempt.Mode]int{}
	for _, f := range builtin(t).Exercises {
		modes[f.Exercise.Mode]++
	}
	assert.Positive(t, modes[attempt.Drill])
	assert.Positive(t, modes[attempt.Graded])
}

// TestTerminalNumbers: a terminal that looks like a DIN 72552 number must be one (testdata/device/terminal_numbers.csv names the
// source of each). A control unit numbers the pins of its plug as it likes.
func TestTerminalNumbers(t *testing.T) {
	known := map[string]bool{}
	for _, row := range table(t, "../testdata/device/terminal_numbers.csv") {
		known[row["terminal"]] = true
	}
	looksDIN := regexp.MustCompile(`^[0-9]{2}[a-zA-Z]?$`)
	for _, f := range builtin(t).Harnesses {
		for _, c := range f.Harness.Components {
			if c.Spec.Kind == "module" {
				continue
			}
			for _, terminal := range c.Spec.Terminals {
				if looksDIN.MatchString(terminal) {
					assert.True(t, known[terminal], "%s: component %s: terminal %s is not in DIN 72552", f.File, c.ID, terminal)
				}
			}
		}
	}
}

// table reads a table with a header line.
func table(t testing.TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// taught returns the taught maximum drop of a place at a system voltage, from testdata/scenarios/voltage_drop.csv.
func taught(t *testing.T, where, volts string) float64 {
	t.Helper()
	for _, row := range table(t, "../testdata/scenarios/voltage_drop.csv") {
		if row["where"] == where && row["system_V"] == volts {
			v, err := strconv.ParseFloat(row["max_drop_V"], 64)
			require.NoError(t, err)
			return v
		}
	}
	require.Failf(t, "no such row", "%s at %s V", where, volts)
	return 0
}

// TestDockTractorDrops holds the healthy vehicle, with everything switched on, against the maxima that are taught. Each
// is a row of testdata/scenarios/voltage_drop.csv, which names its source or says that it is common practice.
func TestDockTractorDrops(t *testing.T) {
	h := builtin(t).Harness("dt14-work-lamps")
	m := machine(t, h)
	for control, position := range map[string]string{"KEY": "on", "LAMPS": "on", "HORN": "pressed"} {
		require.NoError(t, m.Operate(control, position))
	}
	require.NoError(t, m.Settle())
	drop := func(a, b harness.Point) float64 { return m.VoltsBetween(a, b) }

	t.Run("one connection", func(t *testing.T) {
		most := taught(t, "one connection", "12")
		for _, c := range h.Connectors {
			for _, cav := range c.Cavities {
				v := drop(harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b"))
				assert.Less(t, max(v, -v), most, "contact %s.%s", c.ID, cav.Number)
			}
		}
	})
	t.Run("length of wire", func(t *testing.T) {
		most := taught(t, "length of wire in a lighting or body circuit", "12")
		for _, w := range h.Wires {
			from, to := h.Ends(w)
			v := drop(from, to)
			assert.Less(t, max(v, -v), most, "wire %s", w.ID)
		}
	})
	t.Run("switch", func(t *testing.T) {
		most := taught(t, "switch", "12")
		assert.Less(t, drop("KEY.30.b", "KEY.15.b"), most)
		assert.Less(t, drop("LAMPS.1.b", "LAMPS.2.b"), most)
		assert.Less(t, drop("HORN.1.b", "HORN.2.b"), most)
	})
	t.Run("relay contact", func(t *testing.T) {
		assert.Less(t, drop("K1.30.b", "K1.87.b"), taught(t, "relay contact", "12"))
	})
	t.Run("fuse with its clips", func(t *testing.T) {
		most := taught(t, "fuse with its clips", "12")
		for _, id := range []string{"F1", "F2", "F3"} {
			assert.Less(t, drop(harness.Point(id+".1.a"), harness.Point(id+".2.a")), most, id)
		}
	})
	t.Run("ground path of a load", func(t *testing.T) {
		most := taught(t, "ground path of a load", "12")
		for _, p := range []harness.Point{"LL.out.b", "LR.out.b", "HN.out.b", "TT.out.b", "K1.85.b"} {
			assert.Less(t, drop(p, harness.Body), most, string(p))
		}
	})
	t.Run("supply to load, continuous", func(t *testing.T) {
		// The row is for 14 V; at 12 V the same limit is the stricter. The bus is S2, where the supply divides.
		most := taught(t, "supply bus to load, continuous", "14")
		for _, p := range []harness.Point{"LL.in.b", "LR.in.b"} {
			assert.Less(t, drop("S2", p), most, string(p))
		}
	})
	t.Run("supply to load, intermittent", func(t *testing.T) {
		assert.Less(t, drop("S2", "HN.in.b"), taught(t, "supply bus to load, intermittent", "14"))
	})
}
