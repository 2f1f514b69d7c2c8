package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// Measures of a connector's face in sheet units.
const (
	cellW    = 76.0 // one cavity with what is written under it
	cellH    = 92.0
	cavityW  = 46.0 // the cavity itself
	facePad  = 12.0
	faceHead = 42.0
	faceText = 11.0
)

// Face is the picture of one connector as one sees it: parted, the faces of both halves, the one the mirror image of the
// other; mated, what can be seen of each half from behind. It is made for one state of the connector.
type Face struct {
	h       *harness.Harness
	conn    *harness.Connector
	parted  bool
	panes   []pane
	cells   []cell
	size    draw.Rect
	targets []Target
}

// pane is the half of a connector that is seen as a whole.
type pane struct {
	half, title, view string
	box, shell        draw.Rect
	cavities          draw.Rect
}

// cell is one cavity of a pane.
type cell struct {
	point            harness.Point
	number, terminal string
	wires            []*harness.Wire
	half             string
	box              draw.Rect // the whole cell: what a finger may hit
	cavity           draw.Rect
}

// FaceCavity is where one cavity's half is in the picture of a face.
type FaceCavity struct {
	Point harness.Point
	Box   draw.Rect
}

// ConnectorFace returns the picture of a connector in the state of live; nil if the harness has no such connector.
func ConnectorFace(h *harness.Harness, connector string, live Live) *Face {
	f := &Face{h: h}
	for i := range h.Connectors {
		if h.Connectors[i].ID == connector {
			f.conn = &h.Connectors[i]
			break
		}
	}
	if f.conn == nil {
		return nil
	}
	f.parted = live.Unplugged[connector]
	f.layout(false)
	return f
}

// Stacked returns the same picture with one half above the other, for narrow screens.
func (f *Face) Stacked() *Face {
	out := &Face{h: f.h, conn: f.conn, parted: f.parted}
	out.layout(true)
	return out
}

// spots of a plug-in relay's pins by terminal, in cells from the upper left, as they are printed on most of its kind
// (common practice, no source).
func relaySpot(terminal string) (col, row int, ok bool) {
	switch terminal {
	case "87":
		return 1, 0, true
	case "86":
		return 0, 1, true
	case "87a":
		return 1, 1, true
	case "85":
		return 2, 1, true
	case "30":
		return 1, 2, true
	}
	return 0, 0, false
}

// grid returns the column and row of every cavity as one looks at the face of half a, and how many there are.
func (f *Face) grid() (spots [][2]int, cols, rows int) {
	cav := f.conn.Cavities
	if f.conn.Mount == harness.Socket {
		seen := map[[2]int]bool{}
		for _, c := range cav {
			col, row, ok := relaySpot(c.Terminal)
			if !ok || seen[[2]int{col, row}] {
				spots = nil
				break
			}
			seen[[2]int{col, row}] = true
			spots = append(spots, [2]int{col, row})
		}
		if spots != nil {
			return spots, 3, 3
		}
	}
	n := len(cav)
	rows = 1
	switch {
	case n > 12:
		rows = 3
	case n > 4:
		rows = 2
	}
	cols = max((n+rows-1)/rows, 1)
	for i := range cav {
		spots = append(spots, [2]int{i % cols, i / cols})
	}
	return spots, cols, rows
}

