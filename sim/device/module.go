package device

import (
	"slices"
	"strings"

	"faultloom/sim/circuit"
)

// Module is a control unit whose behaviour is a table of conditions (Logic). Its inputs compare voltages, from its own ground
// terminal, with thresholds that have hysteresis; what it decides takes reactTime, as its software looks again and again and believes
// only what stays. Its outputs are resistances that limit their current (driverLaw) and give up after overloadTime at the limit.
// Figures of its parts are common practice, no source, where the file does not give them.
//
// A pulsed output is the mean over its period, also while time passes: a meter on DC volts shows that mean; what warms up on it gets the larger
// effective value (pulses). Its edges are there for instruments that look closer (Waving). What a reference gives is drawn
// from the module's supply.
// A flashing output has no steady state, like a flasher at work.
type Module struct {
	base
	logic   Logic
	pins    []circuit.Node
	own     circuit.ID
	draw    circuit.ID // from the supply for references
	drawn   float64    // amperes of it
	sought  bool       // see Sought
	mode    Mode
	outputs []moduleOutput

	terminals      []string
	supply, ground int   // places in pins
	input, output  []int // places in pins of each input's and output's terminal

	alive, amps, rated float64
	x, y               moduleState // now, and what it would be
	drives             []LogicDrive
	waves              []wave         // by output
	sources            []moduleSource // what each term of a row and each timer looks at
	terms              [][]moduleTerm
	then               [][]moduleDrive
	node               *Node          // its bus transceiver, nil if it is on no bus
	senders            []moduleSender // by input: whom it comes from over the bus
	spoilt
}

// moduleOutput is one output in the circuit.
type moduleOutput struct {
	curve  curve
	driver driverLaw
	hold   referenceLaw
}

// moduleSource is a timer with the signals that it looks at: inputs first, then timers.
type moduleSource struct{ of, until int }

// moduleTerm is a term of a row: the place of a signal or output, and whether it must be on.
type moduleTerm struct {
	watch logicWatch
	at    int
	want  bool
}

type logicWatch int

const (
	watchSignal logicWatch = iota
	watchLamp
	watchTrip
	watchLost
)

// moduleDrive is a drive with the place of its output.
type moduleDrive struct {
	at    int
	drive LogicDrive
}

// moduleState is what a module remembers. Its slices are by input, timer or output.
type moduleState struct {
	alive   bool
	react   float64   // seconds for which it has wanted to change something
	signal  []bool    // inputs, then timers
	lost    []bool    // by input: it comes over the bus and is not heard
	was     []bool    // by timer: what it looks at, when it looked last
	waited  []float64 // by timer
	on      []bool    // by output: it conducts
	lit     []bool    // by output: the half of a flash in which it is on
	out     []bool    // by output: its lamp is out
	tripped []bool    // by output
	held    []float64 // by output: seconds of overload, or since it tripped
	flashed []float64 // by output: seconds of the present half of a flash
	emf     []float64 // by output: of a pulsed one
	tried   []float64 // by output: the force tried last in steady state, and what it should have been
	found   []float64
}

const (
	// reactTime is how long a voltage must stay before a module believes it: 10 to 50 ms (common practice, no source).
	reactTime = 0.02
	// overloadTime is how long an output bears its limit: longer than a lamp's inrush, which is over in some 50 ms.
	overloadTime = 0.15
	// aliveHysteresis is by how many volts more a dead module comes back.
	aliveHysteresis = 0.5
	// inputOhms is an input without a pull: it draws next to nothing, and reads as 0 V when nothing is connected.
	inputOhms = 1e6
	// atLimit is the share of its limit from which an output counts as overloaded.
	atLimit = 0.999
	// pulseGrain is how near in volts the mean of a pulsed output is found.
	pulseGrain = 1e-10
	// pulseRest is the same for a module at rest while time passes, and pulseStep the step in seconds until then.
	pulseRest, pulseStep = 1e-4, 1e-3
)

