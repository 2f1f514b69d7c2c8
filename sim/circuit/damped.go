package circuit

import "math"

// The damped iteration. The operating point of a network of monotone branches is where its content, the sum over branches of
// the integral of current over voltage (Millar, 1951), is least; the content is convex, so Newton's direction goes down
// and a search along it for the lowest point converges from anywhere. It needs only currents: along a direction d the content
// has the slope Σ i(v + t·d)·d, which grows with t.

const (
	// dampedLimit is eight times what the hardest random networks in the tests have taken.
	dampedLimit = 400
	// searchLimit halves an interval until it is below rounding.
	searchLimit = 60
	// slopeShare is how much of the slope a step may leave; a half is usual and makes the search short.
	slopeShare = 0.5
)

// damping is the scratch of the damped iteration.
type damping struct{ from, step []float64 } // by Node

func (s *Solver) damped() error {
	if s.damp == nil {
		s.damp = &damping{make([]float64, len(s.volts)), make([]float64, len(s.volts))}
	}
	from, step := s.damp.from, s.damp.step
	clear(from)
	if err := s.linearisedAt(from); err != nil {
		return err
	}
	for n := 0; n < dampedLimit; n++ {
		s.iterations++
		s.linearSolve()
		s.back(s.form.fixedRuns, s.volts)
		for i := range step {
			step[i] = s.volts[i] - from[i]
		}
		if s.converged() {
			return nil
		}
		t := s.search(from, step)
		for i := range from {
			from[i] += float64(t * step[i])
		}
		if err := s.linearisedAt(from); err != nil {
			return err
		}
	}
	return s.notConverged()
}

// linearisedAt linearises every curve exactly at the voltages v.
func (s *Solver) linearisedAt(v []float64) error {
	for k := range s.crv {
		if err := s.linearise(k, v[s.crv[k].a]-v[s.crv[k].b]); err != nil {
			return err
		}
	}
	return nil
}

// converged reports whether every law agrees with its linearisation at the voltages found.
func (s *Solver) converged() bool {
	done := true
	for k := range s.crv {
		c := &s.crv[k]
		next := s.volts[c.a] - s.volts[c.b]
		c.amps = c.i + float64(c.g*(next-c.x))
		if math.Abs(next-c.x) <= stillVolts {
			continue
		}
		i, _ := c.law.At(next)
		if !(math.Abs(i-c.amps) <= float64(s.tolerance*math.Abs(i))+currentFloor) {
			done = false
		}
	}
	return done
}

// search returns how far along step the content is about lowest, at most 1.
func (s *Solver) search(from, step []float64) float64 {
	fixed, rising := s.linearSlope(from, step)
	start := s.slope(from, step, 0, fixed, rising)
	lo, hi, t := 0.0, 1.0, 1.0
	for range searchLimit {
		at := s.slope(from, step, t, fixed, rising)
		switch {
		case math.Abs(at) <= slopeShare*math.Abs(start):
			return t
		case at < 0:
			lo = t
		default: // also when a law has gone out of all bounds there
			hi = t
		}
		if lo == 1 {
			return 1
		}
		t = (lo + hi) / 2
	}
	return t
}

// linearSlope returns the slope of the content of the linear branches and the leakage along step, at from and per unit of step.
func (s *Solver) linearSlope(from, step []float64) (fixed, rising float64) {
	for i := range s.lin {
		l := &s.lin[i]
		d := step[l.a] - step[l.b]
		fixed += d * (float64(l.g*(from[l.a]-from[l.b])) - l.j)
		rising += l.g * float64(d*d)
	}
	for i := range s.str {
		c := &s.str[i]
		d := step[c.a] - step[c.b]
		fixed += d * (float64(c.g*(from[c.a]-from[c.b])) - c.j)
		rising += c.g * float64(d*d)
	}
	for n := 1; n < len(from); n++ {
		fixed += LeakSiemens * float64(from[n]*step[n])
		rising += LeakSiemens * float64(step[n]*step[n])
	}
	return fixed, rising
}

// slope returns the slope of the content along step at from + t·step.
func (s *Solver) slope(from, step []float64, t, fixed, rising float64) float64 {
	sum := fixed + float64(t*rising)
	for k := range s.crv {
		c := &s.crv[k]
		d := step[c.a] - step[c.b]
		if d == 0 {
			continue
		}
		i, _ := c.law.At(from[c.a] - from[c.b] + float64(t*d))
		sum += d * i
	}
	return sum
}

// notConverged returns the error that names the curve that is farthest from its law.
func (s *Solver) notConverged() error {
	e := &ConvergenceError{Iterations: s.iterations, Branch: -1}
	worst := -1.0
	for k := range s.crv {
		c := &s.crv[k]
		v := s.volts[c.a] - s.volts[c.b]
		i, _ := c.law.At(v)
		off := math.Abs(i - c.amps)
		if share := off / (float64(s.tolerance*math.Abs(i)) + currentFloor); share > worst || math.IsNaN(share) {
			worst = share
			id := s.sym.curves[k]
			e.Branch, e.Name, e.Excess, e.Volts = id, s.sym.net.BranchName(id), off, v
			e.Between = s.sym.net.NodeName(Node(c.a)) + " and " + s.sym.net.NodeName(Node(c.b))
		}
	}
	s.Cold()
	return e
}
