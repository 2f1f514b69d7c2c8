package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/device"
)

// Draw appends the picture: the vehicle, what shines and sounds on it, and the plates.
func (v *Vehicle) Draw(l *draw.List, live Live) {
	p := vehiclePainter{v: v, l: l, live: &live, th: live.theme()}
	k := outlinePen{
		l: l, box: v.box, ink: p.th.InkSoft, body: p.th.Raised, glass: p.th.Sunk,
		dark: p.th.InkSoft.Mix(p.th.Paper, 0.35), width: max(1.2, min(2, v.box.W/300)),
	}
	v.outline.draw(&k)
	for i := range v.things {
		p.leader(&v.things[i])
	}
	for i := range v.things {
		p.effect(&v.things[i])
	}
	for i := range v.things {
		p.marker(&v.things[i])
	}
	for i := range v.things {
		l.BeginGroup(v.things[i].kind.String()+" "+v.things[i].id, v.things[i].label)
		p.plate(&v.things[i])
		l.EndGroup()
	}
	p.rings()
}

type vehiclePainter struct {
	v    *Vehicle
	l    *draw.List
	live *Live
	th   draw.Theme
}

func (p *vehiclePainter) leader(t *thing) {
	if t.plate.Empty() {
		return
	}
	x := min(max(t.at.X, t.plate.X+6), t.plate.MaxX()-6)
	from := draw.Point{X: x, Y: t.plate.MaxY()}
	if !t.top {
		from.Y = t.plate.Y
	}
	p.l.Line(from, t.at, draw.Pen(p.th.InkSoft.WithAlpha(150), 0.9))
}

// level is how strongly a thing is noticed, and by which sense.
func (p *vehiclePainter) level(t *thing) (device.Sense, float64) {
	if t.comp < 0 || t.kind != ComponentTarget {
		return device.Unnoticed, 0
	}
	e := p.live.Effects[p.v.h.Components[t.comp].ID]
	return e.Sense, min(max(e.Level, 0), 1.5)
}

// effect draws light and sound round a spot: brighter light reaches farther, louder sound has more waves.
func (p *vehiclePainter) effect(t *thing) {
	sense, level := p.level(t)
	if level <= 0 {
		return
	}
	pen := draw.RoundPen(p.th.Ink, 1.5)
	switch sense {
	case device.Light:
		for _, k := range [3]float64{1, 0.68, 0.4} {
			p.l.Circle(t.at, (9+15*level)*k, p.th.Glow.WithAlpha(uint8(40+60*min(level, 1))), draw.Stroke{})
		}
		for a := 0; a < 8; a++ {
			u := turn(float64(a) * 45)
			p.l.Line(t.at.Add(u.Mul(9)), t.at.Add(u.Mul(11+8*level)), pen)
		}
	case device.Sound:
		n := 1 + int(math.Round(2*min(level, 1)))
		for k := range n {
			r := 11 + 6*float64(k)
			p.l.Arc(t.at, r, -40, 80, pen)
			p.l.Arc(t.at, r, 140, 80, pen)
		}
	case device.Motion:
		p.l.Arc(t.at, 12, 200, 140, pen)
		p.l.Arc(t.at, 12, 20, 140, pen)
	case device.Heat:
		for _, x := range [3]float64{-6, 0, 6} {
			var w draw.Path
			w.MoveTo(t.at.Add(draw.Point{X: x, Y: -9}))
			w.CubicTo(t.at.Add(draw.Point{X: x - 4, Y: -13}), t.at.Add(draw.Point{X: x + 4, Y: -17}), t.at.Add(draw.Point{X: x, Y: -21}))
			p.l.Path(w, draw.Colour{}, pen)
		}
	case device.Unnoticed:
	}
}

// turn returns the direction of deg degrees, clockwise from the right.
func turn(deg float64) draw.Point {
	s, c := math.Sincos(deg * math.Pi / 180)
	return draw.Point{X: c, Y: s}
}

// marker draws what sort of thing sits at a spot.
func (p *vehiclePainter) marker(t *thing) {
	pen := draw.Pen(p.th.Ink, 1.3)
	at := t.at
	switch t.kind {
	case ControlTarget:
		p.l.Circle(at, 5.5, p.th.Accent, draw.Pen(p.th.Raised, 1.5))
		p.l.Line(at, at.Add(draw.Point{X: 0, Y: -5}), draw.Pen(p.th.OnAccent, 1.6))
	case ComponentTarget:
		p.component(t)
	case ConnectorTarget:
		gap := 0.6
		if p.live.Unplugged[t.id] {
			gap = 2.6
		}
		p.l.Rect(draw.Rect{X: at.X - 4 - gap, Y: at.Y - 4, W: 4, H: 8}, 1, p.th.Raised, pen)
		p.l.Rect(draw.Rect{X: at.X + gap, Y: at.Y - 4, W: 4, H: 8}, 1, p.th.Sunk, pen)
	case GroundTarget:
		p.l.Line(at.Add(draw.Point{Y: -5}), at, pen)
		p.l.Line(at.Add(draw.Point{X: -5}), at.Add(draw.Point{X: 5}), draw.Pen(p.th.Ink, 1.8))
		for _, x := range [3]float64{-4, 0, 4} {
			p.l.Line(at.Add(draw.Point{X: x}), at.Add(draw.Point{X: x - 2.5, Y: 4}), draw.Pen(p.th.Ink, 1.1))
		}
	case SpliceTarget:
		p.l.Circle(at, 2.6, p.th.Ink, draw.Pen(p.th.Raised, 1))
		if p.live.OpenLooms[t.id] {
			p.l.Circle(at, 5.5, draw.Colour{}, draw.Pen(p.th.Ink, 1.1).Dashed(2, 1.6))
		}
	case NoTarget, PointTarget, WireTarget:
	}
}