// How the defects of inputs and outputs begin; the name follows.
const blindInput, deadOutput, stuckOutput = "blind-", "dead-", "stuck-"

// has reports whether the module has a defect of this beginning, in the input or output of this name.
func (m *Module) has(begin, name string) bool {
	return len(m.name) == len(begin)+len(name) && strings.HasPrefix(m.name, begin) && strings.HasSuffix(m.name, name)
}

// staysAwake is the defect of a module that drains the battery.
const staysAwake = "stays-awake"

func moduleFamily() family {
	return family{
		kind: Kind{
			Name: "module", Title: "control module",
			Doc: "A control unit, described by a table of conditions: `inputs` compare the voltage of a terminal with a threshold, `outputs` " +
				"switch to supply or ground, and each of the `conditions` says what the outputs do when inputs are so. See " +
				"[the section on modules](#a-module). Below `alive` it does nothing. Each input can fail by itself (`blind-` and its name: never on), " +
				"and so can each output (`dead-` and its name: never on; `stuck-` and its name: always on). A pulsed output is given as its mean.",
			OwnTerminals: true, Logic: true, Plugged: true,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 5, Max: 48},
				{Key: "alive", Doc: "supply voltage below which it is dead", Dim: Volt, Default: 7, Min: 1, Max: 40},
				{Key: "amps", Doc: "current that it draws itself", Dim: Ampere, Default: 0.03, Min: 0.0001, Max: 5},
			},
			Defects: []Defect{
				{Name: "dead", Doc: "module dead: no output comes on", Likelihood: 0.3},
				{Name: staysAwake, Doc: "module does not sleep: it draws so much more at all times", Dim: Ampere, Low: 0.1, High: 5, Typical: 0.5, Likelihood: 0.2},
			},
		},
		make: func(s Spec) Device { return newModule(s) },
	}
}

// logicDefects lists what can go wrong with each input and output of a module.
func logicDefects(l *Logic) []Defect {
	var all []Defect
	for _, in := range l.Inputs {
		if in.OverBus {
			continue
		}
		all = append(all, Defect{Name: blindInput + in.Name, Doc: "input " + in.Name + " of the module dead: never on", Likelihood: 0.2})
	}
	for _, o := range l.Outputs {
		all = append(all, Defect{Name: deadOutput + o.Name, Doc: "output " + o.Name + " of the module dead", Likelihood: 0.5})
		if o.Side != Reference {
			all = append(all, Defect{Name: stuckOutput + o.Name, Doc: "output " + o.Name + " of the module always on", Likelihood: 0.3})
		}
	}
	return append(all, busDefects(l)...)
}

// filled returns l with what may be left out: a copy, so that the caller's stays as it is.
func (l *Logic) filled() Logic {
	out := *l
	out.Inputs, out.Outputs = slices.Clone(l.Inputs), slices.Clone(l.Outputs)
	or := func(x *float64, usual float64) {
		if *x == 0 {
			*x = usual
		}
	}
	for i := range out.Inputs {
		if out.Inputs[i].OverBus {
			continue
		}
		or(&out.Inputs[i].Hysteresis, min(InputHysteresis, 0.5*max(out.Inputs[i].Above, out.Inputs[i].Below)))
	}
	for i := range out.Outputs {
		o := &out.Outputs[i]
		if o.Side == "" {
			o.Side = HighSide
		}
		if o.Trip == "" {
			o.Trip = Retry
		}
		or(&o.Ohms, OutputOhms)
		if o.Side == Reference {
			or(&o.Limit, ReferenceLimit)
		}
		or(&o.Limit, OutputLimit)
		or(&o.Retry, OutputRetry)
	}
	return out
}

// What an input or output of a module has when a file does not say: volts, ohms, amperes, amperes of a reference, seconds (common
// practice, no source).
const (
	InputHysteresis = 0.5
	OutputOhms      = 0.05
	OutputLimit     = 10.0
	ReferenceLimit  = 0.1
	OutputRetry     = 1.0
)

