package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
)

// Measures of channels in sheet units.
const (
	trackGap = 13.0 // distance of neighbouring tracks
	trackPad = 9.0  // from the last track to the layer
	pinClear = 12.0 // least distance of the upright parts of different wires
	channelH = 14.0 // least height of a channel without tracks
)

// net is one wire's horizontal way through a channel on one track, between two upright parts.
type net struct {
	wire   int
	x0, x1 float64 // x0 <= x1
	// ups and downs are the x of its upright parts that reach the channel's upper and lower edge.
	ups, downs []float64
	straight   bool
	track      int
	below      []int // nets that must lie on a lower track
	// twin is the net that goes on from this one where a wire had to step aside; -1 for none. joinX is where they meet.
	twin  int
	joinX float64
}

// channel is the wires' ways between two layers.
type channel struct {
	nets   []net
	spanOf []int // first net of each span
	tracks int
	y, h   float64
	upper  float64 // room kept free for labels below the layer above
	lower  float64 // and above the layer below
}

// route finds the tracks of every channel and the height of the sheet.
func (g *grid) route() []channel {
	out := make([]channel, len(g.spans))
	for c := range g.spans {
		out[c] = g.routeChannel(c)
	}
	return out
}

func (g *grid) routeChannel(c int) channel {
	var ch channel
	for _, s := range g.spans[c] {
		a, b := g.pinX(s.a), g.pinX(s.b)
		n := net{wire: s.wire, x0: min(a, b), x1: max(a, b), twin: -1}
		for i, p := range [2]pin{s.a, s.b} {
			x := [2]float64{a, b}[i]
			if p.top {
				n.ups = append(n.ups, x)
			} else {
				n.downs = append(n.downs, x)
			}
			if p.port >= 0 && g.m.labelAt(p.port) > 0 {
				if p.top {
					ch.upper = labelZone
				} else {
					ch.lower = labelZone
				}
			}
		}
		const straightness = 1e-6 // rounding only: sums of widths
		n.straight = s.a.top != s.b.top && math.Abs(a-b) < straightness
		ch.spanOf = append(ch.spanOf, len(ch.nets))
		ch.nets = append(ch.nets, n)
	}
	ch.constrain()
	ch.breakCircles()
	ch.assign()
	return ch
}

// constrain finds which net must lie above which: where one comes down at the place where another goes down from.
func (ch *channel) constrain() {
	for i := range ch.nets {
		ch.nets[i].below = ch.nets[i].below[:0]
	}
	for i := range ch.nets {
		for j := range ch.nets {
			a, b := &ch.nets[i], &ch.nets[j]
			if i == j || a.straight || b.straight {
				continue
			}
			if a.twin == j {
				continue
			}
			if meets(a.ups, b.downs) {
				a.below = append(a.below, j)
			}
		}
		if t := ch.nets[i].twin; t >= 0 {
			ch.nets[i].below = append(ch.nets[i].below, t)
		}
	}
}

func meets(ups, downs []float64) bool {
	for _, u := range ups {
		for _, d := range downs {
			if math.Abs(u-d) < pinClear {
				return true
			}
		}
	}
	return false
}

// breakCircles splits nets that would each have to lie above the other: one of them steps aside on a second track.
func (ch *channel) breakCircles() {
	const most = 200 // each round takes one circle away; this only bounds what cannot be
	for range most {
		i := ch.circle()
		if i < 0 {
			return
		}
		n := &ch.nets[i]
		x := ch.freeX(n)
		// The upper part keeps the way up, the lower gets the way down; they meet at x.
		up, down := n.ups[0], n.downs[0]
		lower := net{wire: n.wire, x0: min(x, down), x1: max(x, down), downs: []float64{down}, twin: -1, joinX: x}
		n.x0, n.x1, n.downs = min(up, x), max(up, x), nil
		n.twin, n.joinX = len(ch.nets), x
		ch.nets = append(ch.nets, lower)
		ch.constrain()
	}
}

// circle returns a net of a circle of constraints that has a way up and a way down, -1 when there is no circle.
func (ch *channel) circle() int {
	state := make([]int, len(ch.nets)) // 1 on the way, 2 done
	var stack []int
	found := -1
	var visit func(i int) bool
	visit = func(i int) bool {
		state[i] = 1
		stack = append(stack, i)
		for _, j := range ch.nets[i].below {
			if state[j] == 1 {
				for k := len(stack) - 1; k >= 0; k-- {
					n := ch.nets[stack[k]]
					if len(n.ups) == 1 && len(n.downs) == 1 {
						found = stack[k]
						return true
					}
					if stack[k] == j {
						break
					}
				}
				continue
			}
			if state[j] == 0 && visit(j) {
				return true
			}
		}
		stack = stack[:len(stack)-1]
		state[i] = 2
		return false
	}
	for i := range ch.nets {
		if state[i] == 0 && visit(i) {
			return found
		}
	}
	return -1
}

// freeX returns a place for an upright part clear of all others, near the net's middle.
func (ch *channel) freeX(n *net) float64 {
	clear := func(x float64) bool {
		for _, o := range ch.nets {
			for _, list := range [2][]float64{o.ups, o.downs} {
				for _, v := range list {
					if math.Abs(v-x) < pinClear {
						return false
					}
				}
			}
			if o.twin >= 0 && math.Abs(o.joinX-x) < pinClear {
				return false
			}
		}
		return true
	}
	mid := (n.x0 + n.x1) / 2
	for d := 0.0; ; d += pinClear / 2 {
		if clear(mid + d) {
			return mid + d
		}
		if clear(mid - d) {
			return mid - d
		}
	}
}

