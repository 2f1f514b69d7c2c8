package bench

import (
	"math"

	"faultloom/cmd/internal/draw"
)

// The parts of the screen, in the order of the keyboard.
const (
	partTop     = "top"
	partJob     = "job"
	partSheet   = "sheet"
	partTray    = "tray"
	partVehicle = "vehicle"
	partPlace   = "place"
	partBar     = "bar"
	partDialog  = "dialog"
)

// Frame returns the picture of the bench for a screen of that size in units (CSS pixels). It is built anew only when
// something changed; the Frame returned before is then no longer valid.
func (m *Model) Frame(size draw.Point) *Frame {
	if m.frame != nil && !m.dirty && size == m.size {
		return m.frame
	}
	if size != m.size {
		m.resized(size)
	}
	m.size = size
	// What is only known when all is placed (how far a panel can be scrolled, where the keyboard's widget came to lie)
	// may ask for another round; two settle it, and a bound keeps a mistake from hanging the screen.
	for range 4 {
		p := m.build(size)
		if !p.again && !m.bringIntoSight() && !m.bringCard() && !m.seekSuspects() {
			break
		}
	}
	m.reveal = ""
	m.dirty, m.overDirty = false, false
	m.over(m.frame)
	return m.frame
}

// OverDirty reports whether only what follows the pointer changed since the last Frame; Follow then renews it alone.
func (m *Model) OverDirty() bool { return m.overDirty && !m.dirty }

// Follow renews Frame.Over of the last frame.
func (m *Model) Follow() {
	if m.frame == nil {
		return
	}
	m.overDirty = false
	m.over(m.frame)
}

// Screen returns a picture of the bench and what can be used on it, at a size in units and a text scale of 1 to 2. It is
// Frame for callers that want a picture and no more.
func Screen(m *Model, size draw.Point, scale float64) (draw.List, []Widget) {
	if s := (Settings{TextScale: scale}).tidy().TextScale; s != m.set.TextScale {
		m.set.TextScale, m.dirty = s, true
	}
	f := m.Frame(size)
	return f.Base, f.Widgets
}

func (m *Model) resized(size draw.Point) {
	m.dirty = true
	if m.size.X > 0 && math.Abs(m.size.X-size.X) > 40 {
		m.view = view{}
	}
}

func (m *Model) build(size draw.Point) *pen {
	k := m.set.TextScale
	f := m.frame
	if f == nil {
		f = &Frame{}
		m.frame = f
	}
	f.Size = size
	f.Base.Reset()
	f.Widgets, f.panels, f.boxes = f.Widgets[:0], f.panels[:0], f.boxes[:0]
	f.sheet, f.tray, f.box, f.hand, f.layer = draw.Rect{}, draw.Rect{}, draw.Rect{}, draw.Rect{}, 0
	f.handles = map[leadEnd]draw.Point{}
	p := &pen{m: m, f: f, l: &f.Base, th: draw.Workshop().Scaled(k), k: k, touch: 32}
	fm := formOf(size, k)
	p.form, p.seenHidden = fm, fm != wide
	if fm == narrow || size.X < 620 {
		p.touch = 44
	}
	m.form = fm
	all := draw.Rect{W: size.X, H: size.Y}
	p.clip = all
	p.board(all, p.th.Desk)
	m.advice = m.advise()
	if m.advice.text != m.guideWas {
		m.guideWas, m.moved = m.advice.text, m.now
	}
	switch {
	case m.job == nil:
		p.choosing(all)
	case fm == wide:
		p.wideBench(all)
	case fm == split:
		p.splitBench(all)
	default:
		p.narrowBench(all)
	}
	if m.job != nil {
		p.cables()
		p.caption()
	}
	for i := range m.dialog {
		p.layer++
		f.layer = p.layer
		p.showDialog(m.dialog[i], all)
	}
	if m.trouble != "" {
		p.layer++
		f.layer = p.layer
		p.showTrouble(all)
	} else if m.waiting > 0 && m.now-m.since > slowAfter {
		p.showWaiting(all)
	}
	if f.Find(m.focus) == nil && m.focus != "" && !m.onTarget() {
		m.focus = ""
	}
	return p
}

