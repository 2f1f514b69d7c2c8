package published

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
	"faultloom/testdata"
)

// played is a device in its circuit that goes through the same as a deck of ngspice.
type played struct {
	deck, title string
	columns     []column // of the stored answers, after the time
	longest     float64  // step in seconds
	rig         *rig
	begin       float64            // seconds of the rig's clock at which the deck begins
	turn        float64            // seconds at which something is switched, 0 for nothing; near it the two are not compared
	turned      func()             // does that
	blind       float64            // seconds after the beginning and round the turn for which the two are not compared
	skip        func(float64) bool // instants that are not compared, nil for none
	stepped     bool               // in equal steps, for a circuit with a capacitor
}

// column is what one column of the answers is here, and how near it must come.
type column struct {
	name, unit string
	now        func() float64
	tolerance  float64
	why        string
}

// stepsDiffer is why two programs differ that integrate the same equations.
const stepsDiffer = "both programs' steps, some thousandths of what moves"

// onward goes through time by the rig's own clock, with steps of at most longest seconds.
func (r *rig) onward(until, longest float64) error {
	for r.past < until {
		if err := r.solve(device.Moving); err != nil {
			return err
		}
		dt := min(longest, until-r.past)
		for _, d := range r.devices {
			dt = min(dt, d.Step(r.solver), d.Due(r.solver))
		}
		dt = max(dt, shortest)
		for _, d := range r.devices {
			d.Advance(r.solver, dt)
		}
		if r.past+dt == r.past {
			break
		}
		r.past += dt
	}
	return r.solve(device.Moving)
}

// capacitive is onward for a circuit with capacitors, in equal steps.
func (r *rig) capacitive(until, step float64) error {
	for r.past < until-step/2 {
		for _, d := range r.devices {
			d.Stamp(r.solver, device.Moving)
		}
		if err := r.solver.Step(step); err != nil {
			return err
		}
		for _, d := range r.devices {
			d.Advance(r.solver, step)
		}
		r.past += step
	}
	return nil
}

// rows compares with the stored answers: one row for each column.
func (p *played) rows() ([]Row, error) {
	file := "device/ngspice/" + p.deck
	text, err := testdata.Tables.ReadFile(file + ".txt")
	if err != nil {
		return nil, err
	}
	onward := p.rig.onward
	if p.stepped {
		onward = p.rig.capacitive
	}
	off := make([]difference, len(p.columns))
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		var x []float64
		for _, f := range strings.Fields(s.Text()) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				return nil, fmt.Errorf("%s.txt: %w", file, err)
			}
			x = append(x, v)
		}
		if len(x) != 1+len(p.columns) {
			return nil, fmt.Errorf("%s.txt: %d numbers in a line, want %d", file, len(x), 1+len(p.columns))
		}
		at := x[0]
		if p.turned != nil && at > p.turn {
			if err := onward(p.begin+p.turn, p.longest); err != nil {
				return nil, err
			}
			p.turned()
			p.turned = nil
		}
		if err := onward(p.begin+at, p.longest); err != nil {
			return nil, err
		}
		if at < p.blind || p.turn > 0 && math.Abs(at-p.turn) < p.blind || p.skip != nil && p.skip(at) {
			continue
		}
		for i, c := range p.columns {
			off[i].see(c.now(), x[1+i], true)
		}
	}
	var all []Row
	for i, c := range p.columns {
		all = append(all, line{}.row(fmt.Sprintf("%s: %s at %d instants, up to %.4g %s", p.title, c.name, off[i].count, off[i].size, c.unit), c.unit, off[i].worst).
			within(0, c.tolerance, c.why).from("ngspice 39 on testdata/"+file+".cir", "yes: run, its answers stored beside the deck"))
	}
	return all, p.rig.err
}

// motions compares devices in motion with what ngspice made of the same equations.
func motions() (Group, error) {
	g := Group{Title: "Devices in motion, beside another simulator", About: "Devices in a small circuit, followed through time, and the stored answers of ngspice 39 to the same equations: the largest difference over all instants, except at those where something switches. The tests run ngspice again where it is installed."}
	for _, make := range []func() (*played, error){
		inrush, pulsedLamp, capacitorDump, relayPlain, relayResistor, relayDiode, relayWarm, motorStart, wiperStart, heaterStart, ceramicStart,
	} {
		p, err := make()
		if err != nil {
			return g, err
		}
		rows, err := p.rows()
		if err != nil {
			return g, fmt.Errorf("%s: %w", p.deck, err)
		}
		g.Rows = append(g.Rows, rows...)
	}
	return g, nil
}

