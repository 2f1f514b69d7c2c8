package harness

// Runs are the unbranched runs of a harness: limbs in series with nothing but each other at the points between them.
type Runs struct {
	// Of is the number of the run in which each limb lies, from 0; Inside that of each point between two limbs of one run.
	Of     map[Limb]int
	Inside map[Point]int
}

// Unbranched finds the runs of a harness. Resistance that is added anywhere in a run does the same to all that lies outside of it, for
// resistances in series add up in any order. The maps are the caller's.
func (h *Harness) Unbranched() Runs {
	ix := newIndex(h)
	limbs := ix.limbs()
	at := map[Point][]int{}
	for i, l := range limbs {
		at[l.a] = append(at[l.a], i)
		at[l.b] = append(at[l.b], i)
	}
	ends := map[Point]bool{Body: true}
	for _, c := range h.Components {
		for _, t := range terminals(c.Spec) {
			p, ok := ix.pin[pinKey{c.ID, t}]
			if !ok {
				p = Point(c.ID + "." + t)
			}
			ends[p] = true
		}
	}
	run := make([]int, len(limbs)) // each limb's first of its run, found by following
	for i := range run {
		run[i] = i
	}
	root := func(i int) int {
		for run[i] != i {
			i = run[i]
		}
		return i
	}
	between := map[Point]int{}
	for _, l := range limbs {
		for _, p := range [2]Point{l.a, l.b} {
			if two := at[p]; len(two) == 2 && !ends[p] && two[0] != two[1] {
				if a, b := root(two[0]), root(two[1]); a != b {
					run[max(a, b)] = min(a, b)
				}
				between[p] = two[0]
			}
		}
	}
	r := Runs{Of: map[Limb]int{}, Inside: map[Point]int{}}
	number := map[int]int{}
	for i, l := range limbs {
		k, ok := number[root(i)]
		if !ok {
			k = len(number)
			number[root(i)] = k
		}
		for _, name := range l.names {
			r.Of[name] = k
		}
	}
	for p, i := range between {
		r.Inside[p] = number[root(i)]
	}
	return r
}
