package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Node is a control unit on a two-wire bus, at DC level: what its transceiver does to the voltages of both wires, and whom it can talk to.
//
// Recessive, a transceiver holds both wires at half of its 5 V through the halves of its receiver's input resistance; one without supply
// lets their middle go. Dominant, it joins
// them to 5 V and to ground through a driver each; 45 Ω a side makes 3.5 and 1.5 V of a bus that is terminated with 60 Ω, and 111 mA of
// a short to ground. A driver passes no current backwards. A receiver takes a difference of 0.9 V or more for dominant and one of
// 0.5 V or less for recessive, with the mean of both wires (their common mode) not further than 12 V from its ground (all ISO 11898-2, see
// testdata/device/can_levels.csv). Of a common mode that is all there is: noise that both wires carry alike, and chokes against it, are not
// modelled.
//
// Each node that gets its own message back as it sent it holds the bus dominant for a share of the time, one after the other. What a slow
// instrument shows is the mean: exact, in a circuit that is linear round the bus, with currents of that share of the dominant
// ones. Bits are not followed. A node that cannot read its own message falls silent, as the error counters of ISO 11898-1 make it do.
// A driver that is stuck does not draw its current from the node's supply.
type Node struct {
	base
	pins         []circuit.Node
	own, end     circuit.ID
	middle       circuit.ID
	send         [2]circuit.ID // of high and low
	stuck        [2]curve
	low, high    referenceLaw
	terminates   float64 // ohms, +Inf if not
	share        float64 // of the time
	alive, rated float64
	draws        float64
	group        float64

	awake bool
	amps  [2]float64 // mean currents into high and out of low
	level float64    // share of the other nodes with which it talks
	least float64    // the same for receivers that ask for more, and for less
	most  float64
	mode  Mode
	bus   *bus
	at    int     // place on the bus
	owner *Module // of which it is the transceiver, nil for a node of its own
	spoilt
}

const (
	// busVolts is the supply of the transceiver's drivers, and busOhms what lies between it and the wire, see Node.
	busVolts, busOhms = 5.0, 45.0
	// busInput is half of a receiver's differential input resistance of 30 kΩ.
	busInput = 15e3
	// busMiddle is what lies between its middle and half of the supply (common practice, no source).
	busMiddle = 1e3
	// busDominant and busRecessive are the thresholds of the receiver, busReach how far from its ground it hears.
	busDominant, busRecessive, busReach = 0.9, 0.5, 12.0
	// busDoubt is the share by which a model's thresholds may be off those of the bus that was looked at: the resistances of wires and
	// joints in the drawing are known to some percent (common practice, no source).
	busDoubt = 0.05
	// busFull is the share of the time for which a bus is dominant at most, however many send.
	busFull = 0.9
	// busGrain is how near in amperes mean currents are found.
	busGrain = 1e-9
	// busSome and busAll are the shares of the other nodes from which it counts as some and as all of them.
	busSome, busAll = 1e-9, 1 - 1e-9
)

// The terminals of a node, as places in its pins.
const (
	nodeSupply = iota
	nodeGround
	nodeHigh
	nodeLow
)

var nodeWords = []string{"silent", "misses-some", "talks"}

func nodeFamily() family {
	return family{
		kind: Kind{
			Name: "node", Title: "bus node",
			Doc: "A control unit on a two-wire bus. Its display tells whether it `talks` with every other node of the same `bus` number, `misses-some` of " +
				"them, or is `silent`; that follows from the voltages that each gets when another sends. Give the two nodes at the ends of the bus " +
				"a `termination` of 120 ohms, or put resistors there. With traffic a voltmeter shows the mean of what goes over the wires. A node " +
				"hears nothing while the mean of both wires is more than 12 V from its ground, as where that has risen; noise that both wires carry is not modelled.",
			Terminals: []Terminal{{"30", "supply"}, {"31", "ground"}, {"high", "bus wire that goes up"}, {"low", "bus wire that goes down"}},
			Plugged:   true, Words: nodeWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 5, Max: 48},
				{Key: "alive", Doc: "supply voltage below which it is dead", Dim: Volt, Default: 6, Min: 1, Max: 40},
				{Key: "amps", Doc: "current that it draws itself", Dim: Ampere, Default: 0.05, Min: 0.0001, Max: 5},
				{Key: "termination", Doc: "terminating resistor in it, 0 for none; 120 ohms at both ends of a bus", Dim: Ohm, Default: 0, Min: 0, Max: 1e4},
				{Key: "traffic", Doc: "share of the time for which it holds the bus dominant", Dim: Percent, Default: 10, Min: 0, Max: 45},
				{Key: "bus", Doc: "number of its bus, for harnesses with more than one", Default: 1, Min: 1, Max: 99},
			},
			Defects: []Defect{
				{Name: "dead", Doc: "transceiver dead: neither sends nor hears", Likelihood: 1},
				{Name: "stuck-dominant", Doc: "transceiver stuck: holds the bus dominant", Likelihood: 0.5},
				{Name: "termination-open", Doc: "terminating resistor in it open", Likelihood: 0.7, Needs: "termination"},
			},
		},
		make: func(s Spec) Device {
			v := s.Values
			n := newNode(v["termination"], v["traffic"]/100, v["bus"])
			n.alive, n.rated, n.draws = v["alive"], v["volts"], v["amps"]
			return n
		},
	}
}

// newNode makes a transceiver with a termination in ohms (0 for none) that holds its bus dominant for a share of the time. It has no current
// of its own yet.
func newNode(termination, share, group float64) *Node {
	n := &Node{terminates: math.Inf(1), share: share, group: group, rated: 1,
		high: referenceLaw{volts: busVolts, ohms: busOhms, limit: math.Inf(1)}, low: referenceLaw{ohms: busOhms, limit: math.Inf(1)}}
	if termination > 0 {
		n.terminates = termination
	}
	return n
}

