package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// toolName is the short name of a tool.
func toolName(t meter.Tool) string {
	switch t {
	case meter.Multimeter:
		return "meter"
	case meter.TestLamp:
		return "lamp"
	case meter.Jumper, meter.Clamp, meter.Load, meter.Reader:
		return string(t)
	case meter.LogicProbe:
		return "logic"
	case meter.TraceView:
		return "trace"
	}
	return t.Title()
}

// letters are what is written on the ends, so that colour does not tell them apart alone.
func letters(e leadEnd) string {
	all := [2]string{"R", "B"}
	switch e.tool {
	case meter.TestLamp:
		all = [2]string{"P", "C"}
	case meter.Jumper:
		all = [2]string{"1", "2"}
	case meter.Clamp:
		all = [2]string{"A"}
	case meter.LogicProbe:
		all = [2]string{"L"}
	case meter.Load:
		all = [2]string{"V", "W"}
	case meter.TraceView:
		all = [2]string{"X", "Y"}
	case meter.Reader:
		all = [2]string{"D"}
	}
	return all[e.end&1]
}

// shortName is the end's name beside its letter.
func shortName(e leadEnd) string {
	all := [2]string{"red", "black"}
	switch e.tool {
	case meter.TestLamp:
		all = [2]string{"probe", "clip"}
	case meter.Jumper:
		all = [2]string{"end 1", "end 2"}
	case meter.Clamp:
		all = [2]string{"clamp"}
	case meter.LogicProbe:
		all = [2]string{"tip"}
	case meter.Load:
		all = [2]string{"clip 1", "clip 2"}
	case meter.TraceView:
		all = [2]string{"ch. 1", "ch. 2"}
	case meter.Reader:
		all = [2]string{"plug"}
	}
	return all[e.end&1]
}

// ends is how many ends a tool has.
func ends(t meter.Tool) int {
	if t.Ends()[1] == "" {
		return 1
	}
	return 2
}

// fewTools is how many tools stand side by side; of more, one beside the multimeter is shown and the others can be chosen.
const fewTools = 3

// second is the tool that is shown beside the multimeter.
func (m *Model) second() meter.Tool {
	if m.tool != meter.Multimeter && m.has(m.tool) {
		return m.tool
	}
	for _, t := range m.job.Exercise.Tools {
		if at := m.st.Leads[t]; t != meter.Multimeter && (at[0] != "" || at[1] != "") {
			return t
		}
	}
	for _, t := range m.job.Exercise.Tools {
		if t != meter.Multimeter {
			return t
		}
	}
	return meter.Multimeter
}

// toolbox shows the multimeter, one other tool and a list to choose that from.
func (p *pen) toolbox(in draw.Rect) {
	m := p.m
	gap := 8.0
	list, in := in.CutRight(min(max(170*p.k, in.W*0.26), in.W*0.4))
	in.W -= gap
	box := in
	if m.has(meter.Multimeter) {
		var first draw.Rect
		first, box = in.CutLeft(in.W * 0.56)
		first.W -= gap
		p.multimeter(first)
	}
	p.toolBox(box, m.second())
	p.scroll("tools", list, func(c *column) {
		var bs []btn
		for _, t := range m.job.Exercise.Tools {
			if t == meter.Multimeter {
				continue
			}
			bs = append(bs, btn{id: "use/" + string(t), label: toolName(t), say: "Show the " + t.Title(), role: Choice, small: true, on: m.second() == t, act: func() { m.tool = t }})
		}
		c.flow(bs...)
	})
}

// extraBox adds to a tool's box what only that tool has: buttons under its word, or a small picture.
func (p *pen) extraBox(r draw.Rect, t meter.Tool) draw.Rect {
	m := p.m
	var b btn
	switch t {
	case meter.Clamp:
		b = btn{id: "clamp/zero", label: "Zero", say: "Zero the clamp", off: m.st.Closed, hint: "takes what it shows now as nothing; do it with the jaw empty", act: func() { m.do(attempt.Zero{Tool: meter.Clamp}) }}
	case meter.TraceView:
		b = btn{id: "trace/open", label: "Large", say: "Show the trace large, with its settings", act: func() { m.open(dialog{kind: dialogTrace}) }}
	case meter.Reader:
		b = btn{id: "reader/open", label: "Data list", off: len(m.st.Displays[meter.Reader].Rows) == 0, act: func() { m.open(dialog{kind: dialogData}) }}
	default:
		return r
	}
	b.small = true
	q, rest := r.CutBottom(p.touch)
	rest.H -= 3
	if t == meter.TraceView { // the picture beside the button, as high as the box
		q, rest = r.CutRight(min(p.width(b), r.W*0.4))
		q = draw.Rect{X: q.X, Y: q.MaxY() - min(p.touch, q.H), W: q.W, H: min(p.touch, q.H)}
		rest.W -= 5
		p.traceFace(rest, false)
		p.button(q, b)
		return draw.Rect{}
	}
	p.button(draw.Rect{X: q.X, Y: q.Y, W: min(p.width(b), q.W), H: q.H}, b)
	return rest
}

