package grading

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

const (
	// farTimes is how many tolerances predictions must lie apart in a search far afield: a reading could just tell.
	farTimes = 1.05
	// renewShare is the share of what is suspected that must have blown a fuse before a new one is thought of.
	renewShare = 0.2
	// mostCombined bounds the positions of all controls together that are gone through.
	mostCombined = 96
)

// search is one look for the best next test.
type search struct {
	p        *Planner
	course   *attempt.Course
	from     stance
	suspects []suspect
	circuits []*circuit
	scale    *scale // over circuits
	fine     *scale // over suspects
	past     history
	fuses    [][]fuseLook // as they are now, by circuit; nil until needed
	times    float64      // tolerances that predictions must lie apart
	dearest  float64      // minutes that a test may cost
	best     *option

	each func(o option) // is called with every test; then none is passed over because another is better. May be nil
}

// best returns the advice for the test with the most expected bits for what it costs, nil when no test tells anything.
func (p *Planner) best(c *attempt.Course) (*Advice, error) {
	class, n := p.byCover()
	if p.futile < 2 {
		s, err := p.newSearch(c, mostCircuits, class, n)
		if err != nil {
			return nil, err
		}
		if err := s.near(); err != nil {
			return nil, err
		}
		if s.best != nil {
			return s.advice(s.best)
		}
	}
	if p.futile >= mostFutile {
		return nil, nil
	}
	s, err := p.newSearch(c, fewCircuits, class, n)
	if err != nil {
		return nil, err
	}
	s.times = farTimes
	if err := s.far(); err != nil || s.best == nil {
		return nil, err
	}
	return s.advice(s.best)
}

// refine returns the advice for a quick test that tells more exactly what is wrong once one repair mends all that stands, nil when
// there is none.
func (p *Planner) refine(c *attempt.Course) (*Advice, error) {
	class, n := p.byCause()
	if n < 2 || p.futile > 0 {
		return nil, nil
	}
	s, err := p.newSearch(c, fewCircuits, class, n)
	if err != nil {
		return nil, err
	}
	s.dearest = refineMinutes
	if err := s.near(); err != nil || s.best == nil || s.best.bits < refineBits {
		return nil, err
	}
	return s.advice(s.best)
}

func (p *Planner) newSearch(c *attempt.Course, most int, class func(entry int) int, classes int) (*search, error) {
	s := &search{p: p, course: c, from: p.lab.stanceOf(c), past: p.past(), times: apart, dearest: math.Inf(1)}
	var err error
	if s.suspects, s.circuits, err = p.lab.suspects(p.r.entries, p.cells, most); err != nil {
		return nil, err
	}
	if err := p.lab.bring(s.circuits, p.records, p.quiet(c)); err != nil {
		return nil, err
	}
	s.doubt()
	s.scale, s.fine = scaleOf(s.suspects, s.circuits, class, classes)
	return s, nil
}

// doubt counts on nothing in circuits that agree with the log only as part of a range, unless most of what is suspected is such or tests
// chosen by them have told nothing.
func (s *search) doubt() {
	all, unproved := 0.0, 0.0
	for _, sus := range s.suspects {
		all += sus.weight
		if !s.circuits[sus.circuit].proved {
			unproved += sus.weight
		}
	}
	for _, c := range s.circuits {
		c.wild = !c.proved && (s.p.futile > 0 || unproved < unprovedShare*all)
	}
}

// quiet lists what ends the load that the meter itself may be.
func (p *Planner) quiet(c *attempt.Course) []attempt.Action {
	if c.Dial() != meter.Amps {
		return nil
	}
	return []attempt.Action{attempt.Dial{Function: meter.Off}}
}

// offer takes a test if it is the best so far.
func (s *search) offer(o option) {
	if s.each != nil {
		s.each(o)
	}
	if o.bits >= leastBits && o.minutes <= s.dearest && o.better(s.best) {
		s.best = &o
	}
}

// at makes the setting of a stance.
func (s *search) at(to stance) (*setting, error) {
	r, err := s.p.lab.way(s.course, to)
	if err != nil {
		return nil, err
	}
	return &setting{stance: to, plan: r, seen: s.past.stances[to.key()]}, nil
}

// ranked is a stance with the worth of the best test in it.
type ranked struct {
	to   stance
	rate float64
}

