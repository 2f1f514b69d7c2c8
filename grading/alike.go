package grading

import (
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// mostAlike is up to how many faults are tried for whether any test tells them apart: where more stand, some test does.
const mostAlike = 40

// mostHull bounds the severities that stand for one entry's range.
const mostHull = 12

// Alike reports whether no test within reach, from where the attempt was after its first n records, tells the true fault from what else
// was still suspected then, though more than one repair is needed for it. It is what isolated means where a circuit hides more
// than tests can show.
func (e *Evidence) Alike(n int) bool {
	standing := e.standing(n)
	truth := e.classes.of(e.r.book, e.truth)
	if len(standing) > mostAlike || e.classes.mendsAll(truth, standing) {
		return false
	}
	var others [][]int
	for _, k := range e.classes.cover(standing) {
		var class []int
		for _, entry := range standing {
			if e.classes.mends[k][entry] && !slices.ContainsFunc(truth, func(t int) bool { return e.classes.mends[t][entry] }) {
				class = append(class, entry)
			}
		}
		if len(class) > 0 {
			others = append(others, class)
		}
	}
	return !e.toldApart(n, others)
}

// Same reports whether a finding cannot be told from the true fault by any test within reach after the first n records: it had not
// been ruled out, and whoever names it could not know better.
func (e *Evidence) Same(f fault.Fault, n int) bool {
	found, truth := e.entry(f), e.entry(e.truth)
	standing := e.standing(n)
	if found < 0 || truth < 0 || !slices.Contains(standing, found) || !slices.Contains(standing, truth) {
		return false
	}
	return found == truth || !e.toldApart(n, [][]int{{found}})
}

// entry returns the index of a fault in the catalogue, whichever of two wires that touch is named first; -1 if it is not there.
func (e *Evidence) entry(f fault.Fault) int {
	return slices.IndexFunc(e.r.entries, func(x fault.Entry) bool {
		g := x.Fault
		return g.Kind == f.Kind && (g.Place == f.Place && g.Other == f.Other ||
			g.Other != "" && g.Other == placeName(f.Place) && placeName(g.Place) == f.Other)
	})
}

// toldApart reports whether some test tells the true fault, as bad as it is, from one of some classes of entries, however bad those are: what it
// shows lies outside all that the class could show.
func (e *Evidence) toldApart(n int, classes [][]int) bool {
	p := &Planner{ex: *e.r.ex, r: e.r, classes: e.classes, records: e.records[:n]}
	p.ex.Faults = nil
	model, err := attempt.NewModel(p.ex)
	if err != nil {
		return true
	}
	if p.lab, err = newLab(&p.ex, e.r.book, model, e.r.rest); err != nil {
		return true
	}
	t := &telling{search: &search{p: p, course: attempt.NewCourse(p.ex.Harness, p.records)}}
	t.from = p.lab.stanceOf(t.course)
	add := func(s suspect, class int) {
		s.circuit = len(t.circuits)
		t.circuits = append(t.circuits, &circuit{fault: s.fault, spare: s.spare})
		t.suspects, t.class = append(t.suspects, s), append(t.class, class)
	}
	add(suspect{entry: e.entry(e.truth), fault: e.truth}, -1)
	for k, entries := range classes {
		for _, entry := range entries {
			for _, s := range hull(&e.r.entries[entry], e.minds(entry, n)) {
				add(s, k)
			}
		}
	}
	t.classes = len(classes)
	if p.lab.bring(t.circuits, p.records, p.quiet(t.course)) != nil {
		return true
	}
	told, err := t.any()
	return told || err != nil
}

// hull returns suspects for the ends of the cells of one entry and what lies between, evenly chosen where they are many: what the
// entry can show lies between what they show.
func hull(e *fault.Entry, cells []mind) []suspect {
	out := reps(e, cells)
	var ends []float64
	for _, c := range cells {
		if len(ends) == 0 || ends[len(ends)-1] < c.lo {
			ends = append(ends, c.lo)
		}
		if c.hi > c.lo {
			ends = append(ends, c.hi)
		}
	}
	n := min(len(ends), mostHull)
	for k := range n {
		s := suspect{entry: cells[0].entry, fault: e.Fault}
		s.fault.Severity = ends[k*(len(ends)-1)/max(1, n-1)]
		out = append(out, s)
	}
	return out
}

// minds returns the cells of an entry that stand after n records.
func (e *Evidence) minds(entry, n int) []mind {
	var out []mind
	for i := range e.r.cells {
		if c := &e.r.cells[i]; c.entry == entry && c.standing(n) {
			m := mind{cell: *c, own: [2]bool{true, true}}
			m.fell, m.sure = -1, false
			out = append(out, m)
		}
	}
	return out
}

// telling looks for a test that tells one suspect, the first, from a class of others.
type telling struct {
	*search
	class   []int // by suspect
	classes int
}

// any reports whether there is one.
func (t *telling) any() (bool, error) {
	for _, tier := range t.tiers() {
		for _, a := range tier.apart {
			if told, err := t.seen(a); told || err != nil {
				return told, err
			}
			for _, to := range tier.turnings(a) {
				if told, err := t.shown(to); told || err != nil {
					return told, err
				}
			}
		}
	}
	return false, nil
}

// seen reports whether a look somewhere tells.
func (t *telling) seen(at stance) (bool, error) {
	set := &setting{stance: at}
	if err := t.look(set, t.places(at)); err != nil {
		return false, err
	}
	for _, row := range set.sights {
		if t.outside(func(i int) float64 { return float64(row[i]) }, 0.5, true) {
			return true, nil
		}
	}
	return false, nil
}

// shown reports whether what the vehicle does or a reading tells.
func (t *telling) shown(at stance) (bool, error) {
	set := &setting{stance: at, plan: &route{seconds: groupSeconds}}
	if err := t.p.lab.foresee(set, t.circuits); err != nil {
		return false, err
	}
	if set.words[0] < 0 {
		return false, nil
	}
	if t.outside(func(i int) float64 { return float64(set.words[i]) }, 0.5, true) {
		return true, nil
	}
	for m, row := range set.values {
		if row == nil || math.IsNaN(row[0]) {
			continue
		}
		if t.outside(func(i int) float64 { return row[i] }, set.menu[m].sep(row[0], apart), false) {
			return true, nil
		}
	}
	return false, nil
}

// outside reports whether the value of the first suspect lies outside the values of some class by more than a gap; of names, which have
// no order, whether none of the class has it.
func (t *telling) outside(value func(i int) float64, gap float64, names bool) bool {
	own := value(0)
	lo, hi, same := make([]float64, t.classes), make([]float64, t.classes), make([]bool, t.classes)
	for k := range lo {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for i := 1; i < len(t.suspects); i++ {
		k := t.class[i]
		v := value(i)
		if math.IsNaN(v) || names && v < 0 {
			same[k] = true // it may show anything
			continue
		}
		same[k] = same[k] || math.Abs(v-own) <= gap
		lo[k], hi[k] = min(lo[k], v), max(hi[k], v)
	}
	for k := range lo {
		if !same[k] && (names || own < lo[k]-gap || own > hi[k]+gap) {
			return true
		}
	}
	return false
}

// asGood takes findings for right that no test tells from the cause: of three wires that meet in a splice nobody can say which it is
// that touches the body there.
func (w *walk) asGood() {
	for i := range w.findings {
		f := &w.findings[i]
		for k, e := range w.evidence {
			mended := w.faults[k].mended
			if f.verdict == rightCause || mended >= 0 && mended < f.at {
				continue
			}
			if e.Same(f.fault, f.at) {
				f.verdict, f.same = rightCause, true
			}
		}
	}
}
