package bench

import (
	"fmt"

	"faultloom/cmd/internal/draw"
)

// choosing is the first screen: what there is to do.
func (p *pen) choosing(all draw.Rect) {
	m, k := p.m, p.k
	p.part = partJob
	w := min(all.W, 760*k)
	r := draw.Rect{X: (all.W - w) / 2, W: w, H: all.H}
	if w < all.W {
		p.l.Rect(r, 0, p.th.Panel, draw.Pen(p.th.Hairline, 1))
	} else {
		p.board(r, p.th.Panel)
	}
	p.scroll("choice", r, func(c *column) {
		c.gap(6)
		head := c.box(max(p.touch, 34*k))
		b := btn{id: "settings", label: "View", act: func() { m.open(dialog{kind: dialogSettings}) }}
		bw := p.width(b)
		right, left := head.CutRight(bw)
		p.oneLine(left, "Faultloom", p.th.Text(p.th.Type.Title).As(draw.Bold))
		c.gap(4)
		c.body("Find the electrical fault, as you would on the vehicle. Take a job.")
		c.gap(10)
		if !m.listed {
			if m.trouble == "" {
				c.soft("Fetching the jobs …")
			}
			p.button(right, b)
			return
		}
		if len(m.list) == 0 {
			c.body("There are no exercises.")
		}
		first := -1
		for i, e := range m.list {
			if e.Open {
				first = i
				break
			}
			if first < 0 && !e.Done {
				first = i
			}
		}
		p.fleet(c)
		group := ""
		for i, e := range m.list {
			if g := e.Fleet + "  " + e.Harness; g != group {
				group = g
				c.gap(6)
				c.label(g)
			}
			label := e.Title
			note := ""
			switch {
			case e.Open:
				note = "under way: take it up again"
			case e.Done && e.Of > 0:
				note = fmt.Sprintf("done, best %.0f of %.0f points", e.Best, e.Of)
			case e.Done:
				note = "done"
			case e.Minutes > 0:
				note = fmt.Sprintf("about %.0f minutes of bench time", e.Minutes)
			}
			if e.Mode == "graded" {
				note += "; graded"
			}
			if i == first && !e.Open {
				if note != "" {
					note += " — "
				}
				note += "start here"
			}
			mark := draw.Colour{}
			b := btn{id: "start/" + e.ID, label: label, note: note, start: true, main: i == first, mark: mark, act: func() { m.start(e.ID, false) }}
			switch {
			case e.Open: // an attempt under way can also be given up for a new one
				p.pair(c, b, btn{id: "fresh/" + e.ID, label: "Start afresh", say: "Start afresh: " + e.Title, small: true, act: func() { m.start(e.ID, true) }})
			case e.Done:
				p.pair(c, b, btn{id: "again/" + e.ID, label: "Debrief", say: "Debrief of the last attempt: " + e.Title, small: true, act: func() { m.show(e.ID) }})
			default:
				c.full(b)
			}
		}
		c.gap(10)
		c.soft("A simulator teaches a method, not a vehicle. On a real one follow its maker's procedure, local codes and your workshop's rules; some work needs a licensed person.")
		p.button(right, b)
	})
}

// fleet offers the vehicles by themselves where the list is long: each leads to the first of its jobs.
func (p *pen) fleet(c *column) {
	const long = 12
	m := p.m
	if len(m.list) <= long {
		return
	}
	var bs []btn
	seen := ""
	for _, e := range m.list {
		if e.Fleet == seen {
			continue
		}
		seen = e.Fleet
		first := "start/" + e.ID
		bs = append(bs, btn{id: "fleet/" + e.Fleet, label: e.Fleet, say: "To the jobs on " + e.Fleet + ", " + e.Harness, small: true, act: func() {
			if w := m.frame.Find(first); w != nil {
				const above = 34 // the vehicle's name stands above its jobs
				m.scroll["choice"] = max(0, m.scroll["choice"]+w.full.Y-above*p.k)
				m.dirty = true
			}
		}})
	}
	if len(bs) > 1 {
		c.flow(bs...)
	}
}

// pair sets a wide button and a small one beside it, or below where there is no room.
func (p *pen) pair(c *column, b, small btn) {
	w := p.width(small)
	if w > c.w*0.4 {
		c.full(b)
		c.full(small)
		return
	}
	row := c.box(p.height(b, c.w-w-6))
	c.y += c.between()
	right, left := row.CutRight(w)
	left.W -= 6
	p.button(left, b)
	p.button(right, small)
}
