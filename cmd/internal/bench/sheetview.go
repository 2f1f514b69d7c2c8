package bench

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// live is what the sheet shows besides the wiring.
func (m *Model) live() sheet.Live {
	v := sheet.Live{
		Theme:       draw.Workshop(),
		Unplugged:   m.st.Unplugged,
		OpenLooms:   m.st.OpenLooms,
		Positions:   m.st.Controls,
		Effects:     m.st.Effects,
		Fuses:       map[string]sheet.Fuse{},
		Unreachable: map[harness.Point]string{},
		Suspects:    m.shaded(),
		Seen:        m.seenPoints(),
	}
	for id, f := range m.st.Fuses {
		v.Fuses[id] = sheet.Fuse{Amps: f.Amps, Gone: !f.Fitted || m.st.Unplugged[id], Blown: f.Blown && f.Looked}
	}
	for _, r := range m.st.Reach {
		if !r.Ok {
			v.Unreachable[r.Point] = r.Why
		}
	}
	// The leads are drawn over the sheet, where their cables can go on to the tray.
	if t, ok := m.target(m.hover); ok {
		v.Hover = t
	}
	if t, ok := m.target(m.focus); ok && m.showRing {
		v.Focus = t
	} else if m.point != "" {
		if t, ok := m.target(targetPrefix + "point/" + string(m.point)); ok {
			v.Focus = t
		}
	} else if t, ok := m.target(m.cardTarget()); ok {
		v.Focus = t
	}
	return v
}

// sheetArea shows the sheet, panned and zoomed, with its buttons.
func (p *pen) sheetArea(r draw.Rect) {
	m := p.m
	p.part = partSheet
	p.l.Rect(r, p.th.Space.Radius, p.th.Paper, draw.Pen(p.th.Hairline, 1))
	r = r.Inset(1)
	p.f.sheet = r
	if !m.view.own {
		m.fit(p.besideZoom(r), m.view.whole)
	}
	focused := m.focus == idSheet && m.showRing
	p.add(Widget{ID: idSheet, Label: "Wiring sheet", Role: Sheet, Enabled: true, Hint: "arrow keys walk from place to place, Enter opens one or puts the lead there", Stop: true, act: m.enterSheet}, r)
	p.l.PushClip(r)
	p.l.PushTransform(m.view.zoom, m.view.off)
	m.sheet.Draw(p.l, m.live())
	p.l.PopTransform()
	// The targets, for assistive tools, tests and the keyboard.
	clip, panel := p.clip, p.panel
	p.clip, p.panel = r, idSheet
	seen := m.seenPoints()
	for _, t := range m.sheet.Targets() {
		hint := ""
		if why := m.unreachable(t); why != "" {
			hint = why
		}
		p.add(Widget{ID: targetID(t), Label: t.Label + after(", seen: ", seen[t.Point]), Role: Target, Enabled: true, Hint: hint, act: func() { m.chooseTarget(t) }}, m.boxOnScreen(t.Box))
		if m.pointed(targetID(t)) {
			p.pointAt(m.boxOnScreen(t.Box))
		}
	}
	p.clip, p.panel = clip, panel
	p.l.PopClip()
	if focused {
		p.l.Rect(r.Inset(1), p.th.Space.Radius, draw.Colour{}, draw.Pen(p.th.Focus, p.th.Space.Focus))
	}

	p.zoomButtons(r)
	if p.form == wide && m.armed != nil {
		w, h, _ := p.handSize(r.W - 8)
		p.inHand(draw.Rect{X: r.X + (r.W-w)/2, Y: r.Y + 4, W: w, H: h})
	}
}

// zoomIDs are the buttons on the sheet.
var zoomIDs = [...]string{"zoom/in", "zoom/out", "zoom/all"}