// near looks among the tests that are one step away: controls as in a line of the check or with one moved, and at most one
// connector more apart.
func (s *search) near() error {
	var first []ranked
	for _, to := range s.moves() {
		o, err := s.electric(to)
		if err != nil {
			return err
		}
		rate := 0.0
		if o != nil {
			rate = o.rate()
		}
		first = append(first, ranked{to, rate})
	}
	here := first[0]
	slices.SortStableFunc(first, func(a, b ranked) int {
		switch {
		case a.rate > b.rate:
			return -1
		case a.rate < b.rate:
			return 1
		}
		return 0
	})
	if err := s.sights(here.to, s.places(here.to)); err != nil {
		return err
	}
	for _, to := range s.openings() {
		if err := s.sights(to, s.opened(to)); err != nil {
			return err
		}
	}
	for _, parted := range s.partings() {
		to := s.from.clone()
		to.parted = parted
		if err := s.sights(to, s.uncovered(parted)); err != nil {
			return err
		}
		done := map[string]bool{}
		for k := 0; k < len(first) && k < promising; k++ {
			to := first[k].to.clone()
			to.parted = parted
			if done[to.key()] {
				continue
			}
			done[to.key()] = true
			if _, err := s.electric(to); err != nil {
				return err
			}
		}
	}
	if err := s.provocations(); err != nil {
		return err
	}
	return s.renewals(first[:min(len(first), promising)])
}

// renewals tries new fuses where the one in the holder may have blown: one that blows again tells of a short.
func (s *search) renewals(first []ranked) error {
	h := s.p.ex.Harness
	fuses, err := s.p.lab.fuses(s.circuits)
	if err != nil {
		return err
	}
	for k, c := range h.Connectors {
		all, blown := 0.0, 0.0
		for _, sus := range s.suspects {
			all += sus.weight
			if fuses[sus.circuit][k].blown {
				blown += sus.weight
			}
		}
		if c.Mount != harness.Holder || blown < renewShare*all {
			continue
		}
		var to []stance
		for i := range h.Check {
			at := s.from.clone()
			copy(at.positions, s.p.lab.lineStance(i).positions)
			to = append(to, at)
		}
		for _, f := range first {
			to = append(to, f.to.clone())
		}
		done := map[string]bool{}
		for _, at := range to {
			at.parted[k], at.fit = false, k+1
			if done[at.key()] {
				continue
			}
			done[at.key()] = true
			if _, err := s.electric(at); err != nil {
				return err
			}
		}
	}
	return nil
}

// moves lists the stances with nothing more or less apart, the present one first.
func (s *search) moves() []stance {
	h := s.p.ex.Harness
	out := []stance{s.from}
	known := map[string]bool{s.from.key(): true}
	add := func(to stance) {
		if !known[to.key()] {
			known[to.key()] = true
			out = append(out, to)
		}
	}
	for i := range h.Check {
		to := s.from.clone()
		copy(to.positions, s.p.lab.lineStance(i).positions)
		add(to)
	}
	for i, k := range h.Controls {
		for _, pos := range k.Positions {
			to := s.from.clone()
			to.positions[i] = pos
			add(to)
		}
	}
	return out
}

// partings lists what may be apart other than now: one connector more, all mated, or one connector alone. Only connectors at which a
// suspect lies are thought of.
func (s *search) partings() [][]bool {
	lies := s.touched()
	now := s.from.parted
	var out [][]bool
	add := func(parted []bool) {
		if slices.Equal(parted, now) || slices.ContainsFunc(out, func(o []bool) bool { return slices.Equal(o, parted) }) {
			return
		}
		out = append(out, parted)
	}
	mated := make([]bool, len(now))
	add(mated)
	for i := range now {
		if lies[i] && !now[i] {
			more := slices.Clone(now)
			more[i] = true
			add(more)
			alone := slices.Clone(mated)
			alone[i] = true
			add(alone)
		}
	}
	return out
}

