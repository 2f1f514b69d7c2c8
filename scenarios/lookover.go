package scenarios

import (
	"strconv"
	"strings"

	"faultloom/sim/harness"
)

// lookOver checks what no single entry can be blamed for: a supply, a ground, wires that lead on.
func (b *builder) lookOver() {
	b.lookForSupply()
	if !b.lost {
		b.lookAtSplices()
		b.lookAtCavities()
		b.lookAtTerminals()
	}
	b.lookAtCoverage()
	if len(b.bad) > 0 {
		return
	}
	// What the harness itself would refuse and nothing above has caught is a gap in the checks above; it is reported all
	// the same, so that no harness leaves here that cannot run.
	for _, err := range b.h.Validate() {
		b.say(b.root, "harness: %v", err)
	}
}

func (b *builder) lookForSupply() {
	hasBattery := false
	for _, c := range b.h.Components {
		if c.Spec.Kind != "battery" {
			continue
		}
		hasBattery = true
		if v, ok := c.Spec.Values[ratedVolts]; ok && b.vehicle.ok() && v != b.h.Vehicle.Volts {
			b.say(b.parts[c.ID].at, "component %s: a battery of %g V in a vehicle of %g V", quote(c.ID), v, b.h.Vehicle.Volts)
		}
	}
	if !hasBattery {
		b.say(b.root, "harness: has no battery; add a component of kind battery")
	}
	if len(b.h.Grounds) == 0 {
		b.say(b.root, "harness: has no ground point; describe the stud that the battery's negative post is wired to under grounds")
	}
	if len(b.h.Wires) == 0 {
		b.say(b.root, "harness: has no wires")
	}
}

// endsAt counts the wire ends at each point.
func (b *builder) endsAt() map[harness.Point]int {
	n := map[harness.Point]int{}
	for _, w := range b.h.Wires {
		n[w.From]++
		n[w.To]++
	}
	return n
}

func (b *builder) lookAtSplices() {
	ends := b.endsAt()
	for _, s := range b.h.Splices {
		if n := ends[harness.Point(s.ID)]; n < 3 {
			b.say(b.taken[s.ID], "splice %s: joins %s; a splice joins three or more (two wires in a row are one wire, or meet in a connector)", quote(s.ID), countWires(n))
		}
	}
	for _, g := range b.h.Grounds {
		if ends[harness.Point(g.ID)] == 0 {
			b.say(b.taken[g.ID], "ground point %s: no wire ends on it", quote(g.ID))
		}
	}
}

func countWires(n int) string {
	if n == 1 {
		return "1 wire"
	}
	return strconv.Itoa(n) + " wires"
}

// lookAtCavities finds wires that end in the air: in an in-line connector with nothing on the other side.
func (b *builder) lookAtCavities() {
	for i := range b.h.Connectors {
		c := &b.h.Connectors[i]
		if c.Mount != harness.InLine {
			continue
		}
		wired := false
		for _, cav := range c.Cavities {
			_, a := b.plugged[string(harness.CavityPoint(c.ID, cav.Number, "a"))]
			_, z := b.plugged[string(harness.CavityPoint(c.ID, cav.Number, "b"))]
			wired = wired || a || z
			if a == z {
				continue
			}
			has, lacks := "a", "b"
			if z {
				has, lacks = "b", "a"
			}
			w := b.h.Wires[b.plugged[string(harness.CavityPoint(c.ID, cav.Number, has))]]
			b.say(b.wires[w.ID], "wire %s: ends in the air: nothing is in %s.%s.%s on the other side of the connector", quote(w.ID), c.ID, cav.Number, lacks)
		}
		if !wired {
			b.say(b.taken[c.ID], "connector %s: no wire ends in it", quote(c.ID))
		}
	}
}

// lookAtTerminals finds components that no current can pass, because fewer than two of their terminals are wired.
func (b *builder) lookAtTerminals() {
	ends := b.endsAt()
	for _, c := range b.h.Components {
		part := b.parts[c.ID]
		if !part.known {
			continue
		}
		var bare []string
		wired := 0
		count := func(name string, p harness.Point) {
			if ends[p] > 0 {
				wired++
			} else {
				bare = append(bare, name)
			}
		}
		if part.plug < 0 {
			for _, t := range c.Spec.Terminals {
				count(t, harness.Point(c.ID+"."+t))
			}
		} else {
			for _, cav := range b.h.Connectors[part.plug].Cavities {
				count(cav.Number, harness.CavityPoint(c.ID, cav.Number, "a"))
			}
		}
		if wired < 2 {
			b.say(b.taken[c.ID], "component %s: current needs a way in and a way out, but %s wired (nothing ends at %s)",
				quote(c.ID), countWord0(wired), strings.Join(bare, ", "))
		}
	}
}

func countWord0(n int) string {
	if n == 0 {
		return "no terminal is"
	}
	return "only one terminal is"
}

// lookAtCoverage finds a check that looks at nothing: a position of a control that the check never uses cannot be judged.
func (b *builder) lookAtCoverage() {
	if len(b.h.Check) == 0 {
		return
	}
	used := map[string]bool{}
	for _, l := range b.h.Check {
		for _, s := range l.Set {
			used[s.Control] = true
		}
	}
	for _, c := range b.h.Controls {
		if !used[c.ID] && len(b.bad) == 0 {
			b.say(b.root, "check: no line ever moves the control %s; set it in at least one", quote(c.ID))
		}
	}
}
