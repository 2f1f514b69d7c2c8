package robot

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// awake looks for what makes a load work that should not: of all that would show so in the check, parting connectors half-way tells by
// whether it stops.
func (b *halver) awake(t trouble) (fault.Fault, bool, error) {
	suspects := slices.DeleteFunc(b.suspects(nil), func(s supposed) bool { return !s.fits })
	if len(suspects) == 0 {
		return b.guess(nil)
	}
	way := b.wayTo(t.line)
	b.goTo(way)
	mated := map[string]map[string]bool{} // by suspect: which relays are in
	for _, f := range suspects {
		_, in, err := b.effect(f.fault, way, "", t.component)
		if err != nil {
			return fault.Fault{}, false, err
		}
		mated[f.fault.String()] = in
	}
	tested := map[string]bool{}
	for len(suspects) > 1 && b.err == nil {
		best, most := "", 0
		var groups map[string][]supposed
		for _, c := range b.h.Connectors {
			if tested[c.ID] || c.Component == t.component {
				continue
			}
			g := map[string][]supposed{}
			for _, f := range suspects {
				word, in, err := b.effect(f.fault, way, c.ID, t.component)
				if err != nil {
					return fault.Fault{}, false, err
				}
				letGo := map[string]bool{}
				for id := range mated[f.fault.String()] {
					letGo[id] = !in[id]
				}
				k := noticed(word, letGo, c.Component)
				g[k] = append(g[k], f)
			}
			largest := 0
			for _, list := range g {
				largest = max(largest, len(list))
			}
			if split := len(suspects) - largest; split > most {
				best, most, groups = c.ID, split, g
			}
		}
		if best == "" {
			break
		}
		tested[best] = true
		letGo := map[string]bool{}
		for _, e := range b.do(attempt.Unplug{Connector: best}).Events {
			if e.What == attempt.EventClickOut {
				letGo[e.Component] = true
			}
		}
		obs := b.do(attempt.Inspect{Place: best}) // what runs down has come to rest by then
		if all := faultsIn(obs.Seen); len(all) > 0 {
			return all[0], true, nil
		}
		b.looked[best] = true
		b.do(attempt.Plug{Connector: best})
		left := groups[noticed(obs.Effects[t.component], letGo, b.connector(best).Component)]
		if len(left) == 0 {
			break
		}
		suspects = left
	}
	b.set(b.rest())
	suspects = b.touching(suspects)
	if f, ok := b.unmended(); ok { // seen where a connector was parted for that
		return f, true, nil
	}
	if f, ok := b.alongWires(suspects); ok {
		return f, true, nil
	}
	suspects = slices.DeleteFunc(suspects, func(s supposed) bool { return b.fine[s.fault.String()] })
	if f, ok, err := b.decide(suspects); ok || err != nil {
		return f, ok, err
	}
	return b.guess(nil)
}

// noticed names what tells when a connector is parted: what a component does then, and which relays are heard to let go but the one that was
// pulled.
func noticed(word string, letGo map[string]bool, pulled string) string {
	var list []string
	for id, yes := range letGo {
		if yes && id != pulled {
			list = append(list, id)
		}
	}
	slices.Sort(list)
	return word + ": " + strings.Join(list, " ")
}

// mostPairs bounds the pairs of wires that are measured against each other.
const mostPairs = 6

// touching measures from wire to wire, all four ends free where they can be, whether two that are suspected touch,
// or one the body. If some do, only these
// are left; those that do not are noted.
func (b *halver) touching(suspects []supposed) []supposed {
	var touch []supposed
	pairs := 0
	for _, s := range suspects {
		w, v := b.wire(strings.TrimPrefix(s.fault.Place, "wire ")), b.wire(s.fault.Other)
		if w == nil || v == nil && s.fault.Kind != fault.ShortToGround || pairs == mostPairs {
			continue
		}
		p, q := b.freeEnd(w), harness.Body
		if v != nil {
			q = b.freeEnd(v)
		}
		if p == "" || q == "" || b.live(p, q) {
			continue
		}
		pairs++
		if ohms, ok := b.read(meter.Ohms, p, q); ok && ohms <= wireOhms {
			touch = append(touch, s)
		} else {
			b.fine[s.fault.String()] = true
		}
	}
	b.lift()
	if len(touch) > 0 {
		return touch
	}
	return suspects
}

// live reports whether there is a voltage between two points of the sound vehicle with its controls at rest, so that no ohms are measured there.
func (h *hand) live(p, q harness.Point) bool {
	was := h.good.Snapshot()
	defer func() { h.err = first(h.err, h.good.Restore(was)) }()
	h.good.Rest()
	if err := h.good.Settle(); err != nil {
		return true
	}
	return math.Abs(h.good.VoltsBetween(p, q)) > meter.LiveVolts
}

// freeEnd parts the connectors in which a wire ends and returns an end that a lead can get to, "" if there is none.
func (b *halver) freeEnd(w *harness.Wire) harness.Point {
	from, to := b.h.Ends(*w)
	x, y := b.free(from), b.free(to)
	switch {
	case x:
		return from
	case y:
		return to
	}
	return ""
}

// alongWires looks along the wires that are suspected, as far as they can be looked at.
func (b *halver) alongWires(suspects []supposed) (fault.Fault, bool) {
	for _, s := range suspects {
		f := s.fault
		for _, id := range [2]string{strings.TrimPrefix(f.Place, "wire "), f.Other} {
			w := b.wire(id)
			if w == nil || b.looked[id] || !w.Flexing && w.Bundle != "" {
				continue
			}
			b.looked[id] = true
			if all := faultsIn(b.do(attempt.Inspect{Place: "wire " + id}).Seen); len(all) > 0 {
				return all[0], true
			}
		}
	}
	return fault.Fault{}, false
}
