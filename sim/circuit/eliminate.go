package circuit

import "math/bits"

// Taking out a node k that is joined to others by conductances c_i and to ground by g, with d = g + Σ c_i, leaves between
// each two neighbours c_i·c_q/d and from each to ground c_i·g/d. Nothing is ever subtracted from a conductance. Each of these
// carries a source: star branches that drive j_i and j_q into k leave one that drives (c_i·j_q - c_q·j_i)/d into i from q.
//
// There are two ways to walk through the columns. sweep (sweep.go) does all of a range, each column adding to later ones. mend
// does some, each column fetching from earlier ones. Sums are made in the same order in both, so they agree to the last bit.
// Both leave out what is zero, see form.

// What there is to be done for a column. Where only a source has changed, the conductances stand.
const (
	upToDate   uint8 = 0
	newSources uint8 = 1
	newAll     uint8 = 3
)

// What it costs to mend a column, over what it costs to have it swept along; measured, and of no effect but on speed.
const sourceCost, allCost = 1, 4

// touch marks the columns that follow from a slot.
func (s *Solver) touch(slot int32, what uint8) {
	sym := s.sym
	for k := sym.col[slot]; k >= 0; k = sym.parent[k] {
		was := s.dirty[k]
		if was|what == was {
			return
		}
		cost := int32(sourceCost)
		if what == newAll {
			cost = allCost
		}
		s.dirty[k] = what
		s.marks[k>>6] |= 1 << (k & 63)
		if int(k) < sym.live {
			s.fixedCost += cost
		} else {
			s.liveCost += cost
		}
	}
}

// marked returns which of the columns 64·i to 64·i+63 that lie in from <= k < to are dirty, as bits.
func (s *Solver) marked(i, from, to int) uint64 { return s.marks[i] & within(i, from, to) }

// within returns a word with the bits of the columns from <= k < to among 64·i to 64·i+63.
func within(i, from, to int) uint64 {
	word := ^uint64(0)
	if low := from - i<<6; low > 0 {
		word <<= low
	}
	if high := to - i<<6; high < 64 {
		word &= 1<<high - 1
	}
	return word
}

// unmark makes the columns from <= k < to clean.
func (s *Solver) unmark(from, to int) {
	clear(s.dirty[from:to])
	for i := from >> 6; i<<6 < to; i++ {
		s.marks[i] &^= within(i, from, to)
	}
}

// touchAll makes the next refresh see to it that all columns are eliminated anew.
func (s *Solver) touchAll() { s.fixedCost = int32(s.sym.columns) + 1 }

// refresh brings the columns that are not live up to date with the linear branches, and the base of the live ones.
func (s *Solver) refresh() {
	if s.form.outgrown {
		s.reform()
	}
	if s.fixedCost+s.liveCost == 0 {
		return
	}
	sym := s.sym
	if s.fixedCost+s.liveCost > int32(sym.columns) {
		copy(s.acc.c[sym.bare:], s.orig.c[sym.bare:])
		s.acc.copySpans(&s.orig, s.form.fixedSources)
		s.acc.copySpans(&s.orig, s.form.liveSources)
		s.sweep(s.form.fixedRuns)
		if sym.live < sym.columns {
			p := sym.ptr[sym.live]
			copy(s.base.c[p:], s.acc.c[p:])
			copy(s.base.j[p:], s.acc.j[p:])
			s.all = true
		}
	} else {
		s.mendFixed()
		s.rebase()
	}
	s.unmark(0, sym.live)
	s.fixedCost = 0
}

// reeliminate brings all columns up to date with the slots that were touched, with the curves linearised as they were in the
// last elimination.
func (s *Solver) reeliminate() {
	s.mendFixed()
	s.rebase()
	s.mendLive()
	s.unmark(0, s.sym.columns)
	s.fixedCost, s.liveCost = 0, 0
}

