package sheet

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"faultloom/cmd/internal/draw"
)

// Paper is a size of paper, lying.
type Paper uint8

// The papers (ISO 216).
const (
	A4 Paper = iota
	A3
)

// Millimetres returns the width and height of the paper.
func (p Paper) Millimetres() draw.Point {
	if p == A3 {
		return draw.Point{X: 420, Y: 297}
	}
	return draw.Point{X: 297, Y: 210}
}

// unitsPerMM is sheet units (1/96 inch) per millimetre.
const unitsPerMM = 96 / 25.4

// Size returns the paper in sheet units.
func (p Paper) Size() draw.Rect {
	mm := p.Millimetres()
	return draw.Rect{W: math.Round(mm.X * unitsPerMM), H: math.Round(mm.Y * unitsPerMM)}
}

// Measures of a page in sheet units.
const (
	pageEdge   = 20.0 // from the paper's edge to the frame's outer line
	pageZone   = 14.0 // width of the band with the zone letters and numbers
	pageFoot   = 112.0
	pagePad    = 10.0
	pageText   = 10.0
	pageTitle  = 20.0
	zoneLength = 190.0 // about 50 mm, the length of a zone of a drawing's grid reference (ISO 5457, from memory)
)

// Cautions are the usual cautions for the printed sheet.
func Cautions() []string {
	return []string{
		"Training drawing: not for work on any real vehicle.",
		"On a vehicle the maker's procedure, local codes and licensed practice come first.",
		"A battery can drive hundreds of amperes into a short: remove rings and chains, disconnect ground first.",
		"Never fit a fuse of a higher rating than the circuit is marked for.",
	}
}

// PrintTheme returns the product's theme on white paper.
func PrintTheme() draw.Theme {
	th := draw.Workshop()
	th.Paper, th.Raised = draw.RGB(0xffffff), draw.RGB(0xffffff)
	th.Sunk = draw.RGB(0xe9e9e6)
	return th
}

// DrawPage appends the sheet as a printed page: frame with zones, the diagram as large as it fits, and a foot with title,
// fleet number, colour codes in use, how to read the drawing, and cautions. live.Theme is not used. The page is
// paper.Size() large.
func (s *Sheet) DrawPage(l *draw.List, live Live, paper Paper) {
	live.Theme = PrintTheme()
	pg := page{s: s, l: l, th: live.Theme}
	whole := paper.Size()
	outer := whole.Inset(pageEdge)
	inner := outer.Inset(pageZone)
	pg.frame(outer, inner)
	foot, area := draw.Rect{}, inner
	area.H -= pageFoot
	foot = draw.Rect{X: inner.X, Y: area.MaxY(), W: inner.W, H: pageFoot}
	pg.foot(foot)
	area = area.Inset(4)
	const most = 1.25 // a small circuit need not fill the page
	scale := min(area.W/s.size.W, area.H/s.size.H, most)
	l.PushTransform(scale, draw.Point{
		X: area.X + (area.W-s.size.W*scale)/2,
		Y: area.Y + (area.H-s.size.H*scale)/2,
	})
	s.Draw(l, live)
	l.PopTransform()
}

// WriteSVG writes the sheet as a page for printing. It returns the writer's error.
func (s *Sheet) WriteSVG(w io.Writer, live Live, paper Paper) error {
	var l draw.List
	s.DrawPage(&l, live, paper)
	size := paper.Size()
	return draw.WriteSVG(w, &l, draw.Point{X: size.W, Y: size.H}, draw.SVGOptions{
		Title:           s.title(),
		Desc:            fmt.Sprintf("Wiring diagram with %d wires, supply at the top, ground at the bottom.", len(s.m.wires)),
		PageMillimetres: paper.Millimetres(),
		Background:      draw.RGB(0xffffff),
	})
}

func (s *Sheet) title() string {
	if s.h.Vehicle.Fleet == "" {
		return s.h.Title
	}
	return s.h.Title + ", " + s.h.Vehicle.Fleet
}

