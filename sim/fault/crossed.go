package fault

import (
	"fmt"

	"faultloom/sim/harness"
)

// crossed puts the wires of two cavities, on the loom's half, into each other's place: each is cut at its own terminal and led from
// its far end to the other one, with the ohms that it has.
func (b *Book) crossed(f Fault) []harness.Alteration {
	var all []harness.Alteration
	cavities := [2]string{f.cavity(), f.Other}
	for i, cavity := range cavities {
		wire := b.wireAt(harness.Point(cavity + ".a"))
		far := b.ends[b.wires[wire]][0]
		if far == harness.Point(cavity+".a") {
			far = b.ends[b.wires[wire]][1]
		}
		all = append(all,
			harness.SeriesOhms{Where: harness.Limb(placeWire + " " + wire), Ohms: harness.Broken},
			harness.Bridge{A: far, B: harness.Point(cavities[1-i] + ".a"), Ohms: b.ohms[b.wires[wire]]})
	}
	return all
}

// checkCrossed says why the wires of two cavities cannot be crossed.
func (b *Book) checkCrossed(f Fault) error {
	own := b.infos[harness.Point(f.cavity()+".a")]
	other := b.infos[harness.Point(f.Other+".a")]
	switch {
	case f.half() != "":
		return fmt.Errorf("wires are crossed on the loom's half: leave out .b")
	case other.Kind != harness.CavityHalf || other.Connector != own.Connector:
		return fmt.Errorf("there is no cavity %s beside it", f.Other)
	case len(own.Wires) == 0 || len(other.Wires) == 0:
		return fmt.Errorf("it takes a wire in each of the two cavities")
	}
	ends := [2][2]harness.Point{b.ends[b.wires[own.Wires[0]]], b.ends[b.wires[other.Wires[0]]]}
	for _, e := range ends {
		if b.infos[e[0]].Connector == own.Connector && b.infos[e[1]].Connector == own.Connector {
			return fmt.Errorf("wire %s has both ends in %s", own.Wires[0], own.Connector)
		}
	}
	return nil
}

// tapped reports whether a wire comes out of a fuse, which is where people join on what they fit later.
func (b *Book) tapped(wire int) bool {
	for _, p := range b.ends[wire] {
		info := b.infos[p]
		if info.Kind != harness.CavityHalf {
			continue
		}
		c := b.h.Connectors[b.connectors[info.Connector]]
		if c.Mount == harness.Holder && len(c.Cavities) > 1 && info.Cavity == c.Cavities[1].Number {
			return true
		}
	}
	return false
}
