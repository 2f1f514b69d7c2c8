package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Wiper is a wiper motor with a park switch: a permanent-magnet motor with a third brush for the higher speed, a gear and a crank that
// turns once per wipe, and a change-over contact that the crank moves. With the speed w over that of the lower gear's rating and a
// winding for each brush (n its turns over those of the first; see Motor for the rest)
//
//	Uᵢ = nᵢ·R·Iᵢ + eᵢ·w        H·dw/dt = Σ eᵢ·Iᵢ/(e·I rated) - load(w)
//
// Fewer turns mean less resistance and less counter-force in proportion, so e₂ follows from the higher speed at rated voltage:
// e₂ = (U - R·I·load(f))/f with f the ratio of the speeds.
//
// Terminals after DIN 72552: 53 supply, 53i third brush, 53a plus for the park switch, 31 ground. The park switch joins 31b to 53a, and
// to 31 while the crank is in the park sector (31b: ground through a switch). A wiper switch that is off joins 53 to 31b: the
// motor runs on to its park position, where its own contact shorts it and so brakes it.
//
// While the motor is fed otherwise the park contact opens and closes once a turn, see swing. Whether the contact will stop the motor is found out
// by trying it: the circuit is solved with the contact moved, and from the force found there follows how far the crank goes until
// it stands. If that is beyond the park sector the wiper never parks. One that is not driven runs down and stops somewhere; that this may
// happen to be the park sector is left out.
type Wiper struct {
	base
	pins            []circuit.Node
	winding         [2]circuit.ID
	toPlus, toEarth circuit.ID
	passes          circuit.ID // what flows at ground in the mean

	turns    [2]float64 // of a winding over those of the first
	ohms     float64    // of the first
	emf      float64    // of the first at w = 1
	amps     float64    // rated
	rub      float64
	more     float64
	inert    float64
	rate     float64 // turns of the crank a second at w = 1
	fast     float64 // the higher speed over the lower
	sector   float64 // of a turn
	contact  float64
	mode     Mode
	w, final float64 // now, and at rest
	angle    float64 // of the crank in turns, 0 where the park sector begins
	parked   bool
	late     float64 // seconds until it would have parked wherever its crank was, see Chance
	judged   bool    // stops holds for the present solution
	stops    bool
	seen     [5]float64 // what it was found from while time passed: voltages over 31, and the speed
	before   circuit.Snapshot
	swing    swing
	waves    bool       // its park switch is followed
	meant    bool       // due holds for the present solution
	means    [5]float64 // what it was found from
	due      swing
	spoilt
}

// From these speeds over the lower rated one a wiper is seen to wipe, to wipe as it should, and to be at its higher speed (common
// practice, no source).
const wiperMoves, wiperWipes, wiperFast = 0.02, 0.6, 1.3

var wiperWords = []string{"parked", "stopped", "slow", "wipes", "fast"}

