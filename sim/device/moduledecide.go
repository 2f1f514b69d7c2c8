package device

import (
	"math"

	"faultloom/sim/circuit"
)

// above returns the voltage of a pin over the module's ground.
func (m *Module) above(s *circuit.Solver, pin int) float64 {
	return s.Voltage(m.pins[pin]) - s.Voltage(m.pins[m.ground])
}

// carries returns the current of an output while it conducts.
func (m *Module) carries(s *circuit.Solver, i int) float64 {
	return math.Abs(s.Current(m.outputs[i].curve.id)) / m.duty(i)
}

// sense puts into y what the module would see in the present solution: supply, inputs, lamps that are out.
func (m *Module) sense(y *moduleState, s *circuit.Solver) {
	supply := m.above(s, m.supply)
	threshold := m.alive
	if !y.alive {
		threshold += aliveHysteresis
	}
	y.alive = supply >= threshold && m.name != "dead"
	for i := range m.logic.Inputs {
		in := &m.logic.Inputs[i]
		if in.OverBus {
			m.receive(y, s, i)
			continue
		}
		v, on := m.above(s, m.input[i]), y.signal[i]
		low, high := in.Above, in.Below
		if on {
			low -= in.Hysteresis
			high += in.Hysteresis
		}
		on = !m.has(blindInput, in.Name)
		if in.Above > 0 && !(v > low) {
			on = false
		}
		if in.Below > 0 && !(v < high) {
			on = false
		}
		y.signal[i] = on && y.alive
	}
	for i := range m.logic.Outputs {
		o := &m.logic.Outputs[i]
		if _, _, ok := m.pulsed(i); ok {
			continue // it has looked at the mean
		}
		y.out[i] = o.LampOut > 0 && y.alive && m.x.on[i] && m.carries(s, i) < o.LampOut
	}
}

// clock lets the timers follow what they look at, as far as that takes no time.
func (m *Module) clock(y *moduleState) {
	inputs := len(m.logic.Inputs)
	for i := range m.logic.Timers {
		t := &m.logic.Timers[i]
		now, out := y.signal[m.sources[i].of], &y.signal[inputs+i]
		switch {
		case !y.alive:
			now, *out, y.waited[i] = false, false, 0
		case t.Toggle:
			if now && !y.was[i] {
				*out = !*out
			}
		case t.Until != "":
			*out = (*out || now) && !y.signal[m.sources[i].until]
		case m.delay(i, now) == 0:
			*out = now
		}
		y.was[i] = now
	}
}

// delay is how long a timer waits until it follows to on or off.
func (m *Module) delay(i int, on bool) float64 {
	if on {
		return m.logic.Timers[i].OnDelay
	}
	return m.logic.Timers[i].OffDelay
}

// waits reports whether a timer is on its way to what it looks at.
func (m *Module) waits(i int) bool {
	t := m.logic.Timers[i]
	return m.x.alive && !t.Toggle && t.Until == "" && m.x.signal[len(m.logic.Inputs)+i] != m.x.was[i]
}

// decide goes through the rows and sets the outputs.
func (m *Module) decide(y *moduleState) {
	clear(m.drives)
	for r, terms := range m.terms {
		holds := y.alive
		for _, t := range terms {
			switch t.watch {
			case watchSignal:
				holds = holds && y.signal[t.at] == t.want
			case watchLamp:
				holds = holds && y.out[t.at] == t.want
			case watchTrip:
				holds = holds && y.tripped[t.at] == t.want
			case watchLost:
				holds = holds && y.lost[t.at] == t.want
			}
		}
		if !holds {
			continue
		}
		for _, d := range m.then[r] {
			m.drives[d.at] = d.drive
		}
	}
	for i := range m.logic.Outputs {
		o, d := &m.logic.Outputs[i], &m.drives[i]
		wanted := d.Duty > 0 || d.Flash > 0 || o.Side == Reference && y.alive
		if !wanted {
			y.tripped[i], y.lit[i], y.flashed[i] = false, false, 0
		}
		if d.Flash == 0 {
			y.lit[i], y.flashed[i] = false, 0
		}
		y.on[i] = wanted && !y.tripped[i] && (d.Flash == 0 || y.lit[i])
		switch {
		case m.has(deadOutput, o.Name):
			y.on[i] = false
		case m.has(stuckOutput, o.Name):
			y.on[i] = true
		}
		if !y.on[i] && !y.tripped[i] {
			y.held[i] = 0
		}
		if !y.on[i] || m.duty(i) == 1 {
			y.emf[i], y.tried[i], y.found[i] = 0, 0, 0
		}
	}
}

