package draw

// Tone is the meaning of a chip or a mark. Every tone has a mark of its own, so
// that the colour only repeats what the shape says.
type Tone uint8

// The tones and their marks.
const (
	Plain   Tone = iota // none
	Good                // tick
	Caution             // triangle with a stroke
	Bad                 // cross
	Chosen              // filled diamond
)

func (t Theme) tone(tone Tone) (ink, ground Colour) {
	switch tone {
	case Good:
		return t.Good, t.GoodSoft
	case Caution:
		return t.Caution, t.CautionSoft
	case Bad:
		return t.Bad, t.BadSoft
	case Chosen:
		return t.Accent, t.AccentSoft
	}
	return t.Ink, t.Sunk
}

// Mark appends the mark of tone, size units wide and high, about c.
func (t Theme) Mark(l *List, c Point, size float64, tone Tone) {
	ink, _ := t.tone(tone)
	h := size / 2
	pen := RoundPen(ink, size*0.17)
	at := func(x, y float64) Point { return Point{c.X + float64(x*h), c.Y + float64(y*h)} }
	switch tone {
	case Good:
		l.Polyline([]Point{at(-0.85, 0.05), at(-0.25, 0.65), at(0.85, -0.65)}, pen)
	case Caution:
		pen.Width = size * 0.11
		l.Polygon([]Point{at(0, -0.9), at(0.95, 0.8), at(-0.95, 0.8)}, Colour{}, pen)
		l.Line(at(0, -0.3), at(0, 0.2), pen)
		l.Circle(at(0, 0.5), size*0.06, ink, Stroke{})
	case Bad:
		l.Line(at(-0.7, -0.7), at(0.7, 0.7), pen)
		l.Line(at(0.7, -0.7), at(-0.7, 0.7), pen)
	case Chosen:
		l.Polygon([]Point{at(0, -0.85), at(0.85, 0), at(0, 0.85), at(-0.85, 0)}, ink, Stroke{})
	case Plain:
	}
}

// ControlState is how something that can be operated stands now.
type ControlState struct {
	Hover, Pressed, Disabled, Focused bool
	Main                              bool // the one to use next
	On                                bool // a toggle that is set, a choice that is taken
}

// FocusRing appends the ring of the keyboard focus round r.
func (t Theme) FocusRing(l *List, r Rect, radius float64) {
	w := t.Space.Focus
	out := r.Inset(-w)
	l.Rect(out, radius+w, Colour{}, Pen(t.Focus, w))
	// A light line inside keeps the ring apart from dark faces.
	l.Rect(r.Inset(-w/4), radius+w/4, Colour{}, Pen(t.Raised, w/2))
}

// ButtonSize returns the size a button needs for label, with room for the mark
// it carries when it is set: never less than the smallest touch target.
func (t Theme) ButtonSize(label string) Point {
	return Point{
		max(t.Space.Touch, Measure(label, Bold, t.Type.Body)+2*t.Space.Pad+markRoom*t.Type.Body),
		max(t.Space.Touch, 2*t.Type.Body),
	}
}

// markRoom is the width of the mark of a set button, as a share of the text size.
const markRoom = 0.95

// Button appends a button that fills r, with label cut to fit. It stands on a
// lip like a key: pressed, it sits on the ground; disabled, its border is
// broken; set, it carries the chosen mark.
func (t Theme) Button(l *List, r Rect, label string, st ControlState) {
	const lip = 3
	rad := t.Space.Radius
	face, edge, ink, side := t.Raised, t.Edge, t.Ink, t.Edge
	top := Rect{r.X, r.Y, r.W, r.H - lip}
	if st.Main {
		face, edge, ink, side = t.Accent, t.AccentDeep, t.OnAccent, t.AccentDeep
	}
	switch {
	case st.Disabled:
		// A dashed rim: hover and press do not count.
		l.Rect(top.Inset(0.5), rad, t.Panel, Pen(t.Edge, 1).Dashed(4, 3))
		t.buttonLabel(l, top, label, t.InkFaint, st)
		return
	case st.Pressed:
		top.Y += lip
		face = t.Sunk
		if st.Main {
			face = t.AccentDeep
		}
	case st.Hover && st.Main:
		face = t.Accent.Mix(t.AccentDeep, 0.45)
	case !st.Main && (st.Hover || st.On):
		face = t.AccentSoft
	}
	if !st.Pressed {
		l.Rect(Rect{r.X, r.Y + 2*lip, r.W, r.H - 2*lip}, rad, side, Stroke{})
	}
	l.Rect(top.Inset(0.5), rad, face, Pen(edge, 1))
	if st.Hover && !st.Pressed {
		w := Measure(label, Bold, t.Type.Body)
		w = min(w, r.W-2*t.Space.Gap)
		y := Baseline(top, Bold, t.Type.Body) + 3.5
		c := top.Center().X
		l.Line(Point{c - w/2, y}, Point{c + w/2, y}, Pen(ink, 1.5))
	}
	t.buttonLabel(l, top, label, ink, st)
	if st.Focused {
		t.FocusRing(l, r, rad)
	}
}

