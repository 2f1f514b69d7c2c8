package grading

import "faultloom/sim/attempt"

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
