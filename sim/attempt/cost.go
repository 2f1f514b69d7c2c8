package attempt

import (
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Bench time of the plain steps in seconds. All of them: common practice, no source. They are what a person needs who knows
// where things are, and their proportions are what makes one test cheaper than another.
const (
	costOperate = 3  // reach over, move the control, look and listen
	costStand   = 60 // come back to a vehicle that has stood; the time that it stood is nobody's bench time
	costMark    = 1  // tick a line
	costStudy   = 20 // find the page and read what matters now
	costAsk     = 0  // the coach stands beside
	costDial    = 2  // turn the dial, wait for the display
	costKey     = 1  // press a key of the meter
	costLead    = 6  // find the place, put the probe there, read the display
	costLift    = 2  // take a lead off
	costUnplug  = 15 // find the latch, part the halves
	costPlug    = 10 // mate them until the latch clicks
	costInspect = 20 // lamp and mirror
	costFollow  = 60 // follow a wire with lamp and fingers
	costFind    = 5  // write it on the card
	costFuse    = 10 // pick one of the rating, push it in
	costOwnFuse = 60 // open the meter's case, or the jumper's holder
	costClose   = 0  // putting the tools away is nobody's bench time
	costRefused = 2  // a moment to see that it cannot be done
)

// watching is the part of a step's time, in seconds, that passes after the thing was done: eyes on the display or the vehicle.
// It is long enough for filaments to warm and relays to settle.
const watching = 2

// Bench time of repairs in seconds, without getting at the place. Common practice, no source.
const (
	costWire     = 900 // a new wire along the loom
	costTerminal = 300 // a new terminal in a cavity, its crimp included
	costRing     = 240 // a new ring terminal
	costStud     = 240 // off, bright metal, grease, on
	costSplice   = 420 // cut out, crimp, seal, tape up
	costPart     = 480 // any other component
)

// partCosts is the bench time in seconds to change a component of a kind. Common practice, no source.
func partCost(kind string) float64 {
	switch kind {
	case "fuse", "large-fuse":
		return 15
	case "relay":
		return 30
	case "lamp":
		return 180
	case "horn", "buzzer", "resistor", "diode":
		return 300
	case "button":
		return 360
	case "battery":
		return 600
	}
	return costPart
}

// Costs returns the bench time in seconds that an action takes in a state: its own, and the first time something is worked
// on, getting at it. A refused action costs a moment instead. The table stands above.
func Costs(h *harness.Harness, s State, act Action) float64 {
	return duration(h, s.Accessed, s.OpenLooms, act)
}

// duration is Costs; accessed are the ids of what was got at before, open the splices at which the loom is open.
func duration(h *harness.Harness, accessed, open map[string]bool, act Action) float64 {
	t := ownCost(h, act)
	if r, ok := act.(Repair); ok {
		if splice, ok := strings.CutPrefix(r.Repair, "remake splice "); ok && !open[splice] {
			t += loomTime(h, splice)
		}
	}
	for _, place := range placesOf(h, act) {
		t += place.time(h, accessed)
	}
	return t
}

func ownCost(h *harness.Harness, act Action) float64 {
	switch act := act.(type) {
	case Operate:
		if stands(h, act) {
			return costStand
		}
		return costOperate
	case Mark:
		return costMark
	case Study:
		return costStudy
	case Ask:
		return costAsk
	case Dial:
		return costDial
	case Relative, Capture, Zero, Sweep:
		return costKey
	case Lead:
		if act.Point == "" {
			return costLift
		}
		return costLead
	case Unplug:
		return costUnplug
	case Plug:
		return costPlug
	case OpenLoom:
		return loomTime(h, act.Splice)
	case CloseLoom:
		return loomTime(h, act.Splice)
	case Inspect:
		if strings.HasPrefix(act.Place, "wire ") {
			return costFollow
		}
		return costInspect
	case Wiggle:
		return costWiggle
	case Warm:
		return costWarm
	case Cool:
		return costCool
	case Find:
		return costFind
	case Repair:
		return repairCost(h, act)
	case FitFuse:
		return costFuse
	case ResetFuse:
		return costOwnFuse
	case Wait:
		return act.Seconds
	}
	return costClose
}

func repairCost(h *harness.Harness, act Repair) float64 {
	r, err := fault.ParseRepair(act.Repair)
	if err != nil {
		return costFind
	}
	word, id, _ := strings.Cut(r.Place, " ")
	switch word {
	case "wire":
		return costWire
	case "cavity", "crimp":
		return costTerminal
	case "ring":
		return costRing
	case "ground", "post":
		return costStud
	case "splice":
		return costSplice
	case "fuse":
		return partCost("fuse")
	case "component":
		for _, c := range h.Components {
			if c.ID == id {
				return partCost(c.Spec.Kind)
			}
		}
	}
	return costPart
}

// place is one spot on the vehicle: the ids of all that comes into reach once its covers are off.
type place []string

// time is what getting there takes in seconds: the longest of what has not been got at yet.
func (p place) time(h *harness.Harness, accessed map[string]bool) float64 {
	t := 0.0
	for _, id := range p {
		if !accessed[id] {
			t = max(t, accessTime(h, id))
		}
	}
	return t
}

// placesOf lists the spots that the action needs to get at.
func placesOf(h *harness.Harness, act Action) []place {
	switch act := act.(type) {
	case Lead:
		places := placesAt(h, string(act.Point))
		if act.Tool.Grip() == meter.AroundWire {
			return nearest(h, places)
		}
		return places
	case Unplug:
		return placesAt(h, act.Connector)
	case Plug:
		return placesAt(h, act.Connector)
	case FitFuse:
		return placesAt(h, act.Connector)
	case Inspect:
		return placesAt(h, act.Place)
	case Wiggle, Warm, Cool:
		return placesAt(h, provoked(act))
	case Repair:
		if r, err := fault.ParseRepair(act.Repair); err == nil {
			return placesAt(h, r.Place)
		}
	}
	return nil
}

// nearest is the one of several places that is got at in the least time, the first of equals: a clamp goes around either end of a wire.
func nearest(h *harness.Harness, places []place) []place {
	for i := 1; i < len(places); i++ {
		if places[i].time(h, nil) < places[0].time(h, nil) {
			places[0] = places[i]
		}
	}
	return places[:min(len(places), 1)]
}

// placesAt lists the spots that a place in text form lies at: "X1.3.a", "X1", "wire 31b", "component LL", "splice S1 31b".
func placesAt(h *harness.Harness, text string) []place {
	words := strings.Fields(text)
	switch {
	case len(words) == 0 || text == string(harness.Body):
		return nil
	case len(words) == 1:
		return []place{spot(h, owner(words[0]))}
	case words[0] != "wire":
		return []place{spot(h, owner(words[1]))}
	}
	for _, w := range h.Wires {
		if w.ID != words[1] {
			continue
		}
		from, to := owner(string(w.From)), owner(string(w.To))
		if from == to {
			return []place{spot(h, from)}
		}
		return []place{spot(h, from), spot(h, to)}
	}
	return nil
}

// spot is the place of the thing with an id. A component and its connectors are at one place.
func spot(h *harness.Harness, id string) place {
	p := place{id}
	for _, c := range h.Connectors {
		switch {
		case c.ID == id && c.Component != "":
			p = append(p, c.Component)
		case c.Component == id && id != "":
			p = append(p, c.ID)
		}
	}
	return p
}

// owner returns the id of the thing that a point belongs to: connector, ground point, component or splice.
func owner(point string) string {
	id, _, _ := strings.Cut(point, ".")
	return id
}

// reached lists the ids of what the action has opened up, covers off, for the rest of the attempt.
func (t *track) reached(act Action) []string {
	var ids []string
	for _, p := range placesOf(t.h, act) {
		ids = append(ids, p...)
	}
	return ids
}

// accessTime is the time in seconds to get at a thing the first time. Splices have none of their own: opening the loom is
// an action.
func accessTime(h *harness.Harness, id string) float64 {
	for _, c := range h.Connectors {
		if c.ID == id {
			return c.Access
		}
	}
	for _, g := range h.Grounds {
		if g.ID == id {
			return g.Access
		}
	}
	for _, c := range h.Components {
		if c.ID == id {
			return c.Access
		}
	}
	return 0
}

func loomTime(h *harness.Harness, splice string) float64 {
	for _, s := range h.Splices {
		if s.ID == splice {
			return s.Access
		}
	}
	return costFind
}
