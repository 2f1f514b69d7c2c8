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
	fuse      *element // nil if none; its resistance counts as part of ohms
}

// NewProbe returns a probe that does not conduct.
func NewProbe() *Probe { return &Probe{ohms: math.Inf(1)} }

// NewFusedProbe returns a probe that does not conduct, with a blade-type fuse of a rating in amperes inside.
func NewFusedProbe(rating float64) *Probe {
	return &Probe{ohms: math.Inf(1), fuse: &element{melt: &bladeMake.melt, rating: rating}}
}

// Set gives the probe a force in volts, which raises the first lead above the second, and a resistance in ohms, from
// circuit.MinOhms to +Inf.
func (p *Probe) Set(emf, ohms float64) { p.emf, p.ohms = emf, ohms }

// Blown reports whether the probe's own fuse is open.
func (p *Probe) Blown() bool { return p.fuse != nil && p.fuse.blown }

// Refit puts a new fuse of the same rating in.
func (p *Probe) Refit() {
	if p.fuse != nil {
		*p.fuse = element{melt: p.fuse.melt, rating: p.fuse.rating}
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

// Due implements Device.
func (p *Probe) Due(s *circuit.Solver) float64 {
	if p.fuse == nil {
		return math.Inf(1)
	}
	return p.fuse.due(p.Amps(s))
}

// Advance implements Device. The heat of the probe's fuse changes nothing until it opens, so it asks for no steps.
func (p *Probe) Advance(s *circuit.Solver, dt float64) []Happening {
	if p.fuse != nil && p.fuse.advance(p.Amps(s), dt) {
		return []Happening{{What: "fuse-opened"}}
	}
	return nil
}

// Rest implements Device.
func (p *Probe) Rest(s *circuit.Solver) {
	if p.fuse != nil {
		p.fuse.rest(p.Amps(s))
	}
}

// State implements Device: force, resistance, and the fuse's state.
func (p *Probe) State() []float64 {
	x := []float64{p.emf, p.ohms}
	if p.fuse != nil {
		x = append(x, p.fuse.appendState(nil)...)
	}
	return x
}

// SetState implements Device.
func (p *Probe) SetState(x []float64) {
	p.emf, p.ohms = x[0], x[1]
	if p.fuse != nil {
		p.fuse.setState(x[2:])
	}
}
