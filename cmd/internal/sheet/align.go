package sheet

import (
	"math"
	"sort"
)

// columnPitch is one grid column of a Placement in sheet units: a component with a short title beside it.
const columnPitch = 160.0

// Weights with which wires pull what they join into line: the longer a wire already runs through layers, the more a
// bend in it would show.
const (
	pullPorts  = 2.0
	pullPass   = 3.0
	pullPasses = 8.0
	// pullColumn holds a placed block to its column against any number of wires.
	pullColumn = 1e4
)

// datum is one wish for the x of an item.
type datum struct{ x, weight float64 }

// align sets the x of every item: in its layer's order, no nearer to its neighbours than their lettering allows, and
// otherwise such that the sum of the horizontal ways of all wires is small. Each layer is solved exactly for the present
// places of its neighbours (isotonic regression in the L1 norm by pooling adjacent violators), and the layers in turn.
func (g *grid) align() {
	for l := range g.layers {
		g.pack(l)
	}
	const sweeps = 24
	for s := range sweeps {
		use := [2]bool{true, true}
		if s < sweeps/2 {
			use = [2]bool{s%2 == 0, s%2 == 1}
		}
		for k := range g.layers {
			l := k
			if s%2 == 1 {
				l = len(g.layers) - 1 - k
			}
			g.alignLayer(l, use)
		}
	}
	g.straighten()
	g.stretchGrounds()
	g.settleLeft()
}

// settleLeft moves everything so that the leftmost room begins at 0.
func (g *grid) settleLeft() {
	low := math.Inf(1)
	for _, items := range g.layers {
		for _, it := range items {
			low = min(low, it.x-g.leftOf(it))
		}
	}
	for _, items := range g.layers {
		for _, it := range items {
			g.moveTo(it, it.x-low)
		}
	}
	for i, b := range g.m.blocks {
		b.x = g.items[i].x
	}
}

func (g *grid) moveTo(it *item, x float64) {
	it.x = x
	if it.block < 0 {
		g.passes[it.pass].x = x
	}
}

// leftOf and rightOf return how far an item's room reaches from its x.
func (g *grid) leftOf(it *item) float64 {
	if it.block < 0 {
		return portGap / 2
	}
	return g.m.blocks[it.block].left
}

func (g *grid) rightOf(it *item) float64 {
	if it.block < 0 {
		return portGap / 2
	}
	b := g.m.blocks[it.block]
	return b.w + b.right
}

// separation returns the least distance of the x of two neighbours.
func (g *grid) separation(a, b *item) float64 {
	d := g.rightOf(a) + g.leftOf(b)
	if a.block >= 0 && b.block >= 0 {
		return d + blockGap
	}
	if a.block >= 0 || b.block >= 0 {
		return d + 4
	}
	return d
}

// wishes returns where the wires of an item would have it.
func (g *grid) wishes(it *item, l int, use [2]bool) []datum {
	var out []datum
	for k, above := range [2]bool{true, false} {
		if !use[k] {
			continue
		}
		g.neighbours(it, l, above, func(own, other pin) {
			w := pullPorts
			switch {
			case own.pass >= 0 && other.pass >= 0:
				w = pullPasses
			case own.pass >= 0 || other.pass >= 0:
				w = pullPass
			}
			if own.top == other.top {
				w /= 2 // can never be straight: near is enough
			}
			out = append(out, datum{g.pinX(other) - (g.pinX(own) - it.x), w})
		})
	}
	if it.block >= 0 && g.m.blocks[it.block].placed {
		b := g.m.blocks[it.block]
		mid := (b.cols[0].x + b.cols[len(b.cols)-1].x) / 2
		if b.lying != 0 {
			mid = b.core.X + b.lh/2
		}
		out = append(out, datum{float64(b.placedCol*columnPitch) - mid, pullColumn})
	}
	return out
}

// pool is a stretch of neighbouring items that stand as close together as they may.
type pool struct {
	data        []datum
	first, last int
	at          float64
}

// alignLayer solves one layer for the present places of the layers beside it.
func (g *grid) alignLayer(l int, use [2]bool) {
	items := g.layers[l]
	offset := make([]float64, len(items))
	for i := 1; i < len(items); i++ {
		offset[i] = offset[i-1] + g.separation(items[i-1], items[i])
	}
	var pools []pool
	for i, it := range items {
		data := g.wishes(it, l, use)
		if len(data) == 0 {
			// Nothing pulls: beside the neighbour on the left.
			x := it.x
			if i > 0 {
				x = pools[len(pools)-1].at + offset[i]
			}
			data = []datum{{x, 1e-3}}
		}
		for k := range data {
			data[k].x -= offset[i]
		}
		p := pool{data: data, first: i, last: i}
		p.at = median(p.data, it.x-offset[i])
		pools = append(pools, p)
		for len(pools) > 1 && pools[len(pools)-2].at > pools[len(pools)-1].at {
			a, b := pools[len(pools)-2], pools[len(pools)-1]
			merged := pool{data: append(a.data, b.data...), first: a.first, last: b.last}
			merged.at = median(merged.data, (a.at+b.at)/2)
			pools = append(pools[:len(pools)-2], merged)
		}
	}
	for _, p := range pools {
		for i := p.first; i <= p.last; i++ {
			g.moveTo(items[i], p.at+offset[i])
		}
	}
}

// median returns a weighted median of data: of the two that are as good where weights balance, the one nearer to now, so
// that at least one wire runs straight.
func median(data []datum, now float64) float64 {
	d := append([]datum(nil), data...)
	sort.SliceStable(d, func(a, b int) bool { return d[a].x < d[b].x })
	var total float64
	for _, v := range d {
		total += v.weight
	}
	var sum float64
	for i, v := range d {
		sum += v.weight
		if sum*2 == total && i+1 < len(d) {
			if now-v.x <= d[i+1].x-now {
				return v.x
			}
			return d[i+1].x
		}
		if sum*2 > total {
			return v.x
		}
	}
	return now
}
