package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// jobCard holds the complaint, the check, the finding with the repairs, and the log, on four pages.
func (p *pen) jobCard(r draw.Rect) {
	m := p.m
	p.part = partJob
	tabs, body := r.CutTop(max(p.touch, 34*p.k))
	pages := []struct{ id, label, say string }{
		{"card", "Job", "Job card: the complaint"}, {"check", "Check", "Job card: the normal-operation check"},
		{"finding", "Finding", "Job card: finding and repairs"}, {"log", "Log", "Job card: the log"},
	}
	if m.coached() {
		pages = append(pages, struct{ id, label, say string }{"coach", "Coach", "Job card: the coach"})
	}
	w := tabs.W / float64(len(pages))
	size := p.tabSize(w, "Job", "Check", "Finding", "Log", "Coach")
	for i, g := range pages {
		q := draw.Rect{X: tabs.X + float64(i)*w, Y: tabs.Y, W: w, H: tabs.H}
		p.tab(q, size, btn{id: "page/" + g.id, label: g.label, say: g.say, on: m.page == g.id, act: func() { m.page = g.id }})
	}
	p.l.Line(draw.Point{X: r.X, Y: tabs.MaxY()}, draw.Point{X: r.MaxX(), Y: tabs.MaxY()}, draw.Pen(p.th.Hairline, 1))
	p.board(body, p.th.Paper)
	p.scroll("job/"+m.page, body, func(c *column) {
		switch m.page {
		case "check":
			p.checkPage(c)
		case "finding":
			p.findingPage(c)
		case "log":
			p.logPage(c)
		case "coach":
			p.coachPage(c)
		default:
			p.complaintPage(c)
		}
	})
}

func (p *pen) complaintPage(c *column) {
	m := p.m
	ex := m.job.Exercise
	h := m.job.Harness
	c.head(ex.Title)
	c.soft(h.Vehicle.Fleet + ", " + h.Vehicle.Title + ", " + h.Title)
	c.gap(8)
	c.label("The complaint")
	c.para("“"+strings.Trim(ex.Complaint, "\"“”")+"”", p.th.Text(p.th.Type.Lead))
	if ex.VehicleState != "" {
		c.gap(8)
		c.label("State of the vehicle")
		c.body(ex.VehicleState)
	}
	c.gap(10)
	c.full(btn{id: "to/check", label: "To the normal-operation check", main: m.stage() == attempt.StageConfirm && !m.st.Closed && !m.marked(), act: func() { m.page = "check" }})
	c.rule()
	c.label("To read up")
	var pages []btn
	add := func(id, label string, have bool) {
		if have {
			pages = append(pages, btn{id: "study/" + id, label: label, act: func() { m.study(id) }})
		}
	}
	add("notes", "How it works", len(h.Notes) > 0)
	add("hints", "Testing hints", len(h.Hints) > 0)
	add("symptoms", "Symptom guide", len(h.Symptoms) > 0)
	c.flow(pages...)
	c.rule()
	p.closing(c)
}

// marked reports whether any line of the check carries a mark.
func (m *Model) marked() bool {
	for _, v := range m.st.Marks {
		if v != 0 {
			return true
		}
	}
	return false
}

func (m *Model) study(page string) {
	m.open(dialog{kind: dialogRead, what: page})
	m.do(attempt.Study{Page: page})
}

// closing ends the job, or leads to the debrief once it is ended.
func (p *pen) closing(c *column) {
	m := p.m
	if m.st.Closed {
		c.body("The job is closed.")
		c.gap(4)
		c.full(btn{id: "debrief", label: "Read the debrief", main: true, act: m.openDebrief})
		return
	}
	c.full(btn{id: "close", label: "Close the job …", act: func() { m.open(dialog{kind: dialogClose}) }, hint: "ends the attempt and shows the graded debrief"})
}

