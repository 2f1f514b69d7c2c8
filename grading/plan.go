package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

const (
	// mostCircuits bounds the circuits among which a test is sought; beyond it the unlikeliest candidates wait until others have
	// fallen.
	mostCircuits = 256
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

	pondered *pondering // nil while there is none
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

// relearn is Learn with records that show something else than those known already, or of which others are left aside; the same was done in them.
func (p *Planner) relearn(records []attempt.Record) {
	p.Learn(records)
	p.team.anew(p.records[:p.weighed])
	p.weighed, p.futile, p.stood, p.pondered = 0, 0, 0, nil
}

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
	if p.ponders() {
		return p.pondered.take(p)
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

// round2 is round to a hundredth.
func round2(x float64) float64 { return math.Round(100*x) / 100 }
