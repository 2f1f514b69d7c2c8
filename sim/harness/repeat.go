package harness

import (
	"math"
	"slices"

	"faultloom/sim/device"
)

const (
	// rounds is how many cycles lie between two looks at what comes and goes, so that what comes out even only after some has time to.
	rounds = 8
	// sameState and sameSpan are by how much a state, of its size or of 1, and the time of so many cycles may differ for them to be the same.
	sameState, sameSpan = 1e-6, 1e-6
	// mostCharge is how much of a battery's charge may go before it is looked again: 2 mV of a 12 V battery.
	mostCharge = 0.0025
	// mostHeat is the same for what warms up for minutes, as device.Spread counts it: half of what a resistance may be off by and count as the same.
	mostHeat = 0.01
)

// repeating finds out in a run whether what comes and goes does the same again and again.
type repeating struct {
	r       *run
	seconds float64
	asked   int
	counts  map[Event]int // by what happened, without its time
	beat    *Event        // what tells the cycles apart
	beats   int
	states  []float64 // at the last look, without what moves slowly
	charges []float64 // the batteries'
	heats   []float64 // of what warms up for minutes
	at      float64   // of the last look
	span    float64   // seconds from the one before to it, 0 for none
}

// RunOn is Run for long waits in a circuit in which something comes and goes on and on. Once every state is, after some whole cycles, what it was
// before them, all will be as it has been, and as many cycles as fit in what is left are not gone through: only what they take from the batteries,
// and what slowly warms or cools with them, is counted. What would have happened in them is not among the events.
func (m *Machine) RunOn(seconds float64) ([]Event, error) {
	r := m.newRun()
	p := &repeating{r: r, seconds: seconds, counts: map[Event]int{}}
	err := m.through(seconds, func(float64) { r.look() }, func() bool {
		p.look()
		return false
	}, &r.at, &r.events)
	return r.end(), err
}

// look takes in what has happened since the last time, and skips what is sure to repeat itself.
func (p *repeating) look() {
	more := p.r.events[p.asked:]
	p.asked = len(p.r.events)
	if len(p.r.m.fickle) > 0 {
		return // what comes and goes with heat has a time of its own
	}
	for _, e := range more {
		e.Seconds = 0
		if p.beat == nil {
			if p.counts[e]++; p.counts[e] >= rounds {
				p.beat = &e
			}
			continue
		}
		if e == *p.beat {
			if p.beats++; p.beats%rounds == 0 {
				p.compare()
			}
		}
	}
}

// compare looks whether all is as it was at the last look, but for what moves slowly.
func (p *repeating) compare() {
	m := p.r.m
	now, heats := p.fast()
	charges, span := m.Charges(), p.r.at-p.at
	if len(p.states) > 0 && p.span > 0 && math.Abs(span-p.span) <= sameSpan*span && slices.EqualFunc(now, p.states, closeState) {
		if times := p.bearable(math.Floor((p.seconds-p.r.at)/span)-1, span, charges, heats); times > 0 {
			p.skip(times, span, charges, heats)
			p.states = nil // and look again, in case what moves slowly has not let all go by
			return
		}
	}
	if len(p.states) == 0 {
		span = 0
	}
	p.states, p.charges, p.heats, p.at, p.span = now, charges, heats, p.r.at, span
}

// fast returns the states of everything but what moves slowly, and the heats of what does.
func (p *repeating) fast() (states, heats []float64) {
	for _, d := range p.r.m.moving {
		switch d := d.(type) {
		case *device.Battery:
			states = append(states, d.State()[1:]...) // without its charge
		case device.Warming:
			heat := d.Heat()
			heats = append(heats, heat)
			d.Heated(0)
			states = device.AppendState(states, d)
			d.Heated(heat)
		default:
			states = device.AppendState(states, d)
		}
	}
	return states, heats
}

// warms calls do for each device that warms up for minutes, with what its heat will be after so many spans: the rate at which
// it moves falls off with its time constant.
func (p *repeating) warms(times, span float64, heats []float64, do func(d device.Warming, heat float64)) {
	k := 0
	for _, d := range p.r.m.moving {
		w, ok := d.(device.Warming)
		if !ok {
			continue
		}
		_, tau := w.Resting(p.r.m.sol)
		left := math.Exp(-span / tau)
		moved := heats[k] - p.heats[k]
		do(w, heats[k]+float64(moved*left*(1-math.Pow(left, times))/(1-left)))
		k++
	}
}

// bearable returns how many spans of so many may go by at once before anything that moves slowly has moved so far that the rest feels it.
func (p *repeating) bearable(times, span float64, charges, heats []float64) float64 {
	for i := range charges {
		if moved := math.Abs(charges[i] - p.charges[i]); moved > 0 {
			times = min(times, math.Floor(mostCharge/moved))
		}
	}
	for times > 0 {
		far, k := false, 0
		p.warms(times, span, heats, func(d device.Warming, heat float64) {
			far = far || device.Spread(d, heats[k], heat) > mostHeat
			k++
		})
		if !far {
			break
		}
		times = math.Floor(times / 2)
	}
	return times
}

// skip lets so many spans go by.
func (p *repeating) skip(times, span float64, charges, heats []float64) {
	m, past := p.r.m, times*span
	p.r.at += past
	for i := range p.r.pending {
		p.r.pending[i].at += past
	}
	for i := range m.recent {
		for k := range m.recent[i] {
			if m.clock-m.recent[i][k] < soon {
				m.recent[i][k] += past
			}
		}
	}
	m.clock += past
	m.Age(past)
	for i := range charges {
		charges[i] += float64(times * (charges[i] - p.charges[i]))
	}
	m.Charge(charges)
	p.warms(times, span, heats, func(d device.Warming, heat float64) { d.Heated(heat) })
}

func closeState(x, y float64) bool {
	return x == y || math.Abs(x-y) <= sameState*max(1, math.Abs(x))
}
