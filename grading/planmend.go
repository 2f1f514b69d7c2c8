package grading

import (
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// What the planner advises once it is known what is wrong: which repair, with which finding, and what belongs to it.

// cured returns the record in which a fuse was fitted that mended all that stands, as only the fitting told; -1 if there is none.
func (p *Planner) cured(standing []int) int {
	for i := len(p.records) - 1; i >= 0; i-- {
		act, ok := p.records[i].Action.(attempt.FitFuse)
		if !ok || p.records[i].Observation.Refused != "" || act.Amps != p.lab.rating(act.Connector) {
			continue
		}
		for _, c := range p.ex.Harness.Connectors {
			k := slices.Index(p.classes.repairs, fault.FitFuse(c.Component))
			if c.ID == act.Connector && k >= 0 && p.classes.covers(k, standing) == len(standing) {
				return i
			}
		}
	}
	return -1
}

// afterwards advises what is left to do once a fuse fitted as a test has turned out to be the repair: to declare it, and the check.
func (p *Planner) afterwards(c *attempt.Course, at int, standing []int) (Advice, error) {
	found := false
	marks := make([]int, len(p.ex.Harness.Check))
	for _, rec := range p.records[at:] {
		switch act := rec.Action.(type) {
		case attempt.Find:
			found = true
		case attempt.Mark:
			marks[act.Line] = 1
		}
	}
	if found {
		return p.retest(c, slices.Index(marks, 0))
	}
	r := newRoute(c)
	p.lab.home(r)
	k := p.chosen(standing)
	r.add(attempt.Find{Fault: p.finding(k)})
	return Advice{
		Actions: r.actions, Line: -1, Minutes: r.minutes(), Isolated: true, Repairs: []string{p.classes.repairs[k].String()},
		Text: "Put everything back and declare what you found: the new fuse was the repair.",
		Why:  "Everything that still agrees with what you have seen went with the old fuse.",
	}, nil
}

// finding is what is to be declared with a repair, in text form.
func (p *Planner) finding(repair int) string {
	f := p.r.entries[p.named(repair)].Fault
	if f.Kind != fault.WrongRating {
		f.Severity = 0
	}
	return f.String()
}

// repair advises to put back, to declare and to repair.
func (p *Planner) repair(c *attempt.Course, cover []int, isolated bool) (Advice, error) {
	rep := p.classes.repairs[cover[0]]
	r := newRoute(c)
	blown, err := p.blown(c, rep)
	if err != nil {
		return Advice{}, err
	}
	p.lab.home(r, blown...)
	if con := p.unchecked(rep); con != "" {
		r.add(attempt.Unplug{Connector: con})
		r.add(attempt.Inspect{Place: con})
		r.add(attempt.Plug{Connector: con})
	}
	r.add(attempt.Find{Fault: p.finding(cover[0])})
	r.add(attempt.Repair{Repair: rep.String()})
	for _, holder := range blown {
		p.lab.renew(r, holder)
	}
	a := Advice{Actions: r.actions, Line: -1, Minutes: r.minutes(), Isolated: isolated}
	for _, k := range cover {
		a.Repairs = append(a.Repairs, p.classes.repairs[k].String())
	}
	a.Text = "Put everything back, declare what you found, and repair it: " + lower(p.r.book.RepairTitle(rep)) + "."
	a.Why = "This one repair mends everything that still agrees with what you have seen."
	if !isolated {
		a.Why = "No test within reach tells apart what is left; this repair is for the likeliest of it."
	}
	return a, nil
}

// unchecked returns a connector of the component that a repair replaces when none of its connectors has been looked into: no part is
// condemned before its connector was.
func (p *Planner) unchecked(rep fault.Repair) string {
	id := rep.Component()
	if id == "" {
		return ""
	}
	first := ""
	for _, c := range p.ex.Harness.Connectors {
		if c.Component != id {
			continue
		}
		if c.Mount == harness.Holder {
			return ""
		}
		if first == "" {
			first = c.ID
		}
		for _, rec := range p.records {
			if act, ok := rec.Action.(attempt.Unplug); ok && act.Connector == c.ID && rec.Observation.Refused == "" {
				return ""
			}
		}
	}
	return first
}

// chosen returns the repair that mends all that stands: of several the one that is usual for most of it, of equals the quickest.
func (p *Planner) chosen(standing []int) int {
	best, most, least := -1, 0.0, 0.0
	for i, rep := range p.classes.repairs {
		if p.classes.covers(i, standing) < len(standing) {
			continue
		}
		usual := 0.0
		for k := range p.cells {
			if p.r.entries[p.cells[k].entry].Repair == rep {
				usual += p.cells[k].weight
			}
		}
		takes := attempt.NewCourse(p.ex.Harness, nil).Seconds(attempt.Repair{Repair: rep.String()})
		if best < 0 || usual > most || usual == most && takes < least {
			best, most, least = i, usual, takes
		}
	}
	return best
}

// named returns the likeliest standing entry whose usual repair is this one, or else the likeliest that it mends.
func (p *Planner) named(repair int) int {
	rep := p.classes.repairs[repair].String()
	weights := map[int]float64{}
	best := -1
	score := func(i int) float64 {
		if p.r.entries[i].Repair.String() == rep {
			return 1e6 + weights[i]
		}
		return weights[i]
	}
	for i := range p.cells {
		if c := &p.cells[i]; p.classes.mends[repair][c.entry] {
			weights[c.entry] += c.weight
		}
	}
	for _, i := range p.standing() {
		if _, ok := weights[i]; ok && (best < 0 || score(i) > score(best)) {
			best = i
		}
	}
	return best
}

// blown lists the holders whose fuse most of what is suspected has blown, so that a new one is needed with the repair.
func (p *Planner) blown(c *attempt.Course, rep fault.Repair) ([]string, error) {
	suspects, circuits, err := p.lab.suspects(p.r.entries, p.cells, mostCircuits)
	if err != nil {
		return nil, err
	}
	if err := p.lab.bring(circuits, p.records, nil); err != nil {
		return nil, err
	}
	fuses, err := p.lab.fuses(circuits)
	if err != nil {
		return nil, err
	}
	var out []string
	for k, con := range p.ex.Harness.Connectors {
		if con.Mount != harness.Holder || rep == fault.FitFuse(con.Component) {
			continue
		}
		yes, no := 0.0, 0.0
		for _, s := range suspects {
			if fuses[s.circuit][k].blown {
				yes += s.weight
			} else {
				no += s.weight
			}
		}
		if yes > no {
			out = append(out, con.ID)
		}
	}
	return out, nil
}

// rating is what the harness asks for in a holder, in amperes.
func (l *lab) rating(holder string) float64 {
	for _, c := range l.h.Connectors {
		if c.ID == holder {
			return rating(l.h, c.Component)
		}
	}
	return 0
}
