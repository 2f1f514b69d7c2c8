package attempt_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// fewSteps is a short attempt with a bit of everything.
func fewSteps() []attempt.Action {
	return []attempt.Action{
		operate("key", "on"), operate("lamps", "on"), attempt.Mark{Line: 2, Good: false},
		dial(meter.Volts), black("BAT.31"), red("X2.1.a"),
		attempt.Unplug{Connector: "X2"}, attempt.Unplug{Connector: "X2"}, // the second is refused
		attempt.Inspect{Place: "X2"}, attempt.Find{Fault: "cavity X2.1 corroded"},
	}
}

func recorded(t testing.TB) (attempt.Exercise, []byte) {
	t.Helper()
	ex := tractor(t, "cavity X2.1 corroded 3 ohm")
	a, log := start(t, ex)
	for _, act := range fewSteps() {
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	return ex, log.Bytes()
}

// Stopped at any moment, the log loses nothing but the action in hand, and the attempt goes on from there to the same end.
func TestCutAtEveryByte(t *testing.T) {
	ex, whole := recorded(t)
	lines := bytes.SplitAfter(whole, []byte("\n"))
	lines = lines[:len(lines)-1]
	steps := fewSteps()
	require.Len(t, lines, len(steps)+1)
	end := make([]int, len(lines)) // length of the log after each line
	for i, n := 0, 0; i < len(lines); i++ {
		n += len(lines[i])
		end[i] = n
	}
	complete, tried := 0, -1
	for cut := 0; cut <= len(whole); cut++ {
		for complete < len(end) && end[complete] <= cut {
			complete++
		}
		want := attempt.Kept{Lines: complete}
		if complete > 0 {
			want.Bytes = int64(end[complete-1])
		}
		want.Cut = want.Bytes != int64(cut)
		kept, err := attempt.ReadLines(bytes.NewReader(whole[:cut]))
		require.NoError(t, err, "cut at byte %d", cut)
		require.Equal(t, want, kept, "cut at byte %d", cut)
		if tried == complete && want.Cut && cut%50 != 0 {
			continue // the same lines were taken up just before
		}
		tried = complete
		log := &memory{}
		a, err := attempt.Resume(ex, bytes.NewReader(whole[:cut]), log)
		if complete == 0 {
			require.ErrorIs(t, err, attempt.ErrEmptyLog, "cut at byte %d", cut)
			continue
		}
		require.NoError(t, err, "cut at byte %d", cut)
		require.Equal(t, want, a.Kept(), "cut at byte %d", cut)
		for _, act := range steps[complete-1:] {
			_, err := a.Do(act)
			require.NoError(t, err)
		}
		require.True(t, string(whole[want.Bytes:]) == log.String(), "cut at byte %d: what comes after is the same again", cut)
	}
}

// Every cut inside a line, read without playing: the header alone decides whether there is anything to take up.
func TestCutHeaderAtEveryByte(t *testing.T) {
	_, whole := recorded(t)
	first := bytes.IndexByte(whole, '\n') + 1
	for cut := range len(whole) {
		h, err := attempt.ReadHeader(bytes.NewReader(whole[:cut]))
		if cut < first {
			require.ErrorIs(t, err, attempt.ErrEmptyLog, "cut at byte %d", cut)
			continue
		}
		require.NoError(t, err)
		require.Equal(t, "try", h.Exercise)
		require.Equal(t, uint64(7), h.Seed)
	}
}

// reseal makes a line's sum fit again, as a forger would.
func reseal(lines []string) []string {
	out := make([]string, len(lines))
	prev := ""
	for i, line := range lines {
		body := line[:strings.LastIndex(line, `,"sum":"`)] + "}"
		sum := sha256.Sum256([]byte(prev + body))
		prev = hex.EncodeToString(sum[:])
		out[i] = body[:len(body)-1] + `,"sum":"` + prev + `"}`
	}
	return out
}

func TestDamagedLogsAreRefused(t *testing.T) {
	ex, whole := recorded(t)
	good := strings.Split(strings.TrimSuffix(string(whole), "\n"), "\n")
	other, otherLog := start(t, tractor(t, "component LL filament-open"))
	for _, act := range fewSteps() {
		_, err := other.Do(act)
		require.NoError(t, err)
	}
	swap := func(s, from, to string) string {
		require.Contains(t, s, from)
		return strings.Replace(s, from, to, 1)
	}
	tests := []struct {
		name   string
		change func(lines []string) []string
		want   string
	}{
		{"a digit changed", func(l []string) []string {
			l[6] = swap(l[6], `"unit":"V"`, `"unit":"A"`)
			return l
		}, "line 7: the sum does not fit"},
		{"a sum changed", func(l []string) []string {
			i := len(l[3]) - 3
			l[3] = l[3][:i] + map[bool]string{true: "1", false: "0"}[l[3][i] == '0'] + l[3][i+1:]
			return l
		}, "line 4: the sum does not fit"},
		{"two lines changed places", func(l []string) []string {
			l[4], l[5] = l[5], l[4]
			return l
		}, "line 5: the sum does not fit"},
		{"a line taken out of the middle", func(l []string) []string { return append(l[:4], l[5:]...) }, "line 5: the sum does not fit"},
		{"a line put in", func(l []string) []string { return append(l[:4], append([]string{l[3]}, l[4:]...)...) }, "line 5: the sum does not fit"},
		{"a line cut short in the middle", func(l []string) []string {
			l[5] = l[5][:len(l[5])/2]
			return l
		}, "line 6: the sum does not fit"},
		{"an empty line", func(l []string) []string {
			l[2] = ""
			return l
		}, "line 3: the sum does not fit"},
		{"a space added", func(l []string) []string {
			l[2] = " " + l[2]
			return l
		}, "line 3: the sum does not fit"},
		{"no header", func(l []string) []string { return l[1:] }, "line 1: the sum does not fit"},
		{"something else altogether", func([]string) []string { return []string{"hello"} }, "line 1: the sum does not fit"},
		{"a line beyond all measure", func(l []string) []string {
			l[3] = strings.Repeat("x", 2<<20)
			return l
		}, "line 4: is longer than"},

		// With sums that fit, the replay itself finds out.
		{"a reading changed and sealed again", func(l []string) []string {
			l[6] = swap(l[6], `"text":"`, `"text":"9`)
			return reseal(l)
		}, "line 7: does not follow from the actions before it: displays recorded"},
		{"an action changed and sealed again", func(l []string) []string {
			l[2] = swap(l[2], `"control":"lamps"`, `"control":"key"`)
			return reseal(l)
		}, "line 3: does not follow from the actions before it"},
		{"the clock put back and sealed again", func(l []string) []string {
			l[4] = swap(l[4], `"ticks":`, `"ticks":1`)
			return reseal(l)
		}, "line 5: does not follow from the actions before it: clock recorded"},
		{"a line taken out and sealed again", func(l []string) []string { return reseal(append(l[:4], l[5:]...)) },
			"line 5: holds action 4 where action 3 belongs"},
		{"an unknown field, sealed again", func(l []string) []string {
			l[4] = swap(l[4], `"ticks":`, `"score":100,"ticks":`)
			return reseal(l)
		}, "line 5: is not a record"},
		{"written otherwise, sealed again", func(l []string) []string {
			l[4] = swap(l[4], `{"seq"`, `{ "seq"`)
			return reseal(l)
		}, "line 5: does not follow from the actions before it: the record is written otherwise"},
		{"an impossible action, sealed again", func(l []string) []string {
			l[4] = swap(l[4], `"do":"dial"`, `"do":"fly"`)
			return reseal(l)
		}, `line 5: is not a record (action "fly"`},
		{"another format, sealed again", func(l []string) []string {
			l[0] = swap(l[0], "attempt 1", "attempt 9")
			return reseal(l)
		}, `line 1: format must be "faultloom attempt 1" (got "faultloom attempt 9")`},
		{"a record where the header belongs, sealed again", func(l []string) []string { return reseal(l[1:]) },
			"line 1: is not the first line of an attempt's log"},
		{"a log of the same exercise with another fault", func([]string) []string {
			return strings.Split(strings.TrimSuffix(otherLog.String(), "\n"), "\n")
		}, "line 3: does not follow from the actions before it: effects recorded"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			lines := tt.change(append([]string(nil), good...))
			text := strings.Join(lines, "\n") + "\n"
			_, err := attempt.Resume(ex, strings.NewReader(text), &memory{})
			require.Error(t, err)
			assert.Contains(t, err.Error(), tt.want)
			var where *attempt.LogError
			assert.ErrorAs(t, err, &where)
			_, err = attempt.Replay(ex, strings.NewReader(text))
			assert.ErrorContains(t, err, tt.want, "Replay refuses it too")
		})
	}
}