// layout places the halves beside or above each other and their cavities in them.
func (f *Face) layout(stacked bool) {
	spots, cols, rows := f.grid()
	var at draw.Point
	for _, half := range [2]string{"a", "b"} {
		title := f.conn.HalfTitle(half)
		view := f.view(half)
		wide := max(float64(cols)*cellW, draw.Measure(title, draw.Bold, sizeID), draw.Measure(view, draw.Regular, faceText))
		p := pane{half: half, title: title, view: view}
		p.box = draw.Rect{X: at.X, Y: at.Y, W: math.Ceil(wide) + 2*facePad, H: faceHead + float64(rows)*cellH + 2*facePad}
		p.cavities = draw.Rect{X: at.X + (p.box.W-float64(cols)*cellW)/2, Y: at.Y + faceHead + facePad, W: float64(cols) * cellW, H: float64(rows) * cellH}
		p.shell = draw.Rect{X: at.X, Y: at.Y + faceHead, W: p.box.W, H: p.box.H - faceHead}
		f.panes = append(f.panes, p)
		// Looking at the face of half a the cavities run from left to right; from behind, and on the face of the other half,
		// the other way.
		mirrored := (half == "b") == f.parted
		for i, c := range f.conn.Cavities {
			col := spots[i][0]
			if mirrored {
				col = cols - 1 - col
			}
			box := draw.Rect{X: p.cavities.X + float64(col)*cellW, Y: p.cavities.Y + float64(spots[i][1])*cellH, W: cellW, H: cellH}
			point := harness.CavityPoint(f.conn.ID, c.Number, half)
			k := cell{point: point, number: c.Number, half: half, box: box}
			k.cavity = draw.Rect{X: box.X + (cellW-cavityW)/2, Y: box.Y + 4, W: cavityW, H: cavityW}
			if half == "b" && f.conn.Component != "" {
				k.terminal = c.Terminal
			}
			f.cells = append(f.cells, k)
		}
		const between = 18.0
		if stacked {
			at.Y = p.box.MaxY() + between
		} else {
			at.X = p.box.MaxX() + between
		}
		f.size = draw.Rect{W: max(f.size.W, p.box.MaxX()), H: max(f.size.H, p.box.MaxY())}
	}
	f.findWires()
	for i := range f.cells {
		k := &f.cells[i]
		f.targets = append(f.targets, Target{
			Kind: PointTarget, ID: string(k.point), Point: k.point, Label: f.label(k), Box: k.box, At: k.cavity.Center(),
		})
	}
	linkTargets(f.targets)
}

// view says what one sees of a half.
func (f *Face) view(half string) string {
	hidden := f.conn.Mount == harness.Plug || f.conn.Mount == harness.Socket
	switch {
	case f.parted && half == "a":
		return "its face"
	case f.parted:
		return "its face, the mirror image"
	case half == "b" && hidden:
		return "hidden while plugged in"
	}
	return "seen from behind"
}

func (f *Face) findWires() {
	for i := range f.h.Wires {
		w := &f.h.Wires[i]
		for k := range f.cells {
			if c := &f.cells[k]; c.point == w.From || c.point == w.To {
				c.wires = append(c.wires, w)
			}
		}
	}
}

func (f *Face) label(k *cell) string {
	s := "cavity " + k.number + ", " + f.conn.HalfTitle(k.half)
	if k.terminal != "" {
		s += ", terminal " + k.terminal + " of " + f.conn.Component
	}
	for _, w := range k.wires {
		s += ", " + wireWords(w)
	}
	return s
}

// Bounds returns the extent of the picture in sheet units; its upper left corner is 0, 0.
func (f *Face) Bounds() draw.Rect { return f.size }

// Size is Bounds.
func (f *Face) Size() draw.Rect { return f.size }

// Cavities returns where every cavity of both halves is, in the order of Targets; the slice is the caller's.
func (f *Face) Cavities() []FaceCavity {
	out := make([]FaceCavity, len(f.cells))
	for i, k := range f.cells {
		out[i] = FaceCavity{k.point, k.box}
	}
	return out
}

// Targets returns the cavities of both halves, half a first. The slice is not to be changed.
func (f *Face) Targets() []Target { return f.targets }

// At returns the cavity at p.
func (f *Face) At(p draw.Point) (Target, bool) {
	for i := range f.cells {
		if f.cells[i].box.Contains(p) {
			return f.targets[i], true
		}
	}
	return Target{}, false
}

// Where returns the middle of a point's terminal in the picture; ok is false for a point that is not in it.
func (f *Face) Where(p harness.Point) (at draw.Point, ok bool) {
	for i := range f.cells {
		if f.cells[i].point == p {
			return f.cells[i].cavity.Center(), true
		}
	}
	return draw.Point{}, false
}

