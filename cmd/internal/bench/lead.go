package bench

import (
	"math"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/meter"
)

// colours of the ends.
func (p *pen) leadColour(e leadEnd) draw.Colour {
	switch {
	case e.tool == meter.Multimeter && e.end == 0:
		return p.th.LeadRed
	case e.tool == meter.TestLamp && e.end == 0:
		return p.th.Caution
	case e.tool == meter.Jumper || e.tool == meter.Clamp || e.tool == meter.Reader:
		return p.th.Case
	case e.tool == meter.LogicProbe || e.tool == meter.TraceView && e.end == 0:
		return p.th.Accent
	case e.tool == meter.Load && e.end == 0:
		return p.th.Caution
	}
	return p.th.LeadBlack
}

func leadID(e leadEnd) string { return "lead/" + string(e.tool) + "/" + itoa(e.end) }

// leadOf is the opposite of leadID.
func leadOf(id string) leadEnd {
	parts := strings.Split(id, "/")
	if len(parts) != 3 {
		return leadEnd{}
	}
	e := leadEnd{tool: meter.Tool(parts[1])}
	if parts[2] == "1" {
		e.end = 1
	}
	return e
}

// leadPair shows the ends of a tool as handles to drag or to take up.
func (p *pen) leadPair(r draw.Rect, t meter.Tool) {
	gap := 5.0
	n := ends(t)
	w := (r.W - gap*float64(n-1)) / float64(n)
	for end := range n {
		p.handle(draw.Rect{X: r.X + float64(end)*(w+gap), Y: r.Y, W: w, H: r.H}, leadEnd{t, end})
	}
}

func (p *pen) handle(r draw.Rect, e leadEnd) {
	m := p.m
	id := leadID(e)
	at := m.st.Leads[e.tool][e.end]
	armed := m.armed != nil && *m.armed == e
	label := upper(e.tool.Ends()[e.end])
	hint := "drag it to where it goes, or choose it and then the place"
	if at != "" {
		hint = "at " + at + "; drag it to another point, or back to take it off"
	}
	w := p.add(Widget{ID: id, Label: label, Role: Lead, Enabled: !m.st.Closed, On: armed, Hint: hint, Stop: true, act: func() { m.takeUp(e) }}, r)
	fill, edge, width := p.th.Raised, p.th.Edge, 1.0
	if armed {
		fill, edge, width = p.th.AccentSoft, p.th.Accent, 2
	} else if m.hover == id {
		fill = p.th.AccentSoft
	}
	p.l.BeginGroup(id, label)
	p.l.Rect(r, r.H/2, fill, draw.Pen(edge, width))
	rad := min(r.H/2-5, 12*p.k)
	c := draw.Point{X: r.X + rad + 7, Y: r.Y + r.H/2}
	size := p.th.Type.Caption
	room := draw.Rect{X: c.X + rad + 5, Y: r.Y + 2, W: r.MaxX() - c.X - rad - 9, H: r.H - 4}
	name := shortName(e)
	if room.W < draw.Measure("black", draw.Bold, size) {
		// Only the letter has room.
		c.X = r.X + r.W/2
		p.letterDisc(c, rad, e)
	} else {
		p.letterDisc(c, rad, e)
		if at == "" {
			p.oneLine(room, name, p.th.Text(size).As(draw.Bold))
		} else {
			top, low := room.CutTop(room.H / 2)
			p.oneLine(top, name, p.th.Text(size).As(draw.Bold))
			p.oneLine(low, at, p.th.Text(size))
		}
	}
	p.l.EndGroup()
	p.f.handles[e] = draw.Point{X: c.X, Y: r.Y}
	p.ring(w, r)
}

// letterDisc draws the mark of an end.
func (p *pen) letterDisc(c draw.Point, r float64, e leadEnd) {
	p.l.Circle(c, r, p.leadColour(e), draw.Pen(p.th.OnLead, 1.5))
	size := r * 1.25
	p.l.Text(draw.Point{X: c.X, Y: c.Y + draw.CapHeight(draw.Bold, size)/2}, letters(e), draw.TextStyle{Size: size, Face: draw.Bold, Colour: p.th.OnLead, Align: draw.Middle})
}

// arrowRoom is how far the arrow of a cable that goes on out of sight keeps from the buttons on the sheet.
const arrowRoom = 12

