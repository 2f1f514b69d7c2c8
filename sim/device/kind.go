package device

// Dim is the dimension of a quantity in a harness file, named by its unit.
type Dim string

// The dimensions that files use. Values inside the program are always in these units.
const (
	None         Dim = ""
	Volt         Dim = "V"
	Ampere       Dim = "A"
	Ohm          Dim = "ohm"
	Watt         Dim = "W"
	Metre        Dim = "m"
	SquareMM     Dim = "mm2"
	Second       Dim = "s"
	Celsius      Dim = "degC"
	Percent      Dim = "%"
	Henry        Dim = "H"
	Farad        Dim = "F"
	Hertz        Dim = "Hz"
	RevPerMinute Dim = "rpm"
	AmpereHour   Dim = "Ah"
)

// Param is one number that a kind of component takes in a harness file.
type Param struct {
	Key      string // as written in the file, such as "power"
	Doc      string // one sentence for the guide
	Dim      Dim
	Required bool
	Default  float64 // when not required
	// Extra says that a component does not have it among its values unless a file gives it, so that a component that goes without is the same as
	// before there was such a thing.
	Extra    bool
	Min, Max float64 // inclusive; outside is an error that names both
}

// Terminal is one connection of a kind; the name follows DIN 72552 where that has one.
type Terminal struct{ Name, Doc string }

// Defect is one way in which a kind of component fails by itself.
type Defect struct {
	Name string // stable word used in files and findings, such as "filament-open"
	Doc  string // one plain phrase for people: "filament broken"
	// Dim is the dimension of its severity, None when it has none. Low..High bound it, Typical is used when unstated.
	Dim                Dim
	Low, High, Typical float64
	// Likelihood is relative to other defects of the same component (1 = ordinary).
	Likelihood float64
	// Visible says that a person who takes the part out and looks at it sees the defect (a broken filament).
	Visible bool
	// Needs is the key of a Param that must be above 0 for the component to have the part that fails, "" if it always has.
	Needs string
}

// Kind describes a family of components: what a harness file may say and what can go wrong.
type Kind struct {
	Name      string // as in the file: "lamp"
	Title     string // for people: "filament lamp"
	Doc       string // a few sentences for the guide
	Terminals []Terminal
	// OwnTerminals says that the harness file names the terminals (a switch), so Terminals is empty.
	OwnTerminals bool
	// Table says that the component takes a table of positions.
	Table bool
	// Logic says that the component takes a table of conditions (a Logic), which names its terminals.
	Logic   bool
	Params  []Param
	Defects []Defect
	// Words lists the words its Effect can have, for check lines; empty when it is not noticed. The first is the word
	// of a healthy device at rest, the last-but-others order runs from weakest to strongest.
	Words []string
	// Plugged says how it is usually mounted: in a plug or socket (true) or by ring terminals on studs (false).
	Plugged bool
}

// Position is one position of a switch: which terminals it joins.
type Position struct {
	Name  string      `json:"name"`
	Joins [][2]string `json:"joins"`
}

// Spec is one component as a harness file describes it, checked.
type Spec struct {
	Kind      string             `json:"kind"`
	Values    map[string]float64 `json:"values,omitempty"` // every Param of the kind but an Extra, defaults filled in
	Terminals []string           `json:"terminals"`
	Positions []Position         `json:"positions,omitempty"`
	Logic     *Logic             `json:"logic,omitempty"` // of a kind with Logic
}
