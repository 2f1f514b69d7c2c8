package bench

import (
	"fmt"
	"math"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// traceScale finds the volts at the bottom and top of a picture of the trace, and the step between its lines: whole steps of 1, 2 or 5 times
// a power of ten that hold all there is, zero included.
func traceScale(t *meter.Trace) (low, high, step float64) {
	for _, row := range t.Channels {
		for _, c := range row {
			low, high = min(low, c[0]), max(high, c[1])
		}
	}
	span := max(high-low, 1)
	const lines = 4
	step = math.Pow(10, math.Floor(math.Log10(span/lines)))
	for _, f := range []float64{1, 2, 5, 10} {
		if span/(step*f) <= lines+1 {
			step *= f
			break
		}
	}
	return math.Floor(low/step+1e-9) * step, math.Ceil(high/step-1e-9) * step, step
}

// traceFace draws the trace; large adds the scales.
func (p *pen) traceFace(r draw.Rect, large bool) {
	m := p.m
	p.l.Rect(r, p.th.Space.Radius, p.th.Screen, draw.Pen(p.th.CaseEdge, 1))
	size := p.th.Type.Caption
	t := m.st.Trace
	if t == nil || t.Channels[0] == nil && t.Channels[1] == nil {
		p.oneLine(r.InsetXY(6, 0), "no probe placed", draw.TextStyle{Size: size, Colour: p.th.ScreenInk, Align: draw.Middle})
		return
	}
	low, high, step := traceScale(t)
	in := r.Inset(5)
	if large {
		left := 0.0
		for v := low; v <= high+step/2; v += step {
			left = max(left, draw.Measure(voltText(v), draw.Regular, size))
		}
		_, in = in.CutLeft(left + 6)
		_, in = in.CutBottom(size * 1.5)
		_, in = in.CutTop(size * 0.7)
		_, in = in.CutRight(size * 1.2)
	}
	y := func(v float64) float64 { return in.MaxY() - (v-low)/(high-low)*in.H }
	for v := low; v <= high+step/2; v += step {
		width := 0.6
		if math.Abs(v) < step/2 {
			width = 1.4 // the ground
		}
		p.l.Line(draw.Point{X: in.X, Y: y(v)}, draw.Point{X: in.MaxX(), Y: y(v)}, draw.Pen(p.th.ScreenGhost, width))
		if large {
			p.oneLine(draw.Rect{X: r.X, Y: y(v) - size*0.7, W: in.X - 4 - r.X, H: size * 1.4}, voltText(v), draw.TextStyle{Size: size, Colour: p.th.ScreenInk, Align: draw.End})
		}
	}
	const parts = 5
	for i := range parts + 1 {
		x := in.X + in.W*float64(i)/parts
		p.l.Line(draw.Point{X: x, Y: in.Y}, draw.Point{X: x, Y: in.MaxY()}, draw.Pen(p.th.ScreenGhost, 0.6))
	}
	if large {
		foot := draw.Rect{X: in.X, Y: in.MaxY() + 2, W: in.W, H: size * 1.4}
		st := draw.TextStyle{Size: size, Colour: p.th.ScreenInk}
		p.oneLine(foot, "0", st)
		p.oneLine(foot, secondsText(t.Sweep.Seconds), st.To(draw.End))
		if l := t.Sweep.Level; l > low && l < high {
			p.l.Line(draw.Point{X: in.X, Y: y(l)}, draw.Point{X: in.X + 14, Y: y(l)}, draw.Pen(p.th.ScreenInk, 2))
		}
	}
	named := math.Inf(1) // where the number of the first channel stands
	for i, row := range t.Channels {
		if len(row) == 0 {
			continue
		}
		pen := draw.RoundPen(p.th.ScreenInk, 2)
		if i == 1 {
			pen = draw.RoundPen(p.th.LeadRed, 1.6).Dashed(5, 3) // dashed, so that colour does not tell it apart alone
		}
		var pts []draw.Point
		last := row[0][0]
		for k, c := range row {
			x := in.X + in.W*(float64(k)+0.5)/float64(len(row))
			a, b := c[0], c[1]
			if math.Abs(last-b) < math.Abs(last-a) {
				a, b = b, a
			}
			pts = append(pts, draw.Point{X: x, Y: y(a)})
			if a != b {
				pts = append(pts, draw.Point{X: x, Y: y(b)})
			}
			last = b
		}
		p.l.Polyline(pts, pen)
		if large {
			end := pts[len(pts)-1]
			if math.Abs(end.Y-named) < size {
				end.Y = named + size*1.1
			}
			named = end.Y
			p.l.Text(draw.Point{X: in.MaxX() + 3, Y: end.Y + draw.CapHeight(draw.Bold, size)/2}, fmt.Sprint(i+1), draw.TextStyle{Size: size, Face: draw.Bold, Colour: pen.Colour})
		}
	}
}

func voltText(v float64) string {
	if math.Abs(v) < 1e-9 {
		return "0 V"
	}
	return number(math.Round(v*100)/100) + " V"
}

func secondsText(s float64) string {
	if s < 1 {
		return number(math.Round(s*1e6)/1e3) + " ms"
	}
	return number(s) + " s"
}

// traceDialog shows the trace large, what it tells in figures, and its settings.
func (p *pen) traceDialog(c *column) {
	m := p.m
	p.traceFace(c.box(min(230*p.k, c.w*0.62)), true)
	c.gap(5)
	d := m.st.Displays[meter.TraceView]
	if len(d.Channels) == 0 {
		c.body("Put a probe on a point: what happens there between its voltage and the battery's negative post is drawn here.")
	}
	for _, ch := range d.Channels {
		c.body(channelText(ch))
	}
	if t := m.st.Trace; t != nil && t.Once {
		c.soft("This happened once, during what was done last; now nothing moves.")
	} else if t != nil && !t.Found && d.Text != "steady" {
		c.soft("Nothing rises through the level, so the trace begins anywhere.")
	}
	if m.st.Closed {
		return
	}
	s := m.st.Sweep
	set := func(seconds, level float64) func() {
		return func() { m.do(attempt.Sweep{Seconds: seconds, Level: level}) }
	}
	c.gap(4)
	c.label("Time from edge to edge")
	var bs []btn
	for _, x := range meter.Sweeps() {
		bs = append(bs, btn{id: "sweep/" + number(x), label: secondsText(x), say: "Time base " + secondsText(x), role: Choice, small: true, on: x == s.Seconds, act: set(x, s.Level)})
	}
	c.flow(bs...)
	c.gap(3)
	c.label("Begins where channel 1 rises through " + voltText(s.Level))
	step := 1.0
	c.row(
		btn{id: "level/down", label: "Lower", say: "Level lower", small: true, off: s.Level-step < -attempt.MaxLevel, act: set(s.Seconds, s.Level-step)},
		btn{id: "level/up", label: "Higher", say: "Level higher", small: true, off: s.Level+step > attempt.MaxLevel, act: set(s.Seconds, s.Level+step)},
	)
	c.full(btn{id: "done", label: "Done", main: true, act: m.back})
}

// channelText is what the trace tells of a channel.
func channelText(c meter.Channel) string {
	parts := []string{fmt.Sprintf("Channel %d: %s to %s, mean %s", c.Number, extremeText(c.Low), extremeText(c.High), extremeText(c.Mean))}
	if c.Hertz != nil {
		parts = append(parts, extremeText(*c.Hertz))
	}
	if c.Duty != nil {
		parts = append(parts, extremeText(*c.Duty)+" high")
	}
	return strings.Join(parts, ", ")
}
