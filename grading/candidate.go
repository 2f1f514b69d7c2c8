package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// How intervals of severity are cut.
const (
	// firstCut is the widest ratio of an interval's ends at the start.
	firstCut = 10
	// cutSlack is how far an interval may reach beyond a power of firstCut without being cut there, as a share.
	cutSlack = 1e-3
	// lastCut is the ratio below which an interval is not cut further: joints of 1.0 and 1.2 ohm are the same trouble.
	lastCut = 1.2
	// mostCells bounds the cells of one entry, so that a long attempt ends.
	mostCells = 64
)

// cell is a candidate: an entry of the catalogue with an interval of severity (lo = hi where it has none).
type cell struct {
	entry  int
	lo, hi float64
	weight float64 // likelihood of the entry times its share of the entry's interval, evenly over its logarithm
	sure   bool    // both ends agree by themselves with all records, so cutting tells nothing
	fell   int     // index of the record that contradicts it, -1 while none does
	why    Margin
	exact  bool // it is driven through time, for something contradicted it from one steady state to the next
}

// reasoner holds what is needed to try candidates against a log.
type reasoner struct {
	ex      *attempt.Exercise
	book    *fault.Book
	entries []fault.Entry
	model   *attempt.Model // see trial
	// rest are the faults that are taken as given beside a candidate (the other fault of a two-fault exercise).
	rest  []fault.Fault
	cells []cell
	aside map[int]bool // records that are left aside: nothing that they show is held against a candidate
}

// newReasoner makes the cells of a harness's whole catalogue, none contradicted yet.
func newReasoner(ex *attempt.Exercise, rest []fault.Fault) *reasoner {
	r := &reasoner{ex: ex, book: fault.NewBook(ex.Harness), rest: rest, aside: map[int]bool{}}
	r.entries = beside(r.book.Catalogue(), rest)
	for i, e := range r.entries {
		// A part that is known to be bad is not suspected of being bad in another way.
		own := func(f fault.Fault) bool { return f.Place == e.Fault.Place && strings.HasPrefix(f.Place, "component ") }
		if !slices.ContainsFunc(rest, own) {
			r.cells = append(r.cells, cut(i, e)...)
		}
	}
	return r
}

// beside leaves out what cannot be there together with the faults taken as given: a part has one defect at a time.
func beside(entries []fault.Entry, given []fault.Fault) []fault.Entry {
	return slices.DeleteFunc(entries, func(e fault.Entry) bool {
		return strings.HasPrefix(e.Fault.Place, "component ") &&
			slices.ContainsFunc(given, func(f fault.Fault) bool { return f.Place == e.Fault.Place })
	})
}

// cut makes the first cells of an entry.
func cut(i int, e fault.Entry) []cell {
	if !(e.High > e.Low && e.Low > 0) {
		return []cell{{entry: i, lo: e.Fault.Severity, hi: e.Fault.Severity, weight: e.Likelihood, fell: -1}}
	}
	// All entries are cut at the same values, so that those that lie in one series circuit have cells with the same ends.
	var cells []cell
	for lo := e.Low; lo < e.High; {
		hi := math.Pow(firstCut, math.Floor(math.Log(lo)/math.Log(firstCut)+cutSlack)+1)
		if hi > e.High*(1-cutSlack) {
			hi = e.High
		}
		share := math.Log(hi/lo) / math.Log(e.High/e.Low)
		cells = append(cells, cell{entry: i, lo: lo, hi: hi, weight: e.Likelihood * share, fell: -1})
		lo = hi
	}
	return cells
}

// amidst returns where a cell is cut, in the middle half of it by its logarithm: at a whole power of firstCut, else at half of one, at a quarter and so
// on. So entries with other bounds, in one series circuit, come to have cells with the same ends.
func amidst(lo, hi float64) float64 {
	least, most := math.Log(lo)/math.Log(firstCut), math.Log(hi)/math.Log(firstCut)
	from, to := least+(most-least)/4, most-(most-least)/4
	for parts := 1.0; ; parts *= 2 {
		if k := math.Ceil(from * parts); k <= to*parts {
			return math.Pow(firstCut, k/parts)
		}
	}
}

// with returns the entry's fault at a severity, and what is taken as given.
func (r *reasoner) with(entry int, severity float64) []fault.Fault {
	f := r.entries[entry].Fault
	f.Severity = severity
	return append([]fault.Fault{f}, r.rest...)
}

// trial returns the reasoner's own model, going from one steady state to the next. Whoever asks for it supposes anew.
func (r *reasoner) trial() (*attempt.Model, error) {
	if r.model == nil {
		var err error
		if r.model, err = attempt.NewModel(*r.ex); err != nil {
			return nil, err
		}
	}
	return r.model, nil
}

func (r *reasoner) named(c *cell, err error) error {
	f := r.entries[c.entry].Fault
	f.Severity = c.lo
	return fmt.Errorf("candidate %q: %w", r.book.Text(f), err)
}
