// Package attempt is one person's go at one exercise: actions in, observations out, on a clock of its own, kept in an
// append-only log that replays to the same observations on any machine.
package attempt

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Tick is the attempt's unit of time in seconds; every clock value is a whole number of ticks.
const Tick = 0.01

// State is all that may be shown of an attempt at this moment. It holds no fault: a page that shows it cannot give the
// answer away. It is plain data for JSON.
type State struct {
	Seq    int   `json:"seq"`   // number of actions taken; the next action is number Seq
	Ticks  int64 `json:"ticks"` // bench time passed
	Closed bool  `json:"closed"`

	Controls  map[string]string            `json:"controls"`          // position by control
	Effects   map[string]device.Effect     `json:"effects"`           // what is noticed now, by component
	Unplugged map[string]bool              `json:"unplugged"`         // connectors that are parted
	Fuses     map[string]FuseState         `json:"fuses"`             // by holder connector
	OpenLooms map[string]bool              `json:"openLooms"`         // by splice
	Accessed  map[string]bool              `json:"accessed"`          // places whose covers are off
	Shaking   string                       `json:"shaking,omitempty"` // the place that is being wiggled: Effects and Displays are what it does
	Celsius   map[string]float64           `json:"celsius,omitempty"` // temperature by id of what a finger tells from the rest
	Reach     []Reachable                  `json:"reach"`             // every point with whether a lead can reach it now, in a fixed order
	Dial      meter.Function               `json:"dial"`              // the multimeter's
	Relative  bool                         `json:"relative"`          // the multimeter subtracts a reading
	Capture   bool                         `json:"capture"`           // it keeps the extremes
	Sweep     meter.Sweep                  `json:"sweep"`             // how the trace view is set
	Trace     *meter.Trace                 `json:"trace,omitempty"`   // what it draws
	Leads     map[meter.Tool][2]string     `json:"leads"`             // points of each tool's two ends, "" when lifted
	Displays  map[meter.Tool]meter.Display `json:"displays"`          // what each tool shows now
	Marks     []int                        `json:"marks"`             // per check line: 0 unmarked, 1 good, -1 not good; since the last change of plan stage
	Shown     []bool                       `json:"shown"`             // per check line: its settings have been operated since the stage began
	Stage     string                       `json:"stage"`             // of the plan, in which the attempt is now: confirm, isolate, repair, retest
	Finding   string                       `json:"finding,omitempty"`
	Repairs   []string                     `json:"repairs,omitempty"`
	Log       []Entry                      `json:"log"` // what the job card shows, oldest first
}

// FuseState is what can be seen of a fuse without taking it out, and once it was taken out.
type FuseState struct {
	Fitted bool    `json:"fitted"`
	Amps   float64 `json:"amps"`   // rating printed on the one in the holder (or pulled from it); 0 until it was looked at
	Blown  bool    `json:"blown"`  // the element was seen melted
	Looked bool    `json:"looked"` // Blown is what was seen since it was last moved: it was pulled and looked at, or is new
}

// Reachable is one point and whether a lead can get there now; Why says in plain words why not.
type Reachable struct {
	Point harness.Point `json:"point"`
	Ok    bool          `json:"ok"`
	Why   string        `json:"why,omitempty"`
}

// Entry is one line of the log as people read it.
type Entry struct {
	Seq    int    `json:"seq"`
	Ticks  int64  `json:"ticks"`
	Did    string `json:"did"`             // "unplugged X1"
	Showed string `json:"showed"`          // "left work lamp goes off; 0.02 V"
	Stage  string `json:"stage,omitempty"` // confirm, isolate, repair, retest
}

// Observation is what an action yielded, quantised as a person would notice it. Replays must give it again, digit by digit.
type Observation struct {
	Ticks    int64                        `json:"ticks"`              // clock after the action
	Displays map[meter.Tool]meter.Display `json:"displays,omitempty"` // tools that are on and have at least one lead placed
	Effects  map[string]string            `json:"effects,omitempty"`  // word by component, of all that can be noticed
	Events   []Event                      `json:"events,omitempty"`   // what happened on the way, in order
	Seen     []string                     `json:"seen,omitempty"`     // what an inspection showed: fault kinds visible there, or nothing
	Refused  string                       `json:"refused,omitempty"`  // why the action could not be done; it then changed nothing but the clock
}

// Event is something noticed between two actions' ends.
type Event struct {
	Ticks     int64  `json:"ticks"`
	Component string `json:"component,omitempty"`
	What      string `json:"what"`           // one of the Event constants; a fuse that opens is not noticed
	Word      string `json:"word,omitempty"` // with EventEffect: what is noticed of the component from then on
}

// What an Event can be.
const (
	EventClickIn  = "click-in"  // a relay pulls in
	EventClickOut = "click-out" // a relay lets go
	EventChatter  = "chatter"   // such events of this component (Word tells which) go on and on
	EventEffect   = harness.EffectChanged
)
