package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// learner tries candidates against a log that grows. Each severity is gone through once, however many cells it bounds, and taken up where
// the log ended before.
type learner struct {
	r       *reasoner
	records []attempt.Record
	dials   []meter.Function // after each record
	models  [3]*attempt.Model
	held    [3]*track // by model
	next    int       // the model that the last new track was given
	tracks  map[trackKey]*track
	shared  map[string]*track // by what the fault does to the circuit: until something is repaired, that is all that counts
	wiring  *wiring
	touched map[stretch]int         // the first record at which a lead was put inside of it, 0 if what is taken as given lies there
	handled int                     // the first record at which a place was wiggled, warmed or cooled; math.MaxInt while there is none
	worked  int                     // the first record at which a control came to a position that shakes or warms all places, 0 if something is there from the beginning
	course  *attempt.Course         // after all records
	looks   map[int]*attempt.Course // by record: where an inspection was made
	fork    int                     // the first record that may mend something, len(records) while there is none
	leader  *leader
	spots   *spots
	fuses   map[string]bool // components that sit in a holder
	cyclers []int           // indexes in attempt.Sight.Switched: whether a breaker is open
	asked   []asked         // by record
	cells   []mind
	first   []mind // as they were before any record
	fallen  []cell // those that fell, if they are kept: then it is not nil
}

type trackKey struct {
	entry    int
	severity float64
	exact    bool
}

// track is a candidate of one severity gone through a log, or all those that do the same to the circuit.
type track struct {
	trackKey
	does   string // to the circuit; "" for a track that belongs to one candidate alone
	own    bool   // it belongs to one candidate alone
	until  bound  // up to when it holds
	base   *track // the one that this one has gone on from, nil for one from the beginning
	from   int    // the record of the first sight
	alters bool   // its own faults are still to be put in
	model  int    // index of the one it is gone through with: what is saved belongs to it
	sights []*attempt.Sight
	state  *attempt.Saved // after the last sight; nil before the first, and while a model holds it

	same    int    // moments, arrival and records, at which nothing differs from the leader, from the first on
	follows bool   // what it shows has been the leader's so far
	led     int    // sights that are the leader's
	along   int    // moments, from the first on, up to which its fault has done nothing at any instant
	spots   []spot // where the fault acts, nil where that is not so simple

	rests  map[moment]*attempt.Sight // what rest has found, nil for nothing
	sharps map[int]*attempt.Sight    // by record: what sharp has found, nil for nothing
}