func wiperFamily() family {
	return family{
		kind: Kind{
			Name: "wiper", Title: "wiper motor",
			Doc: "A wiper motor with two speeds and a park switch: 53 feeds the lower speed, 53i the higher, 53a is plus for parking, 31 ground. " +
				"The park switch joins 31b to 53a, and to 31 while the wiper is parked. Let the wiper switch join 53 to 31b when it is off: " +
				"then the wiper runs on until it is parked and brakes itself. While it wipes the switch goes to and fro once a wipe: a voltmeter on 31b " +
				"shows the mean, one that looks closer the edges.",
			Terminals: []Terminal{{"53", "lower speed"}, {"53i", "higher speed"}, {"53a", "plus for parking"}, {"31b", "park switch"}, {"31", "ground"}},
			Plugged:   true, Words: wiperWords,
			Params: []Param{
				{Key: "volts", Doc: "voltage at which it has its speeds", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "amps", Doc: "current at the lower speed", Dim: Ampere, Default: 4, Min: 0.1, Max: 50},
				{Key: "stall", Doc: "current when it is held, over that", Default: 5, Min: 2.5, Max: 20},
				{Key: "slow", Doc: "wipes a minute at the lower speed", Dim: RevPerMinute, Default: 45, Min: 10, Max: 80},
				{Key: "fast", Doc: "higher speed over the lower", Dim: Percent, Default: 145, Min: 130, Max: 180},
				{Key: "rub", Doc: "part of its load that does not fall with speed", Dim: Percent, Default: 80, Min: 40, Max: 100},
				{Key: "spin-up", Doc: "mechanical time constant", Dim: Second, Default: 0.1, Min: 0.02, Max: 0.5},
				{Key: "sector", Doc: "part of a turn in which the park switch is at ground", Dim: Percent, Default: 10, Min: 3, Max: 30},
				contactParam("contact", 0.01),
			},
			Defects: []Defect{
				{Name: "open", Doc: "ground brush or armature open", Likelihood: 0.7},
				{Name: "slow-brush-open", Doc: "brush of the lower speed open", Likelihood: 1},
				{Name: "fast-brush-open", Doc: "brush of the higher speed open", Likelihood: 1},
				{Name: "brushes-worn", Doc: "brushes worn: resistance in the motor", Dim: Ohm, Low: 0.1, High: 1e4, Typical: 2, Likelihood: 1},
				{Name: "jammed", Doc: "gear or linkage jammed: cannot turn", Likelihood: 1},
				{Name: "stiff", Doc: "linkage stiff: more load than it should have", Dim: Percent, Low: 20, High: 300, Typical: 100, Likelihood: 1},
				{Name: "park-plus-open", Doc: "park switch does not make to plus: stops where it stands", Likelihood: 1.5},
				{Name: "park-ground-open", Doc: "park switch does not make to ground: is not braked", Likelihood: 1},
				{Name: "park-burnt", Doc: "park switch burnt on its plus side", Dim: Ohm, Low: 0.5, High: 1e4, Typical: 5, Likelihood: 1},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			running := v["volts"] / v["amps"]
			switch d.Name {
			case "brushes-worn", "park-burnt":
				d.span(0.1*running, running, 1000*running)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			stall := v["stall"] * v["amps"]
			m := &Wiper{ohms: v["volts"] / stall, amps: v["amps"], rub: v["rub"] / 100, rate: v["slow"] / 60, fast: v["fast"] / 100,
				sector: v["sector"] / 100, contact: v["contact"], parked: true}
			m.angle = m.sector / 2
			m.emf = v["volts"] - float64(m.ohms*m.amps)
			m.inert = v["spin-up"] * m.emf / (m.ohms * m.amps)
			load := m.rub + float64((1-m.rub)*m.fast*m.fast)
			m.turns = [2]float64{1, max(0.1, (v["volts"]-float64(m.ohms*m.amps*load))/m.fast/m.emf)}
			return m
		},
	}
}

// Build implements Device.
func (m *Wiper) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	m.pins, m.judged, m.meant = pins, false, false
	m.winding[0] = n.Add(name+" lower speed", pins[0], pins[4], circuit.Source{Ohms: m.ohms})
	m.winding[1] = n.Add(name+" higher speed", pins[1], pins[4], circuit.Source{Ohms: m.ohms * m.turns[1]})
	m.toPlus = n.Add(name+" park switch 31b-53a", pins[3], pins[2], circuit.Source{Ohms: math.Inf(1)})
	m.toEarth = n.Add(name+" park switch 31b-31", pins[3], pins[4], circuit.Resistor{Ohms: math.Inf(1)})
	m.passes = n.Add(name+" park switch in passing", pins[3], pins[4], circuit.Injection{})
}

// speed is w in the present mode.
func (m *Wiper) speed() *float64 {
	if m.mode == Steady {
		return &m.final
	}
	return &m.w
}

// resistance of a winding.
func (m *Wiper) resistance(i int) float64 {
	if m.name == "open" || i == 0 && m.name == "slow-brush-open" || i == 1 && m.name == "fast-brush-open" {
		return math.Inf(1)
	}
	worn := 0.0
	if m.name == "brushes-worn" {
		worn = m.severity
	}
	return float64(m.turns[i]*m.ohms) + worn
}

// Stamp implements Device.
func (m *Wiper) Stamp(s *circuit.Solver, mode Mode) {
	if mode == Steady || m.mode == Steady {
		m.judged, m.meant = false, false
	}
	m.mode = mode
	for i, b := range m.winding {
		s.SetOhms(b, m.resistance(i))
	}
	m.turning(s, *m.speed())
	m.park(s, m.touches())
	if !m.waves || mode == Steady {
		s.SetEMF(m.toPlus, m.swing.force)
		s.SetAmps(m.passes, m.swing.amps)
	}
}

// turning sets the counter-forces of a speed.
func (m *Wiper) turning(s *circuit.Solver, w float64) {
	for i, b := range m.winding {
		s.SetEMF(b, float64(m.turns[i]*m.emf*w))
	}
}

// closed returns the resistances of both contacts of the park switch when they are closed.
func (m *Wiper) closed() (plus, earth float64) {
	plus, earth = m.contact, m.contact
	switch m.name {
	case "park-plus-open":
		plus = math.Inf(1)
	case "park-burnt":
		plus += m.severity
	case "park-ground-open":
		earth = math.Inf(1)
	}
	return plus, earth
}

// park sets the park switch to ground or to plus.
func (m *Wiper) park(s *circuit.Solver, parked bool) {
	plus, earth := m.closed()
	if parked {
		plus = math.Inf(1)
	} else {
		earth = math.Inf(1)
	}
	s.SetOhms(m.toPlus, plus)
	s.SetOhms(m.toEarth, earth)
	s.SetEMF(m.toPlus, 0)
	s.SetAmps(m.passes, 0)
}

// force is the torque over the rated one at the speed of the last solution, and by how much it falls as the speed rises: the response of
// the circuit to a change of both counter-forces.
func (m *Wiper) force(s *circuit.Solver) (torque, falls float64) {
	var r, z [2]float64
	for i, b := range m.winding {
		r[i] = m.resistance(i)
		if math.IsInf(r[i], 1) {
			continue
		}
		n := m.turns[i]
		torque += float64(n*s.Current(b)) / m.amps
		_, z[i] = s.Thevenin(m.pins[i], m.pins[4])
		falls += max(0, float64(n*n/r[i]*(1-float64(z[i]/r[i]))))
	}
	if !math.IsInf(r[0], 1) && !math.IsInf(r[1], 1) {
		_, between := s.Thevenin(m.pins[0], m.pins[1])
		falls -= m.turns[1] * (z[0] + z[1] - between) / (r[0] * r[1])
	}
	return torque, max(0, falls) * m.emf / m.amps
}

// load returns the torque of the load at a speed, over the rated one, and its slope.
func (m *Wiper) load(w float64) (torque, slope float64) {
	a := math.Abs(w)
	t := m.rub + m.more + float64((1-m.rub)*a*a)
	return math.Copysign(t, w), 2 * (1 - m.rub) * a
}

// pull is dw/dt·H, and by how much it falls as w rises, at a speed with a torque of the motor that falls with w; both 0 for one that
// the load holds.
func (m *Wiper) pull(w, torque, falls float64) (net, drops float64) {
	if w == 0 {
		hold := m.rub + m.more
		if m.name == "jammed" || math.Abs(torque) <= hold {
			return 0, 0
		}
		return torque - math.Copysign(hold, torque), falls
	}
	load, slope := m.load(w)
	return torque - load, falls + slope
}

const (
	// wiperGrain is how near in speed the balance of steady state is found, wiperRest how near to it one counts as having got there.
	wiperGrain, wiperRest = 1e-11, 1e-7
	// wiperRounds is how many solutions a trial may take; Newton's method takes five.
	wiperRounds = 40
	// wayParts is into how many parts the time in which rated torque would bring it to speed is cut for way: the error is below the
	// fourth digit, of a distance that nobody knows to two.
	wayParts = 200
)

// closer moves a steady speed by Newton's method and reports whether it changed. The balance bends downwards, so that the speed comes
// down to its end from the second step on, and one that would change its sign stands.
func (m *Wiper) closer(s *circuit.Solver, w *float64) bool {
	torque, falls := m.force(s)
	net, drops := m.pull(*w, torque, falls)
	if net == 0 {
		return false
	}
	next := 0.0
	if drops > 0 {
		next = *w + net/drops
	}
	if next**w < 0 || m.name == "jammed" {
		next = 0
	}
	if math.Abs(next-*w) <= wiperGrain {
		return false
	}
	*w = next
	return true
}

// brakes reports whether the contact in its park position would stop the motor within the park sector. It solves the circuit so and
// leaves it as it was.
func (m *Wiper) brakes(s *circuit.Solver) bool {
	now := m.view(s)
	if m.judged && alike(now, m.seen) {
		return m.stops
	}
	m.judged, m.stops, m.seen = true, false, now
	w := *m.speed()
	torque, falls := m.force(s)
	if (torque+float64(falls*w))*math.Copysign(1, w) <= m.rub+m.more {
		return false // nothing drives it
	}
	s.SnapshotInto(&m.before)
	m.park(s, true)
	if s.Solve() == nil {
		torque, falls = m.force(s)
		end := w
		for round := 0; round < wiperRounds && m.closer(s, &end); round++ {
			m.turning(s, end)
			if s.Solve() != nil {
				end = w
				break
			}
		}
		m.stops = end == 0 && m.way(w, torque, falls) <= m.sector
	}
	s.Restore(&m.before)
	_ = s.Solve() // what has just been a solution
	return m.stops
}

// view is what tells whether something has changed that could change what brakes found.
func (m *Wiper) view(s *circuit.Solver) (v [5]float64) {
	for i := range 4 {
		v[i] = s.Voltage(m.pins[i]) - s.Voltage(m.pins[4])
	}
	v[4] = *m.speed()
	return v
}

// wiperSame is by how many volts, or how much of the lower speed, things may change until brakes looks again. A wiper switch that moves
// changes a voltage by what four amperes drop in the park switch, at least.
const wiperSame = 1e-3

func alike(a, b [5]float64) bool {
	for i := range a {
		if !(math.Abs(a[i]-b[i]) <= wiperSame) {
			return false
		}
	}
	return true
}

// way is how far the crank goes, in turns, until it stands or leaves the park sector, for a torque of the motor that falls as the
// speed rises.
func (m *Wiper) way(from, torque, falls float64) float64 {
	far, h := 0.0, m.inert/wayParts
	for w := from; w != 0 && far <= m.sector; {
		net, drops := m.pull(w, torque-float64(falls*(w-from)), falls)
		next := m.after(w, net, drops, h)
		far += m.rate * h * math.Abs(w+next) / 2
		w = next
	}
	return far
}

// after is the speed h seconds later. A motor whose speed would change sign first comes to a stand.
func (m *Wiper) after(w, net, drops, h float64) float64 {
	if next := w + m.change(net, drops, h); next*w >= 0 && m.name != "jammed" {
		return next
	}
	return 0
}

// change is that of w in h seconds, by the exponential Rosenbrock-Euler method.
func (m *Wiper) change(net, drops, h float64) float64 {
	if d := drops / m.inert; d*h > 1e-9 {
		return float64(net / drops * (1 - exp(-d*h)))
	}
	return net / m.inert * h
}

// Settle implements Device: in steady state it finds the speed, and whether a wiper on its way parks.
func (m *Wiper) Settle(s *circuit.Solver) bool {
	if m.mode != Steady {
		return false
	}
	if m.closer(s, &m.final) {
		return true
	}
	if m.off(s) > swingGrain {
		m.swing = m.mean(s)
		return true // before it is judged whether it parks: that depends on the speed
	}
	if m.parked || m.final == 0 || !m.brakes(s) {
		return false
	}
	m.parked, m.final, m.angle, m.late = true, 0, m.sector/2, 0
	return true
}

// Due implements Device. In steady state, too, it takes time to leave the park sector: a fuse may open in it.
func (m *Wiper) Due(*circuit.Solver) float64 {
	if m.mode != Steady || !m.parked || m.final == 0 {
		return math.Inf(1)
	}
	return max(0, m.sector-m.angle) / (m.rate * math.Abs(m.final))
}

// leave ends the stay in the park sector when the crank has come to its end.
func (m *Wiper) leave() {
	if m.parked && m.angle >= m.sector-edgeGrain {
		m.parked = false
	}
}

// toEdge is how long it takes until the contact changes at the present speed, +Inf when it will not.
func (m *Wiper) toEdge(s *circuit.Solver) float64 {
	turns := m.rate * math.Abs(m.w)
	switch {
	case turns == 0:
		return math.Inf(1)
	case m.parked:
		return max(0, m.sector-m.angle) / turns
	case m.waves && m.touches():
		return max(0, m.sector-m.angle) / turns
	case m.waves || m.brakes(s):
		return max(0, 1-m.angle) / turns
	}
	return math.Inf(1)
}

// Step implements Device.
func (m *Wiper) Step(s *circuit.Solver) float64 {
	torque, falls := m.force(s)
	net, drops := m.pull(m.w, torque, falls)
	step := math.Inf(1)
	if math.Abs(net) > wiperRest*drops {
		step = speedGrain * m.inert / math.Abs(net)
	}
	if m.off(s) > swingRest {
		step = min(step, pulseStep)
	}
	return min(step, m.toEdge(s))
}

// edgeGrain is how near in turns a step ends at the edge of the sector for which it was made.
const edgeGrain = 1e-9

// Advance implements Device.
func (m *Wiper) Advance(s *circuit.Solver, dt float64) []Happening {
	if m.mode == Steady {
		m.w, m.late = m.final, max(0, m.late-dt)
		if m.parked {
			m.angle += m.rate * math.Abs(m.final) * dt
			m.leave()
		}
		return nil
	}
	m.late = max(0, m.late-dt)
	ends := m.parked || m.w != 0 && m.brakes(s)
	if !m.waves {
		m.swing = m.mean(s)
	}
	torque, falls := m.force(s)
	from := m.w
	for dt > 0 {
		net, drops := m.pull(m.w, torque-float64(falls*(m.w-from)), falls)
		h := dt
		if r := math.Abs(net) / m.inert; r*h > speedStride && math.Abs(net) > 1e-3*wiperRest*drops {
			h = speedStride / r
		}
		next := m.after(m.w, net, drops, h)
		m.angle += m.rate * h * math.Abs(m.w+next) / 2
		m.w = next
		dt -= h
	}
	if !m.parked && math.Abs(m.w) >= wiperCreeps {
		m.late = 0
	}
	if m.leave(); !m.parked && ends && m.angle >= 1-edgeGrain {
		m.parked, m.angle, m.swing = true, max(0, m.angle-1), swing{}
		m.late = m.lap(from)
	}
	m.angle -= math.Floor(m.angle)
	m.final = m.w
	return nil
}

// Rest implements Device. A speed that was reached in time is taken the last little way to its end.
func (m *Wiper) Rest(s *circuit.Solver) {
	if m.mode == Steady {
		m.closer(s, &m.final)
	}
	m.w = m.final
}

// Speed returns the speed over the lower rated one, negative when it turns backwards.
func (m *Wiper) Speed() float64 { return m.w }

// Parked reports whether the park switch stands at ground.
func (m *Wiper) Parked() bool { return m.parked }

// Effect implements Device. The level is the speed over the lower rated one.
func (m *Wiper) Effect(*circuit.Solver) Effect {
	level := math.Abs(*m.speed())
	e := Effect{Sense: Motion, Level: level, Word: word(level, wiperWords[1:], wiperMoves, wiperWipes, wiperFast)}
	if level < wiperMoves {
		e.Level = 0
		if m.parked {
			e.Word = wiperWords[0]
		}
	}
	return e
}

// State implements Device: speed now and at rest, angle, parked, force and current of the swing, how late it may be.
func (m *Wiper) State() []float64 {
	return []float64{m.w, m.final, m.angle, flag(m.parked), m.swing.force, m.swing.amps, m.late}
}

// SetState implements Device.
func (m *Wiper) SetState(x []float64) {
	m.w, m.final, m.angle, m.parked = x[0], x[1], x[2], x[3] != 0
	m.swing, m.late, m.judged, m.meant = swing{x[4], x[5]}, x[6], false, false
}

// Spoil implements Defective.
func (m *Wiper) Spoil(defect string, severity float64) error {
	if err := m.put(defect, severity); err != nil {
		return err
	}
	m.more, m.judged, m.meant = 0, false, false
	if m.name == "stiff" {
		m.more = m.severity / 100
	}
	if m.name == "jammed" {
		m.w, m.final = 0, 0
	}
	return nil
}