// cables draws the leads that are placed, from the tray to their points, and the word about a place that could not be reached.
func (p *pen) cables() {
	m := p.m
	p.f.cablesTo, p.f.rim = map[leadEnd]draw.Point{}, p.f.rim[:0]
	if p.f.sheet.Empty() {
		return
	}
	if p.form == narrow && !m.object.none() { // the place's card lies between sheet and tray
		p.l.PushClip(p.f.sheet)
		defer p.l.PopClip()
	}
	for _, t := range m.job.Exercise.Tools {
		for end, at := range m.st.Leads[t] {
			e := leadEnd{t, end}
			if at == "" || m.drag.kind == dragLead && m.drag.moved && m.drag.lead == e {
				continue
			}
			q, ok := m.leadAt(at)
			if !ok {
				continue
			}
			in := p.f.sheet.Inset(4)
			if !in.Contains(q) {
				// Out of sight: the cable ends at the rim, with an arrow that tells where it goes on.
				edge := draw.Point{X: min(max(q.X, in.X+8), in.MaxX()-8), Y: min(max(q.Y, in.Y+8), in.MaxY()-8)}
				for _, id := range zoomIDs { // which must stay in sight
					if w := p.f.Find(id); w != nil && w.Rect.Inset(-arrowRoom).Contains(edge) {
						edge.X = w.Rect.X - arrowRoom
					}
				}
				p.cable(p.l, e, p.from(e), edge)
				p.arrow(e, edge, q, at)
				continue
			}
			p.f.cablesTo[e] = q
			p.cable(p.l, e, p.from(e), p.probe(p.l, e, q))
		}
	}
	if m.note.text != "" && m.note.point != "" {
		if q, ok := m.pointOnScreen(m.note.point); ok && p.f.sheet.Contains(q) {
			p.th.Tooltip(p.l, q.Add(draw.Point{Y: -8}), m.note.text, min(280*p.k, p.f.sheet.W-16), p.f.sheet.Inset(4))
		}
	}
}

// from is where the cable of an end leaves the tray.
func (p *pen) from(e leadEnd) draw.Point {
	if c, ok := p.f.handles[e]; ok {
		return draw.Point{X: c.X, Y: c.Y}
	}
	// Its handle is not on the screen: from the tray's upper edge.
	x := p.f.tray.X + p.f.tray.W*0.3
	if e.end == 1 {
		x = p.f.tray.X + p.f.tray.W*0.7
	}
	return draw.Point{X: x, Y: p.f.tray.Y}
}

// lean is the angle in degrees at which the body of a probe leans away from its point; ends and tools differ, so
// that several at one point can be told apart.
func lean(e leadEnd) float64 {
	a := map[meter.Tool]float64{meter.Multimeter: 112, meter.TestLamp: 132, meter.Jumper: 96, meter.Clamp: 120, meter.LogicProbe: 104, meter.Load: 126, meter.TraceView: 100, meter.Reader: 116}[e.tool]
	if e.end == 1 {
		return 180 - a
	}
	return a
}

// probe draws the tip of a lead at a point and returns where its cable begins.
func (p *pen) probe(l *draw.List, e leadEnd, tip draw.Point) draw.Point {
	a := lean(e) * math.Pi / 180
	d := draw.Point{X: math.Cos(a), Y: math.Sin(a)}
	k := min(p.k, 1.4)
	at := func(s float64) draw.Point { return tip.Add(d.Mul(s * k)) }
	c := p.leadColour(e)
	l.Line(at(0), at(12), draw.RoundPen(p.th.Ink, 2.4*k))
	l.Line(at(11), at(14), draw.Pen(p.th.Paper, 11*k))
	l.Line(at(15), at(33), draw.RoundPen(p.th.Paper, 15*k))
	l.Line(at(15), at(33), draw.RoundPen(c, 12*k))
	l.Line(at(12), at(14), draw.Pen(c, 15*k))
	m := at(24)
	size := 9.5 * k
	l.Circle(m, 5.6*k, p.th.OnLead, draw.Stroke{})
	l.Text(draw.Point{X: m.X, Y: m.Y + draw.CapHeight(draw.Bold, size)/2}, letters(e), draw.TextStyle{Size: size, Face: draw.Bold, Colour: c, Align: draw.Middle})
	return at(38)
}

// cable draws a flexible lead from the tray at a to b: it leaves the tray upwards and hangs into the probe from below.
func (p *pen) cable(l *draw.List, e leadEnd, a, b draw.Point) {
	c := p.leadColour(e)
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	sag := min(30+d*0.3, 130)
	an := lean(e) * math.Pi / 180
	var path draw.Path
	path.MoveTo(a)
	path.CubicTo(draw.Point{X: a.X, Y: a.Y - sag}, draw.Point{X: b.X + math.Cos(an)*sag*0.6, Y: b.Y + math.Sin(an)*sag*0.6}, b)
	l.Path(path, draw.Colour{}, draw.RoundPen(p.th.Paper, 6))
	l.Path(path, draw.Colour{}, draw.RoundPen(c, 3.4))
}

