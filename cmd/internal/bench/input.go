package bench

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Kind says what happened.
type Kind int

// The kinds of events.
const (
	Press   Kind = iota // a button or a finger goes down
	Move                // it moves, or the pointer does with nothing down
	Release             // it goes up
	Cancel              // the system took it away
	Wheel               // the wheel turned, or a touchpad scrolled
	KeyDown
)

// Event is one thing that a person did, in the order it was done. At is in units of the screen.
type Event struct {
	Kind  Kind
	At    draw.Point
	ID    int        // of the pointer: 0 is the mouse, fingers have others
	Touch bool       // a finger, which is blunt
	By    draw.Point // Wheel: how far to scroll in units, down and right positive
	Key   string     // KeyDown: as browsers name it, "Enter", "ArrowLeft", "+", "r"
	Shift bool
	Ctrl  bool // or the command key
}

// slop is how far, in units, a pointer may move before a press becomes a drag.
const (
	slopMouse = 4
	slopTouch = 10
)

// liftTouch is how far above a finger the lead that it drags is shown, so that its tip can be seen.
const liftTouch = 36

type dragKind int

const (
	dragNone  dragKind = iota
	dragPress          // on a widget
	dragPan            // the sheet
	dragRoll           // a panel
	dragLead           // an end of an instrument
	dragPinch          // two fingers on the sheet
)

// drag is what the pointer holds.
type drag struct {
	kind   dragKind
	id     int
	touch  bool
	from   draw.Point
	at     draw.Point
	moved  bool
	widget string
	panel  string
	roll0  float64
	view0  view
	lead   leadEnd
	// A second finger.
	id2   int
	at2   draw.Point
	from2 draw.Point
}

// Handle takes one event. Events are to be given in order and none may be left out.
func (m *Model) Handle(e Event) {
	if m.frame == nil {
		return
	}
	if m.dirty {
		m.Frame(m.size) // a click means what is where it is now
	}
	switch e.Kind {
	case Press:
		m.press(e)
	case Move:
		m.move(e)
	case Release:
		m.release(e)
	case Cancel:
		if m.drag.kind != dragNone {
			m.drag = drag{}
			m.dirty = true
		}
	case Wheel:
		m.wheel(e)
	case KeyDown:
		m.key(e)
	}
}

func (m *Model) press(e Event) {
	if m.drag.kind != dragNone {
		if m.drag.kind == dragPan && e.Touch && e.ID != m.drag.id {
			m.drag.kind, m.drag.id2, m.drag.at2, m.drag.from2 = dragPinch, e.ID, e.At, e.At
			m.drag.from, m.drag.view0, m.drag.moved = m.drag.at, m.view, true
		}
		return
	}
	m.showRing = false
	d := drag{id: e.ID, touch: e.Touch, from: e.At, at: e.At, view0: m.view}
	d.panel = m.panelAt(e.At)
	d.roll0 = m.scroll[d.panel]
	w := m.frame.At(e.At)
	switch {
	case w != nil && w.Role == Lead && w.Enabled:
		d.kind, d.widget, d.lead = dragLead, w.ID, leadOf(w.ID)
	case w != nil:
		d.kind, d.widget = dragPress, w.ID
	case m.frame.layer == 0 && m.frame.sheet.Contains(e.At):
		d.kind = dragPan
		if end, ok := m.tipAt(e.At, e.Touch); ok && m.armed == nil {
			d.kind, d.lead, d.widget = dragLead, end, ""
		}
	case d.panel != "":
		d.kind = dragRoll
	case m.frame.layer > 0:
		d.kind = dragPress // beside the dialog: closes it
	default:
		return
	}
	m.drag = d
	m.dirty = true
}

func (m *Model) move(e Event) {
	d := &m.drag
	if d.kind == dragNone {
		m.hoverAt(e)
		return
	}
	if d.kind == dragPinch && e.ID == d.id2 {
		d.at2 = e.At
		m.pinch()
		return
	}
	if e.ID != d.id {
		return
	}
	d.at = e.At
	slop := float64(slopMouse)
	if d.touch {
		slop = slopTouch
	}
	if !d.moved && d.from.Dist(e.At) <= slop {
		return
	}
	first := !d.moved
	d.moved = true
	switch d.kind {
	case dragPress:
		if d.panel != "" && m.canRoll(d.panel) && math.Abs(e.At.Y-d.from.Y) > math.Abs(e.At.X-d.from.X) {
			d.kind = dragRoll
			m.dirty = true
		}
	case dragLead:
		if first {
			m.armed = nil
			m.showSheet()
		}
		m.overDirty = true
	case dragPan:
		m.view = d.view0
		m.view.off = m.view.off.Add(e.At.Sub(d.from))
		m.view.own = true
		m.clampView()
		m.dirty = true
	case dragPinch:
		m.pinch()
	}
	if d.kind == dragRoll {
		m.rollTo(d.panel, d.roll0-(e.At.Y-d.from.Y))
	}
}

// pinch zooms and pans so that what was under the two fingers stays there.
func (m *Model) pinch() {
	d := &m.drag
	was, is := d.from.Dist(d.from2), d.at.Dist(d.at2)
	if was < 1 || is < 1 {
		return
	}
	mid0, mid1 := d.from.Lerp(d.from2, 0.5), d.at.Lerp(d.at2, 0.5)
	z := clampZoom(d.view0.zoom * is / was)
	on := mid0.Sub(d.view0.off).Mul(1 / d.view0.zoom)
	m.view.zoom, m.view.off, m.view.own = z, mid1.Sub(on.Mul(z)), true
	m.clampView()
	m.dirty = true
}

