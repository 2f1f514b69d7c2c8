package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Probe is what an instrument puts between its two leads: an electromotive force in series with a resistance, and a fuse if
// it has one.
type Probe struct {
	base
	pins      pair
	branch    circuit.ID
	emf, ohms float64
	fuse      *Fuse // nil if none; its resistance counts as part of ohms
}

// NewProbe returns a probe that does not conduct.
func NewProbe() *Probe { return &Probe{ohms: math.Inf(1)} }

// NewFusedProbe returns a probe that does not conduct, with a blade-type fuse of a rating in amperes inside.
func NewFusedProbe(rating float64) *Probe {
	return &Probe{ohms: math.Inf(1), fuse: newFuse(&bladeMake, rating)}
}

// Set gives the probe a force in volts, which raises the first lead above the second, and a resistance in ohms, from
// circuit.MinOhms to +Inf.
func (p *Probe) Set(emf, ohms float64) { p.emf, p.ohms = emf, ohms }

// Blown reports whether the probe's own fuse is open.
func (p *Probe) Blown() bool { return p.fuse != nil && p.fuse.Blown() }

// Refit puts a new fuse of the same rating in.
func (p *Probe) Refit() {
	if p.fuse != nil {
		p.fuse.Fit(p.fuse.Rating())
	}
}

// Amps returns the current in amperes that flows into the first lead, through the instrument and out of the second.
func (p *Probe) Amps(s *circuit.Solver) float64 { return s.Current(p.branch) }

// Volts returns the voltage of the first lead above the second.
func (p *Probe) Volts(s *circuit.Solver) float64 { return p.pins.volts(s) }

// Build implements Device.
func (p *Probe) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	p.pins = pair(pins)
	p.branch = n.Add(name, pins[0], pins[1], circuit.Source{EMF: p.emf, Ohms: p.ohms})
}

// Stamp implements Device.
func (p *Probe) Stamp(s *circuit.Solver, _ Mode) {
	s.SetEMF(p.branch, p.emf)
	ohms := p.ohms
	if p.Blown() {
		ohms = math.Inf(1)
	}
	s.SetOhms(p.branch, ohms)
}

// drive is the fuse's x², see melt.
func (p *Probe) drive(s *circuit.Solver) float64 {
	return p.fuse.model.melt.drive(p.Amps(s), p.fuse.rating)
}

// Due implements Device.
func (p *Probe) Due(s *circuit.Solver) float64 {
	if p.fuse == nil || p.Blown() {
		return math.Inf(1)
	}
	return p.fuse.model.melt.due(p.fuse.heat, p.drive(s))
}

// Advance implements Device.
func (p *Probe) Advance(s *circuit.Solver, dt float64) []Happening {
	if p.fuse == nil || p.Blown() {
		return nil
	}
	p.fuse.heat = p.fuse.model.melt.after(p.fuse.heat, p.drive(s), dt)
	if p.fuse.model.melt.total(p.fuse.heat) < opensAt {
		return nil
	}
	p.fuse.blown = true
	return []Happening{{What: "fuse-opened"}}
}

// Rest implements Device.
func (p *Probe) Rest(s *circuit.Solver) {
	if p.fuse == nil || p.Blown() {
		return
	}
	if x2 := p.drive(s); x2 < 1 {
		p.fuse.heat = heat{x2, x2}
	}
}

// State implements Device: force, resistance, and the fuse's state.
func (p *Probe) State() []float64 {
	x := []float64{p.emf, p.ohms}
	if p.fuse != nil {
		x = append(x, p.fuse.State()...)
	}
	return x
}

// SetState implements Device.
func (p *Probe) SetState(x []float64) {
	p.emf, p.ohms = x[0], x[1]
	if p.fuse != nil {
		p.fuse.SetState(x[2:])
	}
}
