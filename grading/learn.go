package grading

import (
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// learner tries candidates against a log that grows. What it comes to is what reasoner.weigh does, but each severity is gone
// through once, however many cells it bounds, and taken up where the log ended before.
type learner struct {
	r       *reasoner
	records []attempt.Record
	dials   []meter.Function // after each record
	models  [2]*attempt.Model
	held    [2]*track // by model
	next    int       // the model that the last new track was given
	tracks  map[trackKey]*track
	cells   []mind
	fallen  *[]cell // where cells that fall are kept, nil for nowhere
}

type trackKey struct {
	entry    int
	severity float64
	exact    bool
}

// track is a candidate of one severity gone through a log.
type track struct {
	trackKey
	model  int // index of the one it is gone through with: what is saved belongs to it
	sights []attempt.Sight
	state  *attempt.Saved // after the last sight; nil before the first, and while a model holds it
}

// mind is a cell with how many records it has been tried against.
type mind struct {
	cell
	known int
	own   [2]bool // whether the lower and the upper end agree by themselves with all records
	torn  bool    // its ends have shown different things at some record, so what lies between may show a third
}

func newLearner(r *reasoner, ex attempt.Exercise) (*learner, error) {
	l := &learner{r: r, tracks: map[trackKey]*track{}}
	for i := range l.models {
		var err error
		if l.models[i], err = attempt.NewModel(ex); err != nil {
			return nil, err
		}
	}
	for _, c := range r.cells {
		l.cells = append(l.cells, mind{cell: c})
	}
	return l, nil
}

// standing returns the cells that stand.
func (l *learner) standing() []cell {
	out := make([]cell, len(l.cells))
	for i, c := range l.cells {
		out[i] = c.cell
	}
	return out
}

// learn drops the cells that new records contradict, and cuts those that stand finer while that tells more. records has all
// that was learnt before at its head.
func (l *learner) learn(records []attempt.Record) error {
	if len(records) < len(l.records) {
		return fmt.Errorf("%d records follow %d: an attempt does not shrink", len(records), len(l.records))
	}
	dial := meter.Off
	if n := len(l.dials); n > 0 {
		dial = l.dials[n-1]
	}
	for _, rec := range records[len(l.records):] {
		dial = dialAfter(dial, rec)
		l.dials = append(l.dials, dial)
	}
	l.records = records
	out := make([]mind, 0, len(l.cells))
	for start := 0; start < len(l.cells); {
		end := start
		for end < len(l.cells) && l.cells[end].entry == l.cells[start].entry {
			end++
		}
		stand, err := l.entry(l.cells[start:end])
		if err != nil {
			return err
		}
		out = append(out, stand...)
		start = end
	}
	l.cells = out
	l.tidy()
	return nil
}

// entry tries the cells of one entry, and returns those that stand, the lowest first.
func (l *learner) entry(cells []mind) ([]mind, error) {
	todo := slices.Clone(cells)
	var done []mind
	for len(todo) > 0 {
		c := todo[0]
		todo = todo[1:]
		if err := l.try(&c); err != nil {
			return nil, err
		}
		wide := c.hi > c.lo*lastCut && len(done)+len(todo) < mostCells
		switch {
		case wide && (c.fell < 0 && !c.sure || c.fell >= 0 && c.torn):
			mid := math.Sqrt(c.lo * c.hi)
			a, b := c, c
			a.hi, b.lo = mid, mid
			a.weight, b.weight = c.weight/2, c.weight/2
			a.known, b.known = 0, 0
			todo = append([]mind{a, b}, todo...)
		case c.fell < 0:
			done = append(done, c)
		case l.fallen != nil:
			*l.fallen = append(*l.fallen, c.cell)
		}
	}
	return done, nil
}

// try takes a cell through the records that it has not been tried against.
func (l *learner) try(c *mind) error {
	h := l.r.ex.Harness
	if c.known == 0 {
		c.sure, c.own, c.torn, c.fell = true, [2]bool{true, true}, false, -1
	}
	for i := c.known; i < len(l.records); i++ {
		a, b, err := l.ends(c, i, false)
		if err != nil {
			return err
		}
		rec, dial := l.records[i], l.dials[i]
		c.torn = c.torn || !alike(a, b)
		if m := agrees(h, rec, dial, a, b, false); m != nil {
			if agrees(h, rec, dial, a, b, true) != nil {
				c.fell, c.why = i, *m
				return nil
			}
			if a, b, err = l.ends(c, i, true); err != nil {
				return err
			}
			if m = agrees(h, rec, dial, a, b, false); m != nil {
				c.fell, c.why = i, *m
				return nil
			}
		}
		if c.lo < c.hi {
			c.own[0] = c.own[0] && agrees(h, rec, dial, a, a, false) == nil
			c.own[1] = c.own[1] && agrees(h, rec, dial, b, b, false) == nil
			c.sure = c.own[0] && c.own[1]
		}
	}
	c.known = len(l.records)
	return nil
}

// alike reports whether two sights differ only by degree: where a relay has stayed in at one end of a cell and not at the other,
// what lies between need not lie between what they show.
func alike(a, b *attempt.Sight) bool {
	if a == b {
		return true
	}
	for i := range a.Effects {
		if a.Effects[i].Word != b.Effects[i].Word || a.Clicked[i] != b.Clicked[i] {
			return false
		}
	}
	return true
}

// ends returns what a cell's two ends show at a record.
func (l *learner) ends(c *mind, i int, exact bool) (a, b *attempt.Sight, err error) {
	if a, err = l.sight(trackKey{c.entry, c.lo, exact}, i); err != nil || c.lo == c.hi {
		return a, a, err
	}
	b, err = l.sight(trackKey{c.entry, c.hi, exact}, i)
	return a, b, err
}

// sight returns what a candidate of one severity shows at a record.
func (l *learner) sight(key trackKey, i int) (*attempt.Sight, error) {
	t := l.tracks[key]
	if t == nil {
		l.next = 1 - l.next
		t = &track{trackKey: key, model: l.next}
		l.tracks[key] = t
	}
	if i < len(t.sights) {
		return &t.sights[i], nil
	}
	m, err := l.hold(t)
	for err == nil && len(t.sights) <= i {
		var s *attempt.Sight
		if s, err = m.Take(l.records[len(t.sights)]); err == nil {
			t.sights = append(t.sights, t.keep(s))
		}
	}
	if err != nil {
		f := l.r.entries[key.entry].Fault
		f.Severity = key.severity
		return nil, fmt.Errorf("candidate %q: %w", f, err)
	}
	return &t.sights[i], nil
}

// keep returns a copy of a sight that shares with the one before what has not changed.
func (t *track) keep(s *attempt.Sight) attempt.Sight {
	if len(t.sights) == 0 {
		return s.Clone()
	}
	was := &t.sights[len(t.sights)-1]
	c := *s
	if slices.Equal(s.Effects, was.Effects) {
		c.Effects = was.Effects
	} else {
		c.Effects = slices.Clone(s.Effects)
	}
	if slices.Equal(s.Before, was.Before) {
		c.Before = was.Before
	} else {
		c.Before = slices.Clone(s.Before)
	}
	if slices.Equal(s.Clicked, was.Clicked) {
		c.Clicked = was.Clicked
	} else {
		c.Clicked = slices.Clone(s.Clicked)
	}
	c.Seen = slices.Clone(s.Seen)
	return c
}

// hold returns a model that is where a track ends.
func (l *learner) hold(t *track) (*attempt.Model, error) {
	k := t.model
	m := l.models[k]
	if l.held[k] == t {
		return m, nil
	}
	if was := l.held[k]; was != nil {
		was.state = m.Save()
	}
	l.held[k] = t
	if t.state != nil {
		err := m.Load(t.state)
		t.state = nil
		return m, err
	}
	m.Exact(t.exact)
	return m, m.Suppose(l.r.with(t.entry, t.severity)...)
}

// tidy forgets the tracks that bound no cell any more.
func (l *learner) tidy() {
	needed := map[trackKey]bool{}
	for _, c := range l.cells {
		for _, s := range [2]float64{c.lo, c.hi} {
			needed[trackKey{c.entry, s, false}] = true
			needed[trackKey{c.entry, s, true}] = true
		}
	}
	for k, held := range l.held {
		if held != nil && !needed[held.trackKey] {
			l.held[k] = nil
		}
	}
	for key := range l.tracks {
		if !needed[key] {
			delete(l.tracks, key)
		}
	}
}