// next finds in m.y what would be if the module took note of the present solution, and reports whether that differs from m.x.
func (m *Module) next(s *circuit.Solver) bool {
	m.y.copy(&m.x)
	m.sense(&m.y, s)
	m.clock(&m.y)
	m.decide(&m.y)
	differs := !m.y.same(&m.x)
	if differs {
		m.decide(&m.x) // m.drives go with m.x
	}
	return differs
}

func (x *moduleState) copy(from *moduleState) {
	x.alive, x.react = from.alive, from.react
	copy(x.signal, from.signal)
	copy(x.lost, from.lost)
	copy(x.was, from.was)
	copy(x.waited, from.waited)
	copy(x.on, from.on)
	copy(x.lit, from.lit)
	copy(x.out, from.out)
	copy(x.tripped, from.tripped)
	copy(x.held, from.held)
	copy(x.flashed, from.flashed)
	copy(x.emf, from.emf)
	copy(x.tried, from.tried)
	copy(x.found, from.found)
}

// same compares what is decided at once; the times and forces follow.
func (x *moduleState) same(y *moduleState) bool {
	return x.alive == y.alive && equal(x.signal, y.signal) && equal(x.lost, y.lost) && equal(x.was, y.was) && equal(x.on, y.on) && equal(x.lit, y.lit) &&
		equal(x.out, y.out) && equal(x.tripped, y.tripped)
}

func equal(a, b []bool) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// force returns the force that a pulsed output needs for its mean, see driverLaw; V is the module's own supply.
func (m *Module) force(s *circuit.Solver, i int) float64 {
	d := m.duty(i)
	if !m.x.on[i] || d == 1 || m.logic.Outputs[i].Side == Reference {
		return 0
	}
	return (1 - d) * max(0, m.above(s, m.supply))
}

// pulsing moves the forces of pulsed outputs and returns by how many volts, at most.
func (m *Module) pulsing(s *circuit.Solver) float64 {
	most := 0.0
	for i := range m.outputs {
		if _, _, ok := m.pulsed(i); ok {
			continue
		}
		e := m.force(s, i)
		most = max(most, math.Abs(e-m.x.emf[i]))
		m.x.emf[i] = e
	}
	return most
}

// seek is pulsing in steady state: the force that is right falls in proportion to how far the output pulls the supply down, so the line
// through the last two tries (the secant method) finds it at once.
func (m *Module) seek(s *circuit.Solver) float64 {
	most := 0.0
	for i := range m.outputs {
		e, was := m.force(s, i), m.x.emf[i]
		most = max(most, math.Abs(e-was))
		next := e
		if d := was - m.x.tried[i]; m.x.found[i] != 0 && math.Abs(d) > pulseGrain {
			if slope := (e - m.x.found[i]) / d; slope > -0.95 && slope < 0.95 {
				next = was + (e-was)/(1-slope)
			}
		}
		m.x.tried[i], m.x.found[i], m.x.emf[i] = was, e, next
		if e == 0 {
			m.x.tried[i], m.x.found[i], m.x.emf[i] = 0, 0, 0
		}
	}
	return most
}

// Settle implements Device. Timers that run and overloads are left to Advance; a flashing output has no rest.
func (m *Module) Settle(s *circuit.Solver) bool {
	changed := m.next(s)
	if changed {
		m.x.copy(&m.y)
	}
	m.x.react = 0
	m.decide(&m.x)
	for i := range m.drives {
		if m.drives[i].Flash > 0 && !m.x.tripped[i] {
			m.x.lit[i], m.x.flashed[i] = !m.x.lit[i], 0
			changed = true
		}
	}
	m.decide(&m.x)
	m.sought = !changed
	if m.mode == Moving {
		return changed // a mean is no discrete state
	}
	found := m.seek(s) > pulseGrain
	if m.node != nil && m.node.follow(s) > busGrain {
		found = true
	}
	return m.supplies(s) > drawGrain || found || changed
}

// Sought implements Seeking.
func (m *Module) Sought() bool { return m.sought }

// drawGrain is how near in amperes the current for references is found, drawRest the same for a module at rest while time passes, and drawStep for how
// many seconds its supply may lack what they have begun to give: some milliamperes.
const drawGrain, drawRest, drawStep = 1e-10, 1e-7, reactTime

// given is the current of all references in the present solution.
func (m *Module) given(s *circuit.Solver) float64 {
	sum := 0.0
	for i := range m.logic.Outputs {
		o := &m.logic.Outputs[i]
		if o.Side == Reference && m.x.on[i] {
			sum += max(0, -s.Current(m.outputs[i].curve.id))
		}
	}
	return sum
}

