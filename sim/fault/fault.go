// Package fault is the catalogue of everything that can go wrong with a harness: found from the harness alone, named in a
// stable text form, and put into a machine as alterations. Nothing here says how a fault shows; that is left to physics.
package fault

import (
	"strings"

	"faultloom/sim/harness"
)

// Kind says what is wrong, in a stable word. A component's own defects carry the name that their kind gives them.
type Kind string

// The kinds of what happens to wires and joints.
const (
	Open           Kind = "open"
	HighResistance Kind = "high-resistance" // extra ohms
	ShortToGround  Kind = "short-to-ground"
	ShortToSupply  Kind = "short-to-supply"
	ShortToWire    Kind = "short-to-wire" // Other is the other wire
	BackedOut      Kind = "backed-out"    // a terminal that is not held in its cavity and does not touch the other
	Corroded       Kind = "corroded"
	Spread         Kind = "spread"  // a terminal whose spring has been bent open
	Leakage        Kind = "leakage" // a wet path between two cavities of a connector; Other is the other cavity, "X1.4"
	WrongRating    Kind = "wrong-fuse"
	Crossed        Kind = "crossed"    // two wires in each other's cavities of a connector; Other is the other cavity
	AddedLoad      Kind = "added-load" // something that was fitted later draws its current from a wire

	// The kinds that come and go. At rest, at the temperature of a workshop, nothing is wrong.
	Shaky         Kind = "shaky"          // open while it shakes
	OpensHot      Kind = "opens-hot"      // open while it is hotter than harness.HotAbove; in a component, Other is the terminal
	OpensCold     Kind = "opens-cold"     // open while it is colder than harness.ColdBelow; in a component, Other is the terminal
	HighShaken    Kind = "high-shaken"    // extra ohms while it shakes
	HighHot       Kind = "high-hot"       // extra ohms where OpensHot opens
	HighCold      Kind = "high-cold"      // extra ohms where OpensCold opens
	TouchesGround Kind = "touches-ground" // a short to the body while it shakes
	TouchesWire   Kind = "touches-wire"   // a short to another wire, Other, while either shakes
)

// Fault is one thing that is wrong. Its text form is that of String.
type Fault struct {
	// Place is where, in two or three words: "wire 31b", "cavity X1.3" (half a, the loom's; "cavity X1.3.b" for the other half),
	// "crimp X1.3.a", "splice S1 31b", "ring G1.31b", "ground G1", "component K1", "fuse F1".
	Place string
	Kind  Kind
	Other string // the other wire or cavity, or a component's terminal, "" if none
	// Severity is in ohms; of a wrong fuse its rating in amperes; of a component's defect in that defect's own dimension.
	// 0 stands for the catalogue's typical value, or none.
	Severity float64
}

// Entry is one line of the catalogue.
type Entry struct {
	Fault     Fault   // with a typical severity
	Low, High float64 // interval of its severity, both 0 when it has none
	// Likelihood is relative to the other entries.
	Likelihood float64
	Repair     Repair
	Title      string // for people: "wire 31b broken"
	// Visible says that the fault is seen when its place is looked at closely, see Seen.
	Visible bool
}

// The words that places begin with.
const (
	placeWire      = "wire"
	placeCavity    = "cavity"
	placeCrimp     = "crimp"
	placeSplice    = "splice"
	placeRing      = "ring"
	placeGround    = "ground"
	placeComponent = "component"
	placeFuse      = "fuse"
)

// CavityPlace returns the place of a cavity's half: half "a" goes without saying.
func CavityPlace(connector, cavity, half string) string {
	p := placeCavity + " " + connector + "." + cavity
	if half == "b" {
		p += ".b"
	}
	return p
}

// limb returns the place as a limb of the harness, for those that are one.
func (f Fault) limb() harness.Limb { return harness.Limb(f.Place) }

// cavity returns "X1.3" of a place in a cavity, whichever half.
func (f Fault) cavity() string {
	name := placeName(f.Place)
	if strings.Count(name, ".") == 2 {
		return name[:strings.LastIndexByte(name, '.')]
	}
	return name
}

// splitLeg splits "S1 31b".
func splitLeg(name string) (splice, wire string) {
	splice, wire, _ = strings.Cut(name, " ")
	return splice, wire
}
