package circuit

// sweep eliminates the columns of the runs. Their slots in acc hold what they start from; what is left there is what stands
// when the column is eliminated.
func (s *Solver) sweep(runs []run) {
	for i := range runs {
		r := &runs[i]
		switch {
		case r.count == 0:
			s.sweep0(r)
		case r.count == 1 && r.driven:
			s.sweep1(r)
		case r.count == 2 && r.driven:
			s.sweep2(r)
		case r.count == 3 && r.driven:
			s.sweep3(r)
		case r.count == 3:
			s.quiet3(r)
		case r.driven:
			s.sweepMany(r)
		case r.count == 1:
			s.quiet1(r)
		case r.count == 2:
			s.quiet2(r)
		default:
			s.quietMany(r)
		}
	}
}

func (s *Solver) sweep0(r *run) {
	for k := r.from; k < r.to; k++ {
		p := s.sym.ptr[k]
		s.inv[k] = 1 / s.acc.c[p]
		if r.driven {
			s.part[p] = s.acc.j[p] * s.inv[k]
		}
	}
}

// slotwise returns what there is by slot, in slices of equal length and capacity.
func (s *Solver) slotwise() (c, j, part []float64) {
	n := s.sym.slots
	return s.acc.c[:n:n], s.acc.j[:n:n], s.part[:n:n]
}

// columnwise returns what there is for the columns of a run, in slices of equal length.
func (s *Solver) columnwise(r *run) (stars []star, inv []float64) {
	stars = s.sym.stars[r.from:r.to]
	return stars, s.inv[r.from:][:len(stars)]
}

// Columns of one, two and three entries, of which nearly all circuits consist, have code of their own, once with sources and once
// without. A window of a column's slots, c[p:p+3:p+3], costs one check of bounds for all slices of equal length and capacity; the third index
// spares the processor to find out whether the window is empty.

func (s *Solver) sweep1(r *run) {
	c, j, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, src, out := c[p:p+2:p+2], j[p:p+2:p+2], part[p:p+2:p+2]
		cf, ce := own[0], own[1]
		jf, je := src[0], src[1]
		d := 1 / (cf + ce)
		l, m := ce*d, je*d
		inv[i] = d
		out[0], out[1] = (jf+je)*d, l
		to := at.first
		c[to] += float64(l * cf)
		j[to] += float64(l*jf) - float64(m*cf)
	}
}

func (s *Solver) quiet1(r *run) {
	c, _, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, out := c[p:p+2:p+2], part[p:p+2:p+2]
		f, e := own[0], own[1]
		d := 1 / (f + e)
		l := e * d
		inv[i] = d
		out[1] = l
		c[at.first] += float64(l * f)
	}
}

func (s *Solver) sweep2(r *run) {
	c, j, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, src, out := c[p:p+3:p+3], j[p:p+3:p+3], part[p:p+3:p+3]
		cf, ce, ch := own[0], own[1], own[2]
		jf, je, jh := src[0], src[1], src[2]
		d := 1 / (cf + ce + ch)
		l, m := ce*d, je*d
		l1, m1 := ch*d, jh*d
		inv[i] = d
		out[0], out[1], out[2] = (jf+je+jh)*d, l, l1
		to := at.first
		c[to] += float64(l * cf)
		j[to] += float64(l*jf) - float64(m*cf)
		to = at.mesh
		c[to] += float64(l * ch)
		j[to] += float64(l*jh) - float64(m*ch)
		to = at.second
		c[to] += float64(l1 * cf)
		j[to] += float64(l1*jf) - float64(m1*cf)
	}
}

func (s *Solver) quiet2(r *run) {
	c, _, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, out := c[p:p+3:p+3], part[p:p+3:p+3]
		f, e, h := own[0], own[1], own[2]
		d := 1 / (f + e + h)
		l, l1 := e*d, h*d
		inv[i] = d
		out[1], out[2] = l, l1
		c[at.first] += float64(l * f)
		c[at.mesh] += float64(l * h)
		c[at.second] += float64(l1 * f)
	}
}

func (s *Solver) sweep3(r *run) {
	c, j, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, src, out := c[p:p+4:p+4], j[p:p+4:p+4], part[p:p+4:p+4]
		c0, c1, c2, c3 := own[0], own[1], own[2], own[3]
		j0, j1, j2, j3 := src[0], src[1], src[2], src[3]
		d := 1 / (c0 + c1 + c2 + c3)
		l1, l2, l3 := c1*d, c2*d, c3*d
		m1, m2, m3 := j1*d, j2*d, j3*d
		inv[i] = d
		out[0], out[1], out[2], out[3] = (j0+j1+j2+j3)*d, l1, l2, l3
		to := at.first
		c[to] += float64(l1 * c0)
		j[to] += float64(l1*j0) - float64(m1*c0)
		to = at.mesh
		c[to] += float64(l1 * c2)
		j[to] += float64(l1*j2) - float64(m1*c2)
		q := s.sym.reachAt(int32(p+1), 1)
		c[q] += float64(l1 * c3)
		j[q] += float64(l1*j3) - float64(m1*c3)
		to = at.second
		c[to] += float64(l2 * c0)
		j[to] += float64(l2*j0) - float64(m2*c0)
		q = s.sym.reachAt(int32(p+2), 0)
		c[q] += float64(l2 * c3)
		j[q] += float64(l2*j3) - float64(m2*c3)
		q = s.sym.ptr[s.sym.row[p+3]]
		c[q] += float64(l3 * c0)
		j[q] += float64(l3*j0) - float64(m3*c0)
	}
}

