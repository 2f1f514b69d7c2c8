package robot

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// wireOhms is what a wire with its terminals, measured with leads of a tenth of an ohm, stays below when it is good. Common
// practice, no source.
const wireOhms = 0.5

// words lists what a kind of component can be noticed doing, from nothing to most.
func words(kind string) []string {
	k, _ := device.Lookup(kind)
	return k.Words
}

// fuses pulls the fuses in a stretch and looks at them. Behind one that melted there is a short to be found.
func (b *halver) fuses(sh *sheet, ch chain, segment []limb) (fault.Fault, bool, error) {
	for _, l := range segment {
		id, _, _ := strings.Cut(l.name(), ".")
		if l.word() == "component" {
			id = b.connectorOf(l.name())
		}
		c := b.connector(id)
		if c == nil || c.Mount != harness.Holder || b.looked[id] {
			continue
		}
		b.lift()
		b.set(b.rest())
		seen := b.look(id)
		b.looked[id] = true
		if all := faultsIn(seen); len(all) > 0 {
			return all[0], true, nil
		}
		st := b.a.State().Fuses[id]
		if st.Looked && st.Amps != b.ratingOf(id) {
			return fault.Fault{Place: "fuse " + c.Component, Kind: fault.WrongRating, Severity: st.Amps}, true, nil
		}
		if st.Blown {
			b.gone = c.ID
			return b.melted(sh, ch, c)
		}
		if v, ok := b.read(meter.Ohms, harness.CavityPoint(id, c.Cavities[0].Number, "b"), harness.CavityPoint(id, c.Cavities[1].Number, "b")); !ok || v > wireOhms {
			return b.guess([]limb{{place: "component " + c.Component}})
		}
		b.fine["component "+c.Component] = true
		b.lift()
	}
	return fault.Fault{}, false, nil
}

// measureOut measures the wires of a stretch from end to end with both ends free, and the coil of a relay that was pulled.
func (b *halver) measureOut(segment []limb) (fault.Fault, bool) {
	for _, l := range segment {
		if l.word() != "wire" || b.fine[l.place] {
			continue
		}
		free := b.free(l.a) && b.free(l.b)
		if f, ok := b.unmended(); ok {
			b.lift()
			return f, true
		}
		if !free {
			continue
		}
		v, ok := b.read(meter.Ohms, l.a, l.b)
		if ok && v <= wireOhms {
			b.fine[l.place] = true
			continue
		}
		b.lift()
		kind := fault.HighResistance
		if !ok || v > 1e6 {
			kind = fault.Open
		}
		if b.tried[b.book.RepairFor(fault.Fault{Place: l.place, Kind: kind}).String()] {
			continue // it is a new one: something else is wrong with how it was measured
		}
		return fault.Fault{Place: l.place, Kind: kind}, true
	}
	b.lift()
	return fault.Fault{}, false
}

// free parts the connector that a point is in, so that nothing else is measured with it; false where it cannot be.
func (b *halver) free(p harness.Point) bool {
	info := b.h.PointInfo(p)
	switch info.Kind {
	case harness.CavityHalf:
		if !b.a.State().Unplugged[info.Connector] {
			b.look(info.Connector) // what is parted is looked into
			b.looked[info.Connector] = true
		}
		return b.reach(p)
	case harness.GroundRing:
		return true
	}
	return false
}

// guess takes what is left of a stretch (of everything, for none) that was not ruled out by looking and not repaired yet, and of that
// what fits what the check showed.
func (b *halver) guess(left []limb) (f fault.Fault, ok bool, err error) {
	within, all := b.suspects(left), b.suspects(nil)
	lists := [][]supposed{fitting(within), fitting(all), within, all}
	if slices.ContainsFunc(left, b.thinks) {
		lists = lists[1:] // that it has feed and ground does not condemn it: it may have been told something wrong
	}
	if b.gone != "" { // something melted it
		melting := [][]supposed{b.melting(fitting(within)), b.melting(fitting(all))}
		if b.dry {
			melting = melting[:1]
		}
		lists = slices.Concat(melting, lists)
	}
	for _, list := range lists {
		if f, ok, err = b.decide(list); ok || err != nil {
			return f, ok, err
		}
	}
	return f, false, b.err
}

