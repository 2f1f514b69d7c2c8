// Package curve draws what an attempt's steps were worth: the bits gained against bench minutes, with the faults still
// suspected written where they fall.
package curve

import (
	"fmt"
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/grading"
)

// Height is a good height of the plot for a width, in the same units.
func Height(width float64) float64 { return min(max(width*0.42, 170), 320) }

// Draw draws the plot of a report into area.
func Draw(l *draw.List, th draw.Theme, r *grading.Report, area draw.Rect) {
	p := newPlot(th, r, area)
	p.frame(l)
	p.goal(l)
	p.par(l, r.Par)
	p.steps(l, r)
}

// plot is the mapping from minutes and bits to places.
type plot struct {
	th            draw.Theme
	in            draw.Rect // within the axes
	minutes, bits float64   // at the right and upper ends
	size          float64   // of the text
	needed        float64
}

func newPlot(th draw.Theme, r *grading.Report, area draw.Rect) *plot {
	size := th.Type.Caption
	p := &plot{th: th, size: size, needed: r.Needed, bits: max(r.Needed*1.18, 1), minutes: 1}
	for _, s := range r.Steps {
		p.minutes = max(p.minutes, s.Evidence.Minutes)
		p.bits = max(p.bits, s.Evidence.Total*1.1)
	}
	for _, s := range r.Par {
		p.minutes = max(p.minutes, s.Minutes)
	}
	left := draw.Measure("00", draw.Regular, size) + 10
	p.in = draw.Rect{X: area.X + left, Y: area.Y + 1.6*size, W: area.W - left - size, H: area.H - 4.6*size}
	return p
}

func (p *plot) at(minutes, bits float64) draw.Point {
	return draw.Point{
		X: p.in.X + p.in.W*minutes/p.minutes,
		Y: p.in.MaxY() - p.in.H*bits/p.bits,
	}
}

// tick returns a round distance between marks such that about n fit into span.
func tick(span float64, n int) float64 {
	raw := span / float64(n)
	base := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if base*m >= raw {
			return base * m
		}
	}
	return base * 10
}

func (p *plot) frame(l *draw.List) {
	soft := p.th.Soft(p.size)
	thin := draw.Pen(p.th.Edge, 1)
	for step, v := tick(p.bits, 4), 0.0; v <= p.bits; v += step {
		y := p.at(0, v).Y
		l.Line(draw.Point{X: p.in.X, Y: y}, draw.Point{X: p.in.MaxX(), Y: y}, draw.Pen(p.th.Edge.WithAlpha(70), 1))
		l.Text(draw.Point{X: p.in.X - 6, Y: y + p.size*0.35}, fmt.Sprintf("%.3g", v), soft.To(draw.End))
	}
	for step, v := tick(p.minutes, 6), 0.0; v <= p.minutes; v += step {
		x := p.at(v, 0).X
		l.Line(draw.Point{X: x, Y: p.in.MaxY()}, draw.Point{X: x, Y: p.in.MaxY() + 4}, thin)
		l.Text(draw.Point{X: x, Y: p.in.MaxY() + 4 + p.size*1.1}, fmt.Sprintf("%.3g", v), soft.To(draw.Middle))
	}
	l.Polyline([]draw.Point{{X: p.in.X, Y: p.in.Y}, {X: p.in.X, Y: p.in.MaxY()}, {X: p.in.MaxX(), Y: p.in.MaxY()}}, draw.Pen(p.th.Ink, 1.2))
	l.Text(draw.Point{X: p.in.MaxX(), Y: p.in.MaxY() + 4 + p.size*2.5}, "bench minutes", soft.To(draw.End))
	l.Text(draw.Point{X: p.in.X - 6, Y: p.in.Y - p.size*0.7}, "bits gained", soft)
}

// goal draws the line at which one repair is left.
func (p *plot) goal(l *draw.List) {
	if !(p.needed > 0) {
		return
	}
	a, b := p.at(0, p.needed), p.at(p.minutes, p.needed)
	l.Line(a, b, draw.Pen(p.th.Ink, 1.2).Dashed(6, 4))
	l.Text(draw.Point{X: b.X, Y: b.Y - p.size*0.4}, p.goalWords(), p.th.Text(p.size).To(draw.End))
}

