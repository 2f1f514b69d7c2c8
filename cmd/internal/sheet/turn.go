package sheet

import (
	"math"
	"slices"
	"sort"

	"faultloom/cmd/internal/draw"
)

// A block that its author turned by a quarter lies on its side. It is drawn in the same coordinates as an upright one (u from
// left to right, v from the top down, lw by lh large), which pt turns; its wires leave it sideways and bend up or down inside
// the block, so that to the rest of the sheet it is a block like any other.

// lyingTurn returns 1 or 3 for a placement turned by a quarter clockwise or anticlockwise, else 0.
func lyingTurn(turn int) int {
	if t := ((turn % 4) + 4) % 4; t != 2 {
		return t
	}
	return 0
}

// pt returns where the block's own point u, v is on the sheet.
func (b *block) pt(u, v float64) draw.Point {
	switch b.lying {
	case 1:
		u, v = b.lh-v, u
	case 3:
		u, v = v, b.lw-u
	}
	return draw.Point{X: b.x + b.core.X + u, Y: b.y + b.core.Y + v}
}

// rect returns where the block's own rectangle is on the sheet.
func (b *block) rect(u, v, w, h float64) draw.Rect {
	p, q := b.pt(u, v), b.pt(u+w, v+h)
	return draw.Rect{X: min(p.X, q.X), Y: min(p.Y, q.Y), W: math.Abs(p.X - q.X), H: math.Abs(p.Y - q.Y)}
}

// upright records the size of a block that is not turned.
func (b *block) upright(m *plan) {
	b.core, b.lw, b.lh = draw.Point{}, b.w, b.h
	for _, t := range b.taps {
		for _, p := range t.ports {
			m.ports[p].ring = m.ports[p].x
		}
	}
}

// Measures of a lying block in sheet units.
const (
	stubGap   = 12.0 // from the drawing to the first wire that bends up or down beside it
	lyingFoot = 6.0
)

// measureLying is measure for a lying block.
func (m *plan) measureLying(b *block) {
	b.fan = [2]float64{}
	b.findRuns(m)
	var u float64
	for i := range b.cols {
		left, right := studR+8, studR+8
		if b.kind == componentBlock {
			half := b.shape.half(i)
			left, right = max(left, half), max(right, half)
		}
		for _, t := range [2]int{b.cols[i].top, b.cols[i].bottom} {
			if t < 0 {
				continue
			}
			if b.taps[t].conn >= 0 {
				left, right = max(left, barL), max(right, barR)
				continue
			}
			room := float64(max(len(b.taps[t].ports)-1, 0))*ringGap/2 + ringR + 4
			left, right = max(left, room), max(right, room)
		}
		u += left
		b.cols[i].x = u
		for _, t := range [2]int{b.cols[i].top, b.cols[i].bottom} {
			if t < 0 {
				continue
			}
			tp := &b.taps[t]
			tp.x = u
			for k, p := range tp.ports {
				m.ports[p].ring = u + (float64(k)-float64(len(tp.ports)-1)/2)*ringGap
			}
		}
		u += right
	}
	for i := range b.runs {
		r := &b.runs[i]
		r.x0, r.x1 = b.cols[r.first].x-barL, b.cols[r.last].x+barR
		for _, q := range b.runs[:i] {
			if q.top == r.top {
				r.labelShown = false // there is room for one name above each end
			}
		}
	}
	b.setHeight()
	b.lw, b.lh = u, b.h
	b.placeLying(m)
}

// placeLying sets the size of a lying block, its lettering above it and its wires beside it.
func (b *block) placeLying(m *plan) {
	head := 0.0
	textWide := 0.0
	for i := range b.text {
		t := &b.text[i]
		t.align = draw.Start
		head += lead(t.size)
		t.y = head - (lead(t.size)-draw.CapHeight(t.face, t.size))/2
		textWide = max(textWide, t.width())
	}
	for i := range b.runs {
		if b.runs[i].labelShown {
			b.runs[i].label = draw.Ellipsize(b.runs[i].label, draw.Bold, sizeID, b.lh/2-6)
		}
	}
	if slices.ContainsFunc(b.runs, func(r run) bool { return r.labelShown }) {
		head += lead(sizeID)
	}
	head += 4
	var up, down []int
	for t := range b.taps {
		for _, p := range b.taps[t].ports {
			if m.ports[p].top {
				up = append(up, p)
			} else {
				down = append(down, p)
			}
		}
	}
	// On the right the nearest wire is labelled towards the next; on the left the other way round.
	b.core = draw.Point{Y: head}
	height := func(p int) float64 {
		if b.lying == 1 {
			return m.ports[p].ring
		}
		return b.lw - m.ports[p].ring
	}
	sort.SliceStable(up, func(i, j int) bool { return height(up[i]) < height(up[j]) })
	sort.SliceStable(down, func(i, j int) bool { return height(down[i]) > height(down[j]) })
	left, right := down, up
	if b.lying == 3 {
		left, right = up, down
	}
	x := 0.0
	for k := len(left) - 1; k >= 0; k-- {
		p := left[k]
		m.ports[p].x = x + portGap/2
		x += max(portGap, m.portReach(p, portGap)+portGap/2)
		if k == 0 {
			x = m.ports[p].x + stubGap
		}
	}
	b.core.X = x
	x += b.lh
	b.w = max(x, b.core.X+textWide)
	edge := 0.0
	for k, p := range right {
		if k == 0 {
			x += stubGap
			if b.lying == 1 { // these go up past the lettering
				x = max(x, b.core.X+textWide+textGap)
			}
		}
		m.ports[p].x = x
		edge = max(edge, x+m.portReach(p, portGap))
		b.w = max(b.w, x+portGap/2)
		x += max(portGap, m.portReach(p, portGap)+portGap/2)
	}
	for _, p := range left {
		edge = max(edge, m.ports[p].x+m.portReach(p, portGap))
	}
	for i := range b.text {
		b.text[i].x = b.core.X
	}
	b.h = b.core.Y + b.lw + lyingFoot
	b.left, b.right = 0, max(0, edge-b.w)
}
