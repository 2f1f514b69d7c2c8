package harness

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// Machine is a harness as a circuit with a state: where the controls stand, what is unplugged, what is wrong with it, and how
// warm its filaments are. A new one is healthy, with all plugged and every control at rest, and has not been solved yet:
// Settle or Run comes first. All its orders are fixed, so the same calls give the same numbers everywhere.
// It is not safe for concurrent use; Clone gives another goroutine its own.
type Machine struct {
	h  *Harness
	ix *index

	nodes int // points with a node: all but Body, point i has node i+1
	limbs []limb
	named map[Limb]int // index in limbs

	devices   []device.Device // by component
	defects   [][]device.Defect
	positions []int       // by control
	parted    []bool      // by connector
	opened    []bool      // by splice: the loom is open there
	lines     [][]Setting // by check line: what is operated for it, all controls being at rest

	altered []Alteration
	extra   []float64 // by limb: resistance that alterations add now
	steady  []float64 // by limb: the part of it that is always there
	planned []float64 // the same that is to be, see plan
	fickle  []fickle  // what comes and goes of it, and of the bridges
	climate climate
	bridges []bridge

	slots []slot // in the order of their names

	net      *circuit.Netlist
	sol      *circuit.Solver
	compiled []*circuit.Solver // the latest first, see solver
	branch   []circuit.ID      // by limb
	moving   []device.Device
	turns    bool // some of them have parts that are one thing or another, see device.Turning
	spare    *spare

	solved   func()          // see Observe
	unsolved bool            // the circuit has no solution of its own yet:
	noticed  []device.Effect // by component, what its effect was in the last that had one

	shifted   []bool    // see Moved
	pending   []pending // of the present run, as is told
	told      []device.Effect
	restless  string // what kept it from settling, "" when it is at rest
	history   [][]float64
	before    []float64             // scratch of inrush
	anew      bool                  // the last solution was another than the one before
	settlings int                   // how often settling has changed what is one thing or another
	held      float64               // see Held
	marched   bool                  // see Marched
	clock     float64               // seconds that have passed
	stood     float64               // seconds for which it has stood since its battery was charged last
	recent    [][happenings]float64 // by component: when something happened to it last, the latest first
}

// bridge is a Bridge with its branch.
type bridge struct {
	a, b circuit.Node
	ohms float64 // now: Broken while one that comes and goes is not there
	id   circuit.ID
}

// slot is an instrument.
type slot struct {
	name string
	dev  device.Device
	a, b Point
}

// NewMachine returns the healthy machine of a harness. It returns an error, all that Validate says, when the harness is not
// valid.
func NewMachine(h *Harness) (*Machine, error) {
	if errs := h.Validate(); len(errs) > 0 {
		return nil, fmt.Errorf("harness %q: %w", h.ID, errors.Join(errs...))
	}
	ix := newIndex(h)
	m := &Machine{
		h: h, ix: ix, nodes: len(ix.infos) - 1,
		limbs: ix.limbs(), named: map[Limb]int{},
		devices:   make([]device.Device, len(h.Components)),
		positions: make([]int, len(h.Controls)),
		parted:    make([]bool, len(h.Connectors)),
		opened:    make([]bool, len(h.Splices)),
	}
	m.extra, m.steady = make([]float64, len(m.limbs)), make([]float64, len(m.limbs))
	m.climate = newClimate(h)
	m.recent = make([][happenings]float64, len(h.Components))
	for i := range m.recent {
		for k := range m.recent[i] {
			m.recent[i][k] = math.Inf(-1)
		}
	}
	for i, l := range m.limbs {
		for _, name := range l.names {
			m.named[name] = i
		}
	}
	for i := range h.Components {
		d, err := m.fresh(i)
		if err != nil {
			return nil, err
		}
		m.devices[i] = d
		m.defects = append(m.defects, h.Components[i].Spec.Defects())
	}
	for _, l := range h.Check {
		m.lines = append(m.lines, h.Moves(h.AtRest(), h.Asked(l)))
	}
	return m, m.compile()
}

// fresh returns a new healthy device for a component, in the position of its control.
func (m *Machine) fresh(i int) (device.Device, error) {
	c := m.h.Components[i]
	d, err := device.New(c.Spec)
	if err != nil {
		return nil, fmt.Errorf("component %q: %w", c.ID, err)
	}
	if x, ok := d.(device.Surrounded); ok {
		x.Surround(m.h.Vehicle.Celsius)
	}
	m.set(i, d)
	return d, nil
}

// set moves a device to the position of its control.
func (m *Machine) set(i int, d device.Device) {
	c := m.h.Components[i]
	if c.Control == "" {
		return
	}
	k := m.ix.controls[c.Control]
	name := m.h.Controls[k].Positions[m.positions[k]]
	if moved, ok := d.(device.Controlled); ok {
		moved.Set(slices.Index(positions(c.Spec), name))
	}
}

// Harness returns the harness that the machine was made from; it is not to be written.
func (m *Machine) Harness() *Harness { return m.h }

// Info returns what there is to say about a point, like Harness.PointInfo but at once.
func (m *Machine) Info(p Point) Info {
	if i, ok := m.ix.place[p]; ok {
		return m.ix.infos[i]
	}
	return Info{Point: p}
}