func (t Theme) buttonLabel(l *List, r Rect, label string, ink Colour, st ControlState) {
	size := t.Type.Body
	room := r.InsetXY(t.Space.Gap*0.75, 0)
	if st.On {
		mark := t
		if st.Main {
			mark.Accent = t.OnAccent
		}
		if st.Disabled {
			mark.Accent = t.InkFaint
		}
		m := size * 0.65
		mark.Mark(l, Point{room.X + m/2, r.Y + r.H/2}, m, Chosen)
		_, room = room.CutLeft(markRoom * size)
	}
	s := Ellipsize(label, Bold, size, room.W)
	l.Text(Point{room.Center().X, Baseline(r, Bold, size)}, s, TextStyle{size, Bold, ink, Middle})
}

// PanelHead returns the height of the head of a panel.
func (t Theme) PanelHead() float64 { return t.Type.Lead + 2*t.Space.Gap }

// PanelBox appends a panel that fills r, with a head if title is not empty, and
// returns the room inside. A short accent bar stands before the title.
func (t Theme) PanelBox(l *List, r Rect, title string) Rect {
	l.Rect(r.Move(Point{0, 2}), t.Space.Radius, t.Shadow, Stroke{})
	l.Rect(r, t.Space.Radius, t.Panel, Pen(t.Hairline, t.Space.Hair))
	in := r.Inset(t.Space.Pad)
	if title == "" {
		return in
	}
	head, rest := r.CutTop(t.PanelHead())
	l.Rect(Rect{r.X + t.Space.Pad, head.Y + head.H*0.28, 4, head.H * 0.44}, 2, t.Accent, Stroke{})
	x := r.X + t.Space.Pad + 4 + t.Space.Gap
	s := Ellipsize(title, Bold, t.Type.Lead, r.MaxX()-t.Space.Pad-x)
	l.Text(Point{x, Baseline(head, Bold, t.Type.Lead)}, s, t.Text(t.Type.Lead).As(Bold))
	l.Line(Point{r.X + t.Space.Pad, head.MaxY()}, Point{r.MaxX() - t.Space.Pad, head.MaxY()}, Pen(t.Hairline, t.Space.Hair))
	return rest.InsetXY(t.Space.Pad, t.Space.Gap)
}

// ChipSize returns the size of a chip with label.
func (t Theme) ChipSize(label string, tone Tone) Point {
	w := Measure(label, Bold, t.Type.Caption) + 2*t.Space.Gap
	if tone != Plain {
		w += t.Type.Caption * 1.1
	}
	return Point{w, t.Type.Caption + t.Space.Gap*1.25}
}

// Chip appends a small label with the mark of its tone, upper left corner at
// at, and returns its box.
func (t Theme) Chip(l *List, at Point, label string, tone Tone) Rect {
	sz := t.ChipSize(label, tone)
	r := Rect{at.X, at.Y, sz.X, sz.Y}
	ink, ground := t.tone(tone)
	l.Rect(r, 4, ground, Pen(ink.Mix(ground, 0.45), t.Space.Hair))
	x := r.X + t.Space.Gap
	if tone != Plain {
		m := t.Type.Caption * 0.8
		t.Mark(l, Point{x + m/2, r.Y + r.H/2}, m, tone)
		x += t.Type.Caption * 1.1
	}
	l.Text(Point{x, Baseline(r, Bold, t.Type.Caption)}, label, TextStyle{t.Type.Caption, Bold, ink, Start})
	return r
}

// Ticked is the state of a checkbox.
type Ticked uint8

// The states of a checkbox.
const (
	Blank Ticked = iota // nothing said yet
	Yes                 // ticked
	No                  // crossed
)

// Checkbox appends a box with label beside it, wrapped into the width of r and
// starting at its top, and returns the box it takes: at least a touch target
// high.
func (t Theme) Checkbox(l *List, r Rect, label string, v Ticked, st ControlState) Rect {
	size := t.Type.Body
	box := size * 1.3
	x := r.X + box + t.Space.Gap*1.25
	style := t.Text(size)
	if st.Disabled {
		style.Colour = t.InkFaint
	}
	h := ParagraphHeight(label, r.MaxX()-x, style)
	lh := LineHeight(Regular, size)
	full := Rect{r.X, r.Y, r.W, max(t.Space.Touch, h+t.Space.Gap)}
	top := full.Y + (full.H-h)/2
	b := Rect{r.X + 1, top + (lh-box)/2, box, box}
	face, edge, w := t.Raised, t.Edge, t.Space.Line
	pen := Pen(edge, w)
	switch {
	case st.Disabled:
		face, pen = t.Panel, pen.Dashed(3, 2)
	case st.Pressed:
		face = t.Sunk
	case st.Hover:
		face, pen.Width = t.AccentSoft, w+0.8
	}
	l.Rect(b, 3, face, pen)
	switch v {
	case Yes:
		t.Mark(l, b.Center(), box*0.72, Good)
	case No:
		t.Mark(l, b.Center(), box*0.66, Bad)
	case Blank:
	}
	l.Paragraph(Point{x, top}, label, r.MaxX()-x, style)
	if st.Focused {
		t.FocusRing(l, b, 3)
	}
	return full
}
