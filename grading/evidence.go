package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// Evidence is what a log proves about one fault: which faults a perfect reasoner would still suspect after each step, what
// each step was worth, and whether the repair was proved.
//
// The method is candidate elimination by simulation with a measure of information (de Kleer and Williams, "Diagnosing
// multiple faults", 1987; Shannon, "A mathematical theory of communication", 1948).
type Evidence struct {
	Needed float64        `json:"needed"` // bits from the whole catalogue to the repair of the true fault
	Steps  []StepEvidence `json:"steps"`

	r       *reasoner
	classes *classes
	records []attempt.Record
	truth   fault.Fault
	judged  map[int]Isolation // what IsolatedAt has found
}

// StepEvidence is what one step told.
type StepEvidence struct {
	Seq     int     `json:"seq"`
	Minutes float64 `json:"minutes"` // bench time at the end of the step
	Left    int     `json:"left"`    // faults still suspected after it
	Repairs int     `json:"repairs"` // repairs that one of them needs: 1 is isolated
	Gained  float64 `json:"gained"`  // bits towards the repair that the step was worth; below 0 when it made others likelier
	Total   float64 `json:"total"`   // bits gained so far; Needed once one repair is left
	Told    string  `json:"told"`    // the same in a sentence
}

// Suspect is a place that is still suspected, with its share of what is left.
type Suspect struct {
	Place  string  `json:"place"`
	Repair string  `json:"repair"` // text form
	Title  string  `json:"title"`  // the likeliest trouble there, for people
	Share  float64 `json:"share"`  // 0 to 1
	Faults int     `json:"faults"` // entries of the catalogue that stand there
}

// Weigh tries the whole catalogue of the exercise's harness against a log. target is the index of the fault that is looked
// for; the exercise's other faults are taken as given.
func Weigh(ex attempt.Exercise, records []attempt.Record, target int) (*Evidence, error) {
	if target < 0 || target >= len(ex.Faults) {
		return nil, fmt.Errorf("exercise %s: there is no fault number %d", ex.ID, target+1)
	}
	rest := slices.Delete(slices.Clone(ex.Faults), target, target+1)
	r := newReasoner(&ex, rest)
	t, err := newTeam(r, ex)
	if err == nil {
		t.keepFallen()
		err = t.decided(records)
	}
	if err != nil {
		return nil, fmt.Errorf("exercise %s: %w", ex.ID, err)
	}
	r.cells = t.all()
	e := &Evidence{r: r, classes: newClasses(r.book, r.entries), records: records, truth: ex.Faults[target]}
	e.count()
	return e, nil
}

// standing reports whether a cell is still suspected once the first n records are known.
func (c *cell) standing(n int) bool { return c.fell < 0 || c.fell >= n }

// weightAfter returns the weight of all cells that stand after n records.
func (e *Evidence) weightAfter(n int) float64 {
	all := 0.0
	for i := range e.r.cells {
		if c := &e.r.cells[i]; c.standing(n) {
			all += c.weight
		}
	}
	return all
}

// Suspects lists what is still suspected after the first n records, likeliest first.
func (e *Evidence) Suspects(n int) []Suspect {
	all := e.weightAfter(n)
	var out []Suspect
	where := map[string]int{}
	best := map[string]float64{}
	counted := map[int]bool{}
	for i := range e.r.cells {
		c := &e.r.cells[i]
		if !c.standing(n) {
			continue
		}
		entry := e.r.entries[c.entry]
		k, ok := where[entry.Fault.Place]
		if !ok {
			k = len(out)
			where[entry.Fault.Place] = k
			out = append(out, Suspect{Place: entry.Fault.Place, Repair: entry.Repair.String()})
		}
		out[k].Share += c.weight / all
		if !counted[c.entry] {
			counted[c.entry] = true
			out[k].Faults++
		}
		if c.weight > best[entry.Fault.Place] {
			best[entry.Fault.Place] = c.weight
			out[k].Title = entry.Title
		}
	}
	slices.SortStableFunc(out, func(a, b Suspect) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return strings.Compare(a.Place, b.Place)
	})
	return out
}

// standing returns the entries of which a cell stands after n records, in the order of the catalogue.
func (e *Evidence) standing(n int) []int {
	var out []int
	for i := range e.r.cells {
		c := &e.r.cells[i]
		if c.standing(n) && (len(out) == 0 || out[len(out)-1] != c.entry) {
			out = append(out, c.entry)
		}
	}
	return out
}