// filamentColumns are the temperature, volts and amperes of a lamp between a node and ground.
func filamentColumns(r *rig, l device.Device, node int, amps func() float64, volts, most float64) []column {
	const lines = "straight lines of the deck between the rows of the table of tungsten, 0.2 % below 600 K, and both programs' steps"
	return []column{
		{"temperature of the filament", "K", func() float64 { return l.State()[0] }, 1, stepsDiffer},
		{"voltage at the lamp", "V", func() float64 { return r.volts(node) }, 3e-3 * volts, lines},
		{"current", "A", amps, 3e-3 * most, lines},
	}
}

func inrush() (*played, error) {
	r := newRig(1)
	l := r.add(headlamp(), 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.1})
	r.compile()
	return &played{deck: "inrush", title: "headlamp of 55 W, on for 0.4 s and off", rig: r, longest: 2e-5, turn: 0.4, blind: 1e-6,
		turned:  func() { r.solver.SetOhms(source, 1e6) },
		columns: filamentColumns(r, l, 1, func() float64 { return -r.solver.Current(source) }, 12.6, 34)}, r.err
}

func pulsedLamp() (*played, error) {
	r := newRig(4)
	d := r.add(device.Spec{Kind: "module", Logic: &device.Logic{Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "want", Terminal: "1", PullUp: 1000, Above: 6}},
		Outputs: []device.LogicOutput{{Name: "lamp", Terminal: "2", Side: device.HighSide, Ohms: 0.05, Limit: 60}},
		Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
			Then: []device.LogicDrive{{Output: "lamp", Duty: 0.3, Hertz: 100}}}}}}, 1, 0, 2, 3)
	l := r.add(device.Spec{Kind: "lamp", Values: map[string]float64{"power": 21}}, 4, 0)
	r.branch(1, 0, circuit.Source{EMF: 13.5, Ohms: 0.02})
	wire := r.branch(3, 4, circuit.Resistor{Ohms: 0.1})
	if r.compile(); r.err != nil {
		return nil, r.err
	}
	m, ok := d.(*device.Module)
	if !ok {
		return nil, fmt.Errorf("a module is a %T", d)
	}
	const awake = 0.1 // s in which it comes to life and believes its input
	for !m.On("lamp") && r.past < awake {
		if err := r.onward(r.past+1e-3, 1e-3); err != nil {
			return nil, err
		}
	}
	m.Wave(true)
	return &played{deck: "pulsed-lamp", title: "lamp of 21 W on pulses of 30 % at 100 Hz", rig: r, longest: 5e-5, begin: r.past,
		skip: func(at float64) bool {
			phase := math.Mod(at+1e-9, 0.01)
			return phase < 1e-6 || math.Abs(phase-0.003) < 1e-6
		},
		columns: filamentColumns(r, l, 4, func() float64 { return r.solver.Current(wire) }, 13.5, 17)}, r.err
}

func capacitorDump() (*played, error) {
	r := newRig(3)
	l := r.add(device.Spec{Kind: "lamp", Values: map[string]float64{"power": 21}}, 3, 0)
	r.branch(1, 0, circuit.Capacitor{Farads: 0.02, Ohms: 0.02})
	charge := r.branch(1, 0, circuit.Source{EMF: 24, Ohms: 1e-3})
	contact := r.branch(1, 2, circuit.Resistor{Ohms: math.Inf(1)})
	wire := r.branch(2, 3, circuit.Resistor{Ohms: 0.5})
	if err := r.compile().settle(); err != nil {
		return nil, err
	}
	r.solver.SetOhms(charge, math.Inf(1))
	r.solver.SetOhms(contact, 1e-9)
	return &played{deck: "capacitor-dump", title: "20 mF at 24 V dumped into a lamp of 21 W", rig: r, longest: 4e-6, blind: 4e-6, stepped: true,
		columns: filamentColumns(r, l, 3, func() float64 { return r.solver.Current(wire) }, 24, 20)}, nil
}

func relayPlain() (*played, error) { return relayCoil("plain", nil) }
func relayDiode() (*played, error) { return relayCoil("diode", map[string]float64{"diode": 1}) }
func relayResistor() (*played, error) {
	return relayCoil("resistor", map[string]float64{"resistor": 680})
}

func relayCoil(name string, values map[string]float64) (*played, error) {
	r := newRig(2)
	d := r.add(device.Spec{Kind: "relay", Values: values}, 0, 2, 0, 0, 0)
	r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 1e-6})
	contact := r.branch(1, 2, circuit.Resistor{Ohms: 0.05})
	r.compile()
	k, ok := d.(*device.Relay)
	if !ok {
		return nil, r.err
	}
	// ngspice finds the instant at which its contact opens within half a microsecond, of a decay with 0.24 ms.
	const why = "the instant at which the contact opens, within half a microsecond"
	title := "relay coil without suppression"
	if name != "plain" {
		title = "relay coil with suppression " + name
	}
	return &played{deck: "relay-" + name, title: title + ", fed for 40 ms and broken", rig: r, longest: 1e-5, turn: 0.04, blind: 1e-4,
		turned: func() { r.solver.SetOhms(contact, 1e9) },
		columns: []column{
			{"current in the coil", "A", k.CoilAmps, 3e-4, why},
			{"voltage across the coil", "V", func() float64 { return r.volts(2) }, 0.6, why},
		}}, r.err
}

