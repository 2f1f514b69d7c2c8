package bench

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// placeCard shows the thing that was chosen on the sheet: what it is, where it is, and what can be done there now.
func (p *pen) placeCard(r draw.Rect) {
	m := p.m
	p.part = partPlace
	// The head stays where it is while the rest is scrolled, so that the card can be closed from anywhere; a long title in large
	// letters on a low card would leave too little for the rest.
	const least = 2.0 / 3
	pinned := false
	if !m.object.none() {
		if rest := r.H - p.placeHeadHeight(r.W); rest >= r.H*least {
			r, pinned = p.placeHead(r), true
		}
	}
	p.scroll("place", r, func(c *column) {
		if m.object.none() {
			c.label("Place")
			c.body("Choose a thing on the sheet: a connector, a wire, a ground, a fuse. Its card opens here.")
			c.gap(6)
			c.soft("Drag the sheet to move it; turn the wheel or press + and − to zoom. With a lead in hand, choose the point it goes to.")
			return
		}
		if !pinned {
			c.y = p.placeHead(draw.Rect{X: r.X, Y: c.y - p.th.Space.Pad*0.4, W: r.W, H: p.placeHeadHeight(r.W)}).Y
		}
		p.placeFacts(c)
		p.placeActions(c)
		switch m.object.kind {
		case "connector":
			p.connectorCard(c)
		case "wire":
			p.wireCard(c)
		case "splice":
			p.spliceCard(c)
		case "component":
			p.componentCard(c)
		default:
			p.leads(c, m.pointsOf(m.object)...)
		}
		if p.form != wide && m.object.kind != "wire" && m.object.kind != "body" { // else the vehicle is in sight, with a ring there
			c.rule()
			c.label("Where it is on the vehicle")
			p.outline(c, p.outlineHeight(c.w))
		}
	})
}

// placeHead sets the card's title with the button that closes the card at the top of r, and returns what is left of r.
func (p *pen) placeHead(r draw.Rect) draw.Rect {
	m := p.m
	side, pad := p.touch, p.th.Space.Pad*0.8
	w, high := p.placeTitle(r.W)
	head, rest := r.CutTop(p.placeHeadHeight(r.W))
	p.text(draw.Point{X: head.X + pad, Y: head.Y + pad*0.5 + max(0, (side-high)/2)}, m.title(m.object), w, p.placeTitleStyle())
	p.button(draw.Rect{X: head.MaxX() - pad - side, Y: head.Y + pad*0.5, W: side, H: side}, btn{id: "place/close", label: "×", say: "Close the card", plain: true, act: m.closeCard})
	return rest
}

func (p *pen) placeTitleStyle() draw.TextStyle { return p.th.Text(p.th.Type.Lead).As(draw.Bold) }

// placeTitle is the width that a card of width w has for its title, and how high the title is then.
func (p *pen) placeTitle(w float64) (width, high float64) {
	st := p.placeTitleStyle()
	width = w - p.th.Space.Pad*1.6 - p.touch - 6
	return width, float64(len(draw.Wrap(p.m.title(p.m.object), st.Face, st.Size, width))) * draw.LineHeight(st.Face, st.Size)
}

// placeHeadHeight is how high the head of a card of width w is.
func (p *pen) placeHeadHeight(w float64) float64 {
	_, high := p.placeTitle(w)
	return max(p.touch, high) + p.th.Space.Pad*0.56
}

// placeFacts tells where the thing is and how long it takes to get at it.
func (p *pen) placeFacts(c *column) {
	m := p.m
	if where := m.where(m.object); where != "" {
		c.soft(where)
	}
	if s, ok := m.access(m.object); ok {
		c.soft("To get at it the first time takes " + timeWords(s) + ".")
	}
	for _, s := range m.seenHere(m.object) {
		x, w := c.x, c.w
		p.th.Mark(p.l, draw.Point{X: c.x + 7*p.k, Y: c.y + draw.LineHeight(draw.Regular, p.th.Type.Body)/2}, 11*p.k, draw.Caution)
		c.x, c.w = x+20*p.k, w-20*p.k
		c.body("Seen: " + s + ".")
		c.x, c.w = x, w
	}
	c.gap(4)
}

