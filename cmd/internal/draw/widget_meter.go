package draw

// Annunciator is a word on the display of an instrument that is on or off.
type Annunciator struct {
	Word string
	On   bool
}

// Reading is what the display of an instrument shows.
type Reading struct {
	Digits string // set in the mono face, so that they do not dance
	Unit   string
	Words  []Annunciator // along the upper edge; those that are off stay faintly visible
	Note   string        // a line along the lower edge, such as what is measured
}

// Display appends the display of an instrument that fills r: words above, large
// plain digits with the unit after them, a note below. Everything shrinks to
// fit; nothing is cut but the note.
func (t Theme) Display(l *List, r Rect, d Reading) {
	l.Rect(r, t.Space.Radius, t.Screen, Pen(t.CaseEdge, 2))
	// A shaded upper rim sets the glass back into the case.
	l.Rect(Rect{r.X + 3, r.Y + 2, r.W - 6, 3}, 1.5, t.CaseEdge.WithAlpha(50), Stroke{})
	in := r.InsetXY(t.Space.Pad*0.8, t.Space.Gap*0.8)
	small := t.Type.Caption

	if len(d.Words) > 0 {
		t.words(l, in, d.Words, small)
	}
	foot := 0.0
	if d.Note != "" {
		foot = small * 1.2
		s := Ellipsize(d.Note, Regular, small, in.W)
		l.Text(Point{in.X, in.MaxY() - Descent(Regular, small)}, s, TextStyle{small, Regular, t.ScreenInk, Start})
	}
	mid := Rect{in.X, in.Y + small*1.3, in.W, in.H - small*1.3 - foot}
	size := min(t.Type.Reading, mid.H/0.8)
	unit := func() float64 { return size * 0.5 }
	gap := func() float64 { return size * 0.18 }
	width := func() float64 {
		return Measure(d.Digits, MonoBold, size) + gap() + Measure(d.Unit, Bold, unit())
	}
	if w := width(); w > mid.W {
		size *= mid.W / w
	}
	// Digits and unit end at the right edge, as on a real display.
	y := Baseline(mid, MonoBold, size)
	l.Text(Point{mid.MaxX(), y}, d.Unit, TextStyle{unit(), Bold, t.ScreenInk, End})
	x := mid.MaxX() - Measure(d.Unit, Bold, unit()) - gap()
	l.Text(Point{x, y}, d.Digits, TextStyle{size, MonoBold, t.ScreenInk, End})
}

// words sets the annunciators in one row, smaller if they would not fit.
func (t Theme) words(l *List, in Rect, words []Annunciator, size float64) {
	total := 0.0
	for _, w := range words {
		total += Measure(w.Word, Bold, size) + size*0.7
	}
	if total -= size * 0.7; total > in.W {
		size *= in.W / total
	}
	x := in.X
	for _, w := range words {
		ink := t.ScreenGhost
		if w.On {
			ink = t.ScreenInk
		}
		l.Text(Point{x, in.Y + size}, w.Word, TextStyle{size, Bold, ink, Start})
		x += Measure(w.Word, Bold, size) + size*0.7
	}
}

// Pole is which of an instrument's two leads something is. Its letter is always
// drawn with it.
type Pole uint8

// The poles.
const (
	Red   Pole = iota // R, the one the reading's sign is for
	Black             // B, the reference
)

func (p Pole) String() string {
	if p == Black {
		return "B"
	}
	return "R"
}

func (t Theme) lead(p Pole) Colour {
	if p == Black {
		return t.LeadBlack
	}
	return t.LeadRed
}

// Socket appends a round input socket of an instrument about c, with the letter
// of its pole, radius r.
func (t Theme) Socket(l *List, c Point, r float64, p Pole) {
	l.Circle(c, r, t.lead(p), Pen(t.OnLead, r*0.12))
	l.Circle(c, r*0.62, t.CaseEdge, Stroke{})
	letter(l, c, r*0.85, p, t.OnLead)
}

func letter(l *List, c Point, size float64, p Pole, ink Colour) {
	l.Text(Point{c.X, c.Y + CapHeight(Bold, size)/2}, p.String(), TextStyle{size, Bold, ink, Middle})
}

// Measures of a probe at scale 1.
const (
	probeNeedle = 16.0
	probeCollar = 6.0
	probeBody   = 40.0
	probeWide   = 14.0
)

// Probe appends the handle of a test lead whose tip touches the point tip and
// whose body leans away in the direction angle (degrees, clockwise from the
// positive X axis; -60 is up and to the right). scale 0 means 1. It returns
// where the cable leaves.
func (t Theme) Probe(l *List, tip Point, angle float64, p Pole, scale float64) Point {
	if scale == 0 {
		scale = 1
	}
	d := unit(angle)
	at := func(s float64) Point { return tip.Add(d.Mul(s * scale)) }
	c := t.lead(p)
	rim := c.Mix(t.Ink, 0.55)
	if p == Black {
		rim = c.Mix(t.Paper, 0.42)
	}
	pen := func(col Colour, w float64) Stroke { return RoundPen(col, w*scale) }
	start, end := at(probeNeedle+probeCollar+probeWide/2), at(probeNeedle+probeCollar+probeBody-probeWide/2)
	back := at(probeNeedle + probeCollar + probeBody + 6)
	l.Line(at(probeNeedle+probeCollar+probeBody-4), back, pen(c, 5))
	needle := Stroke{Colour: t.Ink, Width: 2.6 * scale, Cap: CapRound}
	l.Line(at(1), at(probeNeedle+2), needle)
	l.Circle(at(0.6), 1.6*scale, t.Ink, Stroke{})
	l.Line(at(probeNeedle), start, Stroke{Colour: rim, Width: 7 * scale})
	l.Line(start, end, pen(rim, probeWide+2))
	l.Line(start, end, pen(c, probeWide))
	// The guard ring keeps the fingers off the needle.
	n := Point{-d.Y, d.X}.Mul((probeWide/2 + 3.5) * scale)
	g := at(probeNeedle + probeCollar)
	l.Line(g.Add(n), g.Sub(n), pen(rim, 4))
	m := start.Lerp(end, 0.6)
	l.Circle(m, probeWide*0.44*scale, t.OnLead, Stroke{})
	letter(l, m, probeWide*0.68*scale, p, c)
	return back
}

// Cable appends the cable of a test lead hanging from a to b; slack is how far
// it sags below the lower end, in sheet units.
func (t Theme) Cable(l *List, a, b Point, p Pole, slack float64) {
	c := t.lead(p)
	var path Path
	path.MoveTo(a)
	// A cubic whose controls hang below reaches three quarters of their depth.
	low := max(a.Y, b.Y) + slack/0.75
	path.CubicTo(Point{a.X + (b.X-a.X)*0.15, low}, Point{b.X - (b.X-a.X)*0.15, low}, b)
	l.Path(path, Colour{}, Stroke{Colour: t.Paper, Width: 6.5, Join: JoinRound})
	l.Path(path, Colour{}, RoundPen(c, 3.6))
}
