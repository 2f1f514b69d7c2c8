package sheet

import "faultloom/cmd/internal/draw"

// Shape is one drawn thing that lettering and wires have to keep clear of.
type Shape struct {
	Name  string
	Block int
	Box   draw.Rect
}

// Shapes returns the boxes of symbols, connector bars, splices and studs in the state of live.
func (s *Sheet) Shapes(live Live) []Shape {
	var out []Shape
	for i, b := range s.m.blocks {
		put := func(name string, r draw.Rect) { out = append(out, Shape{b.id + " " + name, i, r}) }
		switch b.kind {
		case componentBlock:
			for k := range b.runs {
				in, mid := s.bars(b, &b.runs[k], &live)
				put("bar", in)
				put("bar", mid)
			}
			put("symbol", s.symbolBox(b))
		case inlineBlock:
			up, low := s.inlineBars(b, &live)
			put("bar", up)
			put("bar", low)
		case spliceBlock:
			put("dot", draw.RectAround(draw.Point{X: b.x + b.taps[0].x, Y: b.y + spliceDot}, 10, 10))
		case groundBlock, bodyBlock:
			put("symbol", s.symbolBox(b))
		}
	}
	return out
}

// Way returns the way of the wire with index i and its id.
func (s *Sheet) Way(i int, live Live) (id string, outside, whole []draw.Point) {
	return s.m.wires[i].h.ID, s.routes[i].pts, s.way(nil, i, &live)
}

// Wires returns the number of wires drawn.
func (s *Sheet) Wires() int { return len(s.m.wires) }

// EndBlocks returns the blocks of a wire's ends.
func (s *Sheet) EndBlocks(i int) [2]int {
	w := &s.m.wires[i]
	return [2]int{s.m.ports[w.port[0]].block, s.m.ports[w.port[1]].block}
}

// PinClear is the least distance of upright parts of different wires.
const PinClear = pinClear