func TestLogOfAnotherExercise(t *testing.T) {
	ex, whole := recorded(t)
	tests := []struct {
		name   string
		change func(*attempt.Exercise)
		want   string
	}{
		{"another id", func(ex *attempt.Exercise) { ex.ID = "other" }, `line 1: belongs to exercise "try", not to "other"`},
		{"another seed", func(ex *attempt.Exercise) { ex.Seed = 8 }, "line 1: was made with seed 7, not with 8"},
		{"another harness", func(ex *attempt.Exercise) {
			ex.Harness = sample.Tractor()
			ex.Harness.Wires[3].Metres += 0.1
		}, `line 1: exercise "try" or its harness has another content than when the log was made`},
		{"other tools", func(ex *attempt.Exercise) { ex.Tools = ex.Tools[:1] }, "has another content"},
		{"other weights", func(ex *attempt.Exercise) { ex.Weights.Confirm++ }, "has another content"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			changed := ex
			tt.change(&changed)
			_, err := attempt.Resume(changed, bytes.NewReader(whole), &memory{})
			assert.ErrorContains(t, err, tt.want)
		})
	}
}

// Whoever holds the log must not be able to tell the fault from its first line.
func TestHeaderDoesNotDependOnTheFault(t *testing.T) {
	first := func(faults ...string) string {
		_, log := start(t, tractor(t, faults...))
		return log.String()
	}
	assert.Equal(t, first("wire 21 open"), first("component K1 coil-open"))
	assert.Equal(t, first(), first("ground G1 open", "component LL filament-open"))
}

