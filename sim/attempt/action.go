package attempt

import (
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Action is one thing a person does. The set is closed; every action has its own JSON form, told apart by "do".
//
// An action takes bench time (see Costs), moves the attempt's clock and yields an Observation.
type Action interface {
	// Do is the stable word that tells actions apart in logs.
	Do() string
	action()
}

// Operate puts a control to a position, named.
type Operate struct {
	Control  string `json:"control"`
	Position string `json:"position"`
}

// Mark records what a person makes of one line of the normal-operation check: as it should be, or not.
// Line counts from 0.
type Mark struct {
	Line int  `json:"line"`
	Good bool `json:"good"`
}

// Study opens a page of the job: "sheet", "notes", "hints", "symptoms", "check".
type Study struct {
	Page string `json:"page"`
}

// Dial turns the multimeter to a function, meter.Off included.
type Dial struct {
	Function meter.Function `json:"function"`
}

// Relative makes the multimeter subtract what it shows now from what it will show, or stop that.
type Relative struct {
	On bool `json:"on"`
}

// Capture makes the multimeter keep the lowest and highest value that it sees from now on, or stop that.
type Capture struct {
	On bool `json:"on"`
}

// Zero makes the clamp take what it shows now as nothing.
type Zero struct {
	Tool meter.Tool `json:"tool"`
}

// Sweep sets the trace view: the time from its left edge to its right in seconds, one of meter.Sweeps, and the level in volts whose rise
// stands at the left edge.
type Sweep struct {
	Seconds float64 `json:"seconds"`
	Level   float64 `json:"level"`
}

// Lead puts one lead of a tool at a point, or lifts it (Point ""). A clamp goes around a wire ("wire 31b"), a reader into a control unit
// ("component ECU").
// End is 0 for the red, probe or first end, 1 for the black, clip or second end.
type Lead struct {
	Tool  meter.Tool    `json:"tool"`
	End   int           `json:"end"`
	Point harness.Point `json:"point"`
}

// Unplug parts the halves of a connector: an in-line connector, a component's plug, a relay out of its socket, a fuse
// out of its holder.
type Unplug struct {
	Connector string `json:"connector"`
}

// Plug mates them again, with the same part.
type Plug struct {
	Connector string `json:"connector"`
}

// OpenLoom opens the loom at a splice so that it can be reached and seen; CloseLoom tapes it up again.
type OpenLoom struct {
	Splice string `json:"splice"`
}

// CloseLoom tapes the loom up again.
type CloseLoom struct {
	Splice string `json:"splice"`
}

// Inspect looks closely at a place: "X1.3", "X1", "S1", "G1", "wire 31b", "component LL".
type Inspect struct {
	Place string `json:"place"`
}

// Find declares the cause: Fault is a fault in text form (package fault) without severity, such as
// "cavity X1.3 backed-out".
type Find struct {
	Fault string `json:"fault"`
}

// Repair carries out one repair, in text form (package fault), such as "remake cavity X1.3" or "replace component K1".
type Repair struct {
	Repair string `json:"repair"`
}

// FitFuse puts a fuse of a rating into a holder that holds none or a blown or pulled one.
type FitFuse struct {
	Connector string  `json:"connector"`
	Amps      float64 `json:"amps"`
}

// ResetFuse puts a new fuse into the multimeter's ammeter input or the fused jumper.
type ResetFuse struct {
	Tool meter.Tool `json:"tool"`
}

// Ask asks the coach, in a drill: what is known now ("suspects"), what the red lead at Point would tell with all else as it
// is ("reading"), or what would be a good next test ("next"). Point is "" but for a reading. The answer is not part of the
// attempt; that it was asked for is.
type Ask struct {
	Topic string        `json:"topic"`
	Point harness.Point `json:"point"`
}

// The topics of Ask.
const (
	AskSuspects = "suspects"
	AskReading  = "reading"
	AskNext     = "next"
)

// Wait lets time pass: seconds of bench time, at most 600.
type Wait struct {
	Seconds float64 `json:"seconds"`
}

// Close ends the job; nothing can be done after it.
type Close struct{}

func (Operate) Do() string   { return "operate" }
func (Mark) Do() string      { return "mark" }
func (Study) Do() string     { return "study" }
func (Dial) Do() string      { return "dial" }
func (Relative) Do() string  { return "relative" }
func (Capture) Do() string   { return "capture" }
func (Zero) Do() string      { return "zero" }
func (Sweep) Do() string     { return "sweep" }
func (Lead) Do() string      { return "lead" }
func (Unplug) Do() string    { return "unplug" }
func (Plug) Do() string      { return "plug" }
func (OpenLoom) Do() string  { return "open-loom" }
func (CloseLoom) Do() string { return "close-loom" }
func (Inspect) Do() string   { return "inspect" }
func (Find) Do() string      { return "find" }
func (Repair) Do() string    { return "repair" }
func (FitFuse) Do() string   { return "fit-fuse" }
func (ResetFuse) Do() string { return "reset-fuse" }
func (Ask) Do() string       { return "ask" }
func (Wait) Do() string      { return "wait" }
func (Close) Do() string     { return "close" }

func (Operate) action()   {}
func (Mark) action()      {}
func (Study) action()     {}
func (Dial) action()      {}
func (Relative) action()  {}
func (Capture) action()   {}
func (Zero) action()      {}
func (Sweep) action()     {}
func (Lead) action()      {}
func (Unplug) action()    {}
func (Plug) action()      {}
func (OpenLoom) action()  {}
func (CloseLoom) action() {}
func (Inspect) action()   {}
func (Find) action()      {}
func (Repair) action()    {}
func (FitFuse) action()   {}
func (ResetFuse) action() {}
func (Ask) action()       {}
func (Wait) action()      {}
func (Close) action()     {}
