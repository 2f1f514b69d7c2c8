package bench

import (
	"fmt"
	"math"

	"faultloom/cmd/internal/curve"
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
)

// debrief shows the graded report.
func (p *pen) debrief(c *column) {
	m := p.m
	r := m.report
	if r == nil {
		c.body("There is no debrief yet.")
		return
	}
	size := p.th.Type.Title * 1.5
	row := c.box(size * 1.4)
	score := points(r.Score) + " of " + points(r.Of)
	w := draw.Measure(score, draw.Bold, size) + 18*p.k
	if w < row.W*0.5 {
		p.oneLine(row, score, p.th.Text(size).As(draw.Bold))
		_, rest := row.CutLeft(w)
		lines := draw.Wrap(r.Verdict, draw.Regular, p.th.Type.Lead, rest.W)
		lh := draw.LineHeight(draw.Regular, p.th.Type.Lead)
		if float64(len(lines))*lh <= row.H {
			y := rest.Y + (rest.H-float64(len(lines))*lh)/2
			for _, s := range lines {
				p.oneLine(draw.Rect{X: rest.X, Y: y, W: rest.W, H: lh}, s, p.th.Text(p.th.Type.Lead))
				y += lh
			}
		} else {
			c.para(r.Verdict, p.th.Text(p.th.Type.Lead))
		}
	} else {
		p.oneLine(row, score, p.th.Text(min(size, size*row.W/w)).As(draw.Bold))
		c.para(r.Verdict, p.th.Text(p.th.Type.Lead))
	}
	c.soft(fmt.Sprintf("%s; %s of bench time.", r.Title, timeWords(r.Minutes*60)))
	c.gap(8)
	if len(r.Cause) > 0 {
		c.label("What was wrong")
		for _, s := range r.Cause {
			c.para(upper(s), p.th.Text(p.th.Type.Lead).As(draw.Bold))
		}
		c.gap(6)
	}
	c.row(
		btn{id: "debrief/look", label: "Look at the bench", act: m.back},
		btn{id: "debrief/again", label: "Do it afresh", act: func() { m.start(m.job.Exercise.ID, true) }},
		btn{id: "debrief/leave", label: "Other exercises", main: true, act: m.leave},
	)
	c.gap(6)
	for _, s := range r.Stages {
		p.stageScore(c, s)
	}
	p.worth(c, r)
	p.besidePar(c, r)
	p.bullets(c, "To practise next", r.Next)
	p.timeline(c, r.Steps)
	p.bullets(c, "On a real vehicle", r.Cautions)
}

func (p *pen) bullets(c *column, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	c.rule()
	c.label(title)
	for _, s := range lines {
		c.body("• " + s)
		c.gap(3)
	}
}

