package robot

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// limb is one thing on the sheet that current goes through between two points.
type limb struct {
	place string // "wire 31b", "cavity X1.3", "ring G1.31b", "ground G1", "component K1"
	a, b  harness.Point
}

// word and name are the two parts of a limb's place.
func (l limb) word() string { w, _, _ := strings.Cut(l.place, " "); return w }
func (l limb) name() string { _, n, _ := strings.Cut(l.place, " "); return n }

// passes is the difference in volts up to which two terminals of a healthy part count as joined.
const passes = 0.3

// What a limb weighs in looking for the way of the current: through a load only where there is no other way.
const (
	plainWay = 1
	lossyWay = 50
	loadWay  = 500
)

// sheet is the wiring diagram as a technician reads it in one stance of the controls.
type sheet struct {
	h      *hand
	stance stance
	limbs  []limb
	cost   []float64
	at     map[harness.Point][]int
	volts  map[harness.Point]float64 // the good readings against the battery's negative post
	plus   harness.Point
	minus  harness.Point
}

// sheet draws the sheet in a stance. The healthy vehicle is left as it was: what units remember of one stance is not to be there when another
// is thought of.
func (h *hand) sheet(s stance) (*sheet, error) {
	was := h.good.Snapshot()
	defer func() { h.err = first(h.err, h.good.Restore(was)) }()
	sh := &sheet{h: h, stance: s, at: map[harness.Point][]int{}, volts: map[harness.Point]float64{}}
	sh.plus, sh.minus, _ = h.h.Supply()
	h.good.Rest()
	if err := h.good.MoveAll(s); err != nil {
		return nil, err
	}
	if err := h.good.Dwell(harness.CheckSeconds); err != nil {
		return nil, err
	}
	low := h.good.Volts(sh.minus)
	for _, p := range h.h.Points() {
		sh.volts[p] = h.good.Volts(p) - low
	}
	for _, w := range h.h.Wires {
		from, to := h.h.Ends(w)
		sh.add("wire "+w.ID, from, to, plainWay)
	}
	for _, c := range h.h.Connectors {
		for _, cav := range c.Cavities {
			sh.add("cavity "+c.ID+"."+cav.Number, harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b"), plainWay)
		}
	}
	for _, info := range h.h.Infos() {
		switch info.Kind {
		case harness.GroundRing:
			sh.add("ring "+string(info.Point), info.Point, harness.Point(info.Ground), plainWay)
		case harness.PostRing:
			sh.add("ring "+string(info.Point), info.Point, harness.Point(info.Component+"."+info.Terminal), plainWay)
		case harness.GroundStud:
			sh.add("ground "+string(info.Point), info.Point, harness.Body, plainWay)
		}
	}
	for _, c := range h.h.Components {
		sh.part(c, s)
	}
	return sh, nil
}

func (sh *sheet) add(place string, a, b harness.Point, cost float64) {
	k := len(sh.limbs)
	sh.limbs, sh.cost = append(sh.limbs, limb{place, a, b}), append(sh.cost, cost)
	sh.at[a], sh.at[b] = append(sh.at[a], k), append(sh.at[b], k)
}

// part adds the ways through a component.
func (sh *sheet) part(c harness.Component, s stance) {
	if c.Spec.Kind == "battery" {
		return
	}
	pin := func(t string) harness.Point { return sh.h.h.Terminal(c.ID, t) }
	place := "component " + c.ID
	if len(c.Spec.Positions) > 0 {
		for _, p := range c.Spec.Positions {
			if p.Name != sh.h.position(c, s) {
				continue
			}
			for _, j := range p.Joins {
				sh.add(place, pin(j[0]), pin(j[1]), plainWay)
			}
		}
		return
	}
	for i, t := range c.Spec.Terminals {
		for _, u := range c.Spec.Terminals[i+1:] {
			p, q := pin(t), pin(u)
			if p == "" || q == "" {
				continue
			}
			cost := float64(lossyWay)
			if math.Abs(sh.volts[p]-sh.volts[q]) < passes {
				cost = plainWay
			}
			switch {
			case c.Spec.Kind == "relay":
				if t == "85" || u == "85" || t == "86" || u == "86" || cost != plainWay || t != "30" && u != "30" {
					continue
				}
			case sh.h.notices(c.ID):
				cost = loadWay
			}
			sh.add(place, p, q, cost)
		}
	}
}

// position is where a component's switch stands.
func (h *hand) position(c harness.Component, s stance) string {
	id := c.Control
	if id == "" {
		id = c.ID
	}
	for i, k := range h.h.Controls {
		if k.ID == id {
			return s[i]
		}
	}
	return ""
}

// notices reports whether a line of the check looks at a component.
func (h *hand) notices(component string) bool {
	for _, l := range h.h.Check {
		for _, e := range l.Expect {
			if e.Component == component {
				return true
			}
		}
	}
	return false
}

// way returns the limbs from a point to another by the cheapest way that avoids a component, nil when there is none.
func (sh *sheet) way(from, to harness.Point, avoid string) []limb {
	dist := map[harness.Point]float64{from: 0}
	via := map[harness.Point]int{}
	done := map[harness.Point]bool{}
	order := []harness.Point{from}
	for {
		var p harness.Point
		best := math.Inf(1)
		for _, q := range order {
			if !done[q] && dist[q] < best {
				p, best = q, dist[q]
			}
		}
		if math.IsInf(best, 1) {
			return nil
		}
		if p == to {
			break
		}
		done[p] = true
		for _, k := range sh.at[p] {
			l := sh.limbs[k]
			if l.place == "component "+avoid {
				continue
			}
			q := l.a
			if q == p {
				q = l.b
			}
			d, known := dist[q]
			if !known {
				order = append(order, q)
			}
			if !known || best+sh.cost[k] < d {
				dist[q], via[q] = best+sh.cost[k], k
			}
		}
	}
	var out []limb
	for p := to; p != from; {
		l := sh.limbs[via[p]]
		if l.b != p {
			l.a, l.b = l.b, l.a
		}
		out = append(out, l)
		p = l.a
	}
	slices.Reverse(out)
	return out
}

// chain is the way of the current through one load: from the battery to it, itself, and back.
type chain struct {
	load   string
	in     harness.Point // of the load
	out    harness.Point
	feed   []limb // from the battery's positive post to in
	ground []limb // from out to the battery's negative post
}

// chainOf finds the way of the current through a component between two of its terminals.
func (sh *sheet) chainOf(component string) (chain, bool) {
	c := sh.h.component(component)
	if c == nil {
		return chain{}, false
	}
	ch := chain{load: component}
	terminals := c.Spec.Terminals
	if c.Spec.Kind == "relay" {
		terminals = []string{"86", "85"}
	}
	for _, t := range terminals {
		p := sh.h.h.Terminal(component, t)
		if p == "" {
			continue
		}
		if ch.in == "" || sh.volts[p] > sh.volts[ch.in] {
			ch.in = p
		}
		if ch.out == "" || sh.volts[p] <= sh.volts[ch.out] {
			ch.out = p
		}
	}
	ch.feed, ch.ground = sh.way(sh.plus, ch.in, component), sh.way(ch.out, sh.minus, component)
	return ch, ch.in != ch.out && len(ch.feed) > 0 && len(ch.ground) > 0
}

// points lists the points along limbs, both ends included.
func points(limbs []limb) []harness.Point {
	var out []harness.Point
	for i, l := range limbs {
		if i == 0 {
			out = append(out, l.a)
		}
		out = append(out, l.b)
	}
	return out
}
