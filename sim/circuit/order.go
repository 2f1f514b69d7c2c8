package circuit

import (
	"container/heap"
	"slices"
)

// pattern is the result of eliminating the nodes of a graph one by one: the order, and for each position in it the nodes
// that were joined to it when it went.
type pattern struct {
	node   []int32   // position -> vertex
	joined [][]int32 // position -> vertices that follow later, ascending by vertex
}

// minimumDegree orders the vertices 0..len(adj)-1 of an undirected graph so that each in turn has the fewest neighbours among
// those that are left, and eliminates them: the neighbours of each become a clique. Ties go to vertices that are not
// late, then to those into which the fewest are eliminated one after the other, which keeps the paths short that a change takes, then to
// the lower number. adj holds sorted neighbour lists and is consumed.
//
// The method is that of Tinney and Walker (1967), "Direct solutions of sparse network equations by optimally ordered
// triangular factorization", scheme 2.
func minimumDegree(adj [][]int32, late []bool) pattern {
	n := len(adj)
	p := pattern{node: make([]int32, 0, n), joined: make([][]int32, 0, n)}
	q := make(degreeQueue, n)
	gone := make([]bool, n)
	depth := make([]int32, n) // how many eliminations, one into the next, lead to a vertex
	for v := range adj {
		q[v] = ranked{int32(len(adj[v])), 0, int32(v), late[v]}
	}
	heap.Init(&q)
	var merged []int32
	for len(p.node) < n {
		top := heap.Pop(&q).(ranked)
		v := top.vertex
		if gone[v] || int(top.degree) != len(adj[v]) || top.depth != depth[v] {
			continue // an older rank of a vertex that has moved
		}
		gone[v] = true
		near := adj[v]
		p.node = append(p.node, v)
		p.joined = append(p.joined, near)
		if len(near) == n-len(p.node) && len(near) > 2 {
			finishClique(&p, near, late)
			return p
		}
		for _, u := range near {
			merged = union(merged[:0], adj[u], near, u, v)
			adj[u] = append(adj[u][:0], merged...)
			depth[u] = max(depth[u], depth[v]+1)
			heap.Push(&q, ranked{int32(len(merged)), depth[u], u, late[u]})
		}
	}
	return p
}

// finishClique ends the order when all that is left is joined to all that is left, so that any order does.
func finishClique(p *pattern, left []int32, late []bool) {
	rest := slices.Clone(left)
	slices.SortStableFunc(rest, func(a, b int32) int {
		switch {
		case late[a] == late[b]:
			return int(a - b)
		case late[b]:
			return -1
		}
		return 1
	})
	for i, v := range rest {
		later := slices.Clone(rest[i+1:])
		slices.Sort(later)
		p.node = append(p.node, v)
		p.joined = append(p.joined, later)
	}
}

// union appends to dst the sorted union of two sorted lists, without u and v.
func union(dst, x, y []int32, u, v int32) []int32 {
	i, j := 0, 0
	for i < len(x) || j < len(y) {
		var w int32
		switch {
		case j == len(y) || i < len(x) && x[i] < y[j]:
			w = x[i]
			i++
		case i == len(x) || y[j] < x[i]:
			w = y[j]
			j++
		default:
			w = x[i]
			i++
			j++
		}
		if w != u && w != v {
			dst = append(dst, w)
		}
	}
	return dst
}

// ranked is a vertex with the degree it had when it was queued.
type ranked struct {
	degree, depth, vertex int32
	late                  bool
}

// degreeQueue is a heap of vertices, lowest degree first.
type degreeQueue []ranked

func (q degreeQueue) Len() int      { return len(q) }
func (q degreeQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q degreeQueue) Less(i, j int) bool {
	switch {
	case q[i].degree != q[j].degree:
		return q[i].degree < q[j].degree
	case q[i].late != q[j].late:
		return q[j].late
	case q[i].depth != q[j].depth:
		return q[i].depth < q[j].depth
	}
	return q[i].vertex < q[j].vertex
}
func (q *degreeQueue) Push(x any) { *q = append(*q, x.(ranked)) }
func (q *degreeQueue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