// Build implements Device. Until Introduce the node is alone on its bus.
func (n *Node) Build(l *circuit.Netlist, name string, pins []circuit.Node) {
	n.pins = pins
	supply, ground, high, low := pins[nodeSupply], pins[nodeGround], pins[nodeHigh], pins[nodeLow]
	n.own = l.Add(name+" own current", supply, ground, circuit.Resistor{Ohms: n.rated / n.draws})
	n.end = l.Add(name+" termination", high, low, circuit.Resistor{Ohms: n.terminates})
	middle := l.Node(name + " receiver")
	l.Add(name+" receiver high", high, middle, circuit.Resistor{Ohms: busInput})
	l.Add(name+" receiver low", low, middle, circuit.Resistor{Ohms: busInput})
	n.middle = l.Add(name+" receiver middle", middle, ground, circuit.Source{EMF: busVolts / 2, Ohms: math.Inf(1)})
	n.send = [2]circuit.ID{l.Add(name+" driver high", supply, high, circuit.Injection{}), l.Add(name+" driver low", low, ground, circuit.Injection{})}
	n.stuck[0].built(l.Add(name+" stuck high", high, ground, circuit.Curve{Law: open}))
	n.stuck[1].built(l.Add(name+" stuck low", ground, low, circuit.Curve{Law: open}))
	newBus([]*Node{n})
}

// Stamp implements Device.
func (n *Node) Stamp(s *circuit.Solver, mode Mode) {
	n.mode, n.bus.known = mode, false
	end, middle := n.terminates, math.Inf(1)
	if n.name == "termination-open" {
		end = math.Inf(1)
	}
	if n.works() {
		middle = busMiddle
	}
	s.SetOhms(n.end, end)
	s.SetOhms(n.middle, middle)
	for i := range n.send {
		s.SetAmps(n.send[i], n.amps[i])
	}
	if n.awake && n.name == "stuck-dominant" {
		n.stuck[0].set(s, &n.high, false)
		n.stuck[1].set(s, &n.low, false)
		return
	}
	n.stuck[0].set(s, open, false)
	n.stuck[1].set(s, open, false)
}

// works reports whether the transceiver does anything.
func (n *Node) works() bool { return n.awake && n.name != "dead" }

// sends reports whether it can send messages.
func (n *Node) sends() bool { return n.works() && n.name != "stuck-dominant" }

// wakes reports whether it is to come to life or to die.
func (n *Node) wakes(s *circuit.Solver) bool {
	supply := s.Voltage(n.pins[nodeSupply]) - s.Voltage(n.pins[nodeGround])
	if n.awake {
		return supply < n.alive
	}
	return supply >= n.alive+aliveHysteresis
}

// follow takes over what the bus has found and reports by how many amperes the mean currents changed.
func (n *Node) follow(s *circuit.Solver) float64 {
	n.bus.look(s)
	f := &n.bus.found[n.at]
	off := max(math.Abs(f.mean[0]-n.amps[0]), math.Abs(f.mean[1]-n.amps[1]))
	n.amps, n.level, n.least, n.most = f.mean, f.level, f.least, f.most
	return off
}

// Settle implements Device.
func (n *Node) Settle(s *circuit.Solver) bool {
	if n.wakes(s) {
		n.awake = !n.awake
		return true
	}
	return n.mode == Steady && n.follow(s) > busGrain // a mean is no discrete state
}

// Step implements Device.
func (n *Node) Step(s *circuit.Solver) float64 {
	switch {
	case n.wakes(s):
		return reactTime
	case n.strays(s):
		return pulseStep
	}
	return math.Inf(1)
}

// strays reports whether the mean currents in the circuit are not those that the present solution asks for.
func (n *Node) strays(s *circuit.Solver) bool {
	n.bus.look(s)
	f := &n.bus.found[n.at]
	return max(math.Abs(f.mean[0]-n.amps[0]), math.Abs(f.mean[1]-n.amps[1])) > busGrain
}

// Due implements Device.
func (n *Node) Due(s *circuit.Solver) float64 {
	if n.wakes(s) {
		return reactTime
	}
	return math.Inf(1)
}

// Advance implements Device. What wakes it or takes its supply does so within the step in which it happens.
func (n *Node) Advance(s *circuit.Solver, _ float64) []Happening {
	n.follow(s)
	if n.wakes(s) {
		n.awake = !n.awake
	}
	return nil
}

// Rest implements Device.
func (n *Node) Rest(s *circuit.Solver) {
	n.bus.look(s)
	f := &n.bus.found[n.at]
	n.level, n.least, n.most = f.level, f.least, f.most
}

// Effect implements Device: what its display tells. The level is the share of the other nodes with which it talks.
func (n *Node) Effect(*circuit.Solver) Effect {
	return Effect{Sense: Light, Level: n.level, Word: nodeWord(n.level), least: n.least, most: n.most}
}

// nodeWord is what a node tells that talks with a share of the others.
func nodeWord(level float64) string { return word(level, nodeWords, busSome, busAll) }

// State implements Device: awake, mean currents, share of the others with which it talks, the same by thresholds that are off.
func (n *Node) State() []float64 {
	return []float64{flag(n.awake), n.amps[0], n.amps[1], n.level, n.least, n.most}
}

// SetState implements Device.
func (n *Node) SetState(x []float64) {
	n.awake, n.amps, n.level, n.least, n.most = x[0] != 0, [2]float64{x[1], x[2]}, x[3], x[4], x[5]
	if n.bus != nil {
		n.bus.known = false
	}
}
