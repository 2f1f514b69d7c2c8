package grading

import (
	"cmp"
	"math"
	"slices"

	"faultloom/sim/attempt"
)

// Small is a search for the cause among a few candidates, small enough to go through every plan there is. Each test costs what it costs
// from where the check left the vehicle, putting back not counted.
type Small struct {
	Greedy, Best           float64 // expected minutes of the greedy plan and of the best there is
	GreedyTests, BestTests float64 // expected tests of the greedy plan, and of the plan with the fewest
	Floor                  Floor
	Candidates, Tests      int // how many there are; of tests those that part the candidates differently
}

// game is a Small being played.
type game struct {
	p     *Planner
	s     *search
	tests []partition
}

// partition is what a test tells: candidates with the same number show the same.
type partition struct {
	minutes float64
	part    []int
}

// PlaySmall plays with at most the given number of candidates, chosen by pick among those that stand after the records of the check:
// pick(n) is a permutation of n. ok is false where there is nothing to find out.
func PlaySmall(ex attempt.Exercise, records []attempt.Record, most int, pick func(n int) []int) (out Small, ok bool, err error) {
	p, err := NewPlanner(ex)
	if err != nil {
		return out, false, err
	}
	p.Learn(records)
	if err := p.weigh(); err != nil {
		return out, false, err
	}
	class, n := p.byCover()
	s, err := p.newSearch(attempt.NewCourse(p.ex.Harness, p.records), mostCircuits, class, n)
	if err != nil {
		return out, false, err
	}
	restrict(s, pick(len(s.suspects)), most)
	s.scale, s.fine = scaleOf(s.suspects, s.circuits, class, n)
	g := &game{p: p, s: s}
	f := newFloor(p, s)
	s.times = apart // as far apart as in the plans that it is set beside
	s.each = func(o option) {
		if g.take(o) {
			f.see(o)
		}
	}
	if err := s.near(); err != nil {
		return out, false, err
	}
	all := uint(1)<<len(s.suspects) - 1
	if g.done(all) {
		return out, false, nil
	}
	out.Candidates, out.Tests = len(s.suspects), len(g.tests)
	out.Floor = f.least()
	out.Greedy, out.GreedyTests = g.greedy(all)
	minutes, tests := map[uint]float64{}, map[uint]float64{}
	out.Best = g.best(all, minutes, func(t partition) float64 { return t.minutes })
	out.BestTests = g.best(all, tests, func(partition) float64 { return 1 })
	return out, true, nil
}

// restrict leaves a search with the first few suspects of an order.
func restrict(s *search, order []int, most int) {
	order = order[:min(len(order), most)]
	slices.Sort(order)
	var suspects []suspect
	var circuits []*circuit
	at := map[int]int{}
	for _, i := range order {
		sus := s.suspects[i]
		k, known := at[sus.circuit]
		if !known {
			k = len(circuits)
			at[sus.circuit] = k
			circuits = append(circuits, s.circuits[sus.circuit])
		}
		sus.circuit = k
		suspects = append(suspects, sus)
	}
	s.suspects, s.circuits = suspects, circuits
}

// take turns a test into a partition; of those that part alike the cheapest is kept. It reports whether the test is one of the game:
// one that may show anything is left to the big search.
func (g *game) take(o option) bool {
	set := o.s
	n := len(g.s.suspects)
	key, value, gap := make([]int, n), make([]float64, n), func(float64) float64 { return 0.5 }
	for i, sus := range g.s.suspects {
		if o.place >= 0 {
			key[i] = set.sights[o.place][i]
			continue
		}
		if !set.seen {
			key[i] = set.words[sus.circuit]
		}
		if o.m >= 0 {
			value[i] = set.values[o.m][sus.circuit]
			gap = func(v float64) float64 { return set.menu[o.m].sep(v, apart) }
		}
		if math.IsNaN(value[i]) || set.words[sus.circuit] < 0 {
			return false
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(key[a]-key[b], cmp.Compare(value[a], value[b]), a-b) })
	t := partition{minutes: o.minutes - set.plan.later/wholeMinutes, part: make([]int, n)}
	for k, i := range order[1:] {
		was := order[k]
		t.part[i] = t.part[was]
		if key[i] != key[was] || value[i]-value[was] > gap(value[was]) {
			t.part[i]++
		}
	}
	for k := range g.tests {
		if slices.Equal(canon(g.tests[k].part), canon(t.part)) {
			g.tests[k].minutes = min(g.tests[k].minutes, t.minutes)
			return true
		}
	}
	if t.part[order[n-1]] > 0 {
		g.tests = append(g.tests, t)
	}
	return true
}

