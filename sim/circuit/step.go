package circuit

import (
	"fmt"
	"math"
)

const (
	// jumpFactor and jumpShare tell an abrupt change, a contact or a driver that switches, from one that comes of something
	// moving: a resistance that changes by more than this factor from one step to the next, a source or a law's current by
	// more than this share. The trapezoidal rule carries a disturbance on, alternating, in parts that are fast against the
	// step, so it is better to call too much abrupt than too little: that costs one more solution and, where nothing
	// was abrupt, half the order of one step.
	jumpFactor, jumpShare = 2, 0.1
	// roughSteps is how many steps after an abrupt change are taken by backward Euler. After one a part that is ten times as
	// fast as the step would still hold 3 % of what it held, which the trapezoidal rule would carry on alternating; after
	// two it holds 0.08 %.
	roughSteps = 2
)

// Step moves the circuit on by dt seconds from what its capacitors and inductors hold, under the present values: what was set
// since the last step holds through all of it. Sources that vary should be set to what they are at the end of the step.
//
// It takes the trapezoidal rule, whose error is dt³/12 times the third derivative per step. After an abrupt change (Jump) it
// takes roughSteps of two half steps of backward Euler each, which forget what was before and keep the order (Rannacher, 1984,
// "Finite element solution of diffusion problems with irregular data"). A circuit that is just compiled holds nothing; after
// Solve it holds what it holds at rest.
//
// Afterwards voltages and currents are those at the end of the step, and Thevenin, Transfer and WhatIf see the circuit as it reacts
// within a step of dt. The errors are those of Solve, and one for a dt that is not above 0; then capacitors and inductors hold
// what they held before, and a shorter step may be tried. It does not allocate but as Solve does.
func (s *Solver) Step(dt float64) error {
	if !(dt >= minStep && dt <= maxStep) {
		return fmt.Errorf("step must be between %g and %g s (got %g s)", minStep, maxStep, dt)
	}
	if len(s.bad) > 0 {
		return s.bad[0]
	}
	s.solved = false
	s.refresh()
	if err := s.evaluateStale(); err != nil {
		return err
	}
	if s.dt != dt {
		for i := range s.str {
			s.str[i].shape(dt)
		}
	}
	s.iterations, s.tolerance = 0, stepTolerance
	for i := range s.str {
		c := &s.str[i]
		s.holds[i] = hold{c.held, c.v, c.i}
	}
	if s.jump {
		s.rough = roughSteps
	}
	halves := 1
	if s.rough > 0 {
		halves = 2
	} else if s.smooth > 0 {
		if err := s.foresee(dt / s.last); err != nil {
			return err
		}
	}
	for range halves {
		if err := s.move(s.rough > 0); err != nil {
			for i := range s.str {
				c, was := &s.str[i], s.holds[i]
				c.held, c.v, c.i = was.held, was.v, was.i
			}
			s.dt, s.smooth = 0, 0
			return err
		}
	}
	if s.rough > 0 {
		s.rough--
		s.smooth = 0
	} else {
		s.smooth++
	}
	for i := range s.crv {
		c := &s.crv[i]
		c.before, c.v = c.v, s.volts[c.a]-s.volts[c.b]
	}
	s.before, s.last = s.last, dt
	s.dt = dt
	s.solved, s.behind, s.moving, s.jump = true, true, true, false
	return nil
}

// foresee linearises each law where its voltage will be if it goes on as in the last step, so that one solution is mostly enough.
// ratio is the length of this step by that of the last.
func (s *Solver) foresee(ratio float64) error {
	for k := range s.crv {
		c := &s.crv[k]
		at := c.law.Limit(c.v+float64((c.v-c.before)*ratio), c.x)
		if move := math.Abs(at - c.x); move <= stillVolts || c.straight(move, s.tolerance) {
			continue
		}
		if _, err := s.look(k, at); err != nil {
			return err
		}
	}
	return nil
}

// minStep and maxStep bound steps in time, so that no companion model overflows. A millionth of a nanosecond is below
// anything in a harness; thirty years are above.
const minStep, maxStep = 1e-15, 1e9

// move takes one step of the trapezoidal rule, or one half step of backward Euler.
func (s *Solver) move(abrupt bool) error {
	for i := range s.str {
		s.str[i].aim(abrupt)
	}
	s.sumStores()
	if err := s.operate(); err != nil {
		return err
	}
	for i := range s.str {
		c := &s.str[i]
		c.advance(s.volts[c.a]-s.volts[c.b], abrupt)
	}
	return nil
}

// Jump says that something has changed abruptly, so that the next Step should forget how things moved before. The setters find
// out by themselves about resistances that change by more than a factor of two and sources or currents of laws
// that change by more than a tenth.
func (s *Solver) Jump() { s.jump = true }

// Stored returns the voltage of a Capacitor (without that of its series resistance) in volts, or the current of an Inductor in
// amperes. It panics if the branch is of another kind.
func (s *Solver) Stored(b ID) float64 { return s.str[s.storeIndex(b)].held }

// SetStored gives a Capacitor a voltage in volts, or an Inductor a current in amperes, to be stepped on from; the change is abrupt. A
// value that is not finite makes the next Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetStored(b ID, x float64) {
	c := &s.str[s.storeIndex(b)]
	s.accept(b)
	if e := checkFinite(b, s.sym.net.BranchName(b), "stored voltage or current", "V or A", x); e != nil {
		s.reject(e)
		return
	}
	c.held = x
	c.v, c.i = x, 0
	if c.winding {
		c.v, c.i = c.ohms*x, x
	}
	s.jump, s.solved = true, false
}

func (s *Solver) storeIndex(b ID) int32 {
	i := s.sym.storeOf[b]
	if i < 0 {
		panic("circuit: branch " + s.sym.net.BranchName(b) + " stores nothing")
	}
	return i
}

// StepError estimates by how much the last Step went wrong by its length: the largest error that it added to the voltage of a
// Capacitor, in volts, and to the current of an Inductor, in amperes. It is dt³/12 of the third derivative, found from the
// last three steps; within two steps of an abrupt change it is not known and NaN. Both are 0 where there is none of a kind.
func (s *Solver) StepError() (volts, amps float64) {
	if s.smooth < 2 {
		return math.NaN(), math.NaN()
	}
	return s.worst(false), s.worst(true)
}

func (s *Solver) worst(winding bool) float64 {
	most := 0.0
	for i := range s.str {
		c := &s.str[i]
		if c.winding != winding {
			continue
		}
		// Rates at three instants: now, a step ago and two ago.
		third := ((c.rate-c.rateBefore)/s.last - (c.rateBefore-c.rateLong)/s.before) * 2 / (s.last + s.before)
		most = max(most, math.Abs(third)*s.last*s.last*s.last/12)
	}
	return most
}