func relayWarm() (*played, error) {
	r := newRig(1)
	d := r.add(device.Spec{Kind: "relay", Values: map[string]float64{"warming": 50}}, 0, 1, 0, 0, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 13.5, Ohms: 0.05})
	r.compile()
	k, ok := d.(*device.Relay)
	if !ok {
		return nil, r.err
	}
	const around = 30 // °C
	k.Surround(around)
	return &played{deck: "relay-warm", title: "relay coil that warms up for 20 minutes and cools down", rig: r, longest: 1, turn: 1200, blind: 5,
		turned: func() { r.solver.SetOhms(source, 1e9) },
		columns: []column{
			{"heat over that at rated voltage", "", func() float64 { return (k.CoilCelsius() - around) / 50 }, 2e-3, stepsDiffer},
			{"current", "A", func() float64 { return r.solver.Current(source) }, 2e-4, "the current follows when it is a thousandth off"},
		}}, r.err
}

func motorStart() (*played, error) {
	r := newRig(1)
	d := r.add(device.Spec{Kind: "motor", Values: map[string]float64{"amps": 8}}, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.05})
	r.compile()
	m, ok := d.(*device.Motor)
	if !ok {
		return nil, r.err
	}
	return &played{deck: "motor", title: "fan motor of 8 A, fed for 1 s and cut off", rig: r, longest: 1e-3, turn: 1, blind: 0.02,
		turned: func() { r.solver.SetOhms(source, 1e6) }, skip: func(at float64) bool { return at > 1.9 },
		columns: []column{
			{"speed over the rated one", "", m.Speed, 1e-4, stepsDiffer},
			{"current", "A", func() float64 { return -r.solver.Current(source) }, 5e-3, stepsDiffer},
		}}, r.err
}

func wiperStart() (*played, error) {
	r := newRig(3)
	d := r.add(device.Spec{Kind: "wiper", Values: map[string]float64{"volts": 13}}, 1, 2, 0, 0, 0)
	r.branch(3, 0, circuit.Source{EMF: 12.6, Ohms: 1e-9})
	one := r.branch(3, 1, circuit.Resistor{Ohms: 0.05})
	two := r.branch(3, 2, circuit.Resistor{Ohms: 1e6})
	r.compile()
	m, ok := d.(*device.Wiper)
	if !ok {
		return nil, r.err
	}
	return &played{deck: "wiper", title: "wiper motor, 1 s at the lower and 1 s at the higher speed", rig: r, longest: 1e-3, turn: 1, blind: 0.02,
		turned: func() {
			r.solver.SetOhms(one, 1e6)
			r.solver.SetOhms(two, 0.05)
		},
		columns: []column{
			{"speed over the lower one", "", m.Speed, 2e-4, stepsDiffer + "; its start 1e-4 off is in it"},
			{"current of the lower speed", "A", func() float64 { return r.solver.Current(one) }, 0.01, stepsDiffer},
			{"current of the higher speed", "A", func() float64 { return r.solver.Current(two) }, 0.01, stepsDiffer},
		}}, r.err
}

func heaterStart() (*played, error) {
	r := newRig(1)
	h := r.add(device.Spec{Kind: "heater", Values: map[string]float64{"power": 120, "rise": 3, "time": 5}}, 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.05})
	r.compile()
	return &played{deck: "heater", title: "glow plug that warms up in 20 s", rig: r, longest: 5e-3, blind: 0.05,
		columns: []column{
			{"heat over the rated one", "", func() float64 { return h.State()[0] }, 1e-3, stepsDiffer},
			{"voltage", "V", func() float64 { return r.volts(1) }, 5e-3, stepsDiffer},
		}}, r.err
}

func ceramicStart() (*played, error) {
	r := newRig(1)
	d := r.add(device.Spec{Kind: "ptc-heater", Values: map[string]float64{"power": 144}}, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12.6, Ohms: 0.1})
	r.compile()
	h, ok := d.(*device.PTCHeater)
	if !ok {
		return nil, r.err
	}
	return &played{deck: "ptcheater", title: "ceramic heater, on for 60 s and off", rig: r, longest: 0.01, turn: 60, blind: 0.1,
		turned: func() { r.solver.SetOhms(source, 1e6) },
		columns: []column{
			{"temperature", "°C", h.Celsius, 0.1, stepsDiffer},
			{"voltage", "V", func() float64 { return r.volts(1) }, 0.01, stepsDiffer},
		}}, r.err
}
