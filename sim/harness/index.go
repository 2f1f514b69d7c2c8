package harness

import (
	"slices"
	"strings"

	"faultloom/sim/device"
)

// index finds the things of a harness by name. It is built from any harness, valid or not: of things that share an id
// the first counts, and ends that lead nowhere are left out of points.
type index struct {
	h *Harness

	terminals [][]string // by component

	components, connectors, wires, splices, grounds, controls map[string]int

	infos []Info        // every point, in the order of Harness.Points; Body is the last
	place map[Point]int // index in infos
	ends  [][2]Point    // by wire: the metal at each of its ends, see Harness.Ends
	pin   map[pinKey]Point
	slots map[string][2]int // "X1.3" -> index of connector and of cavity
}

type pinKey struct{ component, terminal string }

func newIndex(h *Harness) *index {
	ix := &index{
		h:          h,
		components: map[string]int{}, connectors: map[string]int{}, wires: map[string]int{},
		splices: map[string]int{}, grounds: map[string]int{}, controls: map[string]int{},
		place: map[Point]int{}, pin: map[pinKey]Point{}, slots: map[string][2]int{},
	}
	for i, c := range h.Components {
		first(ix.components, c.ID, i)
		ix.terminals = append(ix.terminals, terminals(c.Spec))
	}
	for i, c := range h.Connectors {
		first(ix.connectors, c.ID, i)
		for k, cav := range c.Cavities {
			name := c.ID + "." + cav.Number
			if _, ok := ix.slots[name]; !ok {
				ix.slots[name] = [2]int{i, k}
			}
			key := pinKey{c.Component, cav.Terminal}
			if _, ok := ix.pin[key]; !ok && c.Component != "" && cav.Terminal != "" {
				ix.pin[key] = CavityPoint(c.ID, cav.Number, "b")
			}
		}
	}
	for i, w := range h.Wires {
		first(ix.wires, w.ID, i)
	}
	for i, s := range h.Splices {
		first(ix.splices, s.ID, i)
	}
	for i, g := range h.Grounds {
		first(ix.grounds, g.ID, i)
	}
	for i, c := range h.Controls {
		first(ix.controls, c.ID, i)
	}
	for _, w := range h.Wires {
		ix.ends = append(ix.ends, [2]Point{ix.metal(w.From, w.ID), ix.metal(w.To, w.ID)})
	}
	ix.listPoints()
	return ix
}

func first(m map[string]int, id string, i int) {
	if _, ok := m[id]; !ok {
		m[id] = i
	}
}

// post reports whether the component has a terminal of that name that no cavity leads to: then it is a stud.
func (ix *index) post(component, terminal string) bool {
	i, ok := ix.components[component]
	if !ok {
		return false
	}
	if _, plugged := ix.pin[pinKey{component, terminal}]; plugged {
		return false
	}
	return slices.Contains(ix.terminals[i], terminal)
}

// metal returns the metal at a wire's end: on a stud that is the wire's own ring terminal.
func (ix *index) metal(end Point, wire string) Point {
	parts := strings.Split(string(end), ".")
	switch len(parts) {
	case 1:
		if _, ok := ix.grounds[parts[0]]; ok {
			return end + Point("."+wire)
		}
	case 2:
		if ix.post(parts[0], parts[1]) {
			return end + Point("."+wire)
		}
	}
	return end
}

func (ix *index) add(info Info) {
	if _, ok := ix.place[info.Point]; ok {
		return
	}
	ix.place[info.Point] = len(ix.infos)
	ix.infos = append(ix.infos, info)
}

func (ix *index) listPoints() {
	at := map[Point][]string{} // wires by the metal they end at
	for i, w := range ix.h.Wires {
		for _, p := range ix.ends[i] {
			at[p] = append(at[p], w.ID)
		}
	}
	for _, c := range ix.h.Connectors {
		for _, cav := range c.Cavities {
			for _, half := range [2]string{"a", "b"} {
				p := CavityPoint(c.ID, cav.Number, half)
				info := Info{Point: p, Kind: CavityHalf, Connector: c.ID, Cavity: cav.Number, Half: half, Wires: at[p]}
				if half == "b" && c.Component != "" {
					info.Component, info.Terminal = c.Component, cav.Terminal
				}
				ix.add(info)
			}
		}
	}
	for _, s := range ix.h.Splices {
		ix.add(Info{Point: Point(s.ID), Kind: SplicePoint, Splice: s.ID, Wires: at[Point(s.ID)]})
	}
	for _, g := range ix.h.Grounds {
		ix.addStud(Info{Point: Point(g.ID), Kind: GroundStud, Ground: g.ID}, GroundRing)
	}
	for i, c := range ix.h.Components {
		for _, t := range ix.terminals[i] {
			if ix.post(c.ID, t) {
				ix.addStud(Info{Point: Point(c.ID + "." + t), Kind: PostStud, Component: c.ID, Terminal: t}, PostRing)
			}
		}
	}
	ix.add(Info{Point: Body, Kind: BodyMetal})
	for i := range ix.infos {
		ix.infos[i].Title = ix.title(&ix.infos[i])
	}
}

// addStud adds a stud and the rings of the wires that end on it, in the order of the wires.
func (ix *index) addStud(stud Info, ring PointKind) {
	var rings []Info
	for i, w := range ix.h.Wires {
		for _, p := range ix.ends[i] {
			if p != stud.Point+Point("."+w.ID) {
				continue
			}
			r := stud
			r.Point, r.Kind, r.Wires = p, ring, []string{w.ID}
			rings = append(rings, r)
			stud.Wires = append(stud.Wires, w.ID)
		}
	}
	ix.add(stud)
	for _, r := range rings {
		ix.add(r)
	}
}

// terminals returns the names of a component's terminals: its own, or those of its kind where they go without saying.
func terminals(s device.Spec) []string {
	if len(s.Terminals) > 0 {
		return s.Terminals
	}
	kind, _ := device.Lookup(s.Kind)
	var names []string
	for _, t := range kind.Terminals {
		names = append(names, t.Name)
	}
	return names
}

// spec returns the specification of a component, or nil.
func (ix *index) spec(component string) *device.Spec {
	i, ok := ix.components[component]
	if !ok {
		return nil
	}
	return &ix.h.Components[i].Spec
}
