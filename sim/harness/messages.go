package harness

import (
	"slices"

	"faultloom/sim/device"
)

// messages checks that what a module has over the bus is sent there, by one other module.
func (v *validation) messages() {
	for _, c := range v.h.Components {
		l := c.Spec.Logic
		if l == nil || l.Bus == nil {
			continue
		}
		for _, in := range l.Inputs {
			if !in.OverBus {
				continue
			}
			switch senders := v.senders(l.Bus.Number, in.Name); {
			case len(senders) == 0:
				v.bad("component %q: input %q comes over bus %g, and no module there sends it", c.ID, in.Name, l.Bus.Number)
			case len(senders) > 1:
				v.bad("component %q: input %q comes over bus %g from %s and %s; one must send it", c.ID, in.Name, l.Bus.Number, senders[0], senders[1])
			}
		}
	}
}

// senders returns the modules that send a name on a bus.
func (v *validation) senders(bus float64, name string) []string {
	var all []string
	for _, c := range v.h.Components {
		if l := c.Spec.Logic; l != nil && onBus(l, bus) && slices.Contains(l.Bus.Sends, name) {
			all = append(all, c.ID)
		}
	}
	return all
}

func onBus(l *device.Logic, number float64) bool { return l.Bus != nil && l.Bus.Number == number }
