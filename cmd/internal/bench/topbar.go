package bench

import (
	"fmt"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
)

// topBar holds the way out, what is being worked on, where in the plan one is, the bench clock and the settings.
func (p *pen) topBar(r draw.Rect) {
	m, k := p.m, p.k
	p.part = partTop
	p.board(r, p.th.Panel)
	p.l.Line(draw.Point{X: r.X, Y: r.MaxY()}, r.Max(), draw.Pen(p.th.Hairline, 1))
	in := r.InsetXY(6, (r.H-max(p.touch, 32*k))/2)
	if in.H < p.touch {
		in = r.InsetXY(6, 0)
	}
	place := func(b btn, right bool) {
		w := p.width(b)
		var q draw.Rect
		if right {
			q, in = in.CutRight(w)
			in.W -= 6
		} else {
			q, in = in.CutLeft(w)
			_, in = in.CutLeft(8)
		}
		p.button(q, b)
	}
	exit := btn{id: "exercises", label: "Exercises", act: m.leave, hint: "back to the choice of exercises; the attempt is kept"}
	if p.form == narrow {
		exit.label, exit.say = "‹", "Exercises"
	}
	place(exit, false)
	place(btn{id: "settings", label: "View", act: func() { m.open(dialog{kind: dialogSettings}) }, hint: "text size, sounds, motion, keys"}, true)
	next := btn{id: "guide", label: "What next?", role: Toggle, on: m.guide, act: func() { m.guide = !m.guide }, hint: "shows or hides what to do next"}
	if p.form == narrow {
		next.label, next.say = "Next?", "What next?"
	}
	if p.form != narrow || in.W > 170*k {
		place(next, true)
	}
	clock := clockText(m.st.Ticks)
	cw := draw.Measure("00:00:00", draw.Mono, p.th.Type.Body) + 14*k
	if in.W > cw+60*k {
		var q draw.Rect
		q, in = in.CutRight(cw)
		p.oneLine(q, clock, p.th.Text(p.th.Type.Body).As(draw.Mono).To(draw.Middle))
	}
	if p.form == wide {
		in = p.stages(in)
	}
	title := m.job.Exercise.Title
	st := p.th.Text(p.th.Type.Lead).As(draw.Bold)
	if p.form == narrow {
		st.Size = p.th.Type.Body
	}
	fleet := m.job.Harness.Vehicle.Fleet + "  " + m.job.Harness.Vehicle.Title
	if p.form == wide && draw.Measure(title+fleet, st.Face, st.Size) < in.W-20 {
		p.oneLine(in, title, st)
		_, rest := in.CutLeft(draw.Measure(title, st.Face, st.Size) + 12*k)
		p.oneLine(rest, fleet, p.th.Soft(p.th.Type.Body))
		return
	}
	p.oneLine(in, title, st)
}

// stages shows the four stages of the plan and which one the work is in.
func (p *pen) stages(in draw.Rect) draw.Rect {
	names := []string{attempt.StageConfirm, attempt.StageIsolate, attempt.StageRepair, attempt.StageRetest}
	now := p.m.stage()
	size := p.th.Type.Caption
	w := 0.0
	for _, n := range names {
		w += draw.Measure(n, draw.Bold, size) + 26*p.k
	}
	if in.W < w+120*p.k {
		return in
	}
	q, rest := in.CutRight(w + 8*p.k)
	x := q.X
	passed := true
	for _, n := range names {
		here := n == now && !p.m.st.Closed
		if here {
			passed = false
		}
		nw := draw.Measure(n, draw.Bold, size) + 26*p.k
		c := draw.Point{X: x + 7*p.k, Y: q.Y + q.H/2}
		st := p.th.Soft(size)
		switch {
		case here:
			st = p.th.Text(size).As(draw.Bold)
			p.l.Circle(c, 5*p.k, p.th.Accent, draw.Stroke{})
			p.l.Rect(draw.Rect{X: x + 15*p.k, Y: q.Y + q.H/2 + size*0.75, W: nw - 26*p.k, H: 2}, 0, p.th.Accent, draw.Stroke{})
		case passed:
			p.tick(c, 4*p.k, p.th.Good)
		default:
			p.l.Circle(c, 4*p.k, draw.Colour{}, draw.Pen(p.th.Edge, 1.5))
		}
		p.oneLine(draw.Rect{X: x + 15*p.k, Y: q.Y, W: nw, H: q.H}, n, st)
		x += nw
	}
	return rest
}

// stage is the stage of the plan that the last thing done belongs to.
func (m *Model) stage() string {
	for i := len(m.st.Log) - 1; i >= 0; i-- {
		if s := m.st.Log[i].Stage; s != "" {
			return s
		}
	}
	return attempt.StageConfirm
}

// clockText writes ticks as hours, minutes and seconds.
func clockText(ticks int64) string {
	s := int64(float64(ticks) * attempt.Tick)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%02d:%02d", s/60, s%60)
}

// timeWords writes seconds of bench time for people.
func timeWords(seconds float64) string {
	switch {
	case seconds < 1:
		return "no time"
	case seconds < 90:
		return fmt.Sprintf("%.0f s", seconds)
	}
	return fmt.Sprintf("%.0f min", seconds/60)
}