// assign gives every net that is not straight a track, 0 the uppermost: an order with few crossings that keeps the
// constraints, then each as high as those before it allow.
func (ch *channel) assign() {
	order := ch.trackOrder()
	for k, i := range order {
		t := 0
		for _, j := range order[:k] {
			if ch.apart(i, j) {
				continue
			}
			t = max(t, ch.nets[j].track+1)
		}
		ch.nets[i].track = t
		ch.tracks = max(ch.tracks, t+1)
	}
}

// apart reports whether two nets may share a track or pass each other freely: they lie beside each other and neither has
// to be above the other.
func (ch *channel) apart(i, j int) bool {
	a, b := &ch.nets[i], &ch.nets[j]
	for _, k := range a.below {
		if k == j {
			return false
		}
	}
	for _, k := range b.below {
		if k == i {
			return false
		}
	}
	return a.x1+pinClear <= b.x0 || b.x1+pinClear <= a.x0
}

// trackOrder orders the nets from the top track down: repeatedly, of those with nothing left that must lie above them,
// the one that crosses least by going next.
func (ch *channel) trackOrder() []int {
	var left []int
	waits := make([]int, len(ch.nets))
	for i, n := range ch.nets {
		if n.straight {
			continue
		}
		left = append(left, i)
		for _, j := range n.below {
			waits[j]++
		}
	}
	var order []int
	for len(left) > 0 {
		best, bestCost := -1, 0
		for k, i := range left {
			if waits[i] > 0 {
				continue
			}
			cost := 0
			for _, j := range left {
				if j != i {
					cost += ch.crossIfAbove(i, j) - ch.crossIfAbove(j, i)
				}
			}
			if best < 0 || cost < bestCost {
				best, bestCost = k, cost
			}
		}
		if best < 0 {
			best = 0 // a circle that could not be broken: draw it crossing rather than not at all
		}
		i := left[best]
		left = append(left[:best], left[best+1:]...)
		order = append(order, i)
		for _, j := range ch.nets[i].below {
			waits[j]--
		}
	}
	return order
}

// crossIfAbove counts the crossings of nets i and j when i has the higher track: i's ways down cross j's track, j's
// ways up cross i's.
func (ch *channel) crossIfAbove(i, j int) int {
	a, b := &ch.nets[i], &ch.nets[j]
	n := 0
	for _, x := range a.lowers() {
		if x > b.x0 && x < b.x1 {
			n++
		}
	}
	for _, x := range b.uppers() {
		if x > a.x0 && x < a.x1 {
			n++
		}
	}
	return n
}

func (n *net) lowers() []float64 {
	if n.twin >= 0 {
		return append(append([]float64(nil), n.downs...), n.joinX)
	}
	return n.downs
}

func (n *net) uppers() []float64 {
	if len(n.ups) == 0 && len(n.downs) == 1 && n.joinX != 0 {
		return []float64{n.joinX}
	}
	return n.ups
}

// height returns the height a channel needs.
func (ch *channel) height() float64 {
	if ch.tracks == 0 {
		return max(channelH, ch.upper+ch.lower)
	}
	return max(ch.upper, trackPad) + float64(float64(ch.tracks-1)*trackGap) + max(ch.lower, trackPad)
}

// trackY returns the height of a track on the sheet.
func (ch *channel) trackY(t int) float64 {
	return ch.y + max(ch.upper, trackPad) + float64(float64(t)*trackGap)
}

// path appends the way of span s through channel c to pts, from its end a to its end b, without the points on the
// channel's edges that layers share.
func (g *grid) path(pts []draw.Point, c, s int, chans []channel) []draw.Point {
	ch := &chans[c]
	sp := g.spans[c][s]
	n := &ch.nets[ch.spanOf[s]]
	if n.straight {
		return pts
	}
	a, b := g.pinX(sp.a), g.pinX(sp.b)
	if n.twin < 0 {
		y := ch.trackY(n.track)
		return append(pts, draw.Point{X: a, Y: y}, draw.Point{X: b, Y: y})
	}
	up, low := ch.trackY(n.track), ch.trackY(ch.nets[n.twin].track)
	if sp.a.top {
		return append(pts, draw.Point{X: a, Y: up}, draw.Point{X: n.joinX, Y: up}, draw.Point{X: n.joinX, Y: low}, draw.Point{X: b, Y: low})
	}
	return append(pts, draw.Point{X: a, Y: low}, draw.Point{X: n.joinX, Y: low}, draw.Point{X: n.joinX, Y: up}, draw.Point{X: b, Y: up})
}

// heights sets the y of channels and blocks and returns the height of all.
func (g *grid) heights(chans []channel) float64 {
	var y float64
	for l := range g.layers {
		chans[l].y, chans[l].h = y, chans[l].height()
		y += chans[l].h
		tall := 0.0
		for _, it := range g.layers[l] {
			if it.block >= 0 {
				tall = max(tall, g.m.blocks[it.block].h)
			}
		}
		for _, it := range g.layers[l] {
			if it.block >= 0 {
				b := g.m.blocks[it.block]
				b.y = y + (tall-b.h)/2
				if b.kind == groundBlock || b.kind == bodyBlock {
					b.y = y
				}
			}
		}
		y += tall
	}
	last := len(g.layers)
	chans[last].y, chans[last].h = y, chans[last].height()
	if chans[last].tracks == 0 {
		chans[last].h = chans[last].upper
	}
	return y + chans[last].h
}
