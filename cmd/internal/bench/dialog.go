package bench

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"
)

type dialogKind int

const (
	dialogSettings dialogKind = iota
	dialogClose               // really close the job?
	dialogPlaces              // which place? what is "find" or "repair"
	dialogKinds               // what is wrong with on?
	dialogRepairs             // which repair at on?
	dialogRepair              // really carry out what?
	dialogFuse                // which fuse into what?
	dialogDial                // the meter's dial
	dialogTrace               // the trace view, large
	dialogData                // what a control unit believes
	dialogRead                // the page what
	dialogDebrief             // the graded debrief
)

// dialog is a panel over the bench that has to be answered or left.
type dialog struct {
	kind dialogKind
	what string
	on   object
}

func (m *Model) open(d dialog) {
	if len(m.dialog) == 0 {
		m.focusBefore = m.focus
	}
	m.dialog = append(m.dialog, d)
	m.scroll[fmt.Sprintf("dialog/%d", len(m.dialog))] = 0
	m.focus, m.hover, m.dirty = "", "", true
}

func (m *Model) closeDialogs() {
	if len(m.dialog) > 0 {
		m.dialog, m.focus = nil, m.focusBefore
	}
	m.dirty = true
}

func (m *Model) openDebrief() {
	m.closeDialogs()
	m.armed, m.drag = nil, drag{}
	m.open(dialog{kind: dialogDebrief})
	m.askPar(mostAsked)
}

// showDialog draws one dialog.
func (p *pen) showDialog(d dialog, all draw.Rect) {
	m := p.m
	p.part = partDialog
	p.panel, p.clip = "", all
	k := p.k
	p.l.Rect(all, 0, p.th.Ink.WithAlpha(110), draw.Stroke{})
	w := 520 * k
	title, body := "", func(*column) {}
	h := all.H
	switch d.kind {
	case dialogSettings:
		title, body, w = "View", p.settings, 460*k
	case dialogClose:
		title, body, w = "Close the job?", p.confirmClose, 420*k
	case dialogPlaces:
		title, body = "Where is the cause?", func(c *column) { p.choosePlace(c, d.what) }
		if d.what == "repair" {
			title = "What is to be repaired?"
		}
	case dialogKinds:
		title, body = "What is wrong at "+d.on.place()+"?", func(c *column) { p.chooseKind(c, d.on) }
	case dialogRepairs:
		title, body = "Repairs at "+d.on.place(), func(c *column) { p.chooseRepair(c, d.on) }
	case dialogRepair:
		title, body, w = "Carry out this repair?", func(c *column) { p.confirmRepair(c, d.what) }, 440*k
	case dialogFuse:
		title, body, w = "Fit a fuse", func(c *column) { p.chooseFuse(c, d.what) }, 420*k
	case dialogDial:
		title, body, w = "The meter's dial", p.chooseDial, 320*k
	case dialogTrace:
		title, body, w = "Trace view", p.traceDialog, 720*k
	case dialogData:
		title, body, w = "Data list", p.dataList, 460*k
	case dialogRead:
		title, body, w = readTitles[d.what], func(c *column) { p.read(c, d.what) }, 640*k
	case dialogDebrief:
		title, body, w = "Debrief", p.debrief, 900*k
	}
	m.frameDialog(p, all, min(w, all.W), h, title, body)
}

// frameDialog draws the panel as high as its content needs, as far as there is room.
func (m *Model) frameDialog(p *pen, all draw.Rect, w, most float64, title string, body func(*column)) {
	id := fmt.Sprintf("dialog/%d", p.layer)
	full := w >= all.W-40
	margin := 20.0
	if full {
		w, margin = all.W, 0
	}
	st := p.th.Text(p.th.Type.Head).As(draw.Bold)
	lines := draw.Wrap(title, st.Face, st.Size, w-24*p.k-p.touch)
	lh := draw.LineHeight(st.Face, st.Size)
	head := max(p.touch, float64(len(lines))*lh) + 12
	long := m.dialogLong[p.layer]
	if long == 0 {
		long = 300 * p.k
	}
	h := min(long+head, most-2*margin)
	r := draw.Rect{X: (all.W - w) / 2, Y: (all.H - h) / 2, W: w, H: h}
	p.f.box = r
	p.l.Rect(r.Move(draw.Point{Y: 3}), p.th.Space.Radius, p.th.Shadow, draw.Stroke{})
	p.l.Rect(r, p.th.Space.Radius, p.th.Panel, draw.Pen(p.th.Edge, 1))
	top, rest := r.CutTop(head)
	in := top.InsetXY(12*p.k, 4)
	side := p.touch
	closing, in := in.CutRight(side)
	y := in.Y + (in.H-float64(len(lines))*lh)/2
	for _, s := range lines {
		p.line(draw.Rect{X: in.X, Y: y, W: in.W, H: lh}, in.X, s, st, top)
		y += lh
	}
	p.l.Line(draw.Point{X: r.X, Y: top.MaxY()}, draw.Point{X: r.MaxX(), Y: top.MaxY()}, draw.Pen(p.th.Hairline, 1))
	rest = rest.Inset(1)
	p.scroll(id, rest, func(c *column) {
		y := c.y
		body(c)
		c.gap(4)
		// Where the panel stands depends on its length, so that the length's last digits never come to rest.
		if need := c.y - y + p.th.Space.Pad*1.6 + 4; math.Abs(need-m.dialogLong[p.layer]) > 0.01 {
			m.dialogLong[p.layer] = need
			p.again = true
		}
	})
	p.button(draw.Rect{X: closing.X, Y: closing.Y + (closing.H-side)/2, W: side, H: side}, btn{id: "dialog/close", label: "×", say: "Close", plain: true, act: m.back})
}

