package fault

import (
	"fmt"
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Intervals of severity in ohms, with the typical value in the middle. They are common practice, no source, but for the lower
// end of what can be noticed: 0.3 Ω in a lamp's circuit of 5 A.
var (
	ohmsInWire    = span{0.3, 3, 100}
	ohmsInCrimp   = span{0.3, 3, 100}
	ohmsInSplice  = span{0.3, 3, 1e4} // green in a wet loom: to kilohms
	ohmsInContact = span{0.3, 5, 1e6} // corroded: ohms to megohms
	ohmsInSpread  = span{0.3, 2, 50}
	ohmsInGround  = span{0.3, 2, 100}
	ohmsOfShort   = span{0.01, 0.05, 2}
	ohmsOfLeakage = span{100, 2000, 1e6}
	ohmsOfAdded   = span{3, 12, 300} // a lamp, a heater or a radio: 4 A to 40 mA at 12 V
	ohmsAtTimes   = span{1, 4, 30}   // of a joint that comes and goes: less does not flicker, and with more a lamp is out
)

type span struct{ low, typical, high float64 }

// maxOhms bounds the severity that a fault in a file may have: the insulation of a new harness.
const maxOhms = 1e8

// severities returns the interval of a fault's severity, all 0 when it has none.
func (b *Book) severities(f Fault) span {
	switch f.Kind {
	case WrongRating:
		return span{f.Severity, f.Severity, f.Severity}
	case ShortToGround, ShortToSupply, ShortToWire, TouchesGround, TouchesWire:
		return ohmsOfShort
	case HighShaken, HighHot, HighCold:
		return ohmsAtTimes
	case Leakage:
		return ohmsOfLeakage
	case AddedLoad:
		return ohmsOfAdded
	}
	switch word := firstWord(f.Place); {
	case word == placeComponent:
		if d, ok := b.defect(placeName(f.Place), f.Kind); ok && d.Dim != device.None {
			return span{d.Low, d.Typical, d.High}
		}
	case f.Kind == Corroded:
		return ohmsInContact
	case f.Kind == Spread:
		return ohmsInSpread
	case f.Kind != HighResistance:
	case word == placeWire:
		return ohmsInWire
	case word == placeRing, word == placeGround:
		return ohmsInGround
	case word == placeSplice:
		return ohmsInSplice
	default:
		return ohmsInCrimp
	}
	return span{}
}

// Typical returns the fault with the catalogue's typical severity where it has none.
func (b *Book) Typical(f Fault) Fault {
	if f.Severity == 0 {
		f.Severity = b.severities(f).typical
	}
	return f
}

// Alterations is Fault.Alterations.
func (b *Book) Alterations(f Fault) ([]harness.Alteration, error) {
	if err := b.Check(f); err != nil {
		return nil, err
	}
	f = b.Typical(f)
	name := placeName(f.Place)
	switch f.Kind {
	case ShortToGround, AddedLoad:
		return []harness.Alteration{harness.Bridge{A: b.from(name), B: harness.Body, Ohms: f.Severity}}, nil
	case ShortToSupply:
		return []harness.Alteration{harness.Bridge{A: b.from(name), B: b.positive, Ohms: f.Severity}}, nil
	case ShortToWire:
		return []harness.Alteration{harness.Bridge{A: b.from(name), B: b.from(f.Other), Ohms: f.Severity}}, nil
	case TouchesGround, TouchesWire:
		return []harness.Alteration{b.touch(f)}, nil
	case Leakage:
		// Water stands in the loom's half.
		return []harness.Alteration{harness.Bridge{A: harness.Point(f.cavity() + ".a"), B: harness.Point(f.Other + ".a"), Ohms: f.Severity}}, nil
	case Crossed:
		return b.crossed(f), nil
	case WrongRating:
		holder, _ := b.holder(name)
		return []harness.Alteration{harness.WrongFuse{Connector: holder, Amps: f.Severity}}, nil
	}
	if f.Kind.fickle() {
		return []harness.Alteration{b.joint(f)}, nil
	}
	if firstWord(f.Place) == placeComponent {
		return []harness.Alteration{harness.Spoil{Component: name, Defect: string(f.Kind), Severity: f.Severity}}, nil
	}
	ohms := f.Severity
	if f.Kind == Open || f.Kind == BackedOut {
		ohms = harness.Broken
	}
	where := f.limb()
	if half := f.half(); half != "" {
		where = harness.Limb(f.Place[:len(f.Place)-len(".b")])
	}
	return []harness.Alteration{harness.SeriesOhms{Where: where, Ohms: ohms}}, nil
}

// half returns "b" for a place in a cavity's half b, else "".
func (f Fault) half() string {
	if firstWord(f.Place) == placeCavity && len(f.cavity()) < len(placeName(f.Place)) {
		return "b"
	}
	return ""
}

// from returns the metal at the first end of a wire: shorts lie there.
func (b *Book) from(wire string) harness.Point { return b.ends[b.wires[wire]][0] }

// Check returns an error that says what the harness lacks for the fault to be in it, or what is wrong with its severity.
func (b *Book) Check(f Fault) error {
	if err := b.checkPlace(f); err != nil {
		return fmt.Errorf("fault %q: %w", b.Text(f), err)
	}
	if err := f.checkKind(); err != nil {
		return fmt.Errorf("fault %q: %w", b.Text(f), err)
	}
	switch {
	case f.Severity == 0 && f.Kind == WrongRating:
		return fmt.Errorf("fault %q: says no rating, such as \"%s wrong-fuse 30 A\"", b.Text(f), f.Place)
	case f.Severity == 0:
		return nil
	}
	if firstWord(f.Place) == placeComponent && !f.Kind.fickle() {
		d, _ := b.defect(placeName(f.Place), f.Kind)
		switch {
		case d.Dim == device.None:
			return fmt.Errorf("fault %q: %s has no severity", b.Text(f), f.Kind)
		case !(f.Severity >= d.Low && f.Severity <= d.High):
			return fmt.Errorf("fault %q: severity must be from %g to %g %s", b.Text(f), d.Low, d.High, d.Dim)
		}
		return nil
	}
	switch {
	case !f.Kind.hasSeverity():
		return fmt.Errorf("fault %q: %s has no severity", b.Text(f), f.Kind)
	case f.Kind == WrongRating && !slices.Contains(b.ratings(placeName(f.Place)), f.Severity):
		return fmt.Errorf("fault %q: there is no such fuse; ratings are %v A", b.Text(f), b.ratings(placeName(f.Place)))
	case !(f.Severity > 0 && f.Severity <= maxOhms) || math.IsNaN(f.Severity):
		return fmt.Errorf("fault %q: severity must be above 0 and at most %g ohm", b.Text(f), maxOhms)
	}
	return nil
}

func (b *Book) checkPlace(f Fault) error {
	name := placeName(f.Place)
	switch firstWord(f.Place) {
	case placeWire:
		return b.checkWire(f, name)
	case placeCavity:
		return b.checkCavity(f)
	case placeCrimp:
		p := harness.Point(name)
		if b.wireAt(p) == "" || b.infos[p].Kind == harness.SplicePoint {
			return fmt.Errorf("no wire ends in a terminal at %s", name)
		}
	case placeRing:
		if k := b.infos[harness.Point(name)].Kind; k != harness.GroundRing && k != harness.PostRing {
			return fmt.Errorf("there is no ring terminal %s", name)
		}
	case placeGround:
		if b.infos[harness.Point(name)].Kind != harness.GroundStud {
			return fmt.Errorf("there is no ground point %s", name)
		}
	case placeSplice:
		return b.checkLeg(name)
	case placeComponent:
		i, ok := b.components[name]
		if !ok {
			return fmt.Errorf("there is no component %s", name)
		}
		if f.Kind.fickle() {
			return b.checkJoint(name, f)
		}
		if _, ok := b.defect(name, f.Kind); !ok {
			var names []string
			for _, d := range b.defects[i] {
				names = append(names, d.Name)
			}
			return fmt.Errorf("%s has no such defect; it has %v", name, names)
		}
	case placeFuse:
		if _, ok := b.holder(name); !ok {
			return fmt.Errorf("there is no fuse %s in a holder", name)
		}
	default:
		return fmt.Errorf("unknown place")
	}
	return nil
}

func (b *Book) checkWire(f Fault, name string) error {
	if _, ok := b.wires[name]; !ok {
		return fmt.Errorf("there is no wire %s", name)
	}
	switch f.Kind {
	case AddedLoad:
		if !b.tapped(b.wires[name]) {
			return fmt.Errorf("wire %s does not come out of a fuse, where such things are joined on", name)
		}
	case Shaky:
		if !b.h.Wires[b.wires[name]].Flexing {
			return fmt.Errorf("wire %s passes no moving part that could break it inside its insulation", name)
		}
	case TouchesGround:
		if !b.h.Wires[b.wires[name]].Flexing {
			return fmt.Errorf("wire %s passes no moving part against which it could chafe", name)
		}
	case ShortToSupply:
		if b.positive == "" {
			return fmt.Errorf("there is no battery")
		}
		if b.stud(b.from(name)) == b.positive {
			return fmt.Errorf("the wire begins at the supply")
		}
	}
	if !f.Kind.BetweenWires() {
		return nil
	}
	if _, ok := b.wires[f.Other]; !ok {
		return fmt.Errorf("there is no wire %s", f.Other)
	}
	if b.from(name) == b.from(f.Other) {
		return fmt.Errorf("both wires begin at %s", b.from(name))
	}
	if f.Kind == TouchesWire && !b.h.Wires[b.wires[name]].Flexing && !b.h.Wires[b.wires[f.Other]].Flexing {
		return fmt.Errorf("neither wire %s nor wire %s passes a moving part against which they could chafe", name, f.Other)
	}
	return nil
}

func (b *Book) checkCavity(f Fault) error {
	info := b.infos[harness.Point(f.cavity()+".a")]
	if info.Kind != harness.CavityHalf {
		return fmt.Errorf("there is no cavity %s", f.cavity())
	}
	if f.half() == "b" && b.h.Connectors[b.connectors[info.Connector]].Mount != harness.InLine {
		return fmt.Errorf("half b of %s is a component's own terminal", info.Connector)
	}
	if f.Kind == Crossed {
		return b.checkCrossed(f)
	}
	if f.Kind != Leakage {
		return nil
	}
	other := b.infos[harness.Point(f.Other+".a")]
	if other.Kind != harness.CavityHalf || other.Connector != info.Connector {
		return fmt.Errorf("there is no cavity %s beside it", f.Other)
	}
	return nil
}

func (b *Book) checkLeg(name string) error {
	splice, wire := splitLeg(name)
	if info := b.infos[harness.Point(splice)]; info.Kind != harness.SplicePoint || !slices.Contains(info.Wires, wire) {
		return fmt.Errorf("wire %s has no end in a splice %s", wire, splice)
	}
	return nil
}
