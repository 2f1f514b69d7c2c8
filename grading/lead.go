package grading

import (
	"math"
	"slices"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// A fault that makes no difference to any voltage has had no effect yet: a short between two wires that are both dead, an open wire that
// carries nothing. Until it does, what it shows through time is what the vehicle shows without it, so that is gone through once for
// all such faults, and each is put in where it begins to tell.

// sameVolts and sameReading are differences that make none: a microvolt drives less than a milliampere through the best joint, and both
// are a thousandth of what a meter shows at best (a reading's in its unit or as a share of it).
const sameVolts, sameReading = 1e-6, 1e-6

// leader is the vehicle without the fault that is looked for.
type leader struct {
	volts    [][]float64         // potentials on arrival, and after each record
	plain    [3]*track           // from one steady state to the next, by model
	plainly  [][3]*attempt.Saved // the same on arrival and after each record
	extents  []*extent           // of the solutions for arrival and each record
	restless []bool              // on arrival and by record: whether it does not come to rest
	changed  []bool              // by record: whether it can have changed what the circuit does
	measures []bool              // by record: whether the meter looks into the circuit
	parked   []bool              // by record: whether every wiper is
	resting  map[int]*extent     // by record: of the solutions for rest
	exact    *track              // through time
	through  []*extent           // of the solutions through time for arrival and each record
	saved    []*attempt.Saved    // the same on arrival and after each record, as far as it has been gone through
}

// leads is the model that goes through time for what follows the leader: what is saved belongs to one model.
const leads = 2

func newLeader() *leader {
	nothing := trackKey{entry: -1}
	through := nothing
	through.exact = true
	l := &leader{resting: map[int]*extent{}, exact: &track{trackKey: through, model: leads}}
	for k := range l.plain {
		l.plain[k] = &track{trackKey: nothing, model: k}
	}
	return l
}

// faults are those that a track supposes.
func (l *learner) faults(t *track) []fault.Fault {
	if t.entry < 0 {
		return l.r.rest
	}
	return l.r.with(t.entry, t.severity)
}

// lead takes the leader as far as there are records before the first repair.
func (l *learner) lead() error {
	for n := len(l.leader.volts); n <= l.fork; n++ {
		var saved [3]*attempt.Saved
		for k, m := range l.models {
			step := func() error { return l.leadOne(k, n) }
			if k != leads {
				if err := step(); err != nil {
					return err
				}
			} else if err := l.look(m, n, step); err != nil {
				return err
			}
			saved[k] = m.Save()
		}
		l.leader.plainly = append(l.leader.plainly, saved)
	}
	return nil
}

// leadOne takes the leader to arrival (n = 0), or through record n-1, with one of the models.
func (l *learner) leadOne(k, n int) error {
	t := l.leader.plain[k]
	m, err := l.hold(t)
	if err != nil || n == 0 {
		return err
	}
	s, err := m.Take(l.records[n-1])
	if err == nil {
		t.sights = append(t.sights, t.keep(s))
	}
	return err
}

// look does a step of the leader and notes what its circuit does on the way.
func (l *learner) look(m *attempt.Model, n int, step func() error) error {
	if n > 0 {
		if _, err := l.hold(l.leader.plain[leads]); err != nil {
			return err
		}
	}
	extent, err := l.spots.observe(m, n > 0, step)
	if err != nil {
		return err
	}
	restless := m.Machine().Restless() != ""
	if n > 0 {
		s := l.leader.plain[leads].sights[n-1]
		restless = restless || s.Restless
		l.leader.changed = append(l.leader.changed, m.Changes(l.records[n-1]))
		l.leader.measures = append(l.leader.measures, m.Measures())
		l.leader.parked = append(l.leader.parked, parked(m.Kinds(), s))
	}
	l.leader.restless = append(l.leader.restless, restless)
	l.leader.extents = append(l.leader.extents, extent)
	l.leader.volts = append(l.leader.volts, slices.Clone(m.Potentials()))
	return nil
}

// parked reports whether every wiper is. What one shows at rest tells nothing of the way on which it parked, and that is as long as what feeds
// it there lets it be.
func parked(kinds []string, s *attempt.Sight) bool {
	for k, kind := range kinds {
		if kind == "wiper" && s.Effects[k].Word != "parked" {
			return false
		}
	}
	return true
}

// leadExact takes the leader through time as far as before record n.
func (l *learner) leadExact(n int) error {
	t := l.leader.exact
	for len(l.leader.saved) <= n {
		k := len(l.leader.saved)
		if k > 0 {
			if _, err := l.hold(t); err != nil {
				return err
			}
		}
		extent, err := l.spots.observe(l.models[leads], k > 0, func() error {
			m, err := l.hold(t)
			if err != nil || k == 0 {
				return err
			}
			m.Hasty(false)
			s, err := m.Take(l.records[k-1])
			if err == nil {
				t.sights = append(t.sights, t.keep(s))
			}
			return err
		})
		if err != nil {
			return err
		}
		l.leader.through = append(l.leader.through, extent)
		l.leader.saved = append(l.leader.saved, l.models[leads].Save())
	}
	return nil
}

// compare counts how long a track that has just been taken on, or supposed, shows no difference from the leader.
func (l *learner) compare(t *track, m *attempt.Model) {
	n := len(t.sights)
	if t.from > 0 || t.exact || t.entry < 0 || t.same != n || n >= len(l.leader.volts) {
		return
	}
	for i, v := range m.Potentials() {
		if !(math.Abs(v-l.leader.volts[n][i]) <= sameVolts) {
			return
		}
	}
	if n > 0 {
		a, b := t.sights[n-1], l.leader.plain[leads].sights[n-1]
		if a.Restless || a.Feeble || b.Feeble ||
			a.Drawn || b.Drawn || // a meter that feeds something makes a difference that is not seen here
			!sameAs(a.Meter, b.Meter) || !sameAs(a.Foreign, b.Foreign) ||
			!slices.EqualFunc(a.Effects, b.Effects, sameEffect) || // a plunger that is stuck moves no voltage
			!l.leader.parked[n-1] {
			return
		}
	}
	t.same = n + 1
}

func sameEffect(a, b device.Effect) bool { return a.Word == b.Word && sameAs(a.Level, b.Level) }

func sameAs(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= sameReading*max(1, math.Abs(a))
}

// follow lets a track have what the leader shows, as far as that is the same up to record i. It reports whether that is all the way.
func (l *learner) follow(t *track, i int) (done bool, err error) {
	if !t.exact {
		return l.ride(t, i), nil
	}
	plain, err := l.common(trackKey{t.entry, t.severity, false}, 0)
	if err == nil {
		err = l.extend(plain, i)
	}
	if err != nil {
		return false, err
	}
	if t.follows = plain.same > 0; !t.follows {
		return false, err
	}
	if err := l.leadExact(min(plain.same-1, i+1)); err != nil {
		return false, err
	}
	for len(t.sights) <= i && len(t.sights) < plain.same-1 {
		t.sights = append(t.sights, l.leader.exact.sights[len(t.sights)])
		t.led = len(t.sights)
	}
	return len(t.sights) > i, nil
}

// following reports whether a track may follow the leader: not when its fault lies in a fuse, which looks different whatever it does, nor when
// it comes and goes; from one steady state to the next only if it is known to make no difference.
func (l *learner) following(t *track) bool {
	f := l.r.with(t.entry, t.severity)[0]
	list, err := l.r.book.Alterations(f)
	if err != nil || l.fuses[placeName(f.Place)] {
		return false
	}
	if t.exact {
		return !slices.ContainsFunc(list, func(a harness.Alteration) bool { return harness.When(a) != harness.Always || l.hidden(a) })
	}
	t.spots = l.spots.of(list)
	return t.spots != nil && l.leader.extents[0].idle(t.spots)
}

// tripping are the kinds of component that warm up until they trip: at what heat, and so how warm they have got, shows in nothing before.
var tripping = [...]string{"breaker", "reset-breaker", "ptc-fuse"}

// hidden reports whether what is altered may differ from the vehicle without the fault and show nothing of it yet.
func (l *learner) hidden(a harness.Alteration) bool {
	spoil, ok := a.(harness.Spoil)
	return ok && slices.ContainsFunc(l.r.ex.Harness.Components, func(c harness.Component) bool {
		return c.ID == spoil.Component && slices.Contains(tripping[:], c.Spec.Kind)
	})
}
