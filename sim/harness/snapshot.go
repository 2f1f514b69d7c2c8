package harness

import (
	"fmt"
	"slices"

	"faultloom/sim/device"
)

// Snapshot is a machine at one moment. It belongs to the machine that made it and its clones; it is never changed, so it can be
// restored any number of times.
type Snapshot struct {
	positions      []int
	parted, opened []bool
	altered        []Alteration
	states         [][]float64 // by component
	slots          []slot
	slotStates     [][]float64
	volts          []float64
	restless       string
	clock, stood   float64
	recent         [][happenings]float64
	climate        climate
	effects        []device.Effect // by component
}

// Snapshot returns the present state of everything: controls, plugs, alterations, devices, instruments attached. Devices of
// instruments are the caller's and are kept by reference, their states by value.
func (m *Machine) Snapshot() *Snapshot {
	s := &Snapshot{
		positions: slices.Clone(m.positions), parted: slices.Clone(m.parted), opened: slices.Clone(m.opened),
		altered: slices.Clone(m.altered), slots: slices.Clone(m.slots),
		volts: slices.Clone(m.sol.Voltages()), restless: m.restless,
		clock: m.clock, stood: m.stood, recent: slices.Clone(m.recent), climate: m.climate, effects: m.effects(),
	}
	s.climate.heat = slices.Clone(m.climate.heat)
	s.states = statesOf(m.devices)
	for _, at := range m.slots {
		s.slotStates = append(s.slotStates, device.AppendState(nil, at.dev))
	}
	return s
}

// Restore puts the machine back to a snapshot. The solution is not there again until the next Settle, Hold or Run, which starts
// from the voltages of that moment. Parts that have been replaced since stay the new ones, in the old state.
func (m *Machine) Restore(s *Snapshot) error {
	if len(s.states) != len(m.devices) || len(s.positions) != len(m.positions) {
		return fmt.Errorf("harness %q: the snapshot is of another machine", m.h.ID)
	}
	for k, p := range s.positions {
		m.turn(k, p)
	}
	heat := m.climate.heat
	copy(heat, s.climate.heat)
	m.climate = s.climate
	m.climate.heat = heat
	copy(m.parted, s.parted)
	copy(m.opened, s.opened)
	if err := m.refitSlots(s.slots); err != nil {
		return err
	}
	if err := m.Alter(s.altered); err != nil {
		return err
	}
	for i, x := range s.states {
		m.devices[i].SetState(x)
	}
	for i, x := range s.slotStates {
		m.slots[i].dev.SetState(x)
	}
	m.restless, m.clock, m.stood = s.restless, s.clock, s.stood
	copy(m.recent, s.recent)
	if len(s.volts) == m.sol.Nodes() {
		m.sol.Start(s.volts)
	}
	m.noticed, m.unsolved = append(m.noticed[:0], s.effects...), true
	return nil
}

// Clone returns a machine in the same state that shares nothing that changes. Instruments are not cloned.
func (m *Machine) Clone() (*Machine, error) {
	c, err := NewMachine(m.h)
	if err != nil {
		return nil, err
	}
	if m.spare != nil {
		if err := c.Prepare(); err != nil {
			return nil, err
		}
	}
	s := m.Snapshot()
	s.slots, s.slotStates = nil, nil
	return c, c.Restore(s)
}
