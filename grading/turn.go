package grading

import (
	"errors"
	"fmt"
	"slices"

	"faultloom/sim/attempt"
)

// however reports whether a cell contradicts a record flagrantly, however the fuses that are in doubt have turned out, so that it need not
// be gone through time.
func (l *learner) however(c *mind, i int, a, b *attempt.Sight) (sure bool, err error) {
	if flagrant(l.r.ex.Harness, l.records[i], l.dials[i], a, b) {
		return true, nil
	}
	if !a.Strained && !b.Strained && !a.Doubtful && !b.Doubtful || a.Restless || b.Restless || i >= l.fork {
		return false, nil
	}
	if l.looks[i] != nil { // what is seen is not gone into here
		return false, nil
	}
	lo, err := l.common(trackKey{c.entry, c.lo, false})
	if err != nil {
		return false, err
	}
	hi, err := l.common(trackKey{c.entry, c.hi, false})
	if err != nil {
		return false, err
	}
	turns := l.turns(lo, i, nil)
	if turns.err != nil || turns.sights == nil {
		return false, turns.err
	}
	others := turns
	if lo != hi {
		others = l.turns(hi, i, turns.doubt)
		if slices.ContainsFunc(others.doubt, func(f int) bool { return !slices.Contains(turns.doubt, f) }) {
			turns = l.turns(lo, i, others.doubt)
		}
		if turns.sights == nil || others.sights == nil || turns.err != nil || others.err != nil {
			return false, errors.Join(turns.err, others.err)
		}
	}
	if len(turns.sights) != len(others.sights) {
		return false, nil
	}
	for k := range turns.sights {
		x, y := &turns.sights[k], &others.sights[k]
		if !flagrant(l.r.ex.Harness, l.records[i], l.dials[i], x, y) {
			return false, nil
		}
	}
	return true, nil
}

// turned is what a track might show at a record, however the fuses in doubt have turned out.
type turned struct {
	record int
	doubt  []int // fuses
	sights []attempt.Sight
	err    error
}

// turns returns what a track might show at a record, with other fuses that count as in doubt too.
func (l *learner) turns(t *track, i int, also []int) turned {
	if k := slices.IndexFunc(t.turned, func(u turned) bool {
		return u.record == i && !slices.ContainsFunc(also, func(f int) bool { return !slices.Contains(u.doubt, f) })
	}); k >= 0 {
		return t.turned[k]
	}
	u := turned{record: i}
	at := t
	if t.from+len(t.sights) != i+1 {
		at = &track{trackKey: t.trackKey, model: t.model} // it has gone further: go there again
		if u.err = l.extend(at, i); u.err != nil {
			return u
		}
	}
	m, err := l.hold(at)
	if err != nil {
		u.err = fmt.Errorf("going back to step %d: %w", i+1, err)
		return u
	}
	u.doubt = append(m.InDoubt(), also...)
	u.sights, u.err = m.Turns(also)
	if at != t {
		l.held[at.model] = nil
	}
	t.turned = append(t.turned, u)
	return u
}
