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
	// easyRounds is how many rounds of discrete changes are made before looking for a cycle; a chain of relays that switch each other
	// takes one round each.
	easyRounds = 8
	// maxRounds ends a search that neither settles nor repeats itself, for states of devices are finite in number.
	maxRounds = 400
)

// Settle finds the steady state for the present controls, plugs and alterations: everything has warmed up and stopped moving.
// It does not blow a fuse that would take a while: that needs time, see Hold and Run. It returns a *RestlessError, with the
// last state tried as the solution, when there is no steady state; other errors name the branch that has no
// solution.
func (m *Machine) Settle() error {
	if err := m.settle(); err != nil {
		return err
	}
	for _, d := range m.moving {
		d.Rest(m.sol)
	}
	return nil
}

// settle is Settle without bringing the continuous states to rest.
func (m *Machine) settle() error {
	m.restless = ""
	m.history = m.history[:0]
	single := false
	for round := range maxRounds {
		if err := m.solve(device.Steady); err != nil {
			return err
		}
		last := m.settleOnce(single)
		if last < 0 {
			return nil
		}
		if round < easyRounds {
			continue
		}
		if !m.repeats() {
			continue
		}
		if single {
			return m.restlessIn(last)
		}
		// Two devices that each wait for the other would change places for ever if moved together; one at a time, in their fixed
		// order, decides the race.
		single = true
		m.history = m.history[:0]
	}
	return m.restlessIn(0)
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

// settleOnce moves the discrete states and returns the last device that changed, -1 if none did. With single, only the first
// that wants to change does.
func (m *Machine) settleOnce(single bool) int {
	last := -1
	for i, d := range m.moving {
		if !d.Settle(m.sol) {
			continue
		}
		last = i
		if single {
			break
		}
	}
	return last
}

// repeats reports whether all devices have been in their present states before, and remembers these.
func (m *Machine) repeats() bool {
	var now []float64
	for _, d := range m.moving {
		now = append(now, d.State()...)
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
	err := m.sol.Solve()
	if err == nil {
		return nil
	}
	m.sol.Cold() // a start far off may lead astray where a cold one does not
	if m.sol.Solve() == nil {
		return nil
	}
	return fmt.Errorf("harness %q: %w", m.h.ID, err)
}

// Restless returns the id of the component that kept the last Settle, Hold or Run from coming to rest, "" if it did.
func (m *Machine) Restless() string { return m.restless }

// Hold lets seconds pass as a slow observer sees it: from one steady state to the next, at the moments when a fuse or breaker
// opens or closes, without what moves in between (inrush, warming up, coils). It ends settled. It is many times faster than
// Run and ends in the same state wherever inrush does no harm. The happenings are in order; what Settle moves at once, such
// as a relay, is not among them.
func (m *Machine) Hold(seconds float64) ([]Event, error) {
	var events []Event
	for past := 0.0; ; {
		if err := m.Settle(); err != nil {
			return events, err
		}
		due := max(m.due(), minStep)
		if !(past+due <= seconds) {
			m.advance(seconds-past, seconds, &events)
			return events, m.Settle()
		}
		past += due
		m.advance(due, past, &events)
		if len(events) > maxHappenings {
			return events, nil // a breaker that cycles: it does so for ever
		}
	}
}

// maxHappenings bounds what is told of one stretch of time.
const maxHappenings = 1000

// due returns how long the present steady solution can stand.
func (m *Machine) due() float64 {
	due := math.Inf(1)
	for _, d := range m.moving {
		due = min(due, d.Due(m.sol))
	}
	return max(due, 0)
}

// advance moves all states by dt seconds under the present solution; at is the time at the end of it.
func (m *Machine) advance(dt, at float64, events *[]Event) {
	for i, d := range m.moving {
		for _, h := range d.Advance(m.sol, dt) {
			*events = append(*events, m.event(i, at, h))
		}
	}
}
