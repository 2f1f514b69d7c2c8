package bench

import (
	"math"

	"faultloom/cmd/internal/draw"
)

// pen builds one frame: it draws and notes the widgets as it goes.
type pen struct {
	m     *Model
	f     *Frame
	l     *draw.List
	th    draw.Theme // scaled to the text size in use
	k     float64    // text scale, 1 to 2
	touch float64    // least height of what a finger or mouse must hit
	layer int
	clip  draw.Rect
	panel string
	part  string
	form  form
	words draw.Rect // where the caption stands, empty if there is no room
	// seenHidden says that the list of what is seen and heard may be out of sight, so that the check has to tell it.
	seenHidden bool

	again bool // something only known at the end changed the layout: build once more
}

// btn describes a button before it has a place.
type btn struct {
	id    string
	label string
	say   string // what it is called when the label alone does not tell; "" the label
	role  Role   // "" is Button
	on    bool
	off   bool // cannot be used now
	main  bool // the thing to do here
	alarm bool // cannot be undone
	plain bool // no face of its own until the pointer is on it
	start bool // label at the start instead of the middle
	small bool
	note  string // second line, softer
	mark  draw.Colour
	hint  string
	act   func()
}

func (b btn) name() string {
	if b.say != "" {
		return b.say
	}
	return b.label
}

// add notes a widget whose whole place is r.
func (p *pen) add(w Widget, r draw.Rect) *Widget {
	w.full, w.panel, w.part, w.Layer = r, p.panel, p.part, p.layer
	w.Rect = r.Intersect(p.clip)
	// A sliver of a thing cannot be told from none.
	const sliver, rounding = 6, 1e-6
	w.Hidden = w.Rect.W < min(sliver, r.W-rounding) || w.Rect.H < min(sliver, r.H-rounding)
	w.Focused = p.m.focus == w.ID && p.m.showRing
	p.f.Widgets = append(p.f.Widgets, w)
	return &p.f.Widgets[len(p.f.Widgets)-1]
}

func (p *pen) labelStyle(b btn) draw.TextStyle {
	size := p.th.Type.Body
	if b.small {
		size = p.th.Type.Caption
	}
	st := p.th.Text(size)
	if b.main || b.on {
		st.Face = draw.Bold
	}
	return st
}

// padX and padY are the room between a button's edge and its label.
func (p *pen) padX() float64 { return 9 * p.k }
func (p *pen) padY() float64 { return 5 * p.k }

// lead is the room that a button's mark takes before the label.
func (p *pen) lead(b btn) float64 {
	if b.on && b.role != Lead || b.mark.A > 0 {
		return 16 * p.k
	}
	return 0
}

// width returns how wide b would like to be.
func (p *pen) width(b btn) float64 {
	st := p.labelStyle(b)
	w := draw.Measure(b.label, draw.Bold, st.Size)
	if b.note != "" {
		w = max(w, draw.Measure(b.note, draw.Regular, p.th.Type.Caption))
	}
	mark := 0.0
	if b.role == Choice || b.role == Toggle || b.mark.A > 0 {
		mark = 16 * p.k
	}
	return max(math.Ceil(w+mark+2*p.padX()), p.touch)
}

// height returns how high b must be when it is w wide.
func (p *pen) height(b btn, w float64) float64 {
	st := p.labelStyle(b)
	st.Face = draw.Bold // so that choosing it does not move anything
	in := p.inner(b, w)
	h := draw.ParagraphHeight(b.label, in, st)
	if b.note != "" {
		h += draw.ParagraphHeight(b.note, in, p.th.Soft(p.th.Type.Caption))
	}
	return max(math.Ceil(h+2*p.padY()), p.touch)
}

func (p *pen) inner(b btn, w float64) float64 {
	mark := 0.0
	if b.role == Choice || b.role == Toggle || b.mark.A > 0 {
		mark = 16 * p.k
	}
	return max(w-2*p.padX()-mark, 8)
}

