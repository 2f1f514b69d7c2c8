package bench

import (
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// objectKinds are the kinds of targets by the kinds of objects.
var objectKinds = map[string]sheet.Kind{
	"connector": sheet.ConnectorTarget, "wire": sheet.WireTarget, "splice": sheet.SpliceTarget,
	"ground": sheet.GroundTarget, "component": sheet.ComponentTarget,
}

// outlineHeight is the height of the vehicle's picture at a width.
func (p *pen) outlineHeight(w float64) float64 { return min(max(w*0.66, 150*p.k), 330*p.k) }

// outline draws the vehicle with what can be operated, seen, heard and reached on it. A control is moved on by a click;
// anything else opens its card.
func (p *pen) outline(c *column, h float64) {
	m := p.m
	live := m.live()
	live.Theme = p.th
	live.Focus = sheet.Target{Kind: objectKinds[m.object.kind], ID: m.object.id}
	box := c.box(h)
	v := sheet.VehicleView(m.job.Harness, live, box.W, box.H)
	at := func(q draw.Point) draw.Point { return q.Sub(box.Min()) }
	if q, ok := v.Pick(at(m.pointer), 12); ok && m.hover == idVehicle {
		live.Hover = q
	} else {
		live.Hover = sheet.Target{}
	}
	p.l.PushTransform(1, box.Min())
	v.Draw(p.l, live)
	p.l.PopTransform()
	w := p.add(Widget{ID: idVehicle, Label: "Picture of the vehicle", Role: Target, Enabled: true, act: func() {}}, box)
	w.actAt = func(q draw.Point) {
		if t, ok := v.Pick(at(q), sheet.DefaultReach); ok {
			m.chooseOnVehicle(t)
		}
	}
	for _, t := range v.Targets() {
		q := p.add(Widget{ID: "on/" + targetKinds[t.Kind] + "/" + t.ID, Label: "On the vehicle: " + t.Label, Role: Target, Enabled: true, act: func() { m.chooseOnVehicle(t) }}, t.Box.Move(box.Min()))
		q.under = true
	}
}

const idVehicle = "vehicle/picture"

// chooseOnVehicle is a click on a thing of the vehicle's picture.
func (m *Model) chooseOnVehicle(t sheet.Target) {
	if t.Kind == sheet.ControlTarget {
		m.moveOn(t.ID)
		return
	}
	m.openCard(object{targetKinds[t.Kind], t.ID}, "")
	if m.form == narrow {
		m.area = partSheet
	}
	if m.sheet == nil {
		return
	}
	if i := m.sheet.Find(t.Kind, t.ID); i >= 0 {
		m.panTo(m.sheet.Targets()[i].At)
	}
}

// moveOn puts a control to its next position.
func (m *Model) moveOn(id string) {
	for _, c := range m.job.Harness.Controls {
		if c.ID != id || len(c.Positions) == 0 {
			continue
		}
		next := 0
		for i, pos := range c.Positions {
			if m.st.Controls[id] == pos {
				next = (i + 1) % len(c.Positions)
			}
		}
		m.do(attempt.Operate{Control: id, Position: c.Positions[next]})
	}
}

// face shows the connector's face with its cavities to choose from.
func (p *pen) face(c *column, con *harness.Connector) {
	m := p.m
	live := m.live()
	live.Theme = p.th
	live.Hover, live.Focus = sheet.Target{}, sheet.Target{}
	pic := sheet.ConnectorFace(m.job.Harness, con.ID, live)
	if pic == nil {
		return
	}
	size := pic.Bounds()
	if s := pic.Stacked(); c.w/size.W < 0.8 {
		pic, size = s, s.Bounds()
	}
	k := min(c.w/size.W, 1.3*p.k)
	if size.Empty() || k <= 0 {
		return
	}
	box := c.box(size.H * k)
	off := draw.Point{X: box.X + (box.W-size.W*k)/2 - size.X*k, Y: box.Y - size.Y*k}
	onScreen := func(r draw.Rect) draw.Rect {
		return draw.Rect{X: off.X + r.X*k, Y: off.Y + r.Y*k, W: r.W * k, H: r.H * k}
	}
	for _, cav := range pic.Cavities() {
		if m.point == cav.Point {
			live.Focus = sheet.Target{Kind: sheet.PointTarget, ID: string(cav.Point), Point: cav.Point}
		}
		if m.hover == "face/"+string(cav.Point) {
			live.Hover = sheet.Target{Kind: sheet.PointTarget, ID: string(cav.Point), Point: cav.Point}
		}
	}
	p.l.PushTransform(k, off)
	pic.Draw(p.l, live)
	p.l.PopTransform()
	for _, cav := range pic.Cavities() {
		r := onScreen(cav.Box)
		w := p.add(Widget{ID: "face/" + string(cav.Point), Label: m.infos[cav.Point].Title + after(", seen: ", live.Seen[cav.Point]), Role: Target, Enabled: true, On: m.point == cav.Point, Stop: true, Hint: m.why(cav.Point), act: func() {
			if m.armed != nil {
				m.put(*m.armed, cav.Point)
				return
			}
			m.point = cav.Point
		}}, r)
		p.ring(w, r)
	}
	c.gap(6)
	if m.cavity(con) == "" {
		c.soft("Choose a cavity to put a lead there or look at it.")
		c.gap(4)
	}
}
