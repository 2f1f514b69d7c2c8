package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
)

// Mirror is the bench in words: for a screen reader, for tests that drive a window from outside, and for anyone who cannot
// see the picture.
type Mirror struct {
	Screen   string         `json:"screen"`             // "choice", "bench" or "debrief"
	Exercise string         `json:"exercise,omitempty"` // id
	Title    string         `json:"title"`
	Card     []string       `json:"card,omitempty"` // the job card
	Seen     []string       `json:"seen,omitempty"` // what is seen and heard on the vehicle now
	Readings []string       `json:"readings,omitempty"`
	Guide    string         `json:"guide,omitempty"`
	Event    string         `json:"event,omitempty"`  // what happened last
	Report   []string       `json:"report,omitempty"` // the debrief
	Trouble  string         `json:"trouble,omitempty"`
	Seq      int            `json:"seq"`
	Ticks    int64          `json:"ticks"`
	Busy     bool           `json:"busy"`
	Form     string         `json:"form"`
	Focus    string         `json:"focus,omitempty"`
	Widgets  []MirrorWidget `json:"widgets"`
	Points   []MirrorPoint  `json:"points,omitempty"` // where the sheet's points are on the screen
}

// MirrorWidget is a widget with its place in CSS pixels.
type MirrorWidget struct {
	ID      string  `json:"id"`
	Label   string  `json:"label"`
	Role    Role    `json:"role"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	W       float64 `json:"w"`
	H       float64 `json:"h"`
	Enabled bool    `json:"enabled"`
	On      bool    `json:"on,omitempty"`
	Hidden  bool    `json:"hidden,omitempty"`
	Stop    bool    `json:"stop,omitempty"`
	Hint    string  `json:"hint,omitempty"`
}

// MirrorPoint is where a point of the harness is on the screen.
type MirrorPoint struct {
	Point string  `json:"point"`
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	Seen  bool    `json:"seen"` // inside the sheet's window
	Ok    bool    `json:"ok"`   // a lead can reach it now
	Why   string  `json:"why,omitempty"`
}

// Mirror returns the bench in words, as of the last Frame. Only the widgets of the uppermost layer are in it: the
// others cannot be used.
func (m *Model) Mirror() Mirror {
	out := Mirror{Screen: "choice", Title: "Faultloom", Busy: m.Busy(), Trouble: m.trouble, Focus: m.focus, Widgets: []MirrorWidget{}}
	out.Form = map[form]string{wide: "wide", split: "split", narrow: "narrow"}[m.form]
	if m.frame != nil {
		for _, w := range m.frame.Widgets {
			if w.Layer != m.frame.layer {
				continue
			}
			out.Widgets = append(out.Widgets, MirrorWidget{w.ID, w.Label, w.Role, w.Rect.X, w.Rect.Y, w.Rect.W, w.Rect.H, w.Enabled, w.On, w.Hidden, w.Stop, w.Hint})
		}
	}
	if m.job == nil {
		return out
	}
	ex := m.job.Exercise
	out.Screen, out.Exercise, out.Title = "bench", ex.ID, ex.Title
	out.Seq, out.Ticks = m.st.Seq, m.st.Ticks
	out.Card = []string{"Complaint: " + ex.Complaint}
	if ex.VehicleState != "" {
		out.Card = append(out.Card, "State of the vehicle: "+ex.VehicleState)
	}
	out.Card = append(out.Card, "Stage: "+m.stage()+". Bench time: "+clockText(m.st.Ticks)+".")
	for i, line := range m.job.Harness.Check {
		mark := "not marked"
		if i < len(m.st.Marks) && m.st.Marks[i] != 0 {
			mark = map[bool]string{true: "marked good", false: "marked not good"}[m.st.Marks[i] > 0]
		}
		out.Card = append(out.Card, "Check line "+itoa(i+1)+": "+line.Text+" ("+mark+")")
	}
	if m.st.Finding != "" {
		out.Card = append(out.Card, "Finding: "+m.findingTitle())
	}
	for _, r := range m.st.Repairs {
		out.Card = append(out.Card, "Repair done: "+m.repairTitle(r))
	}
	for _, c := range m.job.Harness.Controls {
		out.Seen = append(out.Seen, join2(c.Title, c.ID)+" is at "+m.st.Controls[c.ID])
	}
	for _, c := range m.job.Harness.Components {
		if m.noticed(c.ID) {
			out.Seen = append(out.Seen, join2(c.Title, c.ID)+": "+sheet.Said(m.st.Effects[c.ID]))
		}
	}
	out.Seen = append(out.Seen, m.heard...)
	for _, t := range ex.Tools {
		s := upper(t.Title()) + ": " + m.toolWord(t)
		ends := m.st.Leads[t]
		for i, at := range ends {
			if at != "" {
				s += ", " + t.Ends()[i] + " at " + at
			}
		}
		out.Readings = append(out.Readings, s)
	}
	out.Guide = m.advice.text
	out.Event, _ = m.lastWords()
	if m.report != nil {
		out.Report = m.reportWords()
	}
	for _, d := range m.dialog {
		if d.kind == dialogDebrief {
			out.Screen = "debrief"
		}
	}
	if m.frame != nil && !m.frame.sheet.Empty() {
		for _, r := range m.st.Reach {
			if at, ok := m.pointOnScreen(r.Point); ok {
				out.Points = append(out.Points, MirrorPoint{string(r.Point), at.X, at.Y, m.pointShown(at), r.Ok, r.Why})
			}
		}
	}
	return out
}

// pointShown reports whether a place lies in the sheet's window with nothing over it.
func (m *Model) pointShown(at draw.Point) bool {
	if !m.frame.sheet.Contains(at) || m.frame.layer > 0 {
		return false
	}
	w := m.frame.At(at)
	return w == nil
}

func (m *Model) reportWords() []string {
	r := m.report
	out := []string{"Score: " + points(r.Score) + " of " + points(r.Of) + ". " + r.Verdict}
	if len(r.Cause) > 0 {
		out = append(out, "Cause: "+strings.Join(r.Cause, "; "))
	}
	for _, s := range r.Stages {
		out = append(out, upper(s.Name)+": "+points(s.Points)+" of "+points(s.Of))
		for _, i := range s.Items {
			out = append(out, sheet.Reads(i.Text))
		}
	}
	return append(append(out, r.Beside...), r.Next...)
}
