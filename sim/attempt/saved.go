package attempt

import (
	"errors"
	"slices"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Saved is a Model at one moment. It belongs to the Model that made it and is never changed, so it can be loaded any number of
// times.
type Saved struct {
	machine *harness.Snapshot
	bench   *meter.Saved
	faults  []fault.Fault
	ticks   int64
	exact   bool
	sight   Sight

	strains    []strain
	otherDoubt bool
	adrift     bool
	stirred    bool
	kelvin     []float64
	heats      [][2]float64
	spins      []spun
	lags       float64
	drawn      float64
	ago, least float64
	sure       float64
	present    int
}

// Save returns the model as it is after Suppose or Take.
func (m *Model) Save() *Saved {
	return &Saved{
		machine: m.w.m.Snapshot(), bench: m.w.bench.Save(), faults: slices.Clone(m.w.faults), ticks: m.w.ticks,
		exact: m.exact, sight: m.sight.remembered(), strains: slices.Clone(m.strains), otherDoubt: m.otherDoubt, adrift: m.adrift, stirred: m.stirred,
		kelvin: slices.Clone(m.kelvin), heats: slices.Clone(m.heats), spins: slices.Clone(m.spins), lags: m.lags, drawn: m.drawn,
		ago: m.ago, least: m.least, sure: m.sure, present: m.present,
	}
}

// Load goes on from where the model was when it was saved, exact or not as it was then, as if nothing had been supposed since.
func (m *Model) Load(s *Saved) error { return m.load(s, nil) }

// LoadWith is Load with other faults put in at that moment, in place of those that were in.
func (m *Model) LoadWith(s *Saved, faults ...fault.Fault) error {
	return m.load(s.With(faults...), m.w.alter)
}

func (m *Model) load(s *Saved, alter func() error) error {
	if err := m.put(s, alter); err != nil {
		return err
	}
	if m.exact {
		_, err := m.w.m.Run(0)
		return err
	}
	var err error
	m.still, err = m.w.m.Quiet()
	if errors.Is(err, harness.ErrRestless) {
		m.still, err = 0, nil
	}
	return err
}

// put is load that does not solve.
func (m *Model) put(s *Saved, alter func() error) error {
	w := m.w
	w.bench.Load(s.bench)
	if err := w.m.Restore(s.machine); err != nil {
		return err
	}
	w.faults, w.ticks = append(w.faults[:0], s.faults...), s.ticks
	if alter != nil {
		if err := alter(); err != nil {
			return err
		}
	}
	m.exact = s.exact
	m.sight.recall(&s.sight)
	copy(m.strains, s.strains)
	m.otherDoubt, m.adrift, m.stirred = s.otherDoubt, s.adrift, s.stirred
	copy(m.kelvin, s.kelvin)
	copy(m.heats, s.heats)
	copy(m.spins, s.spins)
	m.lags = s.lags
	m.drawn = s.drawn
	m.ago, m.least, m.sure, m.present, m.unresting = s.ago, s.least, s.sure, s.present, false
	return nil
}

// With returns the same moment with other faults that do the same to the circuit: what a repair then mends, and what can be seen, is
// theirs.
func (s *Saved) With(faults ...fault.Fault) *Saved {
	c := *s
	c.faults = slices.Clone(faults)
	return &c
}
