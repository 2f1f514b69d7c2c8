package circuit

import "slices"

// symbolic is all that follows from the topology alone: the order of elimination and the places where numbers go. It is
// made once by Compile, never changed, and shared by clones.
//
// A column is a node in its place in the order. An entry is a pair of columns joined by a conductance when the earlier one
// is eliminated; it belongs to the earlier. A slot is where branches add up: those of a column stand side by side, first the
// path from it to ground, then its entries.
//
// Columns whose numbers change in every iteration of Newton's method or in every step in time, because a Curve, Capacitor or
// Inductor ends there or at a column that is eliminated into them, are live. They come last, which is still an elimination order with the same fill.
type symbolic struct {
	net     Netlist // for names and places
	columns int
	slots   int
	live    int // first live column
	bare    int // first slot of the columns into which others are eliminated or which are live
	levels  int // depth of the elimination tree

	node   []int32 // column -> Node
	pos    []int32 // Node -> column, -1 for Ground
	parent []int32 // column -> next column on the way to the root of the elimination tree, -1 at a root

	ptr     []int32 // column -> its slot to ground; one more than columns
	row     []int32 // slot -> later column that the entry leads to; the column itself for its slot to ground
	rowNode []int32 // slot -> Node of that column
	col     []int32 // slot -> column it belongs to

	reach  []int32 // slot -> where its column's later entries add in the column that the entry leads to, see reachOf
	target []int32 // entries reached where they are not contiguous
	stars  []star  // by column
	ends   []ends  // by column

	place      []place // branch -> where it adds
	slotPtr    []int32 // slot -> first of its linear branches; one more than slots
	slotBranch []int32

	curves    []ID    // branches that are Curves
	curveOf   []int32 // branch -> index in curves, -1 for others
	stores    []ID    // branches that are Capacitors or Inductors
	storeOf   []int32 // branch -> index in stores, -1 for others
	hotSlots  []int32 // slots that hold curves or stores
	hotOnly   []int32 // hot slot -> index in curves if it holds that one alone, else -1
	hotOf     lists   // column -> its hot slots
	hotStored []int32 // hot slots that hold stores
	hotCurve  lists   // hot slot -> indices in curves
	hotStore  lists   // hot slot -> indices in stores
	hot       []bool  // column -> whether a hot slot belongs to it
	held      []int32 // column -> how many of its first entries there are up to its last hot slot, 0 if that leads to ground
}

// lists are lists of small numbers, end to end.
type lists struct{ ptr, item []int32 }

// at returns list i.
func (l *lists) at(i int) []int32 { return l.item[l.ptr[i]:l.ptr[i+1]] }

// add appends a list.
func (l *lists) add(items []int32) {
	if len(l.ptr) == 0 {
		l.ptr = append(l.ptr, 0)
	}
	l.item = append(l.item, items...)
	l.ptr = append(l.ptr, int32(len(l.item)))
}

// star says where a column adds when it is eliminated, if it has no more than two neighbours, as most have; ends, whose voltages its own
// follows from. What there is no neighbour for is 0. Unsigned numbers spare the extension of a sign in the innermost loops.
type star struct {
	own           uint32 // the column's slot to ground, its entries follow
	first, second uint32 // slots that join the neighbours to ground
	mesh          uint32 // slot between them
}

type ends struct {
	own                 uint32 // as in star
	node, first, second uint32 // the column's and its neighbours'
}

// place is the slot of a branch, -1 when both ends are one node, and its sign: +1 when the branch's a is the slot's own
// column, -1 when it is the other end.
type place struct {
	slot int32
	sign float64
}

func analyse(n *Netlist) *symbolic {
	s := &symbolic{net: Netlist{nodes: slices.Clip(n.nodes), branches: slices.Clip(n.branches)}, columns: len(n.nodes)}
	s.listHot()
	adj, hot := s.graph()
	s.arrange(minimumDegree(adj, hot), hot)
	s.listReach()
	s.placeBranches()
	return s
}

func (s *symbolic) listHot() {
	s.curveOf = make([]int32, len(s.net.branches))
	s.storeOf = make([]int32, len(s.net.branches))
	for i, el := range s.net.branches {
		s.curveOf[i], s.storeOf[i] = -1, -1
		switch el.br.(type) {
		case Curve:
			s.curveOf[i] = int32(len(s.curves))
			s.curves = append(s.curves, ID(i))
		case Capacitor, Inductor:
			s.storeOf[i] = int32(len(s.stores))
			s.stores = append(s.stores, ID(i))
		}
	}
}

