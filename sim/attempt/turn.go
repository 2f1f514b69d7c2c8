package attempt

import (
	"errors"
	"math"
	"slices"

	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// plainKinds are the kinds of component of which the steady state does not depend on what happened before, but for the armature of a relay and
// an element that has melted.
var plainKinds = [...]string{
	"battery", "fuse", "large-fuse", "switch", "button", "relay", "lamp", "led", "horn", "buzzer", "heater", "motor", "solenoid",
	"resistor", "resistor-pack", "diode", "suppressor", "potentiometer", "thermistor",
}

// mostTurned bounds the fuses in doubt of which all ways are gone through.
const mostTurned = 3

// Turns returns what might be shown now, however the vehicle's fuses in doubt have turned out, and whenever: every steady state, with
// each of them whole or open, that is found with the relays as they are, all out or all in. The number and order depend only on how many are
// in doubt. What may still be moving is marked so. It returns nothing when that is not all that there might be: a tool's fuse is in doubt or
// another of the vehicle's would be, a component or the meter remembers more, or there is no rest. also are fuses, by index, that count as in
// doubt too; InDoubt lists them. The model is left as it was.
func (m *Model) Turns(also []int) ([]Sight, error) {
	b := m.w.bench
	if m.remembers || m.otherDoubt || m.exact || b.Relative() || b.Capturing() || b.Function() == meter.Hertz || b.Function() == meter.Duty {
		return nil, nil
	}
	turned := m.InDoubt()
	for _, i := range also {
		if !slices.Contains(turned, i) {
			turned = append(turned, i)
		}
	}
	slices.Sort(turned)
	if len(turned) > mostTurned {
		return nil, nil
	}
	was := m.Save()
	out, err := m.turns(was.machine, turned)
	if e := m.Load(was); err == nil {
		err = e
	}
	if errors.Is(err, harness.ErrRestless) {
		return nil, nil
	}
	return out, err
}

// InDoubt lists the vehicle's fuses, by index, that have been in doubt since Suppose or are open now.
func (m *Model) InDoubt() []int {
	var out []int
	for i, f := range m.fuses {
		if fuse := m.w.m.Fuse(f.holder); fuse != nil && (m.doubtful[i] || fuse.Blown()) {
			out = append(out, i)
		}
	}
	return out
}

func (m *Model) turns(from *harness.Snapshot, turned []int) ([]Sight, error) {
	const asIs, out, in = 0, 1, 2
	var all []Sight
	for ways := range 1 << len(turned) {
		for start := asIs; start <= in; start++ {
			if err := m.w.m.Restore(from); err != nil {
				return nil, err
			}
			for k, i := range turned {
				m.w.m.Fuse(m.fuses[i].holder).Turn(ways>>k&1 == 1)
			}
			for _, i := range m.relays {
				if start != asIs {
					m.relay(i).Turn(start == in)
				}
			}
			if err := m.w.m.Settle(); err != nil {
				return nil, err
			}
			if m.strains(turned) {
				return nil, nil
			}
			s, err := m.turned()
			if err != nil {
				return nil, err
			}
			all = append(all, s)
		}
	}
	return all, nil
}

// strains reports whether a fuse that is not among these is loaded so that it might open.
func (m *Model) strains(turned []int) bool {
	for i, f := range m.fuses {
		if fuse := m.w.m.Fuse(f.holder); fuse != nil && !fuse.Blown() && !slices.Contains(turned, i) &&
			math.Abs(m.w.m.LimbAmps(f.limb)) > doubtFrom*fuse.Rating() {
			return true
		}
	}
	for _, share := range m.w.bench.FuseLoads(m.w.m) {
		if share > doubtFrom {
			return true
		}
	}
	return false
}

// turned is what is shown of one of several ways.
func (m *Model) turned() (s Sight, err error) {
	s = m.sight.Clone()
	for i, c := range m.w.ex.Harness.Components {
		s.Effects[i] = m.w.m.EffectOf(c.ID)
	}
	if s.Meter, s.Foreign, err = m.w.bench.Ideal(m.w.m); err != nil {
		return s, err
	}
	s.Feeble = m.w.bench.Feeble(m.w.m)
	s.Lamp = m.w.bench.LampEffect(m.w.m)
	s.Doubtful, s.Strained, s.Sure = false, false, m.atOnce(&s)
	return s, nil
}
