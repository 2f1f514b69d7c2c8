package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
)

// Floor is what nobody can do without, on average over all that is suspected once the check has been run. In one exercise it may go
// quicker.
//
// Bits is what is missing to know the repair. A test that can show no more than n things that can be told apart tells at most
// log2 n of it (Shannon, "A mathematical theory of communication", 1948), and what is left after the first test is known for
// each of the tests there are, and so is how many things any of them can still show of that. So where more than one repair is left no plan
// takes fewer than V = max(1, bits left / log2 n) more tests on average. Nor fewer than W, the least over all next tests of 1 and the share of
// what is left of which that leaves more than one repair; and so no fewer, from the beginning, than the least over all first tests of 1 and the
// average of max(V, W).
//
// Where no test tells some of the suspected apart, nobody is asked to: what cannot be told apart counts as known when only that is left.
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

// mostRefined is how many first tests are looked into more closely: it bounds the time where there are thousands, and those that are left raise the floor
// by a few hundredths more.
const mostRefined = 1000

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
	s.times, s.each = floorTimes, f.see
	if err := s.near(); err != nil {
		return out, err
	}
	out = f.least()
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
	alike    [][]bool // by suspect, by suspect: no test tells the two apart
	like     [][]int  // the same as lists, once all tests are known
	within   []bool
	shown    [][]int16          // by test, by suspect: which of the things that it can show, -1 for any; each such row once
	rows     map[string]bool    // those in shown
	mostOf   map[string]float64 // by what is left: the logarithm of the most things that a test can still show
	needed   map[string]float64 // by what is left: see twoAtLeast
	mended   []bitset           // by repair: the suspects that it mends
	same     []bitset           // by suspect: those that no test tells from it
}

// leaving is what a test leaves.
type leaving struct {
	minutes      float64
	order, loose []int // suspects in the order of what they show; those that may show anything, and so are left whatever is shown
	windows      []window
	of           []int // by suspect: the window of which it is one, -1 for none
}

// window is what is left when some suspects are true, which are near to each other: order[from:to], and what may show anything.
type window struct {
	from, to int
	own      []int
	left     bitset // what may show anything included
}

func newFloor(p *Planner, s *search) *flooring {
	n := len(s.suspects)
	f := &flooring{
		s: s, sums: make([]float64, len(p.classes.repairs)), outcomes: 1, within: make([]bool, n), rows: map[string]bool{}, mostOf: map[string]float64{}, needed: map[string]float64{},
	}
	for _, sus := range s.suspects {
		var by []int
		for k := range p.classes.repairs {
			if p.classes.mends[k][sus.entry] {
				by = append(by, k)
			}
		}
		row := make([]bool, n)
		for i := range row {
			row[i] = true
		}
		f.mends, f.alike = append(f.mends, by), append(f.alike, row)
	}
	return f
}

// bits is what is missing on average to know a repair of what is true, if one of some suspects is: for each the logarithm of the share of
// what may be left at the end, which is what one repair mends or what no test tells from it. known says that this is the case
// already.
func (f *flooring) bits(some []int) (missing float64, known bool) {
	clear(f.sums)
	all := 0.0
	for _, i := range some {
		w := f.s.suspects[i].weight
		all += w
		f.within[i] = true
		for _, k := range f.mends[i] {
			f.sums[k] += w
		}
	}
	known = true
	mended := slices.Max(f.sums) >= all*(1-1e-9)
	for _, i := range some {
		most, same := 0.0, 0.0
		for _, k := range f.mends[i] {
			most = max(most, f.sums[k])
		}
		for _, j := range f.like[i] {
			if f.within[j] {
				same += f.s.suspects[j].weight
			}
		}
		known = known && same >= all*(1-1e-9)
		missing += f.s.suspects[i].weight / all * math.Log2(all/max(most, same))
	}
	for _, i := range some {
		f.within[i] = false
	}
	if mended || known || !(all > 0) {
		return 0, true
	}
	return missing, false
}