// component draws the mark of a component: what it is, as far as a few units allow.
func (p *vehiclePainter) component(t *thing) {
	pen := draw.Pen(p.th.Ink, 1.3)
	at := t.at
	_, level := p.level(t)
	switch p.v.h.Components[t.comp].Spec.Kind {
	case "lamp", "led":
		fill := p.th.Raised
		if level > 0 {
			fill = p.th.Raised.Mix(p.th.Glow, 0.3+0.7*min(level, 1))
		}
		p.l.Circle(at, 5.5, fill, pen)
		const d = 3.9
		p.l.Line(at.Add(draw.Point{X: -d, Y: -d}), at.Add(draw.Point{X: d, Y: d}), draw.Pen(p.th.Ink, 1))
		p.l.Line(at.Add(draw.Point{X: d, Y: -d}), at.Add(draw.Point{X: -d, Y: d}), draw.Pen(p.th.Ink, 1))
	case "horn", "buzzer":
		p.l.Polygon([]draw.Point{
			at.Add(draw.Point{X: -5, Y: -2}), at.Add(draw.Point{X: -1, Y: -2}), at.Add(draw.Point{X: 5, Y: -6}),
			at.Add(draw.Point{X: 5, Y: 6}), at.Add(draw.Point{X: -1, Y: 2}), at.Add(draw.Point{X: -5, Y: 2}),
		}, p.th.Raised, pen)
	case "motor":
		p.l.Circle(at, 5.5, p.th.Raised, pen)
		p.l.Circle(at, 1.5, p.th.Ink, draw.Stroke{})
	case "battery":
		p.l.Rect(draw.RectAround(at, 13, 9), 1, p.th.Raised, pen)
		p.l.Line(at.Add(draw.Point{X: -4.5, Y: -4.5}), at.Add(draw.Point{X: -4.5, Y: -6.5}), draw.Pen(p.th.Ink, 2.4))
		p.l.Line(at.Add(draw.Point{X: 4.5, Y: -4.5}), at.Add(draw.Point{X: 4.5, Y: -6.5}), draw.Pen(p.th.Ink, 2.4))
	case "fuse", "large-fuse":
		p.l.Rect(draw.RectAround(at, 10, 5), 1, p.th.Raised, pen)
		p.l.Line(at.Add(draw.Point{X: -7}), at.Add(draw.Point{X: 7}), draw.Pen(p.th.Ink, 1))
	default:
		p.l.Rect(draw.RectAround(at, 8, 8), 1.5, p.th.Raised, pen)
	}
}

// plate draws a thing's name and, after it, its state in words. What can be operated looks like a key; what shines or
// sounds now is framed and lit.
func (p *vehiclePainter) plate(t *thing) {
	if t.plate.Empty() {
		p.l.HitArea(draw.RectAround(t.at, 14, 14))
		return
	}
	fill, edge, radius := p.th.Paper, draw.Pen(p.th.Hairline, 1), 3.0
	_, level := p.level(t)
	switch {
	case t.kind == ControlTarget:
		fill, edge, radius = p.th.Raised, draw.Pen(p.th.Edge, 1.4), 6
		p.l.Rect(t.plate.Move(draw.Point{Y: 1.5}), radius, p.th.Edge, draw.Stroke{})
	case level > 0:
		fill, edge = p.th.Paper.Mix(p.th.Glow, 0.35), draw.Pen(p.th.Ink, 1.2)
	}
	p.l.Rect(t.plate, radius, fill, edge)
	y := draw.Baseline(t.plate, draw.Bold, p.v.text)
	x := t.plate.X + plateEdge
	room := t.plate.W - 2*plateEdge
	name := draw.Ellipsize(t.name, draw.Bold, p.v.text, room)
	p.l.Text(draw.Point{X: x, Y: y}, name, draw.TextStyle{Size: p.v.text, Face: draw.Bold, Colour: p.th.Ink})
	if t.state == "" {
		return
	}
	w := draw.Measure(name+" ", draw.Bold, p.v.text)
	p.l.Text(draw.Point{X: x + w, Y: y}, draw.Ellipsize(t.state, draw.Regular, p.v.text, room-w),
		draw.TextStyle{Size: p.v.text, Colour: p.th.Ink})
}

// rings marks what is pointed at and what the keyboard is on.
func (p *vehiclePainter) rings() {
	for i, t := range p.v.targets {
		box := p.v.things[i].plate
		if box.Empty() {
			box = t.Box
		}
		if t.Is(p.live.Hover) {
			p.l.Rect(box.Inset(-1), 5, draw.Colour{}, draw.Pen(p.th.Accent, 1.6))
			p.l.Circle(p.v.things[i].at, 9, draw.Colour{}, draw.Pen(p.th.Accent, 1.6))
		}
		if t.Is(p.live.Focus) {
			p.l.Rect(box.Inset(-1.5), 5, draw.Colour{}, draw.Pen(p.th.Focus, p.th.Space.Focus))
			p.l.Circle(p.v.things[i].at, 9, draw.Colour{}, draw.Pen(p.th.Focus, 2))
		}
	}
}
