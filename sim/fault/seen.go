package fault

import (
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// Seen returns those of the faults that a close look at a place shows, in the order given. place is a connector ("X1"), a
// cavity ("X1.3"), a splice, a ground point, a ring ("G1.31b"), a stud ("BAT.30"), "wire 31b", or a component ("component LL"
// or just "LL"); the words "cavity", "splice" and so on may stand before it. parted tells which connectors are unplugged, and
// opened at which splices the loom is open:
//
//   - inside a connector one sees only when it is parted; a wire that has come out of its crimp is seen anyway;
//   - in a splice only when the loom is open there;
//   - in a component only what its kind says can be seen, and only when it is out of its connectors;
//   - the rating printed on a fuse is always seen.
func (b *Book) Seen(faults []Fault, place string, parted, opened func(id string) bool) []Fault {
	word, name, two := strings.Cut(place, " ")
	if !two {
		word, name = "", word
	}
	var seen []Fault
	for _, f := range faults {
		if b.checkPlace(f) == nil && b.at(f, word, name) && b.visible(f) && b.uncovered(f, parted, opened) {
			seen = append(seen, f)
		}
	}
	return seen
}

// at reports whether a fault sits at the place looked at.
func (b *Book) at(f Fault, word, name string) bool {
	own := placeName(f.Place)
	what := firstWord(f.Place)
	if what == placeWire {
		return word == placeWire && (own == name || f.Kind.BetweenWires() && f.Other == name)
	}
	if word == placeWire {
		return false
	}
	switch what {
	case placeCavity:
		return b.within(f.cavity(), name) || (f.Kind == Leakage || f.Kind == Crossed) && b.within(f.Other, name)
	case placeCrimp, placeRing:
		info := b.infos[harness.Point(own)]
		if info.Kind == harness.CavityHalf {
			return own == name || b.within(info.Connector+"."+info.Cavity, name)
		}
		return own == name || string(b.stud(info.Point)) == name || info.Component != "" && info.Component == name
	case placeSplice:
		splice, wire := splitLeg(own)
		return splice == name || splice+" "+wire == name
	case placeComponent, placeFuse:
		return own == name || slices.ContainsFunc(b.plugs[own], func(i int) bool { return b.h.Connectors[i].ID == name })
	}
	return own == name
}

// within reports whether a cavity is, or is part of, what is looked at.
func (b *Book) within(cavity, name string) bool {
	return cavity == name || cavity+".a" == name || cavity+".b" == name || strings.HasPrefix(cavity, name+".")
}

// visible reports whether the fault is of a sort that can be seen at all.
func (b *Book) visible(f Fault) bool {
	switch word := firstWord(f.Place); {
	case !f.Kind.fickle(), f.Kind == TouchesGround, f.Kind == TouchesWire: // chafed insulation is seen like that of a short
	default:
		// A loose terminal or nut is seen; a joint or a wire that breaks inside is not.
		return word == placeCavity || word == placeRing
	}
	name := placeName(f.Place)
	switch firstWord(f.Place) {
	case placeWire:
		if f.Kind == AddedLoad {
			return true // a tap on a wire is seen whatever the wire is bundled with
		}
		w := b.h.Wires[b.wires[name]]
		return f.Kind != Open && f.Kind != HighResistance && (w.Bundle == "" || w.Flexing)
	case placeCrimp:
		return f.Kind == Open
	case placeComponent:
		d, _ := b.defect(name, f.Kind)
		return d.Visible
	}
	return true
}

// uncovered reports whether nothing stands in the way of seeing it.
func (b *Book) uncovered(f Fault, parted, opened func(id string) bool) bool {
	name := placeName(f.Place)
	switch firstWord(f.Place) {
	case placeCavity:
		if f.Kind == Crossed {
			return true // colours are seen from behind
		}
		return parted(b.infos[harness.Point(f.cavity()+".a")].Connector)
	case placeSplice:
		splice, _ := splitLeg(name)
		return opened(splice)
	case placeComponent:
		for _, i := range b.plugs[name] {
			if !parted(b.h.Connectors[i].ID) {
				return false
			}
		}
	}
	return true
}
