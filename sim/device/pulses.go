package device

import (
	"math"

	"faultloom/sim/circuit"
)

// pulses is what pulsed outputs do to what warms up on them. A slow observer gets an output's mean, but heat goes with the square of the
// voltage, whose mean is larger: with d the duty and D the difference that the output makes to the voltage across something between on
// and off,
//
//	mean of v² = (mean of v)² + d·(1-d)·D²
//
// (the variance of what has two values). D follows from the circuit's response to the output's current while it is on, and is exact where the
// circuit is linear; outputs that pulse at the same time are taken to have nothing to do with each other. It is nothing while the edges
// themselves are followed.
type pulses struct {
	modules []*Module
	warmed  []pair
	known   bool // swing holds for the present solution
	swing   []float64
	all     []float64
}

// warmable is a device whose heat follows pulses.
type warmable interface {
	Device
	// joins makes it the device number at of those, or of none.
	joins(p *pulses, at int)
	// ends returns its two nodes.
	ends() pair
}

// onPulses is what a warmable device has of the pulses: its number among those that are warmed.
type onPulses struct {
	of *pulses
	at int
}

// joins implements warmable.
func (o *onPulses) joins(p *pulses, at int) { o.of, o.at = p, at }

// stale tells that the circuit is about to change.
func (o *onPulses) stale() {
	if o.of != nil {
		o.of.known = false
	}
}

// variance is the mean of v² less the square of the mean of v, in V², across a device.
func (o *onPulses) variance(s *circuit.Solver) float64 {
	if o.of == nil {
		return 0
	}
	o.of.look(s)
	return o.of.swing[o.at]
}

// newPulses brings together the modules that have outputs and what may warm up on them.
func newPulses(all []Device) {
	p := &pulses{}
	for _, d := range all {
		if m, ok := d.(*Module); ok && m.canPulse() {
			p.modules = append(p.modules, m)
		}
	}
	for _, d := range all {
		w, ok := d.(warmable)
		switch {
		case !ok:
		case len(p.modules) == 0:
			w.joins(nil, 0)
		default:
			w.joins(p, len(p.warmed))
			p.warmed = append(p.warmed, w.ends())
		}
	}
	p.swing = make([]float64, len(p.warmed))
}

// canPulse reports whether a row of the module's table pulses an output.
func (m *Module) canPulse() bool {
	for _, row := range m.then {
		for _, d := range row {
			if d.drive.Duty > 0 && d.drive.Duty < 1 {
				return true
			}
		}
	}
	return false
}

// pulseLeast is the share of a branch's own conductance that must be left of the circuit's response beside it: what has less behind it
// carries nothing that could warm anything, and its response has lost its digits.
const pulseLeast = 1e-9

// look finds out what the present solution means for everything that is warmed, once for each solution.
func (p *pulses) look(s *circuit.Solver) {
	if p.known {
		return
	}
	p.known = true
	clear(p.swing)
	if len(p.all) != s.Nodes() {
		p.all = make([]float64, s.Nodes())
	}
	for _, m := range p.modules {
		for i := range m.outputs {
			duty := m.duty(i)
			if _, _, followed := m.pulsed(i); followed || !m.x.on[i] || duty == 1 || m.logic.Outputs[i].Side == Reference {
				continue
			}
			id := m.outputs[i].curve.id
			a, b := s.Ends(id)
			across := s.Voltage(a) - s.Voltage(b)
			_, siemens := m.outputs[i].driver.At(across)
			// What an ampere does beside the output, and from that what it would do without it.
			left := 1 - float64(s.Transfer(b, a, p.all)*siemens)
			if !(left > pulseLeast) {
				continue
			}
			amps := s.Current(id) / duty / left
			for k, at := range p.warmed {
				d := amps * (p.all[at[0]] - p.all[at[1]])
				p.swing[k] += duty * (1 - duty) * float64(d*d)
			}
		}
	}
}

// effective is the voltage that warms as much as a mean with a variance does.
func effective(mean, variance float64) float64 {
	if variance == 0 {
		return math.Abs(mean)
	}
	return math.Sqrt(float64(mean*mean) + variance)
}