// Draw appends the picture with what live says of its terminals. Whether the connector is parted was settled when the Face
// was made.
func (f *Face) Draw(l *draw.List, live Live) {
	p := facePainter{f: f, l: l, live: &live, th: live.theme()}
	for i := range f.panes {
		p.pane(&f.panes[i])
	}
	for i := range f.cells {
		p.cell(&f.cells[i])
	}
	p.leads()
	for i, t := range f.targets {
		ring := f.cells[i].box.Inset(2)
		if t.Is(live.Hover) {
			l.Rect(ring, 6, draw.Colour{}, draw.Pen(p.th.Accent, 1.6))
		}
		if t.Is(live.Focus) {
			l.Rect(ring, 6, draw.Colour{}, draw.Pen(p.th.Focus, p.th.Space.Focus))
		}
	}
}

type facePainter struct {
	f    *Face
	l    *draw.List
	live *Live
	th   draw.Theme
}

// pane draws the shell of a half: rounded, with a latch on top of half a and its catch on half b, and a key that shows
// which way round it goes.
func (p *facePainter) pane(v *pane) {
	p.l.Text(draw.Point{X: v.box.X + v.box.W/2, Y: v.box.Y + 14}, v.title, draw.TextStyle{Size: sizeID, Face: draw.Bold, Colour: p.th.Ink, Align: draw.Middle})
	p.l.Text(draw.Point{X: v.box.X + v.box.W/2, Y: v.box.Y + 29}, v.view, draw.TextStyle{Size: faceText, Colour: p.th.InkSoft, Align: draw.Middle})
	latch := draw.RectAround(draw.Point{X: v.shell.Center().X, Y: v.shell.Y}, 46, 12)
	fill := p.th.Raised
	if v.half == "b" {
		fill = p.th.Sunk
	}
	pen := draw.Pen(p.th.Ink, 1.6)
	p.l.Rect(latch, 3, fill, pen)
	p.l.Rect(v.shell, 10, fill, pen)
	if v.half == "b" { // the edge that goes round half a
		p.l.Rect(v.shell.Inset(4), 7, draw.Colour{}, draw.Pen(p.th.InkSoft, 1))
	}
}

// cell draws one cavity: socket or pin, its number, and the wire or terminal that belongs to it.
func (p *facePainter) cell(k *cell) {
	_, far := p.live.Unreachable[k.point]
	ink := p.th.Ink
	pen := draw.Pen(ink, 1.5)
	if far {
		ink = p.th.InkFaint
		pen = draw.Pen(ink, 1.3).Dashed(3, 2.4)
	}
	c := k.cavity.Center()
	p.l.Rect(k.cavity, 6, p.th.Paper, pen)
	metal := draw.RectAround(c.Add(draw.Point{Y: 5}), 12, 20)
	switch {
	case k.half == "a" && p.f.parted: // a socket: an open slot
		p.l.Rect(metal, 2, p.th.Sunk, draw.Pen(ink, 1.6))
		p.l.Line(draw.Point{X: metal.X + 4, Y: metal.Y + 4}, draw.Point{X: metal.X + 4, Y: metal.MaxY() - 4}, draw.Pen(ink, 1.2))
		p.l.Line(draw.Point{X: metal.MaxX() - 4, Y: metal.Y + 4}, draw.Point{X: metal.MaxX() - 4, Y: metal.MaxY() - 4}, draw.Pen(ink, 1.2))
	case p.f.parted: // a pin, end on
		p.l.Rect(metal.InsetXY(2, 2), 1, ink, draw.Stroke{})
	default: // the back, with the wire going in
		p.l.Circle(metal.Center(), 8, p.th.Sunk, draw.Pen(ink, 1.4))
		p.wireEnd(k, metal.Center())
	}
	p.l.Text(draw.Point{X: k.cavity.X + 5, Y: k.cavity.Y + 12}, draw.Ellipsize(k.number, draw.Bold, faceText, cavityW-8),
		draw.TextStyle{Size: faceText, Face: draw.Bold, Colour: p.th.Ink})
	p.under(k)
	if word := p.live.Seen[k.point]; word != "" {
		p.th.Mark(p.l, draw.Point{X: k.cavity.MaxX() - 9, Y: k.cavity.Y + 9}, 13, draw.Caution)
		r := draw.Rect{X: k.box.X + 2, Y: k.cavity.MaxY() - 9, W: k.box.W - 4, H: 15}
		p.l.Rect(r, 4, p.th.CautionSoft, draw.Pen(p.th.Caution, 1))
		p.l.Text(draw.Point{X: r.Center().X, Y: draw.Baseline(r, draw.Bold, faceText-1)}, draw.Ellipsize(word, draw.Bold, faceText-1, r.W-6),
			draw.TextStyle{Size: faceText - 1, Face: draw.Bold, Colour: p.th.Caution, Align: draw.Middle})
	}
}

