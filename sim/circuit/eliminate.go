package circuit

// norton is a conductance in siemens with a current source beside it that drives j amperes into the slot's own column.
type norton struct{ c, j float64 }

// entry is a branch of the network that stands when its column is eliminated: the conductance c to a later column with the
// current j into this one, and both divided by the column's total conductance.
type entry struct{ c, j, l, m float64 }

// column is a node at the moment it is eliminated: its conductance g to ground with the current j from there, the voltage
// w that it would have if all later columns stood at 0 V, and the reciprocal of its total conductance.
type column struct{ g, j, w, inv float64 }

// eliminate runs the star-mesh transformation over the columns from <= k < to. src holds what each slot starts from, up0 and
// up1 delimit the updates that are not yet in src. A nil dirty stands for all columns.
//
// Taking out a node k that is joined to others by conductances c_i and to ground by g, with d = g + Σ c_i, leaves between
// each two neighbours c_i·c_q/d and from each to ground c_i·g/d. Nothing is ever subtracted. Each of these carries a
// source: one that drives j_i into k in the star drives (c_i·j_q - c_q·j_i)/d into i from q in the mesh.
func (s *Solver) eliminate(from, to int, src []norton, up0, up1 []int32, dirty []bool) {
	ent, cols, ptr, updates := s.ent, s.cols, s.sym.ptr, s.sym.updates
	ground := src[s.sym.entries:]
	for k := from; k < to; k++ {
		if dirty != nil && !dirty[k] {
			continue
		}
		p0, p1 := ptr[k], ptr[k+1]
		g, j := ground[k].c, ground[k].j
		own, start := ent[p0:p1], src[p0:p1]
		for i := range own {
			own[i].c, own[i].j = start[i].c, start[i].j
		}
		for _, u := range updates[up0[k]:up1[k]] {
			l, m := ent[u.e].l, ent[u.e].m
			from := &cols[u.k]
			g += float64(l * from.g)
			j += float64(l*from.j) - float64(m*from.g)
			if u.e+1 < u.end {
				s.spread(u, l, m)
			}
		}
		d, b := g, j
		for i := range own {
			d += own[i].c
			b += own[i].j
		}
		inv := 1 / d
		cols[k] = column{g, j, b * inv, inv}
		for i := range own {
			own[i].l, own[i].m = own[i].c*inv, own[i].j*inv
		}
	}
}

// spread adds to the column that u belongs to the branches that the elimination of u.k leaves between it and the later
// neighbours of u.k.
func (s *Solver) spread(u update, l, m float64) {
	star := s.ent[u.e+1 : u.end]
	if u.at >= 0 {
		mesh := s.ent[u.at:][:len(star)]
		for i := range star {
			mesh[i].c += float64(l * star[i].c)
			mesh[i].j += float64(l*star[i].j) - float64(m*star[i].c)
		}
		return
	}
	for i, q := range s.sym.target[^u.at:][:len(star)] {
		s.ent[q].c += float64(l * star[i].c)
		s.ent[q].j += float64(l*star[i].j) - float64(m*star[i].c)
	}
}

// rebase works out for each dirty live column what it starts from in every iteration: its linear branches and what the columns
// that are not live leave there.
func (s *Solver) rebase() {
	sym := s.sym
	for k := sym.live; k < sym.columns; k++ {
		if !s.dirty[k] {
			continue
		}
		p0, p1 := sym.ptr[k], sym.ptr[k+1]
		own := s.ent[p0:p1]
		for i, o := range s.orig[p0:p1] {
			own[i].c, own[i].j = o.c, o.j
		}
		start := s.orig[sym.entries+k]
		for _, u := range sym.updates[sym.upPtr[k]:sym.upLive[k]] {
			l, m := s.ent[u.e].l, s.ent[u.e].m
			from := &s.cols[u.k]
			start.c += float64(l * from.g)
			start.j += float64(l*from.j) - float64(m*from.g)
			if u.e+1 < u.end {
				s.spread(u, l, m)
			}
		}
		for i := range own {
			s.base[int(p0)+i] = norton{own[i].c, own[i].j}
		}
		s.base[sym.entries+k] = start
		copy(s.work[p0:p1], s.base[p0:p1])
		s.work[sym.entries+k] = start
	}
	for h, slot := range sym.hotSlots {
		s.work[slot] = norton{s.base[slot].c + s.hot[h].c, s.base[slot].j + s.hot[h].j}
	}
}

// touch marks the columns that follow from a slot.
func (s *Solver) touch(slot int32) {
	s.anyDirty = true
	for k := s.sym.col[slot]; k >= 0 && !s.dirty[k]; k = s.sym.parent[k] {
		s.dirty[k] = true
	}
}

// reeliminate brings all columns up to date with the slots that were touched, with the curves linearised as they were in the
// last elimination.
func (s *Solver) reeliminate() {
	sym := s.sym
	s.eliminate(0, sym.live, s.orig, sym.upPtr, sym.upPtr[1:], s.dirty)
	s.rebase()
	s.eliminate(sym.live, sym.columns, s.work, sym.upLive, sym.upPtr[1:], s.dirty)
	clear(s.dirty)
	s.anyDirty = false
}

// stamp puts the present linearisations of the curves into work.
func (s *Solver) stamp() {
	sym := s.sym
	for h, slot := range sym.hotSlots {
		var t norton
		for _, i := range sym.hotCurve[sym.hotPtr[h]:sym.hotPtr[h+1]] {
			c := &s.crv[i]
			c.stampG, c.stampJ = c.g, float64(c.g*c.x)-c.i
			t.c += c.stampG
			t.j += float64(sym.place[sym.curves[i]].sign * c.stampJ)
		}
		s.hot[h] = t
		s.work[slot] = norton{s.base[slot].c + t.c, s.base[slot].j + t.j}
	}
}

// back writes to volts, by Node, the voltages of the columns from <= k < to, when those of later columns stand there.
func (s *Solver) back(from, to int, volts []float64) {
	sym, ent := s.sym, s.ent
	for k := to - 1; k >= from; k-- {
		p0, p1 := sym.ptr[k], sym.ptr[k+1]
		v := s.cols[k].w
		own, rows := ent[p0:p1], sym.rowNode[p0:p1]
		for i := range own {
			v += float64(own[i].l * volts[rows[i]])
		}
		volts[sym.node[k]] = v
	}
}