// dataList shows what a control unit believes.
func (p *pen) dataList(c *column) {
	m := p.m
	d := m.st.Displays[meter.Reader]
	if len(d.Rows) == 0 {
		c.body(upper(meter.NoAnswer) + ": the control unit needs its supply and its ground to answer.")
		return
	}
	c.soft("What the control unit believes, as it stands now. Whether it is true is for a meter to say.")
	c.gap(4)
	for _, r := range d.Rows {
		c.facts(r.Name, strings.TrimSpace(r.State+"   "+strings.TrimSpace(r.Text+" "+r.Unit)))
	}
	c.gap(6)
	c.full(btn{id: "done", label: "Done", main: true, act: m.back})
}

// facts sets a name at the start of a row and its value at the end, one below the other where both have no room.
func (c *column) facts(name, value string) {
	p := c.p
	st := p.th.Text(p.th.Type.Body)
	lh := draw.LineHeight(st.Face, st.Size)
	if draw.Measure(name, draw.Bold, st.Size)+draw.Measure(value, st.Face, st.Size)+12 > c.w {
		c.para(name, st.As(draw.Bold))
		c.para(value, st)
		c.gap(3)
		return
	}
	r := c.box(lh)
	p.oneLine(r, name, st.As(draw.Bold))
	p.oneLine(r, value, st.To(draw.End))
	p.l.Line(draw.Point{X: r.X, Y: r.MaxY() + 2}, draw.Point{X: r.MaxX(), Y: r.MaxY() + 2}, draw.Pen(p.th.Hairline, 1))
	c.gap(5)
}

// aimed is the place for an end that a thing of the sheet means: a wire for a clamp, a control unit for a reader, a point for all others;
// "" when it means none.
func (m *Model) aimed(t meter.Tool, at sheet.Target) harness.Point {
	switch t.Grip() {
	case meter.AroundWire:
		if at.Kind == sheet.WireTarget {
			return meter.WirePlace(at.ID)
		}
		if ws := m.infos[at.Point].Wires; at.Kind == sheet.PointTarget && len(ws) == 1 {
			return meter.WirePlace(ws[0])
		}
	case meter.InUnit:
		id := at.ID
		switch at.Kind {
		case sheet.PointTarget:
			id = m.objectOf(at.Point).id
			fallthrough
		case sheet.ConnectorTarget:
			if c := m.connector(id); c != nil {
				id = c.Component
			}
		}
		if m.isUnit(id) {
			return meter.UnitPlace(id)
		}
	default:
		if at.Kind == sheet.PointTarget {
			return at.Point
		}
	}
	return ""
}

// isUnit reports whether a component is a control unit with a diagnostic socket.
func (m *Model) isUnit(component string) bool {
	c := m.component(component)
	return c != nil && c.Spec.Logic != nil
}

// goesTo says what a tool's end goes to.
func goesTo(t meter.Tool) string {
	switch t.Grip() {
	case meter.AroundWire:
		return "choose a wire"
	case meter.InUnit:
		return "choose a control unit"
	}
	return "choose a point"
}

// gripButton offers, on the card of a wire or a control unit, the tool that goes there.
func (p *pen) gripButton(c *column, t meter.Tool, at harness.Point) {
	m := p.m
	if !m.has(t) || m.st.Closed {
		return
	}
	e := leadEnd{t, 0}
	if m.st.Leads[t][0] == string(at) {
		c.full(btn{id: "grip/" + string(t), label: upper(t.Title()) + " off", mark: p.leadColour(e), on: true, act: func() { m.lift(e) }})
		return
	}
	label := upper(t.Title()) + " around it"
	if t.Grip() == meter.InUnit {
		label = upper(t.Title()) + " into its socket"
	}
	c.full(btn{id: "grip/" + string(t), label: label, mark: p.leadColour(e), act: func() { m.put(e, at) }})
}

// leadAt is where a placed end is on the screen.
func (m *Model) leadAt(at string) (draw.Point, bool) {
	id, isWire := strings.CutPrefix(at, string(meter.WirePlace("")))
	if unit, ok := strings.CutPrefix(at, string(meter.UnitPlace(""))); ok {
		if t, found := m.target(targetPrefix + "component/" + unit); found {
			return m.onScreen(t.At), true
		}
		return draw.Point{}, false
	}
	if !isWire {
		return m.pointOnScreen(harness.Point(at))
	}
	if t, found := m.target(targetPrefix + "wire/" + id); found {
		return m.onScreen(t.At), true
	}
	return draw.Point{}, false
}
