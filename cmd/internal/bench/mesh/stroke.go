package mesh

import (
	"math"

	shapes "faultloom/cmd/internal/draw"
)

// fringe is half the width in pixels over which an edge fades.
const fringe = 0.5

// stroke appends the line of r, width w pixels, as a strip of four points across: transparent, full, full, transparent.
func (b *Builder) stroke(r run, w float64, st shapes.Stroke, c rgba) {
	pts := r.pts
	n := len(pts)
	if n < 2 || !(w > 0) {
		return
	}
	if w < 2*fringe { // thinner than the fade: as wide as it, and paler
		c = c.times(w / (2 * fringe))
		w = 2 * fringe
	}
	b.room(min(30*n+800, MaxVertices)) // so that the strip stays in one batch
	k := strip{b: b, in: w/2 - fringe, out: w/2 + fringe, c: c}
	last := n - 1
	if r.closed {
		last = n
	}
	at := func(i int) shapes.Point { return pts[((i%n)+n)%n] }
	for i := range last {
		p, q := at(i), at(i+1)
		nrm := right(p, q)
		if i == 0 {
			switch {
			case r.closed:
				m, ok := mitre(right(at(-1), p), nrm, st.Join)
				if !ok {
					m = nrm
				}
				k.start(p, m)
			default:
				k.cap(p, nrm, st.Cap, -1)
			}
		}
		if i == last-1 && !r.closed {
			k.cap(q, nrm, st.Cap, 1)
			return
		}
		next := right(q, at(i+2))
		m, ok := mitre(nrm, next, st.Join)
		if ok {
			k.to(q, m)
			continue
		}
		k.to(q, nrm)
		k.wedge(q, nrm, next, st.Join)
		k.start(q, next)
	}
}

// mitre returns the offset, per unit of half width, at a corner between segments with normals u and v; ok is false when
// the corner is too sharp to be one.
func mitre(u, v shapes.Point, j shapes.Join) (m shapes.Point, ok bool) {
	dot := float64(u.X*v.X) + float64(u.Y*v.Y)
	limit := 1/(float64(shapes.MitreLimit)*shapes.MitreLimit)*2 - 1 // mitre length over width is 1/cos(half the turn)
	if j == shapes.JoinRound {
		limit = 0.9 // cosine of 26°: beyond, the corner is rounded
	}
	if dot < limit {
		return u, false
	}
	return u.Add(v).Mul(1 / (1 + dot)), true
}

// strip is a line in the making.
type strip struct {
	b       *Builder
	in, out float64
	c       rgba
	prev    uint16 // first of the last four points
}

func (k *strip) cross(p, m shapes.Point, fade float64) uint16 {
	at := k.b.room(4)
	k.b.point(p.Sub(m.Mul(k.out)), k.c.times(0))
	k.b.point(p.Sub(m.Mul(k.in)), k.c.times(fade))
	k.b.point(p.Add(m.Mul(k.in)), k.c.times(fade))
	k.b.point(p.Add(m.Mul(k.out)), k.c.times(0))
	return at
}

func (k *strip) start(p, m shapes.Point) { k.prev = k.cross(p, m, 1) }

func (k *strip) to(p, m shapes.Point) { k.join(k.cross(p, m, 1)) }

func (k *strip) join(next uint16) {
	if next < k.prev { // the batch was changed in between: nothing to join to
		k.prev = next
		return
	}
	for i := range uint16(3) {
		k.b.quad(k.prev+i, k.prev+i+1, next+i+1, next+i)
	}
	k.prev = next
}

// cap starts (dir −1) or ends (dir 1) the strip at p, nrm being the normal of the segment there.
func (k *strip) cap(p, nrm shapes.Point, c shapes.Cap, dir float64) {
	along := shapes.Point{X: nrm.Y, Y: -nrm.X}.Mul(dir) // outwards
	if c == shapes.CapRound {
		if dir < 0 {
			k.fan(p, nrm, 180)
			k.start(p, nrm)
			return
		}
		k.to(p, nrm)
		k.fan(p, nrm.Mul(-1), 180)
		return
	}
	inner, outer := p.Sub(along.Mul(fringe)), p.Add(along.Mul(fringe))
	if dir < 0 {
		k.prev = k.cross(outer, nrm, 0)
		k.to(inner, nrm)
		return
	}
	k.to(inner, nrm)
	k.join(k.cross(outer, nrm, 0))
}

// wedge fills the outside of a corner at p.
func (k *strip) wedge(p, u, v shapes.Point, j shapes.Join) {
	side := -1.0
	if float64(u.X*v.Y)-float64(u.Y*v.X) < 0 {
		side = 1
	}
	from := math.Atan2(u.Y*side, u.X*side)
	to := math.Atan2(v.Y*side, v.X*side)
	sweep := math.Remainder(to-from, 2*math.Pi) * 180 / math.Pi
	steps := 1
	if j == shapes.JoinRound {
		steps = 0
	}
	k.arc(p, from*180/math.Pi, sweep, steps)
}

// fan fills a sector about p that starts in direction d and turns by sweep degrees.
func (k *strip) fan(p, d shapes.Point, sweep float64) {
	k.arc(p, math.Atan2(d.Y, d.X)*180/math.Pi, sweep, 0)
}

func (k *strip) arc(p shapes.Point, start, sweep float64, steps int) {
	if steps == 0 {
		steps = arcSteps(k.out, sweep)
	}
	mid := k.b.room(1 + 2*(steps+1))
	k.b.point(p, k.c)
	for i := range steps + 1 {
		a := (start + float64(sweep*float64(i)/float64(steps))) * math.Pi / 180
		d := shapes.Point{X: math.Cos(a), Y: math.Sin(a)}
		k.b.point(p.Add(d.Mul(k.in)), k.c)
		k.b.point(p.Add(d.Mul(k.out)), k.c.times(0))
	}
	for i := range uint16(steps) {
		a := mid + 1 + 2*i
		k.b.triangle(mid, a, a+2)
		k.b.quad(a, a+1, a+3, a+2)
	}
}

// arcSteps returns into how many chords an arc of radius r pixels is cut.
func arcSteps(r, sweep float64) int {
	step := 90.0
	if r > flatTolerance {
		step = min(step, 2*math.Acos(1-flatTolerance/r)*180/math.Pi)
	}
	return int(min(max(math.Ceil(math.Abs(sweep)/step), 1), 180))
}

// right returns the unit vector a quarter turn clockwise from p→q on the screen.
func right(p, q shapes.Point) shapes.Point {
	d := p.Dist(q)
	if d == 0 {
		return shapes.Point{X: 0, Y: 1}
	}
	return shapes.Point{X: -(q.Y - p.Y) / d, Y: (q.X - p.X) / d}
}