// graph returns the neighbours of each node but Ground (vertex = node-1), and which of them a curve or a store ends at.
func (s *symbolic) graph() (adj [][]int32, hot []bool) {
	adj = make([][]int32, s.columns)
	hot = make([]bool, s.columns)
	for i, el := range s.net.branches {
		a, b := int32(el.a)-1, int32(el.b)-1
		if a == b {
			continue
		}
		for _, v := range [2]int32{a, b} {
			if v >= 0 && (s.curveOf[i] >= 0 || s.storeOf[i] >= 0) {
				hot[v] = true
			}
		}
		if a >= 0 && b >= 0 {
			adj[a] = append(adj[a], b)
			adj[b] = append(adj[b], a)
		}
	}
	for v := range adj {
		slices.Sort(adj[v])
		adj[v] = slices.Compact(adj[v])
	}
	return adj, hot
}

// arrange puts the live columns last and lays out the entries.
func (s *symbolic) arrange(p pattern, hot []bool) {
	n := s.columns
	was := make([]int32, n) // vertex -> position in p
	for k, v := range p.node {
		was[v] = int32(k)
	}
	live := make([]bool, n) // by position in p
	for k, v := range p.node {
		live[k] = live[k] || hot[v]
		if live[k] {
			for _, u := range p.joined[k] {
				live[was[u]] = true
			}
		}
	}
	order := s.schedule(p, was, live)
	s.node = make([]int32, n)
	s.pos = make([]int32, n+1)
	s.pos[Ground] = -1
	for k, old := range order {
		s.node[k] = p.node[old] + 1
		s.pos[s.node[k]] = int32(k)
	}
	s.parent = make([]int32, n)
	s.ptr = make([]int32, n+1)
	for k, old := range order {
		s.row = append(s.row, int32(k))
		first := len(s.row)
		for _, u := range p.joined[old] {
			s.row = append(s.row, s.pos[u+1])
		}
		slices.Sort(s.row[first:])
		s.parent[k] = -1
		if len(s.row) > first {
			s.parent[k] = s.row[first]
		}
		s.ptr[k+1] = int32(len(s.row))
	}
	depth := make([]int, n)
	for k := n - 1; k >= 0; k-- {
		depth[k] = 1
		if u := s.parent[k]; u >= 0 {
			depth[k] += depth[u]
		}
		s.levels = max(s.levels, depth[k])
	}
	s.slots = len(s.row)
	s.rowNode = make([]int32, s.slots)
	s.col = make([]int32, s.slots)
	for k := range n {
		for e := s.ptr[k]; e < s.ptr[k+1]; e++ {
			s.rowNode[e] = s.node[s.row[e]]
			s.col[e] = int32(k)
		}
	}
}

// classes is how many kinds of columns there are to schedule: with no entries, one, two, and more, of which there are few.
const classes = 4

// schedule returns the positions in p in the order of elimination that is used: the live ones last, and within that
// columns with as many entries in long runs, so that the processor foresees what comes next.
func (s *symbolic) schedule(p pattern, was []int32, live []bool) []int32 {
	n := len(p.node)
	order := make([]int32, 0, n)
	parent := make([]int32, n)
	waits := make([]int32, n) // for how many columns that are eliminated into it
	for k := range n {
		parent[k] = -1
		for _, u := range p.joined[k] {
			if at := was[u]; parent[k] < 0 || at < parent[k] {
				parent[k] = at
			}
		}
		if parent[k] >= 0 {
			waits[parent[k]]++
		}
	}
	class := func(k int32) int { return min(len(p.joined[k]), classes-1) }
	for _, phase := range [2]bool{false, true} {
		if phase {
			s.live = len(order)
		}
		var ready [classes][]int32
		for k := range int32(n) {
			if waits[k] == 0 && live[k] == phase {
				ready[class(k)] = append(ready[class(k)], k)
			}
		}
		for {
			c := 0
			for i := range ready {
				if len(ready[i]) > len(ready[c]) {
					c = i
				}
			}
			if len(ready[c]) == 0 {
				break
			}
			for len(ready[c]) > 0 {
				k := ready[c][0]
				ready[c] = ready[c][1:]
				order = append(order, k)
				if u := parent[k]; u >= 0 {
					waits[u]--
					if waits[u] == 0 && live[u] == phase {
						ready[class(u)] = append(ready[class(u)], u)
					}
				}
			}
		}
	}
	return order
}

// listReach finds where the elimination of each column adds.
func (s *symbolic) listReach() {
	s.reach = make([]int32, s.slots)
	s.bare = int(s.ptr[s.live])
	s.stars = make([]star, s.columns)
	s.ends = make([]ends, s.columns)
	for k := range s.columns {
		own, end := s.ptr[k], s.ptr[k+1]
		for e := own + 1; e < end; e++ {
			s.reach[e] = s.reachOf(s.row[e], e+1, end)
			s.bare = min(s.bare, int(s.ptr[s.row[e]]))
		}
		t, u := &s.stars[k], &s.ends[k]
		t.own, u.own, u.node = uint32(own), uint32(own), uint32(s.node[k])
		if own+1 < end {
			t.first, u.first = uint32(s.ptr[s.row[own+1]]), uint32(s.rowNode[own+1])
		}
		if own+2 < end {
			t.second, u.second = uint32(s.ptr[s.row[own+2]]), uint32(s.rowNode[own+2])
			t.mesh = uint32(s.reachAt(own+1, 0))
		}
	}
}

