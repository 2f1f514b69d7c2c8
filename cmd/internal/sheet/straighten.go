package sheet

import "math"

// bendCost is what one bend pair counts, in sheet units of horizontal way: a short jog is worse than a longer line
// elsewhere.
const bendCost = 60.0

// straighten takes out jogs that alignment left: it moves everything that hangs together in straight lines sideways at
// once, wherever that makes the sheet's wires shorter or straighter and nothing is in the way.
func (g *grid) straighten() {
	s := newStraightener(g)
	const rounds = 12
	for range rounds {
		moved := false
		for c := range g.spans {
			for k := range g.spans[c] {
				moved = s.try(g.spans[c][k]) || moved
			}
		}
		if !moved {
			return
		}
	}
}

type straightener struct {
	g *grid
	// layer and place of every item, and the spans at it.
	layer, place map[*item]int
	at           map[*item][]span
}

func newStraightener(g *grid) *straightener {
	s := &straightener{g: g, layer: map[*item]int{}, place: map[*item]int{}, at: map[*item][]span{}}
	for l, items := range g.layers {
		for i, it := range items {
			s.layer[it], s.place[it] = l, i
		}
	}
	for _, spans := range g.spans {
		for _, sp := range spans {
			a, b := s.owner(sp.a), s.owner(sp.b)
			s.at[a] = append(s.at[a], sp)
			if b != a {
				s.at[b] = append(s.at[b], sp)
			}
		}
	}
	return s
}

func (s *straightener) owner(p pin) *item {
	if p.pass >= 0 {
		return s.g.passItem[p.pass]
	}
	return s.g.items[s.g.m.ports[p.port].block]
}

// cost is what a span costs as its ends stand.
func (s *straightener) cost(sp span) float64 {
	d := math.Abs(s.g.pinX(sp.a) - s.g.pinX(sp.b))
	if sp.a.top == sp.b.top {
		return d
	}
	if d < same {
		return 0
	}
	return d + bendCost
}

// same is the distance under which two places on the sheet are one: rounding of sums of widths.
const same = 1e-6

// try moves one end of a span, with all that hangs on it, in line with the other.
func (s *straightener) try(sp span) bool {
	if sp.a.top == sp.b.top {
		return false
	}
	d := s.g.pinX(sp.b) - s.g.pinX(sp.a)
	if math.Abs(d) < same {
		return false
	}
	a, b := s.owner(sp.a), s.owner(sp.b)
	if a == b {
		return false
	}
	return s.move(a, b, d, true) || s.move(b, a, -d, true) || s.move(a, b, d, false) || s.move(b, a, -d, false)
}

// move shifts item a by d, together with what is in line with it (but not stay) and with what stands in the way, if that
// is possible and lowers the cost.
func (s *straightener) move(a, stay *item, d float64, together bool) bool {
	var group []*item
	in := map[*item]bool{}
	add := func(it *item) {
		if !in[it] {
			in[it] = true
			group = append(group, it)
		}
	}
	add(a)
	for i := 0; i < len(group); i++ {
		it := group[i]
		if it == stay || it.block >= 0 && s.g.m.blocks[it.block].placed {
			return false
		}
		if o := s.blocker(it, d); o != nil {
			add(o)
		}
		if !together {
			continue
		}
		for _, sp := range s.at[it] {
			if sp.a.top == sp.b.top || math.Abs(s.g.pinX(sp.a)-s.g.pinX(sp.b)) >= same {
				continue
			}
			for _, o := range [2]*item{s.owner(sp.a), s.owner(sp.b)} {
				if o != stay {
					add(o)
				}
			}
		}
	}
	before := s.total(group, in)
	for _, it := range group {
		s.g.moveTo(it, it.x+d)
	}
	if s.total(group, in) < before-same {
		return true
	}
	for _, it := range group {
		s.g.moveTo(it, it.x-d)
	}
	return false
}

