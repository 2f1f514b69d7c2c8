package circuit

// norton is a conductance in siemens with a current source beside it that drives j amperes into the slot's own column.
type norton struct{ c, j float64 }

// Taking out a node k that is joined to others by conductances c_i and to ground by g, with d = g + Σ c_i, leaves between
// each two neighbours c_i·c_q/d and from each to ground c_i·g/d. Nothing is ever subtracted from a conductance. Each of these
// carries a source: star branches that drive j_i and j_q into k leave one that drives (c_i·j_q - c_q·j_i)/d into i from q.
//
// There are two ways to walk through the columns. sweep does all of a range, each column adding to later ones. mend does some,
// each column fetching from earlier ones. Sums are made in the same order in both, so they agree to the last bit.

// run is a range of columns that have the same number of entries, or at least manyEntries.
type run struct{ from, to, entries int32 }

// manyEntries is the least number of entries for which there is no code of its own.
const manyEntries = 3

// sweep eliminates the columns of the runs. Their slots in acc hold what they start from; what is left there is what stands
// when the column is eliminated.
func (s *Solver) sweep(runs []run) {
	for _, r := range runs {
		switch r.entries {
		case 0:
			s.sweep0(int(r.from), int(r.to))
		case 1:
			s.sweep1(int(r.from), int(r.to))
		case 2:
			s.sweep2(int(r.from), int(r.to))
		default:
			s.sweepMany(int(r.from), int(r.to))
		}
	}
}

func (s *Solver) sweep0(from, to int) {
	ground, cols := s.acc[s.sym.entries:], s.cols
	for k := from; k < to; k++ {
		f := ground[k]
		inv := 1 / f.c
		cols[k] = column{f.j * inv, inv}
	}
}

func (s *Solver) sweep1(from, to int) {
	sym := s.sym
	n := to - from
	p := int(sym.ptr[from])
	ground := s.acc[sym.entries:]
	cols, own, rows, shares := s.cols[from:to], s.acc[p:p+n], sym.row[p:p+n], s.share[p:p+n]
	here := ground[from:to]
	for i := range cols {
		f, e := here[i], own[i]
		inv := 1 / (f.c + e.c)
		l, m := e.c*inv, e.j*inv
		cols[i] = column{(f.j + e.j) * inv, inv}
		shares[i] = l
		t := &ground[rows[i]]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
	}
}

func (s *Solver) sweep2(from, to int) {
	sym := s.sym
	n := to - from
	p := int(sym.ptr[from])
	acc, ground := s.acc, s.acc[sym.entries:]
	own, rows, shares, reach := s.acc[p:p+2*n], sym.row[p:p+2*n], s.share[p:p+2*n], sym.reach[p:p+2*n]
	cols, here := s.cols[from:to], ground[from:to]
	for i := range cols {
		f, e, h := here[i], own[2*i], own[2*i+1]
		inv := 1 / (f.c + e.c + h.c)
		l, m := e.c*inv, e.j*inv
		l1, m1 := h.c*inv, h.j*inv
		cols[i] = column{(f.j + e.j + h.j) * inv, inv}
		shares[2*i], shares[2*i+1] = l, l1
		t := &ground[rows[2*i]]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
		t = &acc[reach[2*i]]
		t.c += float64(l * h.c)
		t.j += float64(l*h.j) - float64(m*h.c)
		t = &ground[rows[2*i+1]]
		t.c += float64(l1 * f.c)
		t.j += float64(l1*f.j) - float64(m1*f.c)
	}
}

func (s *Solver) sweepMany(from, to int) {
	sym := s.sym
	acc, ground := s.acc, s.acc[sym.entries:]
	for k := from; k < to; k++ {
		p0, p1 := int(sym.ptr[k]), int(sym.ptr[k+1])
		f := ground[k]
		inv := s.close(k)
		own, rows, shares, reach := acc[p0:p1], sym.row[p0:p1], s.share[p0:p1], sym.reach[p0:p1]
		for i := range own {
			l, m := shares[i], own[i].j*inv
			t := &ground[rows[i]]
			t.c += float64(l * f.c)
			t.j += float64(l*f.j) - float64(m*f.c)
			s.spread(own[i+1:], reach[i], l, m)
		}
	}
}

