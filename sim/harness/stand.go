package harness

import (
	"errors"
	"math"
	"slices"

	"faultloom/sim/device"
)

// Stand is a position of a control that means that the vehicle has stood for a time: over a weekend, a night on the charger.
type Stand struct {
	Position string  `json:"position"`
	Seconds  float64 `json:"seconds"`
	Charged  bool    `json:"charged,omitempty"` // a charger was on the battery: it is full all the while, whatever the vehicle draws
}

// StandFor returns what a position of the control stands for, and whether it stands for anything.
func (c Control) StandFor(position string) (Stand, bool) {
	k := slices.IndexFunc(c.Stands, func(s Stand) bool { return s.Position == position })
	if k < 0 {
		return Stand{}, false
	}
	return c.Stands[k], true
}

// Moves returns what is to be operated, one after the other, to bring the controls from one set of positions to another (each by control): first what
// goes to rest, then all else in its order. Where a control lets the vehicle stand for a time nobody leaves anything on: all others go to rest
// before it, and what is to be elsewhere is put there when it has stood.
func (h *Harness) Moves(from, to []string) []Setting {
	var rest, stand, on []Setting
	for k, c := range h.Controls {
		if _, stands := c.StandFor(to[k]); stands && from[k] != to[k] {
			stand = append(stand, Setting{c.ID, to[k]})
		}
	}
	for k, c := range h.Controls {
		if slices.Contains(stand, Setting{c.ID, to[k]}) {
			continue
		}
		idle := c.Positions[0]
		at := from[k]
		if at != idle && (to[k] == idle || len(stand) > 0) {
			rest = append(rest, Setting{c.ID, idle})
			at = idle
		}
		if at != to[k] {
			on = append(on, Setting{c.ID, to[k]})
		}
	}
	return slices.Concat(rest, stand, on)
}

// AtRest returns the positions of all controls at rest, by control.
func (h *Harness) AtRest() []string {
	out := make([]string, len(h.Controls))
	for k, c := range h.Controls {
		out[k] = c.Positions[0]
	}
	return out
}

// Asked returns where a line of the check asks the controls to stand, by control: at rest those that it does not name.
func (h *Harness) Asked(line CheckLine) []string {
	out := h.AtRest()
	for k, c := range h.Controls {
		for _, s := range line.Set {
			if s.Control == c.ID {
				out[k] = s.Position
			}
		}
	}
	return out
}

// LeastStand and MostStand bound the time that a position stands for, in seconds: everything comes to rest in the shortest, and in
// the longest any battery that loses anything worth looking for is flat.
const LeastStand, MostStand = restSeconds, 30 * 86400.0

// MoveAll operates the controls, in the order of Moves, until they are in these positions, by control.
func (m *Machine) MoveAll(positions []string) error {
	from := make([]string, len(m.h.Controls))
	for k, c := range m.h.Controls {
		from[k] = c.Positions[m.positions[k]]
	}
	for _, s := range m.h.Moves(from, positions) {
		if err := m.Operate(s.Control, s.Position); err != nil {
			return err
		}
	}
	return nil
}

const (
	// restSeconds is the first part of the time for which a vehicle stands, in seconds: after it everything has come to rest, timers and all.
	restSeconds = 600.0
	// standHops is how many changes are followed one by one: a battery that runs down makes twenty.
	standHops = 300
	// standGrains is by how many grains the charge of a battery may move while a circuit stands until its voltage is found anew: five are 40 mV of a 12 V
	// battery.
	standGrains = 5.0
	// standWatched is how long, in seconds, a circuit that does not come to rest is followed: some periods of a flasher.
	standWatched = 3
)

