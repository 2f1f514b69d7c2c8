package draw

import "math"

// FlatTolerance is how far, in pixels, a chord may lie off its curve: a tenth
// of a pixel cannot be seen under antialiasing.
const FlatTolerance = 0.1

// maxDashes bounds the pieces of one dashed line. Beyond it the dashes could
// not be seen anyway and the line is drawn solid.
const maxDashes = 20000

// contour is a flattened run of points; a closed one does not repeat its start.
type contour struct {
	pts    []Point
	closed bool
}

// flatten turns p into straight runs that lie within tol of it.
func flatten(p Path, tol float64) []contour {
	var out []contour
	var cur contour
	flush := func() {
		if len(cur.pts) > 0 {
			out = append(out, cur)
		}
		cur = contour{}
	}
	add := func(q Point) {
		if n := len(cur.pts); n == 0 || cur.pts[n-1] != q {
			cur.pts = append(cur.pts, q)
		}
	}
	var pos, start Point
	for _, s := range p.Segs {
		if s.Verb != MoveTo && s.Verb != Close && len(cur.pts) == 0 {
			add(pos) // a contour that goes on after Close
			start = pos
		}
		switch s.Verb {
		case MoveTo:
			flush()
			add(s.A)
			start, pos = s.A, s.A
		case LineTo:
			add(s.A)
			pos = s.A
		case QuadTo:
			// The chord error of a quadratic in n parts is |second difference|/(4n²).
			d := pos.Sub(s.A.Mul(2)).Add(s.B)
			n := pieces(math.Hypot(d.X, d.Y)/4, tol)
			for i := 1; i < n; i++ {
				t := float64(i) / float64(n)
				add(pos.Lerp(s.A, t).Lerp(s.A.Lerp(s.B, t), t))
			}
			add(s.B)
			pos = s.B
		case CubicTo:
			// The chord error of a cubic in n parts is at most 3/4 of the larger
			// second difference over n².
			d1, d2 := pos.Sub(s.A.Mul(2)).Add(s.B), s.A.Sub(s.B.Mul(2)).Add(s.C)
			n := pieces(0.75*max(math.Hypot(d1.X, d1.Y), math.Hypot(d2.X, d2.Y)), tol)
			for i := 1; i < n; i++ {
				t := float64(i) / float64(n)
				ab, bc, cd := pos.Lerp(s.A, t), s.A.Lerp(s.B, t), s.B.Lerp(s.C, t)
				add(ab.Lerp(bc, t).Lerp(bc.Lerp(cd, t), t))
			}
			add(s.C)
			pos = s.C
		case Close:
			if n := len(cur.pts); n > 1 && cur.pts[n-1] == cur.pts[0] {
				cur.pts = cur.pts[:n-1]
			}
			cur.closed = len(cur.pts) > 1
			flush()
			pos = start
		}
	}
	flush()
	return out
}

func pieces(dev, tol float64) int {
	const most = 256 // a full circle of 100,000 px radius stays within half a pixel
	if !(dev > tol) {
		return 1
	}
	return int(min(math.Ceil(math.Sqrt(dev/tol)), most))
}

// AppendStroke appends to dst closed clockwise pieces whose union is the line
// of p drawn with s: what a painter that can only fill (non-zero winding) needs.
// tol is the allowed error of curves in the units of p; FlatTolerance divided by
// the zoom is right for a screen.
func AppendStroke(dst *Path, p Path, s Stroke, tol float64) {
	if !(s.Width > 0) {
		return
	}
	k := stroker{dst: dst, r: s.Width / 2, s: s, tol: tol}
	dash := s.dashes()
	for _, c := range flatten(p, tol) {
		if dash == nil {
			k.run(c)
			continue
		}
		for _, d := range dashed(c, dash, s.DashOffset) {
			k.run(d)
		}
	}
}

// dashed cuts c into its dashes.
func dashed(c contour, dash []float64, offset float64) []contour {
	pts := c.pts
	if c.closed {
		pts = append(append([]Point(nil), pts...), pts[0])
	}
	var period float64
	total := runLength(pts)
	for _, d := range dash {
		period += d
	}
	if total/period*float64(len(dash)) > maxDashes {
		return []contour{c}
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
	var out []contour
	var cur []Point
	if at%2 == 0 {
		cur = append(cur, pts[0])
	}
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		length, done := a.Dist(b), 0.0
		for length-done > left {
			done += left
			q := a.Lerp(b, done/length)
			if at%2 == 0 {
				out = append(out, contour{pts: append(cur, q)})
				cur = nil
			} else {
				cur = append(cur[:0], q)
			}
			at = (at + 1) % len(dash)
			left = dash[at]
			if left == 0 && at%2 == 1 { // no gap: go on at once
				at = (at + 1) % len(dash)
				left = dash[at]
				cur = append(cur, q)
			}
		}
		left -= length - done
		if at%2 == 0 {
			cur = append(cur, b)
		}
	}
	if at%2 == 0 && len(cur) > 1 {
		out = append(out, contour{pts: cur})
	}
	return out
}