// where tells where a thing is on the vehicle.
func (m *Model) where(o object) string {
	h := m.job.Harness
	switch o.kind {
	case "connector":
		if c := m.connector(o.id); c != nil {
			return c.Where
		}
	case "component":
		if c := m.component(o.id); c != nil {
			return c.Where
		}
	case "splice":
		for _, s := range h.Splices {
			if s.ID == o.id {
				return "in the loom" + after(": ", s.Where)
			}
		}
	case "ground":
		for _, g := range h.Grounds {
			if g.ID == o.id {
				return g.Where
			}
		}
	}
	return ""
}

func after(sep, s string) string {
	if s == "" {
		return ""
	}
	return sep + s
}

// access is the bench time in seconds to get at a thing that was not got at yet.
func (m *Model) access(o object) (float64, bool) {
	if m.st.Accessed[o.id] {
		return 0, false
	}
	h := m.job.Harness
	s := 0.0
	switch o.kind {
	case "connector":
		if c := m.connector(o.id); c != nil {
			s = c.Access
		}
	case "component":
		if c := m.component(o.id); c != nil {
			s = c.Access
		}
	case "splice":
		for _, x := range h.Splices {
			if x.ID == o.id {
				s = x.Access
			}
		}
	case "ground":
		for _, g := range h.Grounds {
			if g.ID == o.id {
				s = g.Access
			}
		}
	}
	return s, s > 0
}

func (p *pen) connectorCard(c *column) {
	m := p.m
	con := m.connector(m.object.id)
	if con == nil {
		return
	}
	parted := m.st.Unplugged[con.ID]
	state := map[bool]string{false: "plugged together", true: "unplugged"}[parted]
	switch con.Mount {
	case harness.Socket:
		state = map[bool]string{false: "seated in its socket", true: "pulled out"}[parted]
	case harness.Holder:
		state = m.fuseState(con, parted)
	}
	c.body(upper(mountWords(con.Mount)) + ", " + state + ".")
	c.gap(5)
	p.face(c, con)
	p.leads(c, m.shownPoints(con)...)
}

func mountWords(mt harness.Mount) string {
	switch mt {
	case harness.InLine:
		return "in-line connector"
	case harness.Plug:
		return "plug"
	case harness.Socket:
		return "socket"
	case harness.Holder:
		return "fuse holder"
	}
	return string(mt)
}

func (m *Model) fuseState(con *harness.Connector, parted bool) string {
	f, ok := m.st.Fuses[con.ID]
	if !ok {
		return map[bool]string{false: "fuse fitted", true: "fuse pulled"}[parted]
	}
	s := "fuse fitted"
	if parted || !f.Fitted {
		s = "fuse pulled"
	}
	if f.Amps > 0 {
		s = fmt.Sprintf("%s A ", number(f.Amps)) + s
	}
	if f.Looked {
		s += map[bool]string{true: ", its element melted", false: ", its element whole"}[f.Blown]
	}
	return s
}

// number writes a value as people write ratings and lengths.
func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func (m *Model) inspect(place string) { m.do(attempt.Inspect{Place: place}) }

// shownPoints are the points of a connector whose leads are offered: those of the cavity chosen, else of the first.
func (m *Model) shownPoints(con *harness.Connector) []harness.Point {
	cav := m.cavity(con)
	if cav == "" {
		return nil
	}
	return []harness.Point{harness.CavityPoint(con.ID, cav, "a"), harness.CavityPoint(con.ID, cav, "b")}
}

// cavity is the number of the cavity chosen in a connector.
func (m *Model) cavity(con *harness.Connector) string {
	if i, ok := m.infos[m.point]; ok && i.Connector == con.ID {
		return i.Cavity
	}
	if len(con.Cavities) == 1 {
		return con.Cavities[0].Number
	}
	return ""
}

// why tells why a lead cannot touch a point now, "" if it can.
func (m *Model) why(at harness.Point) string {
	if r, ok := m.reach[at]; ok && !r.Ok {
		return r.Why
	}
	return ""
}

