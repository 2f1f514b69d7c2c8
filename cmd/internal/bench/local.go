package bench

import (
	"encoding/json"
	"errors"
	"sync"

	"faultloom/cmd/internal/wire"
	"faultloom/sim/attempt"
)

// Keeper keeps attempts and answers at once, as the local server's desk does. Its methods may be called on any goroutine.
// A *PortError among its errors says what kind it is.
type Keeper interface {
	Exercises() (wire.Exercises, error)
	Start(wire.StartRequest) (*wire.Job, error)
	Job(exercise string) (*wire.Job, error)
	Par(exercise string) (*wire.Par, error)
	Do(wire.DoRequest) (*wire.DoReply, error)
}

// Local is a Port to a Keeper in this process. Each request runs on a goroutine of its own, so that writing a log to disk
// never holds up the screen.
type Local struct {
	k Keeper

	mu    sync.Mutex
	ready []func()
}

// NewLocal returns a port to k.
func NewLocal(k Keeper) *Local { return &Local{k: k} }

// Poll implements Port.
func (p *Local) Poll() bool {
	p.mu.Lock()
	ready := p.ready
	p.ready = nil
	p.mu.Unlock()
	for _, f := range ready {
		f()
	}
	return len(ready) > 0
}

func (p *Local) later(f func()) {
	p.mu.Lock()
	p.ready = append(p.ready, f)
	p.mu.Unlock()
}

// Exercises implements Port.
func (p *Local) Exercises(done func([]wire.Exercise, error)) {
	go func() {
		x, err := p.k.Exercises()
		p.later(func() { done(x.Exercises, explain(err)) })
	}()
}

// Start implements Port.
func (p *Local) Start(id string, fresh bool, done func(*wire.Job, error)) {
	go func() {
		j, err := p.k.Start(wire.StartRequest{ID: id, Fresh: fresh})
		p.later(func() { checkJob(done)(j, explain(err)) })
	}()
}

// Job implements Port.
func (p *Local) Job(id string, done func(*wire.Job, error)) {
	go func() {
		j, err := p.k.Job(id)
		p.later(func() { checkJob(done)(j, explain(err)) })
	}()
}

// Par implements Port.
func (p *Local) Par(exercise string, done func(*wire.Par, error)) {
	go func() {
		x, err := p.k.Par(exercise)
		p.later(func() { done(x, explain(err)) })
	}()
}

// Do implements Port.
func (p *Local) Do(exercise string, seq int, act attempt.Action, done func(Reply, error)) {
	go func() {
		r, err := p.do(exercise, seq, act)
		p.later(func() { done(r, err) })
	}()
}

func (p *Local) do(exercise string, seq int, act attempt.Action) (Reply, error) {
	data, err := attempt.EncodeAction(act)
	if err != nil {
		return Reply{}, &PortError{Status: 400, Message: err.Error()}
	}
	x, err := p.k.Do(wire.DoRequest{Exercise: exercise, Seq: seq, Action: json.RawMessage(data)})
	if err != nil {
		return Reply{}, explain(err)
	}
	rep, err := decodeReport(x.Report)
	if err != nil {
		return Reply{}, err
	}
	return Reply{State: x.State, Observation: x.Observation, Report: rep, Coaching: x.Coaching}, nil
}

// explain turns a keeper's error into a port's; one that is a *PortError already stays as it is.
func explain(err error) error {
	var p *PortError
	if err == nil || errors.As(err, &p) {
		return err
	}
	return &PortError{Status: 500, Message: err.Error()}
}
