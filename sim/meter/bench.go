package meter

import (
	"fmt"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Kit says which instruments there are, and of what kind.
type Kit struct {
	Tools     []Tool
	Functions []Function // of the multimeter; Off is always there
	Volts     float64    // the vehicle's nominal supply, for which the test lamp is made
}

// Properties of the test lamp and of the jumper.
const (
	// TestLampWatts is the power of the test lamp's bulb at nominal voltage: a small filament lamp, the usual choice in
	// workshops (common practice, no source).
	TestLampWatts = 5
	// JumperAmps is the rating of the jumper's fuse in amperes, JumperOhms the resistance of its lead and clips (common
	// practice, no source).
	JumperAmps = 10
	JumperOhms = 0.02
)

// Bench is a person's set of instruments: where their leads are, where the dial points, and whether their own fuses still
// hold. It is not safe for concurrent use.
type Bench struct {
	kit   Kit
	cal   Calibration
	dial  Function
	leads map[Tool][2]harness.Point

	probe  *device.Probe // all functions but amps
	shunt  *device.Probe // amps, with its fuse
	jumper *device.Probe // with its fuse
	lamp   device.Device
	on     int // range that the ohmmeter was left in
	keys   keys
	extra  extras
	hooked []hook                                        // see hooks
	fresh  struct{ lamp, shunt, jumper, load []float64 } // states of cold, whole ones
}

// NewBench returns a bench with all leads lifted and the meter off. It returns an error when the kit asks for what there
// is not.
func NewBench(kit Kit, cal Calibration) (*Bench, error) {
	for _, t := range kit.Tools {
		if _, err := ParseTool(string(t)); err != nil {
			return nil, err
		}
	}
	for _, f := range kit.Functions {
		if _, err := ParseFunction(string(f)); err != nil {
			return nil, err
		}
	}
	lamp, err := device.New(device.Spec{Kind: "lamp", Values: map[string]float64{"power": TestLampWatts, "volts": kit.Volts}})
	if err != nil {
		return nil, fmt.Errorf("test lamp: %w", err)
	}
	b := &Bench{kit: kit, cal: cal, dial: Off, leads: map[Tool][2]harness.Point{}, lamp: lamp, probe: device.NewProbe()}
	if b.extra, err = newExtras(kit, cal); err != nil {
		return nil, err
	}
	b.fresh.load = b.extra.load.State()
	b.newFuse(Multimeter)
	b.newFuse(Jumper)
	b.fresh.lamp, b.fresh.shunt, b.fresh.jumper = lamp.State(), b.shunt.State(), b.jumper.State()
	return b, nil
}

// Has reports whether the tool is on the bench.
func (b *Bench) Has(t Tool) bool { return slices.Contains(b.kit.Tools, t) }

// Offers reports whether the multimeter may be turned to f.
func (b *Bench) Offers(f Function) bool { return f == Off || slices.Contains(b.kit.Functions, f) }

// Function is where the dial points.
func (b *Bench) Function() Function { return b.dial }

// Leads returns the points of the tool's two ends, "" for one that is lifted.
func (b *Bench) Leads(t Tool) [2]harness.Point { return b.leads[t] }

// Dial turns the multimeter, which ends relative and capture. It returns an error for a function that is not there.
func (b *Bench) Dial(f Function) error {
	if !b.Has(Multimeter) || !b.Offers(f) {
		return fmt.Errorf("the meter has no %s here", f)
	}
	b.dial, b.on = f, 0
	b.keys = keys{}
	return nil
}

// Place puts one end of a tool at a point, or lifts it ("").
func (b *Bench) Place(t Tool, end int, p harness.Point) error {
	if !b.Has(t) {
		return fmt.Errorf("there is no %s here", t.Title())
	}
	if end != 0 && end != 1 || t.Ends()[end] == "" {
		return fmt.Errorf("%s: there is no end %d", t.Title(), end)
	}
	ends := b.leads[t]
	ends[end] = p
	b.leads[t] = ends
	b.on = 0
	switch t {
	case Multimeter:
		b.keys.begin()
	case TraceView:
		b.Forget()
	}
	return nil
}

// Blown reports whether the tool's own fuse is open: the ammeter input's, or the jumper's.
func (b *Bench) Blown(t Tool) bool {
	switch t {
	case Multimeter:
		return b.shunt.Blown()
	case Jumper:
		return b.jumper.Blown()
	}
	return false
}

// ResetFuse puts a new fuse into the tool. It returns an error for a tool that has none.
func (b *Bench) ResetFuse(t Tool) error {
	if t != Multimeter && t != Jumper {
		return fmt.Errorf("the %s has no fuse", t.Title())
	}
	b.newFuse(t)
	return nil
}

func (b *Bench) newFuse(t Tool) {
	if t == Jumper {
		b.jumper = device.NewFusedProbe(JumperAmps)
		b.jumper.Set(0, JumperOhms)
		return
	}
	b.shunt = device.NewFusedProbe(AmpsFuse)
	b.shunt.Set(0, ShuntOhms)
}

// meter returns what the multimeter is to the circuit as the dial stands, nil for nothing.
func (b *Bench) meter() device.Device {
	switch {
	case b.dial == Off:
		return nil
	case b.dial == Amps:
		return b.shunt
	}
	return b.probe
}

// Connect makes the machine carry the tools as their leads lie now. A tool of which an end is lifted, or whose ends touch the
// same point, is no load. It does not solve.
func (b *Bench) Connect(m *harness.Machine) error {
	if b.dial != Off && b.dial != Amps {
		b.setProbe()
	}
	return b.attach(m, b.hooks(m))
}

// hook is a device of a tool between two points.
type hook struct {
	slot string
	dev  device.Device
	ends [2]harness.Point
	// slight is one that loads a circuit so little that a linear equivalent tells what it reads.
	slight bool
}

// hooks lists what hangs on the circuit as the leads lie, in a fixed order; what closes no circuit is there with a nil device. The
// slice is that of the next call.
func (b *Bench) hooks(m *harness.Machine) []hook {
	_, minus, ok := m.Supply()
	to := func(p harness.Point) [2]harness.Point {
		if !ok {
			return [2]harness.Point{}
		}
		return [2]harness.Point{p, minus}
	}
	all := append(b.hooked[:0], []hook{
		{slot: string(Multimeter), dev: b.meter(), ends: b.leads[Multimeter], slight: !b.Attached()},
		{slot: string(TestLamp), dev: b.lamp, ends: b.leads[TestLamp]},
		{slot: string(Jumper), dev: b.jumper, ends: b.leads[Jumper]},
		{slot: string(Load), dev: b.extra.load, ends: b.leads[Load]},
		{slot: string(LogicProbe), dev: b.extra.logic, ends: to(b.leads[LogicProbe][0]), slight: true},
		{slot: string(TraceView) + " 1", dev: b.extra.channels[0], ends: to(b.leads[TraceView][0]), slight: true},
		{slot: string(TraceView) + " 2", dev: b.extra.channels[1], ends: to(b.leads[TraceView][1]), slight: true},
	}...)
	b.hooked = all
	for i := range all {
		if !loads(all[i].ends) {
			all[i].dev = nil
		}
	}
	return all
}

func (b *Bench) attach(m *harness.Machine, hooks []hook) error {
	for _, h := range hooks {
		var err error
		if h.dev == nil {
			err = m.Detach(h.slot)
		} else {
			err = m.Attach(h.slot, h.dev, h.ends[0], h.ends[1])
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// setProbe makes the probe what the leads are in the present range.
func (b *Bench) setProbe() {
	r := accuracies[b.dial].Ranges[b.on]
	b.probe.Set(r.EMF, b.inner(r))
}

// loads reports whether a tool with its ends there closes a circuit through itself.
func loads(ends [2]harness.Point) bool { return ends[0] != "" && ends[1] != "" && ends[0] != ends[1] }

// inner is the resistance between the points in a range of volts, ohms or continuity: in ohms the leads belong to it.
func (b *Bench) inner(r Range) float64 {
	if r.EMF == 0 {
		return r.Ohms
	}
	return r.Ohms + LeadOhms
}

// Read returns what every tool shows that is on and has at least one end placed. The machine must carry the tools (Connect)
// and be settled, or have just run. What the reading itself does (trying ranges, averaging a circuit that does not rest)
// leaves the machine's state as it was, but not its last solution. An error means that the circuit could not be solved.
func (b *Bench) Read(m *harness.Machine) (map[Tool]Display, error) {
	out := map[Tool]Display{}
	for _, t := range Tools() {
		ends := b.leads[t]
		if !b.Has(t) || (ends[0] == "" && ends[1] == "") {
			continue
		}
		switch {
		case t == TestLamp:
			out[t] = b.readLamp(m)
		case t == Jumper:
			out[t] = b.readJumper()
		case t != Multimeter:
			d, err := b.readExtra(m, t)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", t.Title(), err)
			}
			out[t] = d
		case b.dial == Off:
		default:
			d, err := b.readMeter(m, ends)
			if err != nil {
				return nil, fmt.Errorf("multimeter at %s and %s: %w", ends[0], ends[1], err)
			}
			out[t] = d
		}
	}
	return out, nil
}

func (b *Bench) readLamp(m *harness.Machine) Display {
	if !loads(b.leads[TestLamp]) {
		return Display{Text: lampOff}
	}
	e := b.lamp.Effect(m.Solver())
	return Display{Text: e.Word, Glow: glow(e.Level)}
}

func (b *Bench) readJumper() Display {
	if b.jumper.Blown() {
		return Display{Text: jumperOpen, Words: []string{FuseWord}}
	}
	return Display{Text: jumperClosed}
}
