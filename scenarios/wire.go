package scenarios

import (
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// addWire reads one wire.
func (b *builder) addWire(e entry) {
	id := e.key.node.Value
	if old, taken := b.wires[id]; taken {
		b.say(e.key, "wire %s: is on %s already; every wire needs a circuit number of its own, such as %sa and %sb", quote(id), line(old, e.key), id, id)
		b.lost = true
		return
	}
	b.wires[id] = e.key
	w := harness.Wire{
		ID:      id,
		Metres:  b.amount(e.value, "length", device.Metre, 0),
		Size:    b.amount(e.value, "size", device.SquareMM, 0),
		Colour:  strings.ToUpper(b.words(e.value, "colour")),
		Bundle:  b.words(e.value, "bundle"),
		Flexing: b.yes(e.value, "flexing"),
	}
	index := len(b.h.Wires)
	w.From = b.end(e.value, "from", id, index)
	w.To = b.end(e.value, "to", id, index)
	if w.From != "" && w.From == w.To {
		b.say(b.get(e.value, "to"), "wire %s: both ends are at %s", quote(id), w.From)
	}
	b.h.Wires = append(b.h.Wires, w)
}

// end works out where a wire ends and claims the cavity; it returns "" when the end leads nowhere, which is recorded.
func (b *builder) end(v val, key, wire string, index int) harness.Point {
	at := b.get(v, key)
	word := scalarText(at)
	if word == "" || endRule().check(word) != "" {
		b.lost = true
		return ""
	}
	p, complaint := b.place(word)
	b.lost = b.lost || p == ""
	if complaint != "" {
		b.say(at, "wire %s: %s: %s: %s", quote(wire), key, quote(word), complaint)
		return ""
	}
	if strings.Count(string(p), ".") < 2 {
		return p // studs and splices take any number of wires
	}
	if other, used := b.plugged[string(p)]; used && other != index {
		b.say(at, "wire %s: %s: cavity half %s already holds wire %s (%s); join wires in a splice", quote(wire), key, p,
			quote(b.h.Wires[other].ID), line(b.wires[b.h.Wires[other].ID], at))
		b.lost = true
		return p
	}
	b.plugged[string(p)] = index
	return p
}

// place turns a wire end as written into a point. The complaint is "" when that is possible.
func (b *builder) place(word string) (p harness.Point, complaint string) {
	parts := strings.Split(word, ".")
	head := parts[0]
	if strings.EqualFold(head, string(harness.Body)) {
		return "", "a wire ends on a ground point, not on the body itself; describe the stud under grounds"
	}
	switch b.nouns[head] {
	case "splice", "ground point":
		if len(parts) > 1 {
			return "", "a " + b.nouns[head] + " has no terminals; write " + head
		}
		return harness.Point(head), ""
	case "connector":
		return placeInline(b.inline[head], parts)
	case "component":
		return b.placePart(parts)
	}
	return "", "there is no component, connector, splice or ground point " + quote(head) + instead(head, b.ids())
}

func placeInline(c *harness.Connector, parts []string) (harness.Point, string) {
	numbers := cavityNumbers(c.Cavities)
	if len(parts) == 1 {
		return "", "which cavity, and which half? Write " + parts[0] + "." + firstOf(numbers, "1") + ".a for the one and .b for the other"
	}
	if !contains(numbers, parts[1]) {
		return "", "connector " + quote(c.ID) + " has no cavity " + quote(parts[1]) + instead(parts[1], numbers)
	}
	if len(parts) == 2 {
		return "", "which half of the in-line connector? Write " + parts[0] + "." + parts[1] + ".a or " + parts[0] + "." + parts[1] + ".b"
	}
	if parts[2] != "a" && parts[2] != "b" {
		return "", "a connector has the halves a and b, but no " + quote(parts[2])
	}
	return harness.CavityPoint(parts[0], parts[1], parts[2]), ""
}

func (b *builder) placePart(parts []string) (harness.Point, string) {
	c := b.parts[parts[0]]
	component := b.h.Components[c.index]
	if !c.known {
		return "", "" // its kind is unknown, which was said; nothing can be told about its terminals
	}
	if c.plug < 0 {
		if len(parts) == 1 {
			return "", "which terminal? " + parts[0] + " has " + andList(component.Spec.Terminals)
		}
		if !contains(component.Spec.Terminals, parts[1]) {
			return "", parts[0] + " has no terminal " + quote(parts[1]) + instead(parts[1], component.Spec.Terminals)
		}
		if len(parts) == 3 {
			return "", "a stud has no halves; write " + parts[0] + "." + parts[1]
		}
		return harness.Point(parts[0] + "." + parts[1]), ""
	}
	plug := b.h.Connectors[c.plug]
	numbers := cavityNumbers(plug.Cavities)
	if len(parts) == 1 {
		return "", "which terminal? " + parts[0] + " has " + andList(numbers)
	}
	if !contains(numbers, parts[1]) {
		return "", parts[0] + " has no terminal " + quote(parts[1]) + instead(parts[1], numbers)
	}
	if len(parts) == 3 && parts[2] != "a" {
		return "", "half b is the component's own; write " + parts[0] + "." + parts[1]
	}
	return harness.CavityPoint(parts[0], parts[1], "a"), ""
}

func cavityNumbers(cavities []harness.Cavity) []string {
	out := make([]string, len(cavities))
	for i, c := range cavities {
		out[i] = c.Number
	}
	return out
}

func firstOf(words []string, fallback string) string {
	if len(words) == 0 {
		return fallback
	}
	return words[0]
}
