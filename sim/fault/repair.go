package fault

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// Repair is one thing that can be done to a harness. Its text form is that of String: "replace wire 31b", "remake cavity X1.3",
// "clean ground G1", "clean post BAT.30", "remake ring G1.31b", "remake splice S1", "replace component K1", "fit fuse F1".
type Repair struct {
	Verb  string // "replace", "remake", "clean" or "fit"
	Place string // in two words
}

// The verbs of repairs, and the place that only repairs have.
const (
	verbReplace = "replace"
	verbRemake  = "remake"
	verbClean   = "clean"
	verbFit     = "fit"
	placePost   = "post" // a component's stud with all rings on it
)

// String returns the repair in text.
func (r Repair) String() string { return r.Verb + " " + r.Place }

// forms lists what can be repaired how, with the title for people.
var forms = [...]struct{ verb, word, title string }{
	{verbReplace, placeWire, "Replace wire %s"},
	{verbRemake, placeCavity, "Remake cavity %s: new terminals, both halves, cleaned and dried"},
	{verbRemake, placeRing, "Remake ring terminal %s: new crimp, cleaned joint"},
	{verbRemake, placeSplice, "Remake splice %s"},
	{verbClean, placeGround, "Clean and tighten ground point %s with all rings on it"},
	{verbClean, placePost, "Clean and tighten stud %s with all rings on it"},
	{verbReplace, placeComponent, "Replace %s"},
	{verbFit, placeFuse, "Fit a new fuse %s of the right rating"},
}

// FitFuse returns the repair that puts a new fuse of the right rating in, for a component that is a fuse.
func FitFuse(component string) Repair { return Repair{verbFit, placeFuse + " " + component} }

// Component returns the id of the component that the repair puts a new one in for, "" if it does not.
func (r Repair) Component() string {
	switch firstWord(r.Place) {
	case placeComponent, placeFuse:
		return placeName(r.Place)
	}
	return ""
}

// RepairTitle is the package's RepairTitle.
func (b *Book) RepairTitle(r Repair) string {
	for _, f := range forms {
		if f.verb == r.Verb && f.word == firstWord(r.Place) {
			return fmt.Sprintf(f.title, b.named(placeName(r.Place)))
		}
	}
	return r.String()
}

// named adds to a component's id its title.
func (b *Book) named(id string) string {
	i, ok := b.components[id]
	if !ok {
		return id
	}
	if t := b.h.Components[i].Title; t != "" && t != id {
		return t + " (" + id + ")"
	}
	return id
}

// ParseRepair reads a repair from its text form. It checks the form only; whether a harness has the place is for Book.CanRepair
// to say.
func ParseRepair(text string) (Repair, error) {
	if len(text) > maxText {
		return Repair{}, fmt.Errorf("repair: text must have at most %d bytes (got %d)", maxText, len(text))
	}
	words := strings.Fields(text)
	if len(words) != 3 {
		return Repair{}, fmt.Errorf("repair %q: must be three words, such as \"replace wire 31b\"", text)
	}
	var known []string
	for _, f := range forms {
		if f.verb == words[0] && f.word == words[1] {
			return Repair{Verb: words[0], Place: words[1] + " " + words[2]}, nil
		}
		known = append(known, f.verb+" "+f.word)
	}
	return Repair{}, fmt.Errorf("repair %q: want one of %s, then a name", text, strings.Join(known, ", "))
}

// Repairs is the package's Repairs.
func (b *Book) Repairs() []Repair {
	var all []Repair
	add := func(verb, word, name string) { all = append(all, Repair{verb, word + " " + name}) }
	for _, w := range b.h.Wires {
		add(verbReplace, placeWire, w.ID)
	}
	for _, c := range b.h.Connectors {
		for _, cav := range c.Cavities {
			add(verbRemake, placeCavity, c.ID+"."+cav.Number)
		}
	}
	for _, s := range b.h.Splices {
		add(verbRemake, placeSplice, s.ID)
	}
	for _, info := range b.points {
		switch info.Kind {
		case harness.GroundStud:
			add(verbClean, placeGround, string(info.Point))
		case harness.PostStud:
			add(verbClean, placePost, string(info.Point))
		case harness.GroundRing, harness.PostRing:
			add(verbRemake, placeRing, string(info.Point))
		}
	}
	for _, c := range b.h.Components {
		if b.fuses[c.ID] != nil {
			add(verbFit, placeFuse, c.ID)
		} else {
			add(verbReplace, placeComponent, c.ID)
		}
	}
	return all
}

