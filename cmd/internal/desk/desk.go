// Package desk keeps the attempts of one person at a library of exercises: it begins them, takes them up again, does
// actions and grades what was closed. The local server and the desktop window both stand on it, so that an attempt is the
// same thing wherever it is shown.
package desk

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"faultloom/cmd/internal/store"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
)

// Desk is safe for concurrent use; it does one thing at a time, but for working out par.
type Desk struct {
	mu      sync.Mutex
	library *scenarios.Library
	store   *store.Store
	now     func() time.Time
	open    map[string]*work // by exercise
	pars    pars
	pause   time.Duration // before the coach thinks along
}

// work is one attempt in hand.
type work struct {
	ex      *attempt.Exercise
	attempt *attempt.Attempt
	path    string
	file    *store.File // nil once closed
	notice  string
	tutor   *tutor // nil until something is done

	last  *wire.DoReply // of the last action, for a request that comes again
	lastN int
	lastA []byte
}

// Error is a failure with the status it has in HTTP.
type Error struct {
	Status int
	Err    error
}

func (e *Error) Error() string { return e.Err.Error() }
func (e *Error) Unwrap() error { return e.Err }

// The statuses.
const (
	BadRequest = 400
	NotFound   = 404
	Conflict   = 409
	Failed     = 500
)

func fail(status int, format string, args ...any) error {
	return &Error{status, fmt.Errorf(format, args...)}
}

// New returns a desk over a library and a store. now tells when an attempt began, for its file's name only.
func New(lib *scenarios.Library, s *store.Store, now func() time.Time) *Desk {
	return &Desk{library: lib, store: s, now: now, open: map[string]*work{}, pause: usualPause}
}

// Dir is the folder of the attempts' files.
func (d *Desk) Dir() string { return d.store.Dir() }

// Close lets go of all files.
func (d *Desk) Close() {
	d.mu.Lock()
	defer d.mu.Unlock()
	for id := range d.open {
		d.drop(id)
	}
}

// drop forgets the attempt in hand at an exercise; it stays on disk.
func (d *Desk) drop(id string) {
	if w := d.open[id]; w != nil {
		if w.tutor != nil {
			w.tutor.rest()
		}
		if w.file != nil {
			w.file.Close()
		}
	}
	delete(d.open, id)
}

// Exercises lists what there is, with how far this person got.
func (d *Desk) Exercises() (wire.Exercises, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	out := wire.Exercises{Exercises: []wire.Exercise{}}
	kept, err := d.store.List("")
	if err != nil {
		return out, &Error{Failed, err}
	}
	byExercise := map[string][]store.Kept{}
	for _, k := range kept {
		byExercise[k.Exercise] = append(byExercise[k.Exercise], k)
	}
	for _, e := range d.library.Exercises {
		ex := e.Exercise
		line := wire.Exercise{
			ID: ex.ID, Title: ex.Title, Harness: ex.Harness.Title, Fleet: ex.Harness.Vehicle.Fleet,
			Mode: string(ex.Mode), Minutes: ex.Minutes,
		}
		for i, k := range byExercise[ex.ID] {
			switch s := summarise(ex, k.Path); {
			case s.closed:
				line.Done = true
				if s.Score >= line.Best {
					line.Best, line.Of = s.Score, s.Of
				}
			case s.begun && i == len(byExercise[ex.ID])-1:
				line.Open = true
			}
		}
		out.Exercises = append(out.Exercises, line)
	}
	return out, nil
}

// Start begins an attempt, or takes up the one under way unless a fresh one is asked for.
func (d *Desk) Start(req wire.StartRequest) (*wire.Job, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	ex := d.library.Exercise(req.ID)
	if ex == nil {
		return nil, fail(NotFound, "there is no exercise %q", req.ID)
	}
	notice := ""
	if !req.Fresh {
		w, err := d.takeUp(ex)
		switch {
		case err != nil:
			// What cannot be taken up stays on disk as it is; the person gets a fresh attempt and is told.
			notice = err.Error()
		case w != nil && !w.attempt.State().Closed:
			return d.job(w)
		}
	}
	d.drop(ex.ID)
	file, err := d.store.Create(ex.ID, d.now())
	if err != nil {
		return nil, &Error{Failed, err}
	}
	a, err := attempt.Start(*ex, file)
	if err != nil {
		file.Close()
		os.Remove(file.Path())
		return nil, &Error{Failed, err}
	}
	w := &work{ex: ex, attempt: a, path: file.Path(), file: file, notice: notice}
	d.open[ex.ID] = w
	return d.job(w)
}