// open is how many bits are missing, after the first n records, to know the repair: minus the logarithm of the share that the
// repair of the true fault has in what stands (Shannon's self-information). Of several repairs that mend it, the one with the
// largest share counts.
func (e *Evidence) open(n int) float64 {
	all := e.weightAfter(n)
	best := 0.0
	for _, k := range e.classes.of(e.r.book, e.truth) {
		own := 0.0
		for i := range e.r.cells {
			if c := &e.r.cells[i]; c.standing(n) && e.classes.mends[k][c.entry] {
				own += c.weight
			}
		}
		best = max(best, own)
	}
	if !(best > 0) {
		return math.Inf(1)
	}
	return max(0, math.Log2(all/best))
}

// count fills in the steps.
func (e *Evidence) count() {
	e.Needed = hundredths(e.open(0))
	before, last := e.Needed, e.standing(0)
	had, repairs := len(last), len(e.classes.cover(last))
	for n := range e.records {
		rec := e.records[n]
		open, standing := hundredths(e.open(n+1)), e.standing(n+1)
		if !slices.Equal(standing, last) {
			last, repairs = standing, len(e.classes.cover(standing))
		}
		s := StepEvidence{
			Seq: rec.Seq, Minutes: round(float64(rec.Observation.Ticks) * attempt.Tick / wholeMinutes),
			Left: len(standing), Repairs: repairs, Gained: hundredths(before - open), Total: hundredths(e.Needed - open),
		}
		s.Told = e.told(n, had, s.Left, s.Repairs, s.Gained)
		e.Steps = append(e.Steps, s)
		before, had = open, s.Left
	}
}

// hundredths rounds bits to two digits, so that what is printed adds up; what is infinite (a true fault that was ruled out, which
// must not happen) counts as the most a catalogue can hold.
func hundredths(bits float64) float64 {
	const most = 64
	return math.Round(100*min(bits, most)) / 100
}

// told says what a step was worth, and what told it.
func (e *Evidence) told(n, had, left, repairs int, gained float64) string {
	refused := e.records[n].Observation.Refused != ""
	same := had == left && gained < 0.01
	switch {
	case refused && same:
		return "It could not be done, so it told nothing."
	case left == 0:
		return "No single fault of the catalogue agrees with all that was seen."
	case same:
		return e.nothing(n, repairs)
	case had == left:
		return e.teller(n) + " narrowed down how bad the trouble can be in each place."
	case repairs == 1 && had > left:
		return fmt.Sprintf("%s ruled out %s: one repair is left.", e.teller(n), count(had-left, "fault", "faults"))
	}
	return fmt.Sprintf("%s ruled out %s; %d are left.", e.teller(n), count(had-left, "fault", "faults"), left)
}

// teller is what a step's worth is owed to. With every step the vehicle is seen as well, first of all as it was found; a step that tries
// nothing, such as reading the hints, is not what told.
func (e *Evidence) teller(n int) string {
	switch {
	case e.records[n].Observation.Refused == "" && e.tries(n):
		return "It"
	case n == 0:
		return "What was seen of the vehicle as it was found"
	}
	return "What the vehicle showed meanwhile"
}

// tries reports whether a step can tell something by itself: it moves or changes something on the vehicle, lets it stand, looks at it, or
// has an instrument show something.
func (e *Evidence) tries(n int) bool {
	rec := e.records[n]
	switch rec.Action.(type) {
	case attempt.Mark, attempt.Study, attempt.Ask, attempt.Find, attempt.Close, attempt.ResetFuse:
		return false
	case attempt.Lead, attempt.Dial, attempt.Relative, attempt.Capture, attempt.Zero, attempt.Sweep:
		return len(rec.Observation.Displays) > 0
	}
	return true
}

// nothing says why a step told nothing.
func (e *Evidence) nothing(n, repairs int) string {
	switch e.records[n].Action.(type) {
	case attempt.Mark, attempt.Study, attempt.Find, attempt.Dial, attempt.Close, attempt.ResetFuse:
		return ""
	case attempt.Repair, attempt.FitFuse, attempt.Plug, attempt.CloseLoom, attempt.OpenLoom, attempt.Wait:
		return ""
	case attempt.Lead, attempt.Operate:
		if len(e.records[n].Observation.Displays) == 0 {
			return ""
		}
	}
	if repairs == 1 {
		return "The cause was proved already."
	}
	return "Every fault still suspected would have shown the same, so it told nothing."
}