// see takes note of a test.
func (f *flooring) see(o option) {
	set := o.s
	var key func(suspect int) int
	value := func(int) float64 { return 0 }
	gap := func(float64) float64 { return 0.5 }
	if o.place >= 0 {
		key = func(i int) int { return set.sights[o.place][i] }
	} else {
		key = func(i int) int {
			if w := set.words[f.s.suspects[i].circuit]; w < 0 || !set.seen {
				return w
			}
			return 0
		}
		if o.m >= 0 {
			value = func(i int) float64 { return set.values[o.m][f.s.suspects[i].circuit] }
			gap = func(v float64) float64 { return set.menu[o.m].sep(v, f.s.times) }
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
	shows := make([]int16, len(f.s.suspects))
	for _, i := range loose {
		shows[i] = -1
	}
	for k, last := 0, 0; k < len(order); k++ {
		if k == 0 || key(order[k]) != key(last) || value(order[k])-value(last) > gap(value(last)) {
			last = order[k]
			n++
		}
		shows[order[k]] = int16(n - 1)
	}
	if n < 2 {
		return
	}
	f.outcomes = max(f.outcomes, n)
	if row := fmt.Sprint(shows); !f.rows[row] {
		f.rows[row] = true
		f.shown = append(f.shown, shows)
	}
	t := leaving{minutes: o.minutes - set.plan.later/wholeMinutes, order: order, loose: loose}
	// As in Groups, what lies between two keeps them together, and a gap that the lower of two leaves parts them.
	blocks := make([]int, len(order))
	for k := 1; k < len(order); k++ {
		i, was := order[k], order[k-1]
		if blocks[k] = blocks[k-1]; key(i) != key(was) || value(i)-value(was) > gap(value(was)) {
			blocks[k] = k
		}
	}
	from, to := 0, 0
	for k, i := range order {
		a, z := max(from, blocks[k]), max(to, k)
		for z < len(order) && blocks[z] == blocks[k] && value(order[z])-value(i) <= gap(value(i)) {
			z++
		}
		for value(i)-value(order[a]) > gap(value(i)) {
			a++
		}
		if a != from || z != to {
			from, to = a, z
			t.windows = append(t.windows, window{from: a, to: z})
		}
		w := &t.windows[len(t.windows)-1]
		w.own = append(w.own, i)
		for _, j := range order[:blocks[k]] {
			f.alike[i][j], f.alike[j][i] = false, false
		}
	}
	f.tests = append(f.tests, t)
}

// most returns the logarithm of the most things that any test can show where one of some suspects is true. Two of them that a test shows as
// one thing among all suspects it shows as one among these.
func (f *flooring) most(some []int) float64 {
	name := fmt.Sprint(some)
	if bits, known := f.mostOf[name]; known {
		return bits
	}
	most := 2
	hit := make([]int, f.outcomes) // by thing: the last test that has shown it
	for t, shows := range f.shown {
		if most >= min(len(some), f.outcomes) {
			break
		}
		n := 0
		for _, i := range some {
			switch k := shows[i]; {
			case k < 0:
				n = f.outcomes
			case hit[k] != t+1:
				hit[k] = t + 1
				n++
			}
		}
		most = max(most, min(n, f.outcomes))
	}
	bits := math.Log2(float64(most))
	f.mostOf[name] = bits
	return bits
}

// least returns the floor over all first tests there are.
func (f *flooring) least() Floor {
	all := make([]int, len(f.s.suspects))
	total := 0.0
	f.like = make([][]int, len(all))
	for i, s := range f.s.suspects {
		all[i] = i
		total += s.weight
		for j, same := range f.alike[i] {
			if same {
				f.like[i] = append(f.like[i], j)
			}
		}
	}
	var known bool
	out := Floor{Outcomes: f.outcomes}
	if out.Bits, known = f.bits(all); known || len(f.tests) == 0 {
		return out
	}
	f.prepare()
	more, refined := make([]float64, len(f.tests)), make([]bool, len(f.tests)) // after each first test
	for k := range f.tests {
		more[k] = f.after(&f.tests[k], total, f.atLeast)
	}
	// The test that looks best is looked into more closely, until that with the least has been; or many have, for each is at least what it seems.
	least := func(cost func(k int) float64) float64 {
		for n := 0; ; n++ {
			best := 0
			for k := range f.tests {
				if cost(k) < cost(best) {
					best = k
				}
			}
			if refined[best] || n == mostRefined {
				return cost(best)
			}
			more[best], refined[best] = f.after(&f.tests[best], total, f.twoAtLeast), true
		}
	}
	out.Tests = least(func(k int) float64 { return 1 + more[k] })
	out.Minutes = least(func(k int) float64 { return f.tests[k].minutes + more[k]*bareDial/wholeMinutes })
	return out
}

// after is how many tests follow a first one on average, where so many are needed for what it leaves. What may show anything may show what
// nothing else can: it counts as known.
func (f *flooring) after(t *leaving, total float64, needed func(left []int) float64) float64 {
	more := 0.0
	count := func(own, left []int) {
		tests := needed(left)
		for _, i := range own {
			more += f.s.suspects[i].weight / total * tests
		}
	}
	for _, w := range t.windows {
		count(w.own, append(slices.Clone(t.order[w.from:w.to]), t.loose...))
	}
	return more
}

// atLeast is how many tests nobody can do without on average where some suspects are left: V of Floor.
func (f *flooring) atLeast(some []int) float64 {
	bits, known := f.bits(some)
	switch {
	case known:
		return 0
	case bits <= 1: // a test shows two things at least
		return 1
	}
	return max(1, bits/f.most(some))
}