func newModule(s Spec) *Module {
	l := s.Logic.filled()
	inputs, timers, outputs := len(l.Inputs), len(l.Timers), len(l.Outputs)
	m := &Module{
		logic: l, terminals: s.Terminals, alive: s.Values["alive"], amps: s.Values["amps"], rated: s.Values["volts"],
		outputs: make([]moduleOutput, outputs), drives: make([]LogicDrive, outputs), waves: make([]wave, outputs),
		x: newModuleState(inputs, timers, outputs), y: newModuleState(inputs, timers, outputs),
	}
	at := func(terminal string) int { return slices.Index(s.Terminals, terminal) }
	m.supply, m.ground = at(l.Supply), at(l.Ground)
	signal, output := map[string]int{}, map[string]int{}
	for i, in := range l.Inputs {
		m.input = append(m.input, at(in.Terminal))
		signal[in.Name] = i
	}
	for i, t := range l.Timers {
		source := moduleSource{of: signal[t.Of], until: -1}
		if t.Until != "" {
			source.until = signal[t.Until]
		}
		m.sources = append(m.sources, source)
		signal[t.Name] = inputs + i
	}
	for i, o := range l.Outputs {
		m.output = append(m.output, at(o.Terminal))
		output[o.Name] = i
		m.outputs[i].driver = driverLaw{ohms: o.Ohms, limit: o.Limit, oneWay: o.Side == LowSide}
		m.outputs[i].hold = referenceLaw{volts: o.Volts, ohms: o.Ohms, limit: o.Limit}
	}
	for _, r := range l.Rows {
		var terms []moduleTerm
		for _, t := range r.When {
			switch t.State {
			case "on", "off":
				terms = append(terms, moduleTerm{watchSignal, signal[t.Name], t.State == "on"})
			case "tripped":
				terms = append(terms, moduleTerm{watchTrip, output[t.Name], true})
			case "lost", "heard":
				terms = append(terms, moduleTerm{watchLost, signal[t.Name], t.State == "lost"})
			default:
				terms = append(terms, moduleTerm{watchLamp, output[t.Name], t.State == "out"})
			}
		}
		m.terms = append(m.terms, terms)
		var then []moduleDrive
		for _, d := range r.Then {
			then = append(then, moduleDrive{output[d.Output], d})
		}
		m.then = append(m.then, then)
	}
	m.node = moduleNode(&m.logic, m)
	m.senders = make([]moduleSender, inputs)
	return m
}

func newModuleState(inputs, timers, outputs int) moduleState {
	return moduleState{
		signal: make([]bool, inputs+timers), lost: make([]bool, inputs), was: make([]bool, timers), waited: make([]float64, timers),
		on: make([]bool, outputs), lit: make([]bool, outputs), out: make([]bool, outputs), tripped: make([]bool, outputs),
		held: make([]float64, outputs), flashed: make([]float64, outputs), emf: make([]float64, outputs),
		tried: make([]float64, outputs), found: make([]float64, outputs),
	}
}

// Build implements Device.
func (m *Module) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	m.pins = pins
	supply, ground := pins[m.supply], pins[m.ground]
	m.own = n.Add(name+" own current", supply, ground, circuit.Resistor{Ohms: m.rated / m.amps})
	m.draw = n.Add(name+" current for references", supply, ground, circuit.Injection{})
	if m.node != nil {
		at := func(terminal string) circuit.Node { return pins[slices.Index(m.terminals, terminal)] }
		m.node.Build(n, name+" bus", []circuit.Node{supply, ground, at(m.logic.Bus.High), at(m.logic.Bus.Low)})
	}
	for i, in := range m.logic.Inputs {
		if in.OverBus {
			continue
		}
		pin := pins[m.input[i]]
		if in.PullUp > 0 {
			to := supply
			if in.PullTo != "" {
				k := slices.IndexFunc(m.logic.Outputs, func(o LogicOutput) bool { return o.Name == in.PullTo })
				to = pins[m.output[k]]
			}
			n.Add(name+" pull-up of "+in.Name, to, pin, circuit.Resistor{Ohms: in.PullUp})
		}
		ohms := inputOhms
		if in.PullDown > 0 {
			ohms = in.PullDown
		}
		if in.PullDown > 0 || slices.Index(m.input, m.input[i]) == i {
			n.Add(name+" input "+in.Name, pin, ground, circuit.Resistor{Ohms: ohms})
		}
	}
	for i, o := range m.logic.Outputs {
		a, b := supply, pins[m.output[i]]
		if o.Side != HighSide {
			a, b = b, ground
		}
		m.outputs[i].curve.built(n.Add(name+" output "+o.Name, a, b, circuit.Curve{Law: open}))
	}
}

