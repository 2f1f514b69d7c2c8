package bench

import (
	"math"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// advice is one line of guidance and the widgets that it points at.
type advice struct {
	text string
	at   []string
}

// advise returns what to do next. It looks only at what was done, never at what is wrong with the vehicle: until the first
// reading it leads there by the shortest way that is worth anything; later it names the next stage of the plan.
func (m *Model) advise() advice {
	if m.job == nil || m.st.Closed || !m.guide {
		return advice{}
	}
	if n := len(m.dialog); n > 0 {
		if m.dialog[n-1].kind == dialogDial && m.dialled() == meter.Off && m.offers(meter.Volts) {
			return advice{"Next: turn the meter to V.", []string{"turn/volts"}}
		}
		return advice{}
	}
	if m.armed != nil {
		return m.adviseReading()
	}
	switch m.stage() {
	case attempt.StageConfirm, "":
		if a, ok := m.adviseCheck(); ok {
			return a
		}
		return m.adviseReading()
	case attempt.StageIsolate:
		if !m.readingEver() {
			return m.adviseReading()
		}
		if m.st.Finding == "" {
			return advice{"Next: find where the readings stop being right on their way, then declare the cause.", []string{"page/finding"}}
		}
		return advice{"Next: repair what you found.", []string{"page/finding", "repair/fitting"}}
	case attempt.StageRepair:
		if m.disturbed() {
			return advice{"Next: put back what is still unplugged, opened or connected, then run the whole check again.", []string{"page/check"}}
		}
		return advice{"Next: run every line of the check again and mark it.", []string{"page/check"}}
	}
	if i := m.firstUnmarked(); i >= 0 {
		return advice{"Next: run and mark check line " + itoa(i+1) + ".", []string{"page/check", "check/" + itoa(i+1) + "/set", "check/" + itoa(i+1) + "/good", "check/" + itoa(i+1) + "/bad"}}
	}
	for i, v := range m.st.Marks {
		if v < 0 {
			return advice{"Next: line " + itoa(i+1) + " is still not good. Go on looking: what you read before the repair still counts, where the repair changed nothing.", []string{"page/finding"}}
		}
	}
	return advice{"Next: put the controls back to rest and close the job, if everything works and nothing is left apart.", []string{"page/finding", "close"}}
}

// adviseCheck leads through the check until a line was seen to fail; that is enough to go on. It begins with the line that asks for most
// settings, which most moves the vehicle and so tells most.
func (m *Model) adviseCheck() (advice, bool) {
	h := m.job.Harness
	line := -1
	for i, c := range h.Check {
		if m.st.Marks[i] < 0 {
			return advice{}, false
		}
		if m.st.Marks[i] == 0 && (line < 0 || len(c.Set) > len(h.Check[line].Set)) {
			line = i
		}
	}
	if line < 0 {
		return advice{}, false
	}
	n := itoa(line + 1)
	if m.page != "check" || m.form != wide && m.area != partJob {
		at := []string{"page/check"}
		if m.form != wide && m.area != partJob {
			at = []string{"area/job"}
		}
		return advice{"Next: see the complaint for yourself. Open the check.", at}, true
	}
	if m.lineNow() != line {
		text := "Next: set the controls of line " + n + " and see what the vehicle does."
		if m.marked() {
			text = "Next: so far all is good. Set the controls of line " + n + "."
		}
		return advice{text, []string{"check/" + n + "/set"}}, true
	}
	return advice{"Next: did it do what the line says? Mark it.", []string{"check/" + n + "/good", "check/" + n + "/bad"}}, true
}

// adviseReading leads to a reading: dial, black lead on a ground, red lead on a point.
func (m *Model) adviseReading() advice {
	if !m.has(meter.Multimeter) {
		return advice{"Next: choose an instrument's lead and a point on the sheet.", nil}
	}
	ends := m.st.Leads[meter.Multimeter]
	onSheet := m.form != narrow || m.area == partSheet
	if m.armed != nil {
		e := *m.armed
		if !onSheet {
			return advice{"Next: go to the sheet.", []string{"area/sheet"}}
		}
		if e.tool == meter.Multimeter && e.end == 1 {
			if g := m.groundPoint(); g != "" {
				return advice{"Next: touch " + string(g) + ", where the black lead finds ground.", []string{targetPrefix + "point/" + string(g)}}
			}
		}
		if f := m.feedPoint(); f != "" {
			return advice{"Next: touch a point, such as " + string(f) + ".", []string{targetPrefix + "point/" + string(f)}}
		}
		return advice{"Next: touch a point on the sheet.", nil}
	}
	switch {
	case m.dialled() == meter.Off && m.offers(meter.Volts):
		return advice{"Next: turn the meter to V.", []string{"dial/volts", "tray/dial", "strip/dial"}}
	case ends[1] == "":
		return advice{"Next: take the black lead.", []string{leadID(leadEnd{meter.Multimeter, 1})}}
	case ends[0] == "":
		return advice{"Next: take the red lead.", []string{leadID(leadEnd{meter.Multimeter, 0})}}
	}
	return advice{}
}

func (m *Model) offers(f meter.Function) bool {
	for _, g := range m.job.Exercise.Functions {
		if f == g {
			return true
		}
	}
	return false
}

// groundPoint is a point that the black lead can go to and that belongs to the supply's return: the battery's post, else a
// ground stud; one in sight before others.
func (m *Model) groundPoint() harness.Point {
	return m.firstPoint(func(i harness.Info) bool { return i.Kind == harness.PostStud && i.Terminal == "31" },
		func(i harness.Info) bool { return i.Kind == harness.GroundStud })
}

// feedPoint is a point at the supply that the red lead can go to.
func (m *Model) feedPoint() harness.Point {
	return m.firstPoint(func(i harness.Info) bool { return i.Kind == harness.PostStud && i.Terminal == "30" },
		func(i harness.Info) bool { return i.Kind == harness.CavityHalf })
}

// firstPoint returns a point within reach that one of the wishes is for: in sight if there is one, else by the wishes' order.
func (m *Model) firstPoint(wishes ...func(harness.Info) bool) harness.Point {
	hidden := harness.Point("")
	for _, wish := range wishes {
		for _, r := range m.st.Reach {
			if !r.Ok || !wish(m.infos[r.Point]) {
				continue
			}
			if at, ok := m.pointOnScreen(r.Point); ok && m.frame.sheet.Contains(at) {
				return r.Point
			}
			if hidden == "" {
				hidden = r.Point
			}
		}
	}
	return hidden
}

// readingEver reports whether a reading was taken in this attempt.
func (m *Model) readingEver() bool { return m.readingTaken() || m.hadReading }

// disturbed reports whether something is not as it stands on a vehicle in service.
func (m *Model) disturbed() bool {
	for _, v := range m.st.Unplugged {
		if v {
			return true
		}
	}
	for _, v := range m.st.OpenLooms {
		if v {
			return true
		}
	}
	for _, ends := range m.st.Leads {
		if ends[0] != "" || ends[1] != "" {
			return true
		}
	}
	return false
}

func (m *Model) firstUnmarked() int {
	for i, v := range m.st.Marks {
		if v == 0 {
			return i
		}
	}
	return -1
}

// pointed reports whether the guidance points at a widget.
func (m *Model) pointed(id string) bool {
	for _, a := range m.advice.at {
		if a == id {
			return true
		}
	}
	return false
}

// pulseTime is for how many seconds the frame of the guidance moves after it went elsewhere.
const pulseTime = 2.4

// pulse is how far the frame of the guidance stands out, 0 to 1.
func (m *Model) pulse() float64 {
	t := m.now - m.moved
	if m.set.Calm || t >= pulseTime {
		return 0
	}
	return (0.5 - 0.5*math.Cos(t/pulseTime*6*math.Pi)) * (1 - t/pulseTime)
}

// moving reports whether something on the screen moves by itself.
func (m *Model) moving() bool {
	return !m.set.Calm && len(m.advice.at) > 0 && m.now-m.moved < pulseTime+0.05
}

// guideBar shows the guidance over the whole width and returns what is left.
func (p *pen) guideBar(r draw.Rect) draw.Rect {
	m := p.m
	if m.advice.text == "" {
		return r
	}
	p.part = partTop
	st := p.th.Text(p.th.Type.Body).As(draw.Bold)
	side := p.touch
	w := r.W - side - 34*p.k
	lines := draw.Wrap(m.advice.text, st.Face, st.Size, w)
	if p.form != wide && len(lines) > 2 { // large letters on a small screen: the bench needs the room
		st.Size = p.th.Type.Caption
		lines = draw.Wrap(m.advice.text, st.Face, st.Size, w)
	}
	if most := max(int(r.H*0.3/draw.LineHeight(st.Face, st.Size)), 1); len(lines) > most {
		lines = append(lines[:most-1], draw.Ellipsize(strings.Join(lines[most-1:], " "), st.Face, st.Size, w))
	}
	lh := draw.LineHeight(st.Face, st.Size)
	bar, rest := r.CutTop(max(float64(len(lines))*lh+8, side+4))
	p.l.Rect(bar, 0, p.th.AccentSoft, draw.Stroke{})
	p.l.Line(draw.Point{X: bar.X, Y: bar.MaxY()}, bar.Max(), draw.Pen(p.th.Accent, 1))
	c := draw.Point{X: bar.X + 15*p.k, Y: bar.Y + bar.H/2}
	p.th.Mark(p.l, c, 13*p.k, draw.Chosen)
	y := bar.Y + (bar.H-float64(len(lines))*lh)/2
	for _, s := range lines {
		p.line(draw.Rect{X: bar.X, Y: y, W: bar.W, H: lh}, bar.X+28*p.k, s, st.In(p.th.AccentDeep), bar)
		y += lh
	}
	p.button(draw.Rect{X: bar.MaxX() - side - 3, Y: bar.Y + (bar.H-side)/2, W: side, H: side},
		btn{id: "guide/hide", label: "×", say: "Hide the guidance", plain: true, act: func() { m.guide = false }})
	_, rest = rest.CutTop(1)
	return rest
}

// Pointed returns the id of the usable widget that the guidance points at, "" if there is none on the screen.
func (m *Model) Pointed() string {
	if m.frame == nil {
		return ""
	}
	for _, id := range m.advice.at {
		if w := m.frame.Find(id); w != nil && w.Enabled && w.Layer == m.frame.layer {
			return id
		}
	}
	return ""
}
