package desk_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/store"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const job = "dt14-06-gate-four"

// room is a folder of attempts in which desks come and go, as programs do that are stopped and started.
type room struct {
	t   *testing.T
	dir string
	lib *scenarios.Library
	at  time.Time
}

func newRoom(t *testing.T) *room {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	return &room{t, t.TempDir(), lib, time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)}
}

func (r *room) desk() *desk.Desk {
	r.t.Helper()
	s, err := store.Open(r.dir)
	require.NoError(r.t, err)
	d := desk.New(r.lib, s, func() time.Time { r.at = r.at.Add(time.Second); return r.at })
	r.t.Cleanup(d.Close)
	return d
}

// files returns the attempts' files, oldest first.
func (r *room) files() []string {
	r.t.Helper()
	files, err := filepath.Glob(filepath.Join(r.dir, "attempts", "*"+store.Suffix))
	require.NoError(r.t, err)
	return files
}

func (r *room) start(d *desk.Desk, fresh bool) *wire.Job {
	r.t.Helper()
	j, err := d.Start(wire.StartRequest{ID: job, Fresh: fresh})
	require.NoError(r.t, err)
	return j
}

func request(t *testing.T, seq int, act attempt.Action) wire.DoRequest {
	t.Helper()
	data, err := attempt.EncodeAction(act)
	require.NoError(t, err)
	return wire.DoRequest{Exercise: job, Seq: seq, Action: data}
}

func (r *room) do(d *desk.Desk, seq int, act attempt.Action) *wire.DoReply {
	r.t.Helper()
	reply, err := d.Do(request(r.t, seq, act))
	require.NoError(r.t, err)
	require.Equal(r.t, seq+1, reply.State.Seq)
	return reply
}

// status is the status that a request was refused with.
func status(t *testing.T, err error) int {
	t.Helper()
	var e *desk.Error
	require.ErrorAs(t, err, &e)
	return e.Status
}

var steps = []attempt.Action{
	attempt.Operate{Control: "KEY", Position: "on"},
	attempt.Operate{Control: "HORN", Position: "pressed"},
	attempt.Dial{Function: meter.Volts},
	attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "G1"},
	attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "X1.2.b"},
}

func TestWhatIsDoneIsOnDiskAndTakenUpAgain(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	j := r.start(d, false)
	assert.Equal(t, 0, j.State.Seq)
	assert.Equal(t, job, j.Exercise.ID)
	require.Len(t, r.files(), 1)
	for n, act := range steps {
		reply := r.do(d, n, act)
		data, err := os.ReadFile(r.files()[0])
		require.NoError(t, err)
		assert.Equal(t, n+2, bytes.Count(data, []byte("\n")), "the reply came after its line")
		again := r.start(r.desk(), false) // as after a kill: nothing was closed
		assert.Equal(t, reply.State, again.State, "after step %d", n)
		assert.Empty(t, again.Notice)
	}
	assert.Len(t, r.files(), 1, "taking up makes no new attempt")
}

// A program killed while it writes a line leaves any number of its bytes.
func TestResumeAfterACutLastLine(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	r.start(d, false)
	for n, act := range steps[:3] {
		r.do(d, n, act)
	}
	d.Close()
	path := r.files()[0]
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	last := bytes.LastIndexByte(data[:len(data)-1], '\n') + 1
	for _, cut := range []int{last, last + 1, last + 30, len(data) - 30, len(data) - 1} {
		require.NoError(t, os.WriteFile(path, data[:cut], 0o600))
		d := r.desk()
		j := r.start(d, false)
		assert.Equal(t, 2, j.State.Seq, "cut at %d", cut)
		if cut > last {
			assert.Contains(t, j.Notice, "that action was not done", "cut at %d", cut)
		} else {
			assert.Empty(t, j.Notice, "nothing was lost")
		}
		r.do(d, 2, steps[2])
		d.Close()
		now, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(data), string(now), "the same action gives the same log")
	}
}

