package scenarios

import (
	"strconv"
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Bench times, in seconds, for things whose file gives none: taking off what hides them (common practice, no source).
const (
	plugAccess   = 20.0  // a component's own plug, no cover
	fuseAccess   = 10.0  // the lid of a fuse box
	inlineAccess = 30.0  // an in-line connector under the loom's clips
	groundAccess = 30.0  // a stud on body or frame
	spliceAccess = 300.0 // tape off the loom, and later on again
)

// addComponent reads one component and the connector that it plugs into.
func (b *builder) addComponent(e entry) {
	id := e.key.node.Value
	if !b.take(e.key, "component") {
		return
	}
	p := part{at: e.value, index: len(b.h.Components), plug: -1, control: b.get(e.value, "control")}
	p.kind, p.known = b.forms.kind(b.words(e.value, "kind"))
	c := harness.Component{
		ID: id, Title: b.words(e.value, "title"), Where: b.words(e.value, "where"), Spot: b.spotOf(e.value),
		Spec: device.Spec{Kind: p.kind.Name, Values: b.values(e.value, p.kind)},
	}
	c.Access = b.amount(e.value, "access", device.Second, plugAccess)
	if p.kind.Table {
		c.Spec.Positions = b.positions(e.value, id)
	}
	if p.kind.Logic {
		c.Spec.Logic = b.logic(e.value, id)
		c.Spec.Terminals = c.Spec.Logic.Terminals()
	} else {
		c.Spec.Terminals = b.terminals(e.value, id, p.kind, c.Spec.Positions)
	}
	if p.known && p.kind.Table {
		b.checkJoins(e.value, id, p.kind, c.Spec)
	}
	b.h.Components = append(b.h.Components, c)
	if p.known && p.kind.Plugged {
		p.plug = len(b.h.Connectors)
		b.h.Connectors = append(b.h.Connectors, b.plugOf(e.value, c, p.kind))
	}
	b.parts[id] = p
}

// ratedVolts is the key under which every kind has its rated voltage.
const ratedVolts = "volts"

// values reads the numbers of a kind; the rated voltage, where not given, is the vehicle's.
func (b *builder) values(v val, kind device.Kind) map[string]float64 {
	out := map[string]float64{}
	for _, p := range kind.Params {
		if p.Extra && !b.get(v, p.Key).ok() {
			continue
		}
		fallback := p.Default
		if p.Key == ratedVolts && p.Dim == device.Volt && !p.Required {
			fallback = b.h.Vehicle.Volts
		}
		out[p.Key] = b.amount(v, p.Key, p.Dim, fallback)
	}
	return out
}

// positions reads a table of positions. A button has two of its own when the file gives none.
func (b *builder) positions(v val, id string) []device.Position {
	var out []device.Position
	for _, e := range b.entries(b.get(v, "positions")) {
		p := device.Position{Name: e.key.node.Value}
		nothing := false
		for _, it := range b.items(e.value) {
			word := scalarText(it)
			if word == "nothing" {
				nothing = true
				continue
			}
			terminals := strings.Split(word, "-")
			for i := 0; i+1 < len(terminals); i++ {
				if terminals[i] == terminals[i+1] {
					b.say(it, "component %s: position %s joins terminal %s to itself", quote(id), quote(p.Name), terminals[i])
					continue
				}
				p.Joins = append(p.Joins, [2]string{terminals[i], terminals[i+1]})
			}
		}
		if nothing && len(p.Joins) > 0 {
			b.say(e.value, "component %s: position %s cannot join nothing and something", quote(id), quote(p.Name))
		}
		out = append(out, p)
	}
	return out
}

// terminals returns the names of a component's terminals: the kind's, the file's, or those named in the positions.
func (b *builder) terminals(v val, id string, kind device.Kind, positions []device.Position) []string {
	if !kind.OwnTerminals {
		out := make([]string, len(kind.Terminals))
		for i, t := range kind.Terminals {
			out[i] = t.Name
		}
		return out
	}
	var out []string
	if given := b.get(v, "terminals"); given.ok() {
		for _, it := range b.items(given) {
			t := scalarText(it)
			if contains(out, t) {
				b.say(it, "component %s: terminal %s is listed twice", quote(id), quote(t))
				continue
			}
			out = append(out, t)
		}
		return out
	}
	for _, p := range positions {
		for _, j := range p.Joins {
			for _, t := range j {
				if !contains(out, t) {
					out = append(out, t)
				}
			}
		}
	}
	return out
}

// checkJoins looks whether the table of positions and the terminals fit together.
func (b *builder) checkJoins(v val, id string, kind device.Kind, spec device.Spec) {
	table := b.get(v, "positions")
	if !table.ok() {
		b.say(v, "component %s: the key positions is missing; it wants each position and the terminals that touch in it, such as {off: nothing, on: 1-2}", quote(id))
		return
	}
	if len(spec.Positions) < 2 {
		b.say(table, "component %s: positions: needs at least 2", quote(id))
	}
	if len(spec.Terminals) < 2 {
		b.say(table, "component %s: positions: none of them joins two terminals", quote(id))
	}
	for _, e := range b.entries(table) {
		for _, it := range b.items(e.value) {
			word := scalarText(it)
			if word == "nothing" || joinRule().check(word) != "" {
				continue
			}
			for _, t := range strings.Split(word, "-") {
				if !contains(spec.Terminals, t) {
					b.say(it, "component %s: position %s joins terminal %s, which it does not have%s", quote(id), quote(e.key.node.Value), quote(t), instead(t, spec.Terminals))
				}
			}
		}
	}
}

// plugOf makes the connector that a component plugs into. It carries the component's id.
func (b *builder) plugOf(v val, c harness.Component, kind device.Kind) harness.Connector {
	mount := harness.Mount(b.words(v, "mount"))
	if mount == "" {
		mount = usualMount(kind)
	}
	title := c.Title + map[harness.Mount]string{harness.Plug: ", plug", harness.Socket: ", socket", harness.Holder: ", holder"}[mount]
	access := plugAccess
	if mount == harness.Holder {
		access = fuseAccess
	}
	conn := harness.Connector{
		ID: c.ID, Title: title, Mount: mount, Component: c.ID,
		Ohms: b.amount(v, "plug-contact", device.Ohm, 0), Where: c.Where, Spot: c.Spot,
		Access: b.amount(v, "access", device.Second, access),
	}
	given := b.get(v, "cavities")
	if !given.ok() {
		for _, t := range c.Spec.Terminals {
			conn.Cavities = append(conn.Cavities, harness.Cavity{Number: t, Terminal: t})
		}
		return conn
	}
	used := map[string]bool{}
	for _, e := range b.entries(given) {
		t := scalarText(e.value)
		switch {
		case !contains(c.Spec.Terminals, t):
			b.say(e.value, "component %s: cavity %s leads to terminal %s, which it does not have%s", quote(c.ID), e.key.node.Value, quote(t), instead(t, c.Spec.Terminals))
		case used[t]:
			b.say(e.value, "component %s: cavity %s leads to terminal %s, as another cavity does already", quote(c.ID), e.key.node.Value, quote(t))
		}
		used[t] = true
		conn.Cavities = append(conn.Cavities, harness.Cavity{Number: e.key.node.Value, Terminal: t})
	}
	return conn
}

// usualMount is how a plugged kind meets its wires when the file does not say.
func usualMount(kind device.Kind) harness.Mount {
	switch kind.Name {
	case "fuse", "large-fuse":
		return harness.Holder
	case "relay":
		return harness.Socket
	}
	return harness.Plug
}

// addConnector reads one in-line connector.
func (b *builder) addConnector(e entry) {
	id := e.key.node.Value
	if !b.take(e.key, "connector") {
		return
	}
	c := harness.Connector{
		ID: id, Title: b.words(e.value, "title"), Mount: harness.InLine,
		Ohms: b.amount(e.value, "contact", device.Ohm, 0), Where: b.words(e.value, "where"), Spot: b.spotOf(e.value),
		Access: b.amount(e.value, "access", device.Second, inlineAccess),
	}
	if c.Title == "" {
		c.Title = "Connector " + id
	}
	for _, it := range b.items(b.get(e.value, "cavities")) {
		number := scalarText(it)
		for _, old := range c.Cavities {
			if old.Number == number {
				b.say(it, "connector %s: cavity %s is listed twice", quote(id), number)
			}
		}
		c.Cavities = append(c.Cavities, harness.Cavity{Number: number})
	}
	b.inline[id] = &c
	b.h.Connectors = append(b.h.Connectors, c)
}

// spread gives a spot to everything whose file gives none: connectors take their component's, the rest are spaced out along
// the vehicle in the order of the file, so that nothing hides behind another.
func (b *builder) spread() {
	var open []*harness.Spot
	for i := range b.h.Components {
		if b.h.Components[i].Spot == noSpot {
			open = append(open, &b.h.Components[i].Spot)
		}
	}
	for i := range b.h.Connectors {
		if c := &b.h.Connectors[i]; c.Component == "" && c.Spot == noSpot {
			open = append(open, &c.Spot)
		}
	}
	for i := range b.h.Splices {
		if b.h.Splices[i].Spot == noSpot {
			open = append(open, &b.h.Splices[i].Spot)
		}
	}
	for i := range b.h.Grounds {
		if b.h.Grounds[i].Spot == noSpot {
			open = append(open, &b.h.Grounds[i].Spot)
		}
	}
	const left, width, rows = 8.0, 84.0, 3
	for i, s := range open {
		along := 0.5
		if len(open) > 1 {
			along = float64(i) / float64(len(open)-1)
		}
		*s = harness.Spot{X: left + float64(width*along), Y: float64(30 + 20*(i%rows))}
	}
	for i := range b.h.Connectors {
		if c := &b.h.Connectors[i]; c.Component != "" {
			c.Spot = b.h.Components[b.parts[c.Component].index].Spot
		}
	}
	for i := range b.h.Controls {
		c := &b.h.Controls[i]
		for _, m := range b.h.Components {
			if c.Spot == noSpot && m.Control == c.ID {
				c.Spot = m.Spot
			}
		}
		if c.Spot == noSpot {
			c.Spot = harness.Spot{X: 50, Y: 50}
		}
	}
}

// line names a place in messages: "line 12", with the file when it is another one.
func line(of, from val) string {
	if of.file != from.file {
		return of.file + " line " + strconv.Itoa(of.node.Line)
	}
	return "line " + strconv.Itoa(of.node.Line)
}
