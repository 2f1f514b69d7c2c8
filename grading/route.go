package grading

import (
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// backShare is the share of the time for putting a thing back that is counted with the test that took it apart: other tests may
// use it apart as well. Common practice, no source.
const backShare = 0.5

// route is a way from where an attempt stands to where it should be.
type route struct {
	actions []attempt.Action
	course  *attempt.Course
	seconds float64 // bench time
	later   float64 // bench time that putting back will take, as far as it counts now
}

func newRoute(c *attempt.Course) *route { return &route{course: c.Clone()} }

// add puts an action at the end of the route.
func (r *route) add(act attempt.Action) {
	r.actions = append(r.actions, act)
	r.seconds += r.course.Go(act)
}

// minutes is what the route costs.
func (r *route) minutes() float64 { return (r.seconds + r.later) / wholeMinutes }

// calmDial turns the meter away from a function that must not be on while leads move and controls are operated.
func (l *lab) calmDial(r *route) {
	if r.course.Dial().Passive() {
		return
	}
	if l.volts == meter.Volts {
		r.add(attempt.Dial{Function: meter.Volts})
	} else {
		r.add(attempt.Dial{Function: meter.Off})
	}
}

// lift takes off the leads for which hidden says so.
func (l *lab) lift(r *route, hidden func(p harness.Point) bool) {
	for _, tool := range meter.Tools() {
		for end, p := range r.course.Leads(tool) {
			if p != "" && hidden(p) {
				r.add(attempt.Lead{Tool: tool, End: end})
			}
		}
	}
}

// way returns the route into a stance: what is to be mated first, then what is to be parted, then the controls.
func (l *lab) way(c *attempt.Course, to stance) (*route, error) {
	r := newRoute(c)
	l.calmDial(r)
	reach, err := l.reach(to)
	if err != nil {
		return nil, err
	}
	l.lift(r, func(p harness.Point) bool {
		i, ok := l.index[p]
		return ok && !reach[i]
	})
	from := l.stanceOf(c)
	for i, s := range l.h.Splices {
		if from.opened[i] && !to.opened[i] {
			r.add(attempt.CloseLoom{Splice: s.ID})
		}
	}
	for i, con := range l.h.Connectors {
		switch {
		case to.fit == i+1:
			l.renew(r, con.ID)
		case from.parted[i] && !to.parted[i]:
			r.add(attempt.Plug{Connector: con.ID})
		}
	}
	for i, con := range l.h.Connectors {
		if !from.parted[i] && to.parted[i] {
			r.add(attempt.Unplug{Connector: con.ID})
			r.later += backShare * r.course.Seconds(attempt.Plug{Connector: con.ID})
		}
	}
	for i, s := range l.h.Splices {
		if !from.opened[i] && to.opened[i] {
			r.add(attempt.OpenLoom{Splice: s.ID})
			r.later += backShare * r.course.Seconds(attempt.CloseLoom{Splice: s.ID})
		}
	}
	l.turn(r, to.positions)
	if to.hand != nil {
		r.add(to.hand)
	}
	return r, nil
}

// renew adds to a route what puts a new fuse of the right rating into a holder, with a look at the old one.
func (l *lab) renew(r *route, holder string) {
	if !r.course.Parted(holder) {
		r.add(attempt.Unplug{Connector: holder})
	}
	if !r.course.Fuse(holder).Looked {
		r.add(attempt.Inspect{Place: holder})
	}
	r.add(attempt.FitFuse{Connector: holder, Amps: l.rating(holder)})
}

// wireAt returns the index of the wire that a place names, none for any other.
func (l *lab) wireAt(p harness.Point) int {
	return slices.IndexFunc(l.h.Wires, func(w harness.Wire) bool { return meter.WirePlace(w.ID) == p })
}

// grip lists what takes a reading with the clamp: around the wire, and its zero set once before that with the jaw empty.
func (l *lab) grip(c *attempt.Course, wire int) []attempt.Action {
	var out []attempt.Action
	if !l.zeroed {
		if c.Leads(meter.Clamp)[0] != "" {
			out = append(out, attempt.Lead{Tool: meter.Clamp})
		}
		out = append(out, attempt.Zero{Tool: meter.Clamp})
	}
	return append(out, attempt.Lead{Tool: meter.Clamp, Point: meter.WirePlace(l.h.Wires[wire].ID)})
}

// probe adds to a route what takes a reading: leads, then the dial for ohms, the dial first for volts.
func (l *lab) probe(r *route, m measure) {
	if m.clamped() {
		for _, act := range l.grip(r.course, m.red) {
			r.add(act)
		}
		return
	}
	tool := m.tool()
	red, black := l.infos[m.red].Point, l.infos[m.black].Point
	if m.f == meter.Volts && r.course.Dial() != meter.Volts {
		r.add(attempt.Dial{Function: meter.Volts})
	}
	now := r.course.Leads(tool)
	if matches(now, black, red) > matches(now, red, black) {
		red, black = black, red
	}
	for end, p := range [2]harness.Point{red, black} {
		if now[end] != p {
			r.add(attempt.Lead{Tool: tool, End: end, Point: p})
		}
	}
	if !m.lit() && r.course.Dial() != m.f {
		r.add(attempt.Dial{Function: m.f})
	}
}

// matches counts the leads that are where they should be.
func matches(now [2]harness.Point, red, black harness.Point) int {
	n := 0
	if now[0] == red {
		n++
	}
	if now[1] == black {
		n++
	}
	return n
}

// prices foretells what each point costs to reach with a lead in a setting, in seconds.
func (l *lab) prices(s *setting, reach []bool) []float64 {
	out := make([]float64, len(l.infos))
	for i, info := range l.infos {
		if reach[i] {
			out[i] = s.plan.course.Seconds(attempt.Lead{Tool: meter.Multimeter, Point: info.Point})
		}
	}
	return out
}

// price is what a measure costs in a setting beside getting into it, in seconds.
func (l *lab) price(s *setting, prices []float64, m measure) float64 {
	if m.clamped() {
		t := 0.0
		for _, act := range l.grip(s.plan.course, m.red) {
			t += s.plan.course.Seconds(act)
		}
		return t
	}
	now := s.plan.course.Leads(m.tool())
	red, black := l.infos[m.red].Point, l.infos[m.black].Point
	if matches(now, black, red) > matches(now, red, black) {
		red, black = black, red
		m.red, m.black = m.black, m.red
	}
	t := 0.0
	if now[0] != red {
		t += prices[m.red]
	}
	if now[1] != black {
		k := prices[m.black]
		// One cover off shows both points that lie behind it.
		if now[0] != red && l.infos[m.red].Connector != "" && l.infos[m.red].Connector == l.infos[m.black].Connector {
			k = min(k, bareLead)
		}
		t += k
	}
	if !m.lit() && s.plan.course.Dial() != m.f {
		t += bareDial
	}
	return t
}

// bareLead and bareDial are what a lead and the dial cost where nothing is in the way, in seconds, as package attempt has it.
const bareLead, bareDial = 6, 2

// clear adds to a route what takes all tools off, mates all connectors and closes all looms. keep are holders that stay as they
// are.
func (l *lab) clear(r *route, keep ...string) {
	l.calmDial(r)
	l.lift(r, func(harness.Point) bool { return true })
	if r.course.Dial() != meter.Off {
		r.add(attempt.Dial{Function: meter.Off})
	}
	for _, c := range l.h.Connectors {
		if r.course.Parted(c.ID) && !slices.Contains(keep, c.ID) {
			r.add(attempt.Plug{Connector: c.ID})
		}
	}
	for _, s := range l.h.Splices {
		if r.course.Open(s.ID) {
			r.add(attempt.CloseLoom{Splice: s.ID})
		}
	}
}

// turn adds to a route what puts the controls into positions.
func (l *lab) turn(r *route, positions []string) {
	from := make([]string, len(l.h.Controls))
	for i, k := range l.h.Controls {
		from[i] = r.course.Position(k.ID)
	}
	for _, s := range l.h.Moves(from, positions) {
		r.add(attempt.Operate{Control: s.Control, Position: s.Position})
	}
}

// rest lists the positions of the controls at rest.
func (l *lab) rest() []string { return l.h.AtRest() }

// home adds to a route what puts everything back: controls at rest first, then as clear does.
func (l *lab) home(r *route, keep ...string) {
	l.calmDial(r)
	l.turn(r, l.rest())
	l.clear(r, keep...)
}
