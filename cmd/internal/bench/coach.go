package bench

import (
	"fmt"

	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// coachLevel is how forward the coach is.
type coachLevel int

const (
	coachAsked  coachLevel = iota // answers when asked
	coachSilent                   // not there at all
	coachEach                     // says after every step what to test next
)

// mostSuspects is how many suspects the coach's page lists; all are hatched on the sheet.
const mostSuspects = 8

// coached reports whether there is a coach: in a drill that is still open.
func (m *Model) coached() bool {
	return m.job != nil && attempt.Mode(m.job.Exercise.Mode) == attempt.Drill && !m.st.Closed
}

// ask asks the coach.
func (m *Model) ask(topic string, p harness.Point) {
	m.page, m.area = "coach", m.besides("job")
	m.do(attempt.Ask{Topic: topic, Point: p})
}

// heed takes what the coach answered, or drops an answer that an action has made old.
func (m *Model) heed(act attempt.Action, r Reply) {
	if r.Coaching != nil {
		m.coaching, m.seek = r.Coaching, r.Coaching.Suspects
		return
	}
	switch act.(type) {
	case attempt.Ask, attempt.Mark, attempt.Study, attempt.Wait:
		return
	}
	m.coaching = nil
	if m.coach == coachEach && m.coached() && r.Observation.Refused == "" && len(m.queue) == 0 {
		m.do(attempt.Ask{Topic: attempt.AskNext})
	}
}

// seekSuspects brings the likeliest suspect of the coach's answer to the middle of the sheet where none is in sight, once the sheet is on the screen. It reports whether that
// moved the sheet.
func (m *Model) seekSuspects() bool {
	if len(m.seek) == 0 || m.sheet == nil || m.frame.sheet.Empty() || m.view.zoom == 0 {
		return false
	}
	list := m.seek
	m.seek = nil
	for _, s := range list {
		if at, ok := m.sheet.WhereSuspect(s.Place, m.parting()); ok && m.frame.sheet.Contains(m.onScreen(at)) {
			return false
		}
	}
	at, ok := m.sheet.WhereSuspect(list[0].Place, m.parting())
	if ok {
		m.view.off = m.view.off.Add(m.frame.sheet.Center().Sub(m.onScreen(at)))
		m.view.own = true
		m.clampView()
	}
	return ok
}

// shaded returns the suspects to hatch on the sheet: those of the coach's last answer.
func (m *Model) shaded() []sheet.Suspect {
	if m.coaching == nil || m.coach == coachSilent {
		return nil
	}
	return suspects(m.coaching.Suspects)
}

// suspects turns shares into what the sheet hatches.
func suspects(list []grading.Suspect) []sheet.Suspect {
	var out []sheet.Suspect
	for _, s := range list {
		label := ""
		if s.Share >= 0.01 {
			label = percent(s.Share)
		}
		out = append(out, sheet.Suspect{Place: s.Place, Value: s.Share, Label: label})
	}
	return out
}

func percent(share float64) string {
	if share > 0 && share < 0.01 {
		return "<1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// coachPage is where the coach is asked and answers.
func (p *pen) coachPage(c *column) {
	m := p.m
	c.head("Coach")
	if !m.coached() {
		c.soft("There is no coach in a graded exercise, nor once the job is closed.")
		return
	}
	c.soft("The coach knows what you have seen, and not what is wrong. That you asked will stand in the debrief.")
	c.gap(6)
	c.row(
		btn{id: "coach/silent", label: "Silent", on: m.coach == coachSilent, act: func() { m.coach, m.coaching = coachSilent, nil }},
		btn{id: "coach/asked", label: "Asked", say: "When asked", on: m.coach == coachAsked, act: func() { m.coach = coachAsked }},
		btn{id: "coach/each", label: "Always", say: "After every step", on: m.coach == coachEach, act: func() { m.coach = coachEach }},
	)
	if m.coach == coachSilent {
		return
	}
	c.gap(6)
	c.full(btn{id: "coach/suspects", label: "What do I know now?", act: func() { m.ask(attempt.AskSuspects, "") }})
	c.full(btn{id: "coach/next", label: "What would be a good next test?", act: func() { m.ask(attempt.AskNext, "") }})
	if at := m.point; at != "" {
		c.full(btn{id: "coach/reading", label: "What would red tell at " + string(at) + "?", act: func() { m.ask(attempt.AskReading, at) }})
	} else {
		c.soft("Choose a point on the sheet to ask what the red lead would tell there.")
	}
	if m.coaching != nil {
		c.rule()
		p.answer(c, m.coaching)
	}
}

// answer shows what the coach said.
func (p *pen) answer(c *column, a *grading.Coaching) {
	c.para(a.Text, p.th.Text(p.th.Type.Lead))
	if a.Next != nil && a.Next.Why != "" {
		c.gap(4)
		c.body(a.Next.Why)
	}
	for i, s := range a.Suspects {
		if i == mostSuspects {
			c.soft(fmt.Sprintf("and %d more places, all hatched on the sheet", len(a.Suspects)-i))
			break
		}
		c.gap(3)
		c.body(fmt.Sprintf("%s  %s", percent(s.Share), upper(s.Title)))
	}
	for i, o := range a.Outcomes {
		if i == 0 {
			c.gap(4)
			c.label("It may show")
		}
		c.gap(3)
		left := fmt.Sprintf("%d faults left", o.WouldLeave)
		switch {
		case o.WouldLeave == 1:
			left = "1 fault left"
		case o.Repairs == 1:
			left += ", one repair"
		}
		c.body(fmt.Sprintf("%s (%s): %s", upper(sheet.Reads(o.Reading)), percent(o.Share), left))
	}
}