func (s *Solver) quiet3(r *run) {
	c, _, part := s.slotwise()
	stars, inv := s.columnwise(r)
	for i := range stars {
		at := &stars[i]
		p := int(at.own)
		own, out := c[p:p+4:p+4], part[p:p+4:p+4]
		c0, c1, c2, c3 := own[0], own[1], own[2], own[3]
		d := 1 / (c0 + c1 + c2 + c3)
		l1, l2, l3 := c1*d, c2*d, c3*d
		inv[i] = d
		out[1], out[2], out[3] = l1, l2, l3
		c[at.first] += float64(l1 * c0)
		c[at.mesh] += float64(l1 * c2)
		q := s.sym.reachAt(int32(p+1), 1)
		c[q] += float64(l1 * c3)
		c[at.second] += float64(l2 * c0)
		q = s.sym.reachAt(int32(p+2), 0)
		c[q] += float64(l2 * c3)
		q = s.sym.ptr[s.sym.row[p+3]]
		c[q] += float64(l3 * c0)
	}
}

func (s *Solver) sweepMany(r *run) {
	sym, acc := s.sym, &s.acc
	for k := int(r.from); k < int(r.to); k++ {
		p0, p1 := s.entries(k)
		own, src := acc.c[p0-1:p1], acc.j[p0-1:p1]
		inv := s.close(k)
		for i := 1; i < len(own); i++ {
			e := p0 + int32(i) - 1
			l, m, to := s.part[e], src[i]*inv, sym.ptr[sym.row[e]]
			acc.c[to] += float64(l * own[0])
			acc.j[to] += float64(l*src[0]) - float64(m*own[0])
			for x := i + 1; x < len(own); x++ {
				to := sym.reachAt(e, int32(x-i-1))
				acc.c[to] += float64(l * own[x])
				acc.j[to] += float64(l*src[x]) - float64(m*own[x])
			}
		}
	}
}

func (s *Solver) quietMany(r *run) {
	sym, c := s.sym, s.acc.c
	for k := int(r.from); k < int(r.to); k++ {
		p0, p1 := s.entries(k)
		own := c[p0-1 : p1]
		s.close(k)
		for i := 1; i < len(own); i++ {
			e := p0 + int32(i) - 1
			l := s.part[e]
			c[sym.ptr[sym.row[e]]] += float64(l * own[0])
			for x := i + 1; x < len(own); x++ {
				c[sym.reachAt(e, int32(x-i-1))] += float64(l * own[x])
			}
		}
	}
}

// back writes to volts, by Node, the voltages of the columns of the runs, which must be in order, when those of later columns
// stand there. A column's voltage is the sum of the parts of its slots: of an entry, its share of the column's conductance times
// the voltage of the node it leads to; of the slot to ground, the voltage that the column would have if all later ones
// stood at 0 V.
func (s *Solver) back(runs []run, volts []float64) {
	for i := len(runs) - 1; i >= 0; i-- {
		r := &runs[i]
		ends := s.sym.ends[r.from:r.to]
		switch r.count {
		case 0:
			for k := range ends {
				volts[ends[k].node] = s.part[ends[k].own]
			}
		case 1:
			back1(ends, s.part, volts)
		case 2:
			back2(ends, s.part, volts)
		case 3:
			s.back3(r, volts)
		default:
			s.backMany(r, volts)
		}
	}
}

func back1(ends []ends, part, volts []float64) {
	for k := len(ends) - 1; k >= 0; k-- {
		at := &ends[k]
		p := int(at.own)
		own := part[p : p+2 : p+2]
		volts[at.node] = own[0] + float64(own[1]*volts[at.first])
	}
}

func back2(ends []ends, part, volts []float64) {
	for k := len(ends) - 1; k >= 0; k-- {
		at := &ends[k]
		p := int(at.own)
		own := part[p : p+3 : p+3]
		v := own[0] + float64(own[1]*volts[at.first])
		volts[at.node] = v + float64(own[2]*volts[at.second])
	}
}

func (s *Solver) back3(r *run, volts []float64) {
	ends, part := s.sym.ends[r.from:r.to], s.part
	for k := len(ends) - 1; k >= 0; k-- {
		at := &ends[k]
		p := int(at.own)
		own := part[p : p+4 : p+4]
		v := own[0] + float64(own[1]*volts[at.first])
		v += float64(own[2] * volts[at.second])
		volts[at.node] = v + float64(own[3]*volts[s.sym.rowNode[p+3]])
	}
}

func (s *Solver) backMany(r *run, volts []float64) {
	for k := int(r.to) - 1; k >= int(r.from); k-- {
		p0, p1 := s.entries(k)
		v := s.part[p0-1]
		for e := p0; e < p1; e++ {
			v += float64(s.part[e] * volts[s.sym.rowNode[e]])
		}
		volts[s.sym.node[k]] = v
	}
}
