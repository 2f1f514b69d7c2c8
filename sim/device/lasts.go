package device

import (
	"math"
	"slices"

	"faultloom/sim/circuit"
)

// Lasting is a device in which something goes on moving for a while once the circuit around it has changed.
type Lasting interface {
	Device
	// Lasts returns for how many seconds at most: then what has come to be as it is now, and what is left of what went before is discrete. It
	// is asked once all is where it ends, as far as that is known.
	Lasts() float64
}

// Timed is a device with timers.
type Timed interface {
	Device
	// Elapse lets seconds go by for timers that run, which is less than they still take.
	Elapse(seconds float64)
	// Expire lets the timer that is the next to come to its end do so, and reports whether one was running.
	Expire() bool
}

// Turning is a device with parts that are one thing or another and may stay so on their own, such as an armature or what a module
// makes of an input.
type Turning interface {
	Device
	// Parts returns how many there are, 0 if what the device does is just now no matter of such parts alone: it has switched an overload off and
	// will try again.
	Parts() int
	// Turn turns one over, to see what follows.
	Turn(part int)
	// Stands returns how they stand.
	Stands() []bool
}

// Reverting is a device of which some parts turn back at once when they are turned over, before anything else has noticed.
type Reverting interface {
	Turning
	// Reverts reports whether a part does so in the present solution, which must be a steady one.
	Reverts(s *circuit.Solver, part int) bool
}

// Starting is a device that draws more until it has come to its speed or heat.
type Starting interface {
	Device
	// Starts returns for how long at most, in seconds, what it draws at the present instant (mode Moving) would have to be drawn to heat a fuse as
	// much as the whole start does; 0 if it is not starting.
	Starts(s *circuit.Solver) float64
	// Halt puts it where it starts from: at a stand, or cold.
	Halt()
}

// Rushing is a device that may draw more than in its steady state until it has come to that.
type Rushing interface {
	Device
	// Rushes reports whether the present solution, in mode Steady, is of something warmer or faster than it is now.
	Rushes(s *circuit.Solver) bool
}

// Seeking is a device of which Settle may also report that a number is not found yet.
type Seeking interface {
	Device
	// Sought reports whether the last Settle that reported a change changed nothing that is one thing or another.
	Sought() bool
}

// Watched is a device that takes shorter steps while somebody watches, for whom each solution stands until the next. It makes no difference to what
// becomes of it.
type Watched interface {
	Device
	Watch(on bool)
}

// Limiting is a device with outputs that give no more than a current, and that for a moment only: then they give up.
type Limiting interface {
	Device
	// Loads returns the current of each output in the present solution as a share of its limit, 0 for one that is off or does not give up.
	Loads(s *circuit.Solver) []float64
}

// GivesUp reports whether an output may give up while what hangs on it warms up, by its loads in steady state and with all cold. A filament
// resists ten times as much hot as cold (common practice, no source), so at its limit an output gives one of a
// quarter of that limit 16/10 of its power when cold, and it is warm in the moment that the output bears.
func GivesUp(steady, cold []float64) bool {
	for i := range cold {
		if cold[i] >= atLimit && steady[i] > bearsHot {
			return true
		}
	}
	return false
}

// bearsHot is that quarter.
const bearsHot = 0.25

// Loads implements Limiting.
func (m *Module) Loads(s *circuit.Solver) []float64 {
	out := make([]float64, len(m.outputs))
	for i := range m.outputs {
		_, _, pulsed := m.pulsed(i)
		if o := &m.logic.Outputs[i]; m.x.on[i] && !pulsed && o.Side != Reference && !m.has(stuckOutput, o.Name) {
			out[i] = m.carries(s, i) / o.Limit
		}
	}
	return out
}

// rushShare is the share of warmth or speed that must be missing to count: in a filament a tenth more current.
const rushShare = 0.1

// Rushes implements Rushing.
func (l *Lamp) Rushes(s *circuit.Solver) bool {
	return l.kelvin < (1-rushShare)*l.steady.f.temperature(l.share(s))
}

// Rushes implements Rushing.
func (m *Motor) Rushes(s *circuit.Solver) bool {
	v := m.pins.volts(s)
	w, _ := m.law.speed(math.Abs(v))
	return math.Copysign(1, v)*m.w < (1-rushShare)*w
}

// Rushes implements Rushing.
func (h *Heater) Rushes(s *circuit.Solver) bool {
	return h.law.rise != 1 && h.heat < (1-rushShare)*h.share(s)
}

