// Package meter holds the instruments: how each loads the circuit it is put on, and what it then displays.
package meter

// Tool is an instrument with two ends that can be put on the circuit. All may be in use at once.
type Tool string

// The tools.
const (
	Multimeter Tool = "multimeter"
	TestLamp   Tool = "test-lamp"
	Jumper     Tool = "jumper"
)

// Function is what the multimeter's dial points at.
type Function string

// The functions.
const (
	Off        Function = "off"
	Volts      Function = "volts"
	Ohms       Function = "ohms"
	Continuity Function = "continuity"
	Amps       Function = "amps"
)

// Display is what an instrument shows, already quantised to its counts.
type Display struct {
	Text  string   `json:"text"`            // "12.34", "OL", "----" when nothing can be shown
	Unit  string   `json:"unit,omitempty"`  // "V", "mV", "Ω", "kΩ", "MΩ", "A", "mA"
	Words []string `json:"words,omitempty"` // annunciators in plain words: BeepWord, LiveWord, OverloadWord, FuseWord
	// Value is the displayed value in base units (V, Ω, A), NaN-free: absent (Valid false) on overload or no reading.
	Value float64 `json:"value"`
	Valid bool    `json:"valid"`
	// Glow is a test lamp's brightness, 0 to 1 and above, in steps of 0.05.
	Glow float64 `json:"glow,omitempty"`
}
