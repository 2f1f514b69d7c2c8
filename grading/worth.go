package grading

import (
	"math"
	"slices"
)

// portion is how much of a class of repairs lies in something.
type portion struct {
	class  int
	weight float64
}

// scale weighs what tests would leave. Items (circuits, or suspects) have portions of classes.
type scale struct {
	items   [][]portion
	weights []float64 // of the items
	sums    []float64 // by class: w of the heap
	wlogs   []float64 // by class: w·log2 w
	all     float64
	logs    float64 // sum of wlogs
	whole   float64 // entropy of everything
	order   []int
}

func newScale(items [][]portion, classes int) *scale {
	s := &scale{items: items, weights: make([]float64, len(items)), sums: make([]float64, classes), wlogs: make([]float64, classes)}
	for i, item := range items {
		for _, p := range item {
			s.weights[i] += p.weight
		}
		s.put(i, 1)
	}
	s.whole = s.entropy()
	s.clear()
	return s
}

// put adds an item to the heap, or takes it off with sign -1.
func (s *scale) put(item int, sign float64) {
	for _, p := range s.items[item] {
		was := s.sums[p.class]
		now := was + float64(sign*p.weight)
		if now < 1e-12 {
			now = 0
		}
		next := wlog(now)
		s.logs += next - s.wlogs[p.class]
		s.all += now - was
		s.sums[p.class], s.wlogs[p.class] = now, next
	}
}

func (s *scale) clear() {
	clear(s.sums)
	clear(s.wlogs)
	s.all, s.logs = 0, 0
}

func wlog(w float64) float64 {
	if w <= 0 {
		return 0
	}
	return float64(w * math.Log2(w))
}

// entropy of the heap over classes, in bits.
func (s *scale) entropy() float64 {
	if !(s.all > 0) {
		return 0
	}
	return max(0, math.Log2(s.all)-s.logs/s.all)
}

// gain returns by how many bits a test is expected to reduce the entropy over classes: whatever item is true, those are left
// that show the same key and a value within apart of its own. Items with a negative key or a value that is not a number may show
// anything.
func (s *scale) gain(key []int, value []float64, apart func(v float64) float64) float64 {
	s.order = s.order[:0]
	var loose []int
	for i := range s.items {
		if key[i] < 0 || value != nil && math.IsNaN(value[i]) {
			loose = append(loose, i)
			continue
		}
		s.order = append(s.order, i)
	}
	if len(s.order) == 0 || s.uniform(key, value, apart) {
		return 0
	}
	slices.SortFunc(s.order, func(a, b int) int {
		switch {
		case key[a] != key[b]:
			return key[a] - key[b]
		case value == nil || value[a] == value[b]:
			return a - b
		case value[a] < value[b]:
			return -1
		}
		return 1
	})
	s.clear()
	total, left := 0.0, 0.0
	for _, i := range loose {
		s.put(i, 1)
		w := s.weights[i]
		total, left = total+w, left+float64(w*s.whole)
	}
	from, to := 0, 0 // the heap holds order[from:to]
	bits := 0.0      // its entropy
	for at, i := range s.order {
		reach := 0.0
		if value != nil {
			reach = apart(value[i])
		}
		moved := at == 0
		for to < len(s.order) && s.near(s.order[to], i, key, value, reach) {
			s.put(s.order[to], 1)
			to++
			moved = true
		}
		for !s.near(s.order[from], i, key, value, reach) {
			s.put(s.order[from], -1)
			from++
			moved = true
		}
		if moved {
			bits = s.entropy()
		}
		w := s.weights[i]
		total += w
		left += float64(w * bits)
	}
	s.clear()
	if !(total > 0) {
		return 0
	}
	return max(0, s.whole-left/total)
}

// near reports whether j would be left if i were true. Items that sort before i with another key are not near.
func (s *scale) near(j, i int, key []int, value []float64, reach float64) bool {
	if key[j] != key[i] {
		return false
	}
	return value == nil || math.Abs(value[j]-value[i]) <= reach
}

// uniform reports whether all items in order show the same.
func (s *scale) uniform(key []int, value []float64, apart func(v float64) float64) bool {
	first := s.order[0]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range s.order {
		if key[i] != key[first] {
			return false
		}
		if value != nil {
			lo, hi = min(lo, value[i]), max(hi, value[i])
		}
	}
	return value == nil || hi-lo <= apart(lo)
}