// leads offers the leads of the tool in use at some points.
func (p *pen) leads(c *column, points ...harness.Point) {
	m := p.m
	if len(points) == 0 || len(m.job.Exercise.Tools) == 0 {
		return
	}
	tools := m.pointTools()
	if len(tools) == 0 {
		return
	}
	tool := m.tool
	if !slices.Contains(tools, tool) {
		tool = tools[0]
	}
	if len(tools) > 1 && !m.st.Closed {
		var bs []btn
		for _, t := range tools {
			bs = append(bs, btn{id: "tool/" + string(t), label: toolName(t), say: "Use the " + t.Title(), role: Choice, small: true, on: tool == t, act: func() { m.tool = t }})
		}
		c.row(bs...)
	}
	for _, at := range points {
		info := m.infos[at]
		c.para(m.pointTitle(info), p.th.Text(p.th.Type.Body).As(draw.Bold))
		if s := m.wiresAt(info); s != "" {
			c.soft(s)
		}
		why := m.why(at)
		if why != "" {
			c.para(upper(why)+".", p.th.Text(p.th.Type.Caption).In(p.th.Caution))
			c.gap(5)
			continue
		}
		if m.st.Closed {
			continue
		}
		c.gap(2)
		var bs []btn
		for end := range ends(tool) {
			e := leadEnd{tool, end}
			on := m.st.Leads[tool][end] == string(at)
			b := btn{
				id: "put/" + string(at) + "/" + string(tool) + "/" + itoa(end), label: upper(shortName(e)) + " here",
				say: upper(tool.Ends()[end]) + " to " + string(at), mark: p.leadColour(e), main: m.armed != nil && *m.armed == e && !on,
				act: func() { m.put(e, at) },
			}
			if on {
				b.label, b.say, b.on = upper(shortName(e))+" off", upper(tool.Ends()[end])+" off "+string(at), true
				b.act = func() { m.lift(e) }
			}
			bs = append(bs, b)
		}
		c.row(bs...)
		c.gap(3)
	}
}

// pointTools lists the tools of the exercise whose ends go to points.
func (m *Model) pointTools() []meter.Tool {
	var out []meter.Tool
	for _, t := range m.job.Exercise.Tools {
		if t.Grip() == meter.AtPoint {
			out = append(out, t)
		}
	}
	return out
}

// pointTitle names a point on its card.
func (m *Model) pointTitle(i harness.Info) string {
	if i.Title == "" {
		return string(i.Point)
	}
	return string(i.Point) + "  " + i.Title
}

// wiresAt tells which wires end at a point.
func (m *Model) wiresAt(i harness.Info) string {
	var out []string
	for _, id := range i.Wires {
		if w := m.wire(id); w != nil {
			name, err := draw.WireName(w.Colour)
			if err != nil {
				name = w.Colour
			}
			out = append(out, fmt.Sprintf("wire %s, %s (%s), %s mm²", w.ID, w.Colour, name, number(w.Size)))
		}
	}
	return strings.Join(out, "; ")
}

func (p *pen) wireCard(c *column) {
	m := p.m
	w := m.wire(m.object.id)
	if w == nil {
		return
	}
	name, err := draw.WireName(w.Colour)
	if err != nil {
		name = w.Colour
	}
	a, b := m.job.Harness.Ends(*w)
	c.body(fmt.Sprintf("%s (%s), %s mm², %s m, from %s to %s.", w.Colour, name, number(w.Size), number(w.Metres), a, b))
	if w.Flexing {
		c.soft("It passes a moving part.")
	}
	if w.Bundle != "" {
		c.soft("Bundle: " + w.Bundle)
	}
	c.gap(4)
	p.gripButton(c, meter.Clamp, meter.WirePlace(w.ID))
	p.leads(c, a, b)
	c.row(
		btn{id: "go/" + string(a), label: "Go to " + string(a), small: true, act: func() { m.goTo(a) }},
		btn{id: "go/" + string(b), label: "Go to " + string(b), small: true, act: func() { m.goTo(b) }},
	)
}

// goTo opens the card of a point's thing and brings it into sight.
func (m *Model) goTo(at harness.Point) {
	m.openCard(m.objectOf(at), at)
	if m.sheet != nil {
		m.panTo(m.sheet.Where(at))
	}
}

func (p *pen) spliceCard(c *column) {
	m := p.m
	id := m.object.id
	open := m.st.OpenLooms[id]
	if open {
		c.body("The loom is open here.")
	} else {
		c.body("Inside the loom; the loom is closed.")
	}
	c.gap(4)
	p.leads(c, harness.Point(id))
}

