package grading

import (
	"fmt"
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
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

// RideDiffers goes through a log with every candidate of a catalogue, letting them ride with the leader and not, and returns what they show at
// some record in two ways, "" if all show the same; and how many of their sights were the leader's.
func RideDiffers(ex attempt.Exercise, records []attempt.Record) (how string, led int, err error) {
	r := newReasoner(&ex, ex.Faults[1:])
	var both [2]*learner
	for i := range both {
		if both[i], err = newLearner(r, ex); err != nil {
			return "", 0, err
		}
	}
	both[1].spots = &spots{}
	for _, l := range both {
		l.cells = nil // so that none falls, and all are gone through to the end
		if err := l.learn(records); err != nil {
			return "", 0, err
		}
	}
	for _, c := range r.cells {
		for _, key := range [2]trackKey{{c.entry, c.lo, false}, {c.entry, c.hi, false}} {
			for i := range both[0].fork {
				a, err := both[0].sight(key, i)
				if err != nil {
					return "", 0, err
				}
				b, err := both[1].sight(key, i)
				if err != nil {
					return "", 0, err
				}
				if t, _ := both[0].common(key, i); t.ledAt(i) {
					led++
				}
				if !sameSight(a, b) {
					f := r.entries[c.entry].Fault
					f.Severity = key.severity
					return fmt.Sprintf("%s at record %d (%+v):\n%+v\n%+v", f, i, records[i].Action, *a, *b), led, nil
				}
			}
			for _, l := range both {
				l.tracks = map[trackKey]*track{}
			}
		}
	}
	return "", led, nil
}

func sameSight(a, b *attempt.Sight) bool {
	warm := func(x, y float64) bool { return math.Abs(x-y) <= 1 }
	ends := func(x, y float64) bool { return x == y || math.Abs(x-y) <= 1e-5*max(1, math.Abs(x)) }
	return slices.EqualFunc(a.Effects, b.Effects, func(x, y device.Effect) bool { return x.Word == y.Word && ends(x.Level, y.Level) }) &&
		slices.Equal(a.Clicked, b.Clicked) && slices.Equal(a.Switched, b.Switched) && slices.Equal(a.Seen, b.Seen) &&
		slices.Equal(a.Blown, b.Blown) && slices.Equal(a.Loaded, b.Loaded) && slices.Equal(a.Doubts, b.Doubts) &&
		slices.EqualFunc(a.Kelvin, b.Kelvin, warm) && slices.EqualFunc(a.Charges, b.Charges, ends) &&
		(ends(a.Meter, b.Meter) || math.IsNaN(a.Meter) && math.IsNaN(b.Meter)) && a.Restless == b.Restless && a.Still == b.Still && a.AtOnce == b.AtOnce &&
		a.Drawn == b.Drawn && a.Strained == b.Strained && a.Doubtful == b.Doubtful && a.ToolStrained == b.ToolStrained && a.Adrift == b.Adrift &&
		ends(a.Unrest, b.Unrest) && a.Logic == b.Logic && a.Lamp.Word == b.Lamp.Word && a.MeterFuse == b.MeterFuse && a.JumperFuse == b.JumperFuse
}

// Driven returns by which step and margin a log rules out a fault, as bad as it is, that is driven exactly as the attempt went; "" if it agrees.
func Driven(ex attempt.Exercise, records []attempt.Record, f fault.Fault) (string, error) {
	r := newReasoner(&ex, nil)
	l, err := newLearner(r, ex)
	if err != nil {
		return "", err
	}
	l.cells = nil
	if err := l.learn(records); err != nil {
		return "", err
	}
	entry := slices.IndexFunc(r.entries, func(e fault.Entry) bool {
		return e.Fault.Place == f.Place && e.Fault.Kind == f.Kind && e.Fault.Other == f.Other
	})
	for i := range records {
		s, err := l.sight(trackKey{entry, f.Severity, true}, i)
		if err != nil {
			return "", err
		}
		if why := l.agrees(i, s, s); why != nil {
			return fmt.Sprintf("step %d: %s", i+1, why), nil
		}
	}
	return "", nil
}

// Ready reports whether the coach has found what would be a good next test before it is asked.
func (k *Coach) Ready(records []attempt.Record) bool {
	k.p.Learn(records)
	return k.p.weigh() == nil && k.p.ponders()
}

// AlongDiffers goes through a log, through time, with every candidate of which it is said that its fault does nothing at any instant, and returns what it
// shows at some record and what it is said to show, "" if both are the same everywhere; and how many such sights there were.
func AlongDiffers(ex attempt.Exercise, records []attempt.Record) (how string, n int, err error) {
	r := newReasoner(&ex, ex.Faults[1:])
	l, err := newLearner(r, ex)
	if err != nil {
		return "", 0, err
	}
	l.cells = nil
	if err := l.learn(records); err != nil {
		return "", 0, err
	}
	m, err := attempt.NewModel(ex)
	if err != nil {
		return "", 0, err
	}
	m.Exact(true)
	for _, c := range r.cells {
		a, _, err := l.along(&mind{cell: c}, 0)
		if err != nil {
			return "", 0, err
		}
		if a == nil {
			continue
		}
		if err := m.Suppose(r.with(c.entry, c.hi)...); err != nil {
			return "", 0, err
		}
		for i := range l.fork {
			_, said, err := l.along(&mind{cell: c}, i)
			if err != nil || said == nil {
				if err != nil {
					return "", 0, err
				}
				break
			}
			own, err := m.Take(records[i])
			if err != nil {
				return "", 0, err
			}
			n++
			if !sameThrough(own, said) {
				f := r.entries[c.entry].Fault
				f.Severity = c.hi
				return fmt.Sprintf("%s at record %d (%+v):\n%+v\n%+v", f, i, records[i].Action, *own, *said), n, nil
			}
		}
	}
	return "", n, nil
}

// sameThrough is sameSight for what is shown through time.
func sameThrough(a, b *attempt.Sight) bool {
	ends := func(x, y float64) bool { return x == y || math.Abs(x-y) <= 1e-5*max(1, math.Abs(x)) }
	return slices.EqualFunc(a.Effects, b.Effects, func(x, y device.Effect) bool { return x.Word == y.Word && ends(x.Level, y.Level) }) &&
		slices.Equal(a.Clicked, b.Clicked) && slices.Equal(a.Switched, b.Switched) && slices.Equal(a.Seen, b.Seen) && slices.Equal(a.Moved, b.Moved) &&
		slices.Equal(a.Stirring, b.Stirring) && a.Stirs == b.Stirs && a.Restless == b.Restless && slices.EqualFunc(a.Charges, b.Charges, ends) &&
		(ends(a.Meter, b.Meter) || math.IsNaN(a.Meter) && math.IsNaN(b.Meter)) && a.Lamp.Word == b.Lamp.Word
}

// Amidst is where a cell is cut.
func Amidst(lo, hi float64) float64 { return amidst(lo, hi) }

// Relearned returns what stands of an exercise's faults once its records have been learnt and then, of the same, what is left without what some
// components show; and the same learnt by one who has known nothing else.
func Relearned(ex attempt.Exercise, records []attempt.Record, ids ...string) (again, fresh []string, err error) {
	left := func(learn func(p *Planner) error) (out []string, err error) {
		p, err := NewPlanner(ex)
		if err != nil {
			return nil, err
		}
		p.team.keepFallen()
		if err := learn(p); err != nil {
			return nil, err
		}
		for _, c := range p.team.all() {
			out = append(out, fmt.Sprintf("%s %g to %g: %d", p.r.entries[c.entry].Fault, c.lo, c.hi, c.fell))
		}
		return out, nil
	}
	again, err = left(func(p *Planner) error {
		p.Learn(records)
		if err := p.weigh(); err != nil {
			return err
		}
		p.relearn(without(records, ids))
		return p.weigh()
	})
	if err != nil {
		return nil, nil, err
	}
	fresh, err = left(func(p *Planner) error {
		p.Learn(without(records, ids))
		return p.weigh()
	})
	return again, fresh, err
}