// blocker returns the neighbour that an item would come too near to if it moved by d, nil if there is none.
func (s *straightener) blocker(it *item, d float64) *item {
	items := s.g.layers[s.layer[it]]
	i := s.place[it]
	if d < 0 && i > 0 && items[i-1].x+s.g.separation(items[i-1], it) > it.x+d+same {
		return items[i-1]
	}
	if d > 0 && i+1 < len(items) && it.x+d+s.g.separation(it, items[i+1]) > items[i+1].x+same {
		return items[i+1]
	}
	return nil
}

func (s *straightener) total(group []*item, in map[*item]bool) float64 {
	var sum float64
	for _, it := range group {
		for _, sp := range s.at[it] {
			a, b := s.owner(sp.a), s.owner(sp.b)
			c := s.cost(sp)
			if in[a] && in[b] && a != b {
				c /= 2 // met twice
			}
			sum += c
		}
	}
	return sum
}

// stretchGrounds moves the ring terminals of each ground point under the wires that come down to them, as far as the
// neighbours in the layer leave room: the point becomes a rail.
func (g *grid) stretchGrounds() {
	for _, items := range g.layers {
		for i, it := range items {
			if it.block < 0 || g.m.blocks[it.block].kind != groundBlock {
				continue
			}
			low, high := math.Inf(-1), math.Inf(1)
			if i > 0 {
				low = items[i-1].x + g.separation(items[i-1], it)
			}
			if i+1 < len(items) && g.pulled(items[i+1:]) {
				high = items[i+1].x - g.leftOf(items[i+1]) - blockGap
			}
			g.stretch(it, low, high)
			for k := i + 1; k < len(items) && !g.pulled(items[i+1:]); k++ {
				g.moveTo(items[k], items[k-1].x+g.separation(items[k-1], items[k]))
			}
		}
	}
}

// pulled reports whether any wire leads to any of the items.
func (g *grid) pulled(items []*item) bool {
	for _, it := range items {
		if it.block < 0 {
			return true
		}
		for _, t := range g.m.blocks[it.block].taps {
			if len(t.ports) > 0 {
				return true
			}
		}
	}
	return false
}

func (g *grid) stretch(it *item, low, high float64) {
	b := g.m.blocks[it.block]
	ports := b.taps[0].ports
	if len(ports) < 2 || b.placed {
		return
	}
	const end = studR + 8 // from the last ring to the block's edge
	want := make([]float64, len(ports))
	for i, p := range ports {
		want[i] = g.farX(p) - float64(float64(i)*ringGap)
	}
	// Isotonic regression: rings keep their order and their least distance.
	type heap struct {
		data []datum
		n    int
		at   float64
	}
	var heaps []heap
	for _, w := range want {
		h := heap{[]datum{{w, 1}}, 1, w}
		for len(heaps) > 0 && heaps[len(heaps)-1].at > h.at {
			last := heaps[len(heaps)-1]
			heaps = heaps[:len(heaps)-1]
			h = heap{append(last.data, h.data...), last.n + h.n, 0}
			h.at = median(h.data, h.data[0].x)
		}
		heaps = append(heaps, h)
	}
	x := make([]float64, 0, len(ports))
	for _, h := range heaps {
		for range h.n {
			x = append(x, h.at+float64(float64(len(x))*ringGap))
		}
	}
	last := len(ports) - 1
	room := float64(float64(last) * ringGap)
	lowest, highest := low+end, high-end-b.tail()
	if highest-lowest < room {
		return
	}
	for i := range x {
		x[i] = min(max(x[i], lowest+float64(float64(i)*ringGap)), highest-float64(float64(last-i)*ringGap))
	}
	// The lettering stands to the right of the stud, under the rings where the rail is long.
	mid := x[0]
	for _, v := range x { // the stud under the ring nearest to the middle
		if math.Abs(2*v-x[0]-x[last]) < math.Abs(2*mid-x[0]-x[last]) {
			mid = v
		}
	}
	left := x[0] - end
	move := mid - left - b.cols[0].x
	for i, p := range ports {
		g.m.ports[p].x = x[i] - left
	}
	b.cols[0].x += move
	b.taps[0].x += move
	right := x[last] + end - left
	for i := range b.text {
		b.text[i].x += move
		right = max(right, b.text[i].x+b.text[i].width())
	}
	b.w, b.right = right, 0
	b.upright(g.m)
	g.moveTo(it, left)
}