// rebase finds for each dirty live column what it starts from in every iteration: its linear branches and what the columns that
// are not live leave there.
func (s *Solver) rebase() {
	sym := s.sym
	for i := sym.live >> 6; i < len(s.marks); i++ {
		for word := s.marked(i, sym.live, sym.columns); word != 0; word &= word - 1 {
			k := i<<6 + bits.TrailingZeros64(word)
			p0 := sym.ptr[k]
			p1 := p0 + 1 + s.form.count[k]
			if s.dirty[k] == newAll {
				s.fetch(k, &s.orig, nil, s.form.updates.fromFixed(k))
				s.base.copy(&s.acc, p0, p1)
			} else {
				s.fetchSources(k, &s.orig, nil, s.form.sources.fromFixed(k))
				s.base.copySources(&s.acc, p0, p1)
			}
		}
	}
}

// stamp finds what the present linearisations of the curves, and the stores, come to in the hot slots.
func (s *Solver) stamp() {
	sym := s.sym
	s.all = s.all || s.moved*allCost > int32(sym.columns-sym.live)
	for h, slot := range sym.hotSlots {
		var t norton
		if i := sym.hotOnly[h]; i >= 0 {
			c := &s.crv[i]
			c.stampG, c.stampJ = c.g, float64(c.g*c.x)-c.i
			t = norton{c.stampG, c.sign * c.stampJ}
		} else {
			t = s.sumHot(h)
		}
		was := s.hot[h]
		if t == was {
			continue
		}
		s.hot[h] = t
		if s.all {
			continue
		}
		if t.c != was.c {
			s.touch(slot, newAll)
		} else {
			s.touch(slot, newSources)
		}
		s.all = s.liveCost > int32(sym.columns-sym.live)
	}
	s.unstamped, s.moved = false, 0
}

// sumHot adds up a hot slot.
func (s *Solver) sumHot(h int) norton {
	t := s.still[h]
	for _, i := range s.sym.hotCurve.at(h) {
		c := &s.crv[i]
		c.stampG, c.stampJ = c.g, float64(c.g*c.x)-c.i
		t.c += c.stampG
		t.j += float64(c.sign * c.stampJ)
	}
	return t
}

// linearSolve solves the live columns for the present linearisations and stores.
func (s *Solver) linearSolve() {
	sym := s.sym
	if sym.live == sym.columns {
		return
	}
	if s.unstamped {
		s.stamp()
	}
	if s.all || s.liveCost > int32(sym.columns-sym.live) {
		p := sym.ptr[sym.live]
		copy(s.acc.c[p:], s.base.c[p:])
		s.acc.copySpans(&s.base, s.form.liveSources)
		for h, slot := range sym.hotSlots {
			s.acc.c[slot] = s.base.c[slot] + s.hot[h].c
			s.acc.j[slot] = s.base.j[slot] + s.hot[h].j
		}
		s.sweep(s.form.liveRuns)
	} else if s.liveCost > 0 {
		s.mendLive()
	}
	s.unmark(sym.live, sym.columns)
	s.all, s.liveCost = false, 0
	s.back(s.form.liveRuns, s.volts)
}

// mendFixed eliminates the columns that are dirty and not live.
func (s *Solver) mendFixed() {
	live, f := s.sym.live, &s.form
	for i := 0; i<<6 < live; i++ {
		for word := s.marked(i, 0, live); word != 0; word &= word - 1 {
			k := i<<6 + bits.TrailingZeros64(word)
			if s.dirty[k] == newAll {
				s.fetch(k, &s.orig, nil, f.updates.fromFixed(k))
				s.close(k)
			} else {
				s.fetchSources(k, &s.orig, nil, f.sources.fromFixed(k))
				s.closeSources(k)
			}
		}
	}
}

