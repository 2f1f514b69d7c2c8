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
	here, cols := s.acc[s.sym.entries:][r.from:r.to], s.cols[r.from:r.to]
	for i := range cols {
		f := here[i]
		inv := 1 / f.c
		cols[i] = column{f.j * inv, inv}
	}
}

func (s *Solver) sweep1(r *run) {
	sym := s.sym
	ground := s.acc[sym.entries:]
	cols, here := s.cols[r.from:r.to], ground[r.from:r.to]
	p, stride := int(sym.ptr[r.from]), int(r.stride)
	for i := range cols {
		f, e := here[i], s.acc[p]
		inv := 1 / (f.c + e.c)
		l, m := e.c*inv, e.j*inv
		cols[i] = column{(f.j + e.j) * inv, inv}
		s.share[p] = l
		t := &ground[sym.row[p]]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
		p += stride
	}
}

func (s *Solver) quiet1(r *run) {
	sym := s.sym
	ground := s.acc[sym.entries:]
	cols, here := s.cols[r.from:r.to], ground[r.from:r.to]
	p, stride := int(sym.ptr[r.from]), int(r.stride)
	for i := range cols {
		f, e := here[i].c, s.acc[p].c
		inv := 1 / (f + e)
		l := e * inv
		cols[i] = column{0, inv}
		s.share[p] = l
		ground[sym.row[p]].c += float64(l * f)
		p += stride
	}
}

func (s *Solver) sweep2(r *run) {
	sym := s.sym
	p, n, stride := int(sym.ptr[r.from]), int(r.to-r.from), int(r.stride)
	size := (n-1)*stride + 2
	acc, ground := s.acc, s.acc[sym.entries:]
	own, rows, shares, near := s.acc[p:p+size], sym.row[p:p+size], s.share[p:p+size], sym.near[p:p+size]
	cols, here := s.cols[r.from:r.to], ground[r.from:r.to]
	q := 0
	for i := range cols {
		f, e, h := here[i], own[q], own[q+1]
		inv := 1 / (f.c + e.c + h.c)
		l, m := e.c*inv, e.j*inv
		l1, m1 := h.c*inv, h.j*inv
		cols[i] = column{(f.j + e.j + h.j) * inv, inv}
		shares[q], shares[q+1] = l, l1
		t := &ground[rows[q]]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
		t = &acc[near[q]]
		t.c += float64(l * h.c)
		t.j += float64(l*h.j) - float64(m*h.c)
		t = &ground[rows[q+1]]
		t.c += float64(l1 * f.c)
		t.j += float64(l1*f.j) - float64(m1*f.c)
		q += stride
	}
}

func (s *Solver) quiet2(r *run) {
	sym := s.sym
	p, n, stride := int(sym.ptr[r.from]), int(r.to-r.from), int(r.stride)
	size := (n-1)*stride + 2
	acc, ground := s.acc, s.acc[sym.entries:]
	own, rows, shares, near := s.acc[p:p+size], sym.row[p:p+size], s.share[p:p+size], sym.near[p:p+size]
	cols, here := s.cols[r.from:r.to], ground[r.from:r.to]
	q := 0
	for i := range cols {
		f, e, h := here[i].c, own[q].c, own[q+1].c
		inv := 1 / (f + e + h)
		l, l1 := e*inv, h*inv
		cols[i] = column{0, inv}
		shares[q], shares[q+1] = l, l1
		ground[rows[q]].c += float64(l * f)
		acc[near[q]].c += float64(l * h)
		ground[rows[q+1]].c += float64(l1 * f)
		q += stride
	}
}

func (s *Solver) sweepMany(r *run) {
	sym := s.sym
	acc, ground := s.acc, s.acc[sym.entries:]
	for k := int(r.from); k < int(r.to); k++ {
		p0 := int(sym.ptr[k])
		p1 := p0 + int(s.form.count[k])
		f := ground[k]
		inv := s.close(k)
		own, rows, shares := acc[p0:p1], sym.row[p0:p1], s.share[p0:p1]
		for i := range own {
			l, m := shares[i], own[i].j*inv
			t := &ground[rows[i]]
			t.c += float64(l * f.c)
			t.j += float64(l*f.j) - float64(m*f.c)
			s.spread(own[i+1:], int32(p0+i), l, m)
		}
	}
}

func (s *Solver) quietMany(r *run) {
	sym := s.sym
	acc, ground := s.acc, s.acc[sym.entries:]
	for k := int(r.from); k < int(r.to); k++ {
		p0 := int(sym.ptr[k])
		p1 := p0 + int(s.form.count[k])
		f := ground[k].c
		s.close(k)
		own, rows, shares := acc[p0:p1], sym.row[p0:p1], s.share[p0:p1]
		for i := range own {
			l := shares[i]
			ground[rows[i]].c += float64(l * f)
			s.spreadQuiet(own[i+1:], int32(p0+i), l)
		}
	}
}

// back writes to volts, by Node, the voltages of the columns of the runs, which must be in order, when those of later columns
// stand there.
func (s *Solver) back(runs []run, volts []float64) {
	sym := s.sym
	for i := len(runs) - 1; i >= 0; i-- {
		r := &runs[i]
		cols, node := s.cols[r.from:r.to], sym.node[r.from:r.to]
		p, stride := int(sym.ptr[r.from]), int(r.stride)
		end := p + (len(cols)-1)*stride + int(r.count)
		switch r.count {
		case 0:
			for k := range cols {
				volts[node[k]] = cols[k].w
			}
		case 1:
			back1(cols, node, s.share[p:end], sym.rowNode[p:end], stride, volts)
		case 2:
			back2(cols, node, s.share[p:end], sym.rowNode[p:end], stride, volts)
		default:
			s.backMany(r, volts)
		}
	}
}

func back1(cols []column, node []int32, shares []float64, rows []int32, stride int, volts []float64) {
	p := len(shares) - 1
	for k := len(cols) - 1; k >= 0; k-- {
		volts[node[k]] = cols[k].w + float64(shares[p]*volts[rows[p]])
		p -= stride
	}
}

func back2(cols []column, node []int32, shares []float64, rows []int32, stride int, volts []float64) {
	p := len(shares) - 2
	for k := len(cols) - 1; k >= 0; k-- {
		v := cols[k].w + float64(shares[p]*volts[rows[p]])
		volts[node[k]] = v + float64(shares[p+1]*volts[rows[p+1]])
		p -= stride
	}
}

func (s *Solver) backMany(r *run, volts []float64) {
	sym := s.sym
	for k := int(r.to) - 1; k >= int(r.from); k-- {
		p0 := sym.ptr[k]
		p1 := p0 + s.form.count[k]
		v := s.cols[k].w
		shares, rows := s.share[p0:p1], sym.rowNode[p0:p1]
		for i := range shares {
			v += float64(shares[i] * volts[rows[i]])
		}
		volts[sym.node[k]] = v
	}
}