func (p *pen) settings(c *column) {
	m := p.m
	c.label("Text size")
	var bs []btn
	for _, s := range textScales() {
		pc := itoa(int(s*100 + 0.5))
		bs = append(bs, btn{id: "text/" + pc, label: pc + " %", say: "Text size " + pc + " %", role: Choice, on: s == m.set.TextScale, act: func() {
			m.set.TextScale = s
			m.view = view{}
		}})
	}
	c.row(bs...)
	c.gap(6)
	c.label("Sounds and motion")
	c.row(
		btn{id: "sounds", label: map[bool]string{true: "Sounds off", false: "Sounds on"}[m.set.Mute], say: "Sounds", role: Toggle, on: !m.set.Mute, act: func() { m.set.Mute = !m.set.Mute }},
		btn{id: "motion", label: map[bool]string{true: "Motion reduced", false: "Motion as usual"}[m.set.Calm], say: "Reduce motion", role: Toggle, on: m.set.Calm, act: func() { m.set.Calm = !m.set.Calm }},
	)
	c.soft("What sounds also stands in words on the vehicle's panel.")
	c.gap(8)
	c.label("Keys")
	for _, s := range [][2]string{
		{"Tab, Enter", "go to the next thing, use it"},
		{"F6", "to the next part of the bench"},
		{"Arrows", "walk over the sheet"},
		{"R, B", "take the red or the black lead"},
		{"Esc", "step back"},
		{"+  −  0", "zoom the sheet, show all of it"},
		{"[  ]", "smaller and larger text"},
		{"?", "what to do next"},
	} {
		row := c.box(draw.LineHeight(draw.Regular, p.th.Type.Body))
		left, right := row.CutLeft(min(100*p.k, row.W*0.4))
		p.oneLine(left, s[0], p.th.Text(p.th.Type.Body).As(draw.Bold))
		p.oneLine(right, s[1], p.th.Text(p.th.Type.Body))
	}
	c.gap(8)
	c.full(btn{id: "done", label: "Done", main: true, act: m.back})
}

func (p *pen) confirmClose(c *column) {
	m := p.m
	c.body("Nothing can be done on this attempt after that. Then you see the debrief.")
	c.gap(6)
	for _, s := range m.openEnds() {
		c.para("• "+s, p.th.Text(p.th.Type.Body).In(p.th.Caution))
	}
	c.gap(8)
	c.row(
		btn{id: "close/no", label: "Not yet", act: m.back},
		btn{id: "close/yes", label: "Close the job", main: true, act: func() { m.do(attempt.Close{}) }},
	)
}