// bringIntoSight scrolls so that the widget just focused can be seen; it reports whether anything moved.
func (m *Model) bringIntoSight() bool {
	w := m.frame.Find(m.reveal)
	if m.reveal == "" || w == nil || w.panel == "" || w.Role == Target && w.panel == idSheet {
		return false
	}
	for _, q := range m.frame.panels {
		if q.id != w.panel {
			continue
		}
		const margin = 10
		to := m.scroll[q.id]
		if over := w.full.MaxY() + margin - q.rect.MaxY(); over > 0 {
			to += over
		}
		if under := q.rect.Y + margin - w.full.Y; under > 0 {
			to -= under
		}
		to = min(max(to, 0), q.most)
		if math.Abs(to-m.scroll[q.id]) < 0.5 {
			return false
		}
		m.scroll[q.id] = to
		return true
	}
	return false
}

// wideBench shows everything side by side.
func (p *pen) wideBench(all draw.Rect) {
	k := p.k
	gap := 6.0
	top, rest := all.CutTop(46 * k)
	p.topBar(top)
	rest = p.guideBar(rest)
	_, rest = rest.CutTop(gap)
	rest = rest.InsetXY(gap, 0)
	rest.H -= gap
	// The side panels grow slowly with the screen; the sheet takes the rest.
	spare := max(0, rest.W/k-1268)
	job, rest := rest.CutLeft((292 + spare*0.14) * k)
	_, rest = rest.CutLeft(gap)
	right, mid := rest.CutRight((322 + spare*0.2) * k)
	mid, _ = mid.CutLeft(mid.W - gap)
	need := p.vehicleHeight(right.W)
	p.seenHidden = need > right.H-130*k || !p.m.object.none()
	p.jobCard(p.panelBox(job))

	trayH := p.trayHeight(mid.W)
	tray, sheet := mid.CutBottom(trayH)
	cap, sheet := sheet.CutBottom(p.captionHeight())
	p.sheetArea(sheet)
	p.words = cap
	p.tray(tray)

	h := min(need, right.H-130*k)
	if !p.m.object.none() { // the picture alone still shows and operates everything
		h = min(h, p.outlineHeight(right.W-24*k)+38*k)
	}
	vehicle, place := right.CutTop(h)
	_, place = place.CutTop(gap)
	p.vehicle(p.panelBox(vehicle))
	p.placeCard(p.panelBox(place))
}

// splitBench shows the sheet and one of the others beside it.
func (p *pen) splitBench(all draw.Rect) {
	k := p.k
	top, rest := all.CutTop(44 * k)
	p.topBar(top)
	rest = p.handBar(rest)
	gap := 6.0
	side, main := rest.CutRight(min(max(rest.W*0.42, 262*k), 420*k))
	main = main.InsetXY(gap, 0)
	strip, main := main.CutBottom(p.stripHeight(main.W))
	cap, main := main.CutBottom(p.captionHeight())
	p.sheetArea(main)
	p.words = cap
	p.strip(strip)
	bar, side := side.CutBottom(p.barHeight())
	side.W -= gap
	p.area(p.panelBox(side), m0(p.m.area, partJob, partVehicle, partTray, partPlace))
	p.bar(bar, []string{partJob, partVehicle, partTray, partPlace})
}

// narrowBench shows one part at a time, with the meter always in sight.
func (p *pen) narrowBench(all draw.Rect) {
	top, rest := all.CutTop(44 * p.k)
	p.topBar(top)
	rest = p.handBar(rest)
	bar, rest := rest.CutBottom(p.barHeight())
	strip, rest := rest.CutBottom(p.stripHeight(rest.W))
	a := m0(p.m.area, partJob, partSheet, partTray, partVehicle)
	if a == partSheet {
		card := draw.Rect{}
		if !p.m.object.none() {
			card, rest = rest.CutBottom(rest.H * 0.56)
			if rest.H-p.captionHeight() < leastSheet { // no room for both: the card, until it is closed
				card, rest = card.Union(rest), draw.Rect{}
			}
		}
		if cap, body := rest.CutBottom(p.captionHeight()); !body.Empty() {
			p.sheetArea(body)
			p.words = cap
		}
		if !card.Empty() {
			p.placeCard(p.panelBox(card))
		}
	} else {
		p.area(p.panelBox(rest), a)
	}
	p.strip(strip)
	p.bar(bar, []string{partJob, partSheet, partVehicle, partTray})
}

