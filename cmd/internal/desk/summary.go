package desk

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"

	"faultloom/cmd/internal/store"
	"faultloom/grading"
	"faultloom/sim/attempt"
)

// summary is what the list of exercises needs of a closed attempt, kept beside it so that the list need not play them all
// again. It is only a convenience: what an attempt is worth is what grading its log says.
type summary struct {
	Score float64 `json:"score"`
	Of    float64 `json:"of"`
}

// found is what the list says of one file.
type found struct {
	summary
	begun  bool // there is something in it
	closed bool // and the job was closed
}

func summaryPath(path string) string { return strings.TrimSuffix(path, store.Suffix) + ".score.json" }

func keepSummary(path string, report json.RawMessage) {
	var s summary
	if json.Unmarshal(report, &s) != nil {
		return
	}
	if data, err := json.Marshal(s); err == nil {
		_ = os.WriteFile(summaryPath(path), data, 0o600)
	}
}

// summarise reads the summary of an attempt; one that was closed and has none yet is graded first.
func summarise(ex *attempt.Exercise, path string) found {
	var f found
	if data, err := os.ReadFile(summaryPath(path)); err == nil && json.Unmarshal(data, &f.summary) == nil {
		f.begun, f.closed = true, true
		return f
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return f
	}
	f.begun = bytes.Count(data, []byte{'\n'}) > 0
	if !endsClosed(data) {
		return f
	}
	records, err := attempt.Replay(*ex, bytes.NewReader(data))
	if err != nil {
		return f
	}
	r, err := grading.Grade(*ex, records)
	if err != nil || !r.Closed {
		return f
	}
	f.Score, f.Of, f.closed = r.Score, r.Of, true
	if report, err := json.Marshal(r); err == nil {
		keepSummary(path, report)
	}
	return f
}

// endsClosed reports whether the last whole line of a log is the action that closes the job.
func endsClosed(log []byte) bool {
	end := bytes.LastIndexByte(log, '\n')
	if end < 0 {
		return false
	}
	line := log[bytes.LastIndexByte(log[:end], '\n')+1 : end]
	var r struct {
		Action struct {
			Do string `json:"do"`
		} `json:"action"`
	}
	return json.Unmarshal(line, &r) == nil && r.Action.Do == attempt.Close{}.Do()
}