type page struct {
	s  *Sheet
	l  *draw.List
	th draw.Theme
}

// frame draws the border and its zones: numbers from left to right, letters from the top down.
func (pg *page) frame(outer, inner draw.Rect) {
	thin, thick := draw.Pen(pg.th.InkSoft, 0.7), draw.Pen(pg.th.Ink, 1.4)
	pg.l.Rect(outer, 0, draw.Colour{}, thin)
	pg.l.Rect(inner, 0, draw.Colour{}, thick)
	st := draw.TextStyle{Size: 9, Colour: pg.th.InkSoft, Align: draw.Middle}
	across := zones(inner.W)
	for i := range across {
		x0 := inner.X + inner.W*float64(i)/float64(across)
		mid := x0 + inner.W/float64(across)/2
		for _, y := range [2]float64{outer.Y, inner.MaxY()} {
			band := draw.Rect{Y: y, H: pageZone}
			pg.l.Text(draw.Point{X: mid, Y: draw.Baseline(band, draw.Regular, 9)}, strconv.Itoa(i+1), st)
			if i > 0 {
				pg.l.Line(draw.Point{X: x0, Y: y}, draw.Point{X: x0, Y: y + pageZone}, thin)
			}
		}
	}
	down := zones(inner.H)
	for i := range down {
		y0 := inner.Y + inner.H*float64(i)/float64(down)
		band := draw.Rect{Y: y0, H: inner.H / float64(down)}
		for _, x := range [2]float64{outer.X, inner.MaxX()} {
			pg.l.Text(draw.Point{X: x + pageZone/2, Y: draw.Baseline(band, draw.Regular, 9)}, string(rune('A'+i)), st)
			if i > 0 {
				pg.l.Line(draw.Point{X: x, Y: y0}, draw.Point{X: x + pageZone, Y: y0}, thin)
			}
		}
	}
}

// zones is an even number of zones near the usual length.
func zones(length float64) int { return max(2, 2*int(math.Round(length/zoneLength/2))) }

// foot draws the block at the bottom: reading aids and colour codes, cautions, and the title at the right.
func (pg *page) foot(r draw.Rect) {
	pg.l.Rect(r, 0, pg.th.Paper, draw.Pen(pg.th.Ink, 1.4))
	title, rest := r.CutRight(min(r.W*0.26, 330))
	cautions, rest := rest.CutRight(min(r.W*0.28, 360))
	codes, keys := rest.CutRight(rest.W * 0.42)
	for _, b := range [3]draw.Rect{title, cautions, codes} {
		pg.l.Line(b.Min(), draw.Point{X: b.X, Y: b.MaxY()}, draw.Pen(pg.th.Ink, 0.8))
	}
	pg.keys(keys.Inset(pagePad))
	pg.codes(codes.Inset(pagePad))
	pg.cautions(cautions.Inset(pagePad))
	pg.title(title.Inset(pagePad))
}

func (pg *page) head(r draw.Rect, s string) draw.Rect {
	pg.l.Text(draw.Point{X: r.X, Y: r.Y + pageText}, s, draw.TextStyle{Size: pageText, Face: draw.Bold, Colour: pg.th.Ink})
	_, r = r.CutTop(pageText + 6)
	return r
}

// title writes what the sheet shows and of which vehicle.
func (pg *page) title(r draw.Rect) {
	h := pg.s.h
	y := r.Y
	size := pageTitle
	for size > 11 && draw.Measure(h.Title, draw.Bold, size) > r.W {
		size--
	}
	y += size
	pg.l.Text(draw.Point{X: r.X, Y: y}, draw.Ellipsize(h.Title, draw.Bold, size, r.W), draw.TextStyle{Size: size, Face: draw.Bold, Colour: pg.th.Ink})
	line := func(label, value string) {
		if value == "" {
			return
		}
		y += 15
		pg.l.Text(draw.Point{X: r.X, Y: y}, label, draw.TextStyle{Size: pageText, Colour: pg.th.InkSoft})
		const tab = 62.0
		pg.l.Text(draw.Point{X: r.X + tab, Y: y}, draw.Ellipsize(value, draw.Regular, pageText, r.W-tab), draw.TextStyle{Size: pageText, Colour: pg.th.Ink})
	}
	y += 3
	line("vehicle", strings.TrimSpace(h.Vehicle.Fleet+"  "+h.Vehicle.Title))
	if h.Vehicle.Volts > 0 {
		line("supply", quantity(h.Vehicle.Volts, "V")+" direct current, ground negative")
	}
	line("harness", h.ID)
	line("contents", fmt.Sprintf("%d wires, %d connectors, %d components", len(h.Wires), len(h.Connectors), len(h.Components)))
}