// wireEnd draws a wire, seen end on.
func (p *facePainter) wireEnd(k *cell, at draw.Point) {
	if len(k.wires) == 0 {
		return
	}
	st, err := p.th.WireStyle(k.wires[0].Colour)
	if err != nil {
		return
	}
	p.l.Circle(at, 5, st.Base, draw.Pen(st.Outline, 1))
	if st.Tracer.A > 0 {
		p.l.Line(at.Add(draw.Point{X: -3.5, Y: 3.5}), at.Add(draw.Point{X: 3.5, Y: -3.5}), draw.Pen(st.Tracer, 3))
	}
}

// under writes below a cavity which wires go into it, or which terminal of the component it is.
func (p *facePainter) under(k *cell) {
	x := k.box.Center().X
	y := k.cavity.MaxY() + 8
	line := func(s string, face draw.Face, c draw.Colour) {
		y += 12
		p.l.Text(draw.Point{X: x, Y: y}, draw.Ellipsize(s, face, faceText, cellW-4), draw.TextStyle{Size: faceText, Face: face, Colour: c, Align: draw.Middle})
	}
	switch {
	case k.terminal != "":
		y -= 5
		line(k.terminal, draw.Bold, p.th.Ink)
		line(p.f.conn.Component, draw.Regular, p.th.InkSoft)
	case len(k.wires) == 1:
		w := k.wires[0]
		st, err := p.th.WireStyle(w.Colour)
		if err == nil {
			st.Width, st.HaloWidth = 4.2, 0
			draw.AppendWire(p.l, []draw.Point{{X: x - 22, Y: y - 1}, {X: x + 22, Y: y - 1}}, st)
		}
		line(w.ID, draw.Bold, p.th.Ink)
		line(sizeText(w.Size)+" "+w.Colour, draw.Regular, p.th.Ink)
	case len(k.wires) > 1:
		y -= 5
		for i, w := range k.wires {
			if i == 2 && len(k.wires) > 3 {
				line("…", draw.Regular, p.th.Ink)
				break
			}
			if i < 3 {
				line(w.ID+"  "+w.Colour, draw.Bold, p.th.Ink)
			}
		}
	default:
		y -= 2
		line("no wire", draw.Regular, p.th.InkFaint)
	}
}

// leads draws leads and notes at terminals.
func (p *facePainter) leads() {
	rows := map[harness.Point]int{}
	flag := func(at draw.Point, point harness.Point, text string, fill, ink, edge draw.Colour) {
		w := draw.Measure(text, draw.Bold, flagText) + 9
		r := draw.Rect{X: at.X + 6, Y: at.Y - 22 + float64(rows[point])*(flagH+2), W: w, H: flagH}
		r.X = min(r.X, p.f.size.W-w-1)
		rows[point]++
		p.l.Rect(r, 4, fill, draw.Pen(edge, 1))
		p.l.Text(draw.Point{X: r.Center().X, Y: draw.Baseline(r, draw.Bold, flagText)}, text, draw.TextStyle{Size: flagText, Face: draw.Bold, Colour: ink, Align: draw.Middle})
	}
	for _, lead := range p.live.Leads {
		at, ok := p.f.Where(lead.Point)
		if !ok {
			continue
		}
		c, text := p.th.LeadRed, "R"
		if lead.End == 1 {
			c, text = p.th.LeadBlack, "B"
		}
		metal := at.Add(draw.Point{Y: 5})
		p.l.Circle(metal, 10+float64(rows[lead.Point])*3, draw.Colour{}, draw.Pen(c, 2.6))
		flag(at, lead.Point, text+toolWord(lead.Tool), c, p.th.OnLead, p.th.Paper)
	}
	for _, id := range sortedKeys(p.live.Marks) {
		if at, ok := p.f.Where(id); ok && p.live.Marks[id] != "" {
			flag(at, id, p.live.Marks[id], p.th.Raised, p.th.Ink, p.th.Focus)
		}
	}
}
