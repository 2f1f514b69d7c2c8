package circuit

import "slices"

// norton is a conductance in siemens with a current source beside it that drives j amperes into the slot's own column.
type norton struct{ c, j float64 }

// nortons are those of all slots, conductances apart from sources: most columns have no sources, and are eliminated without a look at
// them.
type nortons struct{ c, j []float64 }

func newNortons(slots int) nortons { return nortons{make([]float64, slots), make([]float64, slots)} }

func (n *nortons) clone() nortons { return nortons{slices.Clone(n.c), slices.Clone(n.j)} }

func (n *nortons) at(slot int) norton     { return norton{n.c[slot], n.j[slot]} }
func (n *nortons) put(slot int, x norton) { n.c[slot], n.j[slot] = x.c, x.j }

// copy takes over the slots from <= slot < to, which are few.
func (n *nortons) copy(src *nortons, from, to int32) {
	for p := from; p < to; p++ {
		n.c[p], n.j[p] = src.c[p], src.j[p]
	}
}

// copySources is copy for the sources alone.
func (n *nortons) copySources(src *nortons, from, to int32) {
	for p := from; p < to; p++ {
		n.j[p] = src.j[p]
	}
}

// copySpans takes over the sources of the spans. For a few slots a loop is faster than the call that a built-in copy makes.
func (n *nortons) copySpans(src *nortons, spans []span) {
	const few = 16
	for _, x := range spans {
		if x.to-x.from < few {
			n.copySources(src, x.from, x.to)
		} else {
			copy(n.j[x.from:x.to], src.j[x.from:x.to])
		}
	}
}
