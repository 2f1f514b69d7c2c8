package sheet

import (
	"slices"

	"faultloom/sim/harness"
)

// wire is one conductor of the plan: both its ends lead to a port.
type wire struct {
	h     *harness.Wire
	ends  [2]harness.Point // the metal at each end
	port  [2]int           // index in plan.ports
	label label
	// labelled is the end (0 or 1) beside whose port the label stands.
	labelled int
}

// port is where one end of one wire meets the edge of a block.
type port struct {
	block int
	tap   int // index in the block's taps
	wire  int
	end   int
	top   bool    // on the block's upper edge
	x     float64 // from the block's left edge
	ring  float64 // of its ring terminal, in the block's own coordinates
}

// facts is what can be said of a harness before anything is placed. It is made once and not changed.
type facts struct {
	h     *harness.Harness
	infos []harness.Info
	info  map[harness.Point]int
	flow  *flow
	ends  []wire // wires without their ports

	byTerminal map[[2]string][]harness.Point // component and terminal
	connector  map[string]int
	component  map[string]int
	placed     map[string]harness.Placement
	lettering  [][]textLine // of components, by index: ratings and states take looking up
}

// newFacts resolves a harness. Wires with an end that leads nowhere, which a valid harness does not have, are left out.
func newFacts(h *harness.Harness) *facts {
	f := &facts{
		h: h, infos: h.Infos(), info: map[harness.Point]int{},
		byTerminal: map[[2]string][]harness.Point{},
		connector:  map[string]int{}, component: map[string]int{}, placed: map[string]harness.Placement{},
	}
	for i, info := range f.infos {
		f.info[info.Point] = i
		if info.Component != "" && info.Terminal != "" && info.Kind != harness.PostRing {
			k := [2]string{info.Component, info.Terminal}
			f.byTerminal[k] = append(f.byTerminal[k], info.Point)
		}
	}
	for i := range h.Connectors {
		if _, ok := f.connector[h.Connectors[i].ID]; !ok {
			f.connector[h.Connectors[i].ID] = i
		}
	}
	for i := range h.Components {
		if _, ok := f.component[h.Components[i].ID]; !ok {
			f.component[h.Components[i].ID] = i
		}
		f.lettering = append(f.lettering, letter(h, &h.Components[i]))
	}
	for _, p := range h.Sheet {
		if _, ok := f.placed[p.ID]; !ok {
			f.placed[p.ID] = p
		}
	}
	for i := range h.Wires {
		w := &h.Wires[i]
		from, ok := f.metal(w.From, w.ID)
		if !ok {
			continue
		}
		to, ok := f.metal(w.To, w.ID)
		if !ok {
			continue
		}
		f.ends = append(f.ends, wire{h: w, ends: [2]harness.Point{from, to}, port: [2]int{-1, -1}, label: newLabel(w)})
	}
	f.flow = newFlow(f)
	return f
}

// metal returns the metal at a wire's end, as Harness.Ends does for one wire: on a stud the wire's own ring terminal.
func (f *facts) metal(end harness.Point, wire string) (harness.Point, bool) {
	i, ok := f.info[end]
	if !ok {
		return "", false
	}
	if k := f.infos[i].Kind; k == harness.GroundStud || k == harness.PostStud {
		ring := end + harness.Point("."+wire)
		_, ok = f.info[ring]
		return ring, ok
	}
	return end, true
}

// plan is a harness taken apart for placing: blocks with ports, and wires between the ports.
type plan struct {
	*facts
	wires  []wire
	ports  []port
	blocks []*block
}

func newPlan(f *facts) *plan {
	m := &plan{facts: f, wires: slices.Clone(f.ends)}
	m.buildBlocks()
	m.dropLoose()
	m.chooseLabels()
	for _, b := range m.blocks {
		m.setText(b)
		m.measure(b)
	}
	return m
}

func (f *facts) terminalPoints(component, terminal string) []harness.Point {
	return f.byTerminal[[2]string{component, terminal}]
}

// wiresAt returns the wire ends at a point, as pairs of wire index and end, in the order of the harness.
func (m *plan) wiresAt(p harness.Point) [][2]int {
	var out [][2]int
	for i := range m.wires {
		for e, q := range m.wires[i].ends {
			if q == p {
				out = append(out, [2]int{i, e})
			}
		}
	}
	return out
}

// dropLoose leaves out wires that found no port at one of their ends.
func (m *plan) dropLoose() {
	keep := m.wires[:0]
	renumber := make([]int, len(m.wires))
	for i, w := range m.wires {
		renumber[i] = -1
		if w.port[0] >= 0 && w.port[1] >= 0 {
			renumber[i] = len(keep)
			keep = append(keep, w)
		}
	}
	m.wires = keep
	for _, b := range m.blocks {
		for t := range b.taps {
			ports := b.taps[t].ports[:0]
			for _, p := range b.taps[t].ports {
				if renumber[m.ports[p].wire] >= 0 {
					ports = append(ports, p)
				}
			}
			b.taps[t].ports = ports
		}
	}
	for i := range m.ports {
		m.ports[i].wire = renumber[m.ports[i].wire]
	}
}

// chooseLabels decides beside which of its ends each wire is labelled: below a block where it can, because the room
// beside the ports there is kept free for it.
func (m *plan) chooseLabels() {
	for i := range m.wires {
		w := &m.wires[i]
		a, b := m.ports[w.port[0]], m.ports[w.port[1]]
		w.labelled = 0
		if a.top && !b.top {
			w.labelled = 1
		}
		if a.top == b.top && !a.top {
			// Both leave downwards: the one nearer to the supply.
			if up, _ := m.flow.higher(w.ends[1], w.ends[0]); up {
				w.labelled = 1
			}
		}
	}
}

// labelAt returns the room, from the port to the right, that a label beside port p takes; 0 when none stands there.
func (m *plan) labelAt(p int) float64 {
	w := &m.wires[m.ports[p].wire]
	if w.port[w.labelled] != p {
		return 0
	}
	return labelGap + w.label.width
}

// sortedKeys returns the keys of a map in order, so that no map order reaches the sheet.
func sortedKeys[K ~string, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
