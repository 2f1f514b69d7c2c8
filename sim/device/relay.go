package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Relay is a plug-in relay with a change-over contact. The armature pulls in when the coil's ampere-turns reach a threshold and lets
// go at a lower one, each after a delay.
//
// A coil of which some turns are shorted makes the same ampere-turns at the same voltage, for both its current and its
// turns change in proportion: so the thresholds are kept as volts across what is left of the coil.
//
// The coil is an inductance behind its resistance, L·di/dt = u - R·i, with the losses of its iron as a resistance across it. What breaks
// its current makes it drive that through whatever there is: with nothing but its losses to hundreds of volts backwards (100 to
// 400 V are usual; common practice, no source), with a resistor to its resistance times the current, with a diode to the drop of
// that. Each instant the coil is a source of its present current; over a step that follows from what the circuit looks like from
// it (Thévenin), exactly where that is linear. The delays hold for a supply that comes and goes at once. A diode lets the
// current run down slowly; there the armature's delay begins when what is left no longer holds it.
type Relay struct {
	base
	coil, flow, losses, resistor, makes, breaks circuit.ID
	diode                                       curve
	pins                                        []circuit.Node

	relayCoil
	own              relayCoil // of the relay that belongs there
	amps             float64   // in the inductance, from 86 to 85
	mode             Mode
	hasDiode         bool
	watched          bool
	operate, release float64 // seconds
	contact          float64 // ohms of a closed contact
	in               bool    // the armature is pulled in
	waited           float64 // seconds for which the coil has asked for the other state
	junction         *junctionLaw
	heat             coilHeat
	spoilt
}

// relayCoil is what a relay's coil is made for.
type relayCoil struct {
	volts           float64 // rated
	ohms, damp      float64 // of the coil and of the resistor across it, +Inf if none
	henries, loss   float64 // of the coil, and the resistance in ohms that stands for its iron
	rated           float64 // amperes
	pullIn, dropOut float64 // volts across the coil
}

// wound returns the coil of the same relay for another voltage: the same power and ampere-turns, so ohms, henries and all across it go
// with the square. (Data sheets have 75 to 100 Ω at 12 V and 320 Ω at 24 V, testdata/device/relay.csv: three to four times as much.)
func (c relayCoil) wound(volts float64) relayCoil {
	k := volts / c.volts
	kk := k * k
	return relayCoil{
		volts: volts, ohms: c.ohms * kk, damp: c.damp * kk, henries: c.henries * kk, loss: c.loss * kk,
		rated: c.rated / k, pullIn: c.pullIn * k, dropOut: c.dropOut * k,
	}
}

// otherVolts is the coil voltage of the relay that gets into the wrong socket: they are made for 12 and 24 V, look alike and fit (common
// practice, no source).
func otherVolts(volts float64) float64 {
	if volts < 17 { // between the two, in proportion
		return 24
	}
	return 12
}

const (
	// relayDiode is the suppression diode: a common silicon type of 1 A.
	relayDiodeVolts, relayDiodeAmps = 0.9, 1.0
	// coilTime is the time constant in seconds of a coil: 0.5 H for 100 Ω, between 0.3 and 1 H as is usual.
	coilTime = 0.005
	// coilLoss is the resistance of its losses over that of the coil.
	coilLoss = 20.0
	// coilGrain is the change of its current, over the rated one, that is worth a step, coilWatched the same while somebody watches: a step of any
	// length is exact. coilFine is that with a diode, where the armature waits for the current. coilRest is how near to its end the current counts
	// as there.
	coilGrain, coilWatched, coilFine, coilRest = 0.5, 0.1, 0.05, 1e-3
	// shortedDiodeOhms is a diode that has gone to a short (common practice, no source).
	shortedDiodeOhms = 0.05
)