// openEnds names what is not as it should be left, as far as the person can know it.
func (m *Model) openEnds() []string {
	var out []string
	for _, id := range sortedKeys(m.st.Unplugged) {
		if m.st.Unplugged[id] {
			out = append(out, id+" is still unplugged.")
		}
	}
	for _, id := range sortedKeys(m.st.OpenLooms) {
		if m.st.OpenLooms[id] {
			out = append(out, "The loom is still open at "+id+".")
		}
	}
	for _, t := range m.job.Exercise.Tools {
		if ends := m.st.Leads[t]; ends[0] != "" || ends[1] != "" {
			out = append(out, "The "+t.Title()+" is still connected.")
		}
	}
	for _, ctl := range m.job.Harness.Controls {
		if len(ctl.Positions) > 0 && m.st.Controls[ctl.ID] != ctl.Positions[0] {
			out = append(out, join2(ctl.Title, ctl.ID)+" is still at “"+m.st.Controls[ctl.ID]+"”.")
		}
	}
	if m.st.Finding == "" {
		out = append(out, "No cause is declared.")
	}
	if len(m.st.Repairs) == 0 {
		out = append(out, "Nothing is repaired.")
	}
	if i := m.firstUnmarked(); i >= 0 {
		out = append(out, "Not every line of the check is marked since the last repair.")
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// choosePlace lists everything that can be at fault or be repaired.
func (p *pen) choosePlace(c *column, what string) {
	m := p.m
	c.soft("You can also choose the thing on the sheet; its card offers the same.")
	c.gap(4)
	h := m.job.Harness
	group := func(name string, os []object) {
		var bs []btn
		for _, o := range os {
			n := len(m.faultsOf(m.related(o)...))
			if what == "repair" {
				n = len(m.repairsOf(m.related(o)...))
			}
			if n == 0 {
				continue
			}
			d := dialog{kind: dialogKinds, on: o}
			if what == "repair" {
				d.kind = dialogRepairs
			}
			label := o.id
			if o.kind == "component" {
				label = m.title(o)
			}
			bs = append(bs, btn{id: what + "/" + o.kind + "/" + o.id, label: label, say: m.title(o), act: func() { m.open(d) }})
		}
		if len(bs) == 0 {
			return
		}
		c.label(name)
		c.flow(bs...)
		c.gap(5)
	}
	var os []object
	for _, x := range h.Connectors {
		if x.Component == "" { // a component's own plug is offered with the component
			os = append(os, object{"connector", x.ID})
		}
	}
	group("Connectors", os)
	os = nil
	for _, x := range h.Wires {
		os = append(os, object{"wire", x.ID})
	}
	group("Wires", os)
	os = nil
	for _, x := range h.Splices {
		os = append(os, object{"splice", x.ID})
	}
	group("Splices", os)
	os = nil
	for _, x := range h.Grounds {
		os = append(os, object{"ground", x.ID})
	}
	group("Ground points", os)
	os = nil
	for _, x := range h.Components {
		os = append(os, object{"component", x.ID})
	}
	group("Components", os)
}

// chooseKind lists what can be wrong with a thing, from the catalogue; what concerns the cavity that was chosen comes first.
func (p *pen) chooseKind(c *column, o object) {
	m := p.m
	list := m.faultsOf(m.related(o)...)
	if con := m.connector(o.id); o.kind == "connector" && con != nil {
		if cav := m.cavity(con); cav != "" {
			slices.SortStableFunc(list, func(a, b fault.Entry) int {
				return boolInt(inCavity(b, con.ID, cav)) - boolInt(inCavity(a, con.ID, cav))
			})
		}
	}
	group := ""
	for _, e := range list {
		if g := strings.TrimSuffix(e.Fault.Place, ".b"); g != group && !strings.HasPrefix(e.Fault.Place, "crimp ") || group == "" {
			group = g
			c.gap(4)
			c.label(upper(g))
		}
		f := e.Fault
		if f.Kind != fault.WrongRating {
			f.Severity = 0
		}
		text := f.String()
		c.full(btn{id: "kind/" + text, label: upper(e.Title), start: true, on: m.st.Finding == text, role: Choice, act: func() { m.do(attempt.Find{Fault: text}) }})
	}
}

// inCavity reports whether an entry concerns a cavity or a crimp in it.
func inCavity(e fault.Entry, connector, cavity string) bool {
	name := connector + "." + cavity
	_, place, _ := strings.Cut(e.Fault.Place, " ")
	return place == name || strings.HasPrefix(place, name+".")
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// chooseRepair lists what can be done to a thing.
func (p *pen) chooseRepair(c *column, o object) {
	m := p.m
	for _, r := range m.repairsOf(m.related(o)...) {
		text := r.String()
		c.full(btn{id: "do/" + text, label: m.book.RepairTitle(r), note: "takes " + m.cost(attempt.Repair{Repair: text}), start: true, act: func() { m.open(dialog{kind: dialogRepair, what: text}) }})
	}
}

// cost is the bench time of an action, in words.
func (m *Model) cost(act attempt.Action) string {
	return timeWords(attempt.Costs(m.job.Harness, m.st, act))
}

func (p *pen) confirmRepair(c *column, text string) {
	m := p.m
	c.para(m.repairTitle(text), p.th.Text(p.th.Type.Lead).As(draw.Bold))
	c.gap(4)
	c.body("It takes " + m.cost(attempt.Repair{Repair: text}) + " of bench time and cannot be undone.")
	if m.st.Finding == "" {
		c.para("No cause is declared yet.", p.th.Text(p.th.Type.Body).In(p.th.Caution))
	}
	c.gap(8)
	c.row(
		btn{id: "repair/no", label: "Not now", act: m.back},
		btn{id: "repair/yes", label: "Carry it out", main: true, act: func() { m.do(attempt.Repair{Repair: text}) }},
	)
}

func (m *Model) repairTitle(text string) string {
	r, err := fault.ParseRepair(text)
	if err != nil {
		return text
	}
	return m.book.RepairTitle(r)
}

// findingTitle is the finding for people.
func (m *Model) findingTitle() string {
	f, err := fault.Parse(m.st.Finding)
	if err != nil {
		return m.st.Finding
	}
	return upper(m.book.Title(f))
}

// fitting is the repair that the person's own finding asks for.
func (m *Model) fitting() (fault.Repair, bool) {
	f, err := fault.Parse(m.st.Finding)
	if m.st.Finding == "" || err != nil {
		return fault.Repair{}, false
	}
	r := m.book.RepairFor(f)
	if r.Verb == "" {
		return r, false
	}
	for _, done := range m.st.Repairs {
		if done == r.String() {
			return r, false
		}
	}
	return r, true
}

// blades are the ratings of blade fuses in amperes (ISO 8820-3), and large those of the large size.
func blades() []float64 { return []float64{3, 5, 7.5, 10, 15, 20, 25, 30} }
func large() []float64  { return []float64{20, 30, 40, 50, 60, 70, 80} }

func (p *pen) chooseFuse(c *column, connector string) {
	m := p.m
	con := m.connector(connector)
	comp := m.component(con.Component)
	right := 0.0
	ratings := blades()
	if comp != nil {
		right = comp.Spec.Values["rating"]
		if comp.Spec.Kind == "large-fuse" {
			ratings = large()
		}
	}
	c.body("Which rating goes into " + join(con.ID, con.Title) + "?")
	if right > 0 {
		c.soft("The diagram says " + number(right) + " A. A larger fuse does not protect the wire.")
	}
	c.gap(6)
	var bs []btn
	for _, a := range ratings {
		bs = append(bs, btn{id: "amps/" + number(a), label: number(a) + " A", say: "Fit a " + number(a) + " A fuse", act: func() { m.do(attempt.FitFuse{Connector: connector, Amps: a}) }})
	}
	c.flow(bs...)
}

func (p *pen) chooseDial(c *column) {
	m := p.m
	for _, f := range append([]meter.Function{meter.Off}, m.job.Exercise.Functions...) {
		w := dialWord(f)
		c.full(btn{id: "turn/" + string(f), label: w[0] + map[bool]string{true: "", false: "   " + functionWord(f)}[f == meter.Off || f == meter.Continuity], say: w[1], role: Choice, on: m.dialled() == f, act: func() {
			m.back()
			if m.dialled() != f {
				m.do(attempt.Dial{Function: f})
			}
		}})
	}
	c.gap(4)
	c.row(m.meterKeys("turn/")...)
}

var readTitles = map[string]string{"notes": "How the circuit works", "hints": "Testing hints", "symptoms": "Symptom guide"}

func (p *pen) read(c *column, page string) {
	h := p.m.job.Harness
	switch page {
	case "notes":
		for _, s := range h.Notes {
			c.body(s)
			c.gap(7)
		}
	case "hints":
		for _, s := range h.Hints {
			c.body("• " + s)
			c.gap(6)
		}
	case "symptoms":
		for _, s := range h.Symptoms {
			c.para(s.Seen, p.th.Text(p.th.Type.Body).As(draw.Bold))
			for _, t := range s.Think {
				c.body("• " + t)
			}
			c.gap(7)
		}
	}
	c.full(btn{id: "done", label: "Done", main: true, act: p.m.back})
}

// showTrouble says what went wrong with the connection; nothing that was shown as done is lost.
func (p *pen) showTrouble(all draw.Rect) {
	m := p.m
	p.part = partDialog
	p.panel, p.clip = "", all
	p.l.Rect(all, 0, p.th.Ink.WithAlpha(110), draw.Stroke{})
	m.frameDialog(p, all, min(460*p.k, all.W), all.H, "No answer", func(c *column) {
		c.body(upper(m.trouble) + ".")
		c.gap(4)
		if m.job != nil {
			c.body("Everything that the log shows is kept. The last thing you did may have to be done again.")
		}
		c.gap(8)
		var bs []btn
		if m.again != nil {
			again := m.again
			bs = append(bs, btn{id: "trouble/again", label: "Try again", main: true, act: func() { again() }})
		}
		bs = append(bs, btn{id: "trouble/leave", label: map[bool]string{true: "Leave it", false: "Close"}[m.again != nil], act: func() { m.trouble, m.again = "", nil }})
		c.row(bs...)
	})
}

func (p *pen) showWaiting(all draw.Rect) {
	text := "Waiting for the answer …"
	st := p.th.Text(p.th.Type.Body).In(p.th.OnCase)
	w := draw.Measure(text, st.Face, st.Size) + 24
	r := draw.Rect{X: (all.W - w) / 2, Y: 52 * p.k, W: w, H: st.Size * 2}
	p.l.Rect(r, r.H/2, p.th.Case, draw.Stroke{})
	p.oneLine(r, text, st.To(draw.Middle))
}
