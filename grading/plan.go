package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

const (
	// mostCircuits bounds the circuits among which a test is sought; beyond it the unlikeliest candidates wait until others have
	// fallen.
	mostCircuits = 96
	// apart is how many tolerances two predictions must lie apart for a test to be chosen for it: two candidates that a reading
	// has left can lie twice the tolerance apart.
	apart = 2
	// leastBits is the gain below which a test is not worth doing.
	leastBits = 0.02
	// refineBits and refineMinutes are what a test must tell and may cost once the repair is known, to say more exactly what is wrong:
	// often that makes the repair quicker too.
	refineBits, refineMinutes = 0.2, 6
	// fewCircuits bounds the circuits of a search far afield.
	fewCircuits = 24
	// mostFutile is how many tests in a row may leave as much standing as before: then nothing tells the rest apart.
	mostFutile = 4
	// stillShare is the share of the weight from which a test counts as one that left all standing.
	stillShare = 0.995
	// unprovedShare is the share of the weight in candidates that agree only as a range up to which nothing is counted on of them.
	unprovedShare = 0.5
	// promising is in how many positions of the controls, of those that tell most with nothing more apart, a connector is thought
	// of being unplugged.
	promising = 3
)

// Advice is a good next thing to do, and why.
type Advice struct {
	Actions []attempt.Action `json:"-"`
	// Line is the line of the normal-operation check, counted from 0, to be marked by what is noticed after the actions; -1 for
	// none.
	Line int    `json:"line"`
	Text string `json:"text"` // what to do, in words
	Why  string `json:"why"`
	// Bits is the expected reduction of what is not known about the repair, and Minutes the bench time: that of the actions, and
	// half of what putting back will take.
	Bits     float64   `json:"bits"`
	Minutes  float64   `json:"minutes"`
	Outcomes []Outcome `json:"outcomes,omitempty"`
	// Isolated says that one repair mends all that is suspected, and Repairs which; where no test tells more apart, Repairs
	// are those that are left, likeliest first.
	Isolated bool     `json:"isolated"`
	Repairs  []string `json:"repairs,omitempty"`
}

// Outcome is one thing that a test may show.
type Outcome struct {
	Reading    string  `json:"reading"`    // "about 12.4 V", "the horn sounds"
	Share      float64 `json:"share"`      // how likely it is, 0 to 1
	WouldLeave int     `json:"wouldLeave"` // faults still suspected then
	Repairs    int     `json:"repairs"`    // repairs that one of them needs
}

// Planner finds the test that is worth most at each moment of an attempt, from what a perfect reasoner would still suspect. It
// never looks at the exercise's own faults. It is not safe for concurrent use.
type Planner struct {
	ex      attempt.Exercise
	r       *reasoner
	team    *team
	classes *classes
	lab     *lab
	records []attempt.Record
	cells   []mind // that stand after the records that have been weighed
	weighed int
	futile  int     // advised tests in a row after which as much stood as before
	stood   float64 // weight of what stood when the last test was advised, 0 when none was
}

// NewPlanner returns the planner of an attempt at an exercise. given are faults that are known to be there beside the one that is
// looked for. It returns an error for a harness that cannot be computed.
func NewPlanner(ex attempt.Exercise, given ...fault.Fault) (*Planner, error) {
	ex.Faults = nil
	r := newReasoner(&ex, given)
	model, err := attempt.NewModel(ex)
	if err != nil {
		return nil, fmt.Errorf("exercise %s: %w", ex.ID, err)
	}
	p := &Planner{ex: ex, r: r, classes: newClasses(r.book, r.entries)}
	if p.team, err = newTeam(r, ex); err != nil {
		return nil, fmt.Errorf("exercise %s: %w", ex.ID, err)
	}
	p.cells = p.team.minds()
	if p.lab, err = newLab(&p.ex, r.book, model, given); err != nil {
		return nil, fmt.Errorf("exercise %s: %w", ex.ID, err)
	}
	p.lab.aside = r.aside
	return p, nil
}

// Learn hands over the records of the attempt so far, those known already at the head. They are tried against the candidates when
// that is needed. The slice is not kept.
func (p *Planner) Learn(records []attempt.Record) { p.records = slices.Clone(records) }

// weigh drops the candidates that the records contradict.
func (p *Planner) weigh() error {
	if p.weighed == len(p.records) {
		return nil
	}
	if err := p.team.learn(p.records); err != nil {
		return fmt.Errorf("exercise %s: %w", p.ex.ID, err)
	}
	p.cells, p.weighed = p.team.minds(), len(p.records)
	return nil
}

// standing returns the entries of which a cell stands, in the order of the catalogue.
func (p *Planner) standing() []int {
	var out []int
	for i := range p.cells {
		if c := &p.cells[i]; c.fell < 0 && (len(out) == 0 || out[len(out)-1] != c.entry) {
			out = append(out, c.entry)
		}
	}
	return out
}