// melting returns those that would have melted the fuse that was seen melted.
func (b *halver) melting(all []supposed) []supposed {
	return slices.DeleteFunc(all, func(s supposed) bool {
		melts, err := b.melts(s.fault, b.gone)
		return err != nil || !melts
	})
}

// thinks reports whether a limb is a unit that acts on what others tell it.
func (b *halver) thinks(l limb) bool {
	c := b.component(l.name())
	return l.word() == "component" && c != nil && (c.Spec.Kind == "node" || c.Spec.Kind == "module")
}

// fitting returns those that would show in the check as seen.
func fitting(all []supposed) []supposed {
	return slices.DeleteFunc(slices.Clone(all), func(s supposed) bool { return !s.fits })
}

// suspects lists what of the catalogue lies in some limbs, all of it for none, that was not ruled out by looking and not repaired yet.
func (b *halver) suspects(left []limb) []supposed {
	var out []supposed
	for _, s := range b.suppose(b.seen) {
		place := s.fault.Place
		in := left == nil
		for _, l := range left {
			in = in || place == l.place || b.belongs(place, l)
		}
		if in && !b.tried[s.entry.Repair.String()] && !(s.entry.Visible && b.sighted(place)) {
			out = append(out, s)
		}
	}
	return out
}

// belongs reports whether a place is part of a limb: a wire's crimps and its legs in splices, a component that is a fuse.
func (b *halver) belongs(place string, l limb) bool {
	word, name, _ := strings.Cut(place, " ")
	switch l.word() {
	case "wire":
		_, wire, leg := strings.Cut(name, " ")
		return word == "crimp" && (name == string(l.a) || name == string(l.b)) || word == "splice" && leg && wire == l.name()
	case "component":
		return word == "fuse" && name == l.name()
	case "cavity":
		return word == "cavity" && name == l.name()+".b"
	}
	return false
}

// melted looks for what melted a fuse: with the loads off and a voltmeter in the fuse's place, connectors are parted half-way until
// nothing flows any more.
func (b *halver) melted(sh *sheet, ch chain, holder *harness.Connector) (fault.Fault, bool, error) {
	from, to, ok := across(ch, holder)
	if !ok {
		return b.guess(nil)
	}
	b.do(attempt.Dial{Function: meter.Volts})
	b.set(sh.stance)
	apart := map[string]bool{holder.ID: true}
	flows := func() bool {
		v, _ := b.read(meter.Volts, from, to)
		return math.Abs(v) > b.h.Vehicle.Volts/2
	}
	_, loads := b.branch(sh, to, apart)
	for _, c := range loads {
		apart[c] = true
		if !b.a.State().Unplugged[c] {
			b.do(attempt.Unplug{Connector: c})
		}
	}
	if !flows() {
		b.dry = true
		b.lift()
		var left []limb
		for _, c := range append(loads, holder.ID) {
			id := b.connector(c).Component
			left = append(left, limb{place: "component " + id})
		}
		if len(b.melting(fitting(b.suspects(left)))) == 0 {
			for _, s := range b.suppose(b.seen) { // nothing in the loads would have melted it: it gave up by itself
				if s.fits && s.entry.Visible && s.fault.Place == "component "+holder.Component && !b.tried[s.entry.Repair.String()] {
					return s.fault, true, nil
				}
			}
		}
		return b.guess(left)
	}
	suspects, _ := b.branch(sh, to, apart)
	for {
		best, cut := "", []limb(nil)
		for _, c := range b.h.Connectors {
			if apart[c.ID] {
				continue
			}
			apart[c.ID] = true
			still, _ := b.branch(sh, to, apart)
			delete(apart, c.ID)
			gone := slices.DeleteFunc(slices.Clone(suspects), func(l limb) bool { return slices.Contains(still, l) })
			if worse := func(n int) int { return max(n, len(suspects)-n) }; len(gone) > 0 && len(gone) < len(suspects) &&
				(best == "" || worse(len(gone)) < worse(len(cut))) {
				best, cut = c.ID, gone
			}
		}
		if best == "" || b.err != nil {
			break
		}
		b.do(attempt.Unplug{Connector: best})
		if flows() {
			apart[best] = true
			suspects = slices.DeleteFunc(suspects, func(l limb) bool { return slices.Contains(cut, l) })
			continue
		}
		suspects = cut
		b.do(attempt.Plug{Connector: best})
	}
	b.lift()
	b.set(b.rest())
	for _, l := range suspects { // what lies open can be looked at along its length
		if w := b.wire(l.name()); l.word() == "wire" && w != nil && (w.Flexing || w.Bundle == "") {
			if all := faultsIn(b.do(attempt.Inspect{Place: l.place}).Seen); len(all) > 0 {
				return all[0], true, nil
			}
			b.looked[w.ID] = true
		}
	}
	return b.guess(suspects)
}