func (p *pen) componentCard(c *column) {
	m := p.m
	comp := m.component(m.object.id)
	if comp == nil {
		return
	}
	if s := specWords(comp); s != "" {
		c.body(s)
	}
	if m.noticed(comp.ID) {
		p.effect(c, "Noticed now", m.st.Effects[comp.ID])
	}
	c.gap(4)
	if m.isUnit(comp.ID) {
		p.gripButton(c, meter.Reader, meter.UnitPlace(comp.ID))
	}
	if con := m.connectorOf(comp.ID); con != nil {
		c.full(btn{id: "to/" + con.ID, label: "Its " + mountWords(con.Mount) + " " + con.ID, act: func() { m.openCard(object{"connector", con.ID}, "") }})
	}
	p.leads(c, m.pointsOf(m.object)...)
}

// specWords writes a component's ratings for people.
func specWords(c *harness.Component) string {
	var keys []string
	for k := range c.Spec.Values {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	units := map[string]string{"rating": "A", "power": "W", "volts": "V", "voltage": "V", "resistance": "Ω", "capacity": "Ah"}
	var out []string
	for _, k := range keys {
		if u, ok := units[k]; ok && (k == "rating" || k == "power" || k == "volts" || k == "voltage") {
			out = append(out, number(c.Spec.Values[k])+" "+u)
		}
	}
	s := strings.ReplaceAll(c.Spec.Kind, "-", " ")
	if len(out) > 0 {
		s += ", " + strings.Join(out, ", ")
	}
	return upper(s) + "."
}

// placeActions offers what can be done with the thing as a whole.
func (p *pen) placeActions(c *column) {
	m := p.m
	if m.st.Closed {
		return
	}
	o := m.object
	var bs []btn
	add := func(b btn) {
		b.small = true
		bs = append(bs, b)
	}
	switch o.kind {
	case "connector":
		p.plugActions(o, add)
	case "splice":
		if m.st.OpenLooms[o.id] {
			add(btn{id: "loom/close", label: "Tape it up again", act: func() { m.do(attempt.CloseLoom{Splice: o.id}) }})
		} else {
			add(btn{id: "loom/open", label: "Open the loom", act: func() { m.do(attempt.OpenLoom{Splice: o.id}) }})
		}
	}
	if o.kind != "body" {
		place := o.place()
		add(btn{id: "inspect", label: "Look at it", say: "Look at " + place, hint: "takes " + m.cost(attempt.Inspect{Place: place}), act: func() { m.inspect(place) }})
	}
	if con := m.connector(o.id); o.kind == "connector" && con != nil {
		if cav := m.cavity(con); cav != "" && len(con.Cavities) > 1 {
			place := con.ID + "." + cav
			add(btn{id: "inspect/cavity", label: "Look at " + place, act: func() { m.inspect(place) }})
		}
	}
	p.provokeActions(o, add)
	rel := m.related(o)
	if len(m.faultsOf(rel...)) > 0 {
		add(btn{id: "place/find", label: "This is the cause …", act: func() { m.open(dialog{kind: dialogKinds, on: o}) }})
	}
	if len(m.repairsOf(rel...)) > 0 {
		add(btn{id: "place/repair", label: "Repair …", say: "Repair here", act: func() { m.open(dialog{kind: dialogRepairs, on: o}) }})
	}
	c.flow(bs...)
	p.provoked(c, o)
	c.gap(3)
}

// plugActions offers to part or mate a connector, and fuses for a holder.
func (p *pen) plugActions(o object, add func(btn)) {
	m := p.m
	con := m.connector(o.id)
	if con == nil {
		return
	}
	pulled := con.Mount == harness.Socket || con.Mount == harness.Holder
	if m.st.Unplugged[con.ID] {
		act := attempt.Plug{Connector: con.ID}
		add(btn{id: "plug", label: map[bool]string{true: "Put it back", false: "Plug together"}[pulled], hint: "takes " + m.cost(act), act: func() { m.do(act) }})
	} else {
		act := attempt.Unplug{Connector: con.ID}
		add(btn{id: "unplug", label: map[bool]string{true: "Pull it out", false: "Unplug"}[pulled], hint: "takes " + m.cost(act), act: func() { m.do(act) }})
	}
	if con.Mount == harness.Holder {
		add(btn{id: "fuse", label: "Fit a fuse …", act: func() { m.open(dialog{kind: dialogFuse, what: con.ID}) }})
	}
}
