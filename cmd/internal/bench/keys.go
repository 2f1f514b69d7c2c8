package bench

import (
	"faultloom/cmd/internal/draw"
	"faultloom/sim/meter"
)

// key does what a key means. Everything that the mouse can do has a key:
//
//	Tab, Shift+Tab       to the next and previous thing that can be used
//	Enter, Space         use it
//	arrow keys           walk over the sheet; in a panel, the same as Tab
//	Escape               put the lead back, close the dialog or the card
//	+ - 0                zoom the sheet, show all of it
//	[ ]                  smaller and larger text
//	r b                  take up the meter's red or black lead
//	F6                   to the next part of the bench
//	?                    what to do next
//	Page Up, Page Down   scroll the part that the keyboard is in
func (m *Model) key(e Event) {
	if e.Ctrl {
		return
	}
	m.dirty = true
	switch e.Key {
	case "Tab":
		m.showRing = true
		step := 1
		if e.Shift {
			step = -1
		}
		m.walk(step)
	case "Enter", " ":
		m.showRing = true
		if m.focus == idSheet || m.onTarget() {
			m.enterSheet()
			return
		}
		m.Press(m.focus)
	case "Escape":
		m.back()
	case "ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown":
		m.showRing = true
		m.arrow(e.Key)
	case "+", "=":
		m.zoomBy(zoomStep, m.middle())
	case "-":
		m.zoomBy(1/zoomStep, m.middle())
	case "0":
		m.view = view{whole: true}
	case "[":
		m.scaleText(-1)
	case "]":
		m.scaleText(1)
	case "r", "R":
		m.takeUpKey(0)
	case "b", "B":
		m.takeUpKey(1)
	case "F6":
		m.showRing = true
		m.nextPart()
	case "?":
		m.guide = !m.guide
	case "PageUp", "PageDown":
		m.page1(e.Key == "PageDown")
	}
}

func (m *Model) takeUpKey(end int) {
	if m.job == nil || m.frame.layer > 0 || m.st.Closed {
		return
	}
	for _, t := range m.job.Exercise.Tools {
		if t == meter.Multimeter {
			m.takeUp(leadEnd{t, end})
			m.showRing = true
			m.focus = idSheet
			return
		}
	}
}

// stops returns the widgets at which Tab stops, in order.
func (m *Model) stops() []*Widget {
	var out []*Widget
	for i := range m.frame.Widgets {
		if w := &m.frame.Widgets[i]; w.Stop && w.Enabled && w.Layer == m.frame.layer {
			out = append(out, w)
		}
	}
	return out
}

func (m *Model) walk(step int) {
	stops := m.stops()
	if len(stops) == 0 {
		return
	}
	at := m.focus
	if m.onTarget() {
		at = idSheet
	}
	i := -1
	for k, w := range stops {
		if w.ID == at {
			i = k
		}
	}
	switch {
	case i < 0 && step < 0:
		i = len(stops) - 1
	case i < 0:
		i = 0
	default:
		i = (i + step + len(stops)) % len(stops)
	}
	m.Focus(stops[i].ID)
}

// nextPart moves the keyboard to the first thing in the next part of the screen.
func (m *Model) nextPart() {
	stops := m.stops()
	if len(stops) == 0 {
		return
	}
	part := func(w *Widget) string { return w.part }
	at := ""
	for _, w := range stops {
		if w.ID == m.focus || m.onTarget() && w.ID == idSheet {
			at = part(w)
		}
	}
	seen := false
	for k := range 2 * len(stops) {
		w := stops[k%len(stops)]
		if part(w) == at {
			seen = true
			continue
		}
		if seen || at == "" {
			m.Focus(w.ID)
			return
		}
	}
}

// arrow walks over the sheet, or to the nearest thing in that direction.
func (m *Model) arrow(key string) {
	dir := map[string]draw.Point{"ArrowLeft": {X: -1}, "ArrowRight": {X: 1}, "ArrowUp": {Y: -1}, "ArrowDown": {Y: 1}}[key]
	if m.focus == idSheet || m.onTarget() {
		m.walkSheet(dir)
		return
	}
	from := m.frame.Find(m.focus)
	if from == nil {
		m.walk(1)
		return
	}
	best, dist := "", 0.0
	a := from.full.Center()
	for _, w := range m.stops() {
		if w.ID == from.ID || w.part != from.part {
			continue
		}
		d := w.full.Center().Sub(a)
		ahead := float64(d.X*dir.X) + float64(d.Y*dir.Y)
		aside := float64(d.X*dir.Y) - float64(d.Y*dir.X)
		if aside < 0 {
			aside = -aside
		}
		if ahead < 2 {
			continue
		}
		if c := ahead + 2*aside; best == "" || c < dist {
			best, dist = w.ID, c
		}
	}
	if best != "" {
		m.Focus(best)
	}
}

func (m *Model) page1(down bool) {
	id := ""
	if w := m.frame.Find(m.focus); w != nil {
		id = w.panel
	}
	if id == "" {
		for _, q := range m.frame.panels {
			if q.layer == m.frame.layer && q.most > 0 {
				id = q.id
			}
		}
	}
	for _, q := range m.frame.panels {
		if q.id != id {
			continue
		}
		by := q.rect.H * 0.85
		if !down {
			by = -by
		}
		m.rollTo(id, m.scroll[id]+by)
		return
	}
}

// back steps back from whatever was begun last.
func (m *Model) back() {
	m.dirty = true
	switch {
	case m.drag.kind != dragNone:
		m.drag = drag{}
	case len(m.dialog) > 0:
		m.dialog = m.dialog[:len(m.dialog)-1]
		m.focus = m.focusBefore
	case m.armed != nil:
		m.armed = nil
	case m.note.text != "":
		m.note = note{}
	case !m.object.none():
		m.closeCard()
	}
}

func (m *Model) scaleText(step int) {
	scales := textScales()
	i := 0
	for k, s := range scales {
		if s <= m.set.TextScale+1e-9 {
			i = k
		}
	}
	i = min(max(i+step, 0), len(scales)-1)
	m.set.TextScale = scales[i]
	m.view = view{}
	m.dirty = true
}
