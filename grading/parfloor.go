package grading

import (
	"cmp"
	"math"
	"slices"

	"faultloom/sim/attempt"
)

// Floor is what nobody can do without, on average over all that is suspected once the check has been run. In one exercise it may go
// quicker.
//
// Bits is what is missing to know the repair. A test that can show no more than n things that can be told apart tells at most
// log2 n of it (Shannon, "A mathematical theory of communication", 1948), and what is left after the first test is known for
// each of the tests there are. So with V the least, over all first tests, of the average of max(1, bits left / log2 n) where more
// than one repair is left, no plan takes fewer than 1+V tests on average.
//
// The tests counted are those that one step reaches from the check: the controls in any line of it or one moved, one connector
// apart, the loom open at one splice, a new fuse, a look.
type Floor struct {
	Bits     float64 `json:"bits"`
	Outcomes int     `json:"outcomes"` // most things that one test can show
	Tests    float64 `json:"tests"`
	Minutes  float64 `json:"minutes"` // with nothing after the first test dearer than a turn of the meter's dial
}

// floorTimes is how many tolerances predictions must lie apart at least for a reading to tell them apart: a candidate is kept within one,
// and the calibration of a meter is off by 0.4 of its accuracy at most, so that one may fall that lies 0.6 away.
const floorTimes = 0.6

// floor computes the floor of what is left to do.
func (p *Planner) floor() (Floor, error) {
	var out Floor
	if err := p.weigh(); err != nil {
		return out, err
	}
	class, n := p.byCover()
	s, err := p.newSearch(attempt.NewCourse(p.ex.Harness, p.records), mostCircuits, class, n)
	if err != nil {
		return out, err
	}
	f := newFloor(p, s)
	all := make([]int, len(s.suspects))
	for i := range all {
		all[i] = i
	}
	var known bool
	if out.Bits, known = f.bits(all); known {
		return out, nil
	}
	s.times, s.each = floorTimes, f.see
	if err := s.near(); err != nil {
		return out, err
	}
	out.Outcomes = f.outcomes
	out.Tests, out.Minutes = f.least()
	out.Bits, out.Tests, out.Minutes = round2(out.Bits), round2(out.Tests), round2(out.Minutes)
	return out, nil
}

// flooring collects what the tests there are would leave.
type flooring struct {
	s        *search
	mends    [][]int // by suspect: the repairs that mend it
	sums     []float64
	outcomes int
	tests    []leaving
}

// leaving is what a test leaves: with which share how many bits, where more than one repair is left.
type leaving struct {
	minutes float64
	left    []bitsLeft
}

type bitsLeft struct{ share, bits float64 }

func newFloor(p *Planner, s *search) *flooring {
	f := &flooring{s: s, sums: make([]float64, len(p.classes.repairs)), outcomes: 1}
	for _, sus := range s.suspects {
		var by []int
		for k := range p.classes.repairs {
			if p.classes.mends[k][sus.entry] {
				by = append(by, k)
			}
		}
		f.mends = append(f.mends, by)
	}
	return f
}

// bits is what is missing on average to know a repair of what is true, if one of some suspects is: for each the logarithm of the share
// of the repair that mends it and most else. known says that one repair mends them all.
func (f *flooring) bits(some []int) (missing float64, known bool) {
	clear(f.sums)
	all := 0.0
	for _, i := range some {
		w := f.s.suspects[i].weight
		all += w
		for _, k := range f.mends[i] {
			f.sums[k] += w
		}
	}
	known = slices.Max(f.sums) >= all*(1-1e-9)
	if known || !(all > 0) {
		return 0, true
	}
	for _, i := range some {
		most := 0.0
		for _, k := range f.mends[i] {
			most = max(most, f.sums[k])
		}
		missing += f.s.suspects[i].weight / all * math.Log2(all/most)
	}
	return missing, false
}

// see takes note of a test.
func (f *flooring) see(o option) {
	set := o.s
	key, value := func(int) int { return 0 }, func(int) float64 { return 0 }
	gap := func(float64) float64 { return 0.5 }
	switch {
	case o.place >= 0:
		key = func(i int) int { return set.sights[o.place][i] }
	default:
		key = func(i int) int {
			if w := set.words[f.s.suspects[i].circuit]; w < 0 || !set.seen {
				return w
			}
			return 0
		}
		if o.m >= 0 {
			value = func(i int) float64 { return set.values[o.m][f.s.suspects[i].circuit] }
			gap = func(v float64) float64 { return sep(set.menu[o.m].f, v, f.s.times) }
		}
	}
	var order, loose []int // what may show anything is left whatever is shown, and leaves all
	for i := range f.s.suspects {
		if key(i) < 0 || math.IsNaN(value(i)) {
			loose = append(loose, i)
		} else {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(key(a)-key(b), cmp.Compare(value(a), value(b)), a-b) })
	n := 0
	for k, last := 0, 0; k < len(order); k++ {
		if k == 0 || key(order[k]) != key(last) || value(order[k])-value(last) > gap(value(last)) {
			last = order[k]
			n++
		}
	}
	if n < 2 {
		return
	}
	f.outcomes = max(f.outcomes, n)
	f.tests = append(f.tests, leaving{
		minutes: o.minutes - set.plan.later/wholeMinutes,
		left:    f.leaves(order, loose, func(j, i int) bool { return key(j) == key(i) && math.Abs(value(j)-value(i)) <= gap(value(i)) }),
	})
}

// leaves tells what is left after a test, whichever suspect is true. order is sorted so that what is near to a suspect lies around it.
func (f *flooring) leaves(order, loose []int, near func(j, i int) bool) []bitsLeft {
	total := 0.0
	for _, s := range f.s.suspects {
		total += s.weight
	}
	var out []bitsLeft
	put := func(i int, bits float64, known bool) {
		if share := f.s.suspects[i].weight / total; !known && share > 0 {
			out = append(out, bitsLeft{share, bits})
		}
	}
	if len(loose) > 0 {
		bits, known := f.bits(append(slices.Clone(order), loose...))
		for _, i := range loose {
			put(i, bits, known)
		}
	}
	from, to, bits, known := 0, 0, 0.0, false
	for _, i := range order {
		a, z := from, to
		for z < len(order) && near(order[z], i) {
			z++
		}
		for !near(order[a], i) {
			a++
		}
		if a != from || z != to {
			from, to = a, z
			bits, known = f.bits(append(slices.Clone(order[a:z]), loose...))
		}
		put(i, bits, known)
	}
	return out
}

// least returns the fewest tests and minutes, on average, of all first tests there are.
func (f *flooring) least() (tests, minutes float64) {
	if len(f.tests) == 0 {
		return 0, 0
	}
	most := math.Log2(float64(f.outcomes))
	tests, minutes = math.Inf(1), math.Inf(1)
	for _, t := range f.tests {
		more := 0.0
		for _, l := range t.left {
			more += l.share * max(1, l.bits/most)
		}
		tests, minutes = min(tests, 1+more), min(minutes, t.minutes+more*bareDial/wholeMinutes)
	}
	return tests, minutes
}
