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
	volts   [][]float64      // potentials on arrival, and after each record
	plain   *track           // from one steady state to the next
	plainly []*attempt.Saved // the same on arrival and after each record
	changed []bool           // by record: whether it can have changed what the circuit does
	exact   *track           // through time
	saved   []*attempt.Saved // the same on arrival and after each record, as far as it has been gone through
}

// leads is the model that goes through time for what follows the leader: what is saved belongs to one model.
const leads = 2

func newLeader() *leader {
	nothing := trackKey{entry: -1}
	through := nothing
	through.exact = true
	return &leader{plain: &track{trackKey: nothing, model: leads}, exact: &track{trackKey: through, model: leads}}
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
		m, err := l.hold(l.leader.plain)
		if err != nil {
			return err
		}
		if n > 0 {
			s, err := m.Take(l.records[n-1])
			if err != nil {
				return err
			}
			l.leader.plain.sights = append(l.leader.plain.sights, l.leader.plain.keep(s))
			l.leader.changed = append(l.leader.changed, m.Changes(l.records[n-1]))
		}
		l.leader.plainly = append(l.leader.plainly, m.Save())
		l.leader.volts = append(l.leader.volts, append([]float64(nil), m.Potentials()...))
	}
	return nil
}

// leadExact takes the leader through time as far as before record n.
func (l *learner) leadExact(n int) error {
	t := l.leader.exact
	for len(l.leader.saved) <= n {
		m, err := l.hold(t)
		if err != nil {
			return err
		}
		if k := len(l.leader.saved); k > 0 {
			m.Hasty(false)
			s, err := m.Take(l.records[k-1])
			if err != nil {
				return err
			}
			t.sights = append(t.sights, t.keep(s))
		}
		l.leader.saved = append(l.leader.saved, m.Save())
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
		a, b := &t.sights[n-1], &l.leader.plain.sights[n-1]
		if a.Restless || a.Feeble || b.Feeble || !sameAs(a.Meter, b.Meter) || !sameAs(a.Foreign, b.Foreign) ||
			!slices.EqualFunc(a.Effects, b.Effects, sameEffect) { // a plunger that is stuck moves no voltage
			return
		}
		// What a wiper shows at rest tells nothing of the way on which it parked, and that is as long as what feeds it there lets it be.
		for k, kind := range m.Kinds() {
			if kind == "wiper" && b.Effects[k].Word != "parked" {
				return
			}
		}
	}
	t.same = n + 1
}

func sameEffect(a, b device.Effect) bool { return a.Word == b.Word && sameAs(a.Level, b.Level) }

func sameAs(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= sameReading*max(1, math.Abs(a))
}

// follow lets a track through time have what the leader shows, as far as that is the same up to record i. It reports whether that is
// all the way.
func (l *learner) follow(t *track, i int) (done bool, err error) {
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

// following reports whether a track through time may follow the leader: not when its fault lies in a fuse, which looks different whatever
// it does, nor when it comes and goes.
func (l *learner) following(key trackKey) bool {
	if !key.exact {
		return false
	}
	f := l.r.with(key.entry, key.severity)[0]
	list, err := l.r.book.Alterations(f)
	return err == nil && !l.fuses[placeName(f.Place)] && !slices.ContainsFunc(list, func(a harness.Alteration) bool {
		return harness.When(a) != harness.Always
	})
}