// Stand lets so many seconds pass in which nobody is there: from one steady state to the next, as the battery runs down through
// whatever is on. Of what goes on and on, such as a flasher or a breaker that cycles, some is followed, and the battery taken to go on
// as it did then for as long as its charge moves by no more than some grains. half is called once when all has come to rest, unless it is nil.
// On a charger it stays full. It ends settled where there is a rest.
func (m *Machine) Stand(s Stand, half func() error) error {
	if s.Charged {
		m.fill()
	}
	for _, part := range [2]float64{min(restSeconds, s.Seconds), max(0, s.Seconds-restSeconds)} {
		if err := m.leave(part, s.Charged); err != nil {
			return err
		}
		if half != nil {
			if err := half(); err != nil {
				return err
			}
			half = nil
		}
	}
	m.stood += s.Seconds
	if s.Charged {
		m.stood = 0
	}
	if err := m.Settle(); err != nil && !errors.Is(err, ErrRestless) {
		return err
	}
	return nil
}

// Stood returns for how many seconds the vehicle has stood since its battery was on a charger last: while that is 0, what has been drawn from
// the battery is no more than what a job on the bench takes.
func (m *Machine) Stood() float64 { return m.stood }

// batteries returns the machine's batteries, in the order of the components.
func (m *Machine) batteries() []*device.Battery {
	var out []*device.Battery
	for _, d := range m.devices {
		if b, ok := d.(*device.Battery); ok {
			out = append(out, b)
		}
	}
	return out
}

// Charges returns the charge of each battery, 0 to 1, in the order of the components.
func (m *Machine) Charges() []float64 {
	var out []float64
	for _, b := range m.batteries() {
		out = append(out, b.Charged())
	}
	return out
}

// Charge brings each battery to a charge, as Charges returns them. It does not solve.
func (m *Machine) Charge(charges []float64) {
	for i, b := range m.batteries() {
		b.Charge(charges[i])
	}
}

// fill makes all batteries full.
func (m *Machine) fill() {
	for _, b := range m.batteries() {
		b.Charge(1)
	}
}

// Drains returns the share of a full charge that goes into or out of a battery a second in the last solution, of the one in which that is most.
func (m *Machine) Drains() float64 {
	most := 0.0
	for _, d := range m.devices {
		if b, ok := d.(*device.Battery); ok {
			most = max(most, b.Drains(m.sol))
		}
	}
	return most
}

// Grain returns in how many seconds the charge of a battery moves so far that its voltage is worth finding anew, at what flows in the last
// solution; +Inf when it never does.
func (m *Machine) Grain() float64 {
	first := math.Inf(1)
	for _, d := range m.devices {
		if b, ok := d.(*device.Battery); ok {
			first = min(first, b.Due(m.sol))
		}
	}
	return first
}

// leave lets seconds pass, on a charger or not.
func (m *Machine) leave(seconds float64, charged bool) error {
	for past := 0.0; past < seconds; {
		before := m.Charges()
		gone, err := m.followStanding(seconds-past, charged)
		if err != nil {
			return err
		}
		if charged {
			m.fill()
		}
		past += gone
		if past >= seconds {
			return nil
		}
		more, fastest := seconds-past, 0.0
		now := m.Charges()
		for i := range now {
			fastest = max(fastest, math.Abs(now[i]-before[i])/gone)
		}
		if fastest > 0 {
			more = min(more, standGrains*device.ChargeGrain/fastest)
		}
		for i := range now {
			now[i] += float64((now[i] - before[i]) / gone * more)
		}
		m.Charge(now)
		m.clock += more
		m.Age(more)
		past += more
	}
	return nil
}

// followStanding goes through as much of the seconds as takes standHops changes, or standWatched of them where there is no rest. It returns how
// much that was.
func (m *Machine) followStanding(seconds float64, charged bool) (past float64, err error) {
	var unheard []Event
	for range standHops {
		if charged {
			m.fill()
		}
		err := m.calm(seconds, &past, &unheard)
		if errors.Is(err, ErrRestless) {
			watched := min(seconds, standWatched)
			err = m.through(past+watched, func(float64) {}, nil, &past, &unheard)
			return min(past, seconds), err
		}
		if err != nil {
			return past, err
		}
		due := m.dueBut()
		if !charged {
			due = min(due, standGrains*m.Grain())
		}
		due = max(due, minStep)
		if !(past+due <= seconds) {
			m.advance(max(0, seconds-past), seconds, &unheard)
			return seconds, nil
		}
		past += due
		m.advance(due, past, &unheard)
	}
	return past, nil
}
