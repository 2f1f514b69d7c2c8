package bench

import (
	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// handSize is how large the word about the lead in the hand is, at most w wide; stacked says that its buttons stand below
// the words.
func (p *pen) handSize(most float64) (w, h float64, stacked bool) {
	text, buttons := p.handWords()
	bw := 0.0
	for _, b := range buttons {
		bw += p.width(b) + 6
	}
	size := p.th.Type.Body
	w = draw.Measure(text, draw.Bold, size) + 40*p.k + bw + 16
	h = p.touch + 10
	if w > most {
		return most, h + draw.LineHeight(draw.Bold, size) + 6, true
	}
	return w, h, false
}

// handWords says which lead is in the hand, and what can be done but put it somewhere.
func (p *pen) handWords() (string, []btn) {
	m := p.m
	e := *m.armed
	buttons := []btn{{id: "hand/back", label: "Cancel", act: func() { m.armed = nil }}}
	if m.st.Leads[e.tool][e.end] != "" {
		buttons = append([]btn{{id: "hand/lift", label: "Take off", say: "Take the lead off", act: func() { m.lift(e) }}}, buttons...)
	}
	return upper(e.tool.Ends()[e.end]) + ": " + goesTo(e.tool), buttons
}

// inHand tells which lead is in the hand and what to do with it.
func (p *pen) inHand(box draw.Rect) {
	text, buttons := p.handWords()
	_, _, stacked := p.handSize(box.W)
	p.part = partSheet
	p.l.Rect(box, p.th.Space.Radius, p.th.AccentSoft, draw.Pen(p.th.Accent, 2))
	if p.form == wide {
		p.f.hand = box
	}
	st := p.th.Text(p.th.Type.Body).As(draw.Bold)
	in := box.Inset(5)
	row := in
	if stacked {
		row, in = in.CutTop(draw.LineHeight(st.Face, st.Size))
		_, in = in.CutTop(6)
	}
	p.letterDisc(draw.Point{X: row.X + 12*p.k, Y: row.Y + row.H/2}, min(9*p.k, row.H/2), *p.m.armed)
	p.oneLine(draw.Rect{X: row.X + 26*p.k, Y: row.Y, W: row.W - 26*p.k, H: row.H}, text, st)
	x := in.MaxX()
	for i := len(buttons) - 1; i >= 0; i-- {
		w := p.width(buttons[i])
		x -= w
		p.button(draw.Rect{X: x, Y: in.Y, W: w, H: in.H}, buttons[i])
		x -= 6
	}
}

// handBar puts the word about the lead in the hand over the whole width, in the place of the guidance, and returns what is left.
func (p *pen) handBar(r draw.Rect) draw.Rect {
	if p.m.armed == nil {
		return p.guideBar(r)
	}
	_, h, _ := p.handSize(r.W)
	bar, rest := r.CutTop(h)
	p.inHand(bar)
	return rest
}

// takeUp takes a lead into the hand, or puts it back if it is there.
func (m *Model) takeUp(e leadEnd) {
	m.dirty = true
	m.note = note{}
	if m.st.Closed {
		return
	}
	if m.armed != nil && *m.armed == e {
		m.armed = nil
		return
	}
	m.armed = &e
	m.tool = e.tool
	m.showSheet()
}

// put asks for a lead at a point, if one can get there.
func (m *Model) put(e leadEnd, at harness.Point) {
	m.dirty = true
	if m.st.Closed {
		return
	}
	if r, ok := m.reach[at]; ok && !r.Ok {
		m.note = note{text: upper(r.Why) + ".", point: at, bad: true}
		return
	}
	if e.tool.Grip() == meter.AtPoint {
		m.point = at
		if m.form != narrow {
			m.object = m.objectOf(at)
		}
	}
	m.do(attempt.Lead{Tool: e.tool, End: e.end, Point: at})
}

// lift takes a lead off.
func (m *Model) lift(e leadEnd) {
	m.dirty = true
	m.armed = nil
	if m.st.Leads[e.tool][e.end] != "" {
		m.do(attempt.Lead{Tool: e.tool, End: e.end})
	}
}