func (p *pen) checkPage(c *column) {
	m := p.m
	h := m.job.Harness
	c.label("Normal-operation check")
	switch m.stage() {
	case attempt.StageConfirm:
		c.soft("Put the controls as each line says, look and listen, and mark what you find. Nothing is taken apart yet.")
	case attempt.StageRetest, attempt.StageRepair:
		c.soft("After a repair every line is run again.")
	default:
		c.soft("Marks of before stand until a repair is made.")
	}
	c.gap(6)
	for i, line := range h.Check {
		p.checkLine(c, i, line)
	}
	if len(h.Check) == 0 {
		c.body("This circuit has no check.")
	}
}

func (p *pen) checkLine(c *column, i int, line harness.CheckLine) {
	m := p.m
	mark := 0
	if i < len(m.st.Marks) {
		mark = m.st.Marks[i]
	}
	shown := i < len(m.st.Shown) && m.st.Shown[i]
	n := itoa(i + 1)
	now := m.lineNow() == i
	top := c.y
	x, w := c.x, c.w
	c.x, c.w = x+10*p.k, w-10*p.k
	c.gap(2)
	text := n + ". " + line.Text
	c.para(text, p.th.Text(p.th.Type.Body))
	c.gap(4)
	if now && p.seenHidden {
		c.soft("Now: " + m.seenNow() + ".")
		c.gap(3)
	}
	set := btn{id: "check/" + n + "/set", label: "Set controls", say: "Set the controls of line " + n, off: m.st.Closed, act: func() { m.setControls(i) }}
	if now {
		set.label, set.on, set.role = "Set now", true, Toggle
		set.hint = "the controls stand as this line says"
	}
	why := ""
	if !shown {
		why = "set the controls of this line first"
	}
	good := btn{id: "check/" + n + "/good", label: "Good", say: "Line " + n + " is good", role: Toggle, on: mark > 0, off: m.st.Closed || !shown, hint: why, act: func() { m.do(attempt.Mark{Line: i, Good: true}) }}
	bad := btn{id: "check/" + n + "/bad", label: "Not good", say: "Line " + n + " is not good", role: Toggle, on: mark < 0, off: m.st.Closed || !shown, hint: why, act: func() { m.do(attempt.Mark{Line: i, Good: false}) }}
	set.small, good.small, bad.small = true, true, true
	c.flow(set, good, bad)
	c.x, c.w = x, w
	tone := p.th.Hairline
	switch {
	case mark > 0:
		tone = p.th.Good
	case mark < 0:
		tone = p.th.Bad
	case now:
		tone = p.th.Accent
	}
	p.l.Rect(draw.Rect{X: x, Y: top, W: 4, H: c.y - top - 4}, 2, tone, draw.Stroke{})
	c.gap(9)
}

// seenNow is what is seen and heard on the vehicle, in one phrase; the word that most share is said once, of the rest.
func (m *Model) seenNow() string {
	const many = 3
	times, common := map[string]int{}, ""
	for _, c := range m.job.Harness.Components { // in the order of the harness, so that a draw is decided by it
		if w := sheet.Said(m.st.Effects[c.ID]); m.noticed(c.ID) {
			times[w]++
			if times[w] > times[common] {
				common = w
			}
		}
	}
	var out []string
	for _, c := range m.job.Harness.Components {
		w := sheet.Said(m.st.Effects[c.ID])
		if m.noticed(c.ID) && (w != common || times[w] < many) {
			out = append(out, strings.ToLower(join2(c.Title, c.ID)[:1])+join2(c.Title, c.ID)[1:]+" "+w)
		}
	}
	if times[common] >= many {
		out = append(out, map[bool]string{true: "all ", false: "the rest "}[len(out) == 0]+common)
	}
	return strings.Join(out, ", ")
}

// standsAs reports whether the controls stand as a line of the check asks: those it does not name at rest.
func (m *Model) standsAs(line harness.CheckLine) bool {
	for _, c := range m.job.Harness.Controls {
		if m.st.Controls[c.ID] != wanted(c, line) {
			return false
		}
	}
	return true
}