// supplies takes the current of the references from the supply and returns by how many amperes that has changed.
func (m *Module) supplies(s *circuit.Solver) float64 {
	was := m.drawn
	m.drawn = m.given(s)
	return math.Abs(m.drawn - was)
}

// overloaded reports whether an output is at its limit.
func (m *Module) overloaded(s *circuit.Solver, i int) bool {
	if _, _, ok := m.pulsed(i); ok {
		return false
	}
	o := m.logic.Outputs[i]
	return m.x.on[i] && o.Side != Reference && m.carries(s, i) >= atLimit*o.Limit && !m.has(stuckOutput, o.Name)
}

// halfFlash is the seconds of half a flash.
func (m *Module) halfFlash(i int) float64 { return 0.5 / m.drives[i].Flash }

// soonest returns how long until an output changes by itself.
func (m *Module) soonest(s *circuit.Solver, slow bool) float64 {
	due := math.Inf(1)
	for i := range m.logic.Outputs {
		o := &m.logic.Outputs[i]
		if m.drives[i].Flash > 0 && !m.x.tripped[i] {
			due = min(due, m.halfFlash(i)-m.x.flashed[i])
		}
		switch {
		case !slow:
		case m.overloaded(s, i):
			due = min(due, overloadTime-m.x.held[i])
		case m.x.tripped[i] && o.Trip == Retry:
			due = min(due, o.Retry-m.x.held[i])
		}
	}
	return due
}

// Due implements Device.
func (m *Module) Due(s *circuit.Solver) float64 {
	due := math.Inf(1)
	if m.next(s) {
		due = reactTime - m.x.react
	}
	for i := range m.logic.Timers {
		if m.waits(i) {
			due = min(due, m.delay(i, m.x.was[i])-m.x.waited[i])
		}
	}
	return max(0, min(due, m.soonest(s, true)))
}

// Step implements Device: what it is about to do at once, flashes, and a mean that is not found yet.
func (m *Module) Step(s *circuit.Solver) float64 {
	step := m.soonest(s, false)
	if m.next(s) {
		step = min(step, reactTime-m.x.react)
	}
	if math.Abs(m.given(s)-m.drawn) > drawRest {
		step = min(step, drawStep)
	}
	if m.node != nil && m.node.strays(s) {
		step = min(step, pulseStep)
	}
	for i := range m.outputs {
		if duty, period, ok := m.pulsed(i); ok {
			step = min(step, m.waves[i].edge(duty, period))
		} else if math.Abs(m.force(s, i)-m.x.emf[i]) > pulseRest {
			step = min(step, pulseStep)
		}
	}
	return max(0, step)
}

// Advance implements Device. Nobody notices what happens in a module, so nothing is told.
func (m *Module) Advance(s *circuit.Solver, dt float64) []Happening {
	if m.next(s) {
		m.x.react += dt
	} else {
		m.x.react = 0
	}
	if m.x.react >= reactTime-timeGrain {
		m.x.copy(&m.y)
		m.x.react = 0
	}
	for i := range m.waves {
		if _, period, ok := m.pulsed(i); ok {
			m.waves[i].advance(dt, period)
		}
	}
	m.runTimers(dt)
	m.runOutputs(s, dt)
	m.supplies(s)
	if m.node != nil {
		m.node.follow(s)
	}
	m.decide(&m.x)
	m.pulsing(s)
	return nil
}

func (m *Module) runTimers(dt float64) {
	for i := range m.logic.Timers {
		if !m.waits(i) {
			m.x.waited[i] = 0
			continue
		}
		if m.x.waited[i] += dt; m.x.waited[i] >= m.delay(i, m.x.was[i])-timeGrain {
			m.x.signal[len(m.logic.Inputs)+i], m.x.waited[i] = m.x.was[i], 0
		}
	}
}

func (m *Module) runOutputs(s *circuit.Solver, dt float64) {
	for i := range m.logic.Outputs {
		o := &m.logic.Outputs[i]
		if m.drives[i].Flash > 0 && !m.x.tripped[i] {
			if m.x.flashed[i] += dt; m.x.flashed[i] >= m.halfFlash(i)-timeGrain {
				m.x.lit[i], m.x.flashed[i] = !m.x.lit[i], 0
			}
		}
		switch {
		case m.overloaded(s, i):
			if m.x.held[i] += dt; m.x.held[i] >= overloadTime-timeGrain {
				m.x.tripped[i], m.x.held[i] = true, 0
			}
		case m.x.tripped[i] && o.Trip == Retry:
			if m.x.held[i] += dt; m.x.held[i] >= o.Retry-timeGrain {
				m.x.tripped[i], m.x.held[i] = false, 0
			}
		default:
			m.x.held[i] = 0
		}
	}
}
