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
	zero          float64
	zeroed        bool
	leads         [][2]harness.Point // in the order of Tools
	shunt, jumper *device.Probe
	states        [5][]float64 // of probe, shunt, jumper, lamp and load
}

// Save returns the bench as it is.
func (b *Bench) Save() *Saved {
	s := &Saved{dial: b.dial, on: b.on, keys: b.keys, zero: b.extra.zero, zeroed: b.extra.zeroed, shunt: b.shunt, jumper: b.jumper}
	for _, t := range Tools() {
		s.leads = append(s.leads, b.leads[t])
	}
	for i, d := range [5]device.Device{b.probe, b.shunt, b.jumper, b.lamp, b.extra.load} {
		s.states[i] = slices.Clone(d.State())
	}
	return s
}

// Load puts the bench back to what it was when it was saved. A machine that carries its tools is not touched.
func (b *Bench) Load(s *Saved) {
	b.dial, b.on, b.keys, b.shunt, b.jumper = s.dial, s.on, s.keys, s.shunt, s.jumper
	b.extra.zero, b.extra.zeroed = s.zero, s.zeroed
	for i, t := range Tools() {
		b.leads[t] = s.leads[i]
	}
	for i, d := range [5]device.Device{b.probe, b.shunt, b.jumper, b.lamp, b.extra.load} {
		d.SetState(s.states[i])
	}
}
