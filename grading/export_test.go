package grading

import (
	"fmt"

	"faultloom/sim/attempt"
)

// Worth is the gain in bits and the cost in minutes of a test.
type Worth struct{ Bits, Minutes float64 }

// BothWays returns the worth of the best next test, found as Next finds it and with no test passed over; 0 where nothing near tells.
func (p *Planner) BothWays() (pruned, full Worth, err error) {
	if err := p.weigh(); err != nil {
		return pruned, full, err
	}
	c := attempt.NewCourse(p.ex.Harness, p.records)
	class, n := p.byCover()
	for i, w := range [2]*Worth{&pruned, &full} {
		s, err := p.newSearch(c, mostCircuits, class, n)
		if err != nil {
			return pruned, full, err
		}
		if i == 1 {
			s.each = func(option) {}
		}
		if err := s.near(); err != nil {
			return pruned, full, err
		}
		if s.best != nil {
			*w = Worth{s.best.bits, s.best.minutes}
		}
	}
	return pruned, full, nil
}

// CellsBy returns a text for each cell of an exercise's catalogue, as a team of n members has judged it by a log.
func CellsBy(n int, ex attempt.Exercise, records []attempt.Record) ([]string, error) {
	t, err := teamOf(n, newReasoner(&ex, ex.Faults[1:]), ex)
	if err != nil {
		return nil, err
	}
	t.keepFallen()
	if err := t.decided(records); err != nil {
		return nil, err
	}
	var out []string
	for _, c := range t.all() {
		out = append(out, fmt.Sprintf("%+v", c))
	}
	return out, nil
}