// Left returns how many faults of the catalogue are still suspected after all records, and the repairs that they need, likeliest
// first.
func (p *Planner) Left() (faults int, repairs []string, err error) {
	if err := p.weigh(); err != nil {
		return 0, nil, err
	}
	for _, k := range p.likeliest() {
		repairs = append(repairs, p.classes.repairs[k].String())
	}
	return len(p.standing()), repairs, nil
}

// likeliest returns the repairs that cover what stands, those with most weight first.
func (p *Planner) likeliest() []int {
	cover := p.classes.cover(p.standing())
	weights := map[int]float64{}
	for i := range p.cells {
		c := &p.cells[i]
		for _, k := range cover {
			if p.classes.mends[k][c.entry] {
				weights[k] += c.weight
				break
			}
		}
	}
	slices.SortStableFunc(cover, func(a, b int) int { return cmp.Compare(weights[b], weights[a]) })
	return cover
}

// Next returns what to do next: lines of the check while nothing is touched, then the test with the most expected information per
// minute, then, once one repair mends all that is suspected or nothing tells the rest apart, the repair, and the check again.
// It returns an error when no single fault agrees with all that was seen, and when a circuit cannot be computed.
func (p *Planner) Next() (Advice, error) {
	c := attempt.NewCourse(p.ex.Harness, p.records)
	line := -1
	failed := false
	for i := range p.ex.Harness.Check {
		if line < 0 && c.Mark(i) == 0 {
			line = i
		}
		failed = failed || c.Mark(i) < 0
	}
	switch {
	case c.Closed():
		return Advice{Line: -1, Text: "The job is closed."}, nil
	case c.Stage() == attempt.StageConfirm && line >= 0:
		return p.checkLine(c, line, "Before anything is touched, see for yourself what works and what does not.")
	case p.repaired() && !failed:
		p.stood, p.futile = 0, 0
		return p.retest(c, line)
	}
	return p.isolate(c)
}

// repaired reports whether the last thing done to the vehicle was a repair, with no test since but the check.
func (p *Planner) repaired() bool {
	for i := len(p.records) - 1; i >= 0; i-- {
		rec := p.records[i]
		if rec.Observation.Refused != "" {
			continue
		}
		switch act := rec.Action.(type) {
		case attempt.Repair:
			return true
		case attempt.Lead:
			if act.Point != "" {
				return false
			}
		case attempt.Inspect:
			if p.lab.rating(act.Place) == 0 { // a look at an old fuse comes before a new one
				return false
			}
		case attempt.OpenLoom, attempt.Find:
			return false
		}
	}
	return false
}

// checkLine advises a line of the normal-operation check.
func (p *Planner) checkLine(c *attempt.Course, line int, why string) (Advice, error) {
	r := newRoute(c)
	p.lab.clear(r)
	p.lab.turn(r, p.lab.lineStance(line).positions)
	if len(r.actions) == 0 {
		r.add(attempt.Wait{Seconds: 1}) // stand there and look
	}
	return Advice{
		Actions: r.actions, Line: line, Why: why, Minutes: r.minutes(),
		Text: fmt.Sprintf("Line %d of the normal-operation check: %s. Mark it by what you notice.", line+1, trimmed(p.ex.Harness.Check[line].Text)),
	}, nil
}

// lineStance is the stance that a line of the check asks for, with all mated.
func (l *lab) lineStance(line int) stance {
	s := stance{parted: make([]bool, len(l.h.Connectors)), opened: make([]bool, len(l.h.Splices))}
	for _, k := range l.h.Controls {
		want := k.Positions[0]
		for _, set := range l.h.Check[line].Set {
			if set.Control == k.ID {
				want = set.Position
			}
		}
		s.positions = append(s.positions, want)
	}
	return s
}

// retest advises what follows a repair.
func (p *Planner) retest(c *attempt.Course, line int) (Advice, error) {
	if line >= 0 {
		return p.checkLine(c, line, "The repair is proved only by the same check, with everything put back.")
	}
	r := newRoute(c)
	p.lab.home(r)
	r.add(attempt.Close{})
	return Advice{
		Actions: r.actions, Line: -1, Minutes: r.minutes(), Text: "Controls back to rest, and close the job.",
		Why: "Every line of the check passes.",
	}, nil
}

// isolate advises a test, or the repair when one is left.
func (p *Planner) isolate(c *attempt.Course) (Advice, error) {
	if err := p.weigh(); err != nil {
		return Advice{}, err
	}
	standing := p.standing()
	if len(standing) == 0 {
		return Advice{}, fmt.Errorf("exercise %s: no single fault of the catalogue agrees with all that was seen", p.ex.ID)
	}
	stood := p.stood
	p.stood = 0
	for i := range p.cells {
		p.stood += p.cells[i].weight
	}
	if p.stood < stood*stillShare || stood == 0 {
		p.futile = 0
	} else {
		p.futile++
	}
	if at := p.cured(standing); at >= 0 {
		return p.afterwards(c, at, standing)
	}
	cover := p.likeliest()
	if len(cover) == 1 {
		if a, err := p.refine(c); a != nil || err != nil {
			return *a, err
		}
		return p.repair(c, []int{p.chosen(standing)}, true)
	}
	best, err := p.best(c)
	if err != nil {
		return Advice{}, err
	}
	if best == nil {
		return p.repair(c, cover, false)
	}
	return *best, nil
}

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