func TestNothingFollowsTheEnd(t *testing.T) {
	ex := tractor(t)
	a, log := start(t, ex)
	do(t, a, attempt.Close{})
	assert.True(t, a.State().Closed)
	_, err := a.Do(attempt.Close{})
	assert.ErrorIs(t, err, attempt.ErrClosed)

	lines := strings.Split(strings.TrimSuffix(log.String(), "\n"), "\n")
	forged := reseal(append(lines, strings.Replace(lines[1], `"seq":0`, `"seq":1`, 1)))
	_, err = attempt.Resume(ex, strings.NewReader(strings.Join(forged, "\n")+"\n"), &memory{})
	assert.ErrorContains(t, err, "line 3: follows after the job was closed")

	again, err := attempt.Resume(ex, bytes.NewReader(log.Bytes()), &memory{})
	require.NoError(t, err)
	assert.True(t, again.State().Closed, "a closed job can be looked at")
	_, err = again.Do(attempt.Wait{Seconds: 1})
	assert.ErrorIs(t, err, attempt.ErrClosed)
}

// What could not be kept was not done.
func TestFullDisk(t *testing.T) {
	ex := tractor(t, "cavity X2.1 corroded 3 ohm")
	_, err := attempt.Start(ex, &memory{failAt: 1})
	var full *attempt.SinkError
	require.ErrorAs(t, err, &full)
	assert.ErrorIs(t, err, errFull)

	steps := fewSteps()
	want, wantLog := start(t, ex)
	a, log := start(t, ex)
	for i, act := range steps {
		before := a.State()
		log.failAt = log.lines + 1
		_, err := a.Do(act)
		require.ErrorIs(t, err, errFull, "step %d", i)
		require.Equal(t, before, a.State(), "step %d: nothing is shown as done", i)
		require.Len(t, a.Records(), i)
		log.failAt = 0
		got, err := a.Do(act)
		require.NoError(t, err)
		obs, err := want.Do(act)
		require.NoError(t, err)
		require.Equal(t, obs, got, "step %d: tried again, it is done once", i)
	}
	assert.Equal(t, wantLog.String(), log.String())
	assert.Equal(t, want.State(), a.State())
}

