package robot_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"faultloom/grading"
	"faultloom/grading/robot"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "play and record the robots' attempts anew")

const folder = "../../testdata/robot"

// recorded are the exercises at which the four were recorded.
var recorded = [...]string{"hl6-02-only-by-herself", "vn22-07-right-side", "dt14-05-half-the-light"}

// log is a sink in memory.
type log struct{ bytes.Buffer }

func (l *log) Append(line []byte) error {
	_, err := l.Write(line)
	return err
}

// What the four did when they were recorded replays to the same digits and gets the same points. Go test ./grading/robot -run
// Recorded -update plays them anew, which is needed after any change of an exercise, its harness, the physics or a robot; after a
// change of the grading look at what has changed in points.csv.
func TestRecordedRobots(t *testing.T) {
	var points [][]string
	for _, id := range recorded {
		ex := exercise(t, id)
		for _, r := range robot.Robots() {
			file := filepath.Join(folder, id+"."+r.Name+".jsonl")
			if *update {
				var l log
				_, err := r.Play(ex, 0, &l)
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(file, l.Bytes(), 0o644))
			}
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			records, err := attempt.Replay(ex, bytes.NewReader(data))
			require.NoError(t, err, "%s: after a change of exercise, harness or physics record anew with -update", file)
			g, err := grading.Grade(ex, records)
			require.NoError(t, err)
			points = append(points, []string{id, r.Name, strconv.FormatFloat(g.Score, 'f', 1, 64)})
		}
	}
	var out bytes.Buffer
	require.NoError(t, csv.NewWriter(&out).WriteAll(append([][]string{{"exercise", "robot", "points"}}, points...)))
	file := filepath.Join(folder, "points.csv")
	if *update {
		require.NoError(t, os.WriteFile(file, out.Bytes(), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), out.String(), "the same attempts get the same points")
}
