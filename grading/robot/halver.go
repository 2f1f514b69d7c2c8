package robot

import (
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

const (
	// rounds is how often the halver starts anew from a check that still fails.
	rounds = 12
	// dropVolts and dropShare: a joint that loses more than this under load is bad. Common practice, no source.
	dropVolts, dropShare = 0.25, 0.02
)

// halver works by the book: confirm with the check, feed at the load, ground at the load, then half-way, with the load switched on.
// What lies between the last good and the first bad reading is looked at, measured out, and what is left of it condemned. Where that leads
// nowhere it goes on measuring as long as more than one repair is left; see decide.
type halver struct {
	*hand
	troubles []trouble              // what the check showed
	seen     outcome                // the same by line and component
	fine     map[string]bool        // places that share their current with something that works, or were measured out
	chosen   fault.Repair           // for what is found, if it is not the usual one
	gone     string                 // a holder whose fuse was seen melted
	dry      bool                   // nothing flowed behind it with the loads off: what melted it is in one of those, or was the fuse itself
	metered  map[harness.Point]bool // where volts were read
}

// halve does a whole job by the book.
func halve(h *hand, _ uint64) error {
	troubles := h.check()
	for n := 0; len(troubles) > 0 && n < rounds && !h.spent(); n++ {
		for _, c := range h.h.Connectors {
			if c.Mount == harness.Holder {
				delete(h.looked, c.ID) // a fuse may have melted since
			}
		}
		b := &halver{hand: h, troubles: troubles, seen: h.outcomeOf(troubles), fine: map[string]bool{}, metered: map[harness.Point]bool{}}
		f, ok, err := b.diagnose(troubles)
		if err != nil {
			return err
		}
		if !ok {
			break
		}
		b.mend(f)
		troubles = h.check()
	}
	h.do(attempt.Close{})
	return h.err
}

// mend puts everything back, declares the cause, repairs it and puts new fuses in where they melted.
func (b *halver) mend(f fault.Fault) {
	r := b.chosen
	if r == (fault.Repair{}) {
		r = b.book.RepairFor(f)
	}
	if id := r.Component(); id != "" {
		if c := b.connectorOf(id); c != "" && !b.looked[c] {
			b.look(c) // no part is condemned before its plug was looked into
		}
	}
	b.home()
	b.declare(f)
	b.repair(r)
	b.refill()
}

// diagnose finds what is wrong by what did not work in the check. What was seen on the way to another repair comes first.
func (b *halver) diagnose(troubles []trouble) (fault.Fault, bool, error) {
	if f, ok := b.unmended(); ok {
		return f, true, nil
	}
	dead := b.worst(troubles)
	if b.level(dead.component, dead.got) >= b.level(dead.component, dead.want) {
		return b.awake(dead)
	}
	sh, err := b.sheet(b.stanceOf(dead.line))
	if err != nil {
		return fault.Fault{}, false, err
	}
	if b.level(dead.component, dead.got) == 0 {
		b.working(sh, dead.line, troubles) // of what works weakly it is not certain
	}
	clicked := b.goTo(b.wayTo(dead.line))
	ch, ok := sh.chainOf(dead.component)
	if !ok {
		return b.guess(nil)
	}
	return b.hunt(sh, ch, clicked)
}

// goTo moves the controls from rest through some stances, and tells which relays clicked on the way into the last.
func (b *halver) goTo(way []stance) (clicked map[string]bool) {
	b.set(b.rest())
	for _, s := range way {
		_, clicked = b.set(s)
	}
	return clicked
}

// working notes what shares its current with something that does as it should in the same line.
func (b *halver) working(sh *sheet, line int, troubles []trouble) {
	for _, e := range b.h.Check[line].Expect {
		off := slices.ContainsFunc(troubles, func(t trouble) bool { return t.line == line && t.component == e.Component })
		if off || b.level(e.Component, e.Word) == 0 {
			continue
		}
		if ch, ok := sh.chainOf(e.Component); ok {
			for _, l := range slices.Concat(ch.feed, ch.ground) {
				b.fine[l.place] = true
			}
		}
	}
}

// reach reports whether a lead can get to a point as things are.
func (b *halver) reach(p harness.Point) bool {
	for _, r := range b.a.State().Reach {
		if r.Point == p {
			return r.Ok
		}
	}
	return false
}

// hunt halves the way of the current through a load that is switched on and does not do what it should.
func (b *halver) hunt(sh *sheet, ch chain, clicked map[string]bool) (fault.Fault, bool, error) {
	feed, ground := points(ch.feed), points(ch.ground)
	last, start := len(feed)-1, 0
	for last > 0 && !b.reach(feed[last]) {
		last--
	}
	for start < len(ground)-1 && !b.reach(ground[start]) {
		start++
	}
	low := -b.off(sh, feed[last])
	high := b.off(sh, ground[start])
	limit := max(dropVolts, dropShare*b.h.Vehicle.Volts)
	bad := func(p harness.Point, way float64) bool { return way*b.off(sh, p) > limit }
	switch {
	case low > limit && low >= high:
		sound := 0 // what shares its current with something that works is not measured again
		for sound < last && b.fine[ch.feed[sound].place] {
			sound++
		}
		from, to := b.between(feed, min(sound, last-1), last, func(p harness.Point) bool { return !bad(p, -1) })
		return b.narrow(sh, ch, ch.feed[from:to], clicked)
	case high > limit:
		sound := len(ground) - 1
		for sound > start+1 && b.fine[ch.ground[sound-1].place] {
			sound--
		}
		from, to := b.between(ground, start, sound, func(p harness.Point) bool { return bad(p, 1) })
		return b.narrow(sh, ch, ch.ground[from:to], clicked)
	}
	through := append(slices.Clone(ch.feed[last:]), limb{"component " + ch.load, ch.in, ch.out})
	return b.narrow(sh, ch, append(through, ch.ground[:start]...), clicked)
}

// off is how far a reading against the battery's negative post is from the good one, in volts.
func (b *halver) off(sh *sheet, p harness.Point) float64 {
	if p == sh.minus {
		return 0
	}
	v, _ := b.read(meter.Volts, p, sh.minus)
	b.metered[p] = true
	return v - sh.volts[p]
}

// between halves the points from..to, of which from is as same says and to is not, and returns two neighbours in reach that are apart
// so.
func (b *halver) between(all []harness.Point, from, to int, same func(harness.Point) bool) (int, int) {
	var in []int
	for i := from; i <= to; i++ {
		if i == from || i == to || b.reach(all[i]) {
			in = append(in, i)
		}
	}
	lo, hi := 0, len(in)-1
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if same(all[in[mid]]) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return in[lo], in[hi]
}

// narrow finds out which of some limbs that follow each other is bad.
func (b *halver) narrow(sh *sheet, ch chain, segment []limb, clicked map[string]bool) (fault.Fault, bool, error) {
	segment = slices.DeleteFunc(slices.Clone(segment), func(l limb) bool { return b.fine[l.place] })
	for _, l := range segment {
		id := l.name()
		c := b.component(id)
		if l.word() != "component" || c == nil || c.Spec.Kind != "relay" || id == ch.load || clicked[id] {
			continue
		}
		// No click: look at the coil first.
		if coil, ok := sh.chainOf(id); ok {
			return b.hunt(sh, coil, map[string]bool{id: true})
		}
	}
	if f, ok, err := b.fuses(sh, ch, segment); ok || err != nil {
		return f, ok, err
	}
	if f, ok := b.lookAt(segment); ok {
		return f, true, nil
	}
	if f, ok := b.splices(sh, ch, &segment); ok {
		return f, true, nil
	}
	if f, ok := b.measureOut(segment); ok {
		return f, true, nil
	}
	left := slices.DeleteFunc(slices.Clone(segment), func(l limb) bool { return b.fine[l.place] })
	return b.guess(left)
}

// lookAt parts and looks at what can be seen of some limbs.
func (b *halver) lookAt(segment []limb) (fault.Fault, bool) {
	b.lift()
	b.set(b.rest())
	for _, l := range segment {
		if l.word() == "component" {
			continue
		}
		place := l.name()
		if l.word() == "cavity" {
			place, _, _ = strings.Cut(place, ".")
		}
		if l.word() == "wire" || b.looked[place] {
			continue
		}
		b.looked[place] = true
		var seen []string
		if l.word() == "cavity" {
			seen = b.look(place)
		} else {
			seen = b.do(attempt.Inspect{Place: place}).Seen
		}
		if all := faultsIn(seen); len(all) > 0 {
			return all[0], true
		}
	}
	return fault.Fault{}, false
}

// splices opens the loom where the way goes through a splice, looks, and measures there with the load on.
func (b *halver) splices(sh *sheet, ch chain, segment *[]limb) (fault.Fault, bool) {
	for i := 0; i <= len(*segment); i++ {
		id := ""
		if i < len(*segment) {
			id = string((*segment)[i].a)
		} else if i > 0 {
			id = string((*segment)[i-1].b)
		}
		k := slices.IndexFunc(b.h.Splices, func(s harness.Splice) bool { return s.ID == id })
		if k < 0 || b.looked[id] {
			continue
		}
		b.looked[id] = true
		b.do(attempt.OpenLoom{Splice: id})
		if all := faultsIn(b.do(attempt.Inspect{Place: id}).Seen); len(all) > 0 {
			return all[0], true
		}
		if i == 0 || i == len(*segment) || (*segment)[i-1].b != (*segment)[i].a {
			continue // at the end of the stretch there is nothing to be halved
		}
		b.mate()
		b.set(b.rest())
		b.set(sh.stance)
		off := b.off(sh, harness.Point(id))
		bad := off < -max(dropVolts, dropShare*b.h.Vehicle.Volts)
		if slices.ContainsFunc(ch.ground, func(l limb) bool { return l == (*segment)[i] }) {
			bad = off <= max(dropVolts, dropShare*b.h.Vehicle.Volts)
		}
		if bad {
			*segment = (*segment)[:i]
		} else {
			*segment = (*segment)[i:]
		}
		i = -1
	}
	b.lift()
	b.set(b.rest())
	return fault.Fault{}, false
}