func TestResumedStateIsTheSame(t *testing.T) {
	ex, whole := recorded(t)
	a, _ := start(t, ex)
	for _, act := range fewSteps() {
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	b, err := attempt.Resume(ex, bytes.NewReader(whole), &memory{})
	require.NoError(t, err)
	assert.Equal(t, a.State(), b.State())
	assert.Equal(t, a.Records(), b.Records())
	records, err := attempt.Replay(ex, bytes.NewReader(whole))
	require.NoError(t, err)
	assert.Equal(t, a.Records(), records)
}

// failing is a reader that breaks.
type failing struct{ r *bytes.Reader }

func (f failing) Read(p []byte) (int, error) {
	n, err := f.r.Read(p)
	if err != nil {
		return n, fmt.Errorf("disk on fire")
	}
	return n, nil
}

func TestReadersOwnErrorsAreNotTheLogs(t *testing.T) {
	ex, whole := recorded(t)
	_, err := attempt.Resume(ex, failing{bytes.NewReader(whole[:len(whole)-5])}, &memory{})
	require.ErrorContains(t, err, "disk on fire")
	var where *attempt.LogError
	assert.NotErrorAs(t, err, &where)
}

// Whatever the bytes are, reading them ends, and what is kept is a whole number of good lines from the start.
func FuzzReadLog(f *testing.F) {
	_, whole := recorded(f)
	f.Add(whole)
	f.Add(whole[:len(whole)-20])
	f.Add([]byte("\n\n\n"))
	f.Add([]byte(`{"format":"faultloom attempt 1","exercise":"try","digest":"","seed":7,"sum":"`))
	f.Fuzz(func(t *testing.T, data []byte) {
		kept, err := attempt.ReadLines(bytes.NewReader(data))
		if err == nil {
			require.Equal(t, kept.Lines, bytes.Count(data[:kept.Bytes], []byte("\n")))
			require.Equal(t, kept.Cut, kept.Bytes < int64(len(data)))
			again, err := attempt.ReadLines(bytes.NewReader(data[:kept.Bytes]))
			require.NoError(t, err)
			require.Equal(t, kept.Lines, again.Lines)
		}
		_, _ = attempt.ReadHeader(bytes.NewReader(data))
	})
}

// A record that was sealed by a forger: its line is refused, or it says what a replay says.
func FuzzForgedRecord(f *testing.F) {
	ex := tractor(f, "cavity X2.1 corroded 3 ohm")
	_, log := start(f, ex)
	header := strings.TrimSuffix(log.String(), "\n")
	_, whole := recorded(f)
	for _, line := range strings.Split(string(whole), "\n")[1:] {
		if body, _, ok := strings.Cut(line, `,"sum":"`); ok {
			f.Add(body + "}")
		}
	}
	f.Add(`{"seq":0,"ticks":0,"action":{"do":"wait","seconds":600},"observation":{"ticks":60000}}`)
	f.Add(`{"seq":0,"ticks":0,"action":null,"observation":null}`)
	f.Fuzz(func(t *testing.T, body string) {
		if len(body) < 2 || strings.Contains(body, "\n") || strings.Contains(body, `,"sum":"`) || body[0] != '{' || body[len(body)-1] != '}' {
			return
		}
		lines := reseal([]string{header, body[:len(body)-1] + `,"sum":""}`})
		data := strings.Join(lines, "\n") + "\n"
		a, err := attempt.Resume(ex, strings.NewReader(data), &memory{})
		if err != nil {
			require.ErrorContains(t, err, "line 2: ")
			return
		}
		require.Equal(t, attempt.Kept{Lines: 2, Bytes: int64(len(data))}, a.Kept())
	})
}
