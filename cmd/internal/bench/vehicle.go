package bench

import (
	"strconv"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/attempt"
	"faultloom/sim/device"
)

func itoa(n int) string { return strconv.Itoa(n) }

// vehicleHeight is how much the vehicle's panel would like to have.
func (p *pen) vehicleHeight(w float64) float64 {
	h := p.m.job.Harness
	n := 0
	for _, c := range h.Components {
		if p.m.noticed(c.ID) {
			n++
		}
	}
	in := w - 24*p.k
	high := p.outlineHeight(in) + float64(n+1)*20*p.k + p.touch + 60*p.k
	for _, ctl := range h.Controls {
		high += p.touch + 8*p.k
		if !p.beside(in, ctl.Title, p.positions(ctl.ID, ctl.Title, ctl.Positions)) {
			high += 20 * p.k
		}
	}
	return high
}

// noticed reports whether a component is one whose working a person notices.
func (m *Model) noticed(id string) bool {
	e, ok := m.st.Effects[id]
	return ok && (e.Sense != device.Unnoticed || e.Word != "")
}

// vehicle shows what can be operated, and what is seen and heard.
func (p *pen) vehicle(r draw.Rect) {
	p.part = partVehicle
	m := p.m
	p.scroll("vehicle", r, func(c *column) {
		c.label(m.job.Harness.Vehicle.Fleet + "  " + m.job.Harness.Vehicle.Title)
		p.outline(c, p.outlineHeight(c.w))
		c.gap(4)
		for _, ctl := range m.job.Harness.Controls {
			p.control(c, ctl.ID, ctl.Title, ctl.Positions)
		}
		c.gap(2)
		c.label("Seen and heard")
		for _, comp := range m.job.Harness.Components {
			if !m.noticed(comp.ID) {
				continue
			}
			p.effect(c, join2(comp.Title, comp.ID), m.st.Effects[comp.ID])
		}
		for _, s := range m.heard {
			c.soft("♪ " + s)
		}
		if !m.st.Closed {
			c.gap(5)
			c.flow(
				btn{id: "wait/10", label: "Wait 10 s", small: true, act: func() { m.do(attempt.Wait{Seconds: 10}) }, hint: "lets bench time pass"},
				btn{id: "wait/60", label: "Wait 1 min", small: true, act: func() { m.do(attempt.Wait{Seconds: 60}) }, hint: "lets bench time pass"},
			)
		}
	})
}

func join2(title, id string) string {
	if title == "" {
		return id
	}
	return title
}

// control shows the positions of one control side by side, beside its name if there is room.
func (p *pen) control(c *column, id, title string, positions []string) {
	bs := p.positions(id, title, positions)
	name := join2(title, id)
	st := p.th.Text(p.th.Type.Body)
	if !p.beside(c.w, name, bs) {
		c.para(name, st)
		c.gap(2)
		c.row(bs...)
		c.gap(2)
		return
	}
	label := c.w * nameShare
	h := p.touch
	for _, b := range bs {
		h = max(h, p.height(b, p.width(b)))
	}
	lines := draw.Wrap(name, st.Face, st.Size, label-4)
	lh := draw.LineHeight(st.Face, st.Size)
	h = max(h, float64(len(lines))*lh)
	row := draw.Rect{X: c.x, Y: c.y, W: label, H: h}
	y := row.Y + (row.H-float64(len(lines))*lh)/2
	for _, s := range lines {
		p.line(draw.Rect{X: row.X, Y: y, W: label, H: lh}, row.X, s, st, row)
		y += lh
	}
	in := column{p: p, x: c.x + label, y: c.y, w: c.w - label}
	in.row(bs...)
	c.y = max(in.y, c.y+h+c.between())
}

// nameShare is how much of a row the name of a control takes.
const nameShare = 0.38

// beside reports whether a control's positions fit on one row beside its name, in w units.
func (p *pen) beside(w float64, name string, bs []btn) bool {
	room := w * (1 - nameShare)
	widest := 0.0
	for _, b := range bs {
		widest = max(widest, p.width(b))
	}
	st := p.th.Text(p.th.Type.Body)
	return widest*float64(len(bs))+6*p.k*float64(len(bs)-1) <= room && len(draw.Wrap(name, st.Face, st.Size, w*nameShare-4)) <= 2
}

