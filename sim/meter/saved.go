package meter

import (
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Saved is a bench at one moment: leads, dial, and the state of what the tools are made of. It belongs to the bench that made it and is
// never changed.
type Saved struct {
	dial          Function
	on            int
	keys          keys
	leads         [][2]harness.Point // in the order of Tools
	shunt, jumper *device.Probe
	states        [4][]float64 // of probe, shunt, jumper and lamp
}

// Save returns the bench as it is.
func (b *Bench) Save() *Saved {
	s := &Saved{dial: b.dial, on: b.on, keys: b.keys, shunt: b.shunt, jumper: b.jumper}
	for _, t := range Tools() {
		s.leads = append(s.leads, b.leads[t])
	}
	for i, d := range [4]device.Device{b.probe, b.shunt, b.jumper, b.lamp} {
		s.states[i] = slices.Clone(d.State())
	}
	return s
}

// Load puts the bench back to what it was when it was saved. A machine that carries its tools is not touched.
func (b *Bench) Load(s *Saved) {
	b.dial, b.on, b.keys, b.shunt, b.jumper = s.dial, s.on, s.keys, s.shunt, s.jumper
	for i, t := range Tools() {
		b.leads[t] = s.leads[i]
	}
	for i, d := range [4]device.Device{b.probe, b.shunt, b.jumper, b.lamp} {
		d.SetState(s.states[i])
	}
}
