package draw

// sketch draws in the local coordinates of one symbol.
type sketch struct {
	l         *List
	p         Place
	th        Theme
	ink, fill Colour
}

// Line widths of symbols at scale 1.
const (
	thin  = 1.6 // leads, outlines
	heavy = 2.6 // what carries the meaning: blades, plates, bars
)

func newSketch(l *List, p Place, st State, th Theme) *sketch {
	k := &sketch{l: l, p: p, th: th, ink: th.Ink, fill: th.Paper}
	if st.Ink.A > 0 {
		k.ink = st.Ink
	}
	if st.Fill.A > 0 {
		k.fill = st.Fill
	}
	return k
}

func (k *sketch) pen(w float64) Stroke { return RoundPen(k.ink, w*k.p.scale()) }

func (k *sketch) line(w float64, pts ...Point) {
	out := make([]Point, len(pts))
	for i, q := range pts {
		out[i] = k.p.Map(q)
	}
	k.l.Polyline(out, k.pen(w))
}

func (k *sketch) dashed(pts ...Point) {
	out := make([]Point, len(pts))
	for i, q := range pts {
		out[i] = k.p.Map(q)
	}
	s := Pen(k.ink, 1.2*k.p.scale())
	k.l.Polyline(out, s.Dashed(3*k.p.scale(), 2.4*k.p.scale()))
}

func (k *sketch) poly(fill Colour, w float64, pts ...Point) {
	out := make([]Point, len(pts))
	for i, q := range pts {
		out[i] = k.p.Map(q)
	}
	k.l.Polygon(out, fill, k.pen(w))
}

func (k *sketch) box(r Rect, radius float64, fill Colour, w float64) {
	a, b := k.p.Map(r.Min()), k.p.Map(r.Max())
	m := Rect{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X) - min(a.X, b.X), max(a.Y, b.Y) - min(a.Y, b.Y)}
	k.l.Rect(m, radius*k.p.scale(), fill, k.pen(w))
}

func (k *sketch) circle(c Point, r float64, fill Colour, w float64) {
	k.l.Circle(k.p.Map(c), r*k.p.scale(), fill, k.pen(w))
}

func (k *sketch) dot(c Point, r float64) {
	k.l.Circle(k.p.Map(c), r*k.p.scale(), k.ink, Stroke{})
}

func (k *sketch) arc(c Point, r, start, sweep, w float64) {
	if k.p.Mirror {
		start, sweep = 180-start, -sweep
	}
	start += float64(k.p.Turn%4) * 90
	k.l.Arc(k.p.Map(c), r*k.p.scale(), start, sweep, k.pen(w))
}

func (k *sketch) path(p Path, fill Colour, w float64) {
	k.l.Path(p.mapped(k.p.Map), fill, k.pen(w))
}

// arrow draws a line from a to b with a filled head at b.
func (k *sketch) arrow(w, head float64, a, b Point) {
	d := b.Sub(a).Mul(1 / a.Dist(b))
	n := Point{-d.Y, d.X}
	root := b.Sub(d.Mul(head))
	k.line(w, a, root)
	k.poly(k.ink, 0, b, root.Add(n.Mul(head*0.45)), root.Sub(n.Mul(head*0.45)))
}

// text sets s upright and centred on c whichever way the symbol is turned.
func (k *sketch) text(c Point, s string, size float64, f Face) {
	q := k.p.Map(c)
	size *= k.p.scale()
	q.Y += CapHeight(f, size) / 2
	k.l.Text(q, s, TextStyle{Size: size, Face: f, Colour: k.ink, Align: Middle})
}