func TestAnAttemptThatNeverBeganIsPassedOver(t *testing.T) {
	for _, first := range []string{"", `{"format":"faultl`} {
		r := newRoom(t)
		d := r.desk()
		r.start(d, false)
		r.do(d, 0, steps[0])
		d.Close()
		path := filepath.Join(r.dir, "attempts", job+"@20390101T000000.000"+store.Suffix)
		require.NoError(t, os.WriteFile(path, []byte(first), 0o600))
		d = r.desk()
		assert.Equal(t, 1, r.start(d, false).State.Seq, "the one before it is taken up")
		assert.Equal(t, first, read(t, path), "it was not touched")
	}
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestAnEditedAttemptIsLeftAloneAndSaid(t *testing.T) {
	for _, c := range []struct{ name, from, to, says string }{
		{"a value changed", `"position":"on"`, `"position":"off"`, "line 2"},
		{"the last newline taken off, the one before it changed", `"pressed"`, `"released"`, "line 3"},
		{"a header of another exercise", job, "dt14-07-one-eye", "line 1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRoom(t)
			d := r.desk()
			r.start(d, false)
			for n, act := range steps {
				r.do(d, n, act)
			}
			d.Close()
			path := r.files()[0]
			edited := strings.TrimSuffix(strings.Replace(read(t, path), c.from, c.to, 1), "\n")
			require.NoError(t, os.WriteFile(path, []byte(edited), 0o600))

			d = r.desk()
			_, err := d.Job(job)
			require.ErrorContains(t, err, "cannot be taken up again")
			require.ErrorContains(t, err, c.says)
			j := r.start(d, false)
			assert.Equal(t, 0, j.State.Seq, "a fresh attempt")
			assert.Contains(t, j.Notice, c.says)
			assert.Len(t, r.files(), 2)
			assert.Equal(t, edited, read(t, path), "the old one stays as it is")
		})
	}
}

func TestARepeatedRequestIsNotDoneTwice(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	r.start(d, false)
	first := r.do(d, 0, steps[0])
	again, err := d.Do(request(t, 0, steps[0]))
	require.NoError(t, err)
	assert.Equal(t, first, again)
	spaced := wire.DoRequest{Exercise: job, Seq: 0, Action: json.RawMessage(" { \"position\":\"on\",\n\"do\":\"operate\", \"control\":\"KEY\" } ")}
	again, err = d.Do(spaced)
	require.NoError(t, err, "it is the same action, however it is written")
	assert.Equal(t, first, again)
	assert.Equal(t, 2, strings.Count(read(t, r.files()[0]), "\n"), "one action is in the log")

	_, err = d.Do(request(t, 0, steps[1]))
	assert.Equal(t, desk.Conflict, status(t, err), "another action with an old number is none of it")
}

func TestRefusals(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	_, err := d.Do(request(t, 0, steps[0]))
	assert.Equal(t, desk.Conflict, status(t, err), "nothing has begun")
	_, err = d.Job(job)
	assert.Equal(t, desk.NotFound, status(t, err))
	_, err = d.Job("no-such")
	assert.Equal(t, desk.NotFound, status(t, err))
	_, err = d.Start(wire.StartRequest{ID: "../" + job})
	assert.Equal(t, desk.NotFound, status(t, err))
	r.start(d, false)
	before := read(t, r.files()[0])
	for _, c := range []struct {
		name   string
		seq    int
		action string
		want   int
	}{
		{"stale", -1, `{"do":"close"}`, desk.Conflict},
		{"ahead", 1, `{"do":"close"}`, desk.Conflict},
		{"no action", 0, ``, desk.BadRequest},
		{"null", 0, `null`, desk.BadRequest},
		{"unknown word", 0, `{"do":"explode"}`, desk.BadRequest},
		{"unknown field", 0, `{"do":"close","now":true}`, desk.BadRequest},
		{"wait too long", 0, `{"do":"wait","seconds":1e9}`, desk.BadRequest},
		{"wait back", 0, `{"do":"wait","seconds":-1}`, desk.BadRequest},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := d.Do(wire.DoRequest{Exercise: job, Seq: c.seq, Action: json.RawMessage(c.action)})
			assert.Equal(t, c.want, status(t, err), "%v", err)
		})
	}
	assert.Equal(t, before, read(t, r.files()[0]), "none of it is in the log")

	reply := r.do(d, 0, attempt.Operate{Control: "no such control", Position: "on"})
	assert.NotEmpty(t, reply.Observation.Refused, "what cannot be done here is answered, not failed")
}

func TestAFolderThatIsGoneIsSaid(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	require.NoError(t, os.RemoveAll(filepath.Join(r.dir, "attempts")))
	_, err := d.Start(wire.StartRequest{ID: job, Fresh: true})
	assert.Equal(t, desk.Failed, status(t, err))
	_, err = d.Exercises()
	assert.Equal(t, desk.Failed, status(t, err))
}

