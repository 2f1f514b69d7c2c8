package bench

import "faultloom/cmd/internal/draw"

// column sets things one below the other.
type column struct {
	p       *pen
	x, y, w float64
}

func (c *column) gap(h float64) { c.y += h * c.p.k }

// para sets a paragraph.
func (c *column) para(s string, st draw.TextStyle) {
	if s == "" {
		return
	}
	c.y += c.p.text(draw.Point{X: c.x, Y: c.y}, s, c.w, st)
}

// body sets running text, soft second-rank text, head a heading.
func (c *column) body(s string) { c.para(s, c.p.th.Text(c.p.th.Type.Body)) }
func (c *column) soft(s string) { c.para(s, c.p.th.Soft(c.p.th.Type.Caption)) }
func (c *column) head(s string) {
	c.para(s, c.p.th.Text(c.p.th.Type.Lead).As(draw.Bold))
	c.gap(2)
}

// label sets a small heading.
func (c *column) label(s string) {
	c.para(s, c.p.th.Soft(c.p.th.Type.Caption).As(draw.Bold))
	c.gap(2)
}

func (c *column) rule() {
	c.gap(7)
	c.p.l.Line(draw.Point{X: c.x, Y: c.y}, draw.Point{X: c.x + c.w, Y: c.y}, draw.Pen(c.p.th.Hairline, 1))
	c.gap(8)
}

// box takes h units of height and returns the place.
func (c *column) box(h float64) draw.Rect {
	r := draw.Rect{X: c.x, Y: c.y, W: c.w, H: h}
	c.y += h
	return r
}

// between is the room between neighbours.
func (c *column) between() float64 { return 6 * c.p.k }

// full sets one button over the whole width.
func (c *column) full(b btn) {
	c.p.button(c.box(c.p.height(b, c.w)), b)
	c.y += c.between()
}

// row sets buttons side by side, equally wide; on several rows when their labels would not fit on one.
func (c *column) row(bs ...btn) {
	n := len(bs)
	if n == 0 {
		return
	}
	gap := c.between()
	widest := 0.0
	for _, b := range bs {
		widest = max(widest, c.p.width(b))
	}
	per := n
	for per > 1 && (c.w-gap*float64(per-1))/float64(per) < widest {
		per--
	}
	// Even rows look better than a full one with a rest.
	rows := (n + per - 1) / per
	per = (n + rows - 1) / rows
	w := (c.w - gap*float64(per-1)) / float64(per)
	for i := 0; i < n; i += per {
		some := bs[i:min(i+per, n)]
		h := 0.0
		for _, b := range some {
			h = max(h, c.p.height(b, w))
		}
		for j, b := range some {
			c.p.button(draw.Rect{X: c.x + float64(j)*(w+gap), Y: c.y, W: w, H: h}, b)
		}
		c.y += h + gap
	}
}

// flow sets buttons side by side at the width they like, on as many rows as it takes.
func (c *column) flow(bs ...btn) {
	gap := c.between()
	x := c.x
	h := 0.0
	start := 0
	type placed struct {
		r draw.Rect
		b btn
	}
	var row []placed
	flush := func() {
		for _, q := range row {
			q.r.H = h
			c.p.button(q.r, q.b)
		}
		if len(row) > 0 {
			c.y += h + gap
		}
		row, x, h = row[:0], c.x, 0
	}
	for i, b := range bs {
		w := min(c.p.width(b), c.w)
		if i > start && x+w > c.x+c.w {
			flush()
			start = i
		}
		row = append(row, placed{draw.Rect{X: x, Y: c.y, W: w}, b})
		h = max(h, c.p.height(b, w))
		x += w + gap
	}
	flush()
}

// scroll shows a column in r that can be longer than r is high.
func (p *pen) scroll(id string, r draw.Rect, f func(c *column)) {
	pad := p.th.Space.Pad * 0.8
	off := p.m.scroll[id]
	clip, panel := p.clip, p.panel
	p.clip, p.panel = r.Intersect(p.clip), id
	p.l.PushClip(r)
	c := &column{p: p, x: r.X + pad, y: r.Y + pad - off, w: r.W - 2*pad}
	f(c)
	p.l.PopClip()
	p.clip, p.panel = clip, panel
	long := c.y + off - r.Y + pad*0.5
	most := max(0, long-r.H)
	if most < 1 {
		most = 0
	}
	if off > most {
		p.m.scroll[id] = most
		p.again = true
	}
	p.f.panels = append(p.f.panels, panelArea{id, r, most, p.layer})
	if most > 0 {
		h := max(r.H*r.H/long, 24)
		y := r.Y + (r.H-h)*off/most
		bar := draw.Rect{X: r.MaxX() - 6, Y: y + 2, W: 4, H: h - 4}
		p.l.Rect(bar, 2, p.th.Edge, draw.Stroke{})
		if off < most-2 { // there is more: the edge is shaded
			for i := range 3 {
				p.l.Rect(draw.Rect{X: r.X, Y: r.MaxY() - float64(i+1)*3, W: r.W - 8, H: 3}, 0, p.th.Shadow.WithAlpha(uint8(26-8*i)), draw.Stroke{})
			}
		}
	}
}