func (p *plot) goalWords() string { return fmt.Sprintf("one repair left: %.1f bits", p.needed) }

// underGoal reports whether lettering over a place would run into that of the goal.
func (p *plot) underGoal(at draw.Point) bool {
	return p.needed > 0 && math.Abs(at.Y-p.at(0, p.needed).Y) < 1.6*p.size &&
		at.X > p.in.MaxX()-draw.Measure(p.goalWords(), draw.Regular, p.size)-2*p.size
}

// par draws the shortest path's own curve under the attempt's.
func (p *plot) par(l *draw.List, par []grading.ParPoint) {
	if len(par) == 0 {
		return
	}
	pts := []draw.Point{p.at(0, 0)}
	last := 0.0
	for _, s := range par {
		pts = append(pts, p.at(s.Minutes, last), p.at(s.Minutes, min(s.Total, p.bits)))
		last = min(s.Total, p.bits)
	}
	l.Polyline(pts, draw.Pen(p.th.InkSoft, 2).Dashed(2, 4))
	end := pts[len(pts)-1]
	p.beside(l, draw.Point{X: end.X, Y: end.Y + p.size*1.1}, "par", draw.Start, p.th.Soft(p.size))
}

// rises reports whether the curve of the steps rises left of x.
func (p *plot) rises(steps []grading.Step, x float64) bool {
	for _, s := range steps {
		if s.Evidence.Gained >= seenGain {
			return p.at(s.Evidence.Minutes, 0).X < x
		}
	}
	return false
}

// besideGap is the room between a place and the word beside it; seenGain the least number of bits that is marked on the curve.
const (
	besideGap = 5
	seenGain  = 0.05
)

// beside writes a word beside a place, on the side asked for unless the plot ends there, and returns where it ends at the
// right.
func (p *plot) beside(l *draw.List, at draw.Point, word string, side draw.Align, st draw.TextStyle) float64 {
	const gap = besideGap
	w := draw.Measure(word, st.Face, st.Size)
	if side == draw.End && at.X-gap-w < p.in.X || side == draw.Start && at.X+gap+w <= p.in.MaxX() {
		l.Text(draw.Point{X: at.X + gap, Y: at.Y}, word, st)
		return at.X + gap + w
	}
	l.Text(draw.Point{X: at.X - gap, Y: at.Y}, word, st.To(draw.End))
	return at.X - gap
}

// steps draws the attempt's own curve, with the number of faults still suspected where it falls, and marks what was decided.
func (p *plot) steps(l *draw.List, r *grading.Report) {
	pts := []draw.Point{p.at(0, 0)}
	last, free := 0.0, -math.MaxFloat64
	for _, s := range r.Steps {
		e := s.Evidence
		pts = append(pts, p.at(e.Minutes, last), p.at(e.Minutes, e.Total))
		last = e.Total
	}
	l.Polyline(pts, draw.Pen(p.th.Accent, 2.4))
	for i, s := range r.Steps {
		e := s.Evidence
		at := p.at(e.Minutes, e.Total)
		if e.Gained >= seenGain {
			l.Circle(at, 3.4, p.th.Accent, draw.Stroke{})
			label := fmt.Sprintf("%d left", e.Left)
			w := draw.Measure(label, draw.Regular, p.size)
			// At the axis it stands at the right, unless the curve rises through there.
			crossed := at.X-besideGap-w < p.in.X && p.rises(r.Steps[i+1:], at.X+besideGap+w)
			if at.X-w-8 > free && !crossed {
				y := at.Y - 5
				if p.underGoal(at) {
					y = at.Y + p.size*1.2
				}
				free = p.beside(l, draw.Point{X: at.X, Y: y}, label, draw.End, p.th.Text(p.size))
			}
		}
		if s.Decided != "" {
			l.Line(draw.Point{X: at.X, Y: p.in.MaxY()}, draw.Point{X: at.X, Y: at.Y}, draw.Pen(p.th.InkSoft, 1).Dashed(1, 3))
			p.beside(l, draw.Point{X: at.X, Y: p.in.MaxY() - 4}, s.Decided, draw.Start, p.th.Soft(p.size))
		}
	}
}
