package circuit

import (
	"fmt"
	"math"
)

// Tolerances of Newton's method. A Curve is at its solution when the current of its linearisation and that of its law
// differ by less than currentTolerance of that current (in motion stepTolerance) plus currentFloor.
const (
	// currentTolerance leaves a digit to the 1e-9 to which solutions are compared with another simulator. Newton's method
	// squares the error in each iteration, so what is left is mostly far less.
	currentTolerance = 1e-10
	// stepTolerance is a thousandth of what the length of a step leaves at best.
	stepTolerance = 1e-9
	// currentFloor is a millionth of what LeakSiemens passes at 1 V, so that even on a node that hangs on nothing but
	// leakage it is worth a microvolt.
	currentFloor = 1e-18
	// stillVolts is a change of voltage over which a law is taken as straight. A law whose slope grows by a factor e within
	// 1 mV, twenty-five times as steep as a junction, departs by 5e-13 of its current over it.
	stillVolts = 1e-9
	// When the end of a move of at most parabolaVolts showed that the linearisation was off by a small share of the current,
	// bendShare, the law is near enough to a parabola there that a shorter move, of at most lookVolts, is off by less in the
	// square of both lengths, and need not be looked at. bendMargin allows for a curvature that changes on the way. The two
	// lengths are a few times, and a fraction of, the scale on which junctions (25 mV) and cold filaments bend; a law may
	// be straight for ten volts and bend then.
	parabolaVolts, lookVolts, bendShare, bendMargin = 0.1, 1e-3, 0.1, 16
	// newtonLimit is twice what has been seen to be needed, cold, by circuits made up mostly of junctions, and four times what
	// harnesses need. What takes longer goes to the damped iteration.
	newtonLimit = 60
	// pullBack is how often a step is halved on the way to a voltage at which a law is finite: a factor of 1e30.
	pullBack = 100
	// maxSlope is the conductance of MinOhms; a law that is steeper is taken as that steep.
	maxSlope = 1 / MinOhms
)

// curve is a Curve with its linearisation: i + g·(v-x) at x volts.
type curve struct {
	law     Law
	a, b    int32
	stale   bool    // law has changed since i and g were found
	kinked  bool    // law is Kinked
	sign    float64 // of place
	x, i, g float64

	stampG, stampJ float64 // as they stand in the last elimination

	// What the last moves to x showed: how far from x the law is a parabola, in volts, and its bend in amperes per square
	// volt, with a margin.
	span, bend float64

	v, before float64 // volts at the ends of the last step in time and the one before

	amps float64 // in the last solution
}

// Cold forgets the warm start: the next Solve begins as if the circuit had just been compiled, each law at its seed.
func (s *Solver) Cold() {
	for i := range s.crv {
		c := &s.crv[i]
		c.x, c.stale, s.stale = 0, true, true
		if seeded, ok := c.law.(Seeded); ok {
			if x := seeded.Seed(); !math.IsNaN(x) && !math.IsInf(x, 0) {
				c.x = x
			}
		}
	}
	s.solved = false
}

// Start makes the next Solve begin from v, the voltages of all nodes indexed by Node (v[Ground] and what is no number is taken as
// 0). It panics if v has another length than Nodes.
func (s *Solver) Start(v []float64) {
	if len(v) != len(s.volts) {
		panic("circuit: Start needs a voltage for every node")
	}
	copy(s.volts, v)
	for i, x := range s.volts {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			s.volts[i] = 0
		}
	}
	s.volts[Ground] = 0
	for i := range s.crv {
		c := &s.crv[i]
		c.x, c.stale, s.stale = s.volts[c.a]-s.volts[c.b], true, true
	}
	s.solved, s.behind = false, false
}

// Solve finds the operating point for the present values, starting from the last one: what the circuit comes to when nothing
// moves any more, capacitors charged and inductors carrying what they then carry. It returns a *ValueError when a branch was
// given a value it cannot have or its law yields one, and a *ConvergenceError when no operating point was found. After an
// error the voltages are no solution. It does not allocate, unless Newton's method with the laws' own limiting fails
// and the damped iteration is needed for the first time.
func (s *Solver) Solve() error {
	if len(s.bad) > 0 {
		return s.bad[0]
	}
	if s.Stands() {
		return nil
	}
	s.solved = false
	s.refresh()
	if err := s.evaluateStale(); err != nil {
		return err
	}
	s.rest()
	s.iterations, s.tolerance = 0, currentTolerance
	if err := s.operate(); err != nil {
		return err
	}
	s.settle()
	s.solved, s.behind, s.moving = true, true, false
	s.jump, s.rough, s.smooth = false, 0, 0
	return nil
}

// Stands reports whether the last solution is the operating point for the present values, so that Solve has nothing to do.
func (s *Solver) Stands() bool { return len(s.bad) == 0 && s.solved && !s.moving }

