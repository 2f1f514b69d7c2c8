package sheet

import (
	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// symbol draws what stands between the joints of a component: its symbol, or contacts on a common bar, or a box.
func (p *painter) symbol(b *block) {
	c := &p.s.m.h.Components[b.at]
	top := b.fan[0] + joint
	if b.shape.multi {
		top += jogH
	}
	mid := top + symH/2
	lead := draw.RoundPen(p.th.Ink, 1.6*symScale)
	if b.shape.boxed {
		p.box(b)
		return
	}
	if b.shape.relay {
		p.relayCase(b, mid)
	}
	if b.shape.bar >= 0 {
		p.commonBar(b, lead)
	}
	for i, k := range b.cols {
		part := &b.shape.parts[i]
		if part.kind == partNone {
			continue
		}
		pl := draw.Place{At: p.at(b, k.x, mid), Scale: symScale, Turn: part.turn + draw.Turn(b.lying)}
		st := p.partState(c, part)
		switch part.kind {
		case partChange, partTrack:
			o := b.taps[part.other].x
			pl.Mirror = (o < k.x) != (part.turn == 2)
			part.sym.Draw(p.l, pl, st, p.th)
			own := draw.Place{At: draw.Point{X: k.x, Y: mid}, Scale: symScale, Turn: part.turn, Mirror: pl.Mirror}
			if part.kind == partTrack {
				p.wiperLead(b, part, own, lead)
			} else {
				p.changeLeads(b, k, part, own, lead)
			}
		default:
			part.sym.Draw(p.l, pl, st, p.th)
		}
		if b.shape.multi {
			if k.top >= 0 {
				p.l.Line(p.at(b, k.x, b.fan[0]+joint), p.at(b, k.x, top), lead)
			}
			if k.bottom >= 0 && part.kind != partChange {
				p.l.Line(p.at(b, k.x, top+symH), p.at(b, k.x, top+symH+jogH), lead)
			}
		}
	}
}

// partState is what a part shows now.
func (p *painter) partState(c *harness.Component, part *part) draw.State {
	st := draw.State{Level: p.live.level(c.ID)}
	switch {
	case isFuse(c.Spec.Kind):
		for i := range p.s.m.h.Connectors {
			if k := &p.s.m.h.Connectors[i]; k.Component == c.ID && p.live.Fuses[k.ID].Blown {
				st.Blown = true
			}
		}
	case c.Spec.Kind == "relay":
		// A relay is drawn at rest, as the trade draws it: what it does cannot be seen from outside.
		st.Level = 0
	case part.kind == partTrack:
		st.Setting = p.setting(c)
	case len(c.Spec.Positions) > 0:
		closed := p.joined(c, part.join)
		st.Operated = closed
		if part.sym == draw.SymBreak || part.sym == draw.SymPushBreak {
			st.Operated = !closed
		}
	}
	return st
}

// setting is where the wiper of a track stands, from 0 (ground end) to 1.
func (p *painter) setting(c *harness.Component) float64 {
	lo, hi := c.Spec.Values["low"]/100, c.Spec.Values["high"]/100
	pos := p.live.position(p.s.m.h, c.Control)
	for i, q := range c.Spec.Positions {
		if q.Name == pos && i > 0 {
			return lo + float64(hi-lo)*float64(i)/float64(len(c.Spec.Positions)-1)
		}
	}
	return lo
}

// joined reports whether a switch joins two of its terminals in its present position.
func (p *painter) joined(c *harness.Component, pair [2]string) bool {
	pos := p.live.position(p.s.m.h, c.Control)
	for i, q := range c.Spec.Positions {
		if q.Name != pos && !(pos == "" && i == 0) {
			continue
		}
		for _, j := range q.Joins {
			if j == pair || j == [2]string{pair[1], pair[0]} {
				return true
			}
		}
	}
	return false
}

// commonBar draws the line that carries a common terminal to all blades.
func (p *painter) commonBar(b *block, pen draw.Stroke) {
	t := &b.taps[b.shape.bar]
	y := b.fan[0] + joint + jogH
	edge := b.fan[0] + joint
	if !t.top {
		y = b.lh - b.fan[1] - joint - jogH
		edge = b.lh - b.fan[1] - joint
	}
	lo, hi := t.x, t.x
	n := 0
	for i, k := range b.cols {
		if b.shape.parts[i].kind == partBlade {
			lo, hi = min(lo, k.x), max(hi, k.x)
			n++
		}
	}
	p.l.Line(p.at(b, t.x, edge), p.at(b, t.x, y), pen)
	if hi > lo {
		p.l.Line(p.at(b, lo, y), p.at(b, hi, y), pen)
		if n > 1 {
			p.l.Circle(p.at(b, t.x, y), 2.4, p.th.Ink, draw.Stroke{})
		}
		// The blades move together.
		mid := b.fan[0] + joint + jogH + symH/2
		var xs []float64
		for i, k := range b.cols {
			if b.shape.parts[i].kind == partBlade {
				xs = append(xs, k.x)
			}
		}
		if len(xs) > 1 {
			p.l.Line(p.at(b, xs[0]-6, mid), p.at(b, xs[len(xs)-1]-6, mid), draw.Pen(p.th.Ink, 1.1).Dashed(3, 2.4))
		}
	}
}

// changeLeads leads the two throws of a change-over contact to their columns.
func (p *painter) changeLeads(b *block, k column, part *part, pl draw.Place, pen draw.Stroke) {
	own := k.bottom
	edge, jog := b.lh-b.fan[1]-joint, -jogH/2
	if part.turn == 2 {
		own = k.top
		edge, jog = b.fan[0]+joint, jogH/2
	}
	for _, e := range []struct {
		name string
		tap  int
	}{{"make", own}, {"break", part.other}} {
		from, ok := part.sym.TerminalAt(pl, e.name)
		if !ok || e.tap < 0 {
			continue
		}
		x := b.taps[e.tap].x
		p.l.Polyline([]draw.Point{p.at(b, from.X, from.Y), p.at(b, from.X, edge+jog), p.at(b, x, edge+jog), p.at(b, x, edge)}, pen)
	}
	if k.top >= 0 && part.turn != 2 {
		return
	}
	p.l.Line(p.at(b, k.x, b.lh-b.fan[1]-joint-jogH), p.at(b, k.x, b.lh-b.fan[1]-joint), pen)
}

// wiperLead leads the wiper of a track to its tap.
func (p *painter) wiperLead(b *block, part *part, pl draw.Place, pen draw.Stroke) {
	from, ok := part.sym.TerminalAt(pl, "w")
	if !ok {
		return
	}
	t := &b.taps[part.other]
	edge := b.fan[0] + joint
	if !t.top {
		edge = b.lh - b.fan[1] - joint
	}
	p.l.Polyline([]draw.Point{p.at(b, from.X, from.Y), p.at(b, t.x, from.Y), p.at(b, t.x, edge)}, pen)
}

// relayCase draws the outline of a relay and the link between its coil and contacts.
func (p *painter) relayCase(b *block, mid float64) {
	lo, hi := b.cols[0].x, b.cols[len(b.cols)-1].x
	box := b.rect(lo-24, b.fan[0]+joint+3, hi-lo+40, b.shape.height()-6)
	p.l.Rect(box, 3, p.th.Paper, draw.Pen(p.th.InkSoft, 0.9).Dashed(5, 3))
	coil, contact := -1.0, -1.0
	for i, k := range b.cols {
		switch b.shape.parts[i].kind {
		case partSymbol:
			coil = k.x
		case partBlade, partChange:
			if contact < 0 {
				contact = k.x
			}
		}
	}
	if coil < 0 || contact < 0 {
		return
	}
	step := 12.0
	if contact < coil {
		step = -12
	}
	p.l.Line(p.at(b, coil+step, mid), p.at(b, contact-6, mid), draw.Pen(p.th.Ink, 1.1).Dashed(3, 2.4))
}

// box draws a component that has no symbol of its own.
func (p *painter) box(b *block) {
	lo, hi := b.cols[0].x, b.cols[len(b.cols)-1].x
	top := b.fan[0] + joint
	const lead = 8.0
	pen := draw.RoundPen(p.th.Ink, 1.6*symScale)
	v0, v1 := top+lead, top+b.shape.height()-lead
	p.l.Rect(b.rect(lo-20, v0, hi-lo+40, v1-v0), 2, p.th.Paper, pen)
	for _, k := range b.cols {
		if k.top >= 0 {
			p.l.Line(p.at(b, k.x, top), p.at(b, k.x, top+lead), pen)
		}
		if k.bottom >= 0 {
			p.l.Line(p.at(b, k.x, b.lh-b.fan[1]-joint-lead), p.at(b, k.x, b.lh-b.fan[1]-joint), pen)
		}
	}
	c := &p.s.m.h.Components[b.at]
	if sym := inBox(c.Spec.Kind); sym != boxSymbol && !(c.Spec.Kind == "wiper" && p.wiper(b, c, v0, v1)) {
		sym.Draw(p.l, draw.Place{At: p.at(b, (lo+hi)/2, (v0+v1)/2), Scale: symScale}, draw.State{Level: p.live.level(c.ID)}, p.th)
	}
	if len(c.Spec.Positions) > 0 {
		p.boxJoins(b, c, v0+7, v1-7)
	}
}

// boxJoins shows in a box which terminals are joined now; their dots stand at the heights top and bottom.
func (p *painter) boxJoins(b *block, c *harness.Component, top, bottom float64) {
	spot := map[string]draw.Point{}
	for i := range b.taps {
		t := &b.taps[i]
		v := top
		if !t.top {
			v = bottom
		}
		if _, ok := spot[t.terminal]; !ok && t.terminal != "" {
			spot[t.terminal] = b.pt(t.x, v)
		}
	}
	pos := p.live.position(p.s.m.h, c.Control)
	for _, q := range c.Spec.Positions {
		if q.Name != pos {
			continue
		}
		for _, j := range q.Joins {
			a, okA := spot[j[0]]
			z, okZ := spot[j[1]]
			if okA && okZ {
				p.l.Line(a, z, draw.RoundPen(p.th.Ink, 2))
			}
		}
	}
	for i := range b.taps {
		if at, ok := spot[b.taps[i].terminal]; ok {
			p.l.Circle(at, 2.2, p.th.Paper, draw.Pen(p.th.Ink, 1.3))
		}
	}
}
