package harness

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/device"
)

var nan = math.NaN()

// ErrRestless is what a RestlessError is: a circuit that has no steady state, such as a relay that breaks its own coil's supply.
var ErrRestless = errors.New("the circuit does not come to rest")

// RestlessError names the device that never stops changing. Run still goes through time in such a circuit.
type RestlessError struct{ Device string }

// Error names the device.
func (e *RestlessError) Error() string {
	return fmt.Sprintf("%s: %q keeps changing", ErrRestless, e.Device)
}

// Is reports whether target is ErrRestless.
func (e *RestlessError) Is(target error) bool { return target == ErrRestless }

const (
	// easyRounds is how many rounds of discrete changes are made before looking for a cycle.
	easyRounds = 2
	// maxRounds ends a search that neither settles nor repeats itself, for states of devices are finite in number.
	maxRounds = 400
)

// Settle finds the steady state for the present controls, plugs and alterations: everything has warmed up and stopped moving.
// It does not blow a fuse that would take a while: that needs time, see Hold and Run. It returns a *RestlessError, with the
// last state tried as the solution, when there is no steady state; other errors name the branch that has no
// solution.
func (m *Machine) Settle() error {
	if _, err := m.settle(); err != nil {
		return err
	}
	m.bringToRest()
	return nil
}

// bringToRest puts the continuous states where the present steady solution leaves them.
func (m *Machine) bringToRest() {
	for _, d := range m.moving {
		d.Rest(m.sol)
	}
}

// settle is Settle without bringing the continuous states to rest. It reports whether any discrete state changed on the way, and the circuit with it.
func (m *Machine) settle() (changed bool, err error) {
	m.restless = ""
	m.history = m.history[:0]
	single, races, turned, noted := false, false, false, false
	for round := range maxRounds {
		if err := m.solve(device.Steady); err != nil {
			return changed, err
		}
		changed = changed || turned && m.anew
		var last, n int
		if last, n, turned = m.settleOnce(single); n == 0 {
			return changed, nil
		}
		if turned && !noted {
			noted = true
			m.settlings++
		}
		if round < easyRounds {
			continue
		}
		races = races || n > 1
		if !m.repeats() {
			continue
		}
		if !races {
			return true, m.restlessIn(last)
		}
		// Two devices that each wait for the other would change places for ever if moved together; one at a time, in their fixed
		// order, decides the race.
		single, races = true, false
		m.history = m.history[:0]
	}
	return true, m.restlessIn(0)
}

func (m *Machine) restlessIn(i int) error {
	m.restless = m.nameOf(i)
	return &RestlessError{Device: m.restless}
}

// nameOf returns the name of a device in m.moving: a component's id or a slot's name.
func (m *Machine) nameOf(i int) string {
	if i < len(m.h.Components) {
		return m.h.Components[i].ID
	}
	return m.slots[i-len(m.h.Components)].name
}

// settleOnce moves the discrete states and returns how many devices changed, the last of them, and whether any turned to something else. With single,
// only the first that wants to change does.
func (m *Machine) settleOnce(single bool) (last, n int, turned bool) {
	for i, d := range m.moving {
		if !d.Settle(m.sol) {
			continue
		}
		last = i
		seeks, may := d.(device.Seeking)
		turned = turned || !may || !seeks.Sought()
		if n++; single {
			break
		}
	}
	return last, n, turned
}

// repeats reports whether all devices have been in their present states before, and remembers these.
func (m *Machine) repeats() bool {
	n := len(m.history)
	m.history = slices.Grow(m.history, 1)
	now := m.history[:n+1][n][:0] // the memory of an earlier search
	for _, d := range m.moving {
		now = device.AppendState(now, d)
	}
	for _, was := range m.history {
		if slices.EqualFunc(was, now, sameBits) {
			return true
		}
	}
	m.history = append(m.history, now)
	return false
}

func sameBits(x, y float64) bool { return math.Float64bits(x) == math.Float64bits(y) }

// solve stamps all devices and finds the operating point.
func (m *Machine) solve(mode device.Mode) error {
	for _, d := range m.moving {
		d.Stamp(m.sol, mode)
	}
	m.anew = !m.sol.Stands()
	err := m.sol.Solve()
	if err != nil {
		m.sol.Cold() // a start far off may lead astray where a cold one does not
		if m.sol.Solve() != nil {
			return fmt.Errorf("harness %q: %w", m.h.ID, err)
		}
	}
	m.unsolved = false
	if m.solved != nil {
		m.solved()
	}
	return nil
}