// reachAt returns where the entry that follows e by i+1 adds in the column that e leads to.
func (s *symbolic) reachAt(e, i int32) int32 {
	if at := s.reach[e]; at >= 0 {
		return at + i
	}
	return s.target[^s.reach[e]+i]
}

// reachOf returns where the entries e..end-1 of an earlier column add in column j: the first of as many entries in a row, or
// ^i when they are listed in target from i on.
func (s *symbolic) reachOf(j, e, end int32) int32 {
	if e == end {
		return s.ptr[j] + 1
	}
	q := s.find(j, s.row[e])
	contiguous := int(q-e)+int(end) <= int(s.ptr[j+1]) && slices.Equal(s.row[e:end], s.row[q:q+end-e])
	if contiguous {
		return q
	}
	at := ^int32(len(s.target))
	for ; e < end; e++ {
		for s.row[q] != s.row[e] {
			q++
		}
		s.target = append(s.target, q)
	}
	return at
}

// find returns the entry of column k that leads to row, if there is one, else where it would be.
func (s *symbolic) find(k, row int32) int32 {
	first := s.ptr[k] + 1
	i, _ := slices.BinarySearch(s.row[first:s.ptr[k+1]], row)
	return first + int32(i)
}

// placeBranches finds each branch's slot, and each slot's branches in the order of their IDs.
func (s *symbolic) placeBranches() {
	slots := s.slots
	s.place = make([]place, len(s.net.branches))
	linear := make([][]int32, slots)
	curved := make([][]int32, slots)
	stored := make([][]int32, slots)
	for i, el := range s.net.branches {
		slot, sign := s.slotBetween(el.a, el.b)
		p := place{slot, sign}
		s.place[i] = p
		if p.slot < 0 {
			continue
		}
		switch {
		case s.curveOf[i] >= 0:
			curved[p.slot] = append(curved[p.slot], s.curveOf[i])
		case s.storeOf[i] >= 0:
			stored[p.slot] = append(stored[p.slot], s.storeOf[i])
		default:
			linear[p.slot] = append(linear[p.slot], int32(i))
		}
	}
	s.slotPtr = make([]int32, slots+1)
	byColumn := make([][]int32, s.columns)
	s.hot, s.held = make([]bool, s.columns), make([]int32, s.columns)
	for i := range slots {
		s.slotBranch = append(s.slotBranch, linear[i]...)
		s.slotPtr[i+1] = int32(len(s.slotBranch))
		if len(curved[i])+len(stored[i]) > 0 {
			only := int32(-1)
			if len(curved[i]) == 1 && len(stored[i]) == 0 {
				only = curved[i][0]
			}
			h := int32(len(s.hotSlots))
			s.hotSlots = append(s.hotSlots, int32(i))
			s.hotOnly = append(s.hotOnly, only)
			if len(stored[i]) > 0 {
				s.hotStored = append(s.hotStored, h)
			}
			s.hotCurve.add(curved[i])
			s.hotStore.add(stored[i])
			k := s.col[i]
			s.hot[k] = true
			byColumn[k] = append(byColumn[k], h)
			s.held[k] = int32(i) - s.ptr[k]
		}
	}
	for _, hot := range byColumn {
		s.hotOf.add(hot)
	}
}

// slotBetween returns the slot of two nodes and the sign that a branch from a to b has there; the slot is -1 when they have
// none or are one node.
func (s *symbolic) slotBetween(a, b Node) (slot int32, sign float64) {
	ka, kb := s.pos[a], s.pos[b]
	sign = 1
	if ka < 0 || kb >= 0 && kb < ka {
		ka, kb, sign = kb, ka, -1
	}
	switch {
	case ka == kb:
		return -1, sign
	case kb < 0:
		return s.ptr[ka], sign
	}
	if e := s.find(ka, kb); e < s.ptr[ka+1] && s.row[e] == kb {
		return e, sign
	}
	return -1, sign
}

// grounded reports whether a slot leads to ground.
func (s *symbolic) grounded(slot int32) bool { return slot == s.ptr[s.col[slot]] }

// hotIn returns the indices in hotSlots of those of a column.
func (s *symbolic) hotIn(k int) []int32 {
	if !s.hot[k] {
		return nil
	}
	return s.hotOf.at(k)
}

// hotAt returns the index of a slot in hotSlots, if curves or stores add there.
func (s *symbolic) hotAt(slot int32) (int, bool) { return slices.BinarySearch(s.hotSlots, slot) }