func (p *pen) positions(id, title string, positions []string) []btn {
	m := p.m
	var bs []btn
	for _, pos := range positions {
		bs = append(bs, btn{
			id: "control/" + id + "/" + pos, label: pos, say: join2(title, id) + ": " + pos, role: Choice,
			on: m.st.Controls[id] == pos, off: m.st.Closed,
			act: func() {
				if m.st.Controls[id] != pos {
					m.do(attempt.Operate{Control: id, Position: pos})
				}
			},
		})
	}
	return bs
}

// effect shows what is noticed of one component: a mark that tells how strong, and the word.
func (p *pen) effect(c *column, name string, e device.Effect) {
	size := p.th.Type.Body
	lh := draw.LineHeight(draw.Regular, size)
	ww := draw.Measure(sheet.Said(e), draw.Bold, size) + 4
	mark := 28 * p.k
	nameW := c.w - mark - ww - 8*p.k
	lines := draw.Wrap(name, draw.Regular, size, max(nameW, 40))
	r := c.box(lh * float64(len(lines)))
	mid := draw.Point{X: r.X + 12*p.k, Y: r.Y + lh/2}
	rad := 6.5 * p.k
	switch e.Sense {
	case device.Light:
		glow := min(max(e.Level, 0), 1)
		p.l.Circle(mid, rad, p.th.Sunk.Mix(p.th.Glow, glow), draw.Pen(p.th.Ink, 1.2))
		if e.Level > 0.02 {
			for i := range 8 {
				d := directions[i]
				p.l.Line(mid.Add(d.Mul(rad+1.5)), mid.Add(d.Mul(rad+1.5+3.5*p.k*glow)), draw.RoundPen(p.th.Caution, 1.2))
			}
		}
	case device.Sound:
		p.l.Rect(draw.Rect{X: mid.X - rad, Y: mid.Y - rad*0.4, W: rad * 0.8, H: rad * 0.8}, 1, p.th.Ink, draw.Stroke{})
		p.l.Polygon([]draw.Point{{X: mid.X - rad*0.3, Y: mid.Y - rad*0.4}, {X: mid.X + rad*0.4, Y: mid.Y - rad}, {X: mid.X + rad*0.4, Y: mid.Y + rad}, {X: mid.X - rad*0.3, Y: mid.Y + rad*0.4}}, p.th.Ink, draw.Stroke{})
		if e.Level > 0.02 {
			n := 1
			if e.Level > 0.6 {
				n = 2
			}
			for i := range n {
				p.l.Arc(draw.Point{X: mid.X + rad*0.4, Y: mid.Y}, rad*(0.6+0.5*float64(i)), -50, 100, draw.RoundPen(p.th.Caution, 1.6))
			}
		} else {
			p.cross(draw.Point{X: mid.X + rad, Y: mid.Y}, rad*0.5, p.th.InkSoft)
		}
	default:
		fill := draw.Colour{}
		if e.Level > 0.02 {
			fill = p.th.Accent
		}
		p.l.Rect(draw.RectAround(mid, rad*1.4, rad*1.4), 2, fill, draw.Pen(p.th.Ink, 1.2))
	}
	y := r.Y
	for _, s := range lines {
		p.line(draw.Rect{X: r.X, Y: y, W: r.W, H: lh}, r.X+mark, s, p.th.Text(size), r)
		y += lh
	}
	st := p.th.Text(size).As(draw.Bold).To(draw.End)
	if e.Level < 0.02 {
		st = p.th.Soft(size).To(draw.End)
	}
	p.line(draw.Rect{X: r.X, Y: r.Y, W: r.W, H: lh}, r.MaxX(), sheet.Said(e), st, r)
}

// directions are eight rays.
var directions = [8]draw.Point{{X: 1}, {X: 0.7071, Y: 0.7071}, {Y: 1}, {X: -0.7071, Y: 0.7071}, {X: -1}, {X: -0.7071, Y: -0.7071}, {Y: -1}, {X: 0.7071, Y: -0.7071}}