// Observe lets see be called after every solution of the circuit, steady or of an instant, those included that are only tried; nil ends that.
func (m *Machine) Observe(see func()) { m.solved = see }

// Restless returns the id of the component that kept the last Settle, Hold or Run from coming to rest, "" if it did.
func (m *Machine) Restless() string { return m.restless }

// Hold lets seconds pass as a slow observer sees it: from one steady state to the next, at the moments when a fuse or breaker
// opens or closes, without what moves in between (inrush, warming up, coils). Only where a relay would not bear the inrush that it
// starts, the first moments are gone through like Run. It ends settled. It is many times faster than Run and ends in the
// same state wherever inrush does no other harm, once all that is slow has come to rest. The happenings are in order; what settles at
// once, such as a relay, is not among them. It returns a *RestlessError, with the solution of some instant, where there is no rest.
func (m *Machine) Hold(seconds float64) ([]Event, error) {
	var events []Event
	past := 0.0
	m.held, m.marched = 0, false
	for hops := 0; ; hops++ {
		began, turns := past, m.settlings
		if err := m.calm(seconds, &past, &events); err != nil {
			return events, err
		}
		if m.settlings != turns || past != began {
			m.held = past
		}
		due := max(m.due(), minStep)
		over := !(past+due <= seconds)
		if over {
			due = max(0, seconds-past)
		}
		turned := !over && m.turnsIn(due)
		past += due
		m.advance(due, past, &events)
		if turned {
			m.held = past
		}
		if over || len(events) > maxHappenings || hops > maxHops { // a breaker that cycles does so for ever
			turns = m.settlings
			err := m.Settle()
			if m.settlings != turns {
				m.held = past
			}
			m.held = past - m.held
			return events, err
		}
	}
}

// turnsIn reports whether something other than a battery, whose voltage only falls by degree, will have changed by itself in so many seconds.
func (m *Machine) turnsIn(seconds float64) bool {
	return m.flip() <= seconds || slices.ContainsFunc(m.moving, func(d device.Device) bool {
		_, falls := d.(*device.Battery)
		return !falls && d.Due(m.sol) <= seconds
	})
}

// Held returns for how many seconds before its end the last Hold, if it was not an error, has found nothing that is one thing or another to change.
func (m *Machine) Held() float64 { return m.held }

// Marched reports whether the last Hold or Quiet has gone through the first moments of an inrush that a relay did not bear, InrushSeconds at a time.
func (m *Machine) Marched() bool { return m.marched }

// Quiet settles like Hold and returns how long, in seconds, the steady state can stand until something changes by itself, such as a fuse
// that opens; +Inf when nothing will. Within that time Hold changes nothing but the battery's charge. Errors are those of
// Hold.
func (m *Machine) Quiet() (seconds float64, err error) {
	var events []Event
	past := 0.0
	m.marched = false
	if err := m.calm(0, &past, &events); err != nil {
		return 0, err
	}
	return m.due(), nil
}

// Idle lets seconds go by in which by Quiet nothing changes: for the heat of places, for timers and for what goes into and out of batteries.
func (m *Machine) Idle(seconds float64) {
	for _, d := range m.devices {
		switch d := d.(type) {
		case device.Timed:
			d.Elapse(seconds)
		case *device.Battery:
			d.Advance(m.sol, seconds)
		}
	}
	m.Age(seconds)
}

// InrushSeconds is how long an inrush that moves a relay is followed at a time: filaments are warm in half of it, and a relay that
// buzzes goes through some forty cycles.
const InrushSeconds = 0.5

