//go:build e2e

package endtoend_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/bench"

	"github.com/stretchr/testify/require"
)

// screen is what a pointer works on: a page or a window, in units of the bench.
type screen interface {
	words() bench.Mirror
	press(x, y float64)    // presses and lets go at once
	roll(x, y, by float64) // scrolls what lies there; positive is down
	drag(fromX, fromY, toX, toY float64)
	shot(name string)
}

// pointer works a screen with a mouse or a finger.
type pointer struct {
	t *testing.T
	screen
	zoomsByWheel bool
	near         float64 // how far two points of the sheet must be apart to be hit surely, in units
	lift         float64 // how far below what it points at a dragging hand is
}

// use brings the control into sight and presses its middle.
func (p *pointer) use(id string) {
	p.t.Helper()
	w := p.still(id)
	p.press(w.X+w.W/2, w.Y+w.H/2)
}

// rest is how long a control must stay where it is before it is pressed: the words are brought up to date every tenth of a
// second, and nobody presses what has just moved.
const rest = 150 * time.Millisecond

// still brings the control into sight and waits until it moves no more.
func (p *pointer) still(id string) *bench.MirrorWidget {
	p.t.Helper()
	w := p.bring(id)
	for range 50 {
		time.Sleep(rest)
		next := p.bring(id)
		if next.X == w.X && next.Y == w.Y && next.W == w.W && next.H == w.H {
			return next
		}
		w = next
	}
	require.FailNow(p.t, "moves all the time", "%s", id)
	return nil
}

// bring scrolls until the control can be seen.
func (p *pointer) bring(id string) *bench.MirrorWidget {
	p.t.Helper()
	m := until(p.t, p, id+" can be used", func(m bench.Mirror) bool { w := find(m, id); return w != nil && w.Enabled })
	w := find(m, id)
	by := 90.0
	for n := 0; hidden(w); n++ {
		if n%20 == 19 {
			by = -by // it may be above
		}
		if n == 80 {
			p.shot("out-of-sight")
			require.FailNow(p.t, "cannot be scrolled into sight", "%s", id)
		}
		x, y := p.panel(m, id)
		p.roll(x, y, by)
		time.Sleep(150 * time.Millisecond)
		m = p.words()
		if w = find(m, id); w == nil {
			m = until(p.t, p, id+" is there again", func(m bench.Mirror) bool { return find(m, id) != nil })
			w = find(m, id)
		}
	}
	return w
}

// hidden reports whether too little of a control is in sight to press it.
func hidden(w *bench.MirrorWidget) bool { return w.Hidden || w.W < 8 || w.H < 12 }

// beside names, for controls that may all be out of sight at once, what else lies in their panel.
var beside = map[string]string{"control": "on", "wait": "on"}

// panel is a place in the panel that a hidden control is in: where another of its kind is or something else of the same panel,
// else the middle of the job card or of the screen.
func (p *pointer) panel(m bench.Mirror, id string) (x, y float64) {
	kind, _, _ := strings.Cut(id, "/")
	for _, kind := range [2]string{kind, beside[kind]} {
		for _, w := range m.Widgets {
			if other, _, _ := strings.Cut(w.ID, "/"); other == kind && !hidden(&w) && w.ID != id && kind != "page" {
				return w.X + w.W/2, w.Y + w.H/2
			}
		}
	}
	if tab := find(m, "page/check"); tab != nil {
		return tab.X + tab.W, tab.Y + tab.H + 120
	}
	shut := find(m, "dialog/close")
	require.NotNil(p.t, shut, "%s: no panel is known that it could be in", id)
	return shut.X - 60, shut.Y + shut.H + 60
}

func (p *pointer) takeLead(end int) {
	p.t.Helper()
	p.use(fmt.Sprintf("lead/multimeter/%d", end))
}

// dragLead drags a lead of the meter from where it hangs to a point.
func (p *pointer) dragLead(end int, name string) {
	p.t.Helper()
	lead := fmt.Sprintf("lead/multimeter/%d", end)
	q := p.reach(name)
	w := p.still(lead)
	p.drag(w.X+w.W/2, w.Y+w.H/2, q.X, q.Y+p.lift)
}

// touchPoint pans and zooms until the point can be hit surely, and presses it.
func (p *pointer) touchPoint(name string) {
	p.t.Helper()
	q := p.reach(name)
	p.press(q.X, q.Y)
}

// reach pans and zooms until the point can be hit surely.
func (p *pointer) reach(name string) *bench.MirrorPoint {
	p.t.Helper()
	for range 30 {
		m := until(p.t, p, "the sheet shows "+name, func(m bench.Mirror) bool { return spot(m, name) != nil && find(m, "sheet") != nil })
		q, s := spot(m, name), find(m, "sheet")
		if !q.Seen {
			p.pan(m, s, q)
			continue
		}
		if gap(m, q) < p.near {
			before := gap(m, q)
			if p.zoomsByWheel {
				p.roll(q.X, q.Y, -120)
			} else {
				p.use("zoom/in")
			}
			until(p.t, p, "it zooms", func(m bench.Mirror) bool { return gap(m, spot(m, name)) > before })
			continue
		}
		time.Sleep(rest)
		if now := spot(p.words(), name); now != nil && now.X == q.X && now.Y == q.Y {
			return q
		}
	}
	p.shot("no-such-point")
	require.FailNow(p.t, "cannot be brought into sight", "%s", name)
	return nil
}

func spot(m bench.Mirror, name string) *bench.MirrorPoint {
	for i := range m.Points {
		if m.Points[i].Point == name {
			return &m.Points[i]
		}
	}
	return nil
}

// gap is the distance to the nearest other point.
func gap(m bench.Mirror, q *bench.MirrorPoint) float64 {
	d := math.Inf(1)
	for i := range m.Points {
		if o := &m.Points[i]; o.Point != q.Point {
			d = min(d, math.Hypot(o.X-q.X, o.Y-q.Y))
		}
	}
	return d
}

// pan drags the sheet so that a point comes nearer to its middle.
func (p *pointer) pan(m bench.Mirror, s *bench.MirrorWidget, q *bench.MirrorPoint) {
	const edge = 24
	midX, midY := s.X+s.W*0.45, s.Y+s.H/2
	dx, dy := midX-q.X, midY-q.Y
	limit := func(v, most float64) float64 { return max(-most, min(v, most)) }
	dx, dy = limit(dx, s.W*0.6), limit(dy, s.H*0.6)
	// Begin at a place of the sheet where nothing can be taken hold of, and from where there is room to drag.
	bestX, bestY, best := midX, midY, -1.0
	for i := 1; i < 16; i++ {
		for j := 1; j < 16; j++ {
			x, y := s.X+s.W*float64(i)/16, s.Y+s.H*float64(j)/16
			if tx, ty := x+dx, y+dy; tx < s.X+edge || tx > s.X+s.W-edge || ty < s.Y+edge || ty > s.Y+s.H-edge {
				continue
			}
			free := 60.0
			for k := range m.Points {
				free = min(free, math.Hypot(m.Points[k].X-x, m.Points[k].Y-y))
			}
			for k := range m.Widgets {
				w := &m.Widgets[k]
				if w.ID != "sheet" && !strings.HasPrefix(w.ID, "at/") && x > w.X-4 && x < w.X+w.W+4 && y > w.Y-4 && y < w.Y+w.H+4 {
					free = -1
				}
			}
			if free > best {
				bestX, bestY, best = x, y, free
			}
		}
	}
	p.drag(bestX, bestY, bestX+dx, bestY+dy)
	time.Sleep(200 * time.Millisecond)
}