// Stamp implements Device.
func (m *Module) Stamp(s *circuit.Solver, mode Mode) {
	m.mode = mode
	s.SetAmps(m.draw, m.drawn)
	s.SetOhms(m.own, m.rated/m.ownAmps())
	if m.node != nil {
		m.transceive()
		m.node.Stamp(s, mode)
	}
	for i := range m.outputs {
		o := &m.outputs[i]
		if !m.x.on[i] {
			o.curve.set(s, open, false)
			continue
		}
		if m.logic.Outputs[i].Side == Reference {
			o.curve.set(s, &o.hold, false)
			continue
		}
		if duty, period, ok := m.pulsed(i); ok {
			m.stampPulse(s, i, duty, period)
			continue
		}
		emf, limit := m.x.emf[i], m.logic.Outputs[i].Limit*m.duty(i)
		changed := o.driver.emf != emf || o.driver.limit != limit
		o.driver.emf, o.driver.limit = emf, limit
		o.curve.set(s, &o.driver, changed)
	}
}

// ownAmps is the current that the module itself draws at its rated voltage, in amperes.
func (m *Module) ownAmps() float64 {
	if m.name == staysAwake {
		return m.amps + m.severity
	}
	return m.amps
}

// duty is the part of the time for which an output that is on conducts.
func (m *Module) duty(i int) float64 {
	if d := m.drives[i].Duty; d > 0 && !m.has(stuckOutput, m.logic.Outputs[i].Name) {
		return d
	}
	return 1
}

// On reports whether an output conducts, false for one that the module does not have.
func (m *Module) On(output string) bool {
	i := slices.IndexFunc(m.logic.Outputs, func(o LogicOutput) bool { return o.Name == output })
	return i >= 0 && m.x.on[i]
}

// State implements Device.
func (m *Module) State() []float64 { return m.appendState(nil) }

func (m *Module) appendState(all []float64) []float64 {
	x := &m.x
	all = append(all, flag(x.alive), x.react, m.drawn)
	for _, flags := range [...][]bool{x.signal, x.lost, x.was, x.on, x.lit, x.out, x.tripped} {
		for _, f := range flags {
			all = append(all, flag(f))
		}
	}
	for _, numbers := range [...][]float64{x.waited, x.held, x.flashed, x.emf, x.tried, x.found} {
		all = append(all, numbers...)
	}
	if m.node != nil {
		all = append(all, m.node.State()...)
	}
	return all
}

// SetState implements Device.
func (m *Module) SetState(state []float64) {
	x := &m.x
	x.alive, x.react, m.drawn = state[0] != 0, state[1], state[2]
	state = state[3:]
	for _, flags := range [...][]bool{x.signal, x.lost, x.was, x.on, x.lit, x.out, x.tripped} {
		for i := range flags {
			flags[i] = state[i] != 0
		}
		state = state[len(flags):]
	}
	for _, numbers := range [...][]float64{x.waited, x.held, x.flashed, x.emf, x.tried, x.found} {
		copy(numbers, state)
		state = state[len(numbers):]
	}
	if m.node != nil {
		m.node.SetState(state)
	}
	m.decide(x)
}
