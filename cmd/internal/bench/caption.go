package bench

import (
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
)

// captionHeight is the height of the line that says what happened last.
func (p *pen) captionHeight() float64 {
	lines := 1.0
	if p.form == narrow {
		lines = 2
	}
	return lines*draw.LineHeight(draw.Regular, p.th.Type.Caption) + 10
}

// caption says what happened last: sounds, what a lead could not do, the last line of the log; when nothing did, what the thing
// under the pointer or the keyboard is for. It is drawn after the cables that cross it, on plates of its own, so that it can be read.
func (p *pen) caption() {
	m, r := p.m, p.words
	if r.Empty() {
		return
	}
	text, bad := m.lastWords()
	hint := ""
	about := m.hover
	if about == "" && m.showRing {
		about = m.focus
	}
	if w := p.f.Find(about); w != nil && w.Hint != "" && about != m.hintDone {
		hint = w.Label + ": " + w.Hint
	}
	st := p.th.Text(p.th.Type.Caption)
	if hint != "" && !bad {
		text, st = hint, p.th.Soft(p.th.Type.Caption)
	}
	if text == "" {
		return
	}
	in := r.InsetXY(8, 4)
	if bad {
		p.l.Rect(r.InsetXY(0, 2), p.th.Space.Radius, p.th.BadSoft, draw.Stroke{})
		p.th.Mark(p.l, draw.Point{X: in.X + 7*p.k, Y: in.Y + draw.LineHeight(st.Face, st.Size)/2}, 11*p.k, draw.Caution)
		_, in = in.CutLeft(18 * p.k)
	}
	lines := draw.Wrap(text, st.Face, st.Size, in.W)
	lh := draw.LineHeight(st.Face, st.Size)
	n := max(int(in.H/lh+0.1), 1)
	if len(lines) > n {
		rest := lines[n-1]
		for _, s := range lines[n:] {
			rest += " " + s
		}
		lines = append(lines[:n-1], draw.Ellipsize(rest, st.Face, st.Size, in.W))
	}
	for i, s := range lines {
		if !bad {
			w := min(draw.Measure(s, st.Face, st.Size), in.W)
			p.l.Rect(draw.Rect{X: in.X - 4, Y: in.Y + float64(i)*lh, W: w + 8, H: lh}, p.th.Space.Radius/2, p.th.Desk, draw.Stroke{})
		}
		p.oneLine(draw.Rect{X: in.X, Y: in.Y + float64(i)*lh, W: in.W, H: lh}, s, st)
	}
}

// lastWords is what happened last, in words.
func (m *Model) lastWords() (text string, bad bool) {
	if m.note.text != "" {
		return m.note.text, m.note.bad
	}
	return m.lastEntry(), false
}

// lastEntry is the last line of the log.
func (m *Model) lastEntry() string {
	n := len(m.st.Log)
	if n == 0 {
		return ""
	}
	e := m.st.Log[n-1]
	if e.Showed == "" {
		return upper(e.Did)
	}
	return upper(e.Did) + " — " + sheet.Reads(e.Showed)
}
