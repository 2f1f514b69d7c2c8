package device

import (
	"math"

	"faultloom/sim/circuit"
)

// strand is a piece of metal that melts: the body of fuses and fusible links.
type strand struct {
	base
	pins   pair
	curve  curve
	link   element // the one that is in now
	steady meltLaw
	moving ohmic
	pulses onPulses
	spoilt
}

// Blown reports whether the element is open to the eye.
func (f *strand) Blown() bool { return f.link.blown || f.name == "element-open" }

// ColdOhms returns the resistance in ohms of a sound, cold one.
func (f *strand) ColdOhms() float64 { return f.steady.cold }

// meltLaw is a fuse left in peace: V = R·I·(1 + rise·(I/amps)²), R the cold resistance and amps the current at which it opens in
// the end. Beyond that no fuse is left in peace, and the law only has to be smooth.
type meltLaw struct{ cold, amps, rise, unit float64 }

// At implements circuit.Law by solving the cubic with Halley's method, which triples the digits of a root that is simple; from
// the start chosen, five rounds are enough from 0 to 1000 times the rating.
func (l *meltLaw) At(v float64) (i, g float64) {
	y := float64(math.Abs(v) * l.unit)
	// The root of z + rise·z³ = y lies below both y and the cube root of y/rise.
	z := y / (1 + float64(l.rise*y*y)/(1+float64(l.rise*y)))
	for range 5 {
		zz := float64(z * z)
		f := z + float64(l.rise*zz*z) - y
		d := 1 + float64(3*l.rise*zz)
		z -= f * d / (float64(d*d) - float64(f*3*l.rise*z))
	}
	g = 1 / (l.cold * (1 + float64(3*l.rise*z*z)))
	return math.Copysign(z*l.amps, v), g
}

// meltNear is the share by which a voltage may miss that of the current told for it and be as good to go on from; meltLoad is the current, over the one
// that opens it in the end, beyond which a fuse is no small resistance any more.
const meltNear, meltLoad = 0.02, 2

// Limit implements circuit.Law. A fuse has next to no resistance, so what is around it rules its current, and a tangent tells that far better than the
// voltage of a law that bends: Newton's method goes on from the voltage of that current.
func (l *meltLaw) Limit(next, last float64) float64 {
	i, g := l.At(last)
	z := min(meltLoad, max(-meltLoad, (i+float64(g*(next-last)))/l.amps))
	at := float64(z*(1+float64(l.rise*z*z))) / l.unit
	if math.Abs(at-next) <= meltNear*math.Abs(at) || math.Abs(z) == meltLoad && math.Abs(next) > math.Abs(at) {
		return next
	}
	return at
}

// Build implements Device.
func (f *strand) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	f.pins = pair(pins)
	f.pulses = onPulses{}
	f.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
}

// Stamp implements Device.
func (f *strand) Stamp(s *circuit.Solver, mode Mode) {
	f.pulses.stale()
	switch {
	case f.Blown():
		f.curve.set(s, open, false)
	case f.name == "element-cracked":
		f.curve.set(s, &f.moving, f.moving.become(1/f.severity))
	case mode == Steady:
		f.curve.set(s, &f.steady, false)
	default:
		f.curve.set(s, &f.moving, f.moving.become(1/f.ohms()))
	}
}

// ohms is the resistance at the present heat.
func (f *strand) ohms() float64 {
	return f.steady.cold * (1 + float64(f.steady.rise*min(1, f.link.melt.total(f.link.heat))))
}

// Amps returns the current in amperes from terminal 1 to terminal 2 in the last solution.
func (f *strand) Amps(s *circuit.Solver) float64 { return s.Current(f.curve.id) }

// heats is the current in amperes that warms the element: on pulses more than the mean, see pulses.
func (f *strand) heats(s *circuit.Solver) float64 {
	v := f.pulses.variance(s)
	if v == 0 {
		return f.Amps(s)
	}
	_, siemens := f.curve.now.At(f.pins.volts(s))
	return effective(f.Amps(s), v*siemens*siemens)
}

// joins and ends implement warmable.
func (f *strand) joins(p *pulses, at int) { f.pulses.joins(p, at) }
func (f *strand) ends() pair              { return f.pins }

// Due implements Device: the time until the element melts.
func (f *strand) Due(s *circuit.Solver) float64 {
	if f.Blown() {
		return math.Inf(1)
	}
	return f.link.due(f.heats(s))
}

// FuseHeat is how warm a fuse's element and what it is clamped in are: 0 as what is around them, and the element opens when their weighted mean is 1.
type FuseHeat = heat

// Warmed returns what a heat becomes within so many seconds under a current in amperes, and Bears for how many it bears that, +Inf for good. The
// element's own heat is left out of it.
func (f *strand) Warmed(h FuseHeat, amps, seconds float64) FuseHeat {
	return f.link.melt.after(h, f.link.drive(amps), seconds)
}

// Bears: see Warmed.
func (f *strand) Bears(h FuseHeat, amps float64) float64 {
	return f.link.melt.due(h, f.link.drive(amps))
}

// heatGrain is the change of a fuse's heat that is worth a step: a tenth of the way from cold to open is some 5 % of its
// resistance, a few millivolts.
const heatGrain = 0.1

// Step implements Device.
func (f *strand) Step(s *circuit.Solver) float64 {
	if f.Blown() {
		return math.Inf(1)
	}
	return f.link.step(f.heats(s), heatGrain)
}

// Advance implements Device.
func (f *strand) Advance(s *circuit.Solver, dt float64) []Happening {
	if f.link.advance(f.heats(s), dt) {
		return []Happening{{What: "fuse-opened"}}
	}
	return nil
}

// Rest implements Device. A fuse that would open has no rest and keeps its heat.
func (f *strand) Rest(s *circuit.Solver) { f.link.rest(f.heats(s)) }

// State implements Device: rating, heat of both bodies, blown.
func (f *strand) State() []float64 { return f.appendState(nil) }

func (f *strand) appendState(dst []float64) []float64 { return f.link.appendState(dst) }

// SetState implements Device. A defect stays.
func (f *strand) SetState(x []float64) { f.link.setState(x) }