// mendLive eliminates the live columns that are dirty.
func (s *Solver) mendLive() {
	live, n, f := s.sym.live, s.sym.columns, &s.form
	for i := live >> 6; i<<6 < n; i++ {
		for word := s.marked(i, live, n); word != 0; word &= word - 1 {
			k := i<<6 + bits.TrailingZeros64(word)
			if s.dirty[k] == newAll {
				s.fetch(k, &s.base, s.sym.hotIn(k), f.updates.fromLive(k))
				s.close(k)
			} else {
				s.fetchSources(k, &s.base, s.sym.hotIn(k), f.sources.fromLive(k))
				s.closeSources(k)
			}
		}
	}
}

// entries returns the range of a column's entries that may conduct.
func (s *Solver) entries(k int) (from, to int32) {
	from = s.sym.ptr[k] + 1
	return from, from + s.form.count[k]
}

// fetch brings a column's slots from what src holds, with what stands in its hot slots, to what they are after the updates.
func (s *Solver) fetch(k int, src *nortons, hot []int32, updates []update) {
	sym, form := s.sym, &s.form
	c, j := s.acc.c, s.acc.j
	p0 := sym.ptr[k]
	s.acc.copy(src, p0, p0+1+form.count[k])
	for _, h := range hot {
		slot := sym.hotSlots[h]
		c[slot] += s.hot[h].c
		j[slot] += s.hot[h].j
	}
	fc, fj := c[p0], j[p0]
	for i := range updates {
		u := &updates[i]
		e := u.entry
		l := s.part[e]
		fc += float64(l * c[u.ground])
		if !form.driven[u.from] {
			for x := e + 1; x < u.end; x++ {
				c[sym.reachAt(e, x-e-1)] += float64(l * c[x])
			}
			continue
		}
		m := j[e] * s.inv[u.from]
		fj += float64(l*j[u.ground]) - float64(m*c[u.ground])
		for x := e + 1; x < u.end; x++ {
			at := sym.reachAt(e, x-e-1)
			c[at] += float64(l * c[x])
			j[at] += float64(l*j[x]) - float64(m*c[x])
		}
	}
	c[p0], j[p0] = fc, fj
}

// fetchSources is fetch where conductances stand already, and so needs the updates from driven columns only.
func (s *Solver) fetchSources(k int, src *nortons, hot []int32, updates []update) {
	sym := s.sym
	c, j := s.acc.c, s.acc.j
	p0 := sym.ptr[k]
	s.acc.copySources(src, p0, p0+1+s.form.count[k])
	for _, h := range hot {
		j[sym.hotSlots[h]] += s.hot[h].j
	}
	f := j[p0]
	for i := range updates {
		u := &updates[i]
		e := u.entry
		l, m := s.part[e], j[e]*s.inv[u.from]
		f += float64(l*j[u.ground]) - float64(m*c[u.ground])
		for x := e + 1; x < u.end; x++ {
			j[sym.reachAt(e, x-e-1)] += float64(l*j[x]) - float64(m*c[x])
		}
	}
	j[p0] = f
}

// close finds what follows from a column's own slots alone, when they are complete, and returns the reciprocal of the sum of
// its conductances.
func (s *Solver) close(k int) float64 {
	p0 := s.sym.ptr[k]
	p1 := p0 + 1 + s.form.count[k]
	c, part := s.acc.c[p0:p1], s.part[p0:p1]
	d := c[0]
	for _, x := range c[1:] {
		d += x
	}
	inv := 1 / d
	s.inv[k] = inv
	for i := 1; i < len(c); i++ {
		part[i] = c[i] * inv
	}
	s.closeSources(k)
	return inv
}

// closeSources is close where conductances stand already.
func (s *Solver) closeSources(k int) {
	p0 := s.sym.ptr[k]
	if !s.form.driven[k] {
		return
	}
	b := s.acc.j[p0]
	for _, x := range s.acc.j[p0+1 : p0+1+s.form.count[k]] {
		b += x
	}
	s.part[p0] = b * s.inv[k]
}
