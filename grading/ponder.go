package grading

import (
	"math"

	"faultloom/sim/attempt"
)

// A trainee may ask for the next test at any moment, and it takes a while to find. So it is looked for when nobody asks.

// pondering is advice that nobody has asked for yet.
type pondering struct {
	records int // after how many it was found
	before  sum
	after   sum // of the planner, once the advice is given
	advice  Advice
}

// sum is what advice depends on beside the records, and what of it changes when it is given.
type sum struct {
	futile int
	stood  float64
	cells  int
	weight float64
}

func (p *Planner) sum() sum {
	s := sum{p.futile, p.stood, len(p.cells), 0}
	for i := range p.cells {
		s.weight += p.cells[i].weight
	}
	return s
}

// Ponder finds what Next will return, so that it is there at once as long as nothing but asking is done before. It changes no answer. The error is
// that of Next.
func (p *Planner) Ponder() error {
	if err := p.weigh(); err != nil || p.ponders() {
		return err
	}
	x := &pondering{records: len(p.records), before: p.sum()}
	advice, err := p.Next()
	if err != nil {
		return err
	}
	x.advice, x.after = advice, p.sum()
	p.futile, p.stood = x.before.futile, x.before.stood
	p.pondered = x
	return nil
}

// ponders reports whether the advice for now has been found: nothing has been done since but asking, and it has told nothing.
func (p *Planner) ponders() bool {
	x := p.pondered
	if x == nil || len(p.records) < x.records || math.IsNaN(x.before.weight) || x.before != p.sum() {
		return false
	}
	for _, rec := range p.records[x.records:] {
		if _, asks := rec.Action.(attempt.Ask); !asks {
			return false
		}
	}
	return true
}

// take gives the advice that was found.
func (x *pondering) take(p *Planner) (Advice, error) {
	p.futile, p.stood, p.pondered = x.after.futile, x.after.stood, nil
	return x.advice, nil
}