// across returns the points in a holder between which its fuse goes, the battery's side first.
func across(ch chain, holder *harness.Connector) (from, to harness.Point, ok bool) {
	var in []harness.Point
	for _, l := range slices.Concat(ch.feed, ch.ground) {
		if id, _, _ := strings.Cut(l.name(), "."); l.word() == "cavity" && id == holder.ID {
			for _, p := range [2]harness.Point{l.a, l.b} {
				if strings.HasSuffix(string(p), ".a") {
					in = append(in, p)
				}
			}
		}
	}
	if len(in) != 2 {
		return "", "", false
	}
	return in[0], in[1], true
}

// branch lists what is joined to a point with some connectors apart, the ways through loads left out, and the connectors of those loads.
func (b *halver) branch(sh *sheet, from harness.Point, apart map[string]bool) (limbs []limb, loads []string) {
	been := map[harness.Point]bool{from: true, harness.Body: true, sh.minus: true, sh.plus: true}
	queue := []harness.Point{from}
	for len(queue) > 0 {
		p := queue[0]
		queue = queue[1:]
		if info := b.h.PointInfo(p); info.Component != "" && b.loads(info) && !slices.Contains(loads, info.Connector) && info.Connector != "" {
			loads = append(loads, info.Connector)
			continue
		}
		for _, k := range sh.at[p] {
			l := sh.limbs[k]
			if id, _, _ := strings.Cut(l.name(), "."); l.word() == "cavity" && apart[id] {
				continue
			}
			if sh.cost[k] != plainWay {
				continue
			}
			if !slices.Contains(limbs, l) {
				limbs = append(limbs, l)
			}
			for _, q := range [2]harness.Point{l.a, l.b} {
				if !been[q] {
					been[q] = true
					queue = append(queue, q)
				}
			}
		}
	}
	return limbs, loads
}

// loads reports whether current goes on from a component's terminal through a load of its own.
func (b *halver) loads(info harness.Info) bool {
	c := b.component(info.Component)
	switch {
	case c == nil || len(c.Spec.Positions) > 0 || c.Spec.Kind == "fuse" || c.Spec.Kind == "large-fuse":
		return false
	case c.Spec.Kind == "relay":
		return info.Terminal == "85" || info.Terminal == "86"
	}
	return true
}

// wire returns a wire of the harness, nil if there is none.
func (h *hand) wire(id string) *harness.Wire {
	for i := range h.h.Wires {
		if h.h.Wires[i].ID == id {
			return &h.h.Wires[i]
		}
	}
	return nil
}
