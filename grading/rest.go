package grading

import (
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/meter"
)

// A circuit that has come to rest, in the only way in which it can, has forgotten how it got there: what it shows then is known without going
// through time, and what contradicts that contradicts the candidate. Only fuses remember, and of those in doubt all ways are tried.

// mostDoubts bounds the fuses in doubt of which all ways are tried.
const mostDoubts = 3

// coldSeconds is for how long, in seconds, a filament may show or measure something of what it was before it went dark: the largest glow for some
// seconds, and are cold within a minute.
const coldSeconds = 60.0

// moment is a track after its first n records, with fuses open by bit.
type moment struct {
	n     int
	blown uint64
}

// bits packs flags, the first into the lowest bit. A harness has fewer fuses than that.
func bits(flags []bool) (x uint64) {
	for i, on := range flags {
		if on {
			x |= 1 << i
		}
	}
	return x
}

// inner is what becomes of what lies between the ends of a cell that falls at rest.
type inner int

const (
	unsure  inner = iota
	falls         // it is contradicted with them
	differs       // it may do something else
)

// fallsAtRest reports whether a record contradicts a cell whose ends show a and b from one steady state to the next, however the fuses in
// doubt have turned out: not, when that is not known. within says what becomes of what lies between the ends.
func (l *learner) fallsAtRest(c *mind, i int, a, b *attempt.Sight) (why *Margin, within inner, err error) {
	rec, dial, h := l.records[i], l.dials[i], l.r.ex.Harness
	if i >= l.fork || a.Restless || b.Restless || a.ToolStrained || b.ToolStrained {
		return nil, unsure, nil
	}
	lo, err := l.common(trackKey{c.entry, c.lo, false}, i)
	if err != nil {
		return nil, unsure, err
	}
	hi, err := l.common(trackKey{c.entry, c.hi, false}, i)
	if err != nil {
		return nil, unsure, err
	}
	doubts := bits(a.Doubts) | bits(b.Doubts) | (bits(a.Blown) ^ bits(b.Blown))
	sure := bits(a.Blown) &^ doubts
	var open []uint64
	for rest := doubts; rest != 0; rest &= rest - 1 {
		open = append(open, rest&-rest)
	}
	if _, looks := rec.Action.(attempt.Inspect); len(open) > mostDoubts || looks && len(open) > 0 {
		return nil, unsure, nil // a fuse that is looked at tells how it turned out
	}
	// While a fuse may be opening what it fed may be fading.
	fading := a.Strained || b.Strained
	within = falls
	for way := range 1 << len(open) {
		blown := sure
		for k, bit := range open {
			if way>>k&1 == 1 {
				blown |= bit
			}
		}
		x, err := l.rest(lo, i, blown)
		if err != nil || x == nil || bits(x.Loaded)&^doubts != 0 {
			return nil, unsure, err
		}
		y, err := l.rest(hi, i, blown)
		if err != nil || y == nil || bits(y.Loaded)&^doubts != 0 {
			return nil, unsure, err
		}
		oneRest := x == y
		x, y = l.dressed(trackKey{c.entry, c.lo, false}, lo, i, x), l.dressed(trackKey{c.entry, c.hi, false}, hi, i, y)
		m := l.agrees(i, x, y)
		if m == nil {
			if x, err = l.heard(lo, i, x); err != nil {
				return nil, unsure, err
			}
			if y, err = l.heard(hi, i, y); err != nil {
				return nil, unsure, err
			}
			m = l.agrees(i, x, y)
		}
		if m == nil || (fading || !x.Still || !y.Still) && !flagrant(h, rec, dial, x, y) {
			return nil, unsure, nil
		}
		if why == nil {
			why = m
		}
		switch {
		case within == differs:
		case !alike(x, y), c.hi > c.lo*mixedCut && mixed(x, y):
			within = differs
		case leap(x, y):
			within = unsure
		case c.hi > c.lo*lastCut && !oneRest:
			amid, err := l.amidAtRest(c, i, blown, x, y)
			if err != nil {
				return nil, unsure, err
			}
			if !amid {
				within = differs
			}
		}
	}
	return why, within, nil
}

// amidAtRest reports whether the middle of a cell shows at rest what lies between what its ends show.
func (l *learner) amidAtRest(c *mind, i int, blown uint64, a, b *attempt.Sight) (bool, error) {
	t := &track{trackKey: trackKey{c.entry, amidst(c.lo, c.hi), false}, sights: l.leader.plain[leads].sights}
	if !charged(a, t.at(i)) || !charged(b, t.at(i)) { // what it has drawn is its own
		own, err := l.common(t.trackKey, i)
		if err == nil {
			err = l.extend(own, i)
		}
		if err != nil {
			return false, err
		}
		t.sights, t.from, t.base = own.sights, own.from, own.base
	}
	_, mid, err := l.stand(t, i+1, blown, false)
	if err != nil || mid == nil {
		return false, err
	}
	return slices.Equal(a.Switched, mid.Switched) && amid(a, mid, b), nil
}

// charged reports whether batteries are charged so alike in two sights that it makes no difference.
func charged(a, b *attempt.Sight) bool {
	return slices.EqualFunc(a.Charges, b.Charges, func(x, y float64) bool { return math.Abs(x-y) <= device.ChargeGrain })
}

