package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Alternator is a claw-pole generator with rectifier and regulator, as the mean of its output: it holds its set voltage, a little
// less under load, up to a current that its speed n allows. A synchronous machine whose force is k·n behind a reactance l·n, against
// a given voltage, can deliver (any text on electrical machines)
//
//	I(n) = I∞·√(1 - (n₀/n)²)
//
// with n₀ the speed at which it begins to charge; I∞ follows from the current at 6000 rpm, at which alternators are rated (ISO
// 8854, from memory). With n₀ = 1400 rpm that leaves 63 % at 1800 rpm, where idling is rated.
//
// Terminals after DIN 72552: 51 output, 61 charge lamp, 31 ground. At rest the field lies between 61 and 31 and lights the lamp; once
// it charges, the exciter diodes bring 61 to the voltage of 51 and the lamp goes out. It needs the lamp's current to begin, or
// a speed at which its remanence suffices. The ripple of its output is there for
// instruments that look closer (Waving, ripple.go).
type Alternator struct {
	base
	dial
	pins                 []circuit.Node
	output               curve
	field, exciter, leak circuit.ID

	low, high, ratio float64 // engine rpm in the first and last position, alternator speed over engine speed
	ceiling          float64 // I∞ in amperes
	set, droop       float64 // volts
	scale            float64 // nominal voltage over 12 V; the rotor has scale² times the resistance, so that it takes the same power
	law              chargeLaw
	excited          bool
	amps, volts      float64 // of the output in the mean, when it was noted last
	wave             wave
	ripple           rippleLaw
	spoilt
}

const (
	alternatorCutIn = 1400.0 // rpm
	alternatorRated = 6000.0 // rpm
	// alternatorSet is the voltage that regulators hold on a 12 V vehicle: 13.8 to 14.4 V are taught (common practice, no source).
	alternatorSet = 14.3
	// alternatorDroop is by how much less that is at full current.
	alternatorDroop = 0.3
	// fieldOhms is a rotor of a 12 V alternator: 2.5 to 5 Ω, four times as much at 24 V (common practice, no source).
	fieldOhms = 4.0
	// exciterOhms is the exciter diodes' path, at 12 V.
	exciterOhms = 0.05
	// exciteAmps is the least current through the lamp that excites a 12 V alternator: a lamp of 1.2 W gives 0.1 A. A rotor for twice the
	// voltage has twice the turns and needs half.
	exciteAmps = 0.05
	// remanence is the speed over the cut-in speed from which it excites itself.
	remanence = 3.0
	// diodeShare is what is left of the output with one of six diodes open (common practice, no source: about two thirds).
	diodeShare = 0.65
)

