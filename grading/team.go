package grading

import (
	"fmt"
	"runtime"
	"slices"
	"sync"

	"faultloom/sim/attempt"
)

// team is several learners, one for each processor, each with a part of the candidates: what one candidate shows does not depend on
// any other. Together they come to what a single learner does.
type team struct{ members []*learner }

const (
	// mostMembers bounds a team: each member has models of the vehicle of its own.
	mostMembers = 8
	// fewestCells is the least number of cells that are worth a member.
	fewestCells = 150
)

// newTeam returns the learners of an attempt at an exercise, as many as this machine can use.
func newTeam(r *reasoner, ex attempt.Exercise) (*team, error) {
	return teamOf(max(1, min(runtime.GOMAXPROCS(0), mostMembers, len(r.cells)/fewestCells)), r, ex)
}

// teamOf returns a team of n members.
func teamOf(n int, r *reasoner, ex attempt.Exercise) (*team, error) {
	t := &team{members: make([]*learner, n)}
	err := t.each(func(k int) (err error) {
		t.members[k], err = newLearner(r, ex)
		return err
	})
	if err != nil {
		return t, err
	}
	defer func() {
		for _, l := range t.members {
			l.first = slices.Clone(l.cells)
		}
	}()
	if n == 1 {
		return t, nil
	}
	// Those that do the same to the circuit are gone through once, so they stay together.
	member, next := map[string]int{}, 0
	home := make([]int, len(r.entries))
	for i, e := range r.entries {
		home[i] = next
		does := ""
		if ways := t.members[0].wiring.ways(e.Fault); len(ways) > 0 {
			does = fmt.Sprint(ways[0].until) // however bad it is
		} else if does, err = t.members[0].wiring.does(e.Fault); err != nil {
			return nil, err
		}
		if k, ok := member[does]; ok {
			home[i] = k
			continue
		}
		member[does] = next
		next = (next + 1) % n
	}
	for k, l := range t.members {
		l.cells = slices.DeleteFunc(l.cells, func(c mind) bool { return home[c.entry] != k })
	}
	return t, nil
}

// each lets all members do something at the same time. It returns the first of them that failed; a panic in one goes on in the caller.
func (t *team) each(do func(k int) error) error {
	if len(t.members) == 1 {
		return do(0)
	}
	errs, panics := make([]error, len(t.members)), make([]any, len(t.members))
	var all sync.WaitGroup
	for k := range t.members {
		all.Go(func() {
			defer func() { panics[k] = recover() }()
			errs[k] = do(k)
		})
	}
	all.Wait()
	for k := range t.members {
		if panics[k] != nil {
			panic(panics[k])
		}
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// keepFallen makes the members keep the cells that fall.
func (t *team) keepFallen() {
	for _, l := range t.members {
		l.fallen = []cell{}
	}
}

// anew is learner.anew of all members.
func (t *team) anew(records []attempt.Record) {
	for _, l := range t.members {
		l.anew(records)
	}
}

func (t *team) learn(records []attempt.Record) error {
	return t.each(func(k int) error { return t.members[k].learn(records) })
}

func (t *team) decided(records []attempt.Record) error {
	return t.each(func(k int) error { return t.members[k].decided(records) })
}

// lasted returns the record of those that fell last: no fault agrees with it and all before.
func (t *team) lasted() int {
	last := 0
	for _, l := range t.members {
		for _, c := range l.fallen {
			last = max(last, c.fell)
		}
	}
	return last
}

// minds returns the cells that stand, with what is known of each, in the order of the catalogue.
func (t *team) minds() []mind {
	var out []mind
	for _, l := range t.members {
		out = append(out, l.cells...)
	}
	slices.SortStableFunc(out, func(a, b mind) int { return a.entry - b.entry })
	return out
}

// standing returns the cells that stand, in the order of the catalogue.
func (t *team) standing() []cell {
	var out []cell
	for _, m := range t.minds() {
		out = append(out, m.cell)
	}
	return out
}

// all returns the cells that stand and those that fell, in the order of the catalogue.
func (t *team) all() []cell {
	var out []cell
	for _, l := range t.members {
		out = append(out, l.all()...)
	}
	slices.SortStableFunc(out, func(a, b cell) int { return a.entry - b.entry })
	return out
}