// Job returns the attempt under way at an exercise, else the last one closed.
func (d *Desk) Job(id string) (*wire.Job, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	ex := d.library.Exercise(id)
	if ex == nil {
		return nil, fail(NotFound, "there is no exercise %q", id)
	}
	w, err := d.takeUp(ex)
	if err != nil {
		return nil, &Error{Failed, err}
	}
	if w == nil {
		return nil, fail(NotFound, "no attempt at %q yet", id)
	}
	return d.job(w)
}

// Do does one action and returns once it is on disk.
func (d *Desk) Do(req wire.DoRequest) (*wire.DoReply, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	ex := d.library.Exercise(req.Exercise)
	if ex == nil {
		return nil, fail(NotFound, "there is no exercise %q", req.Exercise)
	}
	act, err := attempt.DecodeAction(req.Action)
	if err != nil {
		return nil, &Error{BadRequest, err}
	}
	plain, err := attempt.EncodeAction(act)
	if err != nil {
		return nil, &Error{BadRequest, err}
	}
	w, err := d.takeUp(ex)
	if err != nil {
		return nil, &Error{Failed, err}
	}
	if w == nil {
		return nil, fail(Conflict, "no attempt at %q has begun", req.Exercise)
	}
	if w.last != nil && req.Seq == w.lastN && bytes.Equal(plain, w.lastA) {
		return w.last, nil // its reply was lost on the way
	}
	if at := w.attempt.State().Seq; req.Seq != at {
		return nil, fail(Conflict, "the next step of the attempt is %d, not %d: it has gone on elsewhere", at+1, req.Seq+1) // as people count
	}
	obs, err := w.attempt.Do(act)
	var malformed *attempt.MalformedError
	switch {
	case errors.As(err, &malformed):
		return nil, &Error{BadRequest, err}
	case errors.Is(err, attempt.ErrClosed):
		return nil, &Error{Conflict, err}
	case errors.Is(err, store.ErrElsewhere):
		d.drop(ex.ID)
		return nil, &Error{Conflict, store.ErrElsewhere}
	case err != nil:
		return nil, &Error{Failed, err}
	}
	reply := &wire.DoReply{State: w.attempt.State(), Observation: obs}
	if w.tutor == nil {
		w.tutor = newTutor(*ex)
	}
	w.tutor.rest()
	if ex.Mode == attempt.Drill && !reply.State.Closed {
		w.tutor.watch(w.attempt.Records(), d.pause)
	}
	if ask, ok := act.(attempt.Ask); ok && obs.Refused == "" {
		c, err := w.tutor.answer(w.attempt.Records(), ask)
		if err != nil {
			return nil, &Error{Failed, err}
		}
		reply.Coaching = &c
	}
	if reply.State.Closed {
		if reply.Report, err = w.report(); err != nil {
			return nil, &Error{Failed, err}
		}
		w.file.Close()
		w.file = nil
		keepSummary(w.path, reply.Report)
	}
	w.last, w.lastN, w.lastA = reply, req.Seq, plain
	return reply, nil
}

func (w *work) report() (json.RawMessage, error) {
	r, err := grading.Grade(*w.ex, w.attempt.Records())
	if err != nil {
		return nil, err
	}
	return json.Marshal(r)
}

func (d *Desk) job(w *work) (*wire.Job, error) {
	ex := w.ex
	job := &wire.Job{
		Exercise: wire.Brief{
			ID: ex.ID, Title: ex.Title, Complaint: ex.Complaint, VehicleState: ex.VehicleState,
			Mode: string(ex.Mode), Minutes: ex.Minutes, Tools: ex.Tools, Functions: ex.Functions,
		},
		Harness: ex.Harness, State: w.attempt.State(), Notice: w.notice,
	}
	w.notice = ""
	if job.State.Closed {
		report, err := w.report()
		if err != nil {
			return nil, &Error{Failed, err}
		}
		job.Report = report
	}
	return job, nil
}
