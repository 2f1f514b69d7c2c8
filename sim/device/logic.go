package device

import (
	"fmt"
	"slices"
)

// Logic is what a module does, as a harness file describes it: a table of conditions, no code. Names of inputs, outputs and timers
// share one space.
type Logic struct {
	Supply  string        `json:"supply"` // terminal
	Ground  string        `json:"ground"` // terminal; all voltages of the module are taken from it
	Inputs  []LogicInput  `json:"inputs,omitempty"`
	Outputs []LogicOutput `json:"outputs"`
	Timers  []LogicTimer  `json:"timers,omitempty"`
	Rows    []LogicRow    `json:"rows,omitempty"`
	Bus     *LogicBus     `json:"bus,omitempty"` // nil for a module that is on none
}

// LogicBus is the module's place on a two-wire bus.
type LogicBus struct {
	High    string   `json:"high"` // terminal
	Low     string   `json:"low"`  // terminal
	Ohms    float64  `json:"ohms,omitempty"`
	Traffic float64  `json:"traffic"` // share of the time, 0 to 1, for which it holds the bus dominant
	Number  float64  `json:"number"`  // of its bus, for harnesses with more than one
	Sends   []string `json:"sends,omitempty"`
}

// Lost says what an input is that comes over the bus while it is not heard.
type Lost string

// What a lost input is taken for.
const (
	LostOff  Lost = "off"
	LostOn   Lost = "on"
	LostKeep Lost = "keep" // as it was heard last
)

// LogicInput is a voltage that the module compares, or with OverBus a signal of that name which another module on its bus sends. It is on above one threshold, below one, or between two. Several may look at one
// terminal, as for a switch that joins one of several resistors to ground; one of them has the pull then.
type LogicInput struct {
	Name     string `json:"name"`
	Terminal string `json:"terminal,omitempty"`
	OverBus  bool   `json:"overBus,omitempty"`
	Lost     Lost   `json:"lost,omitempty"` // LostOff if empty
	// PullUp and PullDown are ohms to the supply (or to the output named PullTo) and to ground, 0 for none.
	PullUp   float64 `json:"pullUp,omitempty"`
	PullDown float64 `json:"pullDown,omitempty"`
	PullTo   string  `json:"pullTo,omitempty"`
	// Above and Below are volts from the module's ground, 0 for none. The input goes off Hysteresis volts later than it went on.
	Above      float64 `json:"above,omitempty"`
	Below      float64 `json:"below,omitempty"`
	Hysteresis float64 `json:"hysteresis,omitempty"`
}

// Side says what an output switches to.
type Side string

// The sides.
const (
	HighSide  Side = "high"      // from the supply
	LowSide   Side = "low"       // to ground
	Reference Side = "reference" // a regulated voltage for sensors, there while the module is alive
)

// Trip says what an output does that has been overloaded.
type Trip string

// What an overloaded output does.
const (
	Retry Trip = "retry"     // tries again after a time
	Latch Trip = "latch-off" // stays off until it has been commanded off
)

// LogicOutput is one driver.
type LogicOutput struct {
	Name     string  `json:"name"`
	Terminal string  `json:"terminal"`
	Side     Side    `json:"side"`
	Ohms     float64 `json:"ohms"`              // when on
	Limit    float64 `json:"limit"`             // amperes; it lets no more through
	Trip     Trip    `json:"trip"`              // after overloadTime at its limit
	Retry    float64 `json:"retry,omitempty"`   // seconds
	LampOut  float64 `json:"lampOut,omitempty"` // amperes below which its lamp counts as out, 0 for no such watch
	Volts    float64 `json:"volts,omitempty"`   // of a Reference
}

// LogicTimer is a signal made from another: delayed, kept until something, or changing over at each rise.
type LogicTimer struct {
	Name     string  `json:"name"`
	Of       string  `json:"of"` // an input, or a timer listed before
	OnDelay  float64 `json:"onDelay,omitempty"`
	OffDelay float64 `json:"offDelay,omitempty"`
	Until    string  `json:"until,omitempty"`  // on from when Of is on until this signal is, which wins
	Toggle   bool    `json:"toggle,omitempty"` // changes over each time that Of goes on
}

// LogicRow sets outputs while all its terms hold. Where rows that hold differ, the last one decides; an output of which none
// speaks is off.
type LogicRow struct {
	When []LogicTerm  `json:"when"`
	Then []LogicDrive `json:"then"`
}

