package sheet

import (
	"math"
	"unicode/utf8"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// painter appends one picture of a sheet to a list.
type painter struct {
	s     *Sheet
	l     *draw.List
	live  *Live
	th    draw.Theme
	later []plate
}

// Draw appends the sheet as it is now. Everything that does not change was worked out by Layout, so a frame can bear it.
// What belongs to one thing stands in a group whose id is the thing's kind and id ("wire 31b", "component K1") and whose
// label says what it is.
func (s *Sheet) Draw(l *draw.List, live Live) {
	p := painter{s: s, l: l, live: &live, th: live.theme()}
	p.suspectWires()
	p.under()
	p.wires()
	for _, b := range s.m.blocks {
		p.block(b)
	}
	p.suspectPlaces()
	p.labels()
	p.plates()
	p.over()
}

func (p *painter) wires() {
	var pts [64]draw.Point
	for i := range p.s.m.wires {
		g := &p.s.groups[i]
		p.l.BeginGroup(g.id, g.label)
		draw.AppendWire(p.l, p.s.way(pts[:0], i, p.live), p.s.wireStyle(i, p.th))
		p.l.EndGroup()
	}
}

// group names what is drawn together.
type group struct{ id, label string }

// nameGroups makes the groups of wires and blocks.
func (s *Sheet) nameGroups() {
	name := func(k Kind, id string) group {
		g := group{id: k.String() + " " + id}
		if i := s.Find(k, id); i >= 0 {
			g.label = s.targets[i].Label
		}
		return g
	}
	for i := range s.m.wires {
		s.groups = append(s.groups, name(WireTarget, s.m.wires[i].h.ID))
	}
	for _, b := range s.m.blocks {
		switch b.kind {
		case componentBlock:
			b.group = name(ComponentTarget, b.id)
		case inlineBlock:
			b.group = name(ConnectorTarget, b.id)
		case spliceBlock:
			b.group = name(SpliceTarget, b.id)
		case groundBlock:
			b.group = name(GroundTarget, b.id)
		case bodyBlock:
			b.group = name(PointTarget, b.id)
		}
	}
}

// wireStyle returns how wire i is drawn; a colour code that the standard does not know is drawn in soft ink.
func (s *Sheet) wireStyle(i int, th draw.Theme) draw.WireStyle {
	st, err := th.WireStyle(s.m.wires[i].h.Colour)
	if err != nil {
		st = draw.WireStyle{Base: th.InkSoft, Halo: th.Paper, HaloWidth: 2}
	}
	st.Width, st.Radius = wireWidth, wireRadius
	return st
}

// Measures of drawn wires in sheet units.
const (
	wireWidth  = 4.2
	wireRadius = 5.0
)

// way appends the whole way of wire i to pts, from the metal at its one end to that at the other.
func (s *Sheet) way(pts []draw.Point, i int, live *Live) []draw.Point {
	w := &s.m.wires[i]
	pts = s.inner(pts, w.port[0], live, false)
	pts = append(pts, s.routes[i].pts...)
	return s.inner(pts, w.port[1], live, true)
}

// inner appends the way from the metal at port p to the block's edge, without the edge itself; reversed when out is true.
func (s *Sheet) inner(pts []draw.Point, p int, live *Live, reversed bool) []draw.Point {
	q := s.m.ports[p]
	b := s.m.blocks[q.block]
	t := &b.taps[q.tap]
	parted := t.conn >= 0 && live.Unplugged[s.m.h.Connectors[t.conn].ID]
	var way [3]draw.Point
	n := 0
	metal := b.pt(t.x, b.tapY(t, false, t.conn < 0, parted))
	x := b.x + q.x
	switch {
	case b.lying != 0:
		if t.conn < 0 {
			metal = b.pt(q.ring, b.tapY(t, false, true, parted))
		}
		way[n], n = metal, n+1
		metal.X = x
	case b.kind == spliceBlock && b.barrel(s.m):
		metal.X = x
	case b.kind == spliceBlock:
		way[n], n = metal, n+1
		metal.X = x
	case t.conn < 0:
		metal.X = x // its own ring
	case x != metal.X:
		// One of several wires of a cavity.
		y := b.y + 4
		if !q.top {
			y = b.y + b.h - 4
		}
		way[0], way[1], way[2], n = metal, draw.Point{X: metal.X, Y: y}, draw.Point{X: x, Y: y}, 3
		metal = way[2]
		n--
	}
	way[n], n = metal, n+1
	for k := range n {
		if reversed {
			pts = append(pts, way[n-1-k])
		} else {
			pts = append(pts, way[k])
		}
	}
	return pts
}

// barrel reports whether a splice has more wires than can come to one dot from four sides.
func (b *block) barrel(m *plan) bool {
	var left, right, up, down int
	t := &b.taps[0]
	for _, p := range t.ports {
		q := m.ports[p]
		switch {
		case q.x < t.x-1e-6:
			left++
		case q.x > t.x+1e-6:
			right++
		case q.top:
			up++
		default:
			down++
		}
	}
	return left > 1 || right > 1 || up > 1 || down > 1
}

func (p *painter) labels() {
	num := draw.TextStyle{Size: sizeWire, Face: draw.Bold, Colour: p.th.Ink}
	spec := draw.TextStyle{Size: sizeWire, Colour: p.th.Ink}
	for i := range p.s.m.wires {
		w := &p.s.m.wires[i]
		for _, at := range p.s.routes[i].labels {
			p.l.Text(at, w.label.number, num)
			p.l.Text(draw.Point{X: at.X, Y: at.Y + labelLead}, w.label.spec, spec)
		}
	}
}

func (p *painter) block(b *block) {
	p.l.BeginGroup(b.group.id, b.group.label)
	defer p.l.EndGroup()
	switch b.kind {
	case componentBlock:
		p.component(b)
	case inlineBlock:
		p.inline(b)
	case spliceBlock:
		p.splice(b)
	case groundBlock:
		p.ground(b)
	case bodyBlock:
		p.body(b)
	}
	for i := range b.text {
		t := &b.text[i]
		s := t.s
		if t.state {
			s = p.s.stateText(b, p.live)
		}
		c := p.th.Ink
		if t.soft {
			c = p.th.InkSoft
		}
		p.l.Text(draw.Point{X: b.x + t.x, Y: b.y + t.y}, s, draw.TextStyle{Size: t.size, Face: t.face, Colour: c, Align: t.align})
	}
}

// stateText is what a component's state line says now.
func (s *Sheet) stateText(b *block, live *Live) string {
	if b.kind == spliceBlock {
		if live.OpenLooms[b.id] {
			return loomOpen
		}
		return ""
	}
	c := &s.m.h.Components[b.at]
	text := ""
	switch {
	case isFuse(c.Spec.Kind):
		for i := range s.m.h.Connectors {
			k := &s.m.h.Connectors[i]
			if k.Component != c.ID {
				continue
			}
			f := live.Fuses[k.ID]
			switch {
			case f.Blown:
				text = "blown"
			case live.Unplugged[k.ID] || f.Gone:
				text = "pulled out"
			}
			if r := c.Spec.Values["rating"]; f.Amps > 0 && f.Amps != r {
				text = "holds " + quantity(f.Amps, "A")
				if f.Blown {
					text = "holds " + quantity(f.Amps, "A") + ": blown"
				}
			}
		}
	case c.Control != "":
		text = live.position(s.m.h, c.Control)
	default:
		text = Said(live.Effects[c.ID])
	}
	return draw.Ellipsize(text, draw.Bold, sizeTitle, titleWide)
}

func (p *painter) at(b *block, u, v float64) draw.Point { return b.pt(u, v) }

// terminal draws the metal of a cavity's half.
func (p *painter) terminal(at draw.Point, point harness.Point) {
	if _, no := p.live.Unreachable[point]; no {
		// Out of reach: smaller, and broken as well as faint.
		p.l.Circle(at, 2.8, p.th.Sunk, draw.Pen(p.th.InkFaint, 1.2).Dashed(1.6, 1.4))
		return
	}
	p.l.Circle(at, 3.4, p.th.Paper, draw.Pen(p.th.Ink, 1.5))
}

// half draws one half of a connector: a bar with its terminals and their numbers. outer is the half that wires come to; v is
// the bar's upper edge in the block.
func (p *painter) half(b *block, r *run, taps []int, v float64, outer bool) {
	fill := p.th.Raised
	if !outer {
		fill = p.th.Sunk
	}
	p.l.Rect(b.rect(r.x0, v, r.x1-r.x0, halfH), 2.5, fill, draw.Pen(p.th.Ink, 1.3))
	for _, t := range taps {
		tp := &b.taps[t]
		c := &p.s.m.h.Connectors[tp.conn]
		text, half := c.Cavities[tp.cav].Number, tp.half
		point := harness.CavityPoint(c.ID, text, half)
		if !outer {
			point = harness.CavityPoint(c.ID, text, "b")
			text = tp.terminal
		}
		p.terminal(b.pt(tp.x, v+halfH/2), point)
		p.number(b, tp.x, v, text)
	}
}

// number writes the number of a cavity or terminal into its bar, before its terminal.
func (p *painter) number(b *block, u, v float64, text string) {
	const small = 7.5 // the least that can be read; a bar that stands is narrower than a number is long
	st := draw.TextStyle{Size: sizeCavity, Face: draw.Bold, Colour: p.th.Ink, Align: draw.End}
	if b.lying == 0 {
		const room = barL - 11
		if wide := draw.Measure(text, st.Face, st.Size); wide > room && wide*small/st.Size <= room {
			st.Size *= room / wide // a word of four letters, rather than three of them
		}
		at := b.pt(u-8, v+halfH/2)
		at.Y += draw.CapHeight(draw.Bold, st.Size) / 2
		p.l.Text(at, clip(text, st.Face, st.Size, room), st)
		return
	}
	st.Size, st.Align = small, draw.Middle
	at := b.pt(u-16, v+halfH/2)
	at.Y += draw.CapHeight(draw.Bold, small) / 2
	p.l.Text(at, clip(text, st.Face, small, halfH-1), st)
}

// clip returns as much of the start of s as fits: where two or three letters have room, dots would take the room of the
// letters that tell what it is.
func clip(s string, face draw.Face, size, width float64) string {
	for s != "" && draw.Measure(s, face, size) > width {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	return s
}

// inlineV returns the upper edges of the upper and the lower half of an in-line connector in its block.
func (s *Sheet) inlineV(b *block, live *Live) (up, low float64) {
	if live.Unplugged[b.id] {
		return b.fan[0], b.fan[0] + partGap + halfH
	}
	return b.fan[0] + partGap/2, b.fan[0] + partGap/2 + halfH
}

// inlineBars returns where the two halves of an in-line connector are.
func (s *Sheet) inlineBars(b *block, live *Live) (up, low draw.Rect) {
	r := &b.runs[0]
	u, l := s.inlineV(b, live)
	return b.rect(r.x0, u, r.x1-r.x0, halfH), b.rect(r.x0, l, r.x1-r.x0, halfH)
}

// barV returns the upper edges of the outer (loom's) and the inner (component's) half of a component's connector.
func (s *Sheet) barV(b *block, r *run, live *Live) (outer, inner float64) {
	outer, inner = partGap, partGap+halfH
	if live.Unplugged[s.m.h.Connectors[r.conn].ID] {
		outer = 0
	}
	if r.top {
		return outer + b.fan[0], inner + b.fan[0]
	}
	return b.lh - b.fan[1] - outer - halfH, b.lh - b.fan[1] - inner - halfH
}

// bars returns where the outer and the inner half of a component's connector are.
func (s *Sheet) bars(b *block, r *run, live *Live) (outer, inner draw.Rect) {
	out, in := s.barV(b, r, live)
	return b.rect(r.x0, out, r.x1-r.x0, halfH), b.rect(r.x0, in, r.x1-r.x0, halfH)
}

// symbolBox returns where the drawing of a component, a ground point or the body is, connectors and studs left aside.
func (s *Sheet) symbolBox(b *block) draw.Rect {
	switch b.kind {
	case componentBlock:
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, c := range b.cols {
			h := b.shape.half(i)
			lo, hi = min(lo, c.x-h), max(hi, c.x+h)
		}
		return b.rect(lo, b.fan[0]+joint, hi-lo, b.shape.height())
	case groundBlock:
		return draw.Rect{X: b.x + b.taps[0].x - 13, Y: b.y + groundStud, W: 26, H: groundH - groundStud - 4}
	case bodyBlock:
		return draw.Rect{X: b.x + b.taps[0].x - 13, Y: b.y + bodyPad - studR, W: 26, H: bodyH - bodyPad}
	case inlineBlock, spliceBlock:
	}
	return draw.Rect{X: b.x, Y: b.y, W: b.w, H: b.h}
}

// pins draws, between parted halves, the pins that stick out of the one at to towards the other at from.
func (p *painter) pins(b *block, taps []int, from, to float64) {
	if math.Abs(to-from) < 1 {
		return
	}
	tip := to + (from-to)*0.6
	for _, t := range taps {
		u := b.taps[t].x
		p.l.Line(b.pt(u, to), b.pt(u, tip), draw.Pen(p.th.Ink, 3))
	}
}

func (p *painter) inline(b *block) {
	up, low := p.s.inlineV(b, p.live)
	var lower []int
	for _, c := range b.cols {
		lower = append(lower, c.bottom)
	}
	r := &b.runs[0]
	p.pins(b, lower, up+halfH, low)
	p.half(b, r, r.taps, up, true)
	p.half(b, r, lower, low, true)
}

func (p *painter) splice(b *block) {
	t := &b.taps[0]
	dot := p.at(b, t.x, spliceDot)
	if b.barrel(p.s.m) {
		lo, hi := t.x, t.x
		for _, q := range t.ports {
			lo, hi = min(lo, p.s.m.ports[q].x), max(hi, p.s.m.ports[q].x)
		}
		p.l.Line(p.at(b, lo, spliceDot), p.at(b, hi, spliceDot), draw.RoundPen(p.th.Ink, 6))
	}
	p.l.Circle(dot, 5, p.th.Ink, draw.Pen(p.th.Paper, 1.2))
	if p.live.OpenLooms[b.id] {
		// The tape is off: two cut edges beside the joint.
		p.l.Circle(dot, 9.5, draw.Colour{}, draw.Pen(p.th.Ink, 1.3).Dashed(3, 2))
		p.l.Circle(dot, 2, p.th.Paper, draw.Stroke{})
	}
}

func (p *painter) rings(b *block, t *tap) {
	v, ring := b.tapY(t, false, false, false), b.tapY(t, false, true, false)
	stud := b.pt(t.x, v)
	for _, q := range t.ports {
		u := p.s.m.ports[q].ring
		p.l.Polyline([]draw.Point{b.pt(u, ring), b.pt(u, v), stud}, draw.Pen(p.th.Ink, 1.6))
		p.l.Circle(b.pt(u, ring), ringR, p.th.Paper, draw.Pen(p.th.Ink, 1.6))
	}
	p.l.Circle(stud, studR, p.th.Paper, draw.Pen(p.th.Ink, 1.6))
	p.l.Circle(stud, 2.6, p.th.Ink, draw.Stroke{})
}

func (p *painter) ground(b *block) {
	t := &b.taps[0]
	p.l.Line(p.at(b, t.x, groundStud), p.at(b, t.x, groundStud+10), draw.Pen(p.th.Ink, 1.6))
	draw.SymChassis.Draw(p.l, draw.Place{At: p.at(b, t.x, groundStud+10+13), Scale: symScale}, draw.State{}, p.th)
	p.rings(b, t)
}

func (p *painter) body(b *block) {
	t := &b.taps[0]
	at := p.at(b, t.x, bodyPad)
	draw.SymChassis.Draw(p.l, draw.Place{At: at.Add(draw.Point{Y: 18}), Scale: symScale}, draw.State{}, p.th)
	p.l.Circle(at, studR, p.th.Paper, draw.Pen(p.th.Ink, 1.6).Dashed(2.5, 2))
}

// component draws plugs, studs and symbol of a component.
func (p *painter) component(b *block) {
	p.symbol(b)
	for i := range b.runs {
		r := &b.runs[i]
		outer, inner := p.s.barV(b, r, p.live)
		if r.top {
			p.pins(b, r.taps, outer+halfH, inner)
		} else {
			p.pins(b, r.taps, outer, inner+halfH)
		}
		p.half(b, r, r.taps, inner, false)
		p.half(b, r, r.taps, outer, true)
		if r.labelShown {
			at, align := p.runLabel(b, r)
			p.l.Text(at, r.label, draw.TextStyle{Size: sizeID, Face: draw.Bold, Colour: p.th.Ink, Align: align})
		}
	}
	for i := range b.taps {
		if t := &b.taps[i]; t.conn < 0 {
			p.rings(b, t)
		}
	}
}

// runLabel returns where the name of a component's connector stands: before its bars, or above bars that stand.
func (p *painter) runLabel(b *block, r *run) (draw.Point, draw.Align) {
	v := b.fan[0] + (partGap+2*halfH)/2 + 5
	if !r.top {
		v = b.lh - b.fan[1] - (partGap+2*halfH)/2 + 5
	}
	if b.lying == 0 {
		return b.pt(r.labelX, v), draw.End
	}
	at := b.pt(0, v)
	at.Y = b.y + b.core.Y - 5
	return at, draw.Middle
}
