package grading

import (
	"math"
	"slices"

	"faultloom/sim/attempt"
	nodal "faultloom/sim/circuit"
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// What a fault does to a circuit is not worth computing while it does nothing: resistance in a wire that carries no current, a short between two
// points of the same voltage. So the leader's solutions are looked at as it goes: its currents where a fault of the catalogue would add
// resistance, and its voltages where one would join two points. As long as there are none, what the leader shows is what the fault shows,
// from one steady state to the next, and its circuit goes on from where the leader is.

// leakAmps is a current that does nothing in any device: a thousand times what leaks from a point (circuit.LeakSiemens), a millivolt across an
// input of a control unit. What hinders it changes the voltage of what hangs on it, and nothing else.
const leakAmps = 1e-9

// spot is where a fault that is always there acts on the circuit.
type spot struct {
	joins bool
	at    int     // index of the pair of points that it joins, or of the limb to which it adds resistance
	ohms  float64 // that it adds
}

// spots are the places of a harness where faults of a catalogue act.
type spots struct {
	limbs  []harness.Limb
	pairs  [][2]int // indexes in attempt.Model.Potentials, -1 for the body
	limbAt map[harness.Limb]int
	pairAt map[[2]harness.Point]int
	ends   map[string][]spot // by component, where a defect of it acts
}

// passive are the kinds of component in which a defect does nothing, and shows nothing, while there is no voltage between any of their terminals:
// they neither feed nor remember anything, nothing in them moves that could be stuck, and none is told to be open (device.Switched).
var passive = [...]string{"led", "horn", "buzzer", "heater", "motor", "resistor", "resistor-pack", "diode", "switch", "button", "thermistor", "suppressor"}

// terminals are the points of a component.
func terminals(h *harness.Harness, c harness.Component) []harness.Point {
	var out []harness.Point
	kind, _ := device.Lookup(c.Spec.Kind)
	for _, t := range kind.Terminals {
		out = append(out, h.Terminal(c.ID, t.Name))
	}
	return out
}

func newSpots(r *reasoner) *spots {
	s := &spots{limbAt: map[harness.Limb]int{}, pairAt: map[[2]harness.Point]int{}, ends: map[string][]spot{}}
	index := map[harness.Point]int{}
	for i, p := range r.ex.Harness.Points() {
		index[p] = i
	}
	index[harness.Body] = -1
	join := func(a, b harness.Point) {
		if pair := [2]harness.Point{a, b}; s.pairAt[pair] == 0 {
			s.pairs = append(s.pairs, [2]int{index[a], index[b]})
			s.pairAt[pair] = len(s.pairs) // one more, so that 0 is none
		}
	}
	for _, e := range r.entries {
		list, err := r.book.Alterations(e.Fault)
		if err != nil {
			continue // it has no spots, so it is gone through by itself, which tells what is wrong
		}
		for _, a := range list {
			switch a := a.(type) {
			case harness.SeriesOhms:
				if _, known := s.limbAt[a.Where]; !known {
					s.limbAt[a.Where] = len(s.limbs)
					s.limbs = append(s.limbs, a.Where)
				}
			case harness.Bridge:
				join(a.A, a.B)
			case harness.Spoil:
				for _, c := range r.ex.Harness.Components {
					if c.ID != a.Component || s.ends[c.ID] != nil || !slices.Contains(passive[:], c.Spec.Kind) {
						continue
					}
					ends := terminals(r.ex.Harness, c)
					for i := 1; i < len(ends); i++ {
						join(ends[0], ends[i])
						s.ends[c.ID] = append(s.ends[c.ID], spot{joins: true, at: s.pairAt[[2]harness.Point{ends[0], ends[i]}] - 1})
					}
				}
			}
		}
	}
	return s
}

// of returns where alterations act, nil if they do anything that cannot be told from currents and voltages there, or come and go.
func (s *spots) of(list []harness.Alteration) []spot {
	var out []spot
	for _, a := range list {
		if harness.When(a) != harness.Always {
			return nil
		}
		switch a := a.(type) {
		case harness.SeriesOhms:
			at, ok := s.limbAt[a.Where]
			if !ok {
				return nil
			}
			out = append(out, spot{at: at, ohms: a.Ohms})
		case harness.Bridge:
			at := s.pairAt[[2]harness.Point{a.A, a.B}]
			if at == 0 {
				return nil
			}
			out = append(out, spot{joins: true, at: at - 1})
		case harness.Spoil:
			ends := s.ends[a.Component]
			if ends == nil {
				return nil
			}
			out = append(out, ends...)
		default:
			return nil
		}
	}
	return out
}

// extent is how large currents in limbs and voltages between pairs of points got in the solutions on the way from one moment to the next, that of
// the first moment included.
type extent struct{ amps, volts []float64 }

// observe does something with a model, and returns the extent of the solution that stands before, if that is to count, and all on the way.
func (s *spots) observe(m *attempt.Model, stands bool, do func() error) (*extent, error) {
	e := &extent{make([]float64, len(s.limbs)), make([]float64, len(s.pairs))}
	machine := m.Machine()
	see := func() { e.see(s, machine) }
	if stands {
		see()
	}
	machine.Observe(see)
	defer machine.Observe(nil)
	return e, do()
}

// see takes the present solution in.
func (e *extent) see(s *spots, m *harness.Machine) {
	for i, limb := range s.limbs {
		e.amps[i] = max(e.amps[i], math.Abs(m.LimbAmps(limb))) // NaN stays
	}
	volts := m.Potentials()
	of := func(i int) float64 {
		if i < 0 {
			return 0
		}
		return volts[i]
	}
	for i, pair := range s.pairs {
		e.volts[i] = max(e.volts[i], math.Abs(of(pair[0])-of(pair[1])))
	}
}

// idle reports whether a fault that acts in these spots makes no difference but to the voltage of what hangs on a leakage.
func (e *extent) idle(list []spot) bool {
	for _, x := range list {
		if x.joins && !(e.volts[x.at] <= sameVolts) || !x.joins && !(e.amps[x.at] <= leakAmps) && !(e.amps[x.at]*x.ohms <= sameVolts) {
			return false
		}
	}
	return true
}

// inert is idle for a fault that makes no difference to any voltage either: what leaks from a point cannot raise it by more than that.
func (e *extent) inert(list []spot) bool {
	for _, x := range list {
		if !x.joins && !(e.amps[x.at]*x.ohms <= sameVolts) && !(e.amps[x.at] <= sameVolts*nodal.LeakSiemens) {
			return false
		}
	}
	return e.idle(list)
}

// ride lets a track that goes from one steady state to the next have what the leader shows, up to record i or the first at which its fault
// makes a difference. It reports whether that is all the way.
func (l *learner) ride(t *track, i int) (done bool) {
	for n := t.from + len(t.sights); n <= i; n++ {
		if !l.rides(t, n) {
			return false
		}
		t.sights = append(t.sights, l.leader.plain[leads].sights[n])
		t.led = len(t.sights)
		if t.from == 0 && t.same == n+1 && !l.leader.restless[n+1] && l.leader.extents[n+1].inert(t.spots) && l.leader.parked[n] {
			t.same++
		}
	}
	return true
}

// rides reports whether a record changes nothing for a track that has ridden so far: the fault makes no difference on the way, and no meter looks into
// the circuit, for what that shows depends on resistances too.
func (l *learner) rides(t *track, n int) bool {
	return !l.leader.measures[n] && l.leader.extents[n+1].idle(t.spots)
}

// ledAt reports whether what a track has shown at a record is the leader's.
func (t *track) ledAt(i int) bool {
	for i < t.from {
		t = t.base
	}
	return i-t.from < t.led
}

// leaderRest is rest for the leader, with its fuses as they are, and the extent of what is solved for it.
func (l *learner) leaderRest(i int) (*attempt.Sight, *extent, error) {
	if e, known := l.leader.resting[i]; known {
		return l.leader.plain[leads].rests[moment{i + 1, bits(l.leader.plain[leads].at(i).Blown)}], e, nil
	}
	var s *attempt.Sight
	e, err := l.spots.observe(l.models[leads], false, func() (err error) {
		t := l.leader.plain[leads]
		s, err = l.rest(t, i, bits(t.at(i).Blown))
		return err
	})
	l.leader.resting[i] = e
	return s, e, err
}
