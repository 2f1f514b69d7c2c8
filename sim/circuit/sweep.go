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
	acc, links, cols := s.acc, s.links, s.cols[r.from:r.to]
	p, here, stride := int(s.sym.ptr[r.from]), s.sym.entries+int(r.from), int(r.stride)
	for i := range cols {
		f, e, a := acc[here+i], acc[p], &links[p]
		inv := 1 / (f.c + e.c)
		l, m := e.c*inv, e.j*inv
		cols[i] = column{(f.j + e.j) * inv, inv}
		a.share = l
		t := &acc[a.to]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
		p += stride
	}
}

func (s *Solver) quiet1(r *run) {
	acc, links, cols := s.acc, s.links, s.cols[r.from:r.to]
	p, here, stride := int(s.sym.ptr[r.from]), s.sym.entries+int(r.from), int(r.stride)
	for i := range cols {
		f, e, a := acc[here+i].c, acc[p].c, &links[p]
		inv := 1 / (f + e)
		l := e * inv
		cols[i].inv = inv
		a.share = l
		acc[a.to].c += float64(l * f)
		p += stride
	}
}

func (s *Solver) sweep2(r *run) {
	acc, links, cols := s.acc, s.links, s.cols[r.from:r.to]
	p, here, stride := int(s.sym.ptr[r.from]), s.sym.entries+int(r.from), int(r.stride)
	for i := range cols {
		f, e, h, a, b := acc[here+i], acc[p], acc[p+1], &links[p], &links[p+1]
		inv := 1 / (f.c + e.c + h.c)
		l, m := e.c*inv, e.j*inv
		l1, m1 := h.c*inv, h.j*inv
		cols[i] = column{(f.j + e.j + h.j) * inv, inv}
		a.share, b.share = l, l1
		t := &acc[a.to]
		t.c += float64(l * f.c)
		t.j += float64(l*f.j) - float64(m*f.c)
		t = &acc[a.near]
		t.c += float64(l * h.c)
		t.j += float64(l*h.j) - float64(m*h.c)
		t = &acc[b.to]
		t.c += float64(l1 * f.c)
		t.j += float64(l1*f.j) - float64(m1*f.c)
		p += stride
	}
}

func (s *Solver) quiet2(r *run) {
	acc, links, cols := s.acc, s.links, s.cols[r.from:r.to]
	p, here, stride := int(s.sym.ptr[r.from]), s.sym.entries+int(r.from), int(r.stride)
	for i := range cols {
		f, e, h, a, b := acc[here+i].c, acc[p].c, acc[p+1].c, &links[p], &links[p+1]
		inv := 1 / (f + e + h)
		l, l1 := e*inv, h*inv
		cols[i].inv = inv
		a.share, b.share = l, l1
		acc[a.to].c += float64(l * f)
		acc[a.near].c += float64(l * h)
		acc[b.to].c += float64(l1 * f)
		p += stride
	}
}

func (s *Solver) sweepMany(r *run) {
	sym := s.sym
	acc := s.acc
	for k := int(r.from); k < int(r.to); k++ {
		p0 := int(sym.ptr[k])
		p1 := p0 + int(s.form.count[k])
		f := acc[sym.entries+k]
		inv := s.close(k)
		own, links := acc[p0:p1], s.links[p0:p1]
		for i := range own {
			l, m := links[i].share, own[i].j*inv
			t := &acc[links[i].to]
			t.c += float64(l * f.c)
			t.j += float64(l*f.j) - float64(m*f.c)
			s.spread(own[i+1:], int32(p0+i), l, m)
		}
	}
}

func (s *Solver) quietMany(r *run) {
	sym := s.sym
	acc := s.acc
	for k := int(r.from); k < int(r.to); k++ {
		p0 := int(sym.ptr[k])
		p1 := p0 + int(s.form.count[k])
		f := acc[sym.entries+k].c
		s.close(k)
		own, links := acc[p0:p1], s.links[p0:p1]
		for i := range own {
			l := links[i].share
			acc[links[i].to].c += float64(l * f)
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
			back1(cols, node, s.links[p:end], stride, volts)
		case 2:
			back2(cols, node, s.links[p:end], stride, volts)
		default:
			s.backMany(r, volts)
		}
	}
}

func back1(cols []column, node []int32, links []link, stride int, volts []float64) {
	p := len(links) - 1
	for k := len(cols) - 1; k >= 0; k-- {
		a := &links[p]
		volts[node[k]] = cols[k].w + float64(a.share*volts[a.node])
		p -= stride
	}
}

func back2(cols []column, node []int32, links []link, stride int, volts []float64) {
	p := len(links) - 2
	for k := len(cols) - 1; k >= 0; k-- {
		a, b := &links[p], &links[p+1]
		v := cols[k].w + float64(a.share*volts[a.node])
		volts[node[k]] = v + float64(b.share*volts[b.node])
		p -= stride
	}
}

func (s *Solver) backMany(r *run, volts []float64) {
	sym := s.sym
	for k := int(r.to) - 1; k >= int(r.from); k-- {
		p0 := sym.ptr[k]
		v := s.cols[k].w
		for _, a := range s.links[p0 : p0+s.form.count[k]] {
			v += float64(a.share * volts[a.node])
		}
		volts[sym.node[k]] = v
	}
}
