package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// What the floor needs to look at a second test: sets of suspects packed, so that thousands of tests can be tried on what each first one leaves.

// prepare packs what the tests leave and what is as good as known, and leaves out tests that leave the same as a quicker one.
func (f *flooring) prepare() {
	n := len(f.s.suspects)
	f.mended = make([]bitset, len(f.sums))
	for k := range f.mended {
		f.mended[k] = newBitset(n)
	}
	for i := range f.s.suspects {
		for _, k := range f.mends[i] {
			f.mended[k].add(i)
		}
		same := newBitset(n)
		for _, j := range f.like[i] {
			same.add(j)
		}
		f.same = append(f.same, same)
	}
	slices.SortStableFunc(f.tests, func(a, b leaving) int { return cmp.Compare(a.minutes, b.minutes) })
	known := map[string]bool{}
	var tests []leaving
	for _, t := range f.tests {
		name := fmt.Sprint(t.loose)
		t.of = slices.Repeat([]int{-1}, n)
		for k := range t.windows {
			w := &t.windows[k]
			w.left = newBitset(n)
			for _, i := range w.own {
				t.of[i] = k
			}
			for _, i := range append(slices.Clone(t.order[w.from:w.to]), t.loose...) {
				w.left.add(i)
			}
			name += fmt.Sprint(w.own, w.left)
		}
		if !known[name] {
			known[name] = true
			tests = append(tests, t)
		}
	}
	f.tests = f.sorted(tests)
}

// sorted returns tests with those first that leave the least of all: they are the likeliest to leave the least of anything.
func (f *flooring) sorted(tests []leaving) []leaving {
	n := len(f.s.suspects)
	all, share := newBitset(n), make([]float64, len(tests))
	for i := range n {
		all.add(i)
	}
	order := make([]int, len(tests))
	for k := range tests {
		order[k] = k
		for i := range n {
			share[k] += f.open(&tests[k], i, all)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(share[a], share[b]) })
	out := make([]leaving, len(tests))
	for k, from := range order {
		out[k] = tests[from]
	}
	return out
}

// twoAtLeast is the same with the next test looked at: max(V, W) of Floor.
func (f *flooring) twoAtLeast(some []int) float64 {
	v := f.atLeast(some)
	if v == 0 {
		return 0
	}
	in := newBitset(len(f.s.suspects))
	total := 0.0
	for _, i := range some {
		in.add(i)
		total += f.s.suspects[i].weight
	}
	name := fmt.Sprint(in)
	if tests, known := f.needed[name]; known {
		return tests
	}
	least := math.Inf(1)
	for k := range f.tests {
		if 1+least <= v {
			break
		}
		share := 0.0
		for _, i := range some {
			if share += f.open(&f.tests[k], i, in) / total; share >= least {
				break
			}
		}
		least = min(least, share)
	}
	f.needed[name] = max(v, 1+least)
	return f.needed[name]
}

// open is the weight of a suspect if a test leaves more than its repair where only some were left before, else 0.
func (f *flooring) open(t *leaving, i int, in bitset) float64 {
	if k := t.of[i]; k < 0 || f.known(i, in, t.windows[k].left) {
		return 0
	}
	return f.s.suspects[i].weight
}

// known reports whether one repair mends all that is in both of two sets, of which suspect i is one, or no test tells it from i.
func (f *flooring) known(i int, a, b bitset) bool {
	if within(a, b, f.same[i]) {
		return true
	}
	for _, k := range f.mends[i] {
		if within(a, b, f.mended[k]) {
			return true
		}
	}
	return false
}

// bitset is a set of small numbers.
type bitset []uint64

func newBitset(n int) bitset { return make(bitset, (n+63)/64) }

func (s bitset) add(i int) { s[i/64] |= 1 << (i % 64) }

// within reports whether all that is in both a and b is in c.
func within(a, b, c bitset) bool {
	for k := range a {
		if a[k]&b[k]&^c[k] != 0 {
			return false
		}
	}
	return true
}
