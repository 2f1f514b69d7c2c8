package grading

import "faultloom/sim/attempt"

// What a candidate shows from one steady state to the next may differ from what the attempt would have shown by what was still moving. To know
// whether a contradiction stands it need not be gone through time from the beginning, but from the last moment at which its circuit was at
// rest in the only way in which it can be.

// mostBack is how many changes of the circuit are gone back for such a moment; going through time from further back costs about as
// much as from the beginning.
const mostBack = 6

// sharp returns what a track, which goes from one steady state to the next, shows at a record as the attempt went; nil when that is known only
// by going through time from the beginning.
func (l *learner) sharp(t *track, i int) (*attempt.Sight, error) {
	if i >= l.fork || t.own || t.entry < 0 {
		return nil, nil
	}
	if s, known := t.sharps[i]; known {
		return s, nil
	}
	if t.sharps == nil {
		t.sharps = map[int]*attempt.Sight{}
	}
	s, err := l.sharpen(t, i)
	if err != nil {
		return nil, err
	}
	if s != nil {
		c := s.Clone()
		s = &c
	}
	t.sharps[i] = s
	return s, nil
}

func (l *learner) sharpen(t *track, i int) (*attempt.Sight, error) {
	if was := t.at(i); was.StillAsTold && !was.Strained && !was.Doubtful {
		if s, err := l.rest(t, i, bits(was.Blown)); err != nil {
			return nil, err
		} else if s != nil && s.Still {
			return l.heard(t, i, s)
		}
	}
	if now := t.at(i); now.Strained || now.Doubtful {
		return nil, nil // when a fuse opens depends on how warm it was
	}
	back := 0
	for j := i; j > 0 && back < mostBack; j-- {
		if j < i && !l.leader.changed[j] {
			continue // there is nothing to be gained from waiting on
		}
		back++
		was := t.at(j - 1)
		if !was.StillAsTold || was.Strained || was.Doubtful {
			continue
		}
		blown := bits(was.Blown)
		if s, err := l.rest(t, j-1, blown); err != nil {
			return nil, err
		} else if s == nil || !s.Still {
			continue
		}
		m, _, err := l.stand(t, j, blown, true)
		if err != nil {
			return nil, err
		}
		if err := m.Through(); err != nil {
			return nil, err
		}
		var s *attempt.Sight
		for k := j; k <= i; k++ {
			m.Hasty(l.still(k))
			if s, err = m.Take(l.records[k]); err != nil {
				return nil, err
			}
			if k < i && l.overdone(k, s) {
				return nil, nil
			}
		}
		return s, nil
	}
	return nil, nil
}

// sharpEnds is sharp for the two ends of a cell; nil when one of them is not known in this way.
func (l *learner) sharpEnds(c *mind, i int) (a, b *attempt.Sight, err error) {
	if a, err = l.sharpEnd(c, c.lo, i); err != nil || a == nil || c.lo == c.hi {
		return a, a, err
	}
	if b, err = l.sharpEnd(c, c.hi, i); b == nil {
		return nil, nil, err
	}
	return a, b, err
}

func (l *learner) sharpEnd(c *mind, severity float64, i int) (*attempt.Sight, error) {
	key := trackKey{c.entry, severity, false}
	t, err := l.track(key, i)
	if err != nil {
		return nil, err
	}
	s, err := l.sharp(t, i)
	if s != nil {
		s = l.dressed(key, t, i, s)
	}
	return s, err
}
