package fault

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// jointed lists the kinds of components whose terminals are soldered or welded to what is inside, where such a joint can crack so that it
// opens with heat or cold and closes again. It is common practice, no source.
func jointed() []string { return []string{"relay", "flasher", "module", "motor", "solenoid"} }

// comesAndGoes returns what a fault of such a kind does. The harness has the place.
func (b *Book) comesAndGoes(f Fault) harness.SeriesOhms {
	a := harness.SeriesOhms{Where: f.limb(), Ohms: harness.Broken}
	switch f.Kind {
	case Shaky:
		a.When = harness.Shaken
	case OpensHot:
		a.When = harness.Hot
	case OpensCold:
		a.When = harness.Cold
	}
	if firstWord(f.Place) == placeComponent {
		// The joint lies behind the contact of its terminal, with nothing between them that a lead could touch.
		id := placeName(f.Place)
		connector, cavity, _ := b.pin(id, f.Other)
		a.Where, a.Inside = harness.Limb(CavityPlace(connector, cavity, "a")), id
	}
	return a
}

// pin returns the cavity that leads to a component's terminal.
func (b *Book) pin(component, terminal string) (connector, cavity string, ok bool) {
	for _, i := range b.plugs[component] {
		for _, cav := range b.h.Connectors[i].Cavities {
			if cav.Terminal == terminal {
				return b.h.Connectors[i].ID, cav.Number, true
			}
		}
	}
	return "", "", false
}

// checkJoint checks a fault in a component's joint.
func (b *Book) checkJoint(component string, f Fault) error {
	kind := b.h.Components[b.components[component]].Spec.Kind
	if f.Kind == Shaky || !slices.Contains(jointed(), kind) {
		return fmt.Errorf("%s has no such defect; %s and %s are for the joints inside a %s", component, OpensHot, OpensCold,
			strings.Join(jointed(), ", "))
	}
	if _, _, ok := b.pin(component, f.Other); !ok {
		return fmt.Errorf("%s has no terminal %s in a connector", component, f.Other)
	}
	return nil
}

// listJointsOf adds what can go wrong with heat or cold in a component's joints, at the terminals that a wire leads to.
func (b *Book) listJointsOf(c harness.Component, add adder) {
	if !slices.Contains(jointed(), c.Spec.Kind) {
		return
	}
	for _, i := range b.plugs[c.ID] {
		k := b.h.Connectors[i]
		for _, cav := range k.Cavities {
			if cav.Terminal == "" || !b.leads(k, cav) {
				continue
			}
			place := placeComponent + " " + c.ID
			add(Fault{Place: place, Kind: OpensHot, Other: cav.Terminal}, likelyJointHot, false)
			add(Fault{Place: place, Kind: OpensCold, Other: cav.Terminal}, likelyJointCold, false)
		}
	}
}

// fickleTitle is the title of a fault that comes and goes.
func (b *Book) fickleTitle(f Fault) string {
	name := placeName(f.Place)
	when := "when hot"
	if f.Kind == OpensCold {
		when = "when cold"
	}
	switch firstWord(f.Place) {
	case placeWire:
		return fmt.Sprintf("wire %s broken inside its insulation: it opens when it moves", name)
	case placeCavity:
		info := b.infos[harness.Point(f.cavity()+".a")]
		return fmt.Sprintf("terminal %s of %s loose: it opens when it is shaken", info.Cavity, info.Connector)
	case placeCrimp:
		return fmt.Sprintf("wire %s loose in its crimp at %s: it opens when it is shaken", b.wireAt(harness.Point(name)), name)
	case placeRing:
		return fmt.Sprintf("ring terminal of wire %s loose on %s: it opens when it is shaken", b.infos[harness.Point(name)].Wires[0], b.studWords(harness.Point(name)))
	case placeSplice:
		splice, wire := splitLeg(name)
		return fmt.Sprintf("joint of wire %s in splice %s opens %s", wire, splice, when)
	}
	return fmt.Sprintf("%s: its joint at terminal %s opens %s", b.named(name), f.Other, when)
}

// studWords names what a ring sits on.
func (b *Book) studWords(ring harness.Point) string {
	info := b.infos[ring]
	if info.Kind == harness.PostRing {
		return "stud " + info.Terminal + " of " + info.Component
	}
	return "ground point " + info.Ground
}
