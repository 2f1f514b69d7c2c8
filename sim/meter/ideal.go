package meter

import (
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Clear lifts all leads, turns the meter off and puts whole, cold fuses and a cold lamp in, with the same devices as before, so
// that a machine that carries them need not be compiled again.
func (b *Bench) Clear() {
	clear(b.leads)
	b.dial, b.on = Off, 0
	b.lamp.SetState(b.fresh.lamp)
	b.shunt.SetState(b.fresh.shunt)
	b.jumper.SetState(b.fresh.jumper)
}

// ConnectLoads is Connect for those tools alone that load a circuit noticeably: test lamp, jumper and ammeter. The others are
// read by Ideal. It does not solve.
func (b *Bench) ConnectLoads(m *harness.Machine) error {
	for _, t := range Tools() {
		ends, d := b.leads[t], b.device(t)
		if d == nil || d == device.Device(b.probe) || !loads(ends) {
			if err := m.Detach(string(t)); err != nil {
				return err
			}
			continue
		}
		if err := m.Attach(string(t), d, ends[0], ends[1]); err != nil {
			return err
		}
	}
	return nil
}

// Ideal returns what the multimeter would show if it were exact and had one range without end: volts, ohms or amperes, the load
// that it is to the circuit included; NaN when it is off or has no lead placed, +Inf for an open circuit in ohms. In ohms and
// continuity, foreign is the voltage that the circuit itself puts across the leads. The machine must carry what
// ConnectLoads attaches, and be settled.
//
// Volts and ohms follow from the Thevenin equivalent of the circuit at the leads, linearised where it stands.
func (b *Bench) Ideal(m *harness.Machine) (value, foreign float64) {
	ends := b.leads[Multimeter]
	if b.dial == Off || (ends[0] == "" && ends[1] == "") {
		return math.NaN(), 0
	}
	switch b.dial {
	case Amps:
		if !loads(ends) || b.shunt.Blown() {
			return 0, 0
		}
		return b.shunt.Amps(m.Solver()), 0
	case Volts:
		if !loads(ends) {
			return 0, 0
		}
		v, r := m.Thevenin(ends[0], ends[1])
		return v * InputOhms / (InputOhms + r), 0
	}
	switch {
	case ends[0] == "" || ends[1] == "":
		return math.Inf(1), 0
	case ends[0] == ends[1]:
		return LeadOhms, 0
	}
	v, r := m.Thevenin(ends[0], ends[1])
	return r + LeadOhms, v * InputOhms / (InputOhms + r)
}

// Feeble limits of a reading in volts that the meter itself may pull elsewhere than its linear equivalent says: an open voltage that
// stands behind much resistance may come through a diode, which passes the meter's microampere at another voltage.
const (
	feebleOhms  = 1e5
	feebleVolts = 0.2
)

// Feeble reports whether a reading in volts rests on so little that only connecting the meter tells what it shows.
func (b *Bench) Feeble(m *harness.Machine) bool {
	ends := b.leads[Multimeter]
	if b.dial != Volts || !loads(ends) {
		return false
	}
	v, r := m.Thevenin(ends[0], ends[1])
	return r > feebleOhms && math.Abs(v) > feebleVolts
}

// LampEffect returns what the test lamp does; its word is "" when it is not connected at both ends.
func (b *Bench) LampEffect(m *harness.Machine) device.Effect {
	if !loads(b.leads[TestLamp]) {
		return device.Effect{}
	}
	return b.lamp.Effect(m.Solver())
}

// FuseLoads returns the current through the ammeter's and the jumper's own fuse as a share of its rating, 0 where it is
// not in a circuit or open.
func (b *Bench) FuseLoads(m *harness.Machine) [2]float64 {
	var share [2]float64
	if b.dial == Amps && loads(b.leads[Multimeter]) && !b.shunt.Blown() {
		share[0] = math.Abs(b.shunt.Amps(m.Solver())) / AmpsFuse
	}
	if loads(b.leads[Jumper]) && !b.jumper.Blown() {
		share[1] = math.Abs(b.jumper.Amps(m.Solver())) / JumperAmps
	}
	return share
}