// touched tells for each connector whether a suspect lies at it: in it, in its component, or in a wire that ends there.
func (s *search) touched() []bool {
	h := s.p.ex.Harness
	ends := map[string][2]harness.Point{}
	for i, e := range h.AllEnds() {
		ends[h.Wires[i].ID] = e
	}
	out := make([]bool, len(h.Connectors))
	mark := func(p harness.Point) {
		if i, ok := s.p.lab.index[p]; ok {
			if k := slices.IndexFunc(h.Connectors, func(c harness.Connector) bool { return c.ID == s.p.lab.infos[i].Connector }); k >= 0 {
				out[k] = true
			}
		}
	}
	for _, sus := range s.suspects {
		name := placeName(sus.fault.Place)
		for _, half := range [3]string{"", ".a", ".b"} {
			mark(harness.Point(name + half))
		}
		for _, w := range [2]string{name, sus.fault.Other} {
			if e, ok := ends[w]; ok {
				mark(e[0])
				mark(e[1])
			}
		}
		for k, c := range h.Connectors {
			out[k] = out[k] || c.Component != "" && c.Component == name
		}
	}
	return out
}

// electric tries all readings in a stance. It returns the best test there, nil if none tells anything.
func (s *search) electric(to stance) (*option, error) {
	l := s.p.lab
	set, err := s.at(to)
	if err != nil {
		return nil, err
	}
	if s.hopeless(set.plan.minutes(), s.scale) {
		return nil, nil
	}
	reach, err := l.reach(to)
	if err != nil {
		return nil, err
	}
	if to.hand == nil { // leads are placed with both hands
		if set.menu, err = l.menu(to); err != nil {
			return nil, err
		}
	}
	prices := l.prices(set, reach)
	done := s.past.measures[to.key()]
	minutes := make([]float64, len(set.menu))
	set.wanted = make([]bool, len(set.menu))
	some := !set.seen
	for i, m := range set.menu {
		minutes[i] = set.plan.minutes() + l.price(set, prices, m)/wholeMinutes
		set.wanted[i] = !done[m] && !s.hopeless(minutes[i], s.scale)
		some = some || set.wanted[i]
	}
	if !some {
		return nil, nil
	}
	if err := l.foresee(set, s.circuits); err != nil {
		return nil, err
	}
	key := set.words
	if set.seen {
		key = make([]int, len(set.words))
		for i, w := range set.words {
			key[i] = min(w, 0)
		}
	}
	var here *option
	offer := func(o option) {
		s.offer(o)
		if o.bits >= leastBits && o.better(here) {
			here = &o
		}
	}
	base := 0.0
	if !set.seen {
		base = s.scale.gain(key, nil, nil)
		offer(option{s: set, m: -1, place: -1, bits: base, minutes: set.plan.minutes()})
	}
	for i, m := range set.menu {
		if set.values[i] == nil || s.hopeless(minutes[i], s.scale) {
			continue
		}
		apart := func(v float64) float64 { return m.sep(v, s.times) }
		offer(option{s: set, m: i, place: -1, bits: s.scale.gain(key, set.values[i], apart), minutes: minutes[i]})
	}
	return here, nil
}

// look fills in what looking at places in a setting would show.
func (s *search) look(set *setting, places []string) (err error) {
	if s.fuses == nil {
		if s.fuses, err = s.p.lab.fuses(s.circuits); err != nil {
			return err
		}
	}
	s.p.lab.lookAt(set, s.suspects, s.fuses, places)
	return nil
}

// hopeless reports whether a test may not take so many minutes, or even certainty would not be worth them, for there is a better test.
// What takes more apart, or turns more, takes longer yet.
func (s *search) hopeless(minutes float64, scale *scale) bool {
	return s.each == nil && (minutes > s.dearest || s.best != nil && scale.whole < s.best.rate()*(minutes+thought))
}

// sights tries looking at places in a stance.
func (s *search) sights(to stance, places []string) error {
	if len(places) == 0 {
		return nil
	}
	set, err := s.at(to)
	if err != nil || s.hopeless(set.plan.minutes(), s.fine) {
		return err
	}
	if err := s.look(set, places); err != nil {
		return err
	}
	for i, place := range places {
		minutes := set.plan.minutes() + set.plan.course.Seconds(attempt.Inspect{Place: place})/wholeMinutes
		s.offer(option{s: set, m: -1, place: i, bits: s.fine.gain(set.sights[i], nil, nil), minutes: minutes})
	}
	return nil
}

