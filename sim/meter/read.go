package meter

import (
	"errors"
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

func (b *Bench) readMeter(m *harness.Machine, ends [2]harness.Point) (Display, error) {
	d, err := b.readPlain(m, ends)
	if err == nil {
		err = b.widen(m)
	}
	return b.keyed(d), err
}

// readPlain is what the display shows without relative and capture.
func (b *Bench) readPlain(m *harness.Machine, ends [2]harness.Point) (Display, error) {
	switch b.dial {
	case Volts, Millivolts:
		if !loads(ends) {
			return b.show(b.dial, 0), nil // both leads on one point, or nothing that 10 MΩ would not pull together
		}
		s, err := b.sample(m)
		return b.show(b.dial, s.volts), err
	case Hertz, Duty:
		if !loads(ends) {
			return b.showBeat(beat{}), nil
		}
		w, err := b.beat(m)
		return b.showBeat(w), err
	case Diode:
		return b.readDiode(m, ends)
	case Amps:
		if !loads(ends) {
			return b.showAmps(0), nil
		}
		s, err := b.sample(m)
		return b.showAmps(s.amps), err
	}
	return b.readOhms(m, ends)
}

func (b *Bench) showAmps(i float64) Display {
	d := b.show(Amps, i)
	if b.shunt.Blown() {
		d = b.show(Amps, 0)
		d.Words = []string{FuseWord}
	} else if !d.Valid || math.Abs(d.Value) > AmpsFuse {
		d.Words = []string{OverloadWord}
	}
	return d
}

// show quantises v on the lowest range that can hold it.
func (b *Bench) show(f Function, v float64) Display {
	ranges := accuracies[f].Ranges
	for _, r := range ranges {
		if n, ok := r.count(b.cal.apply(f, r, v)); ok {
			return r.show(n)
		}
	}
	return ranges[len(ranges)-1].overload()
}

// sample is what the meter's converter sees: volts of the red lead above the black, amperes into the red lead.
type sample struct{ volts, amps float64 }

// sample takes the meter's own voltage and current, the mean over Update when the circuit does not rest. The machine must
// be settled.
func (b *Bench) sample(m *harness.Machine) (sample, error) {
	p := b.meter().(*device.Probe)
	if m.Restless() == "" {
		return sample{p.Volts(m.Solver()), p.Amps(m.Solver())}, nil
	}
	was := m.Snapshot()
	var sum sample
	var time float64
	err := m.Average(Update, func(dt float64) {
		sum.volts += float64(p.Volts(m.Solver()) * dt)
		sum.amps += float64(p.Amps(m.Solver()) * dt)
		time += dt
	})
	if back := b.back(m, was); err == nil {
		err = back
	}
	return sample{sum.volts / time, sum.amps / time}, err
}

// readOhms shows the ratio of voltage to current at the leads, as the meter's converter forms it whatever the circuit is
// doing: with a foreign voltage there the number means nothing.
func (b *Bench) readOhms(m *harness.Machine, ends [2]harness.Point) (Display, error) {
	ranges := accuracies[b.dial].Ranges
	if ends[0] == "" || ends[1] == "" {
		return ranges[len(ranges)-1].overload(), nil
	}
	if !loads(ends) {
		return b.showOhms(0, LeadOhms, sample{0, -ranges[0].EMF / b.inner(ranges[0])}, false), nil
	}
	was := m.Snapshot()
	d, err := b.pick(m, ranges)
	if back := b.back(m, was); err == nil {
		err = back
	}
	return d, err
}

// Ranging reports whether what the multimeter reads decides on which range, and so with what voltage, it hangs on the circuit from then on.
func (b *Bench) Ranging() bool {
	return (b.dial == Ohms || b.dial == Continuity) && loads(b.leads[Multimeter])
}

// back puts the machine where it was, solved, with the probe as it is now.
func (b *Bench) back(m *harness.Machine, was *harness.Snapshot) error {
	if err := m.Restore(was); err != nil {
		return err
	}
	return m.Average(0, func(float64) {})
}

// pick tries the ranges from the lowest.
func (b *Bench) pick(m *harness.Machine, ranges []Range) (Display, error) {
	foreign, err := b.settled(m, 0, InputOhms)
	if err != nil {
		return Display{}, err
	}
	live := math.Abs(foreign.volts) > LiveVolts
	for i, r := range ranges {
		s, err := b.settled(m, r.EMF, b.inner(r))
		if err != nil {
			return Display{}, err
		}
		b.on = i
		ratio := LeadOhms - s.volts/s.amps
		if _, ok := r.count(b.cal.apply(b.dial, r, ratio)); ok || i == len(ranges)-1 {
			return b.showOhms(i, ratio, s, live), nil
		}
	}
	return Display{}, errors.New("no range") // not reached: the last range always shows
}

// showOhms shows a ratio on range i. The beeper only compares the voltage at the leads with what BeepOhms would leave there.
func (b *Bench) showOhms(i int, ratio float64, s sample, live bool) Display {
	r := accuracies[b.dial].Ranges[i]
	d := r.overload()
	if n, ok := r.count(b.cal.apply(b.dial, r, ratio)); ok {
		d = r.show(n)
	}
	if b.dial == Continuity && s.volts+float64(-s.amps*LeadOhms) < r.EMF*BeepOhms/(BeepOhms+r.Ohms) {
		d.Words = append(d.Words, BeepWord)
	}
	if live {
		d.Words = append(d.Words, LiveWord)
	}
	return d
}

// readDiode shows the voltage that the test current leaves between the leads.
func (b *Bench) readDiode(m *harness.Machine, ends [2]harness.Point) (Display, error) {
	r := accuracies[Diode].Ranges[0]
	switch {
	case ends[0] == "" || ends[1] == "":
		return r.overload(), nil
	case !loads(ends):
		return b.show(Diode, DiodeVolts*LeadOhms/(LeadOhms+DiodeOhms)), nil
	}
	was := m.Snapshot()
	volts, foreign, err := b.junction(m)
	if back := b.back(m, was); err == nil {
		err = back
	}
	d := b.show(Diode, volts)
	if math.Abs(foreign) > LiveVolts {
		d.Words = append(d.Words, LiveWord)
	}
	return d, err
}

// junction returns the voltage at the input in the diode test, and the one that the circuit itself puts there. It leaves the machine
// settled with the test current on.
func (b *Bench) junction(m *harness.Machine) (volts, foreign float64, err error) {
	r := accuracies[Diode].Ranges[0]
	open, err := b.settled(m, 0, InputOhms)
	if err != nil {
		return 0, 0, err
	}
	s, err := b.settled(m, r.EMF, b.inner(r))
	return s.volts + float64(-s.amps*LeadOhms), open.volts, err
}

// settled puts the probe to a source and lets the circuit settle.
func (b *Bench) settled(m *harness.Machine, emf, ohms float64) (sample, error) {
	b.probe.Set(emf, ohms)
	if err := m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
		return sample{}, err
	}
	return b.sample(m)
}