type stroker struct {
	dst *Path
	r   float64 // half the width
	s   Stroke
	tol float64
	buf []Point
}

func (k *stroker) run(c contour) {
	pts := c.pts[:0:0]
	for i, p := range c.pts {
		if i == 0 || p != pts[len(pts)-1] {
			pts = append(pts, p)
		}
	}
	n := len(pts)
	if n == 0 {
		return
	}
	if n == 1 {
		if k.s.Cap == CapRound {
			k.fan(pts[0], 0, 360)
		}
		return
	}
	last := n - 1
	if c.closed {
		last = n
	}
	for i := range last {
		a, b := pts[i], pts[(i+1)%n]
		nrm := normal(a, b).Mul(k.r)
		k.piece(a.Add(nrm), b.Add(nrm), b.Sub(nrm), a.Sub(nrm))
		if i+1 < last || c.closed {
			k.join(a, b, pts[(i+2)%n])
		}
	}
	if k.s.Cap == CapRound && !c.closed {
		k.fan(pts[0], angle(pts[1], pts[0])-90, 180)
		k.fan(pts[n-1], angle(pts[n-2], pts[n-1])-90, 180)
	}
}

// join fills the wedge outside the corner at b.
func (k *stroker) join(a, b, c Point) {
	u, v := normal(a, b), normal(b, c)
	cross := float64(u.X*v.Y) - float64(u.Y*v.X)
	dot := float64(u.X*v.X) + float64(u.Y*v.Y)
	if math.Abs(cross) < 1e-9 && dot > 0 {
		return
	}
	side := -1.0 // a turn clockwise (cross above 0) opens on the other side
	if cross < 0 {
		side = 1
	}
	// The normals point to the right of the way on the screen (Y down).
	p, q := b.Add(u.Mul(side*k.r)), b.Add(v.Mul(side*k.r))
	const gentle = 0.94 // cosine of 20°: a mitre and an arc look alike
	if k.s.Join == JoinRound && dot < gentle {
		from := math.Atan2(p.Y-b.Y, p.X-b.X) * 180 / math.Pi
		to := math.Atan2(q.Y-b.Y, q.X-b.X) * 180 / math.Pi
		sweep := math.Remainder(to-from, 360)
		k.fan(b, from, sweep)
		return
	}
	// Mitre length over width is 1/cos(half the turn).
	half := math.Sqrt(max((1+dot)/2, 0))
	if half*MitreLimit >= 1 {
		m := u.Add(v)
		tip := b.Add(m.Mul(side * k.r / (1 + dot)))
		k.piece(b, p, tip, q)
		return
	}
	k.piece(b, p, q)
}

// fan fills the sector of radius r about c.
func (k *stroker) fan(c Point, start, sweep float64) {
	// The chord error of an arc step is r·(1−cos(step/2)).
	step := 90.0
	if k.r > k.tol {
		step = min(step, 2*math.Acos(1-k.tol/k.r)*180/math.Pi)
	}
	n := int(min(max(math.Ceil(math.Abs(sweep)/step), 1), 720))
	k.buf = k.buf[:0]
	if math.Abs(sweep) < 360 {
		k.buf = append(k.buf, c)
	}
	for i := range n + 1 {
		k.buf = append(k.buf, onCircle(c, k.r, start+float64(sweep*float64(i)/float64(n))))
	}
	k.piece(k.buf...)
}

// piece adds one convex polygon, turned so that all pieces wind alike.
func (k *stroker) piece(pts ...Point) {
	var area float64
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		area += float64(p.X*q.Y) - float64(q.X*p.Y)
	}
	if area == 0 {
		return
	}
	for i := range pts {
		j := i
		if area < 0 {
			j = len(pts) - 1 - i
		}
		if i == 0 {
			k.dst.MoveTo(pts[j])
			continue
		}
		k.dst.LineTo(pts[j])
	}
	k.dst.Close()
}

// normal returns the unit vector a quarter turn clockwise from a→b.
func normal(a, b Point) Point {
	d := a.Dist(b)
	return Point{-(b.Y - a.Y) / d, (b.X - a.X) / d}
}

func angle(a, b Point) float64 { return math.Atan2(b.Y-a.Y, b.X-a.X) * 180 / math.Pi }