// Isolation is how far the cause was proved when a finding or repair was made.
type Isolation struct {
	At      int      `json:"at"`      // records known
	Left    int      `json:"left"`    // faults still suspected
	Repairs []string `json:"repairs"` // repairs they need
	Share   float64  `json:"share"`   // bits gained of those needed, 1 when one class is left
	Alive   bool     `json:"alive"`   // the true fault is among what is left, as it must be
	Alike   bool     `json:"alike"`   // more than one repair is left, but no test tells them apart
}

// IsolatedAt judges what was known after the first n records. What it returns is not to be written to.
func (e *Evidence) IsolatedAt(n int) Isolation {
	if iso, known := e.judged[n]; known {
		return iso
	}
	if e.judged == nil {
		e.judged = map[int]Isolation{}
	}
	iso := e.isolatedAt(n)
	e.judged[n] = iso
	return iso
}

func (e *Evidence) isolatedAt(n int) Isolation {
	standing := e.standing(n)
	iso := Isolation{At: n, Left: len(standing)}
	for _, k := range e.classes.cover(standing) {
		iso.Repairs = append(iso.Repairs, e.classes.repairs[k].String())
	}
	truth := e.classes.of(e.r.book, e.truth)
	iso.Alive = slices.Contains(standing, e.entry(e.truth))
	switch {
	case len(standing) > 0 && e.classes.mendsAll(truth, standing):
		iso.Share = 1
	case iso.Alive && e.Alike(n):
		iso.Share, iso.Alike = 1, true
	case e.Needed > 0:
		iso.Share = min(1, max(0, 1-e.open(n)/e.Needed))
	}
	return iso
}

// Contradiction tells whether a finding had been ruled out by the first n records, by which record and how.
func (e *Evidence) Contradiction(f fault.Fault, n int) (seq int, why Margin, ruledOut bool) {
	last := -1
	found := false
	for i := range e.r.cells {
		c := &e.r.cells[i]
		own := e.r.entries[c.entry].Fault
		if own.Place != f.Place || own.Kind != f.Kind || own.Other != f.Other {
			continue
		}
		found = true
		if c.standing(n) {
			return 0, Margin{}, false
		}
		if c.fell > last {
			last, why = c.fell, c.why
		}
	}
	if !found || last < 0 {
		return 0, Margin{}, false
	}
	return e.records[last].Seq, why, true
}

// Fallen is one candidate that a step ruled out.
type Fallen struct {
	Seq    int    `json:"seq"`
	Fault  string `json:"fault"` // text form, without severity
	Title  string `json:"title"`
	From   string `json:"from,omitempty"` // its interval of severity, when only a part of it fell
	Margin Margin `json:"margin"`

	lo, hi float64
}

// follows reports whether g is the next interval of the same fault, contradicted in the same way.
func (f Fallen) follows(g Fallen) bool {
	return f.Seq == g.Seq && f.Fault == g.Fault && f.hi == g.lo && f.hi > f.lo && f.Margin == g.Margin
}

// Explain lists for every step which candidates it ruled out and by which margin, in the order of the catalogue.
func (e *Evidence) Explain() []Fallen {
	var out []Fallen
	for n := range e.records {
		for i := range e.r.cells {
			c := &e.r.cells[i]
			if c.fell != n {
				continue
			}
			entry := e.r.entries[c.entry]
			f := entry.Fault
			f.Severity = 0
			fell := Fallen{Seq: e.records[n].Seq, Fault: f.String(), Title: entry.Title, Margin: c.why}
			if c.lo < c.hi {
				fell.lo, fell.hi = c.lo, c.hi
			}
			if k := len(out) - 1; k >= 0 && out[k].follows(fell) {
				fell.lo = out[k].lo
				out = out[:k]
			}
			if fell.lo < fell.hi {
				fell.From = fmt.Sprintf("%.3g to %.3g %s", fell.lo, fell.hi, e.r.book.Unit(entry.Fault))
			}
			out = append(out, fell)
		}
	}
	return out
}