// leastSheet is the height below which a piece of the sheet is of no use.
const leastSheet = 100

// m0 returns want if it is one of have, else the first of them.
func m0(want string, have ...string) string {
	for _, h := range have {
		if h == want {
			return want
		}
	}
	return have[0]
}

// area shows one part alone.
func (p *pen) area(r draw.Rect, part string) {
	switch part {
	case partJob:
		p.jobCard(r)
	case partVehicle:
		p.vehicle(r)
	case partTray:
		p.trayTall(r)
	case partPlace:
		p.placeCard(r)
	}
}

// panelBox draws the ground of a panel and returns its inside.
func (p *pen) panelBox(r draw.Rect) draw.Rect {
	p.l.Rect(r, p.th.Space.Radius, p.th.Panel, draw.Pen(p.th.Hairline, 1))
	return r.Inset(1)
}

// barHeight is the height of the bar that switches between parts.
func (p *pen) barHeight() float64 { return max(52, 34*p.k) }

// bar switches between the parts on a small screen.
func (p *pen) bar(r draw.Rect, parts []string) {
	p.part = partBar
	p.board(r, p.th.Panel)
	p.l.Line(r.Min(), draw.Point{X: r.MaxX(), Y: r.Y}, draw.Pen(p.th.Edge, 1))
	names := map[string]string{partJob: "Job card", partSheet: "Sheet", partVehicle: "Vehicle", partTray: "Tray", partPlace: "Place"}
	now := p.m.area
	have := false
	for _, a := range parts {
		have = have || a == now
	}
	if !have {
		now = parts[0]
	}
	gap := 4.0
	w := (r.W - gap*float64(len(parts)+1)) / float64(len(parts))
	var labels []string
	for _, a := range parts {
		labels = append(labels, names[a])
	}
	size := p.tabSize(w, labels...)
	for i, a := range parts {
		q := draw.Rect{X: r.X + gap + float64(i)*(w+gap), Y: r.Y + gap, W: w, H: r.H - 2*gap}
		p.tab(q, size, btn{id: "area/" + a, label: names[a], role: Choice, on: a == now, act: func() { p.m.area = a }})
	}
}

// tabSize is the text size at which all labels fit on tabs of that width.
func (p *pen) tabSize(w float64, labels ...string) float64 {
	size := p.th.Type.Body
	for _, s := range labels {
		if wide := draw.Measure(s, draw.Bold, p.th.Type.Body); wide > w-4 {
			size = min(size, p.th.Type.Body*(w-4)/wide)
		}
	}
	return max(size, p.th.Type.Body*0.7)
}

// tab draws a button of a row of which one is chosen: the chosen one has a bar under it.
func (p *pen) tab(r draw.Rect, size float64, b btn) {
	w := p.add(Widget{ID: b.id, Label: b.name(), Role: Choice, Enabled: true, On: b.on, Hint: b.hint, Stop: true, act: b.act}, r)
	fill, ink, face := draw.Colour{}, p.th.InkSoft, draw.Regular
	if b.on {
		fill, ink, face = p.th.Paper, p.th.Ink, draw.Bold
	} else if p.m.hover == b.id {
		fill = p.th.AccentSoft
	}
	p.l.BeginGroup(b.id, b.name())
	p.l.Rect(r, p.th.Space.Radius, fill, draw.Stroke{})
	lines := draw.Wrap(b.label, face, size, r.W-2)
	lh := draw.LineHeight(face, size)
	y := r.Y + (r.H-float64(len(lines))*lh)/2
	for _, s := range lines {
		p.line(draw.Rect{X: r.X, Y: y, W: r.W, H: lh}, r.X+r.W/2, s, draw.TextStyle{Size: size, Face: face, Colour: ink, Align: draw.Middle}, r)
		y += lh
	}
	if b.on {
		p.l.Rect(draw.Rect{X: r.X + 6, Y: r.MaxY() - 4, W: r.W - 12, H: 3}, 1.5, p.th.Accent, draw.Stroke{})
	}
	p.l.EndGroup()
	p.ring(w, r)
}