// Rushes implements Rushing.
func (d *Solenoid) Rushes(s *circuit.Solver) bool { return d.heat < (1-rushShare)*d.share(s) }

// Rushes implements Rushing.
func (m *Wiper) Rushes(*circuit.Solver) bool { return math.Abs(m.w) < (1-rushShare)*math.Abs(m.final) }

// lastingTimes is how many time constants it takes until what decays is over: e⁻⁵ is less than 1 %, half of what parts differ by.
const lastingTimes = 5

// Lasts implements Lasting: the coil's current, its heat where that matters, and the armature's way.
func (r *Relay) Lasts() float64 {
	tau := 0.0
	if ohms := r.coilOhms(); !math.IsInf(ohms, 1) && ohms > 0 {
		tau = r.inductance() / ohms
	}
	if r.heatsUp() {
		tau += r.heat.tau
	}
	return r.operate + r.release + float64(lastingTimes*tau)
}

// Parts implements Turning.
func (r *Relay) Parts() int { return 1 }

// Turn implements Turning.
func (r *Relay) Turn(int) { r.in, r.waited = !r.in, 0 }

// Stands implements Turning.
func (r *Relay) Stands() []bool { return []bool{r.pulledIn()} }

// Parts implements Turning.
func (d *Solenoid) Parts() int { return 1 }

// Turn implements Turning.
func (d *Solenoid) Turn(int) { d.in, d.waited = !d.in, 0 }

// Stands implements Turning.
func (d *Solenoid) Stands() []bool { return []bool{d.PulledIn()} }

// Lasts implements Lasting: the plunger's way.
func (d *Solenoid) Lasts() float64 { return d.delay + d.release }

// Starts implements Starting. The current falls with one time constant, so its square does with half of that.
func (m *Motor) Starts(s *circuit.Solver) float64 {
	rate, decays := m.push(m.outside(s), m.w)
	if math.Abs(rate) <= speedRest*decays || decays <= 0 {
		return 0
	}
	return 1 / decays
}

// Halt implements Starting.
func (m *Motor) Halt() { m.w = 0 }

// Starts implements Starting.
func (h *Heater) Starts(s *circuit.Solver) float64 {
	if h.law.rise == 1 || h.share(s)-h.heat < heaterGrain {
		return 0
	}
	return h.tau
}

// Halt implements Starting.
func (h *Heater) Halt() { h.heat = 0 }

// Starts implements Starting.
func (d *Solenoid) Starts(s *circuit.Solver) float64 {
	if d.share(s)-d.heat < heaterGrain {
		return 0
	}
	return d.tau
}

// Halt implements Starting.
func (d *Solenoid) Halt() { d.heat = 0 }

// Lasts implements Lasting: every timer once, on its way to where it stands now if it is not on its way elsewhere, and what follows from each.
func (m *Module) Lasts() float64 {
	sum := overloadTime + reactTime
	for i := range m.logic.Timers {
		on := m.x.signal[len(m.logic.Inputs)+i]
		takes := m.delay(i, on)
		if m.waits(i) {
			takes = max(takes, m.delay(i, !on))
		}
		sum += takes + reactTime
	}
	return sum
}

// Elapse implements Timed.
func (m *Module) Elapse(seconds float64) {
	for i := range m.logic.Timers {
		if m.waits(i) {
			m.x.waited[i] += seconds
		}
	}
}

// Expire implements Timed.
func (m *Module) Expire() bool {
	next, due := -1, math.Inf(1)
	for i := range m.logic.Timers {
		if left := m.delay(i, m.x.was[i]) - m.x.waited[i]; m.waits(i) && left < due {
			next, due = i, left
		}
	}
	if next < 0 {
		return false
	}
	m.x.signal[len(m.logic.Inputs)+next], m.x.waited[next] = m.x.was[next], 0
	m.decide(&m.x)
	return true
}

// Parts implements Turning: what it makes of each input, and of each timer.
func (m *Module) Parts() int {
	if slices.Contains(m.x.tripped, true) {
		return 0
	}
	return 1 + len(m.x.signal)
}

// Turn implements Turning: whether it is alive is the first.
func (m *Module) Turn(part int) {
	x := &m.x
	x.react = 0
	clear(x.waited)
	clear(x.held)
	if part == 0 {
		x.alive = !x.alive
	} else {
		x.signal[part-1] = !x.signal[part-1]
	}
	m.decide(x)
}