// canon numbers the parts by their first members.
func canon(part []int) []int {
	known := map[int]int{}
	out := make([]int, len(part))
	for i, p := range part {
		if _, ok := known[p]; !ok {
			known[p] = len(known)
		}
		out[i] = known[p]
	}
	return out
}

func (g *game) members(set uint) []int {
	var out []int
	for i := range g.s.suspects {
		if set>>i&1 == 1 {
			out = append(out, i)
		}
	}
	return out
}

func (g *game) weight(set uint) float64 {
	w := 0.0
	for _, i := range g.members(set) {
		w += g.s.suspects[i].weight
	}
	return w
}

// done reports whether one repair mends all of a set, or no test parts it further.
func (g *game) done(set uint) bool {
	if g.classes(set) == nil {
		return true
	}
	return !slices.ContainsFunc(g.tests, func(t partition) bool { return len(g.split(set, t)) > 1 })
}

// split parts a set by a test.
func (g *game) split(set uint, t partition) []uint {
	parts := map[int]int{}
	var out []uint
	for _, i := range g.members(set) {
		k, ok := parts[t.part[i]]
		if !ok {
			k = len(out)
			parts[t.part[i]] = k
			out = append(out, 0)
		}
		out[k] |= 1 << i
	}
	return out
}

// classes gives each member of a set its repair among those that cover the set, nil when one mends all.
func (g *game) classes(set uint) map[int]int {
	var entries []int
	for _, i := range g.members(set) {
		entries = append(entries, g.s.suspects[i].entry)
	}
	slices.Sort(entries)
	cover := g.p.classes.cover(slices.Compact(entries))
	if len(cover) == 1 {
		return nil
	}
	out := map[int]int{}
	for _, i := range g.members(set) {
		out[i] = slices.IndexFunc(cover, func(k int) bool { return g.p.classes.mends[k][g.s.suspects[i].entry] })
	}
	return out
}

// entropy of a set over classes, in bits.
func (g *game) entropy(set uint, class map[int]int) float64 {
	sums := make([]float64, len(g.s.suspects))
	for _, i := range g.members(set) {
		sums[class[i]] += g.s.suspects[i].weight
	}
	all, h := g.weight(set), 0.0
	for _, w := range sums {
		if w > 0 {
			h += w / all * math.Log2(all/w)
		}
	}
	return h
}

// greedy returns the expected minutes and tests of the plan that always takes the most bits for what they cost.
func (g *game) greedy(set uint) (minutes, tests float64) {
	class := g.classes(set)
	if class == nil {
		return 0, 0
	}
	best, most := -1, 0.0
	for k, t := range g.tests {
		parts := g.split(set, t)
		if len(parts) < 2 {
			continue
		}
		gain := g.entropy(set, class)
		for _, part := range parts {
			gain -= g.weight(part) / g.weight(set) * g.entropy(part, class)
		}
		if rate := gain / (t.minutes + thought); best < 0 || rate > most*(1+1e-9) {
			best, most = k, rate
		}
	}
	if best < 0 {
		return 0, 0
	}
	minutes, tests = g.tests[best].minutes, 1
	for _, part := range g.split(set, g.tests[best]) {
		m, n := g.greedy(part)
		share := g.weight(part) / g.weight(set)
		minutes, tests = minutes+share*m, tests+share*n
	}
	return minutes, tests
}

// best returns the least expected cost of all plans.
func (g *game) best(set uint, known map[uint]float64, cost func(t partition) float64) float64 {
	if v, ok := known[set]; ok {
		return v
	}
	least := math.Inf(1)
	if g.done(set) {
		least = 0
	} else {
		for _, t := range g.tests {
			parts := g.split(set, t)
			if len(parts) < 2 {
				continue
			}
			v := cost(t)
			for _, part := range parts {
				v += g.weight(part) / g.weight(set) * g.best(part, known, cost)
			}
			least = min(least, v)
		}
	}
	known[set] = least
	return least
}
