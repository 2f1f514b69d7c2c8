package draw

// Dots appends progress dots in a row about c: steps before current are filled
// and ticked through their shape (small squares), the current one is a ringed
// disc, those to come are open circles. total below 1 appends nothing.
func (t Theme) Dots(l *List, c Point, current, total int) {
	pitch := t.Type.Body * 1.25
	x := c.X - float64(total-1)*pitch/2
	for i := range total {
		p := Point{x + float64(float64(i)*pitch), c.Y}
		r := t.Type.Body * 0.3
		switch {
		case i < current:
			l.Rect(RectAround(p, r*1.8, r*1.8), 1.5, t.Accent, Stroke{})
		case i == current:
			l.Circle(p, r*1.5, t.Raised, Pen(t.Accent, 2))
			l.Circle(p, r*0.8, t.Accent, Stroke{})
		default:
			l.Circle(p, r, t.Raised, Pen(t.Edge, 1.5))
		}
	}
}

// Tooltip appends a bubble with text, wrapped to at most width, that points at
// at and stays inside within. It stands above the point if there is room, else
// below. It returns the bubble's box without its tail.
func (t Theme) Tooltip(l *List, at Point, text string, width float64, within Rect) Rect {
	const tail = 8.0
	style := t.Text(t.Type.Body).In(t.OnCase)
	pad := t.Space.Gap
	lines := Wrap(text, style.Face, style.Size, max(width-2*pad, style.Size))
	w := 0.0
	for _, s := range lines {
		w = max(w, Measure(s, style.Face, style.Size))
	}
	r := Rect{W: w + 2*pad, H: float64(len(lines))*LineHeight(style.Face, style.Size) + 1.2*pad}
	r.X = min(max(at.X-r.W/2, within.X), max(within.MaxX()-r.W, within.X))
	r.Y = at.Y - tail - r.H
	below := r.Y < within.Y
	if below {
		r.Y = at.Y + tail
	}
	rad := t.Space.Radius
	base := min(max(at.X, r.X+rad+tail), r.MaxX()-rad-tail)
	var p Path
	p.Rect(r, rad)
	l.Path(p.mapped(func(q Point) Point { return q.Add(Point{0, 2}) }), t.Shadow, Stroke{})
	y, tip := r.MaxY()-1, at
	if below {
		y = r.Y + 1
	}
	l.Polygon([]Point{{base - tail*0.8, y}, {base + tail*0.8, y}, tip}, t.Case, Stroke{})
	l.Path(p, t.Case, Stroke{})
	l.Paragraph(Point{r.X + pad, r.Y + pad*0.6}, text, w+0.001, style)
	return r
}

// ScrollThumb returns the thumb of a scrollbar in track for a content of length
// total of which view is seen from offset on, all in sheet units: at least a
// third of a touch target long. It is empty if everything is seen.
func (t Theme) ScrollThumb(track Rect, total, view, offset float64) Rect {
	if !(total > view) || !(view > 0) {
		return Rect{}
	}
	upright := track.H >= track.W
	length := track.W
	if upright {
		length = track.H
	}
	thumb := min(max(length*view/total, t.Space.Touch/3), length)
	pos := (length - thumb) * min(max(offset/(total-view), 0), 1)
	if upright {
		return Rect{track.X, track.Y + pos, track.W, thumb}
	}
	return Rect{track.X + pos, track.Y, thumb, track.H}
}

// Scrollbar appends a scrollbar in track, upright if the track is higher than
// wide, and returns its thumb (see ScrollThumb). If everything is seen nothing
// is drawn.
func (t Theme) Scrollbar(l *List, track Rect, total, view, offset float64, st ControlState) Rect {
	thumb := t.ScrollThumb(track, total, view, offset)
	if thumb.Empty() {
		return thumb
	}
	r := min(track.W, track.H) / 2
	l.Rect(track, r, t.Sunk, Pen(t.Hairline, t.Space.Hair))
	c := t.Edge
	if st.Hover || st.Pressed {
		c = t.InkSoft
	}
	if st.Pressed {
		c = t.Accent
	}
	in := thumb.Inset(min(track.W, track.H) * 0.15)
	l.Rect(in, r, c, Stroke{})
	// Three ridges say that it can be taken hold of.
	m := in.Center()
	for i := -1.0; i <= 1; i++ {
		d, n := Point{0, 4 * i}, Point{in.W * 0.22, 0}
		if track.W > track.H {
			d, n = Point{4 * i, 0}, Point{0, in.H * 0.22}
		}
		if min(track.W, track.H) >= 8 {
			l.Line(m.Add(d).Sub(n), m.Add(d).Add(n), Pen(t.Raised, 1.2))
		}
	}
	if st.Focused {
		t.FocusRing(l, thumb, r)
	}
	return thumb
}

// Pin is a terminal on the edge of a ModuleBox.
type Pin struct {
	Name string
	At   Point // on the edge of the box
}

// ModuleBox appends the box of a control unit or of any component that has no
// symbol of its own, filling r: its name in the middle and each pin as a short
// bar on the edge with its name inside.
func (t Theme) ModuleBox(l *List, r Rect, name string, pins []Pin, st State) {
	ink, fill := t.Ink, t.Paper
	if st.Ink.A > 0 {
		ink = st.Ink
	}
	if st.Fill.A > 0 {
		fill = st.Fill
	}
	l.Rect(r, 3, fill, Pen(ink, thin))
	size := t.Type.Caption
	left, right, top, bottom := 0.0, 0.0, 0.0, 0.0
	for _, p := range pins {
		w := Measure(p.Name, Mono, size)
		bar := 4.0
		y := p.At.Y + CapHeight(Mono, size)/2
		style := TextStyle{size, Mono, ink, Start}
		switch {
		case p.At.X <= r.X:
			l.Line(Point{r.X, p.At.Y - bar}, Point{r.X, p.At.Y + bar}, Pen(ink, 3.4))
			l.Text(Point{r.X + 6, y}, p.Name, style)
			left = max(left, w+8)
		case p.At.X >= r.MaxX():
			l.Line(Point{r.MaxX(), p.At.Y - bar}, Point{r.MaxX(), p.At.Y + bar}, Pen(ink, 3.4))
			l.Text(Point{r.MaxX() - 6, y}, p.Name, style.To(End))
			right = max(right, w+8)
		case p.At.Y <= r.Y:
			l.Line(Point{p.At.X - bar, r.Y}, Point{p.At.X + bar, r.Y}, Pen(ink, 3.4))
			l.Text(Point{p.At.X, r.Y + 5 + CapHeight(Mono, size)}, p.Name, style.To(Middle))
			top = size + 6
		default:
			l.Line(Point{p.At.X - bar, r.MaxY()}, Point{p.At.X + bar, r.MaxY()}, Pen(ink, 3.4))
			l.Text(Point{p.At.X, r.MaxY() - 6}, p.Name, style.To(Middle))
			bottom = size + 6
		}
	}
	room := Rect{r.X + left + 4, r.Y + top, r.W - left - right - 8, r.H - top - bottom}
	if room.W <= 0 {
		return
	}
	lines := Wrap(name, Bold, size, room.W)
	lh := LineHeight(Bold, size)
	y := room.Y + room.H/2 - float64(len(lines)-1)*lh/2 + CapHeight(Bold, size)/2
	for i, s := range lines {
		l.Text(Point{room.Center().X, y + float64(float64(i)*lh)}, Ellipsize(s, Bold, size, room.W), TextStyle{size, Bold, ink, Middle})
	}
}