// rest returns what a track shows once record i has been done, with these fuses open, if it is then at rest in the only way in which it can be or
// comes to that at once; nil otherwise. Its Still tells which.
func (l *learner) rest(t *track, i int, blown uint64) (*attempt.Sight, error) {
	at := moment{i + 1, blown}
	if s, known := t.rests[at]; known {
		return s, nil
	}
	if t.rests == nil {
		t.rests = map[moment]*attempt.Sight{}
	}
	t.rests[at] = nil
	plain := t.at(i)
	own := blown == bits(plain.Blown)
	still := plain.Still
	if own && !still && plain.StillAsTold {
		var err error
		if still, err = l.toldRight(t, i); err != nil {
			return nil, err
		}
	}
	if plain.Drained || !still && !plain.AtOnce {
		return nil, nil
	}
	if own && t.entry >= 0 && t.ledAt(i) {
		if s, extent, err := l.leaderRest(i); err != nil || extent.idle(t.spots) {
			t.rests[at] = s
			return s, err
		}
	}
	m, s, err := l.stand(t, i+1, blown, own)
	if err != nil || m == nil {
		return nil, err
	}
	if same, err := m.OneWay(); err != nil || !same {
		return nil, err
	}
	// Only for fuses as the track has them is it followed how warm everything is.
	if !own && !l.cold(i) {
		s = m.Unknown(plain.Unchanged)
	}
	if loaded := slices.Clone(s.Loaded); still && s.Still {
		if s, err = m.Now(); err != nil || s.Restless {
			return nil, err
		}
		s.Loaded = loaded
	} else if s.Still = false; !s.AtOnce {
		return nil, nil
	}
	kept := s.Clone()
	kept.Seen = plain.Seen
	for k, kind := range m.Kinds() {
		kept.Astir[k] = kind == "relay" // what clicks depends on where it was before
	}
	t.rests[at] = &kept
	return &kept, nil
}

// toldRight reports whether what a track tells of the moment before the circuit changed last, by record i, is known to be right: it was at rest then, in
// the only way in which it could be.
func (l *learner) toldRight(t *track, i int) (bool, error) {
	for i > 0 && !l.leader.changed[i] && !released(l.records[i-1]) {
		i--
	}
	if i == 0 {
		return false, nil
	}
	was := t.at(i - 1)
	if was.Strained || was.Doubtful {
		return false, nil
	}
	s, err := l.rest(t, i-1, bits(was.Blown))
	return s != nil && s.Still, err
}

// cold reports whether all that the records before and at i have made dark is cold.
func (l *learner) cold(i int) bool {
	seconds := 0.0
	for ; i >= 0 && seconds < coldSeconds; i-- {
		if l.leader.changed[i] || i > 0 && released(l.records[i-1]) {
			return false
		}
		seconds += float64(l.records[i].Observation.Ticks-l.records[i].Ticks) * attempt.Tick
	}
	return true
}

// released reports whether what follows a record begins with letting go of a place.
func released(rec attempt.Record) bool {
	_, wiggles := rec.Action.(attempt.Wiggle)
	return wiggles && rec.Observation.Refused == ""
}

// heard returns what rest found with the clicks that its track had at record i, if it is known where everything was before.
func (l *learner) heard(t *track, i int, s *attempt.Sight) (*attempt.Sight, error) {
	plain := t.at(i)
	if i == 0 || !slices.Equal(s.Blown, plain.Blown) {
		return s, nil
	}
	was := t.at(i - 1)
	if was.Doubtful || was.Strained {
		return s, nil
	}
	if before, err := l.rest(t, i-1, bits(was.Blown)); err != nil || before == nil {
		return s, err
	}
	c := *s
	c.Clicked, c.Astir = plain.Clicked, make([]bool, len(s.Astir))
	return &c, nil
}

// stand takes the leader's model to where a track is after n records, with these fuses open, by putting its fault in where the leader is there. It
// returns nil when there is no rest or something that the meter keeps matters, or when that is the track's own way and shows something
// else than it did.
func (l *learner) stand(t *track, n int, blown uint64, own bool) (*attempt.Model, *attempt.Sight, error) {
	m := l.models[leads]
	if other := l.held[leads]; other != nil {
		other.state = m.Save()
		l.held[leads] = nil
	}
	was := t.at(n - 1)
	warm := was
	if !own {
		warm = nil
	}
	open := make([]bool, len(was.Blown))
	for k := range open {
		open[k] = blown>>k&1 == 1
	}
	if was.Adrift {
		return nil, nil, nil
	}
	s, err := m.At(l.leader.plainly[n][leads], open, was.Charges, warm, l.faults(t)...)
	if err != nil {
		return nil, nil, err
	}
	if m.Keyed() || s.Restless || s.ToolStrained || own && !sameShown(s, was) {
		return nil, nil, nil
	}
	if !own && math.Abs(s.Foreign) > meter.LiveVolts {
		return nil, nil, nil // a filament that is still warm may make the difference
	}
	return m, s, nil
}

// sameShown reports whether two sights of one circuit show that it is in the same state.
func sameShown(a, b *attempt.Sight) bool {
	for i := range a.Effects {
		if a.Effects[i].Word != b.Effects[i].Word || math.Abs(a.Effects[i].Level-b.Effects[i].Level) > sameLevel {
			return false
		}
	}
	return slices.Equal(a.Switched, b.Switched)
}

// sameLevel is the difference of an effect's level that makes none: rounding on two ways to one steady state.
const sameLevel = 1e-3
