package grading

import (
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// A breaker that closes again by itself opens and closes as long as what it feeds draws too much. When depends on when it began, and a little on how bad the
// fault is: after some cycles two ends of an interval that hardly differ are out of step.

// cycles reports whether a breaker that closes again by itself is open in one sight and not in the other.
func (l *learner) cycles(a, b *attempt.Sight) bool {
	return slices.ContainsFunc(l.cyclers, func(i int) bool { return a.Switched[i] != b.Switched[i] })
}

// stood reports whether the vehicle has stood in a record, for so long that a breaker has opened and closed some hundred times.
func (l *learner) stood(i int) bool {
	op, ok := l.records[i].Action.(attempt.Operate)
	return ok && l.records[i].Observation.Refused == "" && slices.ContainsFunc(l.r.ex.Harness.Controls, func(c harness.Control) bool {
		_, stands := c.StandFor(op.Position)
		return stands && c.ID == op.Control
	})
}

// differing returns, by bit, the components of which two sights show another word.
func differing(a, b *attempt.Sight) (bits uint64) {
	for i := range a.Effects {
		if a.Effects[i].Word != b.Effects[i].Word {
			bits |= 1 << (i % 64)
		}
	}
	return bits
}

// swayed reports whether what the ends of a cell were contradicted by hangs on a breaker that closes again by itself, and on when that began: readings
// may; what is seen when somebody looks closely does not, nor what a component does that did the same whether the breaker was open or not.
func (l *learner) swayed(c *mind, a, b *attempt.Sight, why *Margin) bool {
	if !a.Cycling && !b.Cycling {
		return false
	}
	i := slices.IndexFunc(l.r.ex.Harness.Components, func(x harness.Component) bool { return x.ID == why.What })
	return i < 0 && why.What != inspected || i >= 0 && c.sways>>(i%64)&1 == 1
}

// chance reports whether a contradiction tells nothing: each cycle of such a breaker adds to what lies between the ends of a cell, and where these
// have got out of step though parts differ by more than they, nobody can tell.
func (l *learner) chance(c *mind, a, b *attempt.Sight, why *Margin) bool {
	return c.cycles && c.hi <= c.lo*finestCut && l.swayed(c, a, b, why)
}