// calm settles. Where a relay would not bear the inrush, such as lamps that pull the supply down so far that their relay lets go, it goes
// through time until that is over, at least once even if seconds are past.
func (m *Machine) calm(seconds float64, past *float64, events *[]Event) error {
	for followed := false; ; followed = true {
		changed, err := m.settle()
		if err != nil {
			return err
		}
		unsteady := false
		if changed || m.turns && m.rushes() {
			if unsteady, err = m.inrush(nil); err != nil {
				return err
			}
		}
		if !unsteady || followed && *past >= seconds {
			m.bringToRest()
			return nil
		}
		m.marched = true
		begin := *past
		var at float64
		var more []Event
		err = m.through(InrushSeconds, func(float64) {}, nil, &at, &more)
		for _, e := range more {
			e.Seconds += begin
			*events = append(*events, e)
		}
		if err != nil {
			return err
		}
		*past += InrushSeconds
		if m.restless != "" {
			return &RestlessError{Device: m.restless}
		}
	}
}

// rushes reports whether something draws more at this instant than in the steady state that has been found.
func (m *Machine) rushes() bool {
	return slices.ContainsFunc(m.moving, func(d device.Device) bool {
		r, ok := d.(device.Rushing)
		return ok && r.Rushes(m.sol)
	})
}

// Bears reports whether what is one thing or another stays so at this instant, with filaments and motors as they are, as it does in the
// steady state of which it leaves the solution, and nothing draws so much that what feeds it may give up. The machine must be settled.
func (m *Machine) Bears() (bool, error) {
	loads := func() (all []float64) {
		for _, d := range m.devices {
			if l, ok := d.(device.Limiting); ok {
				all = append(all, l.Loads(m.sol)...)
			}
		}
		return all
	}
	steady, givesUp := loads(), false
	found, err := m.inrush(func() { givesUp = device.GivesUp(steady, loads()) })
	return !found && !givesUp, err
}

// inrush reports whether a discrete state that is steady once all is warm would change at this instant, with filaments as they are.
// It leaves the steady solution; see, if it is not nil, looks at that of the instant.
func (m *Machine) inrush(see func()) (found bool, err error) {
	if err := m.solve(device.Moving); err != nil {
		return false, err
	}
	if see != nil {
		see()
	}
	for _, d := range m.moving {
		m.before = device.AppendState(m.before[:0], d)
		if d.Settle(m.sol) {
			found = true
			d.SetState(m.before)
		}
	}
	return found, m.solve(device.Steady)
}

// maxHappenings bounds what is told of one stretch of time, maxHops how often something quiet is due in it: a battery that drains has
// a hundred, a fuse one.
const maxHappenings, maxHops = 1000, 10000

// due returns how long the present steady solution can stand.
func (m *Machine) due() float64 { return min(m.dueBut(), m.Grain()) }

// dueBut is due without what batteries gain and lose.
func (m *Machine) dueBut() float64 {
	due := m.flip()
	for _, d := range m.moving {
		if _, is := d.(*device.Battery); !is {
			due = min(due, d.Due(m.sol))
		}
	}
	return max(due, 0)
}

// advance moves all states by dt seconds under the present solution; at is the time at the end of it.
func (m *Machine) advance(dt, at float64, events *[]Event) {
	m.clock += dt
	for i, d := range m.moving {
		for _, h := range d.Advance(m.sol, dt) {
			m.note(i)
			*events = append(*events, m.event(i, at, h))
		}
	}
	m.Age(dt) // last: a joint that opens with heat changes the circuit that the devices look at
}

// note keeps the time of a component's happening among its last ones.
func (m *Machine) note(i int) {
	if i < len(m.recent) {
		r := &m.recent[i]
		copy(r[1:], r[:])
		r[0] = m.clock
	}
}

// happenings is how many of one device within soon make it restless, when it is about to change again: two whole cycles.
const happenings = 4

// neverStops returns a component that has changed so often of late that it will go on, "" if there is none.
func (m *Machine) neverStops() string {
	for i := range m.recent {
		if m.clock-m.recent[i][happenings-1] < soon {
			return m.nameOf(i)
		}
	}
	return ""
}

// cycle is the longest time, in seconds, within which a component that changes and changes back counts as one that cycles: some circuit
// breakers reset themselves after half a minute (common practice, no source).
const cycle = 60.0

// Cycles reports whether a component comes and goes by itself so slowly that the circuit comes to rest in between, as an overloaded breaker that
// resets itself does: it has changed and changed back within a minute and will again. The machine must be settled or have just run.
func (m *Machine) Cycles() bool {
	for i := range m.recent {
		if m.clock-m.recent[i][1] < cycle && !math.IsInf(m.devices[i].Due(m.sol), 1) {
			return true
		}
	}
	return false
}