func (m *Model) release(e Event) {
	d := m.drag
	if d.kind == dragPinch && (e.ID == d.id || e.ID == d.id2) {
		m.drag = drag{}
		return
	}
	if d.kind == dragNone || e.ID != d.id {
		return
	}
	m.drag = drag{}
	m.dirty = true
	switch {
	case d.kind == dragLead && d.moved:
		at := e.At
		if d.touch && m.frame.sheet.Contains(at) {
			at.Y -= liftTouch
		}
		m.drop(d.lead, at, d.touch)
	case d.kind == dragLead:
		m.takeUp(d.lead)
		m.focus = d.widget
	case d.kind == dragPress && d.widget == "":
		if w := m.frame.At(e.At); w == nil && m.panelAt(e.At) == "" && !m.frame.box.Contains(e.At) {
			m.back()
		}
	case d.kind == dragPress:
		if w := m.frame.Find(d.widget); w != nil && w.Rect.Inset(-6).Contains(e.At) {
			m.focus = w.ID
			if w.actAt != nil && w.Enabled {
				w.actAt(e.At)
				return
			}
			m.Press(w.ID)
		}
	case d.kind == dragPan && !d.moved:
		m.focus = idSheet
		if t, ok := m.targetAt(e.At, e.Touch); ok {
			m.chooseTarget(t)
		} else if m.armed == nil {
			m.closeCard()
		}
	}
}

// Press does what the widget of that id does, as if it had been clicked, and reports whether it could be.
func (m *Model) Press(id string) bool {
	if m.frame == nil {
		return false
	}
	if m.dirty {
		m.Frame(m.size)
	}
	w := m.frame.Find(id)
	if w == nil || !w.Enabled || w.act == nil || w.Layer != m.frame.layer {
		return false
	}
	m.dirty = true
	w.act()
	return true
}

// Focus puts the keyboard on a widget and scrolls it into sight.
func (m *Model) Focus(id string) {
	if m.frame == nil || m.frame.Find(id) == nil {
		return
	}
	m.focus, m.showRing, m.dirty = id, true, true
	m.reveal = id
}

func (m *Model) hoverAt(e Event) {
	if e.Touch {
		return
	}
	id := ""
	if w := m.frame.At(e.At); w != nil {
		id = w.ID
	} else if m.frame.layer == 0 && m.frame.sheet.Contains(e.At) {
		if t, ok := m.targetAt(e.At, false); ok {
			id = targetID(t)
		}
	}
	m.pointer = e.At
	if m.hover == idVehicle { // its picture lights what the pointer is on
		m.dirty = true
	}
	if id != m.hover {
		m.hover, m.dirty = id, true
	}
}

func (m *Model) wheel(e Event) {
	if m.frame.layer == 0 && m.frame.sheet.Contains(e.At) && m.frame.At(e.At) == nil {
		if e.Shift {
			m.view.off.X -= e.By.Y + e.By.X
			m.view.own = true
			m.clampView()
			m.dirty = true
			return
		}
		// Notches and touchpads differ widely in how far they say they went.
		m.zoomBy(math.Pow(2, -max(min(e.By.Y, 240), -240)/480), e.At)
		return
	}
	if id := m.panelAt(e.At); id != "" {
		m.rollTo(id, m.scroll[id]+e.By.Y)
	}
}

// panelAt returns the scrolling panel under p in the uppermost layer, "" if there is none.
func (m *Model) panelAt(p draw.Point) string {
	for i := len(m.frame.panels) - 1; i >= 0; i-- {
		q := m.frame.panels[i]
		if q.layer == m.frame.layer && q.rect.Contains(p) {
			return q.id
		}
	}
	return ""
}

func (m *Model) canRoll(panel string) bool {
	for _, q := range m.frame.panels {
		if q.id == panel {
			return q.most > 0
		}
	}
	return false
}

func (m *Model) rollTo(panel string, to float64) {
	for _, q := range m.frame.panels {
		if q.id == panel {
			to = min(max(to, 0), q.most)
			if to != m.scroll[panel] {
				m.scroll[panel] = to
				m.dirty = true
			}
			return
		}
	}
}

// drop lets go of a lead that was dragged.
func (m *Model) drop(end leadEnd, at draw.Point, touch bool) {
	if m.frame.sheet.Contains(at) {
		if p, ok := m.pointNear(at, touch); ok && end.tool.Grip() == meter.AtPoint {
			m.put(end, p)
			return
		}
		if t, ok := m.targetAt(at, touch); ok {
			m.armed = &end
			m.chooseTarget(t)
			return
		}
	}
	if w := m.frame.At(at); w != nil && w.Role == Target {
		if p := harness.Point(pointOfID(w.ID)); p != "" && end.tool.Grip() == meter.AtPoint {
			m.put(end, p)
			return
		}
	}
	m.lift(end)
}

// Cursor says what shape the mouse pointer should have: "default", "pointer" over what can be clicked, "grab" over a lead,
// "grabbing" while something is held, "crosshair" with a lead in the hand.
func (m *Model) Cursor() string {
	switch {
	case m.frame == nil:
	case m.drag.kind == dragLead || m.drag.kind == dragPan && m.drag.moved:
		return "grabbing"
	case m.hover == "":
		if m.armed != nil && m.frame.layer == 0 {
			return "crosshair"
		}
	default:
		w := m.frame.Find(m.hover)
		switch {
		case w == nil || !w.Enabled:
		case w.Role == Lead:
			return "grab"
		case m.armed != nil && w.Role == Target:
			return "crosshair"
		default:
			return "pointer"
		}
	}
	return "default"
}