// arrow points from the rim towards a point out of sight.
func (p *pen) arrow(e leadEnd, edge, to draw.Point, name string) {
	d := to.Sub(edge)
	n := math.Hypot(d.X, d.Y)
	if n < 1 {
		return
	}
	d = d.Mul(1 / n)
	s := draw.Point{X: -d.Y, Y: d.X}
	tip := edge.Add(d.Mul(7))
	p.l.Polygon([]draw.Point{tip, edge.Sub(d.Mul(5)).Add(s.Mul(7)), edge.Sub(d.Mul(5)).Sub(s.Mul(7))}, p.leadColour(e), draw.Pen(p.th.Paper, 1))
	size := p.th.Type.Caption
	text := letters(e) + " at " + name
	w := draw.Measure(text, draw.Bold, size) + 10
	in := p.f.sheet.Inset(4)
	r := draw.Rect{X: min(max(edge.X-w/2, in.X), in.MaxX()-w), Y: min(max(edge.Y-d.Y*26-size, in.Y), in.MaxY()-2*size), W: w, H: size * 1.6}
	r = p.aside(r, in)
	p.f.rim = append(p.f.rim, r)
	p.l.Rect(r, 4, p.th.Paper, draw.Pen(p.leadColour(e), 1.2))
	p.oneLine(r.InsetXY(4, 0), text, p.th.Text(size).As(draw.Bold).To(draw.Middle))
}

// aside moves the label of a cable that goes on out of sight off the buttons on the sheet and off the labels of others: left of the
// buttons where there is room, else above them, and up or down past a label.
func (p *pen) aside(r, in draw.Rect) draw.Rect {
	var buttons draw.Rect
	for _, id := range zoomIDs {
		if b := p.f.Find(id); b != nil {
			buttons = buttons.Union(b.Rect)
		}
	}
	const gap = 4
	if near := buttons.Inset(-gap); !near.Intersect(r).Empty() {
		if x := near.X - r.W; x >= in.X {
			r.X = x
		} else {
			r.Y = max(near.Y-r.H, in.Y)
		}
	}
	step := r.H + 2 // away from the rim it is at
	if r.Center().Y > in.Center().Y {
		step = -step
	}
	for range p.f.rim {
		for _, o := range p.f.rim {
			if !o.Intersect(r).Empty() {
				r.Y = o.Y + step
			}
		}
	}
	return r
}

// tipAt returns the placed lead whose probe is under a place of the screen.
func (m *Model) tipAt(at draw.Point, touch bool) (leadEnd, bool) {
	best, dist := leadEnd{}, 13.0
	if touch {
		dist = 24
	}
	for _, t := range m.job.Exercise.Tools {
		for end := range 2 {
			e := leadEnd{t, end}
			q, ok := m.frame.cablesTo[e]
			if !ok {
				continue
			}
			a := lean(e) * math.Pi / 180
			body := q.Add(draw.Point{X: math.Cos(a), Y: math.Sin(a)}.Mul(24))
			if d := body.Dist(at); d < dist {
				best, dist = e, d
			}
		}
	}
	return best, best.tool != ""
}

// over draws what follows the pointer: the lead that is dragged, and what it would touch.
func (m *Model) over(f *Frame) {
	f.Over.Reset()
	if m.job == nil || m.frame == nil {
		return
	}
	p := &pen{m: m, f: f, l: &f.Over, th: draw.Workshop().Scaled(m.set.TextScale), k: m.set.TextScale}
	d := m.drag
	if d.kind != dragLead || !d.moved {
		return
	}
	tip := d.at
	if d.touch {
		tip.Y -= liftTouch
	}
	word, ok := "", true
	if f.sheet.Contains(tip) {
		if pt, near := m.pointNear(tip, d.touch); near && d.lead.tool.Grip() == meter.AtPoint {
			if q, shown := m.pointOnScreen(pt); shown {
				tip = q
			}
			word = m.infos[pt].Title
			if r, known := m.reach[pt]; known && !r.Ok {
				word, ok = r.Why, false
			}
		}
	}
	p.cable(&f.Over, d.lead, p.from(d.lead), p.probe(&f.Over, d.lead, tip))
	if word != "" {
		col := p.th.Accent
		if !ok {
			col = p.th.Bad
		}
		f.Over.Circle(tip, 10, draw.Colour{}, draw.Pen(col, 3))
		if !ok {
			p.cross(tip, 6, col)
		}
		p.th.Tooltip(&f.Over, tip.Add(draw.Point{Y: -12}), upper(word), min(280*p.k, f.sheet.W-16), f.sheet.Inset(4))
	}
}
