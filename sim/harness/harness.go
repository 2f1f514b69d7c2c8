// Package harness is what a technician sees: wires, connectors, splices, ground points and components, and its
// translation into a circuit in which every place a lead could touch is a node.
package harness

import "faultloom/sim/device"

// Harness is all of one exercise's vehicle circuit. It is plain data, safe to show: it holds no fault. A Harness made by
// package scenarios is valid: ids are unique, references resolve, no cavity is used twice. Validate says so for others.
type Harness struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Vehicle Vehicle `json:"vehicle"`

	Components []Component   `json:"components"`
	Connectors []Connector   `json:"connectors"`
	Wires      []Wire        `json:"wires"`
	Splices    []Splice      `json:"splices"`
	Grounds    []GroundPoint `json:"grounds"`
	Controls   []Control     `json:"controls"`

	Check    []CheckLine `json:"check"`              // the normal-operation check, in order
	Notes    []string    `json:"notes,omitempty"`    // circuit operation, paragraph by paragraph
	Hints    []string    `json:"hints,omitempty"`    // things worth knowing when testing this circuit
	Symptoms []Symptom   `json:"symptoms,omitempty"` // the symptom guide

	Sheet []Placement `json:"sheet,omitempty"` // where the author wants things on the sheet; the rest is placed by program
}

// Vehicle is what carries the harness.
type Vehicle struct {
	Fleet   string  `json:"fleet"`   // fleet number, "DT-14"
	Title   string  `json:"title"`   // "dock tractor"
	Outline string  `json:"outline"` // which drawing: "tractor", "truck", "van", "loader", "fork-truck", "boat", "plain"
	Volts   float64 `json:"volts"`   // nominal supply, 12 or 24
	Celsius float64 `json:"celsius"` // ambient temperature
}

// Spot is a place on the vehicle's outline, in percent of its width (from the front) and height (from the top).
type Spot struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Component is anything with terminals.
type Component struct {
	ID    string      `json:"id"`
	Title string      `json:"title"`
	Spec  device.Spec `json:"spec"`
	// Control is the id of the control that moves it, "" if none.
	Control string `json:"control,omitempty"`
	Where   string `json:"where,omitempty"` // "left front, behind the grille"
	Spot    Spot   `json:"spot"`
	// Access is the bench time in seconds to get at it (covers, panels) the first time.
	Access float64 `json:"access"`
}

// Mount says how a connector is met.
type Mount string

// The mounts. They decide what a lead can reach; see Machine.Reach.
const (
	InLine Mount = "in-line" // two loom halves
	Plug   Mount = "plug"    // loom half a, component half b
	Socket Mount = "socket"  // half a is a socket with wires behind it, half b the pins of a plug-in part (relay)
	Holder Mount = "holder"  // half a is a fuse holder, half b the fuse; test points on the fuse's back
)

// Connector has two halves, a and b, and cavities that exist on both.
type Connector struct {
	ID        string   `json:"id"`
	Title     string   `json:"title"`
	Mount     Mount    `json:"mount"`
	Component string   `json:"component,omitempty"` // the component on half b, "" when in-line
	Cavities  []Cavity `json:"cavities"`
	Ohms      float64  `json:"ohms"`            // contact resistance of each mated pair when good
	Where     string   `json:"where,omitempty"` // for people
	Spot      Spot     `json:"spot"`
	Access    float64  `json:"access"` // bench time in seconds to reach it the first time
}

// Cavity is a numbered place in a connector; on a component's connector it leads to one of its terminals.
type Cavity struct {
	Number   string `json:"number"`
	Terminal string `json:"terminal,omitempty"`
}

// Wire is one conductor between two ends.
type Wire struct {
	ID      string  `json:"id"` // circuit number, "31b"
	From    Point   `json:"from"`
	To      Point   `json:"to"`
	Metres  float64 `json:"metres"`
	Size    float64 `json:"size"`   // mm²
	Colour  string  `json:"colour"` // IEC 60757, tracer after a slash: "RD/WH"
	Bundle  string  `json:"bundle,omitempty"`
	Flexing bool    `json:"flexing,omitempty"` // passes a hinge or moving part: fails more often
}

// Splice joins three or more wire ends inside the loom.
type Splice struct {
	ID     string  `json:"id"`
	Where  string  `json:"where,omitempty"`
	Spot   Spot    `json:"spot"`
	Access float64 `json:"access"` // bench time in seconds to open (and later close) the loom here
}

// GroundPoint is a stud on body or engine; each ring terminal on it has its own joint.
type GroundPoint struct {
	ID     string  `json:"id"`
	Title  string  `json:"title"`
	Where  string  `json:"where,omitempty"`
	Spot   Spot    `json:"spot"`
	Access float64 `json:"access"`
}

// Control is what the operator can move.
type Control struct {
	ID        string   `json:"id"`
	Title     string   `json:"title"`
	Positions []string `json:"positions"` // the first is at rest
	Momentary bool     `json:"momentary,omitempty"`
	Shakes    []string `json:"shakes,omitempty"` // positions in which the whole vehicle shakes
	Hot       []string `json:"hot,omitempty"`    // positions in which it has been worked until everything is at WorkedTo
	// Stands are positions that mean that the vehicle has stood for a time; see Machine.Operate.
	Stands []Stand `json:"stands,omitempty"`
	Spot   Spot    `json:"spot"`
}

// CheckLine is one line of the normal-operation check: put the controls so; this is what should happen.
type CheckLine struct {
	Text   string    `json:"text"` // for people; made from Set and Expect when the author gave none
	Set    []Setting `json:"set"`
	Expect []Expect  `json:"expect"`
}

// Setting puts one control to one of its positions. Controls that a line does not name rest in their first position.
type Setting struct {
	Control  string `json:"control"`
	Position string `json:"position"`
}

// Expect says what a component should be noticed doing, in its kind's words.
type Expect struct {
	Component string `json:"component"`
	Word      string `json:"word"`
}

// Symptom is a row of the symptom guide.
type Symptom struct {
	Seen  string   `json:"seen"`
	Think []string `json:"think"` // places worth a look, in words
}

// Placement puts a thing on the sheet, in grid columns and rows (row 0 is the supply at the top).
type Placement struct {
	ID     string  `json:"id"`
	Column float64 `json:"column"`
	Row    float64 `json:"row"`
	Turn   int     `json:"turn,omitempty"` // quarter turns clockwise
}
