package sheet

import (
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Conductances, in no unit, of the network whose potentials rank the sheet. Only their order matters: a load should drop
// most, so that what stands before it lands above it and what stands after it below.
const (
	flowJoint   = 10.0
	flowWire    = 1.0
	flowContact = 1.0
	flowLoad    = 0.25
	// flowLeak ties every point to half the supply, so that what hangs in the air has a potential too.
	flowLeak = 1e-6
	// flowEqual is the difference under which two potentials count as equal: far above rounding (1e-12), far below what
	// one joint of a real harness drops here (1e-3 and more).
	flowEqual = 1e-7
)

// flow is how high every point stands: the share of the supply it would have with every switch and relay closed, and
// the number of steps to the supply, which decides where the potentials are equal.
type flow struct {
	volts map[harness.Point]float64
	steps map[harness.Point]int
}

// higher reports whether p stands nearer to the supply than q, and whether there is any difference at all.
func (f *flow) higher(p, q harness.Point) (up, differs bool) {
	d := f.volts[p] - f.volts[q]
	if math.Abs(d) > flowEqual {
		return d > 0, true
	}
	if a, b := f.steps[p], f.steps[q]; a != b {
		return a < b, true
	}
	return false, false
}

// link is one conducting path between two points of the ranking network, by index.
type link struct {
	a, b int
	g    float64
}

// newFlow ranks the points of a harness.
func newFlow(m *facts) *flow {
	index := make(map[harness.Point]int, len(m.infos))
	for i, info := range m.infos {
		index[info.Point] = i
	}
	var links []link
	join := func(p, q harness.Point, g float64) {
		a, okA := index[p]
		b, okB := index[q]
		if okA && okB && a != b {
			links = append(links, link{a, b, g})
		}
	}
	for _, w := range m.ends {
		join(w.ends[0], w.ends[1], flowWire)
	}
	for _, info := range m.infos {
		switch info.Kind {
		case harness.CavityHalf:
			if info.Half == "a" {
				join(info.Point, harness.CavityPoint(info.Connector, info.Cavity, "b"), flowJoint)
			}
		case harness.GroundRing:
			join(info.Point, harness.Point(info.Ground), flowJoint)
		case harness.PostRing:
			join(info.Point, harness.Point(info.Component+"."+info.Terminal), flowJoint)
		case harness.GroundStud:
			join(info.Point, harness.Body, flowJoint)
		case harness.SplicePoint, harness.PostStud, harness.BodyMetal:
		}
	}
	fixed := map[int]float64{}
	if i, ok := index[harness.Body]; ok {
		fixed[i] = 0
	}
	for i := range m.h.Components {
		c := &m.h.Components[i]
		for _, j := range joins(c.Spec) {
			for _, p := range m.terminalPoints(c.ID, j.a) {
				for _, q := range m.terminalPoints(c.ID, j.b) {
					join(p, q, j.g)
				}
			}
		}
		if hi, lo, ok := supplyTerminals(c.Spec); ok {
			for _, p := range m.terminalPoints(c.ID, hi) {
				fixed[index[p]] = 1
			}
			for _, p := range m.terminalPoints(c.ID, lo) {
				fixed[index[p]] = 0
			}
		}
	}
	f := &flow{volts: map[harness.Point]float64{}, steps: map[harness.Point]int{}}
	v := potentials(len(m.infos), links, fixed)
	d := distances(len(m.infos), links, fixed)
	for i, info := range m.infos {
		f.volts[info.Point], f.steps[info.Point] = v[i], d[i]
	}
	return f
}

// supplyTerminals returns the terminals of a component that feeds the circuit: which one is high, which low.
func supplyTerminals(s device.Spec) (high, low string, ok bool) {
	switch s.Kind {
	case "battery":
		return "30", "31", true
	case "alternator":
		return "51", "31", true
	}
	return "", "", false
}

type termJoin struct {
	a, b string
	g    float64
}

// joins returns the paths inside a component that can ever conduct.
func joins(s device.Spec) []termJoin {
	var out []termJoin
	switch {
	case s.Kind == "relay":
		for _, t := range s.Terminals {
			switch t {
			case "87", "87a", "87b":
				out = append(out, termJoin{"30", t, flowContact})
			}
		}
		return append(out, termJoin{"86", "85", flowLoad})
	case len(s.Positions) > 0:
		for _, p := range s.Positions {
			for _, j := range p.Joins {
				out = append(out, termJoin{j[0], j[1], flowContact})
			}
		}
		return out
	case s.Kind == "fuse", s.Kind == "button":
		if len(s.Terminals) >= 2 {
			return []termJoin{{s.Terminals[0], s.Terminals[1], flowContact}}
		}
	case s.Kind == "battery":
		return nil
	}
	for i, a := range s.Terminals {
		for _, b := range s.Terminals[i+1:] {
			out = append(out, termJoin{a, b, flowLoad})
		}
	}
	return out
}

// potentials solves the network of n points with some of them fixed, by Gaussian elimination of the dense Laplacian: it is
// diagonally dominant, so no pivoting is needed. Products are rounded before they are subtracted so that processors with
// fused operations give the same bits.
func potentials(n int, links []link, fixed map[int]float64) []float64 {
	row := make([]int, n) // place among the unknowns, -1 when fixed
	unknowns := 0
	for i := range n {
		if _, ok := fixed[i]; ok {
			row[i] = -1
			continue
		}
		row[i] = unknowns
		unknowns++
	}
	a := make([][]float64, unknowns)
	rhs := make([]float64, unknowns)
	for i := range a {
		a[i] = make([]float64, unknowns)
		a[i][i] = flowLeak
		rhs[i] = flowLeak / 2
	}
	for _, l := range links {
		for _, e := range [2][2]int{{l.a, l.b}, {l.b, l.a}} {
			i, j := row[e[0]], row[e[1]]
			if i < 0 {
				continue
			}
			a[i][i] += l.g
			if j >= 0 {
				a[i][j] -= l.g
			} else {
				rhs[i] += float64(l.g * fixed[e[1]])
			}
		}
	}
	for k := range unknowns {
		for i := k + 1; i < unknowns; i++ {
			if a[i][k] == 0 {
				continue
			}
			f := a[i][k] / a[k][k]
			for j := k; j < unknowns; j++ {
				a[i][j] -= float64(f * a[k][j])
			}
			rhs[i] -= float64(f * rhs[k])
		}
	}
	x := make([]float64, unknowns)
	for i := unknowns - 1; i >= 0; i-- {
		s := rhs[i]
		for j := i + 1; j < unknowns; j++ {
			s -= float64(a[i][j] * x[j])
		}
		x[i] = s / a[i][i]
	}
	out := make([]float64, n)
	for i := range n {
		if row[i] < 0 {
			out[i] = fixed[i]
			continue
		}
		out[i] = x[row[i]]
	}
	return out
}

// distances returns for each point the number of links to the nearest supply, n when there is no way.
func distances(n int, links []link, fixed map[int]float64) []int {
	next := make([][]int, n)
	for _, l := range links {
		next[l.a] = append(next[l.a], l.b)
		next[l.b] = append(next[l.b], l.a)
	}
	d := make([]int, n)
	var queue []int
	for i := range n {
		d[i] = n
		if v, ok := fixed[i]; ok && v > 0 {
			d[i] = 0
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, j := range next[i] {
			if v, ok := fixed[j]; ok && v == 0 {
				continue // the ground side is no way to the supply
			}
			if d[j] == n {
				d[j] = d[i] + 1
				queue = append(queue, j)
			}
		}
	}
	return d
}
