package harness

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"faultloom/sim/device"
)

// Event is something that happened while time passed.
type Event struct {
	Seconds   float64 // from the start of the call
	Component string  // "" when it was an instrument
	Slot      string  // of the instrument
	What      string  // a device.Happening's word, or EffectChanged
	Word      string  // with EffectChanged: the new word of the component's effect
	Loud      bool    // a person standing at the vehicle hears it
}

// EffectChanged is the Event.What of a component of which something else is noticed now.
const EffectChanged = "effect"

const (
	// minStep keeps a device that asks for ever smaller steps from stopping time: a hundredth of the fastest thing that
	// is resolved here, a relay's armature (3 to 10 ms by data sheets).
	minStep = 2e-5
	// flicker is the shortest time over which an observer tells two changes of the same thing apart when both go the same way
	// (a lamp that comes on is seen to come on, not to pass through dim): about a fifth of a second to react to light
	// (common practice, no source).
	flicker = 0.2
	// soon is longer than any relay takes to move: what is due within it may be a circuit that never rests.
	soon = 1.0
)

// pending is a change of effect that is not told yet, because it may go on.
type pending struct {
	open   bool
	at     float64
	effect device.Effect
	rising bool
}

// run is one call of Run.
type run struct {
	m       *Machine
	at      float64
	events  []Event
	told    []device.Effect // by component: the effect before the pending change
	pending []pending
}

// Run lets seconds pass with all that moves in them: filaments warming up, relays moving, fuses heating. Steps follow what moves
// fastest; when all is at rest it skips to the next thing due. It returns what happened, in the order of time. It ends settled when
// all is at rest, else with the solution of the last instant. A circuit that cannot rest is no error here; Restless
// names what keeps it going.
func (m *Machine) Run(seconds float64) ([]Event, error) { return m.RunSeeing(seconds, nil) }

// RunSeeing is Run that calls see, unless it is nil, after each solution with the seconds for which it stands.
func (m *Machine) RunSeeing(seconds float64, see func(dt float64)) ([]Event, error) {
	if see != nil {
		m.watched(true)
		defer m.watched(false)
	}
	r := m.newRun()
	err := m.through(seconds, func(dt float64) {
		r.look()
		if see != nil {
			see(dt)
		}
	}, nil, &r.at, &r.events)
	return r.end(), err
}

// RunUntil is Run that ends before its time once enough says so of what has happened since it was asked last. It returns the seconds that have
// passed as well.
func (m *Machine) RunUntil(seconds float64, enough func(more []Event) bool) (events []Event, passed float64, err error) {
	r, asked := m.newRun(), 0
	err = m.through(seconds, func(float64) { r.look() }, func() bool {
		more := r.events[asked:]
		asked = len(r.events)
		return len(more) > 0 && enough(more)
	}, &r.at, &r.events)
	passed = r.at
	return r.end(), passed, err
}

func (m *Machine) newRun() *run {
	if m.shifted == nil {
		m.shifted, m.pending = make([]bool, len(m.devices)), make([]pending, len(m.devices))
	}
	clear(m.shifted)
	clear(m.pending)
	m.told = m.effectsInto(m.told[:0])
	return &run{m: m, told: m.told, pending: m.pending}
}

// end returns all that has happened, in the order of time.
func (r *run) end() []Event {
	r.look()
	for i := range r.pending {
		r.tell(i)
	}
	sortEvents(r.events)
	return r.events
}

// effects returns by component what it does, or did when the circuit was solved last.
func (m *Machine) effects() []device.Effect {
	return m.effectsInto(make([]device.Effect, 0, len(m.devices)))
}

// effectsInto appends them.
func (m *Machine) effectsInto(out []device.Effect) []device.Effect {
	if m.unsolved {
		return append(out, m.noticed...)
	}
	for _, d := range m.devices {
		out = append(out, d.Effect(m.sol))
	}
	return out
}

// Average lets seconds pass like Run and calls f after each solution with the seconds for which it stands. It is for
// circuits that cannot rest, of which a slow instrument shows the mean: Σ reading·dt over seconds.
func (m *Machine) Average(seconds float64, f func(dt float64)) error {
	m.watched(true)
	defer m.watched(false)
	var at float64
	var events []Event
	return m.through(seconds, f, nil, &at, &events)
}

// watched lets all devices know whether somebody watches.
func (m *Machine) watched(on bool) {
	for _, d := range m.moving {
		if w, ok := d.(device.Watched); ok {
			w.Watch(on)
		}
	}
}