// LogicTerm is a condition: an input or timer is "on" or "off", an input that comes over the bus is "lost" or "heard", an output's lamp is
// "out" or "fine", or the output is "tripped".
type LogicTerm struct {
	Name  string `json:"name"`
	State string `json:"state"`
}

// LogicDrive is what an output is told: off (Duty 0), on (Duty 1), pulsed with a duty between, or flashing at Flash hertz (half on).
type LogicDrive struct {
	Output string  `json:"output"`
	Duty   float64 `json:"duty,omitempty"`  // 0 to 1
	Hertz  float64 `json:"hertz,omitempty"` // of pulses
	Flash  float64 `json:"flash,omitempty"` // hertz
}

// Flaw is something wrong with a Logic: the way to it as a harness file has it, such as "conditions", "2", "when", "door" (rows count
// from 1), and what is wrong with it.
type Flaw struct {
	Path []string
	Text string
}

// Terminals returns the terminals of a module in the order of its description: supply, ground, inputs, outputs, bus. The caller owns the
// slice.
func (l *Logic) Terminals() []string {
	out := []string{l.Supply, l.Ground}
	add := func(t string) {
		if t != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	for _, in := range l.Inputs {
		add(in.Terminal)
	}
	for _, o := range l.Outputs {
		add(o.Terminal)
	}
	if l.Bus != nil {
		add(l.Bus.High)
		add(l.Bus.Low)
	}
	return out
}

// Flaws returns what is wrong with a description, in the order of a harness file; none if it can be built.
func (l *Logic) Flaws() []Flaw {
	c := &logicCheck{l: l, signals: map[string]string{}}
	if l.Supply == l.Ground {
		c.say("supply and ground must be two terminals (both are %s)", l.Supply)("ground")
	}
	c.inputs()
	c.outputs()
	c.timers()
	c.bus()
	c.rows()
	return c.flaws
}

// logicCheck gathers the flaws of one Logic.
type logicCheck struct {
	l       *Logic
	signals map[string]string // "input", "output" or "timer" by name
	flaws   []Flaw
}

// say returns what takes the path of a flaw and records it.
func (c *logicCheck) say(format string, args ...any) func(path ...string) {
	return func(path ...string) { c.flaws = append(c.flaws, Flaw{path, fmt.Sprintf(format, args...)}) }
}

// name takes a name, once.
func (c *logicCheck) name(sort, name, section string) {
	if old, taken := c.signals[name]; taken {
		c.say("the name is taken by the %s %q; inputs, outputs and timers need different ones", old, name)(section, name)
		return
	}
	c.signals[name] = sort
}

// numbers refuses what no quantity of a module can be.
func (c *logicCheck) numbers(path []string, all ...float64) {
	for _, x := range all {
		if !(x >= 0 && x <= 1e9) {
			c.say("numbers must be from 0 to 1e9 (got %g)", x)(path...)
		}
	}
}

func (c *logicCheck) inputs() {
	pulled := map[string]string{}
	for _, in := range c.l.Inputs {
		c.name("input", in.Name, "inputs")
		path := func(key ...string) []string { return append([]string{"inputs", in.Name}, key...) }
		if in.OverBus {
			c.overBus(in)
			continue
		}
		if in.Terminal == "" {
			c.say("needs a terminal, or over: bus")(path()...)
		}
		if in.Lost != "" {
			c.say("only what comes over the bus can be lost")(path("lost")...)
		}
		c.numbers(path(), in.PullUp, in.PullDown, in.Above, in.Below, in.Hysteresis)
		if in.Terminal == c.l.Supply || in.Terminal == c.l.Ground {
			c.say("terminal %s is the supply or the ground", in.Terminal)(path("terminal")...)
		}
		switch {
		case in.Above <= 0 && in.Below <= 0:
			c.say("says neither above nor below how many volts it is on")(path()...)
		case in.Above > 0 && in.Below > 0 && in.Below <= in.Above:
			c.say("between above %g V and below %g V there is nothing; below must be the larger", in.Above, in.Below)(path("below")...)
		}
		if in.Above > 0 && in.Hysteresis >= in.Above {
			c.say("hysteresis must be smaller than above (%g V), or it never goes off (got %g V)", in.Above, in.Hysteresis)(path("hysteresis")...)
		}
		if in.PullUp > 0 && in.PullDown > 0 {
			c.say("has both a pull-up and a pull-down; give one")(path("pull-down")...)
		}
		if in.PullUp > 0 || in.PullDown > 0 {
			if other, ok := pulled[in.Terminal]; ok {
				c.say("terminal %s has the pull of input %q already; give it once", in.Terminal, other)(path()...)
			}
			pulled[in.Terminal] = in.Name
		}
		if in.PullTo != "" {
			i := slices.IndexFunc(c.l.Outputs, func(o LogicOutput) bool { return o.Name == in.PullTo && o.Side == Reference })
			if i < 0 || in.PullUp <= 0 {
				c.say("%q must be an output with switch: reference, and the input needs a pull-up", in.PullTo)(path("pull-to")...)
			}
		}
	}
}

func (c *logicCheck) outputs() {
	taken := map[string]string{c.l.Supply: "the supply", c.l.Ground: "the ground"}
	for _, in := range c.l.Inputs {
		if !in.OverBus {
			taken[in.Terminal] = "input " + in.Name
		}
	}
	for _, o := range c.l.Outputs {
		c.name("output", o.Name, "outputs")
		c.numbers([]string{"outputs", o.Name}, o.Ohms, o.Limit, o.Retry, o.LampOut, o.Volts)
		if other, ok := taken[o.Terminal]; ok {
			c.say("terminal %s is %s", o.Terminal, other)("outputs", o.Name, "terminal")
		}
		taken[o.Terminal] = "output " + o.Name
		if o.Side == Reference && o.Volts <= 0 {
			c.say("a reference needs its volts, such as 5 V")("outputs", o.Name)
		}
	}
}

func (c *logicCheck) timers() {
	for _, t := range c.l.Timers {
		c.signal(t.Of, "timers", t.Name, "of")
		if t.Until != "" {
			c.signal(t.Until, "timers", t.Name, "until")
		}
		c.numbers([]string{"timers", t.Name}, t.OnDelay, t.OffDelay)
		delayed, kept := t.OnDelay > 0 || t.OffDelay > 0, t.Until != ""
		if (delayed && kept) || (delayed && t.Toggle) || (kept && t.Toggle) || !delayed && !kept && !t.Toggle {
			c.say("needs one of: delays (on-delay, off-delay or both), until, toggle")("timers", t.Name)
		}
		c.name("timer", t.Name, "timers")
	}
}

// signal looks for an input or an earlier timer.
func (c *logicCheck) signal(name string, path ...string) {
	if sort := c.signals[name]; sort != "input" && sort != "timer" {
		c.say("there is no input %q, nor a timer of that name above", name)(path...)
	}
}

func (c *logicCheck) rows() {
	for i, r := range c.l.Rows {
		row := fmt.Sprint(i + 1)
		for _, t := range r.When {
			at := []string{"conditions", row, "when", t.Name}
			switch sort, on := c.signals[t.Name], t.State == "on" || t.State == "off"; {
			case sort == "":
				c.say("there is no input, timer or output %q", t.Name)(at...)
			case t.State == "lost" || t.State == "heard":
				if !c.comesOverBus(t.Name) {
					c.say("%q does not come over the bus, so it cannot be %s", t.Name, t.State)(at...)
				}
			case sort == "output" && on:
				c.say("%q is an output, which can be out, fine or tripped (got %s)", t.Name, t.State)(at...)
			case sort != "output" && !on:
				c.say("%q is %s %s, which can be on or off (got %s)", t.Name, map[string]string{"input": "an", "timer": "a"}[sort], sort, t.State)(at...)
			case (t.State == "out" || t.State == "fine") && c.output(t.Name).LampOut <= 0:
				c.say("output %q does not watch its lamp; give it a lamp-out current", t.Name)(at...)
			}
		}
		for _, d := range r.Then {
			at := []string{"conditions", row, "then", d.Output}
			switch {
			case c.signals[d.Output] != "output":
				c.say("there is no output %q", d.Output)(at...)
			case c.output(d.Output).Side == Reference:
				c.say("output %q is a reference, which is there all the time", d.Output)(at...)
			case !(d.Duty >= 0 && d.Duty <= 1 && d.Flash >= 0 && d.Flash <= maxFlash):
				c.say("wants a duty up to 100 %% and at most %g Hz when it flashes", maxFlash)(at...)
			}
		}
	}
}

// maxFlash is the fastest flashing in hertz: beyond some 10 Hz nobody sees it.
const maxFlash = 10.0

func (c *logicCheck) output(name string) LogicOutput {
	i := slices.IndexFunc(c.l.Outputs, func(o LogicOutput) bool { return o.Name == name })
	if i < 0 {
		return LogicOutput{}
	}
	return c.l.Outputs[i]
}