// scaleOf weighs circuits and suspects over classes of entries.
func scaleOf(suspects []suspect, circuits []*circuit, class func(entry int) int, classes int) (byCircuit, bySuspect *scale) {
	items, single := make([][]portion, len(circuits)), make([][]portion, len(suspects))
	for i, s := range suspects {
		k := class(s.entry)
		single[i] = []portion{{k, s.weight}}
		at := slices.IndexFunc(items[s.circuit], func(q portion) bool { return q.class == k })
		if at < 0 {
			items[s.circuit] = append(items[s.circuit], portion{k, s.weight})
		} else {
			items[s.circuit][at].weight += s.weight
		}
	}
	return newScale(items, classes), newScale(single, classes)
}

// byCover classes entries by the repairs that cover what stands.
func (p *Planner) byCover() (class func(entry int) int, n int) {
	cover := p.likeliest()
	return func(entry int) int {
		return slices.IndexFunc(cover, func(k int) bool { return p.classes.mends[k][entry] })
	}, len(cover)
}

// byCause classes entries by what counts as the same finding.
func (p *Planner) byCause() (class func(entry int) int, n int) {
	var first []fault.Fault
	at := map[int]int{}
	for _, i := range p.standing() {
		f := p.r.entries[i].Fault
		k := slices.IndexFunc(first, func(g fault.Fault) bool { return p.r.book.SameCause(g, f) })
		if k < 0 {
			k = len(first)
			first = append(first, f)
		}
		at[i] = k
	}
	return func(entry int) int { return at[entry] }, len(first)
}

// option is a test with its worth.
type option struct {
	s       *setting
	m       int // index in the setting's menu, -1 for none
	place   int // index of the place to look at, -1 for none
	bits    float64
	minutes float64
}

// rate is a test's worth: its bits for what it costs.
func (o *option) rate() float64 { return o.bits / (o.minutes + thought) }

// thought is what a test costs in minutes beside its bench time, when tests are compared: it has to be chosen, its reading to be written down and
// understood, and who takes many small steps has more of them to go wrong. Without it the plan takes half as many tests again to save a minute in
// twenty.
const thought = 4.0

func (o *option) better(than *option) bool {
	if than == nil {
		return true
	}
	a, b := o.rate(), than.rate()
	return a > b*(1+1e-9)
}

// history is what has been measured and in which stances the attempt has been.
type history struct {
	stances  map[string]bool
	measures map[string]map[measure]bool
}

// past reads off the records what need not be done again since the last repair or fuse.
func (p *Planner) past() history {
	h := history{map[string]bool{}, map[string]map[measure]bool{}}
	c := attempt.NewCourse(p.ex.Harness, nil)
	p.lab.zeroed = false
	for _, rec := range p.records {
		c.Take(rec)
		switch rec.Action.(type) {
		case attempt.Zero:
			if rec.Observation.Refused == "" {
				p.lab.zeroed = c.Leads(meter.Clamp)[0] == ""
			}
		case attempt.Repair, attempt.FitFuse:
			if rec.Observation.Refused == "" {
				h = history{map[string]bool{}, map[string]map[measure]bool{}}
			}
		}
		at := p.lab.stanceOf(c)
		at.hand = handOf(rec)
		key := at.key()
		h.stances[key] = true
		if w := p.lab.wireAt(c.Leads(meter.Clamp)[0]); w != none {
			h.did(key, measure{meter.Amps, w, none})
		}
		p.took(&h, key, c, meter.Multimeter, c.Dial())
		p.took(&h, key, c, meter.TestLamp, meter.Off)
	}
	return h
}

// took notes what a tool with two ends has shown.
func (p *Planner) took(h *history, stance string, c *attempt.Course, tool meter.Tool, f meter.Function) {
	ends := c.Leads(tool)
	a, ok := p.lab.index[ends[0]]
	b, too := p.lab.index[ends[1]]
	if ok && too && (tool == meter.TestLamp) == (f == meter.Off) {
		h.did(stance, measure{f, a, b})
		h.did(stance, measure{f, b, a})
	}
}

func (h *history) did(stance string, m measure) {
	if h.measures[stance] == nil {
		h.measures[stance] = map[measure]bool{}
	}
	h.measures[stance][m] = true
}

// round2 is round to a hundredth.
func round2(x float64) float64 { return math.Round(100*x) / 100 }
