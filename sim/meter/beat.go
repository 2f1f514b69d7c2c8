package meter

import (
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// beat is what repeats in a voltage.
type beat struct {
	low, high, mean float64 // volts
	hertz           float64 // 0 when nothing repeats
	duty            float64 // per cent of the time on the higher side; NaN when nothing repeats
}

// moment is a voltage and how long it stood, in seconds.
type moment struct{ volts, dt float64 }

const (
	// beatLead is how long what follows the pulses is given to fall into step, in seconds.
	beatLead = 0.1
	// beatHysteresis is the share of the swing around its middle that does not count as a change of side, so that a ripple on an edge is
	// no period of its own.
	beatHysteresis = 0.1
	// beatPeriods is how many periods are looked at where there is time for as many, beatMost how many instants at most.
	beatPeriods, beatMost = 16, 4000
)

// beatLooks is how long the meter looks, in seconds: longer while it has not seen two periods. The last is enough for the slowest flasher
// (30 a minute). What cycles more slowly, such as a breaker that resets itself, is looked at for slowLook: it opens for 5 s at a time and takes as
// long to open again, and two whole periods must be seen.
func beatLooks() []float64 { return []float64{0.25, 1, 5} }

const slowLook = 100.0

// beat looks closer at the voltage between the leads. The machine must be settled or have just run.
func (b *Bench) beat(m *harness.Machine) (beat, error) {
	p := b.meter().(*device.Probe)
	volts := func() float64 { return p.Volts(m.Solver()) }
	w, err := listen(m, volts)
	if err != nil || w.hertz > 0 || !m.Cycles() {
		return w, err
	}
	return listenFor(m, slowLook, volts)
}

// listen looks closer at a voltage, not as long as something may take that comes to rest in between.
func listen(m *harness.Machine, volts func() float64) (beat, error) {
	if !m.Waves() && m.Restless() == "" {
		v := volts()
		return beat{low: v, high: v, mean: v, duty: math.NaN()}, nil
	}
	var w beat
	for _, seconds := range beatLooks() {
		var err error
		if w, err = listenFor(m, seconds, volts); err != nil || w.hertz > 0 {
			return w, err
		}
	}
	return w, nil
}

// listenFor looks closer at a voltage for some seconds, or until it has seen enough.
func listenFor(m *harness.Machine, seconds float64, volts func() float64) (beat, error) {
	var moments []moment
	rises := 0
	err := m.Watch(beatLead, seconds, func(_, dt float64) bool {
		v := volts()
		if n := len(moments); n > 0 && v-moments[n-1].volts > SwingVolts {
			rises++
		}
		moments = append(moments, moment{v, dt})
		return len(moments) < beatMost && rises <= beatPeriods
	})
	if err != nil {
		return beat{}, err
	}
	return beatOf(moments), nil
}

// beatOf finds what repeats in a row of voltages, of which at least two whole periods must be there. The mean is that of whole
// periods, or of all when nothing repeats.
func beatOf(moments []moment) beat {
	w := beat{low: math.Inf(1), high: math.Inf(-1), duty: math.NaN()}
	for _, x := range moments {
		w.low, w.high = min(w.low, x.volts), max(w.high, x.volts)
	}
	w.mean = meanOf(moments)
	swing := w.high - w.low
	if !(swing >= SwingVolts) {
		return w
	}
	middle := w.low + swing/2
	up, down := middle+swing*beatHysteresis/2, middle-swing*beatHysteresis/2
	side, first, last, periods := 0, -1, -1, -1
	at, begin, end, high, whole := 0.0, 0.0, 0.0, 0.0, 0.0
	for i, x := range moments {
		switch {
		case x.volts >= up:
			if side < 0 { // a period begins
				if first < 0 {
					first, begin = i, at
				}
				last, end, whole = i, at, high
				periods++
			}
			side = 1
		case x.volts <= down:
			side = -1
		}
		if side > 0 && first >= 0 {
			high += x.dt
		}
		at += x.dt
	}
	if periods < 2 || !(end > begin) {
		return w
	}
	w.hertz = float64(periods) / (end - begin)
	w.duty = 100 * whole / (end - begin)
	w.mean = meanOf(moments[first:last])
	return w
}

func meanOf(moments []moment) float64 {
	sum, time := 0.0, 0.0
	for _, x := range moments {
		sum += float64(x.volts * x.dt)
		time += x.dt
	}
	return sum / time
}

// value is what a function shows of it, NaN when there is nothing to tell.
func (w beat) value(f Function) float64 {
	switch {
	case f == Hertz:
		return w.hertz
	case w.hertz == 0:
		return math.NaN()
	}
	return w.duty
}

func (b *Bench) showBeat(w beat) Display {
	v := w.value(b.dial)
	if math.IsNaN(v) {
		return Display{Text: Blank, Unit: "%"}
	}
	return b.show(b.dial, v)
}
