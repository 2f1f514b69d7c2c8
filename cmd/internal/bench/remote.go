package bench

import (
	"encoding/json"
	"fmt"
	"net/url"
	"sync"

	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/attempt"
)

// Transport sends one request and calls done once, on any goroutine: with the answer's status and body, or with an error
// when no answer came. path is relative to the page; body is nil for a GET, else JSON for a POST.
type Transport interface {
	Send(path string, body []byte, done func(status int, body []byte, err error))
}

// Remote is a Port over a Transport, for a page whose attempt is kept by the program that served it.
type Remote struct {
	t Transport

	mu    sync.Mutex
	ready []func()
}

// NewRemote returns a port over t.
func NewRemote(t Transport) *Remote { return &Remote{t: t} }

// Poll implements Port.
func (r *Remote) Poll() bool {
	r.mu.Lock()
	ready := r.ready
	r.ready = nil
	r.mu.Unlock()
	for _, f := range ready {
		f()
	}
	return len(ready) > 0
}

func (r *Remote) later(f func()) {
	r.mu.Lock()
	r.ready = append(r.ready, f)
	r.mu.Unlock()
}

// Exercises implements Port.
func (r *Remote) Exercises(done func([]wire.Exercise, error)) {
	ask(r, wire.PathExercises, nil, func(x *wire.Exercises, err error) {
		if err != nil {
			done(nil, err)
			return
		}
		done(x.Exercises, nil)
	})
}

// Start implements Port.
func (r *Remote) Start(id string, fresh bool, done func(*wire.Job, error)) {
	ask(r, wire.PathStart, wire.StartRequest{ID: id, Fresh: fresh}, checkJob(done))
}

// Job implements Port.
func (r *Remote) Job(id string, done func(*wire.Job, error)) {
	ask(r, wire.PathJob+"?"+wire.ExerciseQuery+"="+url.QueryEscape(id), nil, checkJob(done))
}

// Par implements Port.
func (r *Remote) Par(exercise string, done func(*wire.Par, error)) {
	ask(r, wire.PathPar+"?"+wire.ExerciseQuery+"="+url.QueryEscape(exercise), nil, done)
}

func checkJob(done func(*wire.Job, error)) func(*wire.Job, error) {
	return func(j *wire.Job, err error) {
		if err == nil && j.Harness == nil {
			err = &PortError{Status: statusOK, Message: "the answer holds no harness"}
		}
		if err != nil {
			done(nil, err)
			return
		}
		done(j, nil)
	}
}

// Do implements Port.
func (r *Remote) Do(exercise string, seq int, act attempt.Action, done func(Reply, error)) {
	data, err := attempt.EncodeAction(act)
	if err != nil {
		r.later(func() { done(Reply{}, &PortError{Status: 400, Message: err.Error()}) })
		return
	}
	ask(r, wire.PathDo, wire.DoRequest{Exercise: exercise, Seq: seq, Action: data}, func(x *wire.DoReply, err error) {
		if err != nil {
			done(Reply{}, err)
			return
		}
		rep, err := decodeReport(x.Report)
		if err != nil {
			done(Reply{}, err)
			return
		}
		done(Reply{State: x.State, Observation: x.Observation, Report: rep, Coaching: x.Coaching}, nil)
	})
}

func decodeReport(data json.RawMessage) (*grading.Report, error) {
	if len(data) == 0 || string(data) == "null" {
		return nil, nil
	}
	var rep grading.Report
	if err := json.Unmarshal(data, &rep); err != nil {
		return nil, &PortError{Status: statusOK, Message: fmt.Sprintf("the debrief cannot be read: %v", err)}
	}
	return &rep, nil
}

func ask[T any](r *Remote, path string, body any, done func(*T, error)) {
	var data []byte
	if body != nil {
		var err error
		if data, err = json.Marshal(body); err != nil {
			r.later(func() { done(nil, &PortError{Status: 400, Message: err.Error()}) })
			return
		}
	}
	r.t.Send(path, data, func(status int, answer []byte, err error) {
		v, err := read[T](status, answer, err)
		r.later(func() { done(v, err) })
	})
}

func read[T any](status int, answer []byte, err error) (*T, error) {
	if err != nil {
		return nil, lost(err)
	}
	if status != statusOK {
		var e wire.ErrorReply
		if json.Unmarshal(answer, &e) != nil || e.Error == "" {
			e.Error = fmt.Sprintf("the program that keeps the attempt answered with status %d", status)
		}
		return nil, &PortError{Status: status, Message: e.Error}
	}
	v := new(T)
	if err := json.Unmarshal(answer, v); err != nil {
		return nil, lost(fmt.Errorf("its answer cannot be read: %w", err))
	}
	return v, nil
}
