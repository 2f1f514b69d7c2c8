package sheet

import (
	"math"
	"sort"
)

// arrow says that block b should stand below block a. soft arrows may be given up to save a layer.
type arrow struct {
	a, b int
	soft bool
}

// rank gives every block its layer. Where the author gave rows they hold; the rest follows the current downwards, grounds
// in the last layer, and stands near what it joins. With folds, what is in those layers or lower moves up again to the side.
func (m *plan) rank(folds []int) (layers int) {
	arrows := m.arrows()
	anyRow := false
	for _, b := range m.blocks {
		anyRow = anyRow || b.placed
	}
	hard := m.longest(m.acyclic(arrows))
	use := hard
	firm := make([]arrow, 0, len(arrows))
	for _, a := range arrows {
		if !a.soft {
			firm = append(firm, a)
		}
	}
	eased := m.longest(m.acyclic(firm))
	kept := m.acyclic(arrows)
	if depth(eased) < depth(hard) {
		use, kept = eased, m.acyclic(firm)
	}
	for i, b := range m.blocks {
		b.rank = float64(use[i])
	}
	last := float64(depth(use))
	for _, b := range m.blocks {
		if b.placed {
			b.rank = b.placedRow
			last = max(last, b.rank)
		}
	}
	if anyRow {
		m.fitRows(kept)
		last = 0
		for _, b := range m.blocks {
			if b.kind != groundBlock && b.kind != bodyBlock || b.placed {
				last = max(last, b.rank)
			}
		}
	}
	m.settle(kept, anyRow)
	if !anyRow {
		m.fold(folds)
	}
	m.sinkGrounds(anyRow)
	return m.layersFromRanks()
}

// fold moves everything from each of the layers on, grounds left aside, up to the second layer: the sheet becomes one band
// more wide for each.
func (m *plan) fold(at []int) {
	for _, b := range m.blocks {
		if b.kind == groundBlock || b.kind == bodyBlock {
			continue
		}
		for k := len(at) - 1; k >= 0; k-- {
			if b.rank >= float64(at[k]) {
				b.rank -= float64(at[k] - 1)
				b.band = k + 1
				break
			}
		}
	}
}

// arrows returns, for each wire that leaves one block downwards and enters another from above, that order.
func (m *plan) arrows() []arrow {
	var out []arrow
	for _, w := range m.wires {
		p, q := m.ports[w.port[0]], m.ports[w.port[1]]
		if p.top == q.top || p.block == q.block {
			continue
		}
		if p.top {
			p, q = q, p
		}
		soft := m.isCoil(p) || m.isCoil(q)
		out = append(out, arrow{p.block, q.block, soft})
	}
	return out
}

// isCoil reports whether a port belongs to a relay's coil: a relay may stand beside what switches it rather than below.
func (m *plan) isCoil(p port) bool {
	t := m.blocks[p.block].taps[p.tap].terminal
	return m.blocks[p.block].shape.relay && (t == "85" || t == "86")
}

// acyclic leaves out the arrows that close a circle, the later ones first.
func (m *plan) acyclic(arrows []arrow) []arrow {
	n := len(m.blocks)
	next := make([][]int, n)
	reaches := func(from, to int) bool {
		seen := make([]bool, n)
		stack := []int{from}
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if i == to {
				return true
			}
			if seen[i] {
				continue
			}
			seen[i] = true
			stack = append(stack, next[i]...)
		}
		return false
	}
	var out []arrow
	for _, a := range arrows {
		if reaches(a.b, a.a) {
			continue
		}
		next[a.a] = append(next[a.a], a.b)
		out = append(out, a)
	}
	return out
}

// longest returns for each block the length of the longest way down to it.
func (m *plan) longest(arrows []arrow) []int {
	rank := make([]int, len(m.blocks))
	for range m.blocks { // at most as many rounds as there are blocks: the arrows have no circle
		moved := false
		for _, a := range arrows {
			if rank[a.b] < rank[a.a]+1 {
				rank[a.b] = rank[a.a] + 1
				moved = true
			}
		}
		if !moved {
			break
		}
	}
	return rank
}

func depth(rank []int) int {
	d := 0
	for _, r := range rank {
		d = max(d, r)
	}
	return d
}

