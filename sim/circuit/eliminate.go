package circuit

import "math/bits"

// norton is a conductance in siemens with a current source beside it that drives j amperes into the slot's own column.
type norton struct{ c, j float64 }

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
		copy(s.acc, s.orig)
		s.sweep(s.form.fixedRuns)
		s.keepBase(sym.live, sym.columns)
		for h := range sym.hotSlots {
			s.restamp(h)
		}
		s.all = true
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
			if s.dirty[k] == newAll {
				s.fetch(k, s.orig, s.form.updates.fromFixed(k))
				s.keepBase(k, k+1)
			} else {
				s.fetchSources(k, s.orig, s.form.sources.fromFixed(k))
				s.keepBaseSources(k)
			}
			for _, h := range sym.hotOf.at(k) {
				s.restamp(int(h))
			}
		}
	}
}

// keepBase makes what stands in the slots of the columns from <= k < to their base.
func (s *Solver) keepBase(from, to int) {
	sym := s.sym
	p0, p1 := sym.ptr[from], sym.ptr[to]
	copy(s.base[p0:p1], s.acc[p0:p1])
	copy(s.base[sym.entries+from:], s.acc[sym.entries+from:sym.entries+to])
	copy(s.work[p0:p1], s.acc[p0:p1])
	copy(s.work[sym.entries+from:], s.acc[sym.entries+from:sym.entries+to])
}

// keepBaseSources is keepBase for a column of which the conductances in acc are not the base's.
func (s *Solver) keepBaseSources(k int) {
	p, n := s.sym.ptr[k], s.form.count[k]
	for e := p; e < p+n; e++ {
		s.base[e].j, s.work[e].j = s.acc[e].j, s.acc[e].j
	}
	g := s.sym.entries + k
	s.base[g].j, s.work[g].j = s.acc[g].j, s.acc[g].j
}

// restamp puts the curves and stores of a hot slot, as they were in the last elimination, into work.
func (s *Solver) restamp(h int) {
	slot := s.sym.hotSlots[h]
	s.work[slot] = norton{s.base[slot].c + s.hot[h].c, s.base[slot].j + s.hot[h].j}
}

// stamp puts the present linearisations of the curves, and the stores, into work.
func (s *Solver) stamp() {
	sym := s.sym
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
		s.work[slot] = norton{s.base[slot].c + t.c, s.base[slot].j + t.j}
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
	s.unstamped = false
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
	if s.unstamped {
		s.stamp()
	}
	if s.all || s.liveCost > int32(sym.columns-sym.live) {
		p := sym.ptr[sym.live]
		copy(s.acc[p:sym.entries], s.work[p:sym.entries])
		copy(s.acc[sym.entries+sym.live:], s.work[sym.entries+sym.live:])
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
				s.fetch(k, s.orig, f.updates.fromFixed(k))
				s.close(k)
			} else {
				s.fetchSources(k, s.orig, f.sources.fromFixed(k))
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
				s.fetch(k, s.work, f.updates.fromLive(k))
				s.close(k)
			} else {
				s.fetchSources(k, s.work, f.sources.fromLive(k))
				s.closeSources(k)
			}
		}
	}
}

// fetch brings a column's slots from what src holds to what they are after the updates.
func (s *Solver) fetch(k int, src []norton, updates []int32) {
	sym, form := s.sym, &s.form
	p0 := sym.ptr[k]
	p1 := p0 + form.count[k]
	copy(s.acc[p0:p1], src[p0:p1])
	ground := s.acc[sym.entries:]
	f := src[sym.entries+k]
	for _, e := range updates {
		from := sym.col[e]
		l, g := s.links[e].share, ground[from]
		star := s.acc[e+1 : sym.ptr[from]+form.count[from]]
		f.c += float64(l * g.c)
		if !form.driven[from] {
			s.spreadQuiet(star, e, l)
			continue
		}
		m := s.acc[e].j * s.cols[from].inv
		f.j += float64(l*g.j) - float64(m*g.c)
		s.spread(star, e, l, m)
	}
	ground[k] = f
}

// fetchSources is fetch where conductances stand already, and so needs the updates from driven columns only.
func (s *Solver) fetchSources(k int, src []norton, updates []int32) {
	sym, form := s.sym, &s.form
	p0 := sym.ptr[k]
	p1 := p0 + form.count[k]
	for p := p0; p < p1; p++ {
		s.acc[p].j = src[p].j
	}
	ground := s.acc[sym.entries:]
	j := src[sym.entries+k].j
	for _, e := range updates {
		from := sym.col[e]
		a := &s.links[e]
		l, m, g := a.share, s.acc[e].j*s.cols[from].inv, ground[from]
		j += float64(l*g.j) - float64(m*g.c)
		star := s.acc[e+1 : sym.ptr[from]+form.count[from]]
		for i := range star {
			at := a.near
			if i > 0 {
				at = sym.reachAt(e, i)
			}
			s.acc[at].j += float64(l*star[i].j) - float64(m*star[i].c)
		}
	}
	ground[k].j = j
}

// close finds what follows from a column's own slots alone, when they are complete, and returns the reciprocal of the sum of
// its conductances.
func (s *Solver) close(k int) float64 {
	p0 := s.sym.ptr[k]
	p1 := p0 + s.form.count[k]
	f := s.acc[s.sym.entries+k]
	d, b := f.c, f.j
	own := s.acc[p0:p1]
	for i := range own {
		d += own[i].c
		b += own[i].j
	}
	inv := 1 / d
	s.cols[k] = column{b * inv, inv}
	links := s.links[p0:p1]
	for i := range own {
		links[i].share = own[i].c * inv
	}
	return inv
}

// closeSources is close where conductances stand already.
func (s *Solver) closeSources(k int) {
	p0 := s.sym.ptr[k]
	b := s.acc[s.sym.entries+k].j
	for _, own := range s.acc[p0 : p0+s.form.count[k]] {
		b += own.j
	}
	s.cols[k].w = b * s.cols[k].inv
}

// spread adds the branches that the elimination of a column leaves between the neighbour that entry e leads to and the later
// ones, whose entries are star.
func (s *Solver) spread(star []norton, e int32, l, m float64) {
	if len(star) == 0 {
		return
	}
	if at := s.sym.reach[e]; at >= 0 {
		mesh := s.acc[at:][:len(star)]
		for i := range star {
			mesh[i].c += float64(l * star[i].c)
			mesh[i].j += float64(l*star[i].j) - float64(m*star[i].c)
		}
		return
	}
	for i, q := range s.sym.target[^s.sym.reach[e]:][:len(star)] {
		t := &s.acc[q]
		t.c += float64(l * star[i].c)
		t.j += float64(l*star[i].j) - float64(m*star[i].c)
	}
}

// spreadQuiet is spread for a column without sources.
func (s *Solver) spreadQuiet(star []norton, e int32, l float64) {
	if len(star) == 0 {
		return
	}
	if at := s.sym.reach[e]; at >= 0 {
		mesh := s.acc[at:][:len(star)]
		for i := range star {
			mesh[i].c += float64(l * star[i].c)
		}
		return
	}
	for i, q := range s.sym.target[^s.sym.reach[e]:][:len(star)] {
		s.acc[q].c += float64(l * star[i].c)
	}
}
