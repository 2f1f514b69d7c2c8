package device

import "slices"

// busTraffic is the largest share of the time for which one module may hold its bus dominant.
const busTraffic = 0.45

// overBus checks an input that comes over the bus.
func (c *logicCheck) overBus(in LogicInput) {
	path := func(key ...string) []string { return append([]string{"inputs", in.Name}, key...) }
	switch {
	case c.l.Bus == nil:
		c.say("comes over the bus, but the module is on none: give it a bus")(path("over")...)
	case slices.Contains(c.l.Bus.Sends, in.Name):
		c.say("comes over the bus, so the module cannot send it")(path("over")...)
	}
	if in.Terminal != "" || in.PullUp > 0 || in.PullDown > 0 || in.PullTo != "" || in.Above > 0 || in.Below > 0 || in.Hysteresis > 0 {
		c.say("comes over the bus, so it has no terminal, no voltages and no pull")(path()...)
	}
	if !slices.Contains([]Lost{"", LostOff, LostOn, LostKeep}, in.Lost) {
		c.say("what it is when the talk is lost must be off, on or keep (got %s)", in.Lost)(path("lost")...)
	}
}

// comesOverBus reports whether a name is that of an input which comes over the bus.
func (c *logicCheck) comesOverBus(name string) bool {
	return slices.ContainsFunc(c.l.Inputs, func(in LogicInput) bool { return in.Name == name && in.OverBus })
}

// bus checks the module's place on its bus.
func (c *logicCheck) bus() {
	b := c.l.Bus
	if b == nil {
		return
	}
	c.numbers([]string{"bus"}, b.Ohms, b.Number)
	if !(b.Traffic >= 0 && b.Traffic <= busTraffic) {
		c.say("traffic must be from 0 to %g %% (got %g %%)", 100*busTraffic, 100*b.Traffic)("bus", "traffic")
	}
	taken := map[string]bool{c.l.Supply: true, c.l.Ground: true}
	for _, in := range c.l.Inputs {
		taken[in.Terminal] = true
	}
	for _, o := range c.l.Outputs {
		taken[o.Terminal] = true
	}
	for _, t := range [2][2]string{{"high", b.High}, {"low", b.Low}} {
		switch {
		case t[1] == "":
			c.say("needs the terminals high and low")("bus", t[0])
		case taken[t[1]]:
			c.say("terminal %s has another use already", t[1])("bus", t[0])
		}
		taken[t[1]] = true
	}
	for i, name := range b.Sends {
		switch sort := c.signals[name]; {
		case sort != "input" && sort != "timer":
			c.say("there is no input or timer %q that it could send", name)("bus", "sends")
		case slices.Contains(b.Sends[:i], name):
			c.say("%q is listed twice", name)("bus", "sends")
		}
	}
}