// points writes a score to a tenth, without a needless zero.
func points(x float64) string {
	x = math.Round(x*10) / 10
	if x == math.Trunc(x) {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.1f", x)
}

// stageScore shows one part of the score with its reasons.
func (p *pen) stageScore(c *column, s grading.StageScore) {
	c.rule()
	size := p.th.Type.Lead
	row := c.box(draw.LineHeight(draw.Bold, size))
	val := points(s.Points) + " of " + points(s.Of)
	vw := draw.Measure(val, draw.Bold, size) + 6
	right, left := row.CutRight(vw)
	p.oneLine(right, val, p.th.Text(size).As(draw.Bold).To(draw.End))
	name := draw.Measure("Economy", draw.Bold, size) + 16*p.k
	label, bar := left.CutLeft(name)
	p.oneLine(label, upper(s.Name), p.th.Text(size).As(draw.Bold))
	if s.Of > 0 && bar.W > 60 {
		track := draw.Rect{X: bar.X, Y: bar.Y + bar.H/2 - 4, W: bar.W - 10, H: 8}
		p.l.Rect(track, 4, p.th.Sunk, draw.Pen(p.th.Edge, 1))
		share := min(max(s.Points/s.Of, 0), 1)
		fill := track
		fill.W *= share
		if fill.W > 0 {
			p.l.Rect(fill, 4, p.th.Accent, draw.Stroke{})
		}
	}
	c.gap(4)
	for _, it := range s.Items {
		tone := draw.Plain
		switch {
		case it.Of > 0 && it.Points >= it.Of:
			tone = draw.Good
		case it.Of > 0 && it.Points <= 0, it.Points < 0:
			tone = draw.Bad
		case it.Of > 0:
			tone = draw.Caution
		}
		lh := draw.LineHeight(draw.Regular, p.th.Type.Body)
		mark := 20 * p.k
		p.th.Mark(p.l, draw.Point{X: c.x + 7*p.k, Y: c.y + lh/2}, 11*p.k, tone)
		text := sheet.Reads(it.Text)
		if it.Of > 0 || it.Points != 0 {
			text += "  (" + points(it.Points)
			if it.Of > 0 {
				text += "\u00a0of\u00a0" + points(it.Of)
			}
			text += ")"
		}
		x, w := c.x, c.w
		c.x, c.w = x+mark, w-mark
		c.body(text)
		c.x, c.w = x, w
		c.gap(3)
	}
}

// timeline shows the log of the attempt with the remarks.
func (p *pen) timeline(c *column, steps []grading.Step) {
	if len(steps) == 0 {
		return
	}
	c.rule()
	c.label("Step by step")
	stage := ""
	for _, s := range steps {
		if s.Stage != stage {
			stage = s.Stage
			c.gap(3)
			c.para(upper(stage), p.th.Text(p.th.Type.Body).As(draw.Bold))
		}
		text := fmt.Sprintf("%d.  %s", s.Seq+1, upper(s.Did))
		if s.Showed != "" {
			text += " — " + sheet.Reads(s.Showed)
		}
		x, w := c.x, c.w
		c.x, c.w = x+8*p.k, w-8*p.k
		c.para(text, p.th.Text(p.th.Type.Body))
		if s.Evidence.Told != "" {
			c.x, c.w = x+26*p.k, w-26*p.k
			c.para(sheet.Reads(s.Evidence.Told), p.th.Soft(p.th.Type.Body))
		}
		if s.Remark != "" {
			c.x, c.w = x+26*p.k, w-26*p.k
			c.para(s.Remark, p.th.Text(p.th.Type.Body).In(p.th.Caution))
		}
		c.x, c.w = x, w
		c.gap(3)
	}
}

// worth shows what each step was worth: the curve of bits, and the sheet with the suspects as they were after a step that can be
// chosen.
func (p *pen) worth(c *column, r *grading.Report) {
	m := p.m
	if len(r.Steps) == 0 || m.sheet == nil {
		return
	}
	c.rule()
	c.label("What each step was worth")
	c.gap(4)
	box := c.box(curve.Height(c.w))
	p.l.PushClip(box)
	curve.Draw(p.l, p.th, r, box)
	p.l.PopClip()
	c.soft("A test is worth what it rules out. At the dashed line one repair is left, and the cause is proved.")
	c.gap(8)
	c.label("Where the evidence pointed")
	n := m.shade
	if n < 1 || n > len(r.Steps) {
		n = len(r.Steps)
	}
	step := r.Steps[n-1]
	c.body(fmt.Sprintf("After step %d, %s: %s still suspected.", n, step.Did, faultsLeft(step.Evidence.Left)))
	c.gap(4)
	c.row(
		btn{id: "debrief/first", label: "First", off: n == 1, act: func() { m.shade = 1 }},
		btn{id: "debrief/earlier", label: "Earlier", off: n == 1, act: func() { m.shade = telling(r.Steps, n, -1) }},
		btn{id: "debrief/later", label: "Later", off: n == len(r.Steps), act: func() { m.shade = telling(r.Steps, n, 1) }},
		btn{id: "debrief/last", label: "Last", off: n == len(r.Steps), act: func() { m.shade = 0 }},
	)
	c.gap(4)
	b := m.sheet.Bounds()
	zoom := c.w / b.W
	pic := c.box(b.H * zoom)
	p.l.PushClip(pic)
	p.l.PushTransform(zoom, draw.Point{X: pic.X - b.X*zoom, Y: pic.Y - b.Y*zoom})
	m.sheet.Draw(p.l, sheet.Live{Theme: draw.Workshop(), Suspects: suspects(step.Suspects)})
	p.l.PopTransform()
	p.l.PopClip()
}

func faultsLeft(n int) string {
	if n == 1 {
		return "one fault is"
	}
	return fmt.Sprintf("%d faults are", n)
}

// telling returns the nearest step before or after step n (counted from 1) after which something else was suspected, or the end.
func telling(steps []grading.Step, n, dir int) int {
	was := steps[n-1].Evidence.Left
	for n += dir; n > 1 && n < len(steps); n += dir {
		if steps[n-1].Evidence.Left != was {
			return n
		}
	}
	return min(max(n, 1), len(steps))
}