// lineNow returns the line of the check that the controls stand for, -1 for none. Of lines that ask for the same it is the one whose own
// button was used last; else the one to be marked next, or that before it, since the check is run from top to bottom.
func (m *Model) lineNow() int {
	h := m.job.Harness
	if m.line > 0 && m.line <= len(h.Check) && m.standsAs(h.Check[m.line-1]) {
		return m.line - 1
	}
	next := m.firstUnmarked()
	now := -1
	for i, line := range h.Check {
		if m.standsAs(line) && (now < 0 || next < 0 || i <= next) {
			now = i
		}
	}
	return now
}

func wanted(c harness.Control, line harness.CheckLine) string {
	for _, s := range line.Set {
		if s.Control == c.ID {
			return s.Position
		}
	}
	if len(c.Positions) == 0 {
		return ""
	}
	return c.Positions[0]
}

// setControls operates the controls one after the other until they stand as line i of the check says, in the order in which a person would.
func (m *Model) setControls(i int) {
	h := m.job.Harness
	from := make([]string, len(h.Controls))
	for k, c := range h.Controls {
		from[k] = m.st.Controls[c.ID]
	}
	var acts []attempt.Action
	for _, s := range h.Moves(from, h.Asked(h.Check[i])) {
		acts = append(acts, attempt.Operate{Control: s.Control, Position: s.Position})
	}
	m.do(acts...)
	m.line = i + 1
}

func (p *pen) findingPage(c *column) {
	m := p.m
	c.label("Finding")
	if m.st.Finding == "" {
		c.body("No cause declared yet.")
	} else {
		c.para(m.findingTitle(), p.th.Text(p.th.Type.Lead).As(draw.Bold))
	}
	c.gap(6)
	if !m.st.Closed {
		o := m.object
		if !o.none() && len(m.faultsOf(m.related(o)...)) > 0 {
			c.full(btn{id: "find/here", label: "The cause is at " + o.place() + " …", act: func() { m.open(dialog{kind: dialogKinds, on: o}) }})
		}
		label := "Declare the cause …"
		if m.st.Finding != "" {
			label = "Declare another cause …"
		}
		c.full(btn{id: "find", label: label, main: m.st.Finding == "" && m.stage() == attempt.StageIsolate && o.none(), act: func() { m.open(dialog{kind: dialogPlaces, what: "find"}) }})
	}
	c.rule()
	c.label("Repairs done")
	if len(m.st.Repairs) == 0 {
		c.body("None yet.")
	}
	for _, s := range m.st.Repairs {
		c.body("• " + m.repairTitle(s))
	}
	c.gap(6)
	if !m.st.Closed {
		if r, ok := m.fitting(); ok {
			c.full(btn{id: "repair/fitting", label: m.book.RepairTitle(r) + " …", main: true, act: func() { m.open(dialog{kind: dialogRepair, what: r.String()}) }})
		}
		c.full(btn{id: "repair", label: "Another repair …", act: func() { m.open(dialog{kind: dialogPlaces, what: "repair"}) }})
		c.gap(4)
		c.soft("After a repair put everything together again and run the whole check.")
	}
	c.rule()
	p.closing(c)
}

func (p *pen) logPage(c *column) {
	m := p.m
	c.label("Log")
	if len(m.st.Log) == 0 {
		c.body("Nothing done yet.")
	}
	stage := ""
	// Newest first: it is what one wants to see.
	for i := len(m.st.Log) - 1; i >= 0; i-- {
		e := m.st.Log[i]
		if e.Stage != stage {
			stage = e.Stage
			if stage != "" {
				c.gap(4)
				c.label(strings.ToUpper(stage))
			}
		}
		c.para(clockText(e.Ticks)+"  "+e.Did, p.th.Text(p.th.Type.Body))
		if e.Showed != "" {
			x, w := c.x, c.w
			c.x, c.w = x+12*p.k, w-12*p.k
			c.soft(sheet.Reads(e.Showed))
			c.x, c.w = x, w
		}
		c.gap(4)
	}
}
