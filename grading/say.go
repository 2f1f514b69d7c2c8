package grading

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// advice puts a test into actions and words.
func (s *search) advice(o *option) (*Advice, error) {
	l := s.p.lab
	r := &route{
		actions: slices.Clone(o.s.plan.actions), course: o.s.plan.course.Clone(),
		seconds: o.s.plan.seconds, later: o.s.plan.later,
	}
	what := "see what the vehicle does"
	switch {
	case o.s.hand != nil:
		what = handWords(o.s.hand) + " and see what the vehicle does"
	case o.m >= 0:
		l.probe(r, o.s.menu[o.m])
		what = l.measureWords(o.s.menu[o.m])
	case o.place >= 0:
		r.add(attempt.Inspect{Place: o.s.inspect[o.place]})
		what = "look closely at " + l.placeWords(o.s.inspect[o.place])
	}
	a := &Advice{Actions: r.actions, Line: -1, Bits: round2(o.bits), Minutes: round2(r.minutes())}
	a.Text = capital(what) + l.stanceWords(o.s.stance) + "."
	a.Outcomes = s.outcomes(o)
	a.Why = why(a.Outcomes, len(s.p.standing()))
	return a, nil
}

// heap is what is left when a test shows one of the things that it may show.
type heap struct {
	reading string
	weight  float64
	entries []int
}

// outcomes lists what a test may show, likeliest first.
func (s *search) outcomes(o *option) []Outcome {
	var heaps []heap
	if o.place >= 0 {
		row := o.s.sights[o.place]
		for n, seen := range o.s.shown {
			h := heap{reading: list(seen)}
			for i, sus := range s.suspects {
				if row[i] == n {
					h.add(sus)
				}
			}
			heaps = append(heaps, h)
		}
	} else {
		heaps = s.electricHeaps(o)
	}
	return s.p.told(heaps)
}

func (h *heap) add(s suspect) {
	h.weight += s.weight
	if !slices.Contains(h.entries, s.entry) {
		h.entries = append(h.entries, s.entry)
	}
}

// told makes outcomes of heaps.
func (p *Planner) told(heaps []heap) []Outcome {
	all := 0.0
	heaps = slices.DeleteFunc(heaps, func(h heap) bool { return len(h.entries) == 0 })
	for _, h := range heaps {
		all += h.weight
	}
	slices.SortStableFunc(heaps, func(a, b heap) int { return cmp.Compare(b.weight, a.weight) })
	out := make([]Outcome, 0, len(heaps))
	for _, h := range heaps {
		out = append(out, Outcome{
			Reading: h.reading, Share: round2(h.weight / all), WouldLeave: len(h.entries), Repairs: len(p.classes.cover(h.entries)),
		})
	}
	return out
}

// electricHeaps groups the suspects by what the vehicle does and what the meter shows.
func (s *search) electricHeaps(o *option) []heap {
	var order []int
	for i := range s.circuits {
		if o.s.words[i] >= 0 && (o.m < 0 || !math.IsNaN(o.s.values[o.m][i])) {
			order = append(order, i)
		}
	}
	key := func(i int) int {
		if o.s.seen {
			return 0
		}
		return o.s.words[i]
	}
	value := func(i int) float64 {
		if o.m < 0 {
			return 0
		}
		return o.s.values[o.m][i]
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(key(a)-key(b), cmp.Compare(value(a), value(b)), a-b) })
	var out []heap
	for start := 0; start < len(order); {
		end := start + 1
		for end < len(order) && key(order[end]) == key(order[start]) && (o.m < 0 ||
			value(order[end])-value(order[end-1]) <= o.s.menu[o.m].sep(value(order[end-1]), 1)) {
			end++
		}
		var h heap
		var parts []string
		if o.m >= 0 {
			parts = append(parts, about(o.s.menu[o.m].f, value(order[start]), value(order[end-1])))
		}
		if !o.s.seen {
			if text := s.p.lab.pictureWords(o.s.told, o.s.words[order[start]]); text != "" {
				parts = append(parts, text)
			}
		}
		h.reading = strings.Join(parts, "; ")
		for _, i := range order[start:end] {
			for _, sus := range s.suspects {
				if sus.circuit == i {
					h.add(sus)
				}
			}
		}
		out = append(out, h)
		start = end
	}
	return out
}

// about says a reading in round numbers.
func about(f meter.Function, lo, hi float64) string {
	if f == meter.Off {
		return "the test lamp: " + lightWords(lo, hi)
	}
	unit := map[meter.Function]string{meter.Volts: "V", meter.Amps: "A", meter.Ohms: "Ω", meter.Continuity: "Ω"}[f]
	if lo >= openOhms {
		return "an open circuit"
	}
	if f != meter.Volts && f != meter.Amps && hi >= 1000 {
		unit, lo, hi = "kΩ", lo/1000, hi/1000
	}
	a, b := figure(lo), figure(hi)
	if a == b {
		return fmt.Sprintf("about %s %s", a, unit)
	}
	return fmt.Sprintf("%s to %s %s", a, b, unit)
}