func alternatorFamily() family {
	return family{
		kind: Kind{
			Name: "alternator", Title: "alternator",
			Doc: "An alternator with rectifier and regulator. Its positions are engine speeds, evenly spaced between `low` and `high` rpm, the " +
				"first with the engine at rest; join nothing in them. 51 is its output, 61 the charge lamp, 31 ground. It needs the " +
				"charge lamp's current to begin charging.",
			Terminals: []Terminal{{"51", "output, battery positive"}, {"61", "charge lamp"}, {"31", "ground"}},
			Table:     true, Plugged: true,
			Params: []Param{
				{Key: "volts", Doc: "nominal voltage of the vehicle", Dim: Volt, Default: 12, Min: 6, Max: 48},
				{Key: "amps", Doc: "rated current, at 6000 rpm of its own", Dim: Ampere, Default: 70, Min: 5, Max: 500},
				{Key: "low", Doc: "engine speed in the first position", Dim: RevPerMinute, Default: 0, Min: 0, Max: 10000},
				{Key: "high", Doc: "engine speed in the last position", Dim: RevPerMinute, Default: 2400, Min: 0, Max: 10000},
				{Key: "ratio", Doc: "its speed over the engine's", Default: 2.5, Min: 0.5, Max: 10},
			},
			Defects: []Defect{
				{Name: "field-open", Doc: "brushes or rotor open: does not charge, charge lamp never lights", Likelihood: 1.5},
				{Name: "belt-slips", Doc: "belt slips: so many percent of its speed", Dim: Percent, Low: 5, High: 70, Typical: 40, Likelihood: 2},
				{Name: "diode-open", Doc: "a rectifier diode open: a third less current", Likelihood: 1},
				{Name: "regulator-high", Doc: "regulator lets the voltage rise by", Dim: Volt, Low: 0.8, High: 6, Typical: 2.5, Likelihood: 0.7},
				{Name: "regulator-low", Doc: "regulator holds the voltage too low by", Dim: Volt, Low: 0.5, High: 3, Typical: 1.2, Likelihood: 0.7},
				{Name: "regulator-open", Doc: "regulator dead: charge lamp stays on", Likelihood: 1},
				{Name: "rectifier-leaks", Doc: "rectifier leaks: drains the battery at rest", Dim: Ohm, Low: 2, High: 500, Typical: 20, Likelihood: 0.7},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if scale := v["volts"] / 12; d.Dim == Volt && scale > 0 {
				d.Low, d.High, d.Typical = d.Low*scale, d.High*scale, d.Typical*scale
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			scale := v["volts"] / 12
			top := alternatorCutIn / alternatorRated
			return &Alternator{
				dial: dial{places: len(s.Positions)}, low: v["low"], high: v["high"], ratio: v["ratio"],
				ceiling: v["amps"] / math.Sqrt(1-top*top), set: alternatorSet * scale, droop: alternatorDroop * scale, scale: scale,
			}
		},
	}
}

// chargeLaw is the output between 51 and 31: from nearly limit below the set voltage to nearly nothing above it, in a smooth step
// that is half way down half the droop below the set voltage.
type chargeLaw struct{ limit, set, droop float64 }

// At implements circuit.Law.
func (l *chargeLaw) At(v float64) (i, g float64) {
	const steep = 4 // passes 1/2 with a slope of 1 over the droop and comes within 3 % of its ends one droop away
	y := steep * ((l.set-v)/l.droop - 0.5)
	r := 1 / math.Sqrt(1+float64(y*y))
	return -l.limit * 0.5 * (1 + float64(y*r)), l.limit * 0.5 * steep / l.droop * r * r * r
}

// Limit implements circuit.Law: steps across the whole curve are cut in two at its middle.
func (l *chargeLaw) Limit(next, last float64) float64 {
	middle := l.set - l.droop/2
	if (next-middle)*(last-middle) < 0 && math.Abs(next-last) > 2*l.droop {
		return middle
	}
	return next
}

// Seed implements circuit.Seeded.
func (l *chargeLaw) Seed() float64 { return l.set - l.droop/2 }

// Build implements Device.
func (a *Alternator) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	a.pins = pins
	a.output.built(n.Add(name+" output", pins[0], pins[2], circuit.Curve{Law: open}))
	a.field = n.Add(name+" field", pins[1], pins[2], circuit.Resistor{Ohms: a.fieldOhms()})
	a.exciter = n.Add(name+" exciter", pins[0], pins[1], circuit.Resistor{Ohms: math.Inf(1)})
	a.leak = n.Add(name+" rectifier leakage", pins[0], pins[2], circuit.Resistor{Ohms: diodeLeakOhms})
}

// fieldOhms is the rotor's resistance, exciterOhms that of what feeds it once it charges.
func (a *Alternator) fieldOhms() float64   { return fieldOhms * a.scale * a.scale }
func (a *Alternator) exciterOhms() float64 { return exciterOhms * a.scale * a.scale }

// speed returns the alternator's own speed in rpm.
func (a *Alternator) speed() float64 {
	n := a.between(a.low, a.high) * a.ratio
	if a.name == "belt-slips" {
		n *= a.severity / 100
	}
	return n
}

// limit returns the largest current that the present speed allows.
func (a *Alternator) limit() float64 {
	n := a.speed()
	if n <= alternatorCutIn {
		return 0
	}
	i := a.ceiling * math.Sqrt(1-float64((alternatorCutIn/n)*(alternatorCutIn/n)))
	if a.name == "diode-open" {
		i *= diodeShare
	}
	return i
}

// Charging reports whether it is excited and delivers.
func (a *Alternator) Charging() bool { return a.excited && a.able() }

// able reports whether it can charge at all: turning fast enough, its field and regulator sound.
func (a *Alternator) able() bool {
	return a.name != "field-open" && a.name != "regulator-open" && a.speed() > alternatorCutIn
}

// Stamp implements Device.
func (a *Alternator) Stamp(s *circuit.Solver, mode Mode) {
	field, exciter, leak := a.fieldOhms(), math.Inf(1), diodeLeakOhms
	switch a.name {
	case "field-open":
		field = math.Inf(1)
	case "rectifier-leaks":
		leak = a.severity
	}
	switch {
	case a.rippling() && mode == Moving:
		exciter = a.exciterOhms()
		a.stampRipple(s)
	case a.Charging():
		exciter = a.exciterOhms()
		now := chargeLaw{a.limit(), a.set, a.droop}
		switch a.name {
		case "regulator-high":
			now.set += a.severity
		case "regulator-low":
			now.set -= a.severity
		}
		changed := now != a.law
		a.law = now
		a.output.set(s, &a.law, changed)
	default:
		a.output.set(s, open, false)
	}
	s.SetOhms(a.field, field)
	s.SetOhms(a.exciter, exciter)
	s.SetOhms(a.leak, leak)
}

// wants reports whether the excitation is to begin or end.
func (a *Alternator) wants(s *circuit.Solver) bool {
	if a.excited {
		return !a.able()
	}
	return a.able() && (s.Current(a.field) >= exciteAmps/a.scale || a.speed() > remanence*alternatorCutIn)
}

// Settle implements Device.
func (a *Alternator) Settle(s *circuit.Solver) bool {
	if !a.wants(s) {
		return false
	}
	a.excited = !a.excited
	return true
}

// exciteTime is the seconds that excitation takes to build up or to fall: some tenths (common practice, no source).
const exciteTime = 0.2

// Due implements Device.
func (a *Alternator) Due(s *circuit.Solver) float64 {
	if a.wants(s) {
		return exciteTime
	}
	return math.Inf(1)
}

// Step implements Device.
func (a *Alternator) Step(s *circuit.Solver) float64 {
	if a.rippling() {
		return min(a.Due(s), 1/(rippleParts*a.turns()))
	}
	return a.Due(s)
}

// Advance implements Device. Excitation comes and goes within the step in which it is asked for.
func (a *Alternator) Advance(s *circuit.Solver, dt float64) []Happening {
	if a.rippling() {
		a.wave.advance(dt, 1/a.turns())
	}
	a.Settle(s)
	return nil
}

// State implements Device: position, excited.
func (a *Alternator) State() []float64 { return append(a.dial.State(), flag(a.excited)) }

// SetState implements Device.
func (a *Alternator) SetState(x []float64) {
	a.dial.SetState(x)
	a.excited = x[1] != 0
}
