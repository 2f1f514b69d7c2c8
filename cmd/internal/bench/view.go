package bench

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// view is how the sheet is looked at: a place s of the sheet is on the screen at s·zoom+off. own says that the person chose
// it; else it is fitted.
type view struct {
	zoom  float64
	off   draw.Point
	own   bool
	whole bool // fitted so that all of it is in sight, however small
}

const (
	idSheet  = "sheet"
	zoomStep = 1.25
	zoomMin  = 0.12 // the widest sheet is in sight as a whole on a phone
	zoomMax  = 4
	// zoomRead is the zoom at which the smallest lettering of the sheet is read with ease; zoomWhole the one at which it
	// still can be, if the whole sheet is seen for it.
	zoomRead  = 0.9
	zoomWhole = 0.72
)

func clampZoom(z float64) float64 { return min(max(z, zoomMin), zoomMax) }

// quantise puts a zoom on a step of a sixteenth of an octave, so that lettering is drawn at few sizes.
func quantise(z float64) float64 {
	return clampZoom(math.Pow(2, math.Round(math.Log2(z)*16)/16))
}

// fit chooses how to look at the sheet: all of it, but not so small that it cannot be read, then its top with the
// battery at a third of the width, as far as that leaves no margin beside the sheet.
func (m *Model) fit(r draw.Rect, all bool) {
	s := m.sheet.Size()
	if s.Empty() || r.Empty() {
		m.view = view{zoom: 1}
		return
	}
	z := min(r.W/s.W, r.H/s.H)
	if !all && z < zoomWhole {
		z = zoomRead
	}
	z = clampZoom(min(z, 1.6))
	off := r.Center().Sub(s.Center().Mul(z))
	if s.W*z > r.W {
		off.X = r.X - s.X*z
		if at, ok := m.supplyOnSheet(); ok {
			off.X = min(max(r.X+r.W/3-at.X*z, r.MaxX()-s.MaxX()*z), off.X)
		}
	}
	if s.H*z > r.H {
		off.Y = r.Y - s.Y*z
	}
	m.view = view{zoom: z, off: off, whole: all}
}

// supplyOnSheet is where the first battery's plus is on the sheet.
func (m *Model) supplyOnSheet() (draw.Point, bool) {
	for _, c := range m.job.Harness.Components {
		if c.Spec.Kind == "battery" {
			return m.sheet.WhereNow(harness.Point(c.ID+".30"), m.parting())
		}
	}
	return draw.Point{}, false
}

// zoomBy zooms by f, keeping what is at p where it is.
func (m *Model) zoomBy(f float64, p draw.Point) {
	if m.sheet == nil || m.view.zoom == 0 {
		return
	}
	z := quantise(m.view.zoom * f)
	if z == m.view.zoom { // a step of the wheel too small for a step of the zoom
		z = quantise(m.view.zoom * math.Pow(2, math.Copysign(1.0/16, math.Log2(f))))
	}
	on := p.Sub(m.view.off).Mul(1 / m.view.zoom)
	m.view = view{zoom: z, off: p.Sub(on.Mul(z)), own: true}
	m.clampView()
	m.dirty = true
}

func (m *Model) middle() draw.Point {
	if m.frame == nil {
		return draw.Point{}
	}
	return m.frame.sheet.Center()
}

// clampView keeps a piece of the sheet in sight.
func (m *Model) clampView() {
	if m.frame == nil || m.sheet == nil || m.frame.sheet.Empty() {
		return
	}
	r := m.frame.sheet
	s := m.sheet.Size()
	z := m.view.zoom
	keep := min(120, r.W/3, r.H/3)
	m.view.off.X = min(max(m.view.off.X, r.X+keep-s.MaxX()*z), r.MaxX()-keep-s.X*z)
	m.view.off.Y = min(max(m.view.off.Y, r.Y+keep-s.MaxY()*z), r.MaxY()-keep-s.Y*z)
}

// onScreen maps a place of the sheet to the screen.
func (m *Model) onScreen(p draw.Point) draw.Point { return p.Mul(m.view.zoom).Add(m.view.off) }

// onSheet maps a place of the screen to the sheet.
func (m *Model) onSheet(p draw.Point) draw.Point { return p.Sub(m.view.off).Mul(1 / m.view.zoom) }

func (m *Model) boxOnScreen(r draw.Rect) draw.Rect {
	a := m.onScreen(r.Min())
	return draw.Rect{X: a.X, Y: a.Y, W: r.W * m.view.zoom, H: r.H * m.view.zoom}
}

// pointOnScreen returns where a point is on the screen now; ok is false when the sheet is not shown or does not have it.
func (m *Model) pointOnScreen(p harness.Point) (at draw.Point, ok bool) {
	if m.sheet == nil || m.frame == nil || m.frame.sheet.Empty() {
		return at, false
	}
	q, ok := m.sheet.WhereNow(p, m.parting())
	if !ok {
		return at, false
	}
	return m.onScreen(q), true
}

// panTo brings a place of the sheet into sight.
func (m *Model) panTo(at draw.Point) {
	if m.frame == nil || m.frame.sheet.Empty() {
		return
	}
	// The zoom buttons stand at the right or, on a low sheet, along the bottom; the word about the lead in the hand is at the top.
	r := m.frame.sheet
	left, right := min(30, r.W/6), min(70, r.W/3)
	top, bottom := max(40, m.frame.hand.H+30), min(40, r.H/4)
	if a, b := m.frame.Find(zoomIDs[0]), m.frame.Find(zoomIDs[2]); a != nil && b != nil && a.Rect.Y == b.Rect.Y {
		bottom = r.MaxY() - a.Rect.Y + 16
	}
	top = min(top, r.H-bottom-20)
	r = draw.Rect{X: r.X + left, Y: r.Y + top, W: r.W - left - right, H: r.H - top - bottom}
	q := m.onScreen(at)
	d := draw.Point{X: max(r.X-q.X, 0) - max(q.X-r.MaxX(), 0), Y: max(r.Y-q.Y, 0) - max(q.Y-r.MaxY(), 0)}
	if d != (draw.Point{}) {
		m.view.off = m.view.off.Add(d)
		m.view.own = true
		m.dirty = true
	}
}

// ShowPoint pans the sheet so that a point is in sight, clear of what is laid over the sheet's rim.
func (m *Model) ShowPoint(p harness.Point) {
	if m.frame == nil || m.sheet == nil {
		return
	}
	if m.dirty {
		m.Frame(m.size)
	}
	if at, ok := m.sheet.WhereNow(p, m.parting()); ok {
		m.panTo(at)
	}
}
