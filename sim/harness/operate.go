package harness

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/device"
)

// Operate puts a control to a position, both by name. It does not solve: Settle or Run shows what comes of it. Momentary
// controls stay where they are put until they are operated again. To a position that stands for time (Control.Stands) it lets that
// pass, all else being as it is.
func (m *Machine) Operate(control, position string) error {
	was := m.Position(control)
	if err := m.Turn(control, position); err != nil || was == position {
		return err
	}
	if s, stands := m.h.Controls[m.ix.controls[control]].StandFor(position); stands {
		return m.Stand(s, nil)
	}
	return nil
}

// Turn is Operate that lets no time pass.
func (m *Machine) Turn(control, position string) error {
	k, ok := m.ix.controls[control]
	if !ok {
		return fmt.Errorf("there is no control %q in harness %q", control, m.h.ID)
	}
	p := slices.Index(m.h.Controls[k].Positions, position)
	if p < 0 {
		return fmt.Errorf("control %q has no position %q; it has %s", control, position, strings.Join(m.h.Controls[k].Positions, ", "))
	}
	m.turn(k, p)
	return nil
}

// turn puts control k to position p.
func (m *Machine) turn(k, p int) {
	if m.positions[k] == p {
		return
	}
	was := m.surroundings()
	m.positions[k] = p
	m.moved(k, was)
	for i, c := range m.h.Components {
		if c.Control == m.h.Controls[k].ID {
			m.set(i, m.devices[i])
		}
	}
}

// Position returns the name of the position in which a control stands, "" if there is no such control.
func (m *Machine) Position(control string) string {
	k, ok := m.ix.controls[control]
	if !ok {
		return ""
	}
	return m.h.Controls[k].Positions[m.positions[k]]
}

// Rest puts every control to its first position.
func (m *Machine) Rest() {
	for k := range m.positions {
		m.turn(k, 0)
	}
}

// Unplug parts the halves of a connector; it is no error if they are parted already.
func (m *Machine) Unplug(connector string) error { return m.part(connector, true) }

// Plug mates the halves of a connector; it is no error if they are mated already.
func (m *Machine) Plug(connector string) error { return m.part(connector, false) }

func (m *Machine) part(connector string, parted bool) error {
	i, ok := m.ix.connectors[connector]
	if !ok {
		return fmt.Errorf("there is no connector %q in harness %q", connector, m.h.ID)
	}
	m.parted[i] = parted
	m.refit()
	return nil
}

// Plugged reports whether the halves of a connector are mated; false if there is no such connector.
func (m *Machine) Plugged(connector string) bool {
	i, ok := m.ix.connectors[connector]
	return ok && !m.parted[i]
}

// OpenLoom opens the loom at a splice so that it can be reached. It does nothing if there is no such splice.
func (m *Machine) OpenLoom(splice string) { m.open(splice, true) }

// CloseLoom closes it again.
func (m *Machine) CloseLoom(splice string) { m.open(splice, false) }

func (m *Machine) open(splice string, open bool) {
	if i, ok := m.ix.splices[splice]; ok {
		m.opened[i] = open
	}
}

// LoomOpen reports whether the loom is open at a splice.
func (m *Machine) LoomOpen(splice string) bool {
	i, ok := m.ix.splices[splice]
	return ok && m.opened[i]
}

// Fuse returns the fuse that belongs in a holder, in whatever state it is, or nil when the connector is no fuse holder.
// It is the machine's: Fit it with FitFuse.
func (m *Machine) Fuse(connector string) *device.Fuse {
	i, ok := m.ix.connectors[connector]
	if !ok {
		return nil
	}
	k, ok := m.ix.components[m.h.Connectors[i].Component]
	if !ok {
		return nil
	}
	f, _ := m.devices[k].(*device.Fuse)
	return f
}

// FitFuse puts a new, good fuse of a rating in amperes into a holder. What was wrong with the old one is gone with it. It
// does not plug the holder.
func (m *Machine) FitFuse(connector string, amps float64) error {
	if !(amps > 0 && amps <= maxFuse) {
		return fmt.Errorf("fuse holder %q: rating must be above 0 and at most %d A (got %g)", connector, maxFuse, amps)
	}
	f := m.Fuse(connector)
	if f == nil {
		return fmt.Errorf("connector %q of harness %q holds no fuse", connector, m.h.ID)
	}
	component := m.h.Connectors[m.ix.connectors[connector]].Component
	if err := m.forget(component); err != nil {
		return err
	}
	f.Fit(amps)
	return nil
}

// maxFuse bounds ratings in amperes; bolted links of vehicles end well below it.
const maxFuse = 1000

// Replace fits a new, good part of the rating that the harness gives. What was wrong with the old one is gone with it; its
// wires and contacts stay as they are.
func (m *Machine) Replace(component string) error {
	i, ok := m.ix.components[component]
	if !ok {
		return fmt.Errorf("there is no component %q in harness %q", component, m.h.ID)
	}
	if err := m.forget(component); err != nil {
		return err
	}
	d, err := m.fresh(i)
	if err != nil {
		return err
	}
	m.notice() // what the old one did
	m.devices[i] = d
	return m.compile()
}

// forget takes out the alterations that lie in the part itself.
func (m *Machine) forget(component string) error {
	var holders []string
	for _, c := range m.h.Connectors {
		if c.Component == component {
			holders = append(holders, c.ID)
		}
	}
	kept := m.altered[:0:0]
	for _, a := range m.altered {
		switch a := a.(type) {
		case Spoil:
			if a.Component == component {
				continue
			}
		case SeriesOhms:
			if a.Inside == component {
				continue
			}
		case WrongFuse:
			if slices.Contains(holders, a.Connector) {
				continue
			}
		}
		kept = append(kept, a)
	}
	return m.Alter(kept)
}
