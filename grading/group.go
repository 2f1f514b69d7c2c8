package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// Group is some faults that no test within reach tells apart, though no one repair mends them all: with the leads anywhere, the
// controls in any position, up to two connectors apart, the loom open at a splice, and a look at every place. An instructor
// should know before a trainee is held to have guessed.
type Group struct {
	Faults  []string `json:"faults"`  // in text form, in the order of the catalogue
	Titles  []string `json:"titles"`  // the same for people
	Repairs []string `json:"repairs"` // that between them mend all, in text form
}

// commonOhms are severities at which faults are compared, the first that lies in a fault's interval: those of one kind must have
// the same ohms to show the same.
var commonOhms = [...]float64{2, 0.05, 2000}

// Groups lists the groups of a harness, with the tools and functions of the exercise; its faults are not looked at. Faults that do not
// show in the normal-operation check are left out. It returns an error when a circuit cannot be computed.
func Groups(ex attempt.Exercise) ([]Group, error) {
	p, err := NewPlanner(ex)
	if err != nil {
		return nil, err
	}
	g, err := newGrouping(p)
	if err != nil {
		return nil, err
	}
	for _, step := range []func() error{g.mated, g.near, g.far} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("exercise %s: %w", ex.ID, err)
		}
	}
	return g.groups(), nil
}

// grouping is a partition of suspects, made finer with every test.
type grouping struct {
	p        *Planner
	search   *search
	suspects []suspect
	circuits []*circuit
	id       []int // by suspect: its group; -1 once it is told apart from all that need another repair
	next     int
	silent   int // the circuit in which nothing is wrong
}

func newGrouping(p *Planner) (*grouping, error) {
	course := attempt.NewCourse(p.ex.Harness, nil)
	g := &grouping{p: p, search: &search{p: p, course: course, from: p.lab.stanceOf(course), past: p.past()}}
	known := map[string]int{}
	add := func(f fault.Fault) (int, error) {
		key, err := p.lab.wiring.does(f)
		k, ok := known[key]
		if !ok {
			k = len(g.circuits)
			known[key] = k
			g.circuits = append(g.circuits, &circuit{fault: f})
		}
		return k, err
	}
	for i, e := range p.r.entries {
		s := suspect{entry: i, fault: e.Fault, weight: e.Likelihood}
		for _, ohms := range commonOhms {
			if e.Low < ohms && ohms < e.High {
				s.fault.Severity = ohms
				break
			}
		}
		var err error
		if s.circuit, err = add(s.fault); err != nil {
			return nil, err
		}
		g.suspects = append(g.suspects, s)
	}
	if err := p.lab.bring(g.circuits, nil, nil); err != nil {
		return nil, err
	}
	if err := p.lab.model.Suppose(p.lab.given...); err != nil {
		return nil, err
	}
	g.silent = len(g.circuits)
	g.circuits = append(g.circuits, &circuit{now: p.lab.m.Snapshot(), clicks: p.lab.pulled()})
	g.id, g.search.suspects = make([]int, len(g.suspects)), g.suspects
	g.next = 1
	return g, nil
}

// mated tries every position of the controls with all mated, all suspects together. Those that show nothing in the check are
// left out after it.
func (g *grouping) mated() error {
	shows := make([]bool, len(g.circuits))
	for i := range g.p.ex.Harness.Check {
		set, err := g.foresee(g.p.lab.lineStance(i), nil)
		if err != nil {
			return err
		}
		for k := range g.circuits {
			shows[k] = shows[k] || set.words[k] != set.words[g.silent]
		}
	}
	for i, s := range g.suspects {
		if !shows[s.circuit] {
			g.id[i] = -1
		}
	}
	for _, to := range g.search.everywhere() {
		if err := g.electric(to, nil); err != nil {
			return err
		}
	}
	if err := g.sights(g.search.from); err != nil {
		return err
	}
	g.settle()
	return nil
}

// near tries what is left with each connector apart, group by group.
func (g *grouping) near() error {
	from := g.search.from
	for k := range g.p.ex.Harness.Connectors {
		to := from.clone()
		to.parted[k] = true
		if err := g.sights(to); err != nil {
			return err
		}
		g.settle()
	}
	for k := range g.p.ex.Harness.Splices {
		to := from.clone()
		to.opened[k] = true
		if err := g.sights(to); err != nil {
			return err
		}
	}
	g.settle()
	for _, members := range g.members() {
		if err := g.within(members, g.singles(), g.search.everywhere()); err != nil {
			return err
		}
	}
	g.settle()
	return nil
}

// far tries two connectors apart, and open looms.
func (g *grouping) far() error {
	h := g.p.ex.Harness
	var apart []stance
	for i := range h.Splices {
		to := g.search.from.clone()
		to.opened[i] = true
		apart = append(apart, to)
	}
	for i := range h.Connectors {
		for k := range i {
			to := g.search.from.clone()
			to.parted[i], to.parted[k] = true, true
			apart = append(apart, to)
		}
	}
	for _, members := range g.members() {
		if err := g.within(members, apart, g.search.moves()); err != nil {
			return err
		}
	}
	g.settle()
	return nil
}

func (g *grouping) singles() []stance {
	var out []stance
	for i := range g.p.ex.Harness.Connectors {
		to := g.search.from.clone()
		to.parted[i] = true
		out = append(out, to)
	}
	return append(out, g.search.from)
}

