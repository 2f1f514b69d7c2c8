package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

func (m *Model) has(t meter.Tool) bool {
	for _, u := range m.job.Exercise.Tools {
		if t == u {
			return true
		}
	}
	return false
}

// trayHeight is the height of the tray under the sheet.
func (p *pen) trayHeight(float64) float64 {
	return 16 + 2*p.leadHeight() + 6 + 66*p.k
}

func (p *pen) leadHeight() float64 { return max(p.touch, 36*p.k) }

// tray shows the instruments side by side.
func (p *pen) tray(r draw.Rect) {
	p.part = partTray
	p.f.tray = r
	p.l.Rect(r, p.th.Space.Radius, p.th.Sunk, draw.Pen(p.th.Hairline, 1))
	in := r.Inset(8)
	tools := p.m.job.Exercise.Tools
	if len(tools) == 0 {
		p.oneLine(in, "No instruments are allowed in this exercise.", p.th.Soft(p.th.Type.Body))
		return
	}
	if len(tools) > fewTools {
		p.toolbox(in)
		return
	}
	gap := 8.0
	share := 0.0
	for _, t := range tools {
		share += toolShare(t)
	}
	x := in.X
	for _, t := range tools {
		w := (in.W - gap*float64(len(tools)-1)) * toolShare(t) / share
		p.toolBox(draw.Rect{X: x, Y: in.Y, W: w, H: in.H}, t)
		x += w + gap
	}
}

// toolShare is how much room a tool takes beside the others.
func toolShare(t meter.Tool) float64 {
	if t == meter.Multimeter {
		return 2
	}
	return 1
}

func (p *pen) toolBox(r draw.Rect, t meter.Tool) {
	if t == meter.Multimeter {
		p.multimeter(r)
		return
	}
	top, rest := r.CutTop(p.leadHeight())
	p.leadPair(top, t)
	_, rest = rest.CutTop(6)
	p.small(rest, t, true)
}

func has(words []string, want string) bool {
	for _, w := range words {
		if strings.Contains(w, want) {
			return true
		}
	}
	return false
}

// small shows a tool that has no digits, with its name unless that stands beside it already.
func (p *pen) small(r draw.Rect, t meter.Tool, named bool) {
	m := p.m
	d := m.st.Displays[t]
	p.l.Rect(r, p.th.Space.Radius*1.4, p.th.Case, draw.Pen(p.th.CaseEdge, 2))
	in := r.Inset(7)
	size := p.th.Type.Caption
	name, rest := in.CutTop(draw.LineHeight(draw.Bold, size))
	if !named {
		rest = in
	} else {
		p.oneLine(name, upper(t.Title()), draw.TextStyle{Size: size, Face: draw.Bold, Colour: p.th.OnCase})
	}
	word := strings.TrimSpace(d.Text + " " + d.Unit)
	if len(d.Words) > 0 {
		word = strings.TrimSpace(word + " " + strings.Join(d.Words, ", "))
	}
	if word == "" {
		word = "not connected"
	}
	st := draw.TextStyle{Size: p.th.Type.Body, Colour: p.th.OnCase}
	if has(d.Words, "fuse open") {
		b := btn{id: "fuse/" + string(t), label: "New fuse", say: "New fuse for the " + t.Title(), small: true, main: true, act: func() { m.do(attempt.ResetFuse{Tool: t}) }}
		q, left := rest.CutBottom(p.touch)
		p.button(draw.Rect{X: q.X, Y: q.Y, W: min(p.width(b), q.W), H: q.H}, b)
		rest = left
	}
	if rest = p.extraBox(rest, t); rest.Empty() {
		return
	}
	if t == meter.TestLamp || t == meter.Load {
		c := draw.Point{X: rest.X + 19*p.k, Y: rest.Y + min(rest.H/2, 26*p.k)}
		glow := min(max(d.Glow, 0), 1)
		p.l.Circle(c, 11*p.k, p.th.CaseEdge.Mix(p.th.Glow, glow), draw.Pen(p.th.OnCase, 1.5))
		if d.Glow > 0 {
			for _, dir := range directions {
				p.l.Line(c.Add(dir.Mul(13*p.k)), c.Add(dir.Mul((13+6*glow)*p.k)), draw.RoundPen(p.th.Glow, 2))
			}
		}
		_, rest = rest.CutLeft(42 * p.k)
	}
	lines := draw.Wrap(word, st.Face, st.Size, rest.W)
	y := rest.Y + 2*p.k
	for _, s := range lines {
		if y+draw.LineHeight(st.Face, st.Size) > rest.MaxY()+2 {
			break
		}
		row := draw.Rect{X: rest.X, Y: y, W: rest.W, H: draw.LineHeight(st.Face, st.Size)}
		p.oneLine(row, s, st)
		y += row.H
	}
}

