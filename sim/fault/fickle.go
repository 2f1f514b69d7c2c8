package fault

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// jointed lists the kinds of components whose terminals are soldered or welded to what is inside, where such a joint can crack so that it
// opens, or has some ohms, with heat or cold and is good again. It is common practice, no source.
func jointed() []string { return []string{"relay", "flasher", "module", "motor", "solenoid"} }

// fickle reports whether the kind comes and goes.
func (k Kind) fickle() bool { return k.when() != harness.Always }

// when says when a kind is there.
func (k Kind) when() harness.Condition {
	switch k {
	case Shaky, HighShaken, TouchesGround, TouchesWire:
		return harness.Shaken
	case OpensHot, HighHot:
		return harness.Hot
	case OpensCold, HighCold:
		return harness.Cold
	}
	return harness.Always
}

// opens reports whether the kind is one of those that come and go and open fully.
func (k Kind) opens() bool { return k == Shaky || k == OpensHot || k == OpensCold }

// joint returns what a fault of a joint does that comes and goes. The harness has the place.
func (b *Book) joint(f Fault) harness.SeriesOhms {
	a := harness.SeriesOhms{Where: f.limb(), Ohms: f.Severity, When: f.Kind.when()}
	if f.Kind.opens() {
		a.Ohms = harness.Broken
	}
	if firstWord(f.Place) == placeComponent {
		// The joint lies behind the contact of its terminal, with nothing between them that a lead could touch.
		id := placeName(f.Place)
		connector, cavity, _ := b.pin(id, f.Other)
		a.Where, a.Inside = harness.Limb(CavityPlace(connector, cavity, "a")), id
	}
	return a
}

// touch returns what a chafed wire does that touches metal, or the wire beside it, while it shakes. The harness has the place.
func (b *Book) touch(f Fault) harness.Bridge {
	wire := placeName(f.Place)
	a := harness.Bridge{A: b.from(wire), B: harness.Body, Ohms: f.Severity, When: f.Kind.when(), Where: f.limb()}
	if f.Kind == TouchesWire {
		a.B, a.Beside = b.from(f.Other), harness.Limb(placeWire+" "+f.Other)
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
	if f.Kind.when() == harness.Shaken || !slices.Contains(jointed(), kind) {
		return fmt.Errorf("%s has no such defect; %s, %s, %s and %s are for the joints inside a %s", component, OpensHot, OpensCold, HighHot, HighCold,
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
			add(Fault{Place: place, Kind: HighHot, Other: cav.Terminal}, likelyJointHighHot, false)
			add(Fault{Place: place, Kind: HighCold, Other: cav.Terminal}, likelyJointHighCold, false)
		}
	}
}

// fickleTitle is the title of a fault that comes and goes.
func (b *Book) fickleTitle(f Fault) string {
	name := placeName(f.Place)
	does := map[bool]string{true: "opens", false: "has high resistance"}[f.Kind.opens()]
	does += map[harness.Condition]string{harness.Shaken: " when it is shaken", harness.Hot: " when hot", harness.Cold: " when cold"}[f.Kind.when()]
	switch firstWord(f.Place) {
	case placeWire:
		switch f.Kind {
		case TouchesGround:
			return fmt.Sprintf("wire %s chafed: it touches the body when it moves", name)
		case TouchesWire:
			return fmt.Sprintf("wires %s and %s chafed: they touch each other when they move", name, f.Other)
		}
		return fmt.Sprintf("wire %s broken inside its insulation: it opens when it moves", name)
	case placeCavity:
		info := b.infos[harness.Point(f.cavity()+".a")]
		return fmt.Sprintf("terminal %s of %s loose: it %s", info.Cavity, info.Connector, does)
	case placeCrimp:
		return fmt.Sprintf("wire %s loose in its crimp at %s: it %s", b.wireAt(harness.Point(name)), name, does)
	case placeRing:
		return fmt.Sprintf("ring terminal of wire %s loose on %s: it %s", b.infos[harness.Point(name)].Wires[0], b.studWords(harness.Point(name)), does)
	case placeSplice:
		splice, wire := splitLeg(name)
		return fmt.Sprintf("joint of wire %s in splice %s %s", wire, splice, does)
	}
	return fmt.Sprintf("%s: its joint at terminal %s %s", b.named(name), f.Other, does)
}

// studWords names what a ring sits on.
func (b *Book) studWords(ring harness.Point) string {
	info := b.infos[ring]
	if info.Kind == harness.PostRing {
		return "stud " + info.Terminal + " of " + info.Component
	}
	return "ground point " + info.Ground
}