// operate finds the voltages of the live columns.
func (s *Solver) operate() error {
	for range newtonLimit {
		s.iterations++
		s.linearSolve()
		done, err := s.relinearise()
		if done || err != nil {
			return err
		}
	}
	return s.damped()
}

// relinearise compares each law with its linearisation at the voltages found and linearises anew. It reports whether all
// agree. It is look in place, for this is where most of the time goes in circuits of many laws.
func (s *Solver) relinearise() (bool, error) {
	done, tolerance, volts, moved := true, s.tolerance, s.volts, int32(0)
	for k := range s.crv {
		c := &s.crv[k]
		next := volts[c.a] - volts[c.b]
		d := next - c.x
		told := c.i + float64(c.g*d)
		c.amps = told
		if move := math.Abs(d); move <= stillVolts || c.straight(move, tolerance) {
			continue
		}
		at := c.law.Limit(next, c.x)
		if at != next {
			done = false
			d = at - c.x
			told = c.i + float64(c.g*d)
		}
		i, g := c.law.At(at)
		size := math.Abs(i)
		if !(size <= maxValue && g >= 0 && g <= maxSlope) {
			agrees, err := s.look(k, at)
			if err != nil {
				return false, err
			}
			done = done && agrees
			continue
		}
		moved++
		off := math.Abs(i - told)
		c.learn(d, off, size)
		c.x, c.i, c.g = at, i, g
		done = done && off <= float64(tolerance*size)+currentFloor
	}
	s.moved += moved
	s.unstamped = s.unstamped || moved > 0
	return done, nil
}

// straight reports whether the law can be told to agree with its linearisation over a move in volts without looking.
func (c *curve) straight(move, tolerance float64) bool {
	return move <= lookVolts && move <= c.span && c.bend*float64(move*move) <= float64(tolerance*math.Abs(c.i))+currentFloor
}

// look linearises a law at another voltage, and reports whether the linearisation it had was right there.
func (s *Solver) look(k int, at float64) (agrees bool, err error) {
	c := &s.crv[k]
	i, g := c.law.At(at)
	size := math.Abs(i)
	if !(size <= maxValue && g >= 0 && g <= maxValue) {
		return false, s.linearise(k, at)
	}
	s.unstamped = true
	s.moved++
	d := at - c.x
	off := math.Abs(i - (c.i + float64(c.g*d)))
	c.learn(d, off, size)
	c.x, c.i, c.g = at, i, min(g, maxSlope)
	return off <= float64(s.tolerance*size)+currentFloor, nil
}

// learn takes note of what a move of d volts showed: that the linearisation was off by so many amperes of size.
func (c *curve) learn(d, off, size float64) {
	move := math.Abs(d)
	if c.kinked || !(move <= parabolaVolts && off <= bendShare*size) {
		c.span = 0
		return
	}
	bend := bendMargin * off / (d * d)
	if 4*move < c.span { // what the moves before said holds for what is left of their span
		move, bend = c.span-move, max(bend, c.bend)
	}
	c.span, c.bend = move, bend
}

// evaluateStale linearises the laws that have changed, where they stand.
func (s *Solver) evaluateStale() error {
	if !s.stale {
		return nil
	}
	for k := range s.crv {
		c := &s.crv[k]
		if !c.stale {
			continue
		}
		at, was := c.x, c.i
		c.x = 0 // where a law is finite
		if err := s.linearise(k, at); err != nil {
			return err
		}
		s.jump = s.jump || math.Abs(c.i-was) > jumpShare*(math.Abs(c.i)+math.Abs(was))
		c.stale = false
	}
	s.stale = false
	return nil
}

// linearise evaluates a law at a voltage, or as near to it as the law is finite, coming from the last linearisation.
func (s *Solver) linearise(k int, at float64) error {
	c := &s.crv[k]
	for range pullBack {
		i, g := c.law.At(at)
		if g < 0 {
			return s.badLaw(k, "slope", g, "S", fmt.Sprintf("0 or more at %g V", at))
		}
		if math.Abs(i) <= maxValue && g <= maxValue {
			c.x, c.i, c.g, c.span = at, i, min(g, maxSlope), 0
			s.unstamped = true
			s.moved++
			return nil
		}
		at = c.x + (at-c.x)/2
	}
	i, g := c.law.At(c.x)
	if math.Abs(i) <= maxValue {
		return s.badLaw(k, "slope", g, "S", fmt.Sprintf("finite at %g V", c.x))
	}
	return s.badLaw(k, "current", i, "A", fmt.Sprintf("finite at %g V", c.x))
}

func (s *Solver) badLaw(k int, what string, x float64, unit, want string) error {
	id := s.sym.curves[k]
	s.crv[k].stale, s.stale = true, true
	return &ValueError{Branch: id, Name: s.sym.net.BranchName(id), What: what, Value: x, Unit: unit, Want: want}
}