func relayFamily() family {
	return family{
		kind: Kind{
			Name: "relay", Title: "relay",
			Doc: "A plug-in relay: coil between 86 (positive) and 85 (ground side), change-over contact from 30 to 87 when pulled in and to " +
				"87a when at rest. Leave out the wires to 87a for a plain make relay. With `diode: 1` or `resistor` the coil is " +
				"suppressed; a diode conducts when the coil is fed the wrong way round.",
			Terminals: []Terminal{{"85", "coil, ground side"}, {"86", "coil, positive side"}, {"30", "common of the contact"},
				{"87", "make contact"}, {"87a", "break contact"}},
			Plugged: true,
			Params: []Param{
				{Key: "volts", Doc: "rated coil voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "coil", Doc: "coil resistance; 75 to 100 ohms are usual at 12 V, 320 at 24 V", Dim: Ohm, Default: 100, Min: 5, Max: 5000},
				{Key: "pull-in", Doc: "coil voltage at which it pulls in, of the rated one", Dim: Percent, Default: 55, Min: 10, Max: 95},
				{Key: "drop-out", Doc: "coil voltage at which it lets go, of the rated one; keep it below pull-in", Dim: Percent, Default: 25, Min: 1, Max: 90},
				{Key: "operate", Doc: "time it takes to pull in", Dim: Second, Default: 0.007, Min: 0.0005, Max: 1},
				{Key: "release", Doc: "time it takes to let go, without a diode", Dim: Second, Default: 0.005, Min: 0.0005, Max: 1},
				contactParam("contact", 0.005),
				{Key: "diode", Doc: "1 when a suppression diode lies across the coil", Default: 0, Min: 0, Max: 1},
				{Key: "warming", Doc: "how much warmer the coil gets at rated voltage for good; then its resistance follows its temperature and that of the vehicle. 30 to 60 K are usual; 0 for a coil that stays as it is", Dim: Celsius, Min: 0, Max: 120, Extra: true},
				{Key: "warm-up", Doc: "time to reach 63 % of its warming", Dim: Second, Default: coilTau, Min: 1, Max: 3600, Extra: true},
				{Key: "resistor", Doc: "suppression resistor across the coil, 0 for none; 680 ohms are usual at 12 V", Dim: Ohm, Default: 0, Min: 0, Max: 1e5},
			},
			Defects: []Defect{
				{Name: "coil-open", Doc: "coil broken", Likelihood: 1},
				{Name: "coil-shorted", Doc: "turns of the coil shorted", Dim: Ohm, Low: 0.5, High: 40, Typical: 5, Likelihood: 0.3},
				{Name: "stuck-out", Doc: "armature jammed: does not pull in, does not click", Likelihood: 0.5},
				{Name: "contact-burnt", Doc: "contacts burnt", Dim: Ohm, Low: 0.05, High: 1e4, Typical: 2, Likelihood: 2},
				{Name: "contact-open", Doc: "make contact does not make, though the relay clicks", Likelihood: 1.5},
				{Name: "contact-welded", Doc: "make contact welded: it never opens", Likelihood: 1},
				{Name: "break-open", Doc: "break contact does not make", Likelihood: 0.3},
				{Name: "diode-shorted", Doc: "suppression diode shorted", Likelihood: 0.3, Needs: "diode"},
				{Name: "diode-open", Doc: "suppression diode open", Likelihood: 0.2, Needs: "diode"},
				{Name: "wrong-relay", Doc: "relay of another coil voltage fitted", Dim: Volt, Low: 12, High: 24, Typical: 24, Likelihood: 0.2, Visible: true},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			switch ohms, other := v["coil"], otherVolts(v["volts"]); d.Name {
			case "coil-shorted":
				d.span(0.01*ohms, 0.05*ohms, 0.6*ohms)
			case "wrong-relay":
				d.span(other, other, other)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			c := relayCoil{
				volts: v["volts"], ohms: v["coil"], damp: math.Inf(1),
				pullIn: v["volts"] * v["pull-in"] / 100, dropOut: v["volts"] * v["drop-out"] / 100,
			}
			r := &Relay{
				hasDiode: v["diode"] > 0,
				operate:  v["operate"], release: v["release"], contact: v["contact"],
				junction: newJunction(relayDiodeVolts, relayDiodeAmps),
				heat:     coilHeat{warming: v["warming"], tau: coilTau, around: copperCelsius},
			}
			// A relay cannot let go at more than it pulls in with.
			c.dropOut = min(c.dropOut, 0.95*c.pullIn)
			if v["resistor"] > 0 {
				c.damp = v["resistor"]
			}
			if v["warm-up"] > 0 {
				r.heat.tau = v["warm-up"]
			}
			c.henries = coilTime * c.ohms
			c.loss = coilLoss * c.ohms
			c.rated = v["volts"] / c.ohms
			r.own, r.relayCoil = c, c
			return r
		},
	}
}

// Build implements Device.
func (r *Relay) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	r.pins = pins
	none := circuit.Resistor{Ohms: math.Inf(1)}
	r.coil = n.Add(name+" coil", pins[1], pins[0], none)
	r.flow = n.Add(name+" coil's current", pins[1], pins[0], circuit.Injection{})
	r.losses = n.Add(name+" coil's losses", pins[1], pins[0], circuit.Resistor{Ohms: r.loss})
	r.makes = n.Add(name+" 30-87", pins[2], pins[3], none)
	r.breaks = n.Add(name+" 30-87a", pins[2], pins[4], none)
	r.resistor = n.Add(name+" suppression", pins[1], pins[0], none)
	if r.hasDiode {
		r.diode.built(n.Add(name+" diode", pins[0], pins[1], circuit.Curve{Law: open}))
	}
}

// Stamp implements Device.
func (r *Relay) Stamp(s *circuit.Solver, mode Mode) {
	r.mode = mode
	if mode == Steady || r.name == "coil-open" {
		s.SetOhms(r.coil, r.winding())
		s.SetAmps(r.flow, 0)
	} else {
		s.SetOhms(r.coil, math.Inf(1))
		s.SetAmps(r.flow, r.amps)
	}
	s.SetOhms(r.losses, r.loss)
	damp := r.damp
	if r.name == "diode-shorted" {
		damp = shortedDiodeOhms
	}
	s.SetOhms(r.resistor, damp)
	if r.hasDiode {
		if r.name == "diode-open" || r.name == "diode-shorted" {
			r.diode.set(s, open, false)
		} else {
			r.diode.set(s, r.junction, false)
		}
	}
	good := r.contact
	if r.name == "contact-burnt" {
		good = r.severity
	}
	in := r.pulledIn()
	makes, breaks := math.Inf(1), math.Inf(1)
	if in && r.name != "contact-open" {
		makes = good
	}
	if !in && r.name != "break-open" {
		breaks = good
	}
	s.SetOhms(r.makes, makes)
	s.SetOhms(r.breaks, breaks)
}

func (r *Relay) coilOhms() float64 {
	switch r.name {
	case "coil-open":
		return math.Inf(1)
	case "coil-shorted":
		return r.severity
	}
	return r.ohms
}

// winding is the resistance of the coil's copper: with that of its losses across it, it is that of the coil.
func (r *Relay) winding() float64 {
	if ohms := r.coilOhms(); !math.IsInf(ohms, 1) {
		return 1 / (1/(ohms*r.warmth()) - 1/r.loss)
	}
	return math.Inf(1)
}

// inductance in henries goes with the square of the turns that are left.
func (r *Relay) inductance() float64 {
	share := r.coilOhms() / r.ohms
	return r.henries * share * share
}

// across is the voltage of 86 over 85.
func (r *Relay) across(s *circuit.Solver) float64 { return s.Voltage(r.pins[1]) - s.Voltage(r.pins[0]) }

// rises returns how fast the coil's current changes in A/s, and how fast that decays, in 1/s; 0 when it has come to its end.
func (r *Relay) rises(s *circuit.Solver) (rate, decays float64) {
	if r.mode == Steady || r.name == "coil-open" {
		return 0, 0
	}
	ohms, l := r.winding(), r.inductance()
	lacks := r.across(s) - float64(ohms*r.amps)
	if math.Abs(lacks) <= coilRest*r.rated*ohms {
		return 0, 0
	}
	_, outer := s.Thevenin(r.pins[1], r.pins[0])
	return lacks / l, (ohms + outer) / l
}

// pulledIn reports where the armature is; a welded contact or a jam holds it.
func (r *Relay) pulledIn() bool {
	switch r.name {
	case "contact-welded":
		return true
	case "stuck-out":
		return false
	}
	return r.in
}

// PulledIn reports whether the armature is pulled in.
func (r *Relay) PulledIn() bool { return r.pulledIn() }

// wants reports whether the coil asks for the other state. An open coil makes no ampere-turns, whatever the voltage.
func (r *Relay) wants(s *circuit.Solver) bool {
	if r.name == "contact-welded" || r.name == "stuck-out" {
		return false
	}
	// What pulls is the current: the voltage that would make it in a coil at 20 °C. One that is out pulls in as soon as its coil lets it, before
	// that warms up; one that is in must hold when it is warm.
	volts := 0.0
	if r.name != "coil-open" {
		volts = math.Abs(r.across(s)) / r.pulls()
	}
	if r.mode == Moving && r.across(s)*r.amps < 0 && math.Abs(r.amps) > coilRest*r.rated {
		volts = 0 // it drives its own current on; what is left of one that has come to its end has no sign to go by
		if r.hasDiode && r.name != "diode-open" {
			volts = math.Abs(r.amps) * r.coilOhms()
		}
	}
	if r.in {
		return volts <= r.dropOut
	}
	return volts >= r.pullIn
}

// pulls is k of coilHeat for the armature, 1 for a coil that does not warm up.
func (r *Relay) pulls() float64 {
	switch {
	case !r.heatsUp():
		return 1
	case r.in:
		return r.warmth()
	}
	return r.heat.factor(r.heat.now)
}

// Watch implements Watched.
func (r *Relay) Watch(on bool) { r.watched = on }

// Settle implements Device.
func (r *Relay) Settle(s *circuit.Solver) bool {
	r.waited = 0
	moved := r.finds(s)
	if !r.wants(s) {
		return moved
	}
	r.in = !r.in
	return true
}

// wait is the delay that the present state has before it changes.
func (r *Relay) wait() float64 {
	if r.in {
		return r.release
	}
	return r.operate
}

// Due implements Device: the rest of the delay.
func (r *Relay) Due(s *circuit.Solver) float64 {
	if !r.wants(s) {
		return math.Inf(1)
	}
	return max(0, r.wait()-r.waited)
}

// Step implements Device: an armature on its way is not at rest, and arrives at a step's end; nor is a current that changes.
func (r *Relay) Step(s *circuit.Solver) float64 {
	step := min(r.Due(s), r.warms(s))
	if rate, _ := r.rises(s); rate != 0 {
		grain := coilGrain
		switch {
		case r.hasDiode:
			grain = coilFine
		case r.watched:
			grain = coilWatched
		}
		step = min(step, grain*r.rated/math.Abs(rate))
	}
	return step
}

// timeGrain is the time in seconds that rounding may take off a delay that was waited for to the instant.
const timeGrain = 1e-9

// Advance implements Device.
func (r *Relay) Advance(s *circuit.Solver, dt float64) []Happening {
	wants := r.wants(s)
	if rate, decays := r.rises(s); rate != 0 {
		r.amps += float64(rate / decays * (1 - exp(-decays*dt)))
	}
	if r.heatsUp() {
		p := r.heating(s)
		r.heat.now = p + float64((r.heat.now-p)*exp(-dt/r.heat.tau))
	}
	if !wants {
		r.waited = 0
		return nil
	}
	r.waited += dt
	if r.waited < r.wait()-timeGrain {
		return nil
	}
	r.in, r.waited = !r.in, 0
	if r.in {
		return []Happening{{What: "click-in", Loud: true}}
	}
	return []Happening{{What: "click-out", Loud: true}}
}

// Rest implements Device: the coil carries what it then carries.
func (r *Relay) Rest(s *circuit.Solver) {
	r.heat.now = r.heat.final
	if r.amps = 0; r.name != "coil-open" {
		r.amps = r.across(s) / r.winding()
	}
}

// CoilAmps returns the current in the coil's inductance, from 86 to 85.
func (r *Relay) CoilAmps() float64 { return r.amps }

// CoilCelsius returns the temperature of a coil that warms up.
func (r *Relay) CoilCelsius() float64 { return r.heat.around + float64(r.heat.warming*r.heat.now) }

// State implements Device: pulled in, time waited, coil's current, its heat now and in steady state.
func (r *Relay) State() []float64 { return r.appendState(nil) }

func (r *Relay) appendState(dst []float64) []float64 {
	return append(dst, flag(r.in), r.waited, r.amps, r.heat.now, r.heat.final)
}

// SetState implements Device.
func (r *Relay) SetState(x []float64) {
	r.in, r.waited, r.amps, r.heat.now, r.heat.final = x[0] != 0, x[1], x[2], x[3], x[4]
}

// Spoil implements Defective.
func (r *Relay) Spoil(defect string, severity float64) error {
	if err := r.put(defect, severity); err != nil {
		return err
	}
	r.relayCoil = r.own
	if r.name == "wrong-relay" {
		r.relayCoil = r.own.wound(r.severity)
	}
	return nil
}