// zoomButtons stand in the lower right corner: one above the other, side by side where the sheet is low, not at all where
// there is no room (keys, wheel and fingers zoom too).
func (p *pen) zoomButtons(r draw.Rect) {
	m := p.m
	side, gap := p.touch, 4.0
	bs := []btn{
		{id: "zoom/in", label: "+", say: "Zoom in", act: func() { m.zoomBy(zoomStep, m.middle()) }},
		{id: "zoom/out", label: "−", say: "Zoom out", act: func() { m.zoomBy(1/zoomStep, m.middle()) }},
		{id: "zoom/all", label: "□", say: "Show the whole sheet", act: func() { m.view = view{whole: true} }},
	}
	long := 3*side + 2*gap
	q := draw.Rect{X: r.MaxX() - side - 6, Y: r.MaxY() - long - 6, W: side, H: side}
	step := draw.Point{Y: side + gap}
	switch {
	case r.H < lowSheet:
		return
	case r.H < long+lowSheet:
		q.X, q.Y, step = r.MaxX()-long-6, r.MaxY()-side-6, draw.Point{X: side + gap}
	}
	for _, b := range bs {
		p.button(q, b)
		q = q.Move(step)
	}
}

// lowSheet is the height from which a sheet has room for buttons beside what it shows.
const lowSheet = 120

