package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// dialWord is what stands on the meter's dial for a position, and what choosing it is called.
func dialWord(f meter.Function) [2]string {
	switch f {
	case meter.Off:
		return [2]string{"Off", "Meter off"}
	case meter.Volts:
		return [2]string{"V", "Meter to volts"}
	case meter.Millivolts:
		return [2]string{"mV", "Meter to millivolts"}
	case meter.Ohms:
		return [2]string{"Ω", "Meter to ohms"}
	case meter.Continuity:
		return [2]string{"Beep", "Meter to continuity"}
	case meter.Diode:
		return [2]string{"Diode", "Meter to diode test"}
	case meter.Amps:
		return [2]string{"A", "Meter to amps"}
	case meter.Hertz:
		return [2]string{"Hz", "Meter to frequency"}
	case meter.Duty:
		return [2]string{"Duty", "Meter to duty"}
	}
	return [2]string{string(f), "Meter to " + string(f)}
}

// functionWord is what the display says of a function when it has nothing else to say.
func functionWord(f meter.Function) string {
	switch f {
	case meter.Diode:
		return "diode test"
	case meter.Hertz:
		return "frequency"
	case meter.Duty:
		return "duty, per cent high"
	}
	return string(f)
}

// displayWords are the words on a display, the captured extremes among them.
func displayWords(d meter.Display) []string {
	out := append([]string(nil), d.Words...)
	if c := d.Capture; c != nil {
		out = append(out, "min "+extremeText(c.Low), "max "+extremeText(c.High))
	}
	return out
}

func extremeText(e meter.Extreme) string { return strings.TrimSpace(e.Text + " " + e.Unit) }

// multimeter shows its two leads, the display and the dial.
func (p *pen) multimeter(r draw.Rect) {
	top, rest := r.CutTop(p.leadHeight())
	p.leadPair(top, meter.Multimeter)
	_, rest = rest.CutTop(6)
	p.l.Rect(rest, p.th.Space.Radius*1.4, p.th.Case, draw.Pen(p.th.CaseEdge, 2))
	in := rest.Inset(5)
	dial, face := in.CutBottom(p.leadHeight() - 6)
	face.H -= 4
	p.display(face)
	p.controls(dial)
}

// meterKeys are the two keys beside the dial.
func (m *Model) meterKeys(id string) []btn {
	off := m.st.Closed || m.dialled() == meter.Off
	rel, kept := m.st.Relative, m.st.Capture
	press := func(act attempt.Action) func() {
		return func() {
			if id != "key/" { // in the dialog of the dial
				m.back()
			}
			m.do(act)
		}
	}
	return []btn{
		{id: id + "relative", label: "Rel", say: "Relative: take this reading as zero", on: rel, off: off, small: true, act: press(attempt.Relative{On: !rel}), hint: "shows from now on how far the reading is from this one; press again for the reading as it is"},
		{id: id + "capture", label: "Min Max", say: "Keep lowest and highest reading", on: kept, off: off, small: true, act: press(attempt.Capture{On: !kept}), hint: "keeps the extremes from now on, down to a thousandth of a second; moving a lead begins anew"},
	}
}

// controls shows the dial, as a row of positions or, where that has no room, as one button that opens them, and the keys.
func (p *pen) controls(r draw.Rect) {
	m := p.m
	gap := 3.0
	keys := m.meterKeys("key/")
	for i := len(keys) - 1; i >= 0; i-- {
		var q draw.Rect
		q, r = r.CutRight(min(p.keyWidth(keys[i]), r.W*0.3))
		r.W -= gap
		p.key1(q, keys[i])
	}
	fs := append([]meter.Function{meter.Off}, m.job.Exercise.Functions...)
	w := (r.W - gap*float64(len(fs)-1)) / float64(len(fs))
	if w < p.dialRoom(fs) {
		word := dialWord(m.dialled())[0]
		b := btn{id: "tray/dial", label: "Dial: " + word, say: "The meter's dial, at " + functionWord(m.dialled()), off: m.st.Closed, hint: "opens the positions of the dial", act: func() { m.open(dialog{kind: dialogDial}) }}
		p.key1(r, b)
		return
	}
	for i, f := range fs {
		p.dialButton(draw.Rect{X: r.X + float64(i)*(w+gap), Y: r.Y, W: w, H: r.H}, f)
	}
}

// dialRoom is the least width of a position on the dial.
func (p *pen) dialRoom(fs []meter.Function) float64 {
	w := min(p.touch, 40)
	for _, f := range fs {
		w = max(w, draw.Measure(dialWord(f)[0], draw.Bold, p.th.Type.Caption)+6)
	}
	return w
}

func (p *pen) keyWidth(b btn) float64 {
	return max(min(p.touch, 44), draw.Measure(b.label, draw.Bold, p.th.Type.Caption)+12)
}

