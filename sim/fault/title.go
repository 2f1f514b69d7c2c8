package fault

import (
	"fmt"

	"faultloom/sim/harness"
)

// Title is the package's Title.
func (b *Book) Title(f Fault) string {
	if b.checkPlace(f) != nil {
		return f.String()
	}
	if f.Kind.fickle() {
		return b.fickleTitle(f)
	}
	name := placeName(f.Place)
	switch firstWord(f.Place) {
	case placeWire:
		return wireTitle(f, name)
	case placeCavity:
		return b.cavityTitle(f)
	case placeCrimp:
		return fmt.Sprintf("%s in the crimp of wire %s at %s", wrong(f.Kind), b.wireAt(harness.Point(name)), name)
	case placeSplice:
		splice, wire := splitLeg(name)
		return fmt.Sprintf("%s of wire %s in splice %s", wrong(f.Kind), wire, splice)
	case placeRing:
		info := b.infos[harness.Point(name)]
		where := b.studWords(harness.Point(name))
		if f.Kind == Open {
			return fmt.Sprintf("ring terminal of wire %s off %s", info.Wires[0], where)
		}
		return fmt.Sprintf("ring terminal of wire %s corroded on %s", info.Wires[0], where)
	case placeGround:
		if f.Kind == Open {
			return fmt.Sprintf("ground point %s has no contact with the body", name)
		}
		return fmt.Sprintf("ground point %s corroded", name)
	case placeComponent:
		d, _ := b.defect(name, f.Kind)
		return b.named(name) + ": " + d.Doc
	case placeFuse:
		if f.Severity == 0 {
			return b.named(name) + ": fuse of another rating fitted"
		}
		return fmt.Sprintf("%s: %g A fitted where %g A belongs", b.named(name), f.Severity, b.fuses[name].Fitted())
	}
	return f.String()
}

// wrong begins the title of a joint's fault.
func wrong(k Kind) string {
	if k == Open {
		return "break"
	}
	return "high resistance"
}

func wireTitle(f Fault, name string) string {
	switch f.Kind {
	case Open:
		return fmt.Sprintf("wire %s broken", name)
	case HighResistance:
		return fmt.Sprintf("wire %s has high resistance: strands lost", name)
	case ShortToGround:
		return fmt.Sprintf("wire %s chafed through to the body", name)
	case AddedLoad:
		return fmt.Sprintf("something fitted later draws current from wire %s", name)
	case ShortToSupply:
		return fmt.Sprintf("wire %s touches the supply", name)
	}
	return fmt.Sprintf("wires %s and %s touch each other", name, f.Other)
}

func (b *Book) cavityTitle(f Fault) string {
	info := b.infos[harness.Point(f.cavity()+".a")]
	c := b.h.Connectors[b.connectors[info.Connector]]
	switch f.Kind {
	case BackedOut:
		half := "a"
		if f.half() == "b" {
			half = "b"
		}
		return fmt.Sprintf("terminal %s of %s backed out (%s)", info.Cavity, c.ID, c.HalfTitle(half))
	case Corroded:
		return fmt.Sprintf("terminal %s of %s corroded", info.Cavity, c.ID)
	case Spread:
		return fmt.Sprintf("terminal %s of %s spread: it hardly touches", info.Cavity, c.ID)
	}
	if f.Kind == Crossed {
		return fmt.Sprintf("wires in cavities %s and %s of %s crossed (%s)", info.Cavity, b.infos[harness.Point(f.Other+".a")].Cavity, c.ID, c.HalfTitle("a"))
	}
	return fmt.Sprintf("water between cavities %s and %s of %s", info.Cavity, b.infos[harness.Point(f.Other+".a")].Cavity, c.ID)
}
