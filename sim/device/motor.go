package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Motor is a permanent-magnet direct-current motor with a mechanical load. With U and I at its terminals, armature resistance R, ω
// the speed and k the machine's constant (any text on electrical machines):
//
//	U = R·I + k·ω        J·dω/dt = k·I - load(ω)
//
// In units of the rated point (speed w = ω/rated, current over the rated one) and with H = J·ω/(k·I) there,
//
//	H·dw/dt = I/rated - load(w)     load(w) = ±(rub + (1 - rub)·w²)
//
// where rub is the part of the load that does not change with speed, such as a wiper's, and the rest grows with its square, as a
// fan's. R follows from the current when it stands still, k from the rated speed. The inductance of the armature, whose
// millisecond no instrument here can follow, is left out.
type Motor struct {
	base
	pins  pair
	curve curve
	short circuit.ID

	law    motorLaw
	moving affine
	ohms   float64 // armature of a sound one
	inert  float64 // H in seconds
	w      float64 // speed over the rated one, positive from 33 to 32
	mode   Mode
	spoilt
}

// From these shares of rated speed a motor is seen to turn, to run as it should, and to race (common practice, no source).
const motorTurns, motorRuns, motorRaces = 0.02, 0.6, 1.5

var (
	motorWords = []string{"still", "slow", "runs", "races"}
	motorBack  = []string{"still", "slow-back", "runs-back", "races-back"}
)

func motorFamily() family {
	return family{
		kind: Kind{
			Name: "motor", Title: "motor",
			Doc: "A permanent-magnet motor: fan, pump, wiper or window drive. Its speed follows its voltage, fed the other way round it turns " +
				"backwards, and when something holds it, it draws its standing current. `rub` is the part of its load that does not " +
				"fall with speed: about 10 % for a fan, 50 % for a pump, 80 % for a wiper or a window.",
			Terminals: []Terminal{{"33", "main terminal"}, {"32", "return"}},
			Plugged:   true, Words: append(append([]string{}, motorWords...), motorBack[1:]...),
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "amps", Doc: "current when it runs at rated voltage", Dim: Ampere, Required: true, Min: 0.01, Max: 500},
				{Key: "stall", Doc: "current at rated voltage when it is held, over the running current", Default: 5, Min: 1.2, Max: 50},
				{Key: "speed", Doc: "speed when it runs at rated voltage", Dim: RevPerMinute, Default: 3000, Min: 1, Max: 100000},
				{Key: "rub", Doc: "part of its load that does not fall with speed", Dim: Percent, Default: 20, Min: 1, Max: 100},
				{Key: "spin-up", Doc: "mechanical time constant: the time to 63 % of its speed without load", Dim: Second, Default: 0.1, Min: 0.001, Max: 60},
			},
			Defects: []Defect{
				{Name: "open", Doc: "brushes or winding open", Likelihood: 1.5},
				{Name: "brushes-worn", Doc: "brushes worn: resistance in the motor", Dim: Ohm, Low: 0.1, High: 1e4, Typical: 2, Likelihood: 1},
				{Name: "winding-shorted", Doc: "winding shorted", Dim: Ohm, Low: 0.02, High: 10, Typical: 0.2, Likelihood: 0.5},
				{Name: "jammed", Doc: "jammed: cannot turn", Likelihood: 1},
				{Name: "stiff", Doc: "stiff: more load than it should have", Dim: Percent, Low: 20, High: 400, Typical: 100, Likelihood: 0.7},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			running, standing := v["volts"]/v["amps"], v["volts"]/v["amps"]/v["stall"]
			switch d.Name {
			case "brushes-worn":
				d.span(0.1*running, running, 1000*running)
			case "winding-shorted":
				d.span(0.05*standing, 0.5*standing, 3*standing)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			stall := v["stall"] * v["amps"]
			m := &Motor{law: motorLaw{volts: v["volts"], amps: v["amps"], ohms: v["volts"] / stall, rub: v["rub"] / 100}}
			m.ohms = m.law.ohms
			m.law.emf = m.law.volts - float64(m.law.ohms*m.law.amps)
			m.inert = v["spin-up"] * m.law.emf / (m.law.ohms * m.law.amps)
			return m
		},
	}
}

// motorLaw is a motor that has come to its final speed; volts and amps are the rated ones, emf is k·ω at rated speed.
type motorLaw struct {
	volts, amps, ohms, emf float64
	rub                    float64 // part of the load, 0 to 1
	more                   float64 // load on top that does not change with speed, for one that is stiff
	jammed                 bool
}

// speed returns the final speed over the rated one at |v| volts, and its slope over the voltage. The balance of torques
// (v - emf·w)/(ohms·amps) = hold + fan·w² is a quadratic.
func (l *motorLaw) speed(v float64) (w, slope float64) {
	hold, fan := l.rub+l.more, 1-l.rub
	free := float64(v/(l.ohms*l.amps)) - hold
	if l.jammed || free <= 0 {
		return 0, 0
	}
	b := l.emf / (l.ohms * l.amps)
	root := math.Sqrt(float64(b*b) + float64(4*fan*free))
	return 2 * free / (b + root), 1 / (l.ohms * l.amps * root)
}

// At implements circuit.Law. Where the motor begins to turn the slope falls at once from that of the armature to that of a
// constant torque, and rises again with the load.
func (l *motorLaw) At(v float64) (i, g float64) {
	w, slope := l.speed(math.Abs(v))
	i = (math.Abs(v) - float64(l.emf*w)) / l.ohms
	g = max(0, (1-float64(l.emf*slope))/l.ohms)
	return math.Copysign(i, v), g
}

