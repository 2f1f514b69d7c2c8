package scenarios

import (
	"slices"
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// buildControls reads the controls, makes one for each component that has none of its own, and checks that every
// component can follow its control. Components that move by themselves come in the order of the file, after the
// controls that the file names.
func (b *builder) buildControls() {
	at, timed := map[string]val{}, map[string]bool{}
	for _, e := range b.section("controls") {
		id := e.key.node.Value
		if old, taken := at[id]; taken {
			b.say(e.key, "control %s: is on %s already", quote(id), line(old, e.key))
			continue
		}
		at[id] = e.key
		c := harness.Control{ID: id, Title: b.words(e.value, "title"), Momentary: b.yes(e.value, "momentary"), Spot: b.spotOf(e.value)}
		for _, it := range b.items(b.get(e.value, "positions")) {
			p := scalarText(it)
			if contains(c.Positions, p) {
				b.say(it, "control %s: position %s is listed twice", quote(id), quote(p))
				continue
			}
			c.Positions = append(c.Positions, p)
		}
		c.Shakes, c.Hot = b.among(e.value, "shakes", c), b.among(e.value, "hot", c)
		c.Stands, timed[id] = b.stands(e.value, c), b.get(e.value, "stands").ok()
		b.h.Controls = append(b.h.Controls, c)
	}
	for i := range b.h.Components {
		b.follow(&b.h.Components[i], at)
	}
	for _, c := range b.h.Controls {
		moves := len(c.Shakes) > 0 || len(c.Hot) > 0 || timed[c.ID]
		for _, m := range b.h.Components {
			moves = moves || m.Control == c.ID
		}
		if !moves {
			b.say(at[c.ID], "control %s: moves nothing; name it under control: of a component", quote(c.ID))
		}
	}
}

// among reads a list of a control's positions.
func (b *builder) among(v val, name string, c harness.Control) []string {
	var out []string
	for _, it := range b.items(b.get(v, name)) {
		p := scalarText(it)
		switch {
		case len(c.Positions) == 0:
			b.say(it, "control %s: %s: list its positions first", quote(c.ID), name)
		case !contains(c.Positions, p):
			b.say(it, "control %s: %s: there is no position %s%s", quote(c.ID), name, quote(p), instead(p, c.Positions))
		case contains(out, p):
			b.say(it, "control %s: %s: position %s is listed twice", quote(c.ID), name, quote(p))
		default:
			out = append(out, p)
		}
	}
	return out
}

// stands reads the positions of a control that let the vehicle stand for a time, in the order of the positions.
func (b *builder) stands(v val, c harness.Control) []harness.Stand {
	var out []harness.Stand
	for _, e := range b.entries(b.get(v, "stands")) {
		p := e.key.node.Value
		switch {
		case len(c.Positions) == 0:
			b.say(e.key, "control %s: stands: list its positions first", quote(c.ID))
		case !contains(c.Positions, p):
			b.say(e.key, "control %s: stands: there is no position %s%s", quote(c.ID), quote(p), instead(p, c.Positions))
		case p == c.Positions[0]:
			b.say(e.key, "control %s: stands: %s is its position at rest, to which it comes back; time passes in another one", quote(c.ID), quote(p))
		default:
			if x, complaint := parseQuantity(scalarText(e.value), device.Second); complaint == "" {
				out = append(out, harness.Stand{Position: p, Seconds: x})
			}
		}
	}
	slices.SortFunc(out, func(a, z harness.Stand) int {
		return slices.Index(c.Positions, a.Position) - slices.Index(c.Positions, z.Position)
	})
	for _, p := range b.among(v, "charged", c) {
		k := slices.IndexFunc(out, func(s harness.Stand) bool { return s.Position == p })
		if k < 0 {
			b.say(b.get(v, "charged"), "control %s: charged: %s stands for no time; give it one under stands: {%s: 12 h}", quote(c.ID), quote(p), p)
			continue
		}
		out[k].Charged = true
	}
	return out
}

// follow ties one component to its control.
func (b *builder) follow(m *harness.Component, at map[string]val) {
	part := b.parts[m.ID]
	if !part.known || !part.kind.Table {
		return
	}
	id := scalarText(part.control)
	if id == "" {
		if old, taken := at[m.ID]; taken {
			b.say(part.at, "component %s: there is a control of the same id on %s; write control: %s if that one moves it", quote(m.ID), line(old, part.at), m.ID)
			return
		}
		b.h.Controls = append(b.h.Controls, harness.Control{
			ID: m.ID, Title: m.Title, Positions: positionNames(m.Spec), Momentary: part.kind.Name == "button", Spot: m.Spot,
		})
		at[m.ID] = part.at
		m.Control = m.ID
		return
	}
	var known []string
	for i := range b.h.Controls {
		c := &b.h.Controls[i]
		known = append(known, c.ID)
		if c.ID != id {
			continue
		}
		m.Control = id
		own := positionNames(m.Spec)
		if len(c.Positions) == 0 {
			c.Positions = own
		}
		if part.kind.Name == "button" {
			c.Momentary = true
		}
		for _, p := range c.Positions {
			if !contains(own, p) {
				b.say(part.control, "component %s: control %s has a position %s, which this component lacks%s", quote(m.ID), quote(id), quote(p), instead(p, own))
			}
		}
		return
	}
	b.say(part.control, "component %s: there is no control %s%s", quote(m.ID), quote(id), instead(id, known))
}

func positionNames(s device.Spec) []string {
	out := make([]string, len(s.Positions))
	for i, p := range s.Positions {
		out[i] = p.Name
	}
	return out
}

// buildCheck reads the normal-operation check.
func (b *builder) buildCheck() {
	for _, v := range b.lines("check") {
		var l harness.CheckLine
		for _, e := range b.entries(b.get(v, "set")) {
			if s, ok := b.setting(e); ok {
				l.Set = append(l.Set, s)
			}
		}
		for _, e := range b.entries(b.get(v, "expect")) {
			if x, ok := b.expectation(e); ok {
				l.Expect = append(l.Expect, x)
			}
		}
		if x := b.get(v, "expect"); x.ok() && len(b.entries(x)) == 0 {
			b.say(x, "check: expects nothing; name a component and what it should be noticed doing, such as {LL: lit}")
		}
		l.Text = b.words(v, "text")
		if l.Text == "" {
			l.Text = b.sentence(l)
		}
		b.h.Check = append(b.h.Check, l)
	}
	if len(b.h.Check) == 0 {
		b.say(b.root, "harness: the key check is missing; a harness needs a normal-operation check of at least one line")
	}
}

func (b *builder) setting(e entry) (harness.Setting, bool) {
	id, position := e.key.node.Value, scalarText(e.value)
	var known []string
	for _, c := range b.h.Controls {
		known = append(known, c.ID)
		if c.ID != id {
			continue
		}
		if !contains(c.Positions, position) && len(c.Positions) > 0 {
			b.say(e.value, "check: control %s has no position %s%s", quote(id), quote(position), instead(position, c.Positions))
			return harness.Setting{}, false
		}
		return harness.Setting{Control: id, Position: position}, true
	}
	hint := instead(id, known)
	if p, ok := b.parts[id]; ok {
		hint = "; component " + quote(id) + " is not moved by the operator"
		if c := b.h.Components[p.index].Control; c != "" {
			hint = "; " + id + " is moved by the control " + quote(c)
		}
	}
	b.say(e.key, "check: there is no control %s%s", quote(id), hint)
	return harness.Setting{}, false
}

func (b *builder) expectation(e entry) (harness.Expect, bool) {
	id, word := e.key.node.Value, scalarText(e.value)
	p, ok := b.parts[id]
	if !ok {
		var known []string
		for _, c := range b.h.Components {
			if len(b.parts[c.ID].kind.Words) > 0 {
				known = append(known, c.ID)
			}
		}
		b.say(e.key, "check: there is no component %s%s", quote(id), instead(id, known))
		return harness.Expect{}, false
	}
	switch {
	case !p.known:
		return harness.Expect{}, false
	case len(p.kind.Words) == 0:
		b.say(e.key, "check: nothing is noticed of %s (%s)", quote(id), p.kind.Title)
		return harness.Expect{}, false
	case !contains(p.kind.Words, word):
		b.say(e.value, "check: %s (%s) is never %s%s", quote(id), p.kind.Title, quote(word), instead(word, p.kind.Words))
		return harness.Expect{}, false
	}
	return harness.Expect{Component: id, Word: word}, true
}

// sentence makes the text of a check line: "Key switch on, Work lamp switch on: Left work lamp lit, Right work lamp lit".
func (b *builder) sentence(l harness.CheckLine) string {
	var set, see []string
	for _, s := range l.Set {
		for _, c := range b.h.Controls {
			if c.ID == s.Control {
				set = append(set, c.Title+" "+s.Position)
			}
		}
	}
	for _, x := range l.Expect {
		see = append(see, b.h.Components[b.parts[x.Component].index].Title+" "+x.Word)
	}
	if len(set) == 0 {
		set = []string{"Everything at rest"}
	}
	return strings.Join(set, ", ") + ": " + strings.Join(see, ", ")
}
