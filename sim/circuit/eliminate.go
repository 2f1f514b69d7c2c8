package circuit

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
		if int(k) < sym.live {
			s.fixedCost += cost
		} else {
			s.liveCost += cost
		}
	}
}

// touchAll marks all columns.
func (s *Solver) touchAll() {
	for k := range s.dirty {
		s.dirty[k] = newAll
	}
	s.fixedCost, s.liveCost = allCost*int32(s.sym.live), allCost*int32(s.sym.columns-s.sym.live)
}

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
		s.restamp()
		s.all = true
	} else {
		s.mend(0, sym.live, s.orig, s.form.upPtr)
		s.rebase()
	}
	clear(s.dirty[:sym.live])
	s.fixedCost = 0
}

// reeliminate brings all columns up to date with the slots that were touched, with the curves linearised as they were in the
// last elimination.
func (s *Solver) reeliminate() {
	s.mend(0, s.sym.live, s.orig, s.form.upPtr)
	s.rebase()
	s.mend(s.sym.live, s.sym.columns, s.work, s.form.upLive)
	clear(s.dirty)
	s.fixedCost, s.liveCost = 0, 0
}

// rebase finds for each dirty live column what it starts from in every iteration: its linear branches and what the columns that
// are not live leave there.
func (s *Solver) rebase() {
	sym := s.sym
	for k := sym.live; k < sym.columns; k++ {
		if s.dirty[k] == upToDate {
			continue
		}
		updates := s.form.updates[s.form.upPtr[k]:s.form.upLive[k]]
		if s.dirty[k] == newAll {
			s.fetch(k, s.orig, updates)
			s.keepBase(k, k+1)
		} else {
			s.fetchSources(k, s.orig, updates)
			s.keepBaseSources(k)
		}
	}
	s.restamp()
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

// restamp puts the curves and stores, as they were in the last elimination, into work.
func (s *Solver) restamp() {
	for h, slot := range s.sym.hotSlots {
		s.work[slot] = norton{s.base[slot].c + s.hot[h].c, s.base[slot].j + s.hot[h].j}
	}
}

// stamp puts the present linearisations of the curves, and the stores, into work.
func (s *Solver) stamp() {
	sym := s.sym
	for h, slot := range sym.hotSlots {
		t := s.still[h]
		for _, i := range sym.hotCurve.at(h) {
			c := &s.crv[i]
			c.stampG, c.stampJ = c.g, float64(c.g*c.x)-c.i
			t.c += c.stampG
			t.j += float64(c.sign * c.stampJ)
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
		s.mend(sym.live, sym.columns, s.work, s.form.upLive)
	}
	clear(s.dirty[sym.live:])
	s.all, s.liveCost = false, 0
	s.back(s.form.liveRuns, s.volts)
}

// mend eliminates the columns from <= k < to that are dirty. src holds what their slots start from, and first the number of the
// first update of each that is not yet in src.
func (s *Solver) mend(from, to int, src []norton, first []int32) {
	f := &s.form
	for k := from; k < to; k++ {
		switch s.dirty[k] {
		case newAll:
			s.fetch(k, src, f.updates[first[k]:f.upPtr[k+1]])
			s.close(k)
		case newSources:
			s.fetchSources(k, src, f.updates[first[k]:f.upPtr[k+1]])
			s.closeSources(k)
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
		l, g := s.share[e], ground[from]
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

// fetchSources is fetch where conductances stand already.
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
		if !form.driven[from] {
			continue
		}
		l, m, g := s.share[e], s.acc[e].j*s.cols[from].inv, ground[from]
		j += float64(l*g.j) - float64(m*g.c)
		star := s.acc[e+1 : sym.ptr[from]+form.count[from]]
		for i := range star {
			s.acc[sym.reachAt(e, i)].j += float64(l*star[i].j) - float64(m*star[i].c)
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
	shares := s.share[p0:p1]
	for i := range own {
		shares[i] = own[i].c * inv
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
