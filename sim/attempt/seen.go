package attempt

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/harness"
)

// seen is what a close look at a place shows, in stable text: faults without their severity, which nobody sees, and fuses.
func (w *world) seen(place string) []string {
	var out []string
	parted := func(id string) bool { return !w.m.Plugged(id) }
	for _, c := range w.ex.Harness.Connectors {
		f := w.m.Fuse(c.ID)
		if f == nil || c.Mount != harness.Holder || !looksAtFuse(place, c) {
			continue
		}
		sight := fuseUnseen
		switch {
		case !parted(c.ID):
		case f.Blown():
			sight = fuseMelted
		default:
			sight = fuseWhole
		}
		out = append(out, fuseSeen(c.Component, f.Rating(), sight))
	}
	for _, f := range w.book.Seen(w.faults, place, parted, w.m.LoomOpen) {
		if word, id, _ := strings.Cut(f.Place, " "); word == "fuse" || w.holder(id) != "" {
			continue // told above by what it looks like
		}
		f.Severity = 0
		out = append(out, f.String())
	}
	return out
}

// looksAtFuse reports whether the place is the fuse in a holder, or the holder.
func looksAtFuse(place string, holder harness.Connector) bool {
	word, name, two := strings.Cut(place, " ")
	if !two {
		word, name = "", word
	}
	return word != "wire" && (owner(name) == holder.ID || name == holder.Component)
}

// lookable says whether a place in text form is on the vehicle and can be looked at now; if not, why.
func (w *world) lookable(place string) (why string) {
	word, name, two := strings.Cut(place, " ")
	if !two {
		word, name = "", word
	}
	if word == "wire" {
		for _, wire := range w.ex.Harness.Wires {
			if wire.ID == name {
				return ""
			}
		}
		return "there is no wire " + name + " on this vehicle"
	}
	if !slices.Contains([]string{"", "component", "fuse", "cavity", "crimp", "splice", "ring", "ground", "post"}, word) || !w.exists(name) {
		return "there is no " + place + " on this vehicle"
	}
	for _, s := range w.ex.Harness.Splices {
		if s.ID == owner(strings.Fields(name)[0]) && !w.m.LoomOpen(s.ID) {
			return "splice " + s.ID + " is inside the loom: open the loom to see it"
		}
	}
	return ""
}

// exists reports whether name is a point, a connector, a cavity, a component, or "SPLICE WIRE".
func (w *world) exists(name string) bool {
	id, _, _ := strings.Cut(name, " ")
	if _, ok := connector(w.ex.Harness, id); ok {
		return true
	}
	for _, c := range w.ex.Harness.Components {
		if c.ID == id {
			return true
		}
	}
	for _, half := range []string{"", ".a"} {
		if w.m.Info(harness.Point(id+half)).Kind != "" {
			return true
		}
	}
	return false
}

// fuseSight is how much of a fuse's element is seen.
type fuseSight int

const (
	fuseUnseen fuseSight = iota // it sits in its holder
	fuseWhole
	fuseMelted
)

func (s fuseSight) String() string {
	switch s {
	case fuseWhole:
		return "element whole"
	case fuseMelted:
		return "element melted"
	}
	return "in its holder"
}

// fuseSeen is what a look at a fuse tells, in stable text: "fuse F1 10 A in its holder", "fuse F1 10 A element melted".
func fuseSeen(id string, amps float64, s fuseSight) string {
	return fmt.Sprintf("fuse %s %s A %s", id, number(amps), s)
}

// parseFuseSeen reads it back.
func parseFuseSeen(text string) (id string, amps float64, s fuseSight, ok bool) {
	for s = fuseUnseen; s <= fuseMelted; s++ {
		if n, err := fmt.Sscanf(text, "fuse %s %g A", &id, &amps); n == 2 && err == nil && text == fuseSeen(id, amps, s) {
			return id, amps, s, true
		}
	}
	return "", 0, 0, false
}