// node returns the node of a point.
func (m *Machine) node(p Point) (circuit.Node, error) {
	i, ok := m.ix.place[p]
	if !ok {
		return 0, fmt.Errorf("there is no point %q in harness %q", p, m.h.ID)
	}
	if i == m.nodes {
		return circuit.Ground, nil
	}
	return circuit.Node(i + 1), nil
}

// mustNode is node for points that the machine itself has found.
func (m *Machine) mustNode(p Point) circuit.Node {
	n, err := m.node(p)
	if err != nil {
		panic("harness: " + err.Error())
	}
	return n
}

// pins returns the nodes of a component's terminals.
func (m *Machine) pins(c Component) []circuit.Node {
	names := terminals(c.Spec)
	pins := make([]circuit.Node, len(names))
	for i, t := range names {
		p, ok := m.ix.pin[pinKey{c.ID, t}]
		if !ok {
			p = Point(c.ID + "." + t)
		}
		pins[i] = m.mustNode(p)
	}
	return pins
}

// notice keeps what every component does, before the solution goes that tells.
func (m *Machine) notice() {
	if m.sol == nil || m.unsolved {
		return
	}
	m.noticed = m.noticed[:0]
	for _, d := range m.devices {
		m.noticed = append(m.noticed, d.Effect(m.sol))
	}
	m.unsolved = true
}

// compile makes the circuit anew. Points keep their voltages as a warm start, and so do the inner nodes of devices, by name.
func (m *Machine) compile() error {
	m.notice()
	n := &circuit.Netlist{}
	if m.net != nil {
		n.Reserve(m.net)
	}
	for _, info := range m.ix.infos[:m.nodes] {
		n.Node(string(info.Point))
	}
	m.branch = m.branch[:0]
	for i, l := range m.limbs {
		m.branch = append(m.branch, n.Add(string(l.names[0]), m.mustNode(l.a), m.mustNode(l.b), circuit.Resistor{Ohms: m.ohms(i)}))
	}
	m.moving, m.turns = m.moving[:0], false
	for i, c := range m.h.Components {
		m.devices[i].Build(n, c.ID, m.pins(c))
		m.moving = append(m.moving, m.devices[i])
		_, turns := m.devices[i].(device.Turning)
		m.turns = m.turns || turns
	}
	if m.spare != nil {
		m.spare.build(n, m.nodes)
	}
	for _, s := range m.slots {
		pins := []circuit.Node{m.mustNode(s.a), m.mustNode(s.b)}
		if m.spare != nil {
			pins = m.spare.lead(n, m.nodes)
		}
		s.dev.Build(n, s.name, pins)
		m.moving = append(m.moving, s.dev)
	}
	device.Introduce(m.moving)
	if !m.roomy() {
		for i := range m.bridges {
			b := &m.bridges[i]
			b.id = n.Add("bridge", b.a, b.b, circuit.Resistor{Ohms: b.ohms})
		}
	}
	var start []float64
	if m.sol != nil {
		start = m.carryOver(n) // before its solver may be taken up again
	}
	sol, err := m.solver(n)
	if err != nil {
		return fmt.Errorf("harness %q: %w", m.h.ID, err)
	}
	if start != nil {
		sol.Start(start)
	}
	m.net, m.sol = n, sol
	if m.roomy() {
		m.bridge()
	}
	if m.spare != nil {
		for i, s := range m.slots {
			m.spare.touch(m.sol, i, m.ends(s), m.ends(s))
		}
	}
	return nil
}

// mostCompiled is how many circuits a machine keeps compiled: with and without each of the few instruments that come and go by turns.
const mostCompiled = 6

// solver returns one for a netlist, taken up from before where it has been compiled.
func (m *Machine) solver(n *circuit.Netlist) (*circuit.Solver, error) {
	for i, s := range m.compiled {
		if s.Adopt(n) {
			copy(m.compiled[1:i+1], m.compiled[:i])
			m.compiled[0] = s
			return s, nil
		}
	}
	s, err := circuit.Compile(n)
	if err != nil {
		return nil, err
	}
	if len(m.compiled) < mostCompiled {
		m.compiled = append(m.compiled, nil)
	}
	copy(m.compiled[1:], m.compiled)
	m.compiled[0] = s
	return s, nil
}

// roomy reports whether the bridges go where Prepare has made room.
func (m *Machine) roomy() bool { return m.spare != nil && m.spare.holds(m.bridges) }

// carryOver returns voltages for a new circuit from those of the present one.
func (m *Machine) carryOver(n *circuit.Netlist) []float64 {
	v := make([]float64, n.Nodes())
	old := m.sol.Voltages()
	copy(v[:m.nodes+1], old)
	inner := map[string]float64{}
	for i := m.nodes + 1; i < len(old); i++ {
		inner[m.net.NodeName(circuit.Node(i))] = old[i]
	}
	for i := m.nodes + 1; i < len(v); i++ {
		v[i] = inner[n.NodeName(circuit.Node(i))]
	}
	return v
}

// ohms returns the present resistance of a limb.
func (m *Machine) ohms(i int) float64 {
	l := &m.limbs[i]
	if l.connector >= 0 && m.parted[l.connector] {
		return Broken
	}
	return l.ohms + m.extra[i]
}

// refit writes the present resistances of all limbs into the circuit.
func (m *Machine) refit() {
	for i, id := range m.branch {
		m.sol.SetOhms(id, m.ohms(i))
	}
}