// fitRows gives blocks without a row one that suits the rows the author gave: below what is above them, and evenly between
// where there are not enough whole rows left.
func (m *plan) fitRows(arrows []arrow) {
	high, steps := m.rowsBelow(arrows)
	for range m.blocks {
		moved := false
		for i, b := range m.blocks {
			if b.placed {
				continue
			}
			low := math.Inf(-1)
			for _, a := range arrows {
				if a.b == i {
					low = max(low, m.blocks[a.a].rank)
				}
			}
			r := 0.0
			switch room := high[i] - low; {
			case math.IsInf(low, -1):
			case room >= float64(steps[i]+1) || math.IsInf(high[i], 1):
				r = math.Floor(low) + 1
			case room > 0:
				// Rows are kept in 64ths so that the same row is the same number.
				r = math.Round((low+room/float64(steps[i]+1))*64) / 64
			default:
				r = low
			}
			if r != b.rank {
				b.rank = r
				moved = true
			}
		}
		if !moved {
			return
		}
	}
}

// rowsBelow returns for each block the row of the nearest placed block that the arrows lead to, +Inf when there is none, and
// the number of arrows to it.
func (m *plan) rowsBelow(arrows []arrow) (high []float64, steps []int) {
	high, steps = make([]float64, len(m.blocks)), make([]int, len(m.blocks))
	for i := range high {
		high[i] = math.Inf(1)
	}
	for range m.blocks {
		moved := false
		for _, a := range arrows {
			h, n := high[a.b], steps[a.b]+1
			if m.blocks[a.b].placed {
				h, n = m.blocks[a.b].rank, 1
			}
			if h < high[a.a] || h == high[a.a] && n > steps[a.a] && !math.IsInf(h, 1) {
				high[a.a], steps[a.a] = h, n
				moved = true
			}
		}
		if !moved {
			break
		}
	}
	return high, steps
}

// settle moves blocks without a row up or down within what the arrows allow, to the middle of what they join, so that
// wires get short.
func (m *plan) settle(arrows []arrow, rows bool) {
	up, down := make([][]int, len(m.blocks)), make([][]int, len(m.blocks))
	for _, a := range arrows {
		up[a.b] = append(up[a.b], a.a)
		down[a.a] = append(down[a.a], a.b)
	}
	const rounds = 8
	for range rounds {
		moved := false
		for i := len(m.blocks) - 1; i >= 0; i-- {
			b := m.blocks[i]
			if b.placed || rows && b.rank != math.Floor(b.rank) || len(down[i]) == 0 {
				continue
			}
			low, high := 0.0, math.Inf(1)
			for _, j := range up[i] {
				low = max(low, math.Floor(m.blocks[j].rank)+1)
			}
			for _, j := range down[i] {
				high = min(high, math.Ceil(m.blocks[j].rank)-1)
			}
			if high <= low {
				continue
			}
			// With as many wires above as below any place is as good: stay below the nearest thing above.
			want := low
			if len(down[i]) > len(up[i]) {
				want = high
			}
			if len(up[i]) == 0 {
				want = high
			}
			if len(up[i]) == 0 && b.kind == componentBlock {
				if _, _, feeds := supplyTerminals(m.h.Components[b.at].Spec); feeds {
					want = 0
				}
			}
			if want != b.rank {
				b.rank = want
				moved = true
			}
		}
		if !moved {
			return
		}
	}
}

// sinkGrounds puts grounds and the body into the last layer.
func (m *plan) sinkGrounds(rows bool) {
	last := 0.0
	for _, b := range m.blocks {
		ground := b.kind == groundBlock || b.kind == bodyBlock
		if ground && !b.placed {
			continue
		}
		last = max(last, b.rank)
		if !ground {
			last = max(last, math.Floor(b.rank)+1)
		}
	}
	for _, b := range m.blocks {
		if (b.kind == groundBlock || b.kind == bodyBlock) && !b.placed {
			b.rank = last
		}
	}
}

// layersFromRanks numbers the distinct ranks from the top and returns how many there are.
func (m *plan) layersFromRanks() int {
	var ranks []float64
	for _, b := range m.blocks {
		ranks = append(ranks, b.rank)
	}
	sort.Float64s(ranks)
	distinct := ranks[:0]
	for _, r := range ranks {
		if len(distinct) == 0 || r != distinct[len(distinct)-1] {
			distinct = append(distinct, r)
		}
	}
	for _, b := range m.blocks {
		b.layer = sort.SearchFloat64s(distinct, b.rank)
	}
	return len(distinct)
}
