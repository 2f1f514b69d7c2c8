package sheet

import (
	"math"
	"slices"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// Sizes of the sheet's lettering in sheet units.
const (
	sizeID     = 13.0 // ids of components, connectors, grounds, splices
	sizeTitle  = 11.0 // titles, ratings, positions
	sizeWire   = 11.0 // circuit number, size and colour of a wire
	sizeCavity = 9.5  // cavity and terminal numbers
)

// Measures of the sheet in sheet units.
const (
	labelGap  = 6.0  // from a wire's middle to its label
	labelTail = 9.0  // free room to the right of a label
	labelLead = 12.0 // distance of the two baselines of a label
	labelZone = 29.0 // height kept free for a label beside a port

	halfH   = 15.0 // height of one half of a connector
	partGap = 9.0  // how far the halves stand apart when parted
	barL    = 29.0 // a connector bar reaches this far to the left of its outermost terminal: its number stands there
	barR    = 13.0 // and this far to the right
	joint   = 2*halfH + partGap

	symScale = 0.8125 // of the symbols of package draw: 64 high there
	symH     = 52.0   // height of a symbol with its leads
	jogH     = 9.0    // room for leads that step aside

	portGap   = 18.0 // least distance of neighbouring wires
	ringGap   = 30.0 // least distance of ring terminals on a stud
	ringR     = 5.0
	studR     = 6.0
	blockGap  = 16.0 // least distance between the lettering of neighbouring blocks
	textGap   = 9.0  // from a symbol to the lettering beside it
	titleWide = 104.0
	idWide    = 120.0
)

// textLine is one line of lettering of a block; x and y are from the block's upper left corner, y the baseline.
type textLine struct {
	x, y  float64
	s     string
	size  float64
	face  draw.Face
	align draw.Align
	soft  bool
	// state says that the line shows something that changes; see Sheet.stateText. s is then the widest it can be.
	state bool
}

// wide returns the width of lettering rounded up to whole units, so that all places on the sheet are round numbers.
func wide(s string, face draw.Face, size float64) float64 {
	return math.Ceil(draw.Measure(s, face, size))
}

func (t *textLine) width() float64 { return wide(t.s, t.face, t.size) }

// tail is how far the lettering of a ground point can reach beyond its last ring.
func (b *block) tail() float64 {
	var w float64
	for i := range b.text {
		w = max(w, b.text[i].width())
	}
	return max(0, 20+w-studR-8)
}

// portReach returns how far the port's own room reaches to its right: its label, or half the usual distance.
func (m *plan) portReach(p int, gap float64) float64 {
	if l := m.labelAt(p); l > 0 {
		return max(l+labelTail, gap/2)
	}
	return gap / 2
}

// spread sets the x of a tap's ports on one edge about 0, at even distances if asked, and returns how far their room reaches to
// both sides.
func (m *plan) spread(ports []int, gap float64, even bool) (left, right float64) {
	if len(ports) == 0 {
		return 0, 0
	}
	step := func(p int) float64 { return max(gap, m.portReach(p, gap)+portGap/2) }
	widest := 0.0
	for _, p := range ports[:len(ports)-1] {
		widest = max(widest, step(p))
	}
	var x float64
	for i, p := range ports {
		m.ports[p].x = x
		switch {
		case i+1 == len(ports):
		case even:
			x += widest
		default:
			x += step(p)
		}
	}
	mid := x / 2
	for _, p := range ports {
		m.ports[p].x -= mid
	}
	return mid + gap/2, mid + m.portReach(ports[len(ports)-1], gap)
}

// fanH is the height in which several wires of one cavity come together.
const fanH = 12.0

// fanOut keeps room for the wires of a cavity that holds more than one.
func (m *plan) fanOut(b *block, t *tap) {
	upper, lower := m.sides(t)
	if len(upper) > 1 {
		b.fan[0] = fanH
	}
	if len(lower) > 1 {
		b.fan[1] = fanH
	}
}

// sides returns the ports of a tap on the upper and on the lower edge.
func (m *plan) sides(t *tap) (upper, lower []int) {
	for _, p := range t.ports {
		if m.ports[p].top {
			upper = append(upper, p)
		} else {
			lower = append(lower, p)
		}
	}
	return upper, lower
}

// measure sets the columns, ports, bars and lettering of a block from the present order of its columns and ports.
func (m *plan) measure(b *block) {
	if b.lying != 0 {
		m.measureLying(b)
		return
	}
	type reach struct{ left, right float64 }
	cols := make([]reach, len(b.cols))
	b.fan = [2]float64{}
	gap := portGap
	if b.kind == groundBlock || b.kind == componentBlock {
		gap = ringGap
	}
	for i, c := range b.cols {
		r := &cols[i]
		for _, t := range [2]int{c.top, c.bottom} {
			if t < 0 {
				continue
			}
			tp := &b.taps[t]
			if tp.conn >= 0 {
				r.left, r.right = max(r.left, barL), max(r.right, barR)
				m.fanOut(b, tp)
			} else {
				r.left, r.right = max(r.left, studR+8), max(r.right, studR+8)
			}
			upper, lower := m.sides(tp)
			for _, ports := range [2][]int{upper, lower} {
				l, rt := m.spread(ports, gap, b.kind == spliceBlock)
				r.left, r.right = max(r.left, l), max(r.right, rt)
			}
		}
		if b.kind == componentBlock {
			half := b.shape.half(i)
			r.left, r.right = max(r.left, half), max(r.right, half)
		}
	}
	b.findRuns(m)
	// Columns from left to right; a bar that starts inside the block needs room for its connector's id.
	var x float64
	for i := range b.cols {
		lead := cols[i].left
		for _, r := range b.runs {
			if r.first == i && r.labelShown {
				lead = max(lead, barL+4+wide(r.label, draw.Bold, sizeID)+4)
			}
		}
		x += lead
		b.cols[i].x = x
		x += cols[i].right
	}
	last := x
	b.placeText()
	b.place(m, last)
	b.upright(m)
}

// findRuns groups neighbouring columns of one connector into bars.
func (b *block) findRuns(m *plan) {
	b.runs = b.runs[:0]
	for _, top := range [2]bool{true, false} {
		if b.kind == inlineBlock && !top {
			break // one bar shows both halves
		}
		open := -1
		for i, c := range b.cols {
			t := c.bottom
			if top {
				t = c.top
			}
			if t < 0 || b.taps[t].conn < 0 {
				if t >= 0 {
					open = -1
				}
				// A column with nothing on this edge does not break the bar.
				continue
			}
			conn := b.taps[t].conn
			if open >= 0 && b.runs[open].conn == conn {
				b.runs[open].taps = append(b.runs[open].taps, t)
				b.runs[open].last = i
				continue
			}
			b.runs = append(b.runs, run{
				conn: conn, top: top, taps: []int{t}, first: i, last: i,
				label: draw.Ellipsize(m.h.Connectors[conn].ID, draw.Bold, sizeID, idWide),
				// A plug that is named after its component needs no name of its own beside it.
				labelShown: b.kind != inlineBlock && m.h.Connectors[conn].ID != b.id,
			})
			open = len(b.runs) - 1
		}
	}
}

// place turns column positions relative to the first into positions from the block's left edge, and sets its size and
// how far it reaches beyond.
func (b *block) place(m *plan, last float64) {
	leftText, rightText := 0.0, 0.0
	for _, t := range b.text {
		w := wide(t.s, t.face, t.size)
		switch {
		case t.align == draw.End:
			leftText = max(leftText, w)
		default:
			rightText = max(rightText, w)
		}
	}
	shift := 0.0
	switch b.kind {
	case inlineBlock:
		shift = leftText + 6
	case spliceBlock:
		shift = leftText + 4
	case componentBlock, groundBlock, bodyBlock:
	}
	for i := range b.cols {
		b.cols[i].x += shift
	}
	right := 0.0
	for i, c := range b.cols {
		for _, t := range [2]int{c.top, c.bottom} {
			if t < 0 {
				continue
			}
			b.taps[t].x = c.x
		}
		right = max(right, c.x+barR)
		if b.kind == componentBlock {
			right = max(right, c.x+b.shape.half(i))
		}
	}
	edge := 0.0
	seen := make([]bool, len(b.taps))
	for _, c := range b.cols {
		for _, t := range [2]int{c.top, c.bottom} {
			if t < 0 || seen[t] {
				continue
			}
			seen[t] = true
			for _, p := range b.taps[t].ports {
				m.ports[p].x += c.x
				edge = max(edge, m.ports[p].x+m.portReach(p, portGap))
				if b.taps[t].conn < 0 {
					right = max(right, m.ports[p].x+studR+4)
				}
			}
		}
	}
	for i := range b.runs {
		r := &b.runs[i]
		r.x0, r.x1 = b.cols[r.first].x-barL, b.cols[r.last].x+barR
		r.labelX = r.x0 - 4
	}
	b.w = right
	if rightText > 0 {
		x := right + textGap
		if b.kind == groundBlock || b.kind == bodyBlock {
			x = b.cols[0].x + 20
		}
		for i := range b.text {
			if b.text[i].align == draw.Start {
				b.text[i].x = x
			}
		}
		b.w = max(b.w, x+rightText)
	}
	for i := range b.text {
		if b.text[i].align == draw.End {
			b.text[i].x = leftText
		}
	}
	b.left = 0
	b.right = max(0, edge-b.w, last+shift-b.w)
	b.setHeight()
}

// setHeight sets the block's height.
func (b *block) setHeight() {
	switch b.kind {
	case inlineBlock:
		b.h = joint + b.fan[0] + b.fan[1]
	case spliceBlock:
		b.h = 2 * spliceDot
	case groundBlock:
		b.h = groundH
	case bodyBlock:
		b.h = bodyH
	case componentBlock:
		b.h = 2*joint + b.shape.height() + b.fan[0] + b.fan[1]
	}
}

// loomOpen is written at a splice whose loom is open.
const loomOpen = "loom open"

// Heights of the blocks that are not components: rings, stud and symbol of a ground point; bare metal.
const (
	groundH    = 62.0
	groundRing = 10.0 // the rings' middle
	groundStud = 27.0 // the stud's middle
	bodyH      = 50.0
	spliceDot  = 14.0 // a splice's dot, in the middle of its height
	bodyPad    = 14.0 // middle of the spot of bare metal
)

// letter makes the lettering of a component.
func letter(h *harness.Harness, c *harness.Component) []textLine {
	out := idLine(c.ID, draw.Start)
	out = append(out, titleLines(c.Title, 3, draw.Start)...)
	if r := rating(c.Spec); r != "" {
		out = append(out, textLine{s: r, size: sizeTitle, align: draw.Start})
	}
	if s := longestState(h, c); s != "" {
		s = draw.Ellipsize(s, draw.Bold, sizeTitle, titleWide)
		out = append(out, textLine{s: s, size: sizeTitle, face: draw.Bold, align: draw.Start, state: true})
	}
	return out
}

func idLine(s string, align draw.Align) []textLine {
	return []textLine{{s: draw.Ellipsize(s, draw.Bold, sizeID, idWide), size: sizeID, face: draw.Bold, align: align}}
}

func titleLines(s string, most int, align draw.Align) []textLine {
	var out []textLine
	for _, t := range wrapTitle(s, sizeTitle, titleWide, most) {
		out = append(out, textLine{s: t, size: sizeTitle, align: align, soft: true})
	}
	return out
}

// setText makes the lettering of a block.
func (m *plan) setText(b *block) {
	switch b.kind {
	case componentBlock:
		b.text = slices.Clone(m.lettering[b.at])
	case inlineBlock:
		c := &m.h.Connectors[b.at]
		b.text = append(idLine(c.ID, draw.End), titleLines(c.Title, 2, draw.End)...)
	case spliceBlock:
		b.text = append(idLine(b.id, draw.End), textLine{s: loomOpen, size: sizeCavity, align: draw.End, state: true})
	case groundBlock:
		b.text = append(idLine(b.id, draw.Start), titleLines(m.h.Grounds[b.at].Title, 2, draw.Start)...)
	case bodyBlock:
		b.text = titleLines("bare metal of the body", 2, draw.Start)
	}
}

// placeText sets the baselines: lines 1.2 sizes apart about the middle of what they stand beside.
func (b *block) placeText() {
	b.setHeight()
	middle := 0.0
	switch b.kind {
	case componentBlock:
		middle = (b.h + b.fan[0] - b.fan[1]) / 2
	case inlineBlock:
		middle = b.fan[0] + joint/2
	case spliceBlock:
		middle = spliceDot
	case groundBlock:
		middle = groundStud + 22
	case bodyBlock:
		middle = bodyPad + 20
	}
	var total float64
	for _, t := range b.text {
		total += lead(t.size)
	}
	y := middle - total/2
	for i := range b.text {
		t := &b.text[i]
		y += lead(t.size)
		t.y = y - (lead(t.size)-draw.CapHeight(t.face, t.size))/2
	}
}

func lead(size float64) float64 { return size * 1.2 }