// figure writes a reading with the digits that matter.
func figure(v float64) string {
	switch {
	case math.Abs(v) < 0.005:
		return "0"
	case math.Abs(v) < 1:
		return fmt.Sprintf("%.2f", v)
	case math.Abs(v) < 100:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// pictureWords says what is noticed in one picture that is otherwise in another.
func (l *lab) pictureWords(all []picture, own int) string {
	var out []string
	for i, c := range l.h.Components {
		if slices.ContainsFunc(all, func(p picture) bool { return p.words[i] != all[own].words[i] }) {
			out = append(out, lower(c.Title)+" "+all[own].words[i])
		}
	}
	for i, id := range l.relays {
		if slices.ContainsFunc(all, func(p picture) bool { return p.clicks[i] != all[own].clicks[i] }) {
			out = append(out, clickPhrase(id, all[own].clicks[i]))
		}
	}
	return strings.Join(out, ", ")
}

func clickPhrase(id string, clicks bool) string {
	if clicks {
		return id + " clicks"
	}
	return id + " does not click"
}

// measureWords says what is measured between which points.
func (l *lab) measureWords(m measure) string {
	if m.clamped() {
		return "the current in wire " + l.h.Wires[m.red].ID + " with the clamp"
	}
	if m.lit() {
		return fmt.Sprintf("the test lamp between %s and %s", l.pointWords(m.red), l.pointWords(m.black))
	}
	what := map[meter.Function]string{meter.Volts: "volts", meter.Ohms: "ohms", meter.Continuity: "continuity"}[m.f]
	return fmt.Sprintf("%s between %s and %s", what, l.pointWords(m.red), l.pointWords(m.black))
}

// pointWords names a point as the trade does: "X1.2 (loom side)", "the body".
func (l *lab) pointWords(i int) string {
	info := l.infos[i]
	switch info.Kind {
	case harness.BodyMetal:
		return "the body"
	case harness.CavityHalf:
		for _, c := range l.h.Connectors {
			if c.ID == info.Connector {
				return fmt.Sprintf("%s.%s (%s)", info.Connector, info.Cavity, c.HalfTitle(info.Half))
			}
		}
	case harness.GroundRing, harness.PostRing:
		stud := info.Ground
		if stud == "" {
			stud = info.Component + "." + info.Terminal
		}
		return fmt.Sprintf("the ring of wire %s on %s", info.Wires[0], stud)
	case harness.GroundStud:
		return "the stud of " + info.Ground
	case harness.PostStud:
		return fmt.Sprintf("stud %s of %s", info.Terminal, info.Component)
	}
	return string(info.Point)
}

// placeWords names a place to look at.
func (l *lab) placeWords(place string) string {
	for _, c := range l.h.Connectors {
		if c.ID != place {
			continue
		}
		switch c.Mount {
		case harness.Holder:
			return "fuse " + c.Component
		case harness.Socket:
			return c.Component + " and its socket"
		case harness.InLine:
			return "both halves of " + c.ID
		}
		return "the plug of " + c.Component
	}
	if i, ok := l.index[harness.Point(place)]; ok {
		switch l.infos[i].Kind {
		case harness.GroundStud, harness.PostStud:
			return l.pointWords(i) + " and the rings on it"
		}
	}
	return place
}

// stanceWords says how controls stand and what is apart.
func (l *lab) stanceWords(s stance) string {
	var with []string
	for i, k := range l.h.Controls {
		if s.positions[i] != k.Positions[0] {
			with = append(with, "the "+lower(k.Title)+" "+s.positions[i])
		}
	}
	var off []string
	for i, c := range l.h.Connectors {
		if !s.parted[i] {
			continue
		}
		switch c.Mount {
		case harness.Holder:
			off = append(off, "fuse "+c.Component+" pulled")
		case harness.Socket:
			off = append(off, c.Component+" pulled")
		default:
			off = append(off, c.ID+" unplugged")
		}
	}
	for i, sp := range l.h.Splices {
		if s.opened[i] {
			off = append(off, "the loom open at "+sp.ID)
		}
	}
	if len(with) == 0 {
		with = append(with, "all controls at rest")
	}
	return ", with " + and(append(with, off...))
}

// and joins phrases as a sentence does.
func and(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// why says what a test is good for.
func why(outcomes []Outcome, left int) string {
	if len(outcomes) < 2 {
		return ""
	}
	var parts []string
	for i, o := range outcomes {
		if i == 2 {
			break
		}
		parts = append(parts, fmt.Sprintf("%s (%.0f %% likely) would leave %d", o.Reading, 100*o.Share, o.WouldLeave))
	}
	text := fmt.Sprintf("Of the %s still suspected, %s", count(left, "fault", "faults"), strings.Join(parts, "; "))
	if n := len(outcomes) - 2; n > 0 {
		is := "are"
		if n == 1 {
			is = "is"
		}
		text += fmt.Sprintf("; there %s %s", is, count(n, "other outcome", "other outcomes"))
	}
	return text + "."
}

// lower makes a title fit into a sentence; names in capitals stay.
func lower(s string) string {
	r := []rune(s)
	if len(r) > 1 && unicode.IsUpper(r[0]) && !unicode.IsUpper(r[1]) && !unicode.IsDigit(r[1]) {
		r[0] = unicode.ToLower(r[0])
	}
	return string(r)
}

// trimmed is a sentence without its full stop.
func trimmed(s string) string { return strings.TrimRight(strings.TrimSpace(s), ".") }