// within tries stances on the members of one group, until they are told apart.
func (g *grouping) within(members []int, apart, turned []stance) error {
	for _, a := range apart {
		for _, t := range turned {
			to := a.clone()
			to.positions = t.positions
			if err := g.electric(to, members); err != nil {
				return err
			}
		}
		if !slices.ContainsFunc(members, func(i int) bool { return g.id[i] >= 0 && g.mixed(g.id[i]) }) {
			return nil
		}
	}
	return nil
}

// mixed reports whether a group needs more than one repair.
func (g *grouping) mixed(id int) bool {
	var entries []int
	for i, s := range g.suspects {
		if g.id[i] == id {
			entries = append(entries, s.entry)
		}
	}
	return len(g.p.classes.cover(entries)) > 1
}

// foresee predicts a stance for the circuits of some suspects, nil for all.
func (g *grouping) foresee(to stance, members []int) (*setting, error) {
	set := &setting{stance: to, plan: &route{seconds: groupSeconds}}
	if members == nil {
		return set, g.p.lab.foresee(set, g.circuits)
	}
	some := make([]*circuit, 0, len(members))
	at := map[int]int{}
	for _, i := range members {
		if k := g.suspects[i].circuit; at[k] == 0 {
			some = append(some, g.circuits[k])
			at[k] = len(some)
		}
	}
	part := &setting{stance: to, plan: set.plan}
	if err := g.p.lab.foresee(part, some); err != nil {
		return nil, err
	}
	// Spread the columns to where the circuits are.
	set.menu, set.told = part.menu, part.told
	set.words = make([]int, len(g.circuits))
	set.values = make([][]float64, len(part.values))
	for k, n := range at {
		set.words[k] = part.words[n-1]
	}
	for m, row := range part.values {
		if row == nil {
			continue
		}
		set.values[m] = make([]float64, len(g.circuits))
		for k, n := range at {
			set.values[m][k] = row[n-1]
		}
	}
	return set, nil
}

// groupSeconds is how long a stance is held: long enough for a fuse at twice its rating.
const groupSeconds = 10

// electric makes the partition finer by what a stance shows.
func (g *grouping) electric(to stance, members []int) error {
	set, err := g.foresee(to, members)
	if err != nil {
		return err
	}
	all := members
	if all == nil {
		all = make([]int, len(g.suspects))
		for i := range all {
			all[i] = i
		}
	}
	word := func(i int) float64 { return float64(set.words[g.suspects[i].circuit]) }
	g.split(all, word, func(float64) float64 { return 0.5 })
	for m, row := range set.values {
		if row == nil {
			continue
		}
		g.split(all, func(i int) float64 { return row[g.suspects[i].circuit] }, func(v float64) float64 { return set.menu[m].sep(v, farTimes) })
	}
	return nil
}

// sights makes the partition finer by what can be looked at.
func (g *grouping) sights(to stance) error {
	set := &setting{stance: to}
	places := g.search.places(to)
	if err := g.p.lab.look(set, g.suspects, g.circuits[:g.silent], places); err != nil {
		return err
	}
	all := make([]int, len(g.suspects))
	for i := range all {
		all[i] = i
	}
	for _, row := range set.sights {
		g.split(all, func(i int) float64 { return float64(row[i]) }, func(float64) float64 { return 0.5 })
	}
	return nil
}

// split parts each group where values leave a gap, so that of three in a row the outer two stay together while the middle one is like
// both. What has no value does not come to rest: its word has parted it from the others already.
func (g *grouping) split(all []int, value func(i int) float64, gap func(v float64) float64) {
	order := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return g.id[i] < 0 || math.IsNaN(value(i)) })
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(g.id[a]-g.id[b], cmp.Compare(value(a), value(b)), a-b) })
	was, now := -1, -1
	for k, i := range order {
		switch {
		case g.id[i] != was:
			was, now = g.id[i], g.id[i]
		case value(i)-value(order[k-1]) > gap(value(order[k-1])):
			now = g.next
			g.next++
		}
		g.id[i] = now
	}
}

// settle leaves out what needs no more telling apart: groups that one repair mends.
func (g *grouping) settle() {
	for _, members := range g.members() {
		if !g.mixed(g.id[members[0]]) {
			for _, i := range members {
				g.id[i] = -1
			}
		}
	}
}

// members lists the groups, each with its suspects in the order of the catalogue, by their first.
func (g *grouping) members() [][]int {
	var out [][]int
	at := map[int]int{}
	for i, id := range g.id {
		if id < 0 {
			continue
		}
		k, ok := at[id]
		if !ok {
			k = len(out)
			at[id] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

func (g *grouping) groups() []Group {
	var out []Group
	for _, members := range g.members() {
		var group Group
		var entries []int
		for _, i := range members {
			e := g.p.r.entries[g.suspects[i].entry]
			f := e.Fault
			if f.Kind != fault.WrongRating {
				f.Severity = 0
			}
			group.Faults, group.Titles = append(group.Faults, f.String()), append(group.Titles, e.Title)
			entries = append(entries, g.suspects[i].entry)
		}
		for _, k := range g.p.classes.cover(entries) {
			group.Repairs = append(group.Repairs, g.p.classes.repairs[k].String())
		}
		out = append(out, group)
	}
	return out
}
