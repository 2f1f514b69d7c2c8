// Package meter holds the instruments: how each loads the circuit it is put on, and what it then displays.
package meter

// Tool is an instrument with one or two ends that can be put on the circuit. All may be in use at once.
type Tool string

// The tools.
const (
	Multimeter Tool = "multimeter"
	TestLamp   Tool = "test-lamp"
	Jumper     Tool = "jumper"
	Clamp      Tool = "clamp"       // around one wire: DC amperes without opening anything
	LogicProbe Tool = "logic-probe" // high, low, pulsing or floating at its tip
	Load       Tool = "load"        // a lamp of some watts across two points, in place of a consumer
	TraceView  Tool = "trace"       // two voltages against time
	Reader     Tool = "reader"      // the data list of a control unit
)

// Function is what the multimeter's dial points at.
type Function string

// The functions.
const (
	Off        Function = "off"
	Volts      Function = "volts"      // DC volts, of what pulses the mean
	Millivolts Function = "millivolts" // the same with a finer range, for the drop along a wire or over a joint
	Ohms       Function = "ohms"
	Continuity Function = "continuity"
	Diode      Function = "diode" // forward voltage at a small current
	Amps       Function = "amps"
	Hertz      Function = "hertz" // frequency of what repeats
	Duty       Function = "duty"  // per cent of the period for which the red lead is on the higher side
)

// Display is what an instrument shows, already quantised to its counts.
type Display struct {
	Text  string   `json:"text"`            // "12.34", "OL", "----" when nothing can be shown
	Unit  string   `json:"unit,omitempty"`  // "V", "mV", "Ω", "kΩ", "MΩ", "A", "Hz", "kHz", "%"
	Words []string `json:"words,omitempty"` // annunciators in plain words: BeepWord, LiveWord, OverloadWord, FuseWord, RelativeWord
	// Value is the displayed value in base units (V, Ω, A, Hz, %), NaN-free: absent (Valid false) on overload or no reading.
	Value float64 `json:"value"`
	Valid bool    `json:"valid"`
	// Relative is what has been taken off the reading, in base units (see Bench.SetRelative); 0 when nothing has.
	Relative float64 `json:"relative,omitempty"`
	// Capture holds the extremes since the capture began, nil when there is none.
	Capture *Capture `json:"capture,omitempty"`
	// Rows are a reader's, Channels the trace view's.
	Rows     []Row     `json:"rows,omitempty"`
	Channels []Channel `json:"channels,omitempty"`
	// Glow is a test lamp's or load's brightness, 0 to 1 and above, in steps of 0.05.
	Glow float64 `json:"glow,omitempty"`
}

// Row is one line of a data list.
type Row struct {
	Name  string `json:"name"`
	State string `json:"state,omitempty"` // "on", "off" …
	Text  string `json:"text,omitempty"`
	Unit  string `json:"unit,omitempty"`
}

// Channel is what the trace view says of one channel.
type Channel struct {
	Number int     `json:"number"` // 1 or 2
	Low    Extreme `json:"low"`
	High   Extreme `json:"high"`
	Mean   Extreme `json:"mean"`
	// Hertz and Duty are nil where nothing repeats within twice the sweep.
	Hertz *Extreme `json:"hertz,omitempty"`
	Duty  *Extreme `json:"duty,omitempty"`
}

// Capture is the lowest and the highest value that a meter has seen since it was told to keep them. It looks at every instant that the
// vehicle goes through, which is finer than its display.
type Capture struct {
	Low  Extreme `json:"low"`
	High Extreme `json:"high"`
}

// Extreme is one of them, as displayed.
type Extreme struct {
	Text  string  `json:"text"`
	Unit  string  `json:"unit,omitempty"`
	Value float64 `json:"value"` // base units
	Valid bool    `json:"valid"` // false on overload
}