// Reverts implements Reverting: what the module makes of an input goes by its voltage again at once, unless that lies in the hysteresis, or unless an
// output follows and changes it. Over a bus others may notice.
func (m *Module) Reverts(s *circuit.Solver, part int) bool {
	if m.node != nil {
		return false
	}
	was, drives := newModuleState(len(m.logic.Inputs), len(m.logic.Timers), len(m.logic.Outputs)), slices.Clone(m.drives)
	was.copy(&m.x)
	m.Turn(part)
	reverts := slices.Equal(m.drives, drives) && slices.Equal(m.x.on, was.on)
	if reverts {
		m.next(s)
		reverts = m.y.same(&was)
	}
	m.x.copy(&was)
	m.decide(&m.x)
	return reverts
}

// Stands implements Turning.
func (m *Module) Stands() []bool {
	x := &m.x
	all := []bool{x.alive}
	for _, flags := range [...][]bool{x.signal, x.on, x.out, x.tripped} {
		all = append(all, flags...)
	}
	return all
}

// Lasts implements Lasting: excitation that comes or goes.
func (a *Alternator) Lasts() float64 { return exciteTime }

// Parts implements Turning.
func (a *Alternator) Parts() int { return 1 }

// Turn implements Turning.
func (a *Alternator) Turn(int) { a.excited = !a.excited }

// Stands implements Turning.
func (a *Alternator) Stands() []bool { return []bool{a.excited} }

// Lasts implements Lasting: until it has noticed that its load is gone.
func (f *Flasher) Lasts() float64 { return f.period }

// Parts implements Turning.
func (f *Flasher) Parts() int { return 1 }

// Turn implements Turning.
func (f *Flasher) Turn(int) { f.on = !f.on }

// Stands implements Turning.
func (f *Flasher) Stands() []bool { return []bool{f.closed()} }

// Cools returns for how many seconds after it was busy last what it does may still depend on that: from the heat at which it opens until it closes
// by itself.
func (b *Breaker) Cools() float64 { return bimetal.fast * log(opensAt/closesAt) }

// Busy reports whether it is open and will close, or carries more than it does for good, so that it may open.
func (b *Breaker) Busy(s *circuit.Solver) bool {
	switch {
	case b.name == "welded" || b.name == "open":
		return false
	case b.open:
		return !b.manual
	}
	return math.Abs(b.amps(s)) > b.strip.rating
}

// Dark reports whether the filament has so little across it that it cools as if it had nothing: what it comes to rest at is within 2 % as
// cold as what is around it.
func (l *Lamp) Dark(s *circuit.Solver) bool { return l.share(s) < filamentCool }

// Follow returns the filament's temperature in kelvin after so many seconds under the present solution, in steady state, from the temperature
// it had; rather too far from where it comes to rest than too near. In the dark it cools as if nothing were connected.
func (l *Lamp) Follow(s *circuit.Solver, kelvin, seconds float64) float64 {
	if math.Abs(kelvin-l.kelvin) <= warmthRest {
		return l.kelvin // Rest has put it there
	}
	v := l.share(s)
	slow := 1.0
	switch {
	case v < filamentCool || v > filamentStiff:
	case v < filamentDark:
		slow = 2
	case v > filamentHalf:
		slow = 4
	default:
		slow = 12
	}
	return l.warmth.stride(feed{v: v}, kelvin, seconds/slow, warmthCoarse)
}

// FollowAny is Follow from no matter what temperature: what it returns is the farthest from where it comes to rest that it may be.
func (l *Lamp) FollowAny(s *circuit.Solver, seconds float64) float64 {
	cold, hot := l.Follow(s, filamentCold, seconds), l.Follow(s, tungstenMelts, seconds)
	if l.kelvin-cold > hot-l.kelvin {
		return cold
	}
	return hot
}

// Shares of a filament's rated voltage in steady state that tell how stiff its supply is. A cold one has a tenth of the hot resistance:
// beside a resistance in series that leaves it more than filamentStiff of a supply at its rated voltage it still gets its rated power at
// once; above filamentHalf it gets a quarter of what it has in the end, below it down to a twelfth of that as long as it is cold. Below
// filamentDark it warms by less than 200 K, which is not twice its resistance, and below filamentCool by less than 2 %.
const filamentCool, filamentDark, filamentHalf, filamentStiff = 0.002, 0.02, 0.5, 0.85

// Warm puts the filament at a temperature in kelvin, Chill at that of what is around it.
func (l *Lamp) Warm(kelvin float64) { l.kelvin = kelvin }
func (l *Lamp) Chill()              { l.kelvin = filamentCold }
