package robot

import (
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// swap does a whole job with new parts: what does not work first, then what feeds it, cheap things before dear ones, until the check
// passes.
func swap(h *hand, _ uint64) error {
	troubles := h.check()
	seen := h.outcomeOf(troubles)
	var last fault.Repair
	if len(troubles) > 0 {
		fitted, err := h.freshFuses(h.worst(troubles))
		if err != nil {
			return err
		}
		if last = fitted; len(h.tryLine(h.worst(troubles).line)) == 0 {
			troubles = h.check()
		}
	}
	for len(troubles) > 0 && !h.spent() {
		list, err := h.shelf(h.worst(troubles))
		if err != nil {
			return err
		}
		k := slices.IndexFunc(list, func(r fault.Repair) bool { return !h.tried[r.String()] })
		if k < 0 {
			break
		}
		last = list[k]
		if !h.repair(last) {
			continue
		}
		if t := h.worst(troubles); h.level(t.component, t.got) == 0 {
			if _, err := h.freshFuses(t); err != nil {
				return err
			}
		}
		if t := h.worst(troubles); len(h.tryLine(t.line)) > 0 {
			continue
		}
		troubles = h.check()
	}
	if len(troubles) == 0 && last.Place != "" {
		if f, ok := h.blame(last, seen); ok {
			h.declare(f)
		}
	}
	h.do(attempt.Close{})
	return h.err
}

// worst is the trouble that a person complains of: what does not work rather than what works weakly or unasked.
func (h *hand) worst(all []trouble) trouble {
	for _, t := range all {
		if h.level(t.component, t.got) == 0 {
			return t
		}
	}
	for _, t := range all {
		if h.level(t.component, t.got) < h.level(t.component, t.want) {
			return t
		}
	}
	return all[0]
}

// tryLine operates one line and looks, without marking.
func (h *hand) tryLine(line int) []trouble {
	h.set(h.rest())
	obs, _ := h.set(h.stanceOf(line))
	out := h.wrong(line, obs, nil)
	if len(out) > 0 {
		out = h.wrong(line, h.do(attempt.Wait{Seconds: secondLook}), nil)
	}
	h.set(h.rest())
	return out
}

// shelf is the order in which a swapper reaches for things: the fuses on the way of the current, the load, relays, switches, then
// whatever can be cleaned or renewed along it, last all other things.
func (h *hand) shelf(t trouble) ([]fault.Repair, error) {
	sh, err := h.sheet(h.stanceOf(t.line))
	if err != nil {
		return nil, err
	}
	var along []limb
	if ch, ok := sh.chainOf(t.component); ok {
		along = slices.Concat(slices.Clone(ch.feed), ch.ground)
		slices.Reverse(along[:len(ch.feed)]) // from the load outwards
		for _, l := range along {
			if c := h.component(l.name()); l.word() == "component" && c != nil && c.Spec.Kind == "relay" {
				if coil, ok := sh.chainOf(c.ID); ok {
					along = append(along, slices.Concat(coil.feed, coil.ground)...)
				}
			}
		}
	}
	var out []fault.Repair
	add := func(r fault.Repair) {
		if h.book.CanRepair(r) && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	parts := func(kind func(string) bool) {
		for _, l := range along {
			if c := h.component(l.name()); l.word() == "component" && c != nil && kind(c.Spec.Kind) {
				add(fault.Repair{Verb: "replace", Place: l.place})
			}
		}
	}
	for _, l := range along {
		if l.word() == "component" {
			add(fault.FitFuse(l.name()))
		}
	}
	add(fault.Repair{Verb: "replace", Place: "component " + t.component})
	parts(func(k string) bool { return k == "relay" })
	parts(func(string) bool { return true })
	all := func(words ...string) {
		for _, word := range words {
			for _, r := range h.book.Repairs() {
				if w, _, _ := strings.Cut(r.Place, " "); w == word {
					add(r)
				}
			}
		}
	}
	for _, word := range []string{"ground", "cavity", "", "wire"} {
		if word == "" {
			all("component", "fuse", "ground", "post", "cavity")
		}
		for _, l := range along {
			for _, r := range h.book.Repairs() {
				if w, _, _ := strings.Cut(r.Place, " "); w == word && r.Place == l.place {
					add(r)
				}
			}
		}
	}
	all("ring", "splice", "wire")
	return out, nil
}

// freshFuses puts new fuses in on the way of the current, without a look at the old ones. It returns what the last of them repairs.
func (h *hand) freshFuses(t trouble) (last fault.Repair, err error) {
	list, err := h.shelf(t)
	for _, r := range list {
		id := r.Component()
		c := h.connector(h.connectorOf(id))
		if c == nil || c.Mount != harness.Holder || r != fault.FitFuse(id) {
			break // fuses come first
		}
		if !h.a.State().Unplugged[c.ID] {
			h.do(attempt.Unplug{Connector: c.ID})
		}
		h.do(attempt.FitFuse{Connector: c.ID, Amps: h.ratingOf(c.ID)})
		h.tried[r.String()] = true
		last = r
	}
	return last, err
}

// blame names what the part that helped must have had.
func (h *hand) blame(r fault.Repair, seen outcome) (fault.Fault, bool) {
	var best supposed
	for _, s := range h.suppose(seen) {
		if s.entry.Repair == r && (s.fits && !best.fits || s.fits == best.fits && s.likely > best.likely) {
			best = s
		}
	}
	return best.fault, best.fault.Place != ""
}
