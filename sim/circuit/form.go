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

	updates []int32 // entries that lead to a column and may conduct, by column, ascending
	upPtr   []int32 // column -> its first update; one more than columns
	upLive  []int32 // column -> its first update from a live column
	next    []int32 // scratch

	outgrown bool // something conducts, or is driven, that is not in the form
}

// run is a range of columns of equal form: stride entries each, of which the first count may conduct.
type run struct {
	from, to, stride, count int32
	driven                  bool
}

// manyEntries is the least number of entries for which there is no code of its own.
const manyEntries = 3

func newForm(sym *symbolic) form {
	n := sym.columns
	return form{
		count: make([]int32, n), driven: make([]bool, n),
		fixedRuns: make([]run, 0, sym.live), liveRuns: make([]run, 0, n-sym.live),
		updates: make([]int32, sym.entries), upPtr: make([]int32, n+1), upLive: make([]int32, n), next: make([]int32, n),
		outgrown: true,
	}
}

func (f *form) clone() form {
	c := *f
	c.count, c.driven, c.next = slices.Clone(f.count), slices.Clone(f.driven), slices.Clone(f.next)
	c.fixedRuns = append(make([]run, 0, cap(f.fixedRuns)), f.fixedRuns...)
	c.liveRuns = append(make([]run, 0, cap(f.liveRuns)), f.liveRuns...)
	c.updates, c.upPtr, c.upLive = slices.Clone(f.updates), slices.Clone(f.upPtr), slices.Clone(f.upLive)
	return c
}

// follow marks what follows from a slot whose value was another before.
func (s *Solver) follow(slot int32, was norton) {
	sym, f, now := s.sym, &s.form, s.orig[slot]
	if now == was {
		return
	}
	k := sym.col[slot]
	switch {
	case int(slot) < sym.entries && slot-sym.ptr[k] >= f.count[k]: // it was zero, so it is not now
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
	clear(f.upPtr)
	for k := range n {
		p := sym.ptr[k]
		own := s.orig[p:sym.ptr[k+1]]
		count := f.count[k]
		for i := len(own) - 1; i >= int(count); i-- {
			if own[i].c != 0 || own[i].j != 0 {
				count = int32(i) + 1
				break
			}
		}
		f.count[k] = count
		driven := f.driven[k] || s.orig[sym.entries+k].j != 0
		for i := range own[:count] {
			driven = driven || own[i].j != 0
		}
		f.driven[k] = driven
		if count == 0 {
			continue
		}
		rows := sym.row[p : p+count]
		for _, j := range rows {
			f.upPtr[j+1]++
		}
		j := rows[0]
		f.driven[j] = f.driven[j] || driven
		if count > 1 {
			last := sym.reachAt(p, int(count)-2)
			f.count[j] = max(f.count[j], last-sym.ptr[j]+1)
		}
	}
	f.list(sym)
	f.fixedRuns = appendRuns(f.fixedRuns[:0], sym, f, 0, sym.live)
	f.liveRuns = appendRuns(f.liveRuns[:0], sym, f, sym.live, n)
	f.outgrown = false
}

// list makes the lists of updates, of which upPtr holds the lengths, one further on.
func (f *form) list(sym *symbolic) {
	n := sym.columns
	for j := range n {
		f.upPtr[j+1] += f.upPtr[j]
	}
	copy(f.next, f.upPtr[:n])
	f.listFrom(sym, 0, sym.live)
	copy(f.upLive, f.next)
	f.listFrom(sym, sym.live, n)
}

// listFrom lists the updates from the columns from <= k < to.
func (f *form) listFrom(sym *symbolic, from, to int) {
	for k := from; k < to; k++ {
		p := sym.ptr[k]
		for e := p; e < p+f.count[k]; e++ {
			j := sym.row[e]
			f.updates[f.next[j]] = e
			f.next[j]++
		}
	}
}

func appendRuns(runs []run, sym *symbolic, f *form, from, to int) []run {
	for k := from; k < to; k++ {
		r := run{int32(k), int32(k + 1), sym.ptr[k+1] - sym.ptr[k], min(f.count[k], manyEntries), f.driven[k]}
		if n := len(runs); n > 0 {
			if last := &runs[n-1]; last.count == r.count && last.driven == r.driven && (last.stride == r.stride || r.count == manyEntries) {
				last.to = r.to
				continue
			}
		}
		runs = append(runs, r)
	}
	return runs
}
