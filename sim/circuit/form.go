package circuit

import "slices"

// form is what of the elimination may be anything but zero under the present values. Much of a circuit is open at any time: a
// switch, and above all the places where an instrument or a fault might be put, which may join every node to one. What
// stands in their entries is zero then, and so is the source in most slots. Leaving these out changes no sum.
//
// Of a column, its first entries up to the last that may conduct are kept; nodes that are joined to many are eliminated late, so
// their entries come last. What once conducted stays in until something else begins to conduct.
type form struct {
	count  []int32 // column -> how many of its first entries may conduct
	driven []bool  // column -> a source may stand in its slots

	fixedRuns, liveRuns []run // the columns that are not live, and those that are

	fixedSources, liveSources []span // slots of the driven ones

	updates, sources updates // all, and those from driven columns

	outgrown bool // something conducts, or is driven, that is not in the form
}

// run is a range of columns of equal form: of their entries the first count may conduct, or manyEntries and more.
type run struct {
	from, to, count int32
	driven          bool
}

// span is a range of slots.
type span struct{ from, to int32 }

// update is an entry that leads to a column, with the column it belongs to, that one's slot to ground, and the end of its entries that may
// conduct.
type update struct{ entry, from, ground, end int32 }

// updates lists for each column the entries that lead to it and may conduct, ascending.
type updates struct {
	list []update
	ptr  []int32 // column -> its first; one more than columns
	live []int32 // column -> its first from a live column
	next []int32 // scratch
}

// fromFixed returns those that lead to a column from columns that are not live, fromLive the others.
func (u *updates) fromFixed(k int) []update { return u.list[u.ptr[k]:u.live[k]] }
func (u *updates) fromLive(k int) []update  { return u.list[u.live[k]:u.ptr[k+1]] }

// manyEntries is the least number of entries for which there is no code of its own.
const manyEntries = 4

func newForm(sym *symbolic) form {
	n := sym.columns
	return form{
		count: make([]int32, n), driven: make([]bool, n),
		fixedRuns: make([]run, 0, sym.live), liveRuns: make([]run, 0, n-sym.live),
		fixedSources: make([]span, 0, sym.live), liveSources: make([]span, 0, n-sym.live),
		updates: newUpdates(sym), sources: newUpdates(sym),
		outgrown: true,
	}
}

func (f *form) clone() form {
	c := *f
	c.count, c.driven = slices.Clone(f.count), slices.Clone(f.driven)
	c.fixedRuns = append(make([]run, 0, cap(f.fixedRuns)), f.fixedRuns...)
	c.liveRuns = append(make([]run, 0, cap(f.liveRuns)), f.liveRuns...)
	c.fixedSources = append(make([]span, 0, cap(f.fixedSources)), f.fixedSources...)
	c.liveSources = append(make([]span, 0, cap(f.liveSources)), f.liveSources...)
	c.updates, c.sources = f.updates.clone(), f.sources.clone()
	return c
}

// follow marks what follows from a slot whose value was another before.
func (s *Solver) follow(slot int32, was norton) {
	sym, f, now := s.sym, &s.form, s.orig.at(int(slot))
	if now == was {
		return
	}
	k := sym.col[slot]
	switch {
	case slot-sym.ptr[k] > f.count[k]: // it was zero, so it is not now
		f.outgrown = true
		s.touch(slot, newAll)
		return
	case now.c != was.c:
		s.touch(slot, newAll)
	default:
		s.touch(slot, newSources)
	}
	f.outgrown = f.outgrown || now.j != 0 && !f.driven[k]
}

// reform finds the form of the present values.
func (s *Solver) reform() {
	sym, f := s.sym, &s.form
	n := sym.columns
	copy(f.count, sym.held)
	copy(f.driven, sym.hot)
	for k := range n {
		p := sym.ptr[k]
		count := f.count[k]
		for e := sym.ptr[k+1] - 1; e > p+count; e-- {
			if s.orig.c[e] != 0 || s.orig.j[e] != 0 {
				count = e - p
				break
			}
		}
		f.count[k] = count
		driven := f.driven[k]
		for _, j := range s.orig.j[p : p+1+count] {
			driven = driven || j != 0
		}
		f.driven[k] = driven
		if !driven {
			s.part[p] = 0 // and so it stays
		}
		if count == 0 {
			continue
		}
		j := sym.row[p+1]
		f.driven[j] = f.driven[j] || driven
		if count > 1 {
			last := sym.reachAt(p+1, count-2)
			f.count[j] = max(f.count[j], last-sym.ptr[j])
		}
	}
	f.updates.find(sym, f, false)
	f.sources.find(sym, f, true)
	f.fixedRuns = appendRuns(f.fixedRuns[:0], f, 0, sym.live)
	f.liveRuns = appendRuns(f.liveRuns[:0], f, sym.live, n)
	f.fixedSources = appendSpans(f.fixedSources[:0], sym, f.fixedRuns)
	f.liveSources = appendSpans(f.liveSources[:0], sym, f.liveRuns)
	f.outgrown = false
}

func newUpdates(sym *symbolic) updates {
	n := sym.columns
	return updates{make([]update, sym.slots-n), make([]int32, n+1), make([]int32, n), make([]int32, n)}
}

func (u *updates) clone() updates {
	return updates{slices.Clone(u.list), slices.Clone(u.ptr), slices.Clone(u.live), slices.Clone(u.next)}
}

// find makes the lists of a form, of driven columns only if so asked.
func (u *updates) find(sym *symbolic, f *form, driven bool) {
	n := sym.columns
	clear(u.ptr)
	for k := range n {
		if p := sym.ptr[k] + 1; !driven || f.driven[k] {
			for _, j := range sym.row[p : p+f.count[k]] {
				u.ptr[j+1]++
			}
		}
	}
	for j := range n {
		u.ptr[j+1] += u.ptr[j]
	}
	copy(u.next, u.ptr[:n])
	for k := range n {
		if k == sym.live {
			copy(u.live, u.next)
		}
		if !driven || f.driven[k] {
			p := sym.ptr[k]
			end := p + 1 + f.count[k]
			for e := p + 1; e < end; e++ {
				j := sym.row[e]
				u.list[u.next[j]] = update{e, int32(k), p, end}
				u.next[j]++
			}
		}
	}
	if sym.live == n {
		copy(u.live, u.next)
	}
}

func appendRuns(runs []run, f *form, from, to int) []run {
	for k := from; k < to; k++ {
		r := run{int32(k), int32(k + 1), min(f.count[k], manyEntries), f.driven[k]}
		if n := len(runs); n > 0 {
			if last := &runs[n-1]; last.count == r.count && last.driven == r.driven {
				last.to = r.to
				continue
			}
		}
		runs = append(runs, r)
	}
	return runs
}

// appendSpans appends the slots of the driven runs.
func appendSpans(spans []span, sym *symbolic, runs []run) []span {
	for _, r := range runs {
		if !r.driven {
			continue
		}
		x := span{sym.ptr[r.from], sym.ptr[r.to]}
		if n := len(spans); n > 0 && spans[n-1].to == x.from {
			spans[n-1].to = x.to
		} else {
			spans = append(spans, x)
		}
	}
	return spans
}
