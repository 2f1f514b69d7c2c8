package mesh

import (
	"math"

	shapes "faultloom/cmd/internal/draw"
)

// run is a flattened piece of a path in pixels; a closed one does not repeat its first point.
type run struct {
	pts    []shapes.Point
	closed bool
}

// flatTolerance is how far in pixels a chord may lie off its curve: a tenth cannot be seen under soft edges.
const flatTolerance = 0.1

// near is the distance in pixels below which two points are one.
const near = 1e-3

// flatten maps p into pixels and turns it into straight runs.
func flatten(p shapes.Path, at func(shapes.Point) shapes.Point) []run {
	var out []run
	var cur run
	var pos, start shapes.Point
	add := func(q shapes.Point) {
		if n := len(cur.pts); n == 0 || cur.pts[n-1].Dist(q) > near {
			cur.pts = append(cur.pts, q)
		}
		pos = q
	}
	end := func(closed bool) {
		if n := len(cur.pts); closed && n > 1 && cur.pts[n-1].Dist(cur.pts[0]) <= near {
			cur.pts = cur.pts[:n-1]
		}
		cur.closed = closed
		if len(cur.pts) > 1 {
			out = append(out, cur)
		}
		cur = run{}
	}
	for _, s := range p.Segs {
		if s.Verb != shapes.MoveTo && s.Verb != shapes.Close && len(cur.pts) == 0 {
			add(start)
		}
		switch s.Verb {
		case shapes.MoveTo:
			end(false)
			start = at(s.A)
			add(start)
		case shapes.LineTo:
			add(at(s.A))
		case shapes.QuadTo:
			a, b, c := pos, at(s.A), at(s.B)
			d := a.Sub(b.Mul(2)).Add(c)
			n := parts(math.Hypot(d.X, d.Y) / 4)
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				add(a.Lerp(b, t).Lerp(b.Lerp(c, t), t))
			}
		case shapes.CubicTo:
			a, b, c, d := pos, at(s.A), at(s.B), at(s.C)
			d1, d2 := a.Sub(b.Mul(2)).Add(c), b.Sub(c.Mul(2)).Add(d)
			n := parts(0.75 * max(math.Hypot(d1.X, d1.Y), math.Hypot(d2.X, d2.Y)))
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				ab, bc, cd := a.Lerp(b, t), b.Lerp(c, t), c.Lerp(d, t)
				add(ab.Lerp(bc, t).Lerp(bc.Lerp(cd, t), t))
			}
		case shapes.Close:
			end(true)
			pos = start
		}
	}
	end(false)
	return out
}

// parts returns into how many chords a curve with that error of a single one is cut; the error falls with the square.
func parts(dev float64) int {
	if !(dev > flatTolerance) {
		return 1
	}
	return int(min(math.Ceil(math.Sqrt(dev/flatTolerance)), 128))
}

// dashed cuts r into its dashes, all lengths in pixels.
func dashed(r run, dash []float64, offset float64) []run {
	pts := r.pts
	if r.closed {
		pts = append(append([]shapes.Point(nil), pts...), pts[0])
	}
	var period, length float64
	for _, d := range dash {
		period += d
	}
	for i := 1; i < len(pts); i++ {
		length += pts[i-1].Dist(pts[i])
	}
	const most = 4000 // dashes of one line; more could not be told from a solid one
	if !(period > 0) || length/period*float64(len(dash)) > most {
		return []run{r}
	}
	offset = math.Mod(offset, period)
	if offset < 0 {
		offset += period
	}
	at := 0
	for offset >= dash[at] {
		offset -= dash[at]
		at = (at + 1) % len(dash)
	}
	left := dash[at] - offset
	var out []run
	var cur []shapes.Point
	flush := func() {
		if len(cur) > 1 {
			out = append(out, run{pts: cur})
		}
		cur = nil
	}
	if at%2 == 0 {
		cur = append(cur, pts[0])
	}
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		long, done := a.Dist(b), 0.0
		for long-done > left {
			done += left
			q := a.Lerp(b, done/long)
			if at%2 == 0 {
				cur = append(cur, q)
				flush()
			} else {
				cur = append(cur[:0], q)
			}
			at = (at + 1) % len(dash)
			left = max(dash[at], near)
		}
		left -= long - done
		if at%2 == 0 {
			cur = append(cur, b)
		}
	}
	if at%2 == 0 {
		flush()
	}
	return out
}
