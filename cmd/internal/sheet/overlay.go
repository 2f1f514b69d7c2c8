package sheet

import (
	"slices"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Measures of what is laid over the sheet, in sheet units.
const (
	ringWide   = 6.5  // radius of the ring round a point with a lead
	flagH      = 15.0 // height of a lead's flag and of a mark
	flagText   = 10.5
	flagOff    = 12.0 // from the point to its flag
	bandWide   = 15.0 // width of a band along a wire
	focusClear = 4.0  // from a box to its focus ring
)

// under marks, beneath the wires, what is pointed at and what the keyboard is on, as far as that is a wire.
func (p *painter) under() {
	var buf [64]draw.Point
	band := func(t Target, c draw.Colour, width float64) {
		if t.Kind != WireTarget {
			return
		}
		i, ok := p.s.wireIndex[t.ID]
		if !ok {
			return
		}
		var path draw.Path
		path.Rounded(p.s.way(buf[:0], i, p.live), wireRadius)
		p.l.Path(path, draw.Colour{}, draw.RoundPen(c, width))
	}
	band(p.live.Hover, p.th.AccentSoft.Mix(p.th.Accent, 0.25), bandWide)
	band(p.live.Focus, p.th.Focus, wireWidth+10)
	band(p.live.Focus, p.th.Paper, wireWidth+5)
}

// over marks, over everything, notes, leads, and what is pointed at or focused where that is not a wire.
func (p *painter) over() {
	p.seen()
	p.marks()
	p.leads()
	p.outline(p.live.Hover, draw.Pen(p.th.Accent, 1.6))
	p.outline(p.live.Focus, draw.Pen(p.th.Focus, p.th.Space.Focus))
}

// outline draws a ring round every place of a target.
func (p *painter) outline(t Target, pen draw.Stroke) {
	switch t.Kind {
	case PointTarget:
		if at, ok := p.s.WhereNow(harness.Point(t.ID), *p.live); ok {
			p.l.Circle(at, ringWide+2.5, draw.Colour{}, pen)
		}
	case WireTarget:
		i, ok := p.s.wireIndex[t.ID]
		if !ok {
			return
		}
		for _, at := range p.s.routes[i].labels {
			r := draw.Rect{X: at.X - 3, Y: at.Y - sizeWire, W: p.s.m.wires[i].label.width + 6, H: labelLead + sizeWire + 4}
			p.l.Rect(r, 4, draw.Colour{}, pen)
		}
	case ConnectorTarget, ComponentTarget, SpliceTarget, GroundTarget:
		dy := -focusClear
		if t.Kind == ComponentTarget {
			dy = 1 // its connectors shut it in above and below
		}
		for _, b := range p.s.blocksOf[t.ID] {
			for _, r := range p.s.boxesOf(t.Kind, t.ID, p.s.m.blocks[b], p.live) {
				p.l.Rect(r.InsetXY(-focusClear, dy), 5, draw.Colour{}, pen)
			}
		}
	case NoTarget, ControlTarget:
	}
}

// boxesOf returns where a thing is drawn within a block.
func (s *Sheet) boxesOf(kind Kind, id string, b *block, live *Live) []draw.Rect {
	switch {
	case kind == ConnectorTarget && b.kind == inlineBlock && b.id == id:
		up, low := s.inlineBars(b, live)
		return []draw.Rect{up.Union(low)}
	case kind == ConnectorTarget && b.kind == componentBlock:
		var out []draw.Rect
		for k := range b.runs {
			if s.m.h.Connectors[b.runs[k].conn].ID == id {
				outer, inner := s.bars(b, &b.runs[k], live)
				out = append(out, outer.Union(inner))
			}
		}
		return out
	case kind == ComponentTarget && b.kind == componentBlock && b.id == id, kind == GroundTarget && b.kind == groundBlock && b.id == id:
		return []draw.Rect{s.symbolBox(b)}
	case kind == SpliceTarget && b.kind == spliceBlock && b.id == id:
		return []draw.Rect{draw.RectAround(b.pt(b.taps[0].x, spliceDot), 14, 14)}
	}
	return nil
}

// flag draws a small plate with a word beside a point; row counts the plates at the same point from the top.
func (p *painter) flag(at draw.Point, row int, text string, fill, ink, edge draw.Colour) {
	w := draw.Measure(text, draw.Bold, flagText) + 9
	r := draw.Rect{X: at.X + flagOff, Y: at.Y - flagH/2 - 3 + float64(row)*(flagH+2), W: w, H: flagH}
	if r.MaxX() > p.s.size.MaxX()-2 {
		r.X = at.X - flagOff - w
	}
	p.l.Rect(r, 4, fill, draw.Pen(edge, 1))
	p.l.Text(draw.Point{X: r.X + r.W/2, Y: draw.Baseline(r, draw.Bold, flagText)}, text,
		draw.TextStyle{Size: flagText, Face: draw.Bold, Colour: ink, Align: draw.Middle})
}

// leads draws the ends of the instruments' leads: a ring in the lead's colour round the point, and a flag with its
// letter, R for red or B for black, and the tool where it is not the meter.
func (p *painter) leads() {
	for i, lead := range p.live.Leads {
		at, ok := p.s.WhereNow(lead.Point, *p.live)
		if !ok || lead.Point == "" {
			continue
		}
		row := 0
		for _, other := range p.live.Leads[:i] {
			if other.Point == lead.Point {
				row++
			}
		}
		c, text := p.th.LeadRed, "R"
		if lead.End == 1 {
			c, text = p.th.LeadBlack, "B"
		}
		p.l.Circle(at, ringWide+float64(row)*3, draw.Colour{}, draw.Pen(c, 2.6))
		if row == 0 {
			p.l.Circle(at, 2.6, c, draw.Stroke{})
		}
		p.flag(at, row, text+toolWord(lead.Tool), c, p.th.OnLead, p.th.Paper)
	}
}

func toolWord(t meter.Tool) string {
	switch t {
	case meter.Multimeter:
		return ""
	case meter.TestLamp:
		return " lamp"
	case meter.Jumper:
		return " jumper"
	}
	return " " + string(t)
}

// seen draws what an inspection showed: a ring round the point, and a plate with a mark and the word beside it. Of both halves of a cavity of
// which the same was seen one has the plate.
func (p *painter) seen() {
	const mark, gap, besideWire, clearOf = 9.0, 4.0, 5.0, 9.0
	for _, id := range sortedKeys(p.live.Seen) {
		word := p.live.Seen[id]
		at, ok := p.s.WhereNow(id, *p.live)
		if !ok || word == "" {
			continue
		}
		p.l.Circle(at, ringWide, draw.Colour{}, draw.Pen(p.th.Caution, 1.8))
		cavity, isB := strings.CutSuffix(string(id), ".b")
		if isB && p.live.Seen[harness.Point(cavity+".a")] == word {
			continue
		}
		w := mark + gap + draw.Measure(word, draw.Bold, flagText) + 9
		// Left of the wire and clear of the connector: to the right are the wire's label, leads and notes.
		r := draw.Rect{X: at.X - besideWire - w, Y: at.Y - clearOf - flagH, W: w, H: flagH}
		if p.leavesDown(id, at) {
			r.Y = at.Y + clearOf
		}
		if r.X < p.s.size.X+2 {
			r.X = at.X + flagOff
		}
		p.l.Rect(r, 4, p.th.CautionSoft, draw.Pen(p.th.Caution, 1))
		p.th.Mark(p.l, draw.Point{X: r.X + 4 + mark/2, Y: r.Center().Y}, mark, draw.Caution)
		p.l.Text(draw.Point{X: r.X + 4 + mark + gap, Y: draw.Baseline(r, draw.Bold, flagText)}, word, draw.TextStyle{Size: flagText, Face: draw.Bold, Colour: p.th.Ink})
	}
}

// leavesDown reports whether the wire at a point goes down from it.
func (p *painter) leavesDown(id harness.Point, at draw.Point) bool {
	var buf [64]draw.Point
	for i := range p.s.routes {
		w := &p.s.m.wires[i]
		if !slices.Contains(w.ends[:], id) {
			continue
		}
		way := p.s.way(buf[:0], i, p.live)
		if n := len(way); n > 1 {
			first, next := way[0], way[1]
			if at.Dist(way[n-1]) < at.Dist(first) {
				first, next = way[n-1], way[n-2]
			}
			return next.Y > first.Y
		}
	}
	return false
}

// marks draws the notes at points.
func (p *painter) marks() {
	for _, id := range sortedKeys(p.live.Marks) {
		at, ok := p.s.WhereNow(id, *p.live)
		if !ok || p.live.Marks[id] == "" {
			continue
		}
		row := 0
		for _, lead := range p.live.Leads {
			if lead.Point == id {
				row++
			}
		}
		p.l.Circle(at, ringWide, draw.Colour{}, draw.Pen(p.th.Focus, 1.4).Dashed(2.5, 1.8))
		p.flag(at, row, p.live.Marks[id], p.th.Raised, p.th.Ink, p.th.Focus)
	}
}
