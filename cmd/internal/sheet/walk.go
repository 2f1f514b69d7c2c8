package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
)

// Direction is one of the arrow keys.
type Direction uint8

// The directions.
const (
	Left Direction = iota
	Right
	Up
	Down
)

// Walk returns the index of the target that one goes to from list[from] in a direction, among those that keep accepts (nil
// accepts all); -1 when there is none. It is the nearest in that direction, the way aside counting double.
func Walk(list []Target, from int, d Direction, keep func(Target) bool) int {
	if from < 0 || from >= len(list) {
		return -1
	}
	best, bestCost := -1, math.Inf(1)
	for i := range list {
		if i == from || keep != nil && !keep(list[i]) {
			continue
		}
		if cost, ok := ahead(list[from].At, list[i].At, d); ok && cost < bestCost {
			best, bestCost = i, cost
		}
	}
	return best
}

// ahead returns how far b is from a in a direction, the way aside counting double; ok is false when it lies elsewhere.
func ahead(a, b draw.Point, d Direction) (cost float64, ok bool) {
	v := b.Sub(a)
	along, aside := v.X, math.Abs(v.Y)
	switch d {
	case Left:
		along = -v.X
	case Up:
		along, aside = -v.Y, math.Abs(v.X)
	case Down:
		along, aside = v.Y, math.Abs(v.X)
	case Right:
	}
	const least = 2.0 // nearer is beside, not in that direction
	if along < least || aside > 3*along {
		return 0, false
	}
	return along + 2*aside, true
}

// next returns where a target's neighbour in a direction is kept.
func (t *Target) next(d Direction) *int {
	return [...]*int{&t.Left, &t.Right, &t.Up, &t.Down}[d]
}

// linkTargets sets the neighbours of all targets so that the arrow keys lead from the first to every other.
func linkTargets(list []Target) {
	for i := range list {
		for d := Left; d <= Down; d++ {
			*list[i].next(d) = Walk(list, i, d, nil)
		}
	}
	// Something wide among small things may be nobody's nearest: each such one takes over a neighbour's key whose old aim
	// is led to from elsewhere too.
	for range list {
		reached := reachable(list)
		lost := -1
		for i, ok := range reached {
			if !ok {
				lost = i
				break
			}
		}
		if lost < 0 || !adopt(list, lost, reached) {
			return
		}
	}
}

// reachable tells which targets the arrow keys lead to from the first.
func reachable(list []Target) []bool {
	reached := make([]bool, len(list))
	stack := []int{0}
	for len(stack) > 0 && len(list) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if reached[i] {
			continue
		}
		reached[i] = true
		for d := Left; d <= Down; d++ {
			if n := *list[i].next(d); n >= 0 && !reached[n] {
				stack = append(stack, n)
			}
		}
	}
	return reached
}

// adopt makes an arrow key of a reached target lead to list[lost]; it reports whether one could be spared.
func adopt(list []Target, lost int, reached []bool) bool {
	ways := make([]int, len(list)) // how many keys lead to each
	for i := range list {
		for d := Left; d <= Down; d++ {
			if n := *list[i].next(d); n >= 0 && reached[i] {
				ways[n]++
			}
		}
	}
	from, key, best := -1, Left, math.Inf(1)
	for i := range list {
		for d := Left; d <= Down && reached[i]; d++ {
			n := *list[i].next(d)
			if n >= 0 && ways[n] < 2 {
				continue
			}
			if cost, ok := ahead(list[i].At, list[lost].At, d); ok && cost < best {
				from, key, best = i, d, cost
			}
		}
	}
	if from < 0 {
		return false
	}
	*list[from].next(key) = lost
	return true
}