// button draws b in r and notes it.
func (p *pen) button(r draw.Rect, b btn) {
	role := b.role
	if role == "" {
		role = Button
	}
	enabled := !b.off && b.act != nil
	w := p.add(Widget{ID: b.id, Label: b.name(), Role: role, Enabled: enabled, On: b.on, Hint: b.hint, Stop: true, act: b.act}, r)
	hover := p.m.hover == b.id && enabled
	fill, edge, ink := p.th.Raised, p.th.Edge, p.th.Ink
	switch {
	case !enabled:
		fill, edge, ink = p.th.Sunk, p.th.Hairline, p.th.InkFaint
	case b.main:
		fill, edge, ink = p.th.Accent, p.th.AccentDeep, p.th.OnAccent
		if hover {
			fill = p.th.AccentDeep
		}
	case b.on:
		fill, edge, ink = p.th.AccentSoft, p.th.Accent, p.th.AccentDeep
	case b.alarm:
		edge, ink = p.th.Bad, p.th.Bad
		if hover {
			fill = p.th.BadSoft
		}
	case b.plain && !hover:
		fill, edge = draw.Colour{}, draw.Colour{}
	case hover:
		fill = p.th.AccentSoft
	}
	width := 1.0
	if b.on {
		width = 2
	}
	p.l.BeginGroup(b.id, b.name())
	p.l.Rect(r, p.th.Space.Radius, fill, draw.Pen(edge, width))
	st := p.labelStyle(b).In(ink)
	in := p.inner(b, r.W)
	lines := draw.Wrap(b.label, st.Face, st.Size, in)
	var notes []string
	nst := p.th.Soft(p.th.Type.Caption)
	if b.main {
		nst.Colour = ink
	}
	if !enabled {
		nst.Colour = p.th.InkFaint
	}
	if b.note != "" {
		notes = draw.Wrap(b.note, nst.Face, nst.Size, in)
	}
	lh, nh := draw.LineHeight(st.Face, st.Size), draw.LineHeight(nst.Face, nst.Size)
	y := r.Y + (r.H-float64(len(lines))*lh-float64(len(notes))*nh)/2
	lead := p.lead(b)
	x, align := r.X+p.padX()+lead, draw.Start
	if !b.start {
		x, align = r.X+r.W/2+lead/2, draw.Middle
		if lead == 0 && (b.role == Choice || b.role == Toggle) {
			x = r.X + r.W/2
		}
	}
	widest := 0.0
	for _, s := range lines {
		widest = max(widest, draw.Measure(s, st.Face, st.Size))
	}
	if lead > 0 {
		mx := r.X + p.padX() + 5*p.k
		if !b.start {
			mx = x - widest/2 - lead + 5*p.k
		}
		my := y + lh/2
		if b.mark.A > 0 {
			p.l.Circle(draw.Point{X: mx, Y: my}, 5*p.k, b.mark, draw.Pen(p.th.Ink, 1))
		} else {
			p.tick(draw.Point{X: mx, Y: my}, 4.2*p.k, ink)
		}
	}
	for _, s := range lines {
		p.line(draw.Rect{X: r.X, Y: y, W: r.W, H: lh}, x, s, st.To(align), r)
		y += lh
	}
	for _, s := range notes {
		p.line(draw.Rect{X: r.X, Y: y, W: r.W, H: nh}, x, s, nst.To(align), r)
		y += nh
	}
	p.l.EndGroup()
	p.ring(w, r)
}

// line sets one line of text in the middle of the height of row and notes that it must fit box.
func (p *pen) line(row draw.Rect, x float64, s string, st draw.TextStyle, box draw.Rect) {
	at := draw.Point{X: x, Y: draw.Baseline(row, st.Face, st.Size)}
	p.l.Text(at, s, st)
	p.fits(s, draw.TextBounds(at, s, st), box)
}

func (p *pen) fits(s string, is, in draw.Rect) {
	// Only the width and the letters' own height count, not the room for accents above them.
	is.Y += is.H * 0.2
	is.H *= 0.7
	p.f.boxes = append(p.f.boxes, textBox{s, is, in})
}

// tick draws a check mark of half size r about c.
func (p *pen) tick(c draw.Point, r float64, ink draw.Colour) {
	p.l.Polyline([]draw.Point{{X: c.X - r, Y: c.Y}, {X: c.X - r*0.25, Y: c.Y + r*0.75}, {X: c.X + r, Y: c.Y - r*0.8}},
		draw.RoundPen(ink, 2*p.k))
}

// cross draws the opposite of a check mark.
func (p *pen) cross(c draw.Point, r float64, ink draw.Colour) {
	r *= 0.8
	p.l.Line(draw.Point{X: c.X - r, Y: c.Y - r}, draw.Point{X: c.X + r, Y: c.Y + r}, draw.RoundPen(ink, 2*p.k))
	p.l.Line(draw.Point{X: c.X - r, Y: c.Y + r}, draw.Point{X: c.X + r, Y: c.Y - r}, draw.RoundPen(ink, 2*p.k))
}

// ring marks the widget that the keyboard is on, and the one that the guidance points at.
func (p *pen) ring(w *Widget, r draw.Rect) {
	if w.Focused {
		p.l.Rect(r.Inset(-2), p.th.Space.Radius+2, draw.Colour{}, draw.Pen(p.th.Focus, p.th.Space.Focus))
	}
	if p.m.pointed(w.ID) && w.Layer == p.layer {
		p.pointAt(r)
	}
}

// pointAt draws the frame of the guidance round r: dashed, so that it is not taken for the keyboard's.
func (p *pen) pointAt(r draw.Rect) {
	d := 3 + 3*p.m.pulse()
	p.l.Rect(r.Inset(-d), p.th.Space.Radius+d, draw.Colour{}, draw.Pen(p.th.AccentSoft, 5)) // for where the ground is dark
	p.l.Rect(r.Inset(-d), p.th.Space.Radius+d, draw.Colour{}, draw.RoundPen(p.th.Accent, 3).Dashed(7, 5))
}

// text sets a paragraph at the top of r and returns its height.
func (p *pen) text(at draw.Point, s string, w float64, st draw.TextStyle) float64 {
	return p.l.Paragraph(at, s, w, st)
}

// oneLine sets s in r, cut off with an ellipsis when it does not fit.
func (p *pen) oneLine(r draw.Rect, s string, st draw.TextStyle) {
	s = draw.Ellipsize(s, st.Face, st.Size, r.W)
	x := r.X
	switch st.Align {
	case draw.Middle:
		x += r.W / 2
	case draw.End:
		x += r.W
	case draw.Start:
	}
	p.line(r, x, s, st, r)
}

// board draws the ground of a panel.
func (p *pen) board(r draw.Rect, fill draw.Colour) {
	p.l.Rect(r, 0, fill, draw.Stroke{})
}
