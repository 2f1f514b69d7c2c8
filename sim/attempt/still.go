package attempt

import (
	"errors"
	"math"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// A model that goes from one steady state to the next says beside what it shows how much of it may still be moving: so it is known when
// nothing is left of the way that led there but what is in or out.

const (
	// nearShare is how far a filament's temperature may be from that at which it comes to rest, as a share, and count as there: 2 % of
	// temperature are 2.4 % of resistance, about what parts differ by. Of a coil or heater it is how far apart the bounds of its heat may be, by what
	// is noticed of it.
	nearShare = 0.02
	// flipSeconds is for how long, in seconds, filaments count as on their way after something came or went with heat, for it may have done so at
	// any time of what has just passed: one that has lost its voltage is dark within a second, and cold within some.
	flipSeconds = 10.0
	// mostDrawn is by how much of a full charge a battery's may be off: 2 % are 16 mV of a 12 V battery. countedShare is how much of what went in or
	// out in a steady state that is, for the inrush before it; of what went where something changed, all is.
	mostDrawn, countedShare = 0.02, 0.05
	// anyHeat is by how much warmer than at rest a coil or heater is at most that has been on before, its heat at rated voltage being 1.
	anyHeat = 2.0
)

// plainKinds are the kinds of component of which the steady state does not depend on what happened before, but for the armature of a relay and
// an element that has melted.
var plainKinds = [...]string{
	"battery", "fuse", "large-fuse", "switch", "button", "relay", "lamp", "led", "horn", "buzzer", "heater", "motor", "solenoid",
	"resistor", "resistor-pack", "diode", "alternator", "flasher", "breaker", "suppressor", "potentiometer", "thermistor", "module",
}

// follow lets filaments warm and cool through seconds of the present steady state, and everything else come nearer to rest. steady says that it
// has stood all the while.
func (m *Model) follow(seconds float64, steady bool) {
	if m.exact {
		return
	}
	past, held := seconds, steady
	if n := m.w.m.Present(); n != m.present { // it has got warmer or colder there
		m.present = n
		m.stir()
		m.least = max(m.least, flipSeconds)
		seconds, steady = 0, false
	}
	sol := m.w.m.Solver()
	for k, l := range m.lamps {
		m.kelvin[k] = l.Follow(sol, m.kelvin[k], seconds)
	}
	m.heat(past, steady)
	stood := past
	if !held {
		stood = m.w.m.Held()
	}
	if held != steady || stood < past {
		m.lose(m.slack())
	}
	m.spin(min(seconds, stood))
	unsure := countedShare
	if !held {
		unsure = 1
	}
	m.drawn += float64(m.w.m.Drains()*past) * unsure
	m.ago += seconds
	if stood < past {
		m.ago = max(0, min(m.ago, stood-lateSeconds))
	}
	m.least = max(0, m.least-seconds)
	if m.busy() {
		m.ago = 0
		m.lose(lateSeconds)
		for _, b := range m.breakers {
			m.least = max(m.least, b.Cools())
		}
	}
}

// lateSeconds is by how much later, in seconds, what follows from a timer may come in time than from one steady state to the next: some reactions of
// units and ways of armatures.
const lateSeconds = 0.1

// unrest returns for how many seconds anything may still be on its way.
func (m *Model) unrest() float64 {
	return max(m.least, m.lasts()-m.ago, 0)
}

// calm makes all that moves have come to its end.
func (m *Model) calm() { m.ago, m.least, m.sure = math.Inf(1), 0, math.Inf(1) }

// heat lets what warms come nearer to rest through seconds of the present steady state, or of one that has come about in them.
func (m *Model) heat(seconds float64, steady bool) {
	sol := m.w.m.Solver()
	all := 1.0
	for _, d := range m.warming {
		rest, _ := d.Resting(sol)
		all *= 1 + float64(d.Bends()*rest)
	}
	for k, d := range m.warming {
		was := m.heats[k]
		rest, tau := d.Resting(sol)
		lo, hi := device.Heats(rest, was[0], was[1], seconds, tau, all*all/(1+float64(d.Bends()*rest)))
		if !steady {
			lo, hi = min(lo, was[0]), max(hi, was[1])
		}
		m.heats[k] = [2]float64{lo, hi}
	}
}

// busy reports whether a breaker is open and will close, or carries so much that it may open: when it does depends on how warm it was.
func (m *Model) busy() bool {
	for _, b := range m.breakers {
		if b.Busy(m.w.m.Solver()) {
			return true
		}
	}
	return false
}

// stir notes that the circuit has changed.
func (m *Model) stir() {
	m.ago, m.stirred, m.unresting = 0, true, false
	m.jolt()
}

// lasts returns for how many seconds something goes on moving at most.
func (m *Model) lasts() float64 {
	t := 0.0
	for _, d := range m.lasting {
		t = max(t, d.Lasts())
	}
	return t
}

// quieten puts what follow keeps to rest.
func (m *Model) quieten() {
	m.calm()
	m.present = m.w.m.Present()
	m.steadied()
	for k, l := range m.lamps {
		m.kelvin[k] = l.Kelvin()
	}
	for k, d := range m.warming {
		m.heats[k] = [2]float64{d.Heat(), d.Heat()}
	}
}

// parts finds the components that matter here. It is called again whenever a part is new.
func (m *Model) parts() {
	m.lamps, m.lasting, m.turning, m.starting, m.breakers = m.lamps[:0], m.lasting[:0], m.turning[:0], m.starting[:0], m.breakers[:0]
	m.warming, m.timed = m.warming[:0], m.timed[:0]
	for _, c := range m.w.ex.Harness.Components {
		d := m.w.m.Device(c.ID)
		if l, ok := d.(*device.Lamp); ok {
			m.lamps = append(m.lamps, l)
		}
		if b, ok := d.(*device.Breaker); ok {
			m.breakers = append(m.breakers, b)
		}
		if t, ok := d.(device.Timed); ok {
			m.timed = append(m.timed, t)
		}
		if w, ok := d.(device.Warming); ok {
			m.warming = append(m.warming, w)
		}
		if l, ok := d.(device.Lasting); ok {
			m.lasting = append(m.lasting, l)
		}
		if t, ok := d.(device.Turning); ok {
			m.turning = append(m.turning, t)
		}
		if x, ok := d.(device.Starting); ok {
			m.starting = append(m.starting, x)
		}
	}
	if len(m.kelvin) != len(m.lamps) {
		m.kelvin = make([]float64, len(m.lamps))
		for k, l := range m.lamps {
			m.kelvin[k] = l.Kelvin()
		}
	}
	if len(m.heats) != len(m.warming) {
		m.heats = make([][2]float64, len(m.warming))
	}
	m.spinners()
}

// stillness fills in how far what the sight shows is at rest.
func (m *Model) stillness() {
	s := &m.sight
	s.Kelvin, s.Heats = append(s.Kelvin[:0], m.kelvin...), append(s.Heats[:0], m.heats...)
	s.Drained = m.drawn > mostDrawn
	s.Unrest, s.Unchanged = m.unrest(), min(m.ago, m.sure)
	still := s.Unrest == 0 && !m.busy() && !s.Drawn && (s.Lamp.Word == "" || settled(s.Lamp))
	sol := m.w.m.Solver()
	for k, l := range m.lamps {
		if m.warms(k) && !l.Dark(sol) {
			still = false
		}
	}
	for k, d := range m.warming {
		if device.Spread(d, m.heats[k][0], m.heats[k][1]) > nearShare {
			still = false
		}
	}
	anyhow, asTold := m.turns()
	s.Still = still && !anyhow
	s.StillAsTold = s.Still || still && !asTold
}

// At goes to a moment that another has been brought to, from one steady state to the next, with other faults in: as a circuit comes to it
// in which nothing is left of what went before but which fuses of the vehicle are open, what charge the batteries have, as in Sight, and unless it is
// nil how warm all is that a sight tells of; else all but what warms for minutes is at rest, see Unknown. It returns what is then shown; nothing
// in it clicks, strains or is in doubt but by what is so at that moment.
func (m *Model) At(s *Saved, blown []bool, charges []float64, warm *Sight, faults ...fault.Fault) (*Sight, error) {
	if err := m.put(s.With(faults...), m.w.alter); err != nil {
		return nil, err
	}
	m.adrift = false
	m.w.m.Charge(charges)
	for i, f := range m.fuses {
		if fuse := m.fuse(f); fuse != nil && fuse.Blown() != blown[i] {
			fuse.Turn(blown[i])
		}
	}
	var err error
	if m.still, err = m.w.m.Quiet(); err != nil && !errors.Is(err, harness.ErrRestless) {
		return nil, err
	}
	m.sight.Restless = err != nil
	m.quieten()
	if warm != nil {
		copy(m.kelvin, warm.Kelvin)
		copy(m.heats, warm.Heats)
	} else {
		for k := range m.heats {
			m.heats[k][1] += anyHeat
		}
	}
	for _, i := range m.relays {
		m.before[i] = m.relay(i).PulledIn()
	}
	m.otherDoubt, m.stirred, m.sight.Drawn, m.unresting = false, false, false, false
	clear(m.strains)
	clear(m.stirs)
	clear(m.heard)
	clear(m.sight.Astir)
	clear(m.sight.Chances)
	m.look()
	return &m.sight, nil
}

// Unknown tells what At has returned anew: all may have been anything when the present steady state came about, so many seconds ago.
func (m *Model) Unknown(seconds float64) *Sight {
	sol := m.w.m.Solver()
	for k, l := range m.lamps {
		m.kelvin[k] = l.FollowAny(sol, seconds)
	}
	for k := range m.heats {
		m.heats[k][0] = 0
	}
	m.lose(lateSeconds)
	m.spin(seconds)
	m.stillness()
	for k := range m.lamps {
		if m.warms(k) { // in the dark too, for there it may still glow
			m.sight.Still, m.sight.StillAsTold = false, false
		}
	}
	return &m.sight
}

// warms reports whether a filament has not come to where the present steady state leads it.
func (m *Model) warms(k int) bool {
	rest := m.lamps[k].Kelvin()
	return math.Abs(m.kelvin[k]-rest) > nearShare*rest
}

// Now returns what is shown at this moment of what At has gone to, with filaments as warm as they are and the meter connected. After it the
// model is of no use until something is supposed or loaded.
func (m *Model) Now() (*Sight, error) {
	if err := m.begin(); err != nil {
		return nil, err
	}
	if err := m.w.m.Instant(); err != nil {
		return nil, err
	}
	clear(m.sight.Clicked)
	m.look()
	return &m.sight, nil
}

// Through makes the model that At has gone to an exact one that goes on from there through time.
func (m *Model) Through() error {
	if err := m.begin(); err != nil {
		return err
	}
	_, err := m.w.m.Run(0)
	return err
}

// Measures reports whether the multimeter looks into the circuit, or would with its leads on it.
func (m *Model) Measures() bool {
	return !math.IsNaN(m.sight.Meter) || m.w.bench.Attached() || m.sight.Logic != ""
}

// Keyed reports whether what the meter shows depends on what it showed before: it subtracts a reading, or keeps the extremes.
func (m *Model) Keyed() bool { return m.w.bench.Relative() || m.w.bench.Capturing() }

func (m *Model) begin() error {
	for k, l := range m.lamps {
		l.Warm(m.kelvin[k])
	}
	for k, d := range m.warming {
		d.Heated((m.heats[k][0] + m.heats[k][1]) / 2)
	}
	m.exact, m.brief = true, true
	clear(m.sight.Astir)
	return m.w.bench.Connect(m.w.m)
}
