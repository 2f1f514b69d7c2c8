package sheet

import (
	"slices"
	"sort"
)

// arrangeBlocks rearranges columns and ports inside blocks where that makes wires cross less.
func (g *grid) arrangeBlocks() {
	for i, b := range g.m.blocks {
		l := b.layer
		for t := range b.taps {
			g.sortPorts(i, t)
		}
		g.m.measure(b)
		g.pack(l)
		if b.lying != 0 {
			continue // seldom, and turned by hand: as it stands
		}
		switch b.perm {
		case mirrored:
			g.tryColumns(b, func() { slices.Reverse(b.cols); slices.Reverse(b.shape.parts) })
		case free:
			g.bubble(b, func(k int) { b.cols[k], b.cols[k+1] = b.cols[k+1], b.cols[k] })
		case split:
			g.bubble(b, func(k int) { b.cols[k].top, b.cols[k+1].top = b.cols[k+1].top, b.cols[k].top })
			g.bubble(b, func(k int) { b.cols[k].bottom, b.cols[k+1].bottom = b.cols[k+1].bottom, b.cols[k].bottom })
		case fixed:
		}
	}
}

// tryColumns makes a change of columns that undoes itself when made twice, and keeps it if wires cross less for it.
func (g *grid) tryColumns(b *block, change func()) bool {
	before := g.around(b.layer)
	apply := func() {
		change()
		if b.kind == componentBlock && b.perm == split {
			b.reshape(g.m)
		}
		g.m.measure(b)
		g.pack(b.layer)
	}
	apply()
	if g.around(b.layer) < before {
		return true
	}
	apply()
	return false
}

func (g *grid) bubble(b *block, swap func(k int)) {
	for range b.cols {
		moved := false
		for k := 0; k+1 < len(b.cols); k++ {
			moved = g.tryColumns(b, func() { swap(k) }) || moved
		}
		if !moved {
			return
		}
	}
}

// reshape chooses the drawing anew after taps moved between columns.
func (b *block) reshape(m *plan) { b.shape = newShape(&m.h.Components[b.at], b) }

// sortPorts orders the wires on one tap by where they go.
func (g *grid) sortPorts(block, tap int) {
	ports := g.m.blocks[block].taps[tap].ports
	if len(ports) < 2 {
		return
	}
	key := make(map[int]float64, len(ports))
	for _, p := range ports {
		key[p] = g.farX(p)
	}
	sort.SliceStable(ports, func(a, b int) bool { return key[ports[a]] < key[ports[b]] })
}

// farX returns where the wire at port p is at the other side of the channel it leaves through.
func (g *grid) farX(p int) float64 {
	for _, s := range g.spans[g.channelOf(p)] {
		if s.a.port == p {
			return g.pinX(s.b)
		}
		if s.b.port == p {
			return g.pinX(s.a)
		}
	}
	return 0
}

// saved is one whole arrangement.
type saved struct {
	layers [][]*item
	cols   [][]column
	parts  [][]part
	ports  [][][]int
}

func (g *grid) save() saved {
	var s saved
	for _, l := range g.layers {
		s.layers = append(s.layers, slices.Clone(l))
	}
	for _, b := range g.m.blocks {
		s.cols = append(s.cols, slices.Clone(b.cols))
		s.parts = append(s.parts, slices.Clone(b.shape.parts))
		var ports [][]int
		for _, t := range b.taps {
			ports = append(ports, slices.Clone(t.ports))
		}
		s.ports = append(s.ports, ports)
	}
	return s
}

func (g *grid) restore(s saved) {
	for l := range g.layers {
		copy(g.layers[l], s.layers[l])
	}
	for i, b := range g.m.blocks {
		copy(b.cols, s.cols[i])
		copy(b.shape.parts, s.parts[i])
		for t := range b.taps {
			copy(b.taps[t].ports, s.ports[i][t])
		}
		if b.kind == componentBlock && b.perm == split {
			b.reshape(g.m)
		}
		g.m.measure(b)
	}
	for l := range g.layers {
		g.pack(l)
	}
}
