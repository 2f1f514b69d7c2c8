// Package device holds the physical models a harness is built of: each is a handful of branches between terminals,
// a state that moves in time, and what a person would see or hear of it.
//
// A model serves two masters. In steady state (Steady) its branches follow the law it obeys once everything has
// warmed up and stopped moving; in time (Advance) they follow its present state, such as a filament's temperature.
// Both meet: a model left alone for long ends where Steady puts it.
package device

import "faultloom/sim/circuit"

// Device is one physical model placed in a circuit. The set is closed: every kind has its own file in this package.
//
// The order of calls is Build once per compiled circuit, then any number of
//
//	Stamp, Solve, Settle (until no device changes)   in steady state
//	Stamp, Solve, Advance                            for each step in time
type Device interface {
	// Build adds the device's branches to n between its terminals' nodes, in the order of Spec.Terminals, and keeps
	// their ids. name is used for branch names. It is called again whenever the circuit is compiled anew; state stays.
	Build(n *circuit.Netlist, name string, pins []circuit.Node)
	// Stamp writes into s what the present state demands. In mode Steady, nonlinear parts get their steady-state
	// law; in mode Moving, the characteristic that holds at this instant.
	Stamp(s *circuit.Solver, mode Mode)
	// Settle looks at a solved steady state and moves the discrete state at once (relay contact). It reports whether
	// anything changed, in which case the circuit must be stamped and solved again. Slow discrete changes, such as a fuse
	// that will open in a while, are left to Advance.
	Settle(s *circuit.Solver) bool
	// Due returns how long, in seconds, the present solution can stand until this device changes its discrete state
	// (a fuse opens, a breaker closes), +Inf if never. It lets a quiet circuit be skipped over.
	Due(s *circuit.Solver) float64
	// Step returns the longest step in seconds that still resolves what moves in this device now, +Inf when it is
	// at rest within its tolerance.
	Step(s *circuit.Solver) float64
	// Advance moves the state by dt seconds under the present solution and returns what happened in it, if anything.
	Advance(s *circuit.Solver, dt float64) []Happening
	// Rest puts the continuous state (temperatures) where the present steady solution would leave it.
	Rest(s *circuit.Solver)
	// Effect returns what a person would notice of the device under the present state and solution.
	Effect(s *circuit.Solver) Effect
	// State returns the whole state as numbers, for snapshots, in a slice of the caller's, see AppendState; SetState puts one back (same length).
	State() []float64
	SetState([]float64)

	device()
}

// AppendState appends what State returns of a device, without another slice for those that there are many of.
func AppendState(dst []float64, d Device) []float64 {
	if a, ok := d.(interface{ appendState([]float64) []float64 }); ok {
		return a.appendState(dst)
	}
	return append(dst, d.State()...)
}

// Mode says which characteristic Stamp writes.
type Mode int

const (
	// Steady is the characteristic once all has settled.
	Steady Mode = iota
	// Moving is the characteristic of the present instant.
	Moving
)

// Happening is something a device did during Advance that a person could notice or that matters to a log.
type Happening struct {
	What string // stable word: "fuse-opened", "click-in", "click-out"
	Loud bool   // a person standing at the vehicle hears it
}

// Sense is how a person notices a device.
type Sense string

// The senses.
const (
	Unnoticed Sense = ""
	Light     Sense = "light"
	Sound     Sense = "sound"
	Motion    Sense = "motion"
	Heat      Sense = "heat"
)

// Effect is what a person notices of one device: a sense, how strong compared with a healthy one (1 = as it should be
// at rated voltage), and the same in a word.
type Effect struct {
	Sense Sense   `json:"sense,omitempty"`
	Level float64 `json:"level"`
	// Word is from the kind's closed list, such as "off", "faint", "dim", "lit", "over-bright"; "silent", "weak", "sounds".
	Word string `json:"word,omitempty"`
	// least and most are the level of a bus node by what is not quite certain, see Plausible.
	least, most float64
}

// Controlled is a device that an operator moves.
type Controlled interface {
	Device
	// Set puts the control to position index i of Spec.Positions.
	Set(i int)
	Position() int
}

// Defective is a device that can be given one of its kind's defects.
type Defective interface {
	Device
	// Spoil puts the defect in (severity in the defect's own dimension, ignored where it has none); "" heals.
	// It returns an error that lists the kind's defects when the name is unknown.
	Spoil(defect string, severity float64) error
}