// besideZoom is the part of the sheet's window that the zoom buttons leave free, or all of it where that would cost too much of it.
func (p *pen) besideZoom(r draw.Rect) draw.Rect {
	const most = 0.1 // of the width
	if strip := p.touch + 12; r.H >= 3*p.touch+lowSheet && strip <= most*r.W {
		r.W -= strip
	}
	return r
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

const targetPrefix = "at/"

var targetKinds = map[sheet.Kind]string{
	sheet.PointTarget: "point", sheet.ConnectorTarget: "connector", sheet.ComponentTarget: "component",
	sheet.SpliceTarget: "splice", sheet.GroundTarget: "ground", sheet.WireTarget: "wire", sheet.ControlTarget: "control",
}

// targetID is the widget id of a target of the sheet.
func targetID(t sheet.Target) string { return targetPrefix + targetKinds[t.Kind] + "/" + t.ID }

// pointOfID returns the point that a widget stands for, "" if it is none.
func pointOfID(id string) string {
	if p, ok := strings.CutPrefix(id, targetPrefix+"point/"); ok {
		return p
	}
	if p, ok := strings.CutPrefix(id, "face/"); ok {
		return p
	}
	return ""
}

// target finds the target of a widget id.
func (m *Model) target(id string) (sheet.Target, bool) {
	rest, ok := strings.CutPrefix(id, targetPrefix)
	word, name, found := strings.Cut(rest, "/")
	if m.sheet == nil || !ok || !found {
		return sheet.Target{}, false
	}
	for kind, w := range targetKinds {
		if w != word {
			continue
		}
		if i := m.sheet.Find(kind, name); i >= 0 {
			return m.sheet.Targets()[i], true
		}
	}
	return sheet.Target{}, false
}

func (m *Model) onTarget() bool {
	_, ok := m.target(m.focus)
	return ok
}

// targetAt returns what of the sheet is at a place of the screen. A finger is blunt: the nearest thing within its width counts.
func (m *Model) targetAt(at draw.Point, touch bool) (sheet.Target, bool) {
	if m.sheet == nil {
		return sheet.Target{}, false
	}
	// A lead in the hand is for points: they are taken from further away than other things.
	if m.forPoint() {
		if p, ok := m.pointNear(at, touch); ok {
			return m.target(targetPrefix + "point/" + string(p))
		}
	}
	reach := 9.0
	if touch {
		reach = 22
	}
	return m.sheet.Pick(m.onSheet(at), m.parting(), reach/m.view.zoom)
}

// forPoint reports whether a lead is in the hand that goes to a point.
func (m *Model) forPoint() bool {
	switch {
	case m.drag.kind == dragLead:
		return m.drag.lead.tool.Grip() == meter.AtPoint
	case m.armed != nil:
		return m.armed.tool.Grip() == meter.AtPoint
	}
	return false
}

// parting is as much of what happens on the harness as decides where its points are drawn.
func (m *Model) parting() sheet.Live { return sheet.Live{Unplugged: m.st.Unplugged} }

// pointNear returns the point nearest to a place of the screen, within what a mouse or a finger means.
func (m *Model) pointNear(at draw.Point, touch bool) (harness.Point, bool) {
	if m.sheet == nil || m.view.zoom == 0 {
		return "", false
	}
	reach := 16.0
	if touch {
		reach = 26
	}
	return m.sheet.NearestPoint(m.onSheet(at), m.parting(), reach/m.view.zoom)
}

// unreachable returns why no lead can touch a target now, "" if one can or it is no point.
func (m *Model) unreachable(t sheet.Target) string {
	if t.Kind != sheet.PointTarget {
		return ""
	}
	if r, ok := m.reach[t.Point]; ok && !r.Ok {
		return r.Why
	}
	return ""
}

// walkSheet moves the keyboard to the next target in a direction.
func (m *Model) walkSheet(dir draw.Point) {
	ts := m.sheet.Targets()
	if len(ts) == 0 {
		return
	}
	cur, ok := m.target(m.focus)
	if !ok {
		m.focusTarget(m.firstInSight(ts))
		return
	}
	next := -1
	switch {
	case dir.X < 0:
		next = cur.Left
	case dir.X > 0:
		next = cur.Right
	case dir.Y < 0:
		next = cur.Up
	case dir.Y > 0:
		next = cur.Down
	}
	if next >= 0 && next < len(ts) {
		m.focusTarget(ts[next])
	}
}

func (m *Model) firstInSight(ts []sheet.Target) sheet.Target {
	for _, t := range ts {
		if t.Kind != sheet.WireTarget && m.frame.sheet.Contains(m.onScreen(t.At)) {
			return t
		}
	}
	return ts[0]
}

// focusTarget puts the keyboard on a target and pans it into sight.
func (m *Model) focusTarget(t sheet.Target) {
	m.focus, m.showRing, m.dirty = targetID(t), true, true
	m.panTo(t.At)
}

// enterSheet uses the target that the keyboard is on.
func (m *Model) enterSheet() {
	if t, ok := m.target(m.focus); ok {
		m.chooseTarget(t)
		return
	}
	m.walkSheet(draw.Point{})
}

// chooseTarget is a click on a target: with a lead in the hand it goes there, else the card opens.
func (m *Model) chooseTarget(t sheet.Target) {
	m.dirty = true
	m.note = note{}
	if m.armed != nil {
		if at := m.aimed(m.armed.tool, t); at != "" {
			m.put(*m.armed, at)
			return
		}
	}
	if t.Kind == sheet.PointTarget {
		m.openCard(m.objectOf(t.Point), t.Point)
		return
	}
	if t.Kind == sheet.ControlTarget {
		m.area = partVehicle
		return
	}
	m.openCard(object{targetKinds[t.Kind], t.ID}, "")
}

// openCard opens the card of a thing, at one of its points if one is given.
func (m *Model) openCard(o object, at harness.Point) {
	if o.none() {
		return
	}
	if o != m.object {
		m.scroll["place"] = 0
	}
	m.object, m.point, m.dirty = o, at, true
	m.bring = true
	if m.form == split {
		m.area = partPlace
	}
}

// bringCard pans the sheet so that the thing whose card was opened stays in sight beside it; it reports whether it moved.
func (m *Model) bringCard() bool {
	if !m.bring || m.sheet == nil {
		return false
	}
	m.bring = false
	was := m.view
	if at, ok := m.sheet.WhereNow(m.point, m.parting()); m.point != "" && ok {
		m.panTo(at)
	} else if t, ok := m.target(m.cardTarget()); ok {
		m.panTo(t.At)
	}
	return m.view != was
}

func (m *Model) closeCard() {
	if !m.object.none() {
		m.object, m.point, m.dirty = object{}, "", true
		if m.area == partPlace {
			m.area = partJob
		}
	}
}

// cardTarget is the widget id of the target whose card is open.
func (m *Model) cardTarget() string {
	if m.object.none() {
		return ""
	}
	return targetPrefix + m.object.kind + "/" + m.object.id
}

// showSheet makes sure that the sheet is on the screen.
func (m *Model) showSheet() {
	if m.form == narrow && m.area != partSheet {
		m.area = partSheet
	}
	m.dirty = true
}

// besides returns the part to show when something of part changed, on a screen that shows few at a time.
func (m *Model) besides(part string) string {
	if m.form == wide {
		return m.area
	}
	return part
}
