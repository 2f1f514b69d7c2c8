package grading

import "faultloom/sim/attempt"

// A fault that does nothing at any instant shows through time, as the attempt went, what the vehicle shows without it. That is known for all such
// faults at once: of a flasher that ticks, of which from one steady state to the next nothing is known, as well.

// along returns what the two ends of a cell show at a record as the attempt went, where its fault has done nothing at any instant up to then; nil where that
// is not so or not known.
func (l *learner) along(c *mind, i int) (a, b *attempt.Sight, err error) {
	if a, err = l.alongOne(c, c.lo, i); err != nil || a == nil || c.lo == c.hi {
		return a, a, err
	}
	if b, err = l.alongOne(c, c.hi, i); b == nil {
		a = nil
	}
	return a, b, err
}

func (l *learner) alongOne(c *mind, severity float64, i int) (*attempt.Sight, error) {
	if i >= l.fork {
		return nil, nil
	}
	key := trackKey{c.entry, severity, false}
	t, err := l.track(key, i)
	if err != nil || t.own || t.spots == nil {
		return nil, err
	}
	if t.along < i+2 {
		if err := l.leadExact(i + 1); err != nil {
			return nil, err
		}
		for t.along < i+2 && l.leader.through[t.along].idle(t.spots) {
			t.along++
		}
		if t.along < i+2 {
			return nil, nil
		}
	}
	led := &track{trackKey: trackKey{entry: -1}}
	return l.dressed(key, led, i, l.leader.exact.sights[i]), nil
}

// cheaply returns what the ends of a cell show at a record as the attempt went, where that costs little or is worth it, else nil: where its fault has been
// idle, and of what does not come to rest, where somebody saw something else than the vehicle without the fault would have shown.
func (l *learner) cheaply(c *mind, i int, restless bool) (a, b *attempt.Sight, idle bool, err error) {
	if a, b, err = l.along(c, i); a != nil || err != nil || !restless {
		return a, b, a != nil, err
	}
	odd, err := l.odd(i)
	if err != nil || !odd {
		return nil, nil, false, err
	}
	a, b, err = l.sharpEnds(c, i)
	return a, b, false, err
}

// odd reports whether a record shows something else than the vehicle does without the fault, through time, where that does not come to rest.
func (l *learner) odd(i int) (bool, error) {
	if i >= l.fork || l.r.aside[i] {
		return false, nil
	}
	if err := l.leadExact(i + 1); err != nil {
		return false, err
	}
	s := l.leader.exact.sights[i]
	return s.Restless && l.agrees(i, s, s) != nil, nil
}