// CanRepair reports whether a repair can be made on the harness.
func (b *Book) CanRepair(r Repair) bool {
	return slices.Contains(b.Repairs(), r)
}

// RepairFor is the package's RepairFor.
func (b *Book) RepairFor(f Fault) Repair {
	if all := b.Mending(f); len(all) > 0 {
		return all[0]
	}
	return Repair{}
}

// Mends is the package's Mends.
func (b *Book) Mends(r Repair, f Fault) bool {
	return slices.ContainsFunc(b.Mending(f), func(m Repair) bool { return m.String() == r.String() })
}

// Mending returns all repairs that take a fault away, the usual one first.
func (b *Book) Mending(f Fault) []Repair {
	if b.checkPlace(f) != nil {
		return nil
	}
	name := placeName(f.Place)
	switch firstWord(f.Place) {
	case placeWire:
		all := []Repair{{verbReplace, placeWire + " " + name}}
		if f.Kind.BetweenWires() {
			all = append(all, Repair{verbReplace, placeWire + " " + f.Other})
		}
		return all
	case placeCavity:
		all := []Repair{{verbRemake, placeCavity + " " + f.cavity()}}
		if f.Kind == Leakage || f.Kind == Crossed {
			all = append(all, Repair{verbRemake, placeCavity + " " + f.Other})
		}
		return all
	case placeCrimp:
		return b.mendingCrimp(harness.Point(name))
	case placeRing:
		info := b.infos[harness.Point(name)]
		all := []Repair{{verbClean, placeGround + " " + info.Ground}}
		if info.Kind == harness.PostRing {
			all[0] = Repair{verbClean, placePost + " " + info.Component + "." + info.Terminal}
		}
		return append(all, Repair{verbRemake, f.Place}, Repair{verbReplace, placeWire + " " + info.Wires[0]})
	case placeGround:
		return []Repair{{verbClean, f.Place}}
	case placeSplice:
		splice, wire := splitLeg(name)
		return []Repair{{verbRemake, placeSplice + " " + splice}, {verbReplace, placeWire + " " + wire}}
	case placeComponent:
		replace := Repair{verbReplace, placeComponent + " " + name}
		if b.fuses[name] != nil {
			return []Repair{{verbFit, placeFuse + " " + name}, replace}
		}
		return []Repair{replace}
	case placeFuse:
		return []Repair{{verbFit, f.Place}, {verbReplace, placeComponent + " " + name}}
	}
	return nil
}

// mendingCrimp: a crimp goes with its terminal, and a new wire brings new crimps.
func (b *Book) mendingCrimp(p harness.Point) []Repair {
	info := b.infos[p]
	first := Repair{verbRemake, placeRing + " " + string(p)}
	if info.Kind == harness.CavityHalf {
		first = Repair{verbRemake, placeCavity + " " + info.Connector + "." + info.Cavity}
	}
	return []Repair{first, {verbReplace, placeWire + " " + info.Wires[0]}}
}

// likeness gathers kinds that show in the same way where they sit at the same place.
func likeness(k Kind) Kind {
	switch k {
	case BackedOut:
		return Open
	case Corroded, Spread:
		return HighResistance
	}
	return k
}

// SameCause is the package's SameCause.
func (b *Book) SameCause(found, truth Fault) bool {
	if likeness(found.Kind) != likeness(truth.Kind) {
		return false
	}
	r := b.RepairFor(truth)
	if r == (Repair{}) {
		return false
	}
	if b.RepairFor(found) == r {
		return true
	}
	// A short between two wires is the same, whichever is named first.
	mirrored := found.Kind == truth.Kind && (found.Kind.BetweenWires() || found.Kind == Leakage || found.Kind == Crossed)
	return mirrored && b.Mends(r, found) && found.Other == placeName(truth.Place)
}