// codes lists the colour codes in use, each with a piece of wire.
func (pg *page) codes(r draw.Rect) {
	r = pg.head(r, "Colour codes (IEC 60757)")
	used := map[string]bool{}
	striped := false
	for _, w := range pg.s.m.wires {
		base, tracer, ok := strings.Cut(strings.ToUpper(w.h.Colour), "/")
		used[base] = true
		if ok {
			used[tracer], striped = true, true
		}
	}
	var list []string
	for _, c := range draw.WireCodes() {
		if used[c] {
			list = append(list, c)
		}
	}
	if used["GNYE"] {
		list = append(list, "GNYE")
	}
	const line = 13.0
	rows := max(int((r.H-line)/line), 1)
	cols := max((len(list)+rows-1)/rows, 1)
	wide := min(r.W/float64(cols), 104)
	for i, c := range list {
		x := r.X + float64(i/rows)*wide
		y := r.Y + float64(i%rows)*line + line/2
		st, err := pg.th.WireStyle(c)
		if err != nil {
			continue
		}
		st.Width, st.HaloWidth = wireWidth, 0
		draw.AppendWire(pg.l, []draw.Point{{X: x + 1, Y: y}, {X: x + 17, Y: y}}, st)
		name, _ := draw.WireName(c)
		room := wide - 24
		text := draw.Ellipsize(c+" "+name, draw.Regular, pageText, room)
		pg.l.Text(draw.Point{X: x + 22, Y: y + 3.5}, text, draw.TextStyle{Size: pageText, Colour: pg.th.Ink})
	}
	if striped {
		text := draw.Ellipsize("RD/WH: red with a white tracer", draw.Regular, pageText, r.W)
		pg.l.Text(draw.Point{X: r.X, Y: r.MaxY()}, text, draw.TextStyle{Size: pageText, Colour: pg.th.InkSoft})
	}
}

// keys says how the drawing is to be read.
func (pg *page) keys(r draw.Rect) {
	r = pg.head(r, "Reading this sheet")
	st := draw.TextStyle{Size: pageText, Colour: pg.th.Ink}
	lines := []string{
		"Supply above, ground below; switches and relays at rest unless shown moved.",
		"On a wire: circuit number, size in mm², colour.",
		"White bar: loom half, cavity numbers. Grey bar: component half, terminals (DIN 72552 where listed).",
		"Dot: splice. Small ring: ring terminal on a stud.",
	}
	y := r.Y
	for _, s := range lines {
		for _, t := range draw.Wrap(s, st.Face, st.Size, r.W) {
			y += 12
			if y > r.MaxY()+4 {
				return
			}
			pg.l.Text(draw.Point{X: r.X, Y: y - 2}, t, st)
		}
	}
}

func (pg *page) cautions(r draw.Rect) {
	r = pg.head(r, "Cautions")
	st := draw.TextStyle{Size: pageText - 0.5, Colour: pg.th.Ink}
	y := r.Y
	for _, s := range Cautions() {
		for _, t := range draw.Wrap(s, st.Face, st.Size, r.W) {
			y += 11.5
			if y > r.MaxY()+4 {
				return
			}
			pg.l.Text(draw.Point{X: r.X, Y: y - 2}, t, st)
		}
	}
}