// through is the march through time, to the end of the seconds or until stop, unless it is nil, reports that it is to end. It calls f for each
// solution with the time for which it stands; at is the time of that solution while f runs, and the end of its stretch while happenings are
// gathered. It leaves the solution at the end.
func (m *Machine) through(seconds float64, f func(dt float64), stop func() bool, at *float64, events *[]Event) error {
	m.restless = ""
	for *at < seconds && (stop == nil || !stop()) {
		step, err := m.instant()
		if err != nil {
			return err
		}
		dt := min(max(min(step, m.due()), minStep), seconds-*at)
		f(dt)
		*at += dt
		m.advance(dt, *at, events)
	}
	step, err := m.instant()
	switch {
	case err != nil:
		return err
	case !math.IsInf(step, 1):
		return m.findRestless(device.Moving)
	case m.due() < soon:
		return m.findRestless(device.Steady)
	}
	return nil
}

// Instant solves for the present instant, with all that moves as it is.
func (m *Machine) Instant() error { return m.solve(device.Moving) }

// instant solves for the present instant and returns how long a step may be. When nothing moves it solves for the steady state
// instead, so that a long stretch begins and ends where the devices' models agree. Discrete states stay: a relay that is about to
// click does so in its time.
func (m *Machine) instant() (step float64, err error) {
	if err := m.solve(device.Moving); err != nil {
		return 0, err
	}
	step = math.Inf(1)
	for _, d := range m.moving {
		step = min(step, d.Step(m.sol))
	}
	if !math.IsInf(step, 1) {
		return step, nil
	}
	if err := m.solve(device.Steady); err != nil {
		return 0, err
	}
	m.bringToRest()
	return step, nil
}

// findRestless finds out whether what still moves, or is about to, will ever come to rest: not when there is no steady state, nor when
// the same device has changed again and again (there may be a steady state that it never gets to, for its own inrush). States and
// solution stay as they are.
func (m *Machine) findRestless(mode device.Mode) error {
	states := m.states()
	_, err := m.settle()
	if err != nil && !errors.Is(err, ErrRestless) {
		return err
	}
	if m.restless == "" {
		m.restless = m.neverStops()
	}
	m.setStates(states)
	return m.solve(mode)
}

// states returns the state of every device.
func (m *Machine) states() [][]float64 {
	return statesOf(m.moving)
}

// statesOf returns the states of devices.
func statesOf(list []device.Device) [][]float64 {
	all, numbers := make([][]float64, len(list)), make([]float64, 0, 4*len(list))
	for i, d := range list {
		from := len(numbers)
		numbers = device.AppendState(numbers, d)
		all[i] = numbers[from:len(numbers):len(numbers)]
	}
	return all
}

func (m *Machine) setStates(all [][]float64) {
	for i, d := range m.moving {
		d.SetState(all[i])
	}
}

// event makes an Event of what device i did.
func (m *Machine) event(i int, at float64, h device.Happening) Event {
	e := Event{Seconds: at, What: h.What, Loud: h.Loud}
	if i < len(m.devices) {
		e.Component = m.h.Components[i].ID
	} else {
		e.Slot = m.nameOf(i)
	}
	return e
}

// Moved tells for each component whether what is noticed of it has changed at all in the last Run, however briefly. The slice belongs to the
// machine, and the next Run writes it anew.
func (m *Machine) Moved() []bool { return m.shifted }

// look compares what is noticed now with what was noticed before.
func (r *run) look() {
	for i, d := range r.m.devices {
		now := d.Effect(r.m.sol)
		p := &r.pending[i]
		was := r.told[i]
		if p.open {
			was = p.effect
		}
		if now.Word == was.Word {
			continue
		}
		r.m.shifted[i] = true
		rising := now.Level > was.Level
		if p.open && (rising != p.rising || r.at-p.at > flicker) {
			r.tell(i)
		}
		*p = pending{open: true, at: r.at, effect: now, rising: rising}
	}
}

// tell adds a pending change to the events.
func (r *run) tell(i int) {
	p := &r.pending[i]
	if !p.open {
		return
	}
	p.open = false
	if p.effect.Word != r.told[i].Word {
		r.events = append(r.events, Event{
			Seconds: p.at, Component: r.m.h.Components[i].ID, What: EffectChanged,
			Word: p.effect.Word, Loud: p.effect.Sense == device.Sound,
		})
	}
	r.told[i] = p.effect
}

// sortEvents puts events in the order of time; those of one moment stay in the order in which they were found.
func sortEvents(events []Event) {
	slices.SortStableFunc(events, func(a, b Event) int { return cmp.Compare(a.Seconds, b.Seconds) })
}
