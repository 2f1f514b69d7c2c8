package harness

import (
	"errors"
	"fmt"
	"math"

	"faultloom/sim/device"
)

// EffectOf returns what is noticed of a component in the last solution; it is empty for one that the harness does not have.
func (m *Machine) EffectOf(component string) device.Effect {
	i, ok := m.ix.components[component]
	if !ok {
		return device.Effect{}
	}
	return m.devices[i].Effect(m.sol)
}

// Component returns the device of a component by its index in the harness.
func (m *Machine) Component(i int) device.Device { return m.devices[i] }

// EffectAt is EffectOf by the index in the harness.
func (m *Machine) EffectAt(i int) device.Effect { return m.devices[i].Effect(m.sol) }

// Effects returns what is noticed of every component of which something can be noticed, by id, in the last solution. The map
// is the caller's.
func (m *Machine) Effects() map[string]device.Effect {
	all := make(map[string]device.Effect, len(m.devices))
	for i, d := range m.devices {
		if e := d.Effect(m.sol); e.Sense != device.Unnoticed {
			all[m.h.Components[i].ID] = e
		}
	}
	return all
}

// Device returns the device of a component, or nil. It is the machine's, to be looked at only.
func (m *Machine) Device(component string) device.Device {
	i, ok := m.ix.components[component]
	if !ok {
		return nil
	}
	return m.devices[i]
}

// CheckSeconds is how long the controls are held in a line of the normal-operation check before it is judged: what a person
// takes to look (common practice, no source), and long enough for a fuse at twice its rating to open (5 s, ISO 8820-3).
const CheckSeconds = 5

// Seen is what is noticed of a component beside what the check expects.
type Seen struct {
	Component string `json:"component"`
	Want      string `json:"want"`
	Got       string `json:"got"`
	// Near are other words into which a person might have put the same, for it is near to where they begin.
	Near []string `json:"-"`
}

// Ok reports whether it is as it should be.
func (s Seen) Ok() bool { return s.Want == s.Got }

// CheckPasses reports whether a line of the normal-operation check, counted from 0, would hold now: with the machine as it is, plugs,
// fuses and all, the controls that the line does not name at rest, and CheckSeconds gone by. seen tells what each component
// named would be noticed doing. The machine itself is left as it was. A circuit that cannot come to rest is judged by its last
// state; other errors are returned.
func (m *Machine) CheckPasses(line int) (ok bool, seen []Seen, err error) {
	if line < 0 || line >= len(m.h.Check) {
		return false, nil, fmt.Errorf("there is no check line %d; harness %q has %d", line+1, m.h.ID, len(m.h.Check))
	}
	was := m.Snapshot()
	ok, seen, err = m.checkLine(line)
	return ok, seen, errorsFirst(err, m.back(was))
}

// RunCheck goes through all lines of the normal-operation check in order, one state leading to the next as when a person does
// it: a fuse blown in one line is blown in those after. It returns for each line what would be seen. The machine itself is
// left as it was.
func (m *Machine) RunCheck() ([][]Seen, error) {
	was := m.Snapshot()
	all := make([][]Seen, len(m.h.Check))
	for i := range all {
		_, seen, err := m.checkLine(i)
		if err != nil {
			return nil, errorsFirst(err, m.back(was))
		}
		all[i] = seen
	}
	return all, m.back(was)
}

// back restores a snapshot with its solution.
func (m *Machine) back(s *Snapshot) error {
	if err := m.Restore(s); err != nil {
		return err
	}
	return m.solve(device.Moving)
}

// checkLine carries out a line.
func (m *Machine) checkLine(line int) (ok bool, seen []Seen, err error) {
	m.Rest()
	if err := m.Dwell(settlingSeconds); err != nil {
		return false, nil, err
	}
	for _, s := range m.lines[line] {
		if err := m.Operate(s.Control, s.Position); err != nil {
			return false, nil, err
		}
	}
	if err := m.Dwell(CheckSeconds); err != nil {
		return false, nil, err
	}
	ok = true
	for _, e := range m.h.Check[line].Expect {
		effect := m.EffectOf(e.Component)
		s := Seen{Component: e.Component, Want: e.Word, Got: effect.Word, Near: effect.Near(m.h.Components[m.ix.components[e.Component]].Spec.Kind)}
		ok = ok && s.Ok()
		seen = append(seen, s)
	}
	return ok, seen, nil
}

// settlingSeconds is how long controls are at rest between two lines: what it takes to read the next one.
const settlingSeconds = 2

// Dwell lets seconds pass like Hold, and where there is no steady state follows the circuit through the last of them like Run;
// Restless names what keeps it going then. It is the fast way to what a person finds after a while.
func (m *Machine) Dwell(seconds float64) error {
	start := m.clock
	_, err := m.Hold(seconds)
	if !errors.Is(err, ErrRestless) {
		return err
	}
	if m.clock-start >= restlessSeconds {
		return nil // Hold has been following it already
	}
	_, err = m.Run(math.Min(seconds, restlessSeconds))
	return err
}

// restlessSeconds is how long a circuit that cannot rest is followed: a hundred or more times over what a buzzing relay does.
const restlessSeconds = 0.5

func errorsFirst(a, b error) error {
	if a != nil {
		return a
	}
	return b
}