func newLearner(r *reasoner, ex attempt.Exercise) (*learner, error) {
	l := &learner{
		r: r, tracks: map[trackKey]*track{}, shared: map[string]*track{}, wiring: newWiring(ex.Harness, r.book),
		course: attempt.NewCourse(ex.Harness, nil), looks: map[int]*attempt.Course{}, touched: map[stretch]int{}, leader: newLeader(), spots: newSpots(r), fuses: holders(ex.Harness),
		handled: math.MaxInt, worked: math.MaxInt,
	}
	begins := func(c harness.Control) bool { return provokes(c, c.Positions[0]) }
	if x := ex.Harness.Vehicle.Celsius; x > harness.HotAbove || x < harness.ColdBelow || slices.ContainsFunc(ex.Harness.Controls, begins) {
		l.worked = 0
	}
	for i := range l.models {
		var err error
		if l.models[i], err = attempt.NewModel(ex); err != nil {
			return nil, err
		}
	}
	l.cyclers = l.models[0].Cyclers()
	for _, f := range r.rest {
		list, err := r.book.Alterations(f)
		if err != nil {
			return nil, err
		}
		for _, a := range list {
			if b, ok := a.(harness.Bridge); ok {
				l.touch(b.A, 0)
				l.touch(b.B, 0)
			}
		}
	}
	for _, c := range r.cells {
		m := mind{cell: c}
		m.fresh(false)
		l.cells = append(l.cells, m)
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

// all returns the cells that stand and those that fell, in the order of the catalogue.
func (l *learner) all() []cell {
	out := append(l.standing(), l.fallen...)
	slices.SortStableFunc(out, func(a, b cell) int {
		switch {
		case a.entry != b.entry:
			return a.entry - b.entry
		case a.lo < b.lo:
			return -1
		case a.lo > b.lo:
			return 1
		}
		return 0
	})
	return out
}

// decided learns a whole log, stopping wherever somebody decided something: a finding, a repair, a fuse fitted. What is left is cut
// there as finely as it tells, so that nobody is held to have left open what was closed.
func (l *learner) decided(records []attempt.Record) error {
	c := attempt.NewCourse(l.r.ex.Harness, nil)
	for i, rec := range records {
		before := c.Stage()
		c.Take(rec)
		stop := before == attempt.StageConfirm && c.Stage() != before // all that the check told
		switch rec.Action.(type) {
		case attempt.Find, attempt.Repair, attempt.FitFuse:
			stop = true
		}
		if stop {
			if err := l.learn(records[:i]); err != nil {
				return err
			}
		}
	}
	return l.learn(records)
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
	for i := len(l.records); i < len(records); i++ {
		rec := records[i]
		dial = dialAfter(dial, rec)
		l.dials = append(l.dials, dial)
		l.course.Take(rec)
		switch act := rec.Action.(type) {
		case attempt.Inspect:
			l.looks[i] = l.course.Clone()
		case attempt.Lead:
			l.touch(act.Point, i)
		case attempt.Wiggle, attempt.Warm, attempt.Cool:
			l.handled = min(l.handled, i)
		case attempt.Operate:
			for _, c := range l.r.ex.Harness.Controls {
				if c.ID == act.Control && provokes(c, act.Position) {
					l.worked = min(l.worked, i)
				}
			}
		case attempt.Repair, attempt.FitFuse:
			if l.fork == i {
				continue
			}
		}
		if l.fork == i {
			l.fork++
		}
	}
	l.records = records
	if err := l.lead(); err != nil {
		return err
	}
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
	if len(out) > 0 { // else what is known may be asked for again, see anew
		l.tidy()
	}
	return nil
}

// anew makes the cells stand that stood at first, for the same records to be tried again that show something else: what candidates do in them is
// known already. records has as many as were learnt.
func (l *learner) anew(records []attempt.Record) {
	l.cells, l.records, l.asked = slices.Clone(l.first), records, nil
	if l.fallen != nil {
		l.fallen = []cell{}
	}
}

// provokes reports whether what comes and goes may do so with a control in this position.
func provokes(c harness.Control, position string) bool {
	return slices.Contains(c.Hot, position) || slices.Contains(c.Shakes, position)
}

// touch notes that something was put at a point at a record.
func (l *learner) touch(p harness.Point, i int) {
	for _, k := range l.wiring.inside(p) {
		if _, before := l.touched[k]; !before {
			l.touched[k] = i
		}
	}
}

// ends returns what a cell's two ends show at a record.
func (l *learner) ends(c *mind, i int) (a, b *attempt.Sight, err error) {
	if a, err = l.sight(trackKey{c.entry, c.lo, c.exact}, i); err != nil || c.lo == c.hi {
		return a, a, err
	}
	b, err = l.sight(trackKey{c.entry, c.hi, c.exact}, i)
	return a, b, err
}

// sight returns what a candidate of one severity shows at a record.
func (l *learner) sight(key trackKey, i int) (*attempt.Sight, error) {
	t, err := l.track(key, i)
	if err != nil {
		return nil, err
	}
	if err := l.extend(t, i); err != nil {
		f := l.r.entries[key.entry].Fault
		f.Severity = key.severity
		return nil, fmt.Errorf("candidate %q: %w", f, err)
	}
	return l.dressed(key, t, i, t.sights[i-t.from]), nil
}

// dressed is what a candidate shows at a record of which its track is a sight: with its own fault to be seen where somebody looked.
func (l *learner) dressed(key trackKey, t *track, i int, s *attempt.Sight) *attempt.Sight {
	where := l.looks[i]
	if where == nil || t.entry == key.entry && i-t.from >= t.led {
		return s
	}
	c := *s
	c.Seen = l.seen(key, s, l.records[i].Action.(attempt.Inspect).Place, where)
	return &c
}

// track returns the track that holds what a candidate shows at a record.
func (l *learner) track(key trackKey, i int) (*track, error) {
	if i < l.fork {
		return l.common(key, i)
	}
	if t := l.tracks[key]; t != nil && t.own {
		return t, nil
	}
	own := &track{trackKey: key, own: true, from: l.fork}
	if l.fork > 0 {
		was, err := l.common(key, l.fork-1)
		if err != nil {
			return nil, err
		}
		if err := l.leave(own, was); err != nil {
			return nil, err
		}
	} else {
		l.next = 1 - l.next
		own.model = l.next
	}
	l.tracks[key] = own
	return own, nil
}

// at returns what a track has shown at a record, or what the one did that it has gone on from.
func (t *track) at(i int) *attempt.Sight {
	for i < t.from {
		t = t.base
	}
	return t.sights[i-t.from]
}

// leave lets a track go on with its own faults from where another ends.
func (l *learner) leave(t, was *track) error {
	t.base = was
	if err := l.extend(was, t.from-1); err != nil {
		return err
	}
	t.model, t.alters = was.model, true
	switch {
	case was.follows && was.exact:
		t.state = l.leader.saved[t.from]
	case was.follows:
		t.state = l.leader.plainly[t.from][was.model]
	case was.state != nil:
		t.state = was.state
	default:
		m, err := l.hold(was)
		if err != nil {
			return err
		}
		t.state = m.Save()
	}
	return nil
}

// common returns the track that a candidate shares at a record before the first repair, with all that do the same to the circuit; until
// somebody puts a lead inside the chain or the run in which it adds resistance, with all that do so anywhere in it, see wiring.ways.
func (l *learner) common(key trackKey, i int) (*track, error) {
	t := l.tracks[key]
	for t != nil && (t.own || i < t.from) {
		t = t.base
	}
	known := 0
	if t != nil {
		if known = l.until(t.until); i < known {
			return t, nil
		}
	}
	list := l.r.with(key.entry, key.severity)
	for _, w := range l.wiring.ways(list[0]) {
		end := l.until(w.until)
		if end <= known {
			continue
		}
		var err error
		if t, err = l.share(key, w.does, w.until, t); err != nil || i < end {
			return t, err
		}
		known = end
	}
	own, err := l.wiring.does(list...)
	if err != nil {
		return nil, err
	}
	return l.share(key, own, forever, t)
}

// until returns the first record at which more counts than what is done to a run as a whole; math.MaxInt while there is none.
func (l *learner) until(up bound) int {
	first := math.MaxInt
	if i, ok := l.touched[up.stretch]; ok {
		first = i
	}
	if up.fickle {
		first = min(first, l.handled)
	}
	if up.dormant {
		first = min(first, l.handled, l.worked)
	}
	return first
}

// share returns the track of a name, new if there is none yet: from the beginning, or from where was ends.
func (l *learner) share(key trackKey, does string, up bound, was *track) (*track, error) {
	if key.exact {
		does += " exact"
	}
	t := l.shared[does]
	if t == nil {
		t = &track{trackKey: key, does: does, until: up}
		if was != nil {
			t.from = l.until(was.until)
			if err := l.leave(t, was); err != nil {
				return nil, err
			}
			if may := l.following(t); was.follows && may && !t.exact {
				t.follows, t.alters, t.state = true, false, nil
			}
		} else {
			l.next = 1 - l.next
			t.model, t.follows = l.next, l.following(t)
			if t.follows && t.exact {
				t.model = leads
			}
			if t.follows && !t.exact && l.leader.extents[0].inert(t.spots) {
				t.same = 1
			}
		}
		l.shared[does] = t
	}
	l.tracks[key] = t
	return t, nil
}

// extend goes through the log with a track as far as a record. What comes and goes on and on where nothing did cannot be what is looked for: it
// is only an end of a cell of which another part may be, and is not waited for as long as that was.
func (l *learner) extend(t *track, i int) error {
	if i < t.from+len(t.sights) {
		return nil
	}
	for t.from+len(t.sights) <= i {
		if t.follows {
			if done, err := l.follow(t, i); done || err != nil {
				return err
			}
		}
		m, err := l.hold(t)
		if err != nil {
			return err
		}
		n := t.from + len(t.sights)
		m.Hasty(l.still(n))
		s, err := m.Take(l.records[n])
		if err != nil {
			return err
		}
		t.sights = append(t.sights, t.keep(s))
		l.compare(t, m)
	}
	return nil
}

// overdone reports whether a candidate shows at a record that something comes and goes on and on where nothing did.
func (l *learner) overdone(i int, s *attempt.Sight) bool {
	return s.Swarms && s.Restless && l.still(i)
}

// still reports whether it is known of a record that nothing came and went on and on.
func (l *learner) still(i int) bool { return calm(l.records[i], l.r.aside[i]) }

// calm reports whether it counts that nothing came and went on and on in a record, which may be left aside.
func calm(rec attempt.Record, aside bool) bool { return !aside && !chatters(rec.Observation) }

// seen is what an inspection shows of a candidate that shares its track: the fuses as there, and its own fault.
func (l *learner) seen(key trackKey, s *attempt.Sight, place string, where *attempt.Course) []string {
	var out []string
	for _, text := range s.Seen {
		if strings.HasPrefix(text, "fuse ") {
			out = append(out, text)
		}
	}
	for _, f := range l.r.book.Seen(l.r.with(key.entry, key.severity), place, where.Parted, where.Open) {
		if l.fuses[placeName(f.Place)] {
			continue // told by what it looks like
		}
		f.Severity = 0
		out = append(out, f.String())
	}
	return out
}

// holders lists the components that sit in a fuse holder.
func holders(h *harness.Harness) map[string]bool {
	out := map[string]bool{}
	for _, c := range h.Connectors {
		if c.Mount == harness.Holder {
			out[c.Component] = true
		}
	}
	return out
}

// keep returns a copy of a sight that shares with the one before what has not changed.
func (t *track) keep(s *attempt.Sight) *attempt.Sight {
	if len(t.sights) == 0 {
		c := s.Clone()
		return &c
	}
	was := t.sights[len(t.sights)-1]
	c := *s
	c.Effects = shared(s.Effects, was.Effects)
	c.Clicked, c.Astir, c.Switched = shared(s.Clicked, was.Clicked), shared(s.Astir, was.Astir), shared(s.Switched, was.Switched)
	c.Sensed = shared(s.Sensed, was.Sensed)
	c.Blown, c.Loaded, c.Doubts = shared(s.Blown, was.Blown), shared(s.Loaded, was.Loaded), shared(s.Doubts, was.Doubts)
	c.Moved, c.Stirring = shared(s.Moved, was.Moved), shared(s.Stirring, was.Stirring)
	c.Kelvin, c.Heats = shared(s.Kelvin, was.Kelvin), shared(s.Heats, was.Heats)
	c.Chances, c.Seen, c.Charges = shared(s.Chances, was.Chances), slices.Clone(s.Seen), shared(s.Charges, was.Charges)
	return &c
}

// shared returns was if it holds the same as x, else a copy of x.
func shared[E comparable](x, was []E) []E {
	if slices.Equal(x, was) {
		return was
	}
	return slices.Clone(x)
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
	switch {
	case t.follows && t.exact:
		t.follows = false
		return m, m.LoadWith(l.leader.saved[len(t.sights)], l.faults(t)...)
	case t.follows:
		t.follows = false
		return m, m.LoadWith(l.leader.plainly[t.from+len(t.sights)][k], l.faults(t)...)
	case t.state != nil && t.alters:
		err := m.LoadWith(t.state, l.faults(t)...)
		t.state, t.alters = nil, false
		return m, err
	case t.state != nil:
		err := m.Load(t.state)
		t.state = nil
		return m, err
	}
	m.Exact(t.exact)
	err := m.Suppose(l.faults(t)...)
	if err == nil {
		l.compare(t, m)
	}
	return m, err
}

// tidy forgets the tracks that bound no cell any more.
func (l *learner) tidy() {
	kept := map[trackKey]*track{}
	shared := map[string]*track{}
	for _, c := range l.cells {
		for _, severity := range [2]float64{c.lo, c.hi} {
			for _, exact := range [2]bool{false, true} {
				key := trackKey{c.entry, severity, exact}
				t := l.tracks[key]
				if t == nil {
					continue
				}
				kept[key] = t
				for ; t != nil; t = t.base {
					if !t.own {
						shared[t.does] = t
					}
				}
			}
		}
	}
	l.tracks, l.shared = kept, shared
	for k, t := range l.held {
		if t != nil && t.entry >= 0 && kept[t.trackKey] != t && (t.own || shared[t.does] != t) {
			l.held[k] = nil
		}
	}
}