func TestTwoProgramsAtOneAttempt(t *testing.T) {
	r := newRoom(t)
	a, b := r.desk(), r.desk()
	r.start(a, false)
	r.start(b, false)
	r.do(a, 0, steps[0])
	_, err := b.Do(request(t, 0, steps[1]))
	require.Equal(t, desk.Conflict, status(t, err), "b is told that it is behind")
	j, err := b.Job(job)
	require.NoError(t, err)
	assert.Equal(t, 1, j.State.Seq, "and gets what a did")
	r.do(b, 1, steps[1])
	_, err = a.Do(request(t, 1, attempt.Close{}))
	require.Equal(t, desk.Conflict, status(t, err))
	r.do(a, 2, attempt.Close{})
	j, err = b.Job(job)
	require.NoError(t, err)
	assert.True(t, j.State.Closed)
	assert.Len(t, r.files(), 1)

	_, err = attempt.Replay(*r.lib.Exercise(job), strings.NewReader(read(t, r.files()[0])))
	require.NoError(t, err, "the log is whole")

	fresh := r.start(a, true)
	assert.Equal(t, 0, fresh.State.Seq)
	j, err = b.Job(job)
	require.NoError(t, err)
	assert.False(t, j.State.Closed, "b sees the newer attempt")
}

func TestAClosedJobIsGradedAndListed(t *testing.T) {
	r := newRoom(t)
	line := func(d *desk.Desk) wire.Exercise {
		list, err := d.Exercises()
		require.NoError(t, err)
		require.Len(t, list.Exercises, len(r.lib.Exercises))
		for _, e := range list.Exercises {
			if e.ID == job {
				return e
			}
		}
		t.Fatal("not listed")
		return wire.Exercise{}
	}
	d := r.desk()
	assert.Equal(t, wire.Exercise{ID: job, Title: "Gate four", Harness: "Work lamps and horn", Fleet: "DT-14", Mode: "drill", Minutes: 15}, line(d))
	r.start(d, false)
	assert.True(t, line(d).Open)
	for n, act := range steps {
		r.do(d, n, act)
	}
	r.do(d, 5, attempt.Find{Fault: "wire 71c open"})
	r.do(d, 6, attempt.Repair{Repair: "replace wire 71c"})
	reply := r.do(d, 7, attempt.Close{})
	require.True(t, reply.State.Closed)
	var good grading.Report
	require.NoError(t, json.Unmarshal(reply.Report, &good))
	assert.True(t, good.Closed)
	assert.Positive(t, good.Score)

	for name, d := range map[string]*desk.Desk{"the same program": d, "another": r.desk()} {
		j, err := d.Job(job)
		require.NoError(t, err, name)
		assert.True(t, j.State.Closed, name)
		assert.JSONEq(t, string(reply.Report), string(j.Report), name)
		_, err = d.Do(request(t, 8, steps[0]))
		assert.Equal(t, desk.Conflict, status(t, err), name)
		l := line(d)
		assert.Equal(t, []any{true, false, good.Score, good.Of}, []any{l.Done, l.Open, l.Best, l.Of}, name)
	}

	// A worse attempt does not lower the best, and one under way shows beside it.
	r.start(d, false)
	require.Len(t, r.files(), 2, "a closed attempt is not taken up")
	poor := r.do(d, 0, attempt.Close{})
	var bad grading.Report
	require.NoError(t, json.Unmarshal(poor.Report, &bad))
	require.Less(t, bad.Score, good.Score)
	assert.Equal(t, good.Score, line(d).Best)
	r.start(d, false)
	l := line(d)
	assert.Equal(t, []any{true, true, good.Score}, []any{l.Done, l.Open, l.Best})

	// The scores kept beside the attempts are only a convenience.
	scores, err := filepath.Glob(filepath.Join(r.dir, "attempts", "*.score.json"))
	require.NoError(t, err)
	require.Len(t, scores, 2)
	require.NoError(t, os.Remove(scores[0]))
	require.NoError(t, os.WriteFile(scores[1], []byte("{"), 0o600))
	assert.Equal(t, l, line(r.desk()), "they are worked out again")
}

func TestErrorsCarryTheirCause(t *testing.T) {
	cause := errors.New("cause")
	err := error(&desk.Error{Status: desk.Failed, Err: cause})
	assert.ErrorIs(t, err, cause)
	assert.Equal(t, "cause", err.Error())
}