// places lists what can be looked at as it is.
func (s *search) places(at stance) []string {
	h := s.p.ex.Harness
	var out []string
	lies := s.touched()
	for i, c := range h.Connectors {
		if lies[i] || at.parted[i] {
			out = append(out, c.ID)
		}
	}
	for i, sp := range h.Splices {
		if at.opened[i] {
			out = append(out, sp.ID)
		}
	}
	for _, info := range s.p.lab.infos {
		if info.Kind == harness.GroundStud || info.Kind == harness.PostStud {
			out = append(out, string(info.Point))
		}
	}
	for _, w := range h.Wires {
		if slices.ContainsFunc(s.suspects, func(sus suspect) bool { return onWire(sus.fault, w.ID) }) {
			out = append(out, "wire "+w.ID)
		}
	}
	return out
}

func onWire(f fault.Fault, wire string) bool {
	return f.Place == "wire "+wire || f.Kind.BetweenWires() && f.Other == wire
}

// openings lists the stances with the loom open at one splice in which a suspect lies.
func (s *search) openings() []stance {
	var out []stance
	for i, sp := range s.p.ex.Harness.Splices {
		if s.from.opened[i] || !slices.ContainsFunc(s.suspects, func(sus suspect) bool {
			splice, _, _ := strings.Cut(placeName(sus.fault.Place), " ")
			return splice == sp.ID
		}) {
			continue
		}
		to := s.from.clone()
		to.opened[i] = true
		out = append(out, to)
	}
	return out
}

// opened lists the splices that are open there and not now.
func (s *search) opened(to stance) []string {
	var out []string
	for i, sp := range s.p.ex.Harness.Splices {
		if to.opened[i] && !s.from.opened[i] {
			out = append(out, sp.ID)
		}
	}
	return out
}

// uncovered lists the connectors that are apart there and not now.
func (s *search) uncovered(parted []bool) []string {
	var out []string
	for i, c := range s.p.ex.Harness.Connectors {
		if parted[i] && !s.from.parted[i] {
			out = append(out, c.ID)
		}
	}
	return out
}

// far looks further where nothing near tells the rest apart, and asks of a reading no more than that it could tell. It ends with the
// first tier in which something tells.
func (s *search) far() error {
	for _, t := range s.tiers() {
		for _, a := range t.apart {
			if err := s.sights(a, s.places(a)); err != nil {
				return err
			}
			for _, to := range t.turnings(a) {
				if _, err := s.electric(to); err != nil {
					return err
				}
			}
		}
		if s.best != nil {
			return nil
		}
	}
	return nil
}

// tier is some stances at about the same distance: what is apart, each with controls turned.
type tier struct{ apart, turned []stance }

// turnings lists the stances of a tier with one thing apart.
func (t tier) turnings(a stance) []stance {
	out := make([]stance, len(t.turned))
	for i, turned := range t.turned {
		out[i] = a.clone()
		out[i].positions = turned.positions
	}
	return out
}

// tiers lists every stance that counts as within reach: every position of the controls, then with each connector apart, then with the
// loom open at a splice, then with two connectors apart.
func (s *search) tiers() []tier {
	h := s.p.ex.Harness
	everywhere, lines := s.everywhere(), s.moves()
	var one, two, open []stance
	for i := range h.Connectors {
		if s.from.parted[i] {
			continue
		}
		a := s.from.clone()
		a.parted[i] = true
		one = append(one, a)
		alone := s.from.clone()
		clear(alone.parted)
		alone.parted[i] = true
		one = append(one, alone)
		for k := range i {
			b := alone.clone()
			b.parted[k] = true
			two = append(two, b)
		}
	}
	for i := range h.Splices {
		a := s.from.clone()
		a.opened[i] = true
		open = append(open, a)
	}
	return []tier{{[]stance{s.from}, everywhere}, {one, everywhere}, {open, lines}, {two, lines}}
}

// everywhere lists all positions of the controls, or those of moves where they are too many.
func (s *search) everywhere() []stance {
	out := []stance{s.from}
	for i, k := range s.p.ex.Harness.Controls {
		for _, at := range out {
			for _, pos := range k.Positions {
				if pos == at.positions[i] {
					continue
				}
				to := at.clone()
				to.positions[i] = pos
				out = append(out, to)
			}
		}
		if len(out) > mostCombined {
			return s.moves()
		}
	}
	return out
}