// key1 is a key of the meter's case.
func (p *pen) key1(r draw.Rect, b btn) {
	role := Button
	if b.id != "tray/dial" {
		role = Toggle
	}
	w := p.add(Widget{ID: b.id, Label: b.name(), Role: role, Enabled: !b.off, On: b.on, Hint: b.hint, Stop: true, act: b.act}, r)
	fill, ink := p.th.CaseEdge, p.th.OnCase
	switch {
	case b.on:
		fill, ink = p.th.OnCase, p.th.CaseEdge
	case p.m.hover == b.id && !b.off:
		fill = p.th.Case
	}
	p.l.BeginGroup(b.id, b.name())
	p.l.Rect(r, r.H/2, fill, draw.Pen(p.th.OnCase, 1))
	size := min(p.th.Type.Caption, p.th.Type.Caption*(r.W-8)/max(draw.Measure(b.label, draw.Bold, p.th.Type.Caption), 1))
	if b.off {
		ink = ink.WithAlpha(150)
	}
	p.line(r, r.X+r.W/2, b.label, draw.TextStyle{Size: size, Face: draw.Bold, Colour: ink, Align: draw.Middle}, r)
	p.l.EndGroup()
	p.ring(w, r)
}

// dialButton is one position of the dial: the chosen one is lit and has the pointer over it.
func (p *pen) dialButton(r draw.Rect, f meter.Function) {
	m := p.m
	on := m.dialled() == f
	words := dialWord(f)
	id := "dial/" + string(f)
	w := p.add(Widget{ID: id, Label: words[1], Role: Choice, Enabled: !m.st.Closed, On: on, Stop: true, act: func() {
		if m.dialled() != f {
			m.do(attempt.Dial{Function: f})
		}
	}}, r)
	fill, ink := p.th.CaseEdge, p.th.OnCase
	face := draw.Regular
	if on {
		fill, ink, face = p.th.OnCase, p.th.CaseEdge, draw.Bold
	} else if m.hover == id {
		fill = p.th.Case
	}
	p.l.BeginGroup(id, words[1])
	p.l.Rect(r, p.th.Space.Radius, fill, draw.Pen(p.th.CaseEdge, 1))
	size := min(p.th.Type.Body, p.th.Type.Body*(r.W-6)/max(draw.Measure(words[0], draw.Bold, p.th.Type.Body), 1))
	p.line(r, r.X+r.W/2, words[0], draw.TextStyle{Size: size, Face: face, Colour: ink, Align: draw.Middle}, r)
	if on { // the pointer
		c := draw.Point{X: r.X + r.W/2, Y: r.Y}
		p.l.Polygon([]draw.Point{{X: c.X - 6, Y: c.Y - 1}, {X: c.X + 6, Y: c.Y - 1}, {X: c.X, Y: c.Y + 6}}, p.th.Accent, draw.Stroke{})
	}
	p.l.EndGroup()
	p.ring(w, r)
}

func (m *Model) dialled() meter.Function {
	if m.st.Dial == "" {
		return meter.Off
	}
	return m.st.Dial
}

// display shows what the multimeter shows.
func (p *pen) display(r draw.Rect) {
	m := p.m
	d := m.st.Displays[meter.Multimeter]
	f := m.dialled()
	reading := draw.Reading{Digits: d.Text, Unit: d.Unit}
	if f == meter.Off {
		reading.Digits, reading.Unit = "", ""
	}
	for _, w := range displayWords(d) {
		reading.Words = append(reading.Words, draw.Annunciator{Word: w, On: true})
	}
	if f != meter.Off && len(reading.Words) == 0 {
		reading.Words = []draw.Annunciator{{Word: functionWord(f), On: true}}
	}
	th := p.th
	p.l.PushClip(r)
	th.Display(p.l, r, reading)
	p.l.PopClip()
	if f == meter.Off {
		p.oneLine(r.InsetXY(10, 0), "off: choose V, Ω or another below", draw.TextStyle{Size: p.th.Type.Caption, Colour: p.th.ScreenInk, Align: draw.Middle})
	}
	if has(d.Words, "meter fuse open") {
		b := btn{id: "fuse/multimeter", label: "New meter fuse", small: true, main: true, act: func() { m.do(attempt.ResetFuse{Tool: meter.Multimeter}) }}
		q := draw.Rect{X: r.X + 6, Y: r.MaxY() - p.touch - 4, W: min(p.width(b), r.W*0.6), H: p.touch}
		p.button(q, b)
	}
}

// reading is the multimeter's display in one phrase, for strips, cards and assistive tools.
func (m *Model) reading() string {
	if m.dialled() == meter.Off {
		return "meter off"
	}
	d := m.st.Displays[meter.Multimeter]
	s := strings.TrimSpace(d.Text + " " + d.Unit)
	if s == "" {
		s = "----"
	}
	return strings.Join(append([]string{s}, displayWords(d)...), ", ")
}
