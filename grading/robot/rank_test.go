package robot_test

import (
	"os"
	"slices"
	"testing"

	"faultloom/grading/robot"
	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// everyday are the exercises, of different vehicles, that are played every day; of them the first when tests are to be short.
var everyday = [...]string{"dt14-01-the-lamp-that-answers", "hl6-02-only-by-herself"}

// The grades rank the four technicians as an instructor would, and the best next test always isolates the cause. With FAULTLOOM_FULL=1
// and a -timeout to go with it all exercises are played, which takes 20 s to minutes of one core each.
func TestRobotsRank(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	full := os.Getenv("FAULTLOOM_FULL") == "1"
	for _, e := range lib.Exercises {
		ex := *e.Exercise
		at := slices.Index(everyday[:], ex.ID)
		if !full && (at < 0 || testing.Short() && at > 0) {
			continue
		}
		t.Run(ex.ID, func(t *testing.T) {
			row, err := robot.Judge(ex)
			require.NoError(t, err)
			t.Logf("%+v %+v", row.Scores, row.Effort)
			assert.Empty(t, row.Amiss, "%+v", row.Scores)
			if len(ex.Faults) == 1 {
				require.NotNil(t, row.Effort, "the best next test finds a single fault")
				assert.Equal(t, 1, row.Effort.Isolated, "the best next test isolates the cause")
			}
			assert.Equal(t, 1, row.Scores[0].Mended)
		})
	}
}

// The robots are handed no fault: with another one in the vehicle they do the same until it shows.
func TestRobotsDoNotKnow(t *testing.T) {
	ex := exercise(t, "vn22-07-right-side")
	for _, r := range robot.Robots() {
		t.Run(r.Name, func(t *testing.T) {
			if testing.Short() && r.Name == robot.Best {
				return
			}
			one, err := r.Play(ex, 0, robot.None{})
			require.NoError(t, err)
			other := ex
			other.Faults = exercise(t, "vn22-06-all-night").Faults
			two, err := r.Play(other, 0, robot.None{})
			require.NoError(t, err)
			for i := range min(len(one), len(two)) {
				require.Equal(t, one[i].Action, two[i].Action, "step %d", i+1)
				a, b := one[i].Observation, two[i].Observation
				if !assert.ObjectsAreEqual(a, b) {
					return
				}
			}
		})
	}
}

func exercise(t *testing.T, id string) attempt.Exercise {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise(id)
	require.NotNil(t, ex, "exercise %s is shipped", id)
	return *ex
}

func TestMean(t *testing.T) {
	m := robot.Mean([]robot.Effort{
		{Faults: 1, Isolated: 1, Tests: 2, FloorTests: 1, Minutes: 3, FloorMinutes: 2},
		{Faults: 3, Isolated: 2, Tests: 4, FloorTests: 3, Minutes: 1, FloorMinutes: 1},
	})
	assert.Equal(t, robot.Effort{Faults: 4, Isolated: 3, Tests: 3.5, FloorTests: 2.5, Minutes: 1.5, FloorMinutes: 1.25}, m)
	assert.InDelta(t, 1.4, m.TestRatio(), 1e-12)
	assert.InDelta(t, 1.2, m.MinuteRatio(), 1e-12)
}
