package grading

import "faultloom/sim/fault"

// classes knows which entries of a catalogue each repair mends. Candidates that one repair mends count as one: whoever has
// it down to them knows what to do.
type classes struct {
	repairs []fault.Repair
	mends   [][]bool // by repair, by entry
}

func newClasses(book *fault.Book, entries []fault.Entry) *classes {
	k := &classes{repairs: book.Repairs()}
	at := map[string]int{}
	for i, r := range k.repairs {
		at[r.String()] = i
		k.mends = append(k.mends, make([]bool, len(entries)))
	}
	for i, e := range entries {
		for _, r := range book.Mending(e.Fault) {
			if row, ok := at[r.String()]; ok {
				k.mends[row][i] = true
			}
		}
	}
	return k
}

// of returns the repairs that mend a fault.
func (k *classes) of(book *fault.Book, f fault.Fault) []int {
	var out []int
	for i, r := range k.repairs {
		if book.Mends(r, f) {
			out = append(out, i)
		}
	}
	return out
}

// mendsAll reports whether one of the repairs mends every one of the entries.
func (k *classes) mendsAll(repairs, entries []int) bool {
	for _, i := range repairs {
		if k.covers(i, entries) == len(entries) {
			return true
		}
	}
	return false
}

func (k *classes) covers(repair int, entries []int) int {
	n := 0
	for _, e := range entries {
		if k.mends[repair][e] {
			n++
		}
	}
	return n
}

// cover returns a small set of repairs that between them mend all the entries, the one that mends most first. It is found
// greedily, which is never more than a factor of ln n from the smallest set (Chvatal, "A greedy heuristic for the
// set-covering problem", 1979).
func (k *classes) cover(entries []int) []int {
	left := append([]int(nil), entries...)
	var out []int
	for len(left) > 0 {
		best, most := -1, 0
		for i := range k.repairs {
			if n := k.covers(i, left); n > most {
				best, most = i, n
			}
		}
		if best < 0 {
			break // no repair mends what is left: not in a catalogue made by the same book
		}
		out = append(out, best)
		rest := left[:0]
		for _, e := range left {
			if !k.mends[best][e] {
				rest = append(rest, e)
			}
		}
		left = rest
	}
	return out
}
