package bench_test

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// TestEveryExerciseByClicks plays each exercise that ships from the list to the closed job, by the clicks that a person makes who
// already knows what is wrong: check, finding, repair, fuses, check again, once for each fault. The retest must then be
// worth all its points, and the repair what it can be to somebody who tested nothing: whatever a person is asked for there can be
// done. A debrief weighs hundreds of faults against the whole
// log, so each time only two jobs of each vehicle and those with two faults are played, and the first of most vehicles closed; with
// FAULTLOOM_FULL=1 all are.
func TestEveryExerciseByClicks(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	full := os.Getenv("FAULTLOOM_FULL") != ""
	played, closed := 2, 1
	if full {
		played, closed = len(lib.Exercises), len(lib.Exercises)
	}
	done := map[string]int{}
	for _, f := range lib.Exercises {
		ex := f.Exercise
		done[ex.Harness.ID]++
		n, two := done[ex.Harness.ID], len(ex.Faults) > 1
		if n > played && !two {
			continue
		}
		// The timers of a control unit make its debriefs the longest.
		closes := full || n <= closed && !hasUnit(ex.Harness)
		t.Run(ex.ID, func(t *testing.T) {
			r := newRig(t, 1280, 800, 1)
			r.start(ex.ID)
			assert.False(t, r.check(ex.Harness), "the complaint shows in the check")
			fuses := false
			for i, f := range ex.Faults {
				r.find(f)
				r.page("finding")
				r.click("repair/fitting")
				r.click("repair/yes")
				good := r.check(ex.Harness)
				if i == len(ex.Faults)-1 && !good {
					fuses = true
					r.newFuses(ex.Harness)
					good = r.check(ex.Harness)
				}
				if i < len(ex.Faults)-1 && ex.Mode == attempt.Drill {
					assert.Contains(t, r.m.Mirror().Guide, "still not good", "what is told when a line still fails after a repair")
				}
				assert.Equal(t, i == len(ex.Faults)-1, good, "the check after repair %d of %d", i+1, len(ex.Faults))
			}
			if !closes {
				return
			}
			r.page("finding")
			r.click("close")
			r.click("close/yes")
			rep := r.m.Report()
			require.NotNil(t, rep, "a debrief (%s)", r.m.Mirror().Event)
			for _, s := range rep.Stages {
				if s.Name == attempt.StageRepair {
					rightRepair(t, s)
				}
				if s.Name == attempt.StageRetest || s.Name == attempt.StageConfirm {
					assert.InDelta(t, s.Of, s.Points, 1e-9, "points for %s (new fuses: %v): %+v", s.Name, fuses, s.Items)
				}
			}
			assert.NotEmpty(t, rep.Verdict)
			assert.Len(t, rep.Cause, len(ex.Faults), "every fault is named")
		})
	}
}

// rightRepair holds what is true of a right repair that tests had not proved: it is worth less than one that they had, but something,
// and nothing was done for nothing.
func rightRepair(t *testing.T, s grading.StageScore) {
	t.Helper()
	require.Len(t, s.Items, 2, "%+v", s.Items)
	assert.Positive(t, s.Items[0].Points, "the repair is right: %+v", s.Items)
	assert.InDelta(t, s.Items[1].Of, s.Items[1].Points, 1e-9, "no needless repair: %+v", s.Items)
}

func hasUnit(h *harness.Harness) bool {
	return slices.ContainsFunc(h.Components, func(c harness.Component) bool { return c.Spec.Kind == "module" })
}

// check goes through the whole check and marks what is seen; it reports whether all was good.
func (r *rig) check(h *harness.Harness) bool {
	r.t.Helper()
	r.page("check")
	all := true
	for i, line := range h.Check {
		n := "check/" + strconv.Itoa(i+1)
		r.click(n + "/set")
		good := r.asSaid(line)
		if good {
			r.click(n + "/good")
		} else {
			r.click(n + "/bad")
		}
		all = all && good
	}
	return all
}

// asSaid reports whether the vehicle does what a line of its check says.
func (r *rig) asSaid(line harness.CheckLine) bool {
	st := r.m.State()
	for _, e := range line.Expect {
		if st.Effects[e.Component].Word != e.Word {
			return false
		}
	}
	return true
}

// find declares a fault by way of the list of places.
func (r *rig) find(f fault.Fault) {
	r.t.Helper()
	if f.Kind != fault.WrongRating {
		f.Severity = 0
	}
	text := f.String()
	_, place, _ := strings.Cut(f.Place, " ")
	id, _, _ := strings.Cut(strings.Fields(place)[0], ".")
	r.page("finding")
	for _, kind := range []string{"wire", "ground", "splice", "connector", "component"} {
		r.click("find")
		way := "find/" + kind + "/" + id
		if r.m.Frame(r.size).Find(way) == nil {
			r.key("Escape")
			continue
		}
		r.click(way)
		if r.m.Frame(r.size).Find("kind/"+text) != nil {
			r.click("kind/" + text)
			require.Equal(r.t, text, r.m.State().Finding)
			return
		}
		r.key("Escape")
		r.key("Escape")
	}
	require.Fail(r.t, "no list offers the fault", "%s", f)
}

// newFuses pulls every fuse and fits one of the same rating where it has melted.
func (r *rig) newFuses(h *harness.Harness) {
	r.t.Helper()
	for _, c := range h.Connectors {
		if c.Mount != harness.Holder {
			continue
		}
		r.open(harness.CavityPoint(c.ID, c.Cavities[0].Number, "b"))
		r.click("unplug")
		r.click("inspect")
		if f := r.m.State().Fuses[c.ID]; f.Looked && f.Blown {
			r.click("fuse")
			r.click("amps/" + strconv.FormatFloat(f.Amps, 'f', -1, 64))
		}
		if r.m.State().Unplugged[c.ID] {
			r.click("plug")
		}
	}
}