// Limit implements circuit.Law: as with a lamp, tangents of a curve that bends downwards may throw the voltage across 0 and back.
func (l *motorLaw) Limit(next, last float64) float64 {
	if next*last < 0 && math.Abs(last) > lampNear*l.volts {
		return 0
	}
	return next
}

// Kinked implements circuit.Kinked: where it begins to turn.
func (l *motorLaw) Kinked() {}

// affine is the law of a force in series with a conductance.
type affine struct{ emf, siemens float64 }

func (a *affine) At(v float64) (i, g float64)   { return (v - a.emf) * a.siemens, a.siemens }
func (a *affine) Limit(next, _ float64) float64 { return next }
func (a *affine) become(emf, siemens float64) (other bool) {
	other = a.emf != emf || a.siemens != siemens
	a.emf, a.siemens = emf, siemens
	return other
}

// Build implements Device.
func (m *Motor) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	m.pins = pair(pins)
	m.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
	m.short = n.Add(name+" short", pins[0], pins[1], circuit.Resistor{Ohms: math.Inf(1)})
}

// Stamp implements Device.
func (m *Motor) Stamp(s *circuit.Solver, mode Mode) {
	m.mode = mode
	switch {
	case m.name == "open":
		m.curve.set(s, open, false)
	case mode == Steady:
		m.curve.set(s, &m.law, false)
	default:
		m.curve.set(s, &m.moving, m.moving.become(m.law.emf*m.w, 1/m.law.ohms))
	}
	if m.name == "winding-shorted" {
		s.SetOhms(m.short, m.severity)
	} else {
		s.SetOhms(m.short, math.Inf(1))
	}
}

// load returns the torque of the load at a speed, over the rated one, and its slope.
func (m *Motor) load(w float64) (torque, slope float64) {
	a, fan := math.Abs(w), 1-m.law.rub
	t := m.law.rub + m.law.more + float64(fan*a*a)
	return math.Copysign(t, w), 2 * fan * a
}

// push returns dw/dt and how fast it decays with w, in 1/s, for a motor that turns or is about to. The second result is 0 when it
// stands and the load holds it.
func (m *Motor) push(o outside, w float64) (rate, decays float64) {
	var amps, slope float64
	if m.name != "open" {
		amps, slope = o.into(float64(m.law.emf*w), m.law.ohms)
	}
	torque := amps / m.law.amps
	hold := m.law.rub + m.law.more
	var load, stiff float64
	switch {
	case w != 0:
		load, stiff = m.load(w)
	case math.Abs(torque) <= hold || m.law.jammed:
		return 0, 0
	default:
		load = math.Copysign(hold, torque)
	}
	return (torque - load) / m.inert, (float64(slope*m.law.emf/m.law.amps) + stiff) / m.inert
}

const (
	// speedGrain is the change of speed, over the rated one, that is worth a step of the circuit.
	speedGrain = 0.03
	// speedStride is the same for the steps taken here.
	speedStride = 0.005
	// speedRest is how near to its final speed a motor counts as having reached it.
	speedRest = 1e-3
)

func (m *Motor) outside(s *circuit.Solver) outside {
	if m.name == "open" {
		return outside{}
	}
	return see(s, m.pins, 1/m.law.ohms, s.Current(m.curve.id))
}

// Step implements Device.
func (m *Motor) Step(s *circuit.Solver) float64 {
	rate, decays := m.push(m.outside(s), m.w)
	if rate == 0 || math.Abs(rate) <= speedRest*decays {
		return math.Inf(1)
	}
	return speedGrain / math.Abs(rate)
}

// Advance implements Device.
func (m *Motor) Advance(s *circuit.Solver, dt float64) []Happening {
	if m.mode == Steady {
		m.Rest(s)
	} else {
		m.w = m.spin(m.outside(s), m.w, dt, speedStride)
	}
	return nil
}

// Rest implements Device.
func (m *Motor) Rest(s *circuit.Solver) { m.w = m.Final(s) }

// Effect implements Device. The level is the speed over the rated one.
func (m *Motor) Effect(s *circuit.Solver) Effect {
	w := m.w
	if m.mode == Steady && m.name != "open" {
		w = m.Final(s)
	}
	words := motorWords
	if w < 0 {
		words = motorBack
	}
	level := math.Abs(w)
	if level < motorTurns {
		level = 0
	}
	return Effect{Sense: Motion, Level: level, Word: word(level, words, motorTurns, motorRuns, motorRaces)}
}

// State implements Device: the speed over the rated one.
func (m *Motor) State() []float64 { return m.appendState(nil) }

func (m *Motor) appendState(dst []float64) []float64 { return append(dst, m.w) }

// SetState implements Device.
func (m *Motor) SetState(x []float64) { m.w = x[0] }

// Spoil implements Defective.
func (m *Motor) Spoil(defect string, severity float64) error {
	if err := m.put(defect, severity); err != nil {
		return err
	}
	m.law.jammed, m.law.more, m.law.ohms = m.name == "jammed", 0, m.ohms
	switch m.name {
	case "brushes-worn":
		m.law.ohms += m.severity
	case "stiff":
		m.law.more = m.severity / 100
	}
	if m.law.jammed {
		m.w = 0
	}
	m.curve.now = nil
	return nil
}
