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
	b.keys = keys{}
	b.extra.zero, b.extra.zeroed = 0, false
	b.lamp.SetState(b.fresh.lamp)
	b.extra.load.SetState(b.fresh.load)
	b.shunt.SetState(b.fresh.shunt)
	b.jumper.SetState(b.fresh.jumper)
}

// ConnectLoads is Connect for those tools alone that load a circuit noticeably: test lamp, jumper and ammeter. The others are
// read by Ideal. It does not solve.
func (b *Bench) ConnectLoads(m *harness.Machine) error {
	if b.Attached() && b.dial != Amps {
		b.setProbe()
	}
	hooks := b.hooks(m)
	for i := range hooks {
		if hooks[i].slight {
			hooks[i].dev = nil
		}
	}
	return b.attach(m, hooks)
}

// Attached reports whether ConnectLoads attaches the multimeter, once its leads are placed.
func (b *Bench) Attached() bool {
	switch b.dial {
	case Amps, Diode, Hertz, Duty:
		return true
	}
	return false
}

// Ideal returns what the multimeter would show if it were exact and had one range without end: in base units, the load
// that it is to the circuit included, less what is subtracted in relative; NaN when it is off, has no lead placed or has nothing to
// tell, +Inf for an open circuit in ohms and in the diode test. Where the meter drives a current of its own, foreign is the voltage
// that the circuit itself puts across the leads. The machine must carry what ConnectLoads attaches, and be settled. An error means
// that the circuit could not be solved.
//
// Volts and ohms follow from the Thevenin equivalent of the circuit at the leads, linearised where it stands; the other functions are
// read as Read does it.
func (b *Bench) Ideal(m *harness.Machine) (value, foreign float64, err error) {
	value, foreign, err = b.ideal(m)
	b.keys.last, b.keys.shown = value, !math.IsNaN(value) && !math.IsInf(value, 0)
	if b.keys.relative {
		value -= b.keys.ref
	}
	return value, foreign, err
}

// Direct returns what meets the multimeter's leads just now, in volts, amperes or ohms by its function, +Inf for an open circuit; NaN in any
// other, and while it subtracts a reading. The machine must carry the meter (Connect) and be solved.
func (b *Bench) Direct(m *harness.Machine) float64 {
	ends := b.leads[Multimeter]
	switch {
	case b.keys.relative || !loads(ends):
	case b.dial == Amps:
		return b.shunt.Amps(m.Solver())
	case b.dial == Volts || b.dial == Millivolts:
		return m.VoltsBetween(ends[0], ends[1])
	case b.dial == Ohms || b.dial == Continuity:
		probe, on := b.meter(), b.on
		was := probe.State()
		d, err := b.readOhms(m, ends)
		probe.SetState(was) // it had found its range for the circuit as it was
		b.on = on
		switch {
		case err == nil && d.Valid:
			return d.Value
		case err == nil && d.Text != Blank:
			return math.Inf(1)
		}
	}
	return math.NaN()
}

// Beyond returns where the multimeter is when it shows an overload: -Inf where its leads are the wrong way round for what they meet, else +Inf.
func (b *Bench) Beyond(m *harness.Machine) float64 {
	ends := b.leads[Multimeter]
	back := false
	switch {
	case !loads(ends):
	case b.dial == Amps:
		back = b.shunt.Amps(m.Solver()) < 0
	case b.dial == Volts || b.dial == Millivolts:
		back = m.VoltsBetween(ends[0], ends[1]) < 0
	}
	if back {
		return math.Inf(-1)
	}
	return math.Inf(1)
}

func (b *Bench) ideal(m *harness.Machine) (value, foreign float64, err error) {
	ends := b.leads[Multimeter]
	if b.dial == Off || (ends[0] == "" && ends[1] == "") {
		return math.NaN(), 0, nil
	}
	if b.dial.drives() {
		return b.idealOhms(m, ends)
	}
	switch {
	case b.dial == Amps && (!loads(ends) || b.shunt.Blown()):
		return 0, 0, nil
	case b.dial == Amps:
		return b.shunt.Amps(m.Solver()), 0, nil
	case b.dial == Hertz || b.dial == Duty:
		w := beat{}
		if loads(ends) {
			w, err = b.beat(m)
		}
		return w.value(b.dial), 0, err
	case !loads(ends):
		return 0, 0, nil
	}
	v, r := m.Thevenin(ends[0], ends[1])
	return v * InputOhms / (InputOhms + r), 0, nil
}

func (b *Bench) idealOhms(m *harness.Machine, ends [2]harness.Point) (value, foreign float64, err error) {
	switch {
	case ends[0] == "" || ends[1] == "":
		return math.Inf(1), 0, nil
	case ends[0] == ends[1] && b.dial == Diode:
		return 0, 0, nil
	case ends[0] == ends[1]:
		return LeadOhms, 0, nil
	}
	if b.dial != Diode {
		v, r := m.Thevenin(ends[0], ends[1])
		return r + LeadOhms, v * InputOhms / (InputOhms + r), nil
	}
	was := m.Snapshot()
	value, foreign, err = b.junction(m)
	if back := b.back(m, was); err == nil {
		err = back
	}
	if value > DiodeFull {
		value = math.Inf(1)
	}
	return value, foreign, err
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
	if b.dial != Volts && b.dial != Millivolts || !loads(ends) {
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