// trayTall shows the instruments one below the other.
func (p *pen) trayTall(r draw.Rect) {
	p.part = partTray
	m := p.m
	p.scroll("tray", r, func(c *column) {
		for _, t := range m.job.Exercise.Tools {
			c.label(upper(t.Title()))
			p.leadPair(c.box(p.leadHeight()), t)
			c.gap(5)
			if t == meter.Multimeter {
				box := c.box(p.leadHeight() + 92*p.k)
				p.l.Rect(box, p.th.Space.Radius*1.4, p.th.Case, draw.Pen(p.th.CaseEdge, 2))
				in := box.Inset(6)
				dial, face := in.CutBottom(p.leadHeight() - 4)
				face.H -= 5
				p.display(face)
				p.controls(dial)
			} else {
				p.small(c.box(boxHeight(p, t)), t, false)
			}
			c.gap(10)
		}
		if len(m.job.Exercise.Tools) == 0 {
			c.body("No instruments are allowed in this exercise.")
		}
		c.soft("Drag a lead to a point on the sheet, or touch the lead and then the point.")
	})
}

// boxHeight is how high a tool's box is where the tools stand one below the other.
func boxHeight(p *pen, t meter.Tool) float64 {
	h := max(58*p.k, p.touch+34*p.k)
	if t == meter.TraceView {
		h += 60 * p.k
	}
	return h
}

// stripHeight is the height of the meter's strip on a small screen.
func (p *pen) stripHeight(w float64) float64 {
	h := max(54, 36*p.k)
	if w/p.k < 300 {
		h += p.touch + 6
	}
	return h
}

// strip keeps the meter in sight on a small screen: its display, its dial, and the leads of the tool in use.
func (p *pen) strip(r draw.Rect) {
	m := p.m
	p.part = partTray
	p.f.tray = r
	p.board(r, p.th.Case)
	in := r.Inset(5)
	if len(m.job.Exercise.Tools) == 0 {
		p.oneLine(in, "no instruments allowed", draw.TextStyle{Size: p.th.Type.Body, Colour: p.th.OnCase})
		return
	}
	var leads draw.Rect
	switch {
	case m.area == partTray: // the leads are in sight there
	case r.W/p.k < 300:
		leads, in = in.CutBottom(p.touch)
		in.H -= 6
	default:
		leads, in = in.CutRight(min(2*max(p.touch+8, 58*p.k)+4, in.W*0.45))
		in.W -= 6
	}
	if m.has(meter.Multimeter) {
		word := dialWord(m.dialled())[0]
		if m.dialled() == meter.Off {
			word = "Dial"
		}
		b := btn{id: "strip/dial", label: word, say: "The meter's dial", act: func() { m.open(dialog{kind: dialogDial}) }, hint: "turns the meter's dial"}
		q, face := in.CutRight(max(p.width(b), p.touch))
		face.W -= 5
		p.display1(face)
		p.button(q, b)
	} else {
		p.oneLine(in, m.toolWord(m.tool), draw.TextStyle{Size: p.th.Type.Body, Colour: p.th.OnCase})
	}
	if !leads.Empty() {
		p.leadPair(leads, m.tool)
	}
}

// display1 is the meter's display on a strip.
func (p *pen) display1(r draw.Rect) {
	m := p.m
	p.l.Rect(r, p.th.Space.Radius, p.th.Screen, draw.Pen(p.th.CaseEdge, 1))
	in := r.InsetXY(7, 3)
	d := m.st.Displays[meter.Multimeter]
	words := strings.Join(displayWords(d), ", ")
	if m.tool != meter.Multimeter {
		words = strings.TrimPrefix(words+"; "+m.tool.Title()+": "+m.toolWord(m.tool), "; ")
	}
	text := strings.TrimSpace(d.Text + " " + d.Unit)
	if m.dialled() == meter.Off {
		text = "off"
	}
	if m.dialled() != meter.Off && text+words == "" {
		words = functionWord(m.dialled()) + ", leads free"
	}
	if words != "" {
		var low draw.Rect
		low, in = in.CutBottom(draw.LineHeight(draw.Regular, p.th.Type.Caption))
		p.oneLine(low, words, draw.TextStyle{Size: p.th.Type.Caption, Colour: p.th.ScreenInk})
	}
	size := min(in.H*0.95, 26*p.k)
	if w := draw.Measure(text, draw.MonoBold, size); w > in.W {
		size *= in.W / w
	}
	p.oneLine(in, text, draw.TextStyle{Size: size, Face: draw.MonoBold, Colour: p.th.ScreenInk, Align: draw.End})
}

// toolWord is what a tool shows, in words.
func (m *Model) toolWord(t meter.Tool) string {
	if t == meter.Multimeter {
		return m.reading()
	}
	d := m.st.Displays[t]
	s := strings.TrimSpace(d.Text + " " + d.Unit)
	if len(d.Words) > 0 {
		s = strings.TrimSpace(s + " " + strings.Join(d.Words, ", "))
	}
	if s == "" {
		return "not connected"
	}
	return s
}
