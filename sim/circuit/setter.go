package circuit

import (
	"math"
	"slices"
)

// changed takes note of new values of a linear branch.
func (s *Solver) changed(id ID) {
	s.lin[id].derive()
	s.since.note(id)
	s.solved = false
	slot := s.sym.place[id].slot
	if slot < 0 {
		return
	}
	was := s.orig.at(int(slot))
	s.sum(slot)
	s.follow(slot, was)
}

// SetOhms gives a Resistor, or the series resistance of a Source, Capacitor or Inductor, a new value in ohms; +Inf opens it. A
// value that is not allowed makes the next Solve or Step fail with a *ValueError. It panics if the branch is of another
// kind.
func (s *Solver) SetOhms(b ID, ohms float64) {
	l := &s.lin[b]
	if l.kind == injection || l.kind == curved {
		panic("circuit: SetOhms on branch " + s.sym.net.BranchName(b) + ", which has no resistance")
	}
	s.accept(b)
	if l.ohms == ohms {
		return
	}
	check := checkOhms
	if l.kind == capacitor {
		check = checkSeries
	}
	if e := check(b, s.sym.net.BranchName(b), ohms); e != nil {
		s.reject(e)
		return
	}
	s.noteJump(l.ohms, ohms)
	s.putOhms(b, ohms)
}

// SetEMF gives a Source a new electromotive force in volts, raising a above b. A value that is not finite makes the next
// Solve or Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetEMF(b ID, volts float64) { s.setSource(b, source, "emf", "V", volts) }

// SetAmps gives an Injection a new current in amperes, through the branch from a to b. A value that is not finite makes the
// next Solve or Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetAmps(b ID, amps float64) { s.setSource(b, injection, "current", "A", amps) }

func (s *Solver) setSource(b ID, k kind, what, unit string, x float64) {
	l := &s.lin[b]
	if l.kind != k {
		panic("circuit: branch " + s.sym.net.BranchName(b) + " has no " + what + " to set")
	}
	s.accept(b)
	if l.source == x {
		return
	}
	if e := checkFinite(b, s.sym.net.BranchName(b), what, unit, x); e != nil {
		s.reject(e)
		return
	}
	s.jump = s.jump || math.Abs(x-l.source) > jumpShare*(math.Abs(x)+math.Abs(l.source))
	l.source = x
	s.changed(b)
}

// SetFarads gives a Capacitor a new capacitance in farads. Its voltage stays. A value that is not allowed makes the next Solve or
// Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetFarads(b ID, farads float64) { s.setSize(b, capacitor, "capacitance", "F", farads) }

// SetHenries gives an Inductor a new inductance in henries. Its current stays. A value that is not allowed makes the next Solve
// or Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetHenries(b ID, henries float64) {
	s.setSize(b, inductor, "inductance", "H", henries)
}

func (s *Solver) setSize(b ID, k kind, what, unit string, x float64) {
	if s.lin[b].kind != k {
		panic("circuit: branch " + s.sym.net.BranchName(b) + " has no " + what + " to set")
	}
	s.accept(b)
	c := &s.str[s.sym.storeOf[b]]
	if c.size == x {
		return
	}
	if e := checkSize(b, s.sym.net.BranchName(b), what, unit, x); e != nil {
		s.reject(e)
		return
	}
	s.noteJump(c.size, x)
	c.size = x
	s.dt, s.solved = 0, s.solved && !s.moving
}

// putOhms makes a resistance that is allowed the present one.
func (s *Solver) putOhms(b ID, ohms float64) {
	l := &s.lin[b]
	l.ohms = ohms
	if i := s.sym.storeOf[b]; i >= 0 {
		s.since.note(b)
		s.str[i].ohms = ohms
		s.dt, s.solved = 0, false
		return
	}
	s.changed(b)
}

// noteJump takes note of it when a resistance, capacitance or inductance changes abruptly.
func (s *Solver) noteJump(was, is float64) {
	s.jump = s.jump || !(is <= jumpFactor*was && was <= jumpFactor*is)
}

// SetLaw gives a Curve a new characteristic, or says that the one it has behaves differently from before. A nil law makes
// the next Solve or Step fail with a *ValueError. It panics if the branch is of another kind.
func (s *Solver) SetLaw(b ID, l Law) {
	if s.lin[b].kind != curved {
		panic("circuit: SetLaw on branch " + s.sym.net.BranchName(b) + ", which is not a curve")
	}
	if l == nil {
		s.reject(&ValueError{Branch: b, Name: s.sym.net.BranchName(b), What: "law", Value: math.NaN(), Want: "a characteristic, not nil"})
		return
	}
	s.accept(b)
	c := &s.crv[s.sym.curveOf[b]]
	c.law, c.kinked, c.stale = l, kinked(l), true
	s.stale, s.solved = true, false
}

// reject remembers a value that was not allowed until its branch gets one that is.
func (s *Solver) reject(e *ValueError) {
	s.accept(e.Branch)
	s.solved = false
	s.bad = append(s.bad, e)
}

func (s *Solver) accept(b ID) {
	if len(s.bad) > 0 {
		s.bad = slices.DeleteFunc(s.bad, func(e *ValueError) bool { return e.Branch == b })
	}
}