// close finds what follows from a column's own slots alone, when they are complete, and returns the reciprocal of the sum of
// its conductances.
func (s *Solver) close(k int) float64 {
	p0, p1 := s.sym.ptr[k], s.sym.ptr[k+1]
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

// spread adds the branches that the elimination of a column leaves between one neighbour and the later ones, whose entries
// are star.
func (s *Solver) spread(star []norton, at int32, l, m float64) {
	if at >= 0 {
		mesh := s.acc[at:][:len(star)]
		for i := range star {
			mesh[i].c += float64(l * star[i].c)
			mesh[i].j += float64(l*star[i].j) - float64(m*star[i].c)
		}
		return
	}
	for i, q := range s.sym.target[^at:][:len(star)] {
		t := &s.acc[q]
		t.c += float64(l * star[i].c)
		t.j += float64(l*star[i].j) - float64(m*star[i].c)
	}
}

// fetch brings a column's slots from what src holds to what they are after the updates.
func (s *Solver) fetch(k int, src []norton, updates []int32) {
	sym := s.sym
	p0, p1 := sym.ptr[k], sym.ptr[k+1]
	ground := s.acc[sym.entries:]
	copy(s.acc[p0:p1], src[p0:p1])
	f := src[sym.entries+k]
	for _, e := range updates {
		from := sym.col[e]
		l, m := s.share[e], s.acc[e].j*s.cols[from].inv
		g := ground[from]
		f.c += float64(l * g.c)
		f.j += float64(l*g.j) - float64(m*g.c)
		if end := sym.ptr[from+1]; e+1 < end {
			s.spread(s.acc[e+1:end], sym.reach[e], l, m)
		}
	}
	ground[k] = f
}

// mend eliminates the columns from <= k < to that are dirty. src holds what their slots start from, and first the number of the
// first update of each that is not yet in src.
func (s *Solver) mend(from, to int, src []norton, first []int32) {
	sym := s.sym
	for k := from; k < to; k++ {
		if s.dirty[k] {
			s.fetch(k, src, sym.updates[first[k]:sym.upPtr[k+1]])
			s.close(k)
		}
	}
}

// rebase finds for each dirty live column what it starts from in every iteration: its linear branches and what the columns that
// are not live leave there.
func (s *Solver) rebase() {
	sym := s.sym
	for k := sym.live; k < sym.columns; k++ {
		if s.dirty[k] {
			s.fetch(k, s.orig, sym.updates[sym.upPtr[k]:sym.upLive[k]])
			s.keepBase(k, k+1)
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
		s.hot[h] = t
		s.work[slot] = norton{s.base[slot].c + t.c, s.base[slot].j + t.j}
	}
}

// touch marks the columns that follow from a slot.
func (s *Solver) touch(slot int32) {
	for k := s.sym.col[slot]; k >= 0 && !s.dirty[k]; k = s.sym.parent[k] {
		s.dirty[k] = true
		s.dirt++
	}
}

// refresh brings the columns that are not live up to date with the linear branches, and the base of the live ones.
func (s *Solver) refresh() {
	if s.dirt == 0 {
		return
	}
	sym := s.sym
	if s.dirt > sym.columns/2 {
		copy(s.acc, s.orig)
		s.sweep(sym.fixedRuns)
		s.keepBase(sym.live, sym.columns)
		s.restamp()
	} else {
		s.mend(0, sym.live, s.orig, sym.upPtr)
		s.rebase()
	}
	s.clean()
}

// reeliminate brings all columns up to date with the slots that were touched, with the curves linearised as they were in the
// last elimination.
func (s *Solver) reeliminate() {
	sym := s.sym
	s.mend(0, sym.live, s.orig, sym.upPtr)
	s.rebase()
	s.mend(sym.live, sym.columns, s.work, sym.upLive)
	s.clean()
}

func (s *Solver) clean() {
	clear(s.dirty)
	s.dirt = 0
}

// linearSolve solves the live columns for the present linearisations and stores.
func (s *Solver) linearSolve() {
	sym := s.sym
	s.stamp()
	p := sym.ptr[sym.live]
	copy(s.acc[p:sym.entries], s.work[p:sym.entries])
	copy(s.acc[sym.entries+sym.live:], s.work[sym.entries+sym.live:])
	s.sweep(sym.liveRuns)
	s.back(sym.liveRuns, s.volts)
}

// back writes to volts, by Node, the voltages of the columns of the runs, which must be in order, when those of later columns
// stand there.
func (s *Solver) back(runs []run, volts []float64) {
	sym := s.sym
	for i := len(runs) - 1; i >= 0; i-- {
		r := runs[i]
		p := sym.ptr[r.from]
		cols, node := s.cols[r.from:r.to], sym.node[r.from:r.to]
		switch n := r.to - r.from; r.entries {
		case 0:
			for k := range cols {
				volts[node[k]] = cols[k].w
			}
		case 1:
			back1(cols, node, s.share[p:p+n], sym.rowNode[p:p+n], volts)
		case 2:
			back2(cols, node, s.share[p:p+2*n], sym.rowNode[p:p+2*n], volts)
		default:
			s.backMany(int(r.from), int(r.to), volts)
		}
	}
}

func back1(cols []column, node []int32, shares []float64, rows []int32, volts []float64) {
	for k := len(cols) - 1; k >= 0; k-- {
		volts[node[k]] = cols[k].w + float64(shares[k]*volts[rows[k]])
	}
}

func back2(cols []column, node []int32, shares []float64, rows []int32, volts []float64) {
	for k := len(cols) - 1; k >= 0; k-- {
		r, l := rows[2*k:2*k+2], shares[2*k:2*k+2]
		v := cols[k].w + float64(l[0]*volts[r[0]])
		volts[node[k]] = v + float64(l[1]*volts[r[1]])
	}
}

func (s *Solver) backMany(from, to int, volts []float64) {
	sym := s.sym
	for k := to - 1; k >= from; k-- {
		p0, p1 := sym.ptr[k], sym.ptr[k+1]
		v := s.cols[k].w
		shares, rows := s.share[p0:p1], sym.rowNode[p0:p1]
		for i := range shares {
			v += float64(shares[i] * volts[rows[i]])
		}
		volts[sym.node[k]] = v
	}
}
