package attempt

import (
	"slices"

	"faultloom/sim/harness"
)

// How a model goes through time.

// through lets seconds pass as the attempt does; of a hasty model no more than it takes to swarm.
func (m *Model) through(seconds float64) error {
	var enough func([]harness.Event) bool
	if m.hasty {
		stirs := slices.Clone(m.stirs)
		enough = func(more []harness.Event) bool {
			m.count(more, stirs)
			return swarms(stirs)
		}
	}
	for {
		var events []harness.Event
		var err error
		passed := seconds
		switch {
		case enough != nil:
			events, passed, err = m.w.m.RunUntil(seconds, enough)
		case seconds > longSeconds:
			events, err = m.w.m.RunOn(seconds)
		default:
			events, err = m.w.m.Run(seconds)
		}
		if err != nil {
			return err
		}
		m.sight.Restless = m.w.m.Restless() != ""
		for i, moved := range m.w.m.Moved() {
			m.moved[i] = m.moved[i] || moved
		}
		m.sight.Stirs += m.count(events, m.stirs)
		if seconds -= passed; !(seconds > 0) {
			return nil
		}
		if m.sight.Restless && swarms(m.stirs) {
			m.brief = true
			return nil
		}
		enough = nil // much has happened, but not on and on
	}
}

// count adds to stirs, by component, what a person would notice of events, and returns how many those are.
func (m *Model) count(events []harness.Event, stirs []int) (n int) {
	for _, e := range events {
		if !e.Loud && e.What != harness.EffectChanged {
			continue
		}
		n++
		if i := m.component(e.Component); i >= 0 {
			stirs[i]++
			m.sight.Wavers = m.sight.Wavers || e.What == harness.EffectChanged && e.Word == m.words[i]
		}
	}
	return n
}

// longSeconds is how long a wait must be, in seconds, for what repeats itself in it not to be gone through to the end.
const longSeconds = 4.0

// Hasty makes an Exact model cut a wait short once it Swarms. It is for whoever wants to know no more than that.
func (m *Model) Hasty(on bool) { m.hasty = on }

// swarms reports whether a component has stirred so often that what it does swarms.
func swarms(stirs []int) bool {
	return slices.ContainsFunc(stirs, func(n int) bool { return n >= swarm })
}
