package sheet

import (
	"slices"

	"faultloom/sim/harness"
)

// slot is a column of a component before its terminals are looked up.
type slot struct{ top, bottom string }

// slots arranges the terminals of a component in columns, the higher potential on top.
func (m *plan) slots(c *harness.Component) ([]slot, freedom) {
	s := c.Spec
	switch {
	case s.Kind == "relay":
		return m.relaySlots(c), mirrored
	case s.Kind == "potentiometer":
		return m.trackSlots(c), mirrored
	case s.Kind == "battery":
		return []slot{{"30", "31"}}, mirrored
	case len(s.Terminals) == 1:
		return []slot{{top: s.Terminals[0]}}, fixed
	case len(s.Terminals) == 2:
		a, b := s.Terminals[0], s.Terminals[1]
		if m.above(c.ID, b, a) {
			a, b = b, a
		}
		return []slot{{a, b}}, fixed
	}
	common, fed := m.common(c)
	var tops, bottoms []string
	for _, t := range s.Terminals {
		if common != "" && (t == common) == fed || common == "" && m.onTop(c, t) {
			tops = append(tops, t)
		} else {
			bottoms = append(bottoms, t)
		}
	}
	var out []slot
	for i := range max(len(tops), len(bottoms)) {
		var s slot
		if i < len(tops) {
			s.top = tops[i]
		}
		if i < len(bottoms) {
			s.bottom = bottoms[i]
		}
		out = append(out, s)
	}
	if m.plugs(c.ID) > 1 {
		return out, fixed // columns of one plug stay together
	}
	return out, split
}

// trackSlots arranges a potentiometer: its track in one column, its wiper's terminal in the other.
func (m *plan) trackSlots(c *harness.Component) []slot {
	track, wiper := slot{"in", "out"}, slot{bottom: "signal"}
	if m.above(c.ID, "out", "in") {
		track = slot{"out", "in"}
	}
	if m.onTop(c, "signal") {
		wiper = slot{top: "signal"}
	}
	return []slot{track, wiper}
}

// common returns the one terminal that every position of a switch joins to others, and whether it stands higher than they
// do; "" when there is none.
func (m *plan) common(c *harness.Component) (terminal string, high bool) {
	var shared []string
	first := true
	for _, p := range c.Spec.Positions {
		for _, j := range p.Joins {
			if first {
				shared, first = []string{j[0], j[1]}, false
				continue
			}
			shared = slices.DeleteFunc(shared, func(t string) bool { return t != j[0] && t != j[1] })
		}
	}
	if len(shared) == 0 {
		return "", false
	}
	own := m.terminalPoints(c.ID, shared[0])
	if len(own) == 0 {
		return shared[0], true
	}
	var sum float64
	n := 0
	for _, t := range c.Spec.Terminals {
		if p := m.terminalPoints(c.ID, t); t != shared[0] && len(p) > 0 {
			sum += m.flow.volts[p[0]]
			n++
		}
	}
	return shared[0], n == 0 || m.flow.volts[own[0]] >= sum/float64(n)-flowEqual
}

func (m *plan) plugs(component string) int {
	n := 0
	for i := range m.h.Connectors {
		if m.h.Connectors[i].Component == component {
			n++
		}
	}
	return n
}

// above reports whether terminal t stands strictly higher than u.
func (m *plan) above(component, t, u string) bool {
	p, q := m.terminalPoints(component, t), m.terminalPoints(component, u)
	if len(p) == 0 || len(q) == 0 {
		return false
	}
	up, differs := m.flow.higher(p[0], q[0])
	return up && differs
}

// onTop decides for a terminal of a component with many: above if it stands higher than what it can be joined to,
// taken together.
func (m *plan) onTop(c *harness.Component, terminal string) bool {
	p := m.terminalPoints(c.ID, terminal)
	var sum float64
	n := 0
	for _, j := range joins(c.Spec) {
		other := ""
		switch terminal {
		case j.a:
			other = j.b
		case j.b:
			other = j.a
		}
		if q := m.terminalPoints(c.ID, other); other != "" && len(q) > 0 {
			sum += m.flow.volts[q[0]]
			n++
		}
	}
	if len(p) == 0 || n == 0 {
		return len(c.Spec.Terminals) > 0 && terminal == c.Spec.Terminals[0]
	}
	d := m.flow.volts[p[0]] - sum/float64(n)
	if d > flowEqual || d < -flowEqual {
		return d > 0
	}
	return terminal == c.Spec.Terminals[0]
}

// relaySlots puts the coil beside the contacts, each the right way up for its current.
func (m *plan) relaySlots(c *harness.Component) []slot {
	coil := slot{"86", "85"}
	if m.above(c.ID, "85", "86") {
		coil = slot{"85", "86"}
	}
	var makes, breaks []string
	for _, t := range c.Spec.Terminals {
		switch t {
		case "30", "85", "86":
		case "87a":
			breaks = append(breaks, t)
		default:
			makes = append(makes, t)
		}
	}
	outs := append(makes, breaks...)
	turned := len(outs) > 0 && m.above(c.ID, outs[0], "30")
	out := []slot{coil}
	for i, t := range outs {
		s := slot{bottom: t}
		if i == 0 {
			s.top = "30"
		}
		if turned {
			s.top, s.bottom = s.bottom, s.top
		}
		out = append(out, s)
	}
	if len(outs) == 0 {
		out = append(out, slot{top: "30"})
	}
	return out
}
