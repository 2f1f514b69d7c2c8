package sheet

import (
	"cmp"
	"slices"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// Hatching of suspects in sheet units: the distance of its lines falls from the first to the second with the value.
const (
	hatchWide  = 11.0
	hatchDense = 3.5
	// suspectBand is the width of the band along a suspected wire.
	suspectBand = 22.0
)

// A suspect is hatched the denser the more is suspected, tinted, and labelled: no state is told by colour alone.

// suspectWires shades wires, beneath them.
func (p *painter) suspectWires() {
	for _, q := range p.live.Suspects {
		id, isWire := strings.CutPrefix(q.Place, "wire ")
		if i, ok := p.s.wireIndex[id]; ok && isWire {
			p.shadeWire(i, q.value())
			at := p.s.routes[i].labels[0]
			p.tag(draw.Point{X: at.X - labelGap - suspectBand/2, Y: at.Y}, q)
		}
	}
}

// suspectPlaces shades everything else, over it.
func (p *painter) suspectPlaces() {
	for _, q := range p.live.Suspects {
		for k, r := range p.s.placeBoxes(q.Place, p.live) {
			p.shade(r, q.value())
			if k == 0 {
				p.tag(draw.Point{X: r.X - 1, Y: r.Y + flagH/2}, q)
			}
		}
	}
}

// WhereSuspect returns where a place of a fault, in text form, is hatched; ok is false for one that is nowhere on the sheet.
func (s *Sheet) WhereSuspect(place string, live Live) (at draw.Point, ok bool) {
	id, isWire := strings.CutPrefix(place, "wire ")
	if i, ok := s.wireIndex[id]; ok && isWire {
		return s.routes[i].labels[0], true
	}
	if boxes := s.placeBoxes(place, &live); len(boxes) > 0 {
		return boxes[0].Center(), true
	}
	return draw.Point{}, false
}

func (q *Suspect) value() float64 { return min(max(q.Value, 0), 1) }

func (p *painter) tint(value float64) draw.Colour { return p.th.Accent.WithAlpha(uint8(20 + 60*value)) }

// tag writes a suspect's label to the left of a place.
func (p *painter) tag(at draw.Point, q Suspect) {
	if q.Label == "" {
		return
	}
	w := draw.Measure(q.Label, draw.Bold, flagText) + 8
	r := draw.Rect{X: at.X - w - 2, Y: at.Y - flagH/2, W: w, H: flagH}
	p.later = append(p.later, plate{r, q.Label, q.value()})
}

// plate is lettering on its own ground that is drawn after everything else.
type plate struct {
	box   draw.Rect
	text  string
	value float64
}

// mostMoves is how often a plate is moved out of the way of others before it is left out.
const mostMoves = 3

// plates draws them, the weightiest where they belong, and others beside those where they would lie over them.
func (p *painter) plates() {
	slices.SortStableFunc(p.later, func(a, b plate) int { return cmp.Compare(b.value, a.value) })
	var drawn []draw.Rect
	for _, q := range p.later {
		over := 0
		for moves := 0; over >= 0 && moves <= mostMoves; moves++ {
			over = slices.IndexFunc(drawn, func(r draw.Rect) bool { return !r.Intersect(q.box).Empty() })
			if over >= 0 {
				q.box.X = drawn[over].X - q.box.W - 2
			}
		}
		if over >= 0 {
			continue
		}
		drawn = append(drawn, q.box)
		p.l.Rect(q.box, 3, p.th.AccentSoft, draw.Pen(p.th.Accent, 1))
		p.l.Text(draw.Point{X: q.box.Center().X, Y: draw.Baseline(q.box, draw.Bold, flagText)}, q.text,
			draw.TextStyle{Size: flagText, Face: draw.Bold, Colour: p.th.Accent, Align: draw.Middle})
	}
}

// placeBoxes returns where a place of a fault, in text form, is drawn.
func (s *Sheet) placeBoxes(place string, live *Live) []draw.Rect {
	word, id, ok := strings.Cut(place, " ")
	if !ok {
		return nil
	}
	id, _, _ = strings.Cut(id, " ") // "splice S1 31b"
	around := func(p string, size float64) []draw.Rect {
		at, ok := s.WhereNow(harness.Point(p), *live)
		if !ok {
			return nil
		}
		return []draw.Rect{draw.RectAround(at, size, size)}
	}
	switch word {
	case "cavity":
		a, b := around(id+".a", 18), around(id+".b", 18)
		if len(a) == 1 && len(b) == 1 {
			return []draw.Rect{a[0].Union(b[0])}
		}
		return nil
	case "crimp", "ring", "splice", "point":
		return around(id, 20)
	case "ground":
		return s.thingBoxes(GroundTarget, id, live)
	case "component", "fuse":
		return s.thingBoxes(ComponentTarget, id, live)
	case "connector":
		return s.thingBoxes(ConnectorTarget, id, live)
	}
	return nil
}

func (s *Sheet) thingBoxes(kind Kind, id string, live *Live) []draw.Rect {
	var out []draw.Rect
	for _, b := range s.blocksOf[id] {
		out = append(out, s.boxesOf(kind, id, s.m.blocks[b], live)...)
	}
	for i := range out {
		out[i] = out[i].Inset(-4)
	}
	return out
}

func hatchStep(value float64) float64 { return hatchWide + (hatchDense-hatchWide)*value }

// shade hatches a box.
func (p *painter) shade(r draw.Rect, value float64) {
	p.l.Rect(r, 4, p.tint(value), draw.Pen(p.th.Accent, 0.8))
	p.l.PushClip(r)
	pen := draw.Pen(p.th.Accent.WithAlpha(150), 1)
	for x := r.X - r.H; x < r.MaxX(); x += hatchStep(value) {
		p.l.Line(draw.Point{X: x, Y: r.MaxY()}, draw.Point{X: x + r.H, Y: r.Y}, pen)
	}
	p.l.PopClip()
}

// shadeWire lays a hatched band along a wire.
func (p *painter) shadeWire(i int, value float64) {
	var buf [64]draw.Point
	way := p.s.way(buf[:0], i, p.live)
	var path draw.Path
	path.Rounded(way, wireRadius)
	p.l.Path(path, draw.Colour{}, draw.Stroke{Colour: p.tint(value), Width: suspectBand, Join: draw.JoinRound})
	pen := draw.Pen(p.th.Accent.WithAlpha(150), 1)
	const half = suspectBand / 2
	for k := 1; k < len(way); k++ {
		a, b := way[k-1], way[k]
		length := a.Dist(b)
		for d := hatchStep(value) / 2; d < length; d += hatchStep(value) {
			c := a.Lerp(b, d/length)
			p.l.Line(draw.Point{X: c.X - half, Y: c.Y + half}, draw.Point{X: c.X + half, Y: c.Y - half}, pen)
		}
	}
}
