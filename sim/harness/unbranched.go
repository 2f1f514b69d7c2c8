package harness

// Runs are the unbranched runs of a harness: limbs in series with nothing but each other at the points between them.
type Runs struct {
	// Of is the number of the run in which each limb lies, from 0; Inside that of each point between two limbs of one run.
	Of     map[Limb]int
	Inside map[Point]int
}

// Unbranched finds the runs of a harness. Resistance that is added anywhere in a run does the same to all that lies outside of it, for
// resistances in series add up in any order. The maps are the caller's.
func (h *Harness) Unbranched() Runs { return h.runs(false) }

// Chains finds runs that go on through components: what goes into one terminal of a lamp, a fuse or a coil comes out of the other, so that
// resistance before it does the same as behind it, to it and to all that lies outside of the chain. Every point between two limbs
// or at such a terminal is inside. The maps are the caller's.
func (h *Harness) Chains() Runs { return h.runs(true) }

// paths are the groups of terminals of a component between which it carries a current that none of its other terminals takes part in, by kind;
// of kinds that are not named here all terminals are one group. Where just two of a group are wired, what goes into one comes out of the other.
var paths = map[string][][]string{"relay": {{"85", "86"}, {"30", "87", "87a"}}}

// runs finds runs, through components if so wanted.
func (h *Harness) runs(through bool) Runs {
	ix := newIndex(h)
	limbs := ix.limbs()
	at := map[Point][]int{}
	for i, l := range limbs {
		at[l.a] = append(at[l.a], i)
		at[l.b] = append(at[l.b], i)
	}
	ends := map[Point]bool{Body: true}
	var pairs [][]Point // the two terminals through which a run goes on, and those beside them that nothing is connected to
	for _, c := range h.Components {
		groups := paths[c.Spec.Kind]
		if groups == nil {
			groups = [][]string{terminals(c.Spec)}
		}
		for _, group := range groups {
			var wired, bare []Point
			for _, t := range group {
				p, ok := ix.pin[pinKey{c.ID, t}]
				if !ok {
					p = Point(c.ID + "." + t)
				}
				ends[p] = true
				if len(at[p]) > 0 {
					wired = append(wired, p)
				} else {
					bare = append(bare, p)
				}
			}
			if through && len(wired) == 2 && len(at[wired[0]]) == 1 && len(at[wired[1]]) == 1 {
				pairs = append(pairs, append(wired, bare...))
			}
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
	for _, p := range pairs {
		i, j := at[p[0]][0], at[p[1]][0]
		if a, b := root(i), root(j); a != b {
			run[max(a, b)] = min(a, b)
		}
		between[p[0]], between[p[1]] = i, j
		for _, q := range p[2:] {
			between[q] = i
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
