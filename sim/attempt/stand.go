package attempt

import (
	"errors"
	"slices"

	"faultloom/sim/harness"
)

// stands reports whether an action lets the vehicle stand for a time.
func stands(h *harness.Harness, act Operate) bool {
	for _, c := range h.Controls {
		if c.ID == act.Control {
			_, ok := c.StandFor(act.Position)
			return ok
		}
	}
	return false
}

// apply does an action to the model's world. Where that lets the vehicle stand for a time, what has been drawn from the battery is part of
// what the circuit remembers from then on: it is the same for a model that goes through time as long as what is in or out while it
// stands follows from the circuit alone.
func (m *Model) apply(act Action) error {
	op, ok := act.(Operate)
	if !ok || !stands(m.w.ex.Harness, op) || m.w.m.Position(op.Control) == op.Position {
		return m.w.apply(act)
	}
	for _, i := range m.relays { // what clicked before was heard
		m.heard[i] = m.relay(i).PulledIn() != m.before[i]
	}
	if m.exact {
		return m.unheard(m.w.apply(act))
	}
	c := m.w.ex.Harness.Controls[slices.IndexFunc(m.w.ex.Harness.Controls, func(c harness.Control) bool { return c.ID == op.Control })]
	s, _ := c.StandFor(op.Position)
	if err := m.w.m.Turn(op.Control, op.Position); err != nil {
		return err
	}
	if _, err := m.w.m.Quiet(); err != nil && !errors.Is(err, harness.ErrRestless) {
		return err
	}
	m.wear()
	before := m.blown()
	look := func() error {
		m.wear()
		_, err := m.w.m.Quiet()
		m.sight.Restless = err != nil
		if err != nil && !errors.Is(err, harness.ErrRestless) {
			return err
		}
		if s.Charged {
			return nil // it is full in the end, whatever has been drawn
		}
		sure, err := m.OneWay()
		m.adrift = m.adrift || !sure || m.busy()
		return err
	}
	if err := m.w.m.Stand(s, look); err != nil {
		return err
	}
	if err := look(); err != nil {
		return err
	}
	for i, x := range m.blown() {
		d := &m.strains[i]
		m.adrift = m.adrift || d.doubts || x != before[i]
		d.doubts = d.doubts || x != before[i]
		d.maybe, d.since, d.due = 0, 0, 0
	}
	if s.Charged {
		m.adrift, m.drawn = false, 0
	}
	m.quieten()
	m.rested = true
	return m.unheard(nil)
}

// wear puts every fuse that carries too much in doubt: for so long it does so that which of two opens first is a matter of how warm they were.
func (m *Model) wear() {
	for i, f := range m.fuses {
		if fuse := m.fuse(f); fuse != nil && !fuse.Blown() && m.fuseShare(i) > doubtFrom {
			m.strains[i].doubts = true
		}
	}
}

func (m *Model) blown() []bool {
	out := make([]bool, len(m.fuses))
	for i, f := range m.fuses {
		fuse := m.fuse(f)
		out[i] = fuse != nil && fuse.Blown()
	}
	return out
}

// unheard makes what clicked while nobody was there no click. It passes an error on.
func (m *Model) unheard(err error) error {
	for _, i := range m.relays {
		m.before[i] = m.relay(i).PulledIn()
	}
	return err
}
