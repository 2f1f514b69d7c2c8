package desk

import (
	"sync"

	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/attempt"
)

// pars works out par of exercises, one at a time, and keeps it. Its zero value is ready to use.
type pars struct {
	one  sync.Mutex // held while one is worked out
	mu   sync.Mutex
	kept map[string]*kept // by exercise
}

type kept struct {
	once sync.Once
	par  grading.Par
	err  error
}

// of returns par of an exercise, after some seconds the first time.
func (p *pars) of(ex *attempt.Exercise) (grading.Par, error) {
	p.mu.Lock()
	if p.kept == nil {
		p.kept = map[string]*kept{}
	}
	k := p.kept[ex.ID]
	if k == nil {
		k = &kept{}
		p.kept[ex.ID] = k
	}
	p.mu.Unlock()
	k.once.Do(func() {
		p.one.Lock()
		defer p.one.Unlock()
		k.par, k.err = grading.ParOf(*ex)
	})
	return k.par, k.err
}

// Par returns par of an exercise whose last attempt was closed, beside that attempt. It takes some seconds the first time, during which
// the desk does other things. While an attempt is under way it is refused: par gives the fault away.
func (d *Desk) Par(id string) (*wire.Par, error) {
	ex, records, err := d.closed(id)
	if err != nil {
		return nil, err
	}
	par, err := d.pars.of(ex)
	if err != nil {
		return nil, &Error{Failed, err}
	}
	// Somebody may have begun afresh meanwhile.
	if _, _, err := d.closed(id); err != nil {
		return nil, err
	}
	return &wire.Par{Curve: par.Curve, Beside: grading.Beside(*ex, records, par)}, nil
}

// closed returns an exercise with the records of its last attempt, which must be closed.
func (d *Desk) closed(id string) (*attempt.Exercise, []attempt.Record, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	ex := d.library.Exercise(id)
	if ex == nil {
		return nil, nil, fail(NotFound, "there is no exercise %q", id)
	}
	w, err := d.takeUp(ex)
	switch {
	case err != nil:
		return nil, nil, &Error{Failed, err}
	case w == nil:
		return nil, nil, fail(NotFound, "no attempt at %q yet", id)
	case !w.attempt.State().Closed:
		return nil, nil, fail(Conflict, "the attempt at %q is under way", id)
	}
	return ex, w.attempt.Records(), nil
}
