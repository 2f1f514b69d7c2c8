package fault

import (
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Book is a harness with its points and parts looked up, for asking many things about its faults. The package's functions
// of the same names make one for each call. It does not change and is safe for concurrent use.
type Book struct {
	h          *harness.Harness
	points     []harness.Info
	infos      map[harness.Point]harness.Info
	components map[string]int
	wires      map[string]int
	ends       [][2]harness.Point // by wire
	ohms       []float64          // by wire, when good
	connectors map[string]int
	plugs      map[string][]int // by component: its connectors
	defects    [][]device.Defect
	fuses      map[string]*device.Fuse // by component; healthy ones, for their ratings
	positive   harness.Point
	negative   harness.Point
}

// NewBook returns the book of a valid harness; of another one it tells what it can.
func NewBook(h *harness.Harness) *Book {
	b := &Book{
		h: h, infos: map[harness.Point]harness.Info{},
		components: map[string]int{}, wires: map[string]int{}, connectors: map[string]int{}, plugs: map[string][]int{},
		fuses: map[string]*device.Fuse{},
	}
	b.points = h.Infos()
	for _, info := range b.points {
		b.infos[info.Point] = info
	}
	for i, c := range h.Components {
		b.components[c.ID] = i
		b.defects = append(b.defects, c.Spec.Defects())
		if d, err := device.New(c.Spec); err == nil {
			if f, ok := d.(*device.Fuse); ok {
				b.fuses[c.ID] = f
			}
		}
	}
	b.ends, b.ohms = h.AllEnds(), h.WireOhms()
	for i, w := range h.Wires {
		b.wires[w.ID] = i
	}
	for i, c := range h.Connectors {
		b.connectors[c.ID] = i
		if c.Component != "" {
			b.plugs[c.Component] = append(b.plugs[c.Component], i)
		}
	}
	b.positive, b.negative, _ = h.Supply()
	return b
}

// Catalogue returns everything that can go wrong with a harness, in a fixed order. The slice is the caller's.
func Catalogue(h *harness.Harness) []Entry { return NewBook(h).Catalogue() }

// RepairFor returns the usual repair of a fault, the zero Repair for a fault that the harness cannot have.
func RepairFor(h *harness.Harness, f Fault) Repair { return NewBook(h).RepairFor(f) }

// Repairs returns every repair that can be made on a harness, in a fixed order. The slice is the caller's.
func Repairs(h *harness.Harness) []Repair { return NewBook(h).Repairs() }

// Mends reports whether a repair takes a fault away, be it the usual one or not: a new wire brings new crimps.
func Mends(h *harness.Harness, r Repair, f Fault) bool { return NewBook(h).Mends(r, f) }

// SameCause reports whether a finding names the true fault: the same repair, and a kind that shows in the same way.
func SameCause(h *harness.Harness, found, truth Fault) bool {
	return NewBook(h).SameCause(found, truth)
}

// Alterations returns what the fault does to a machine, or an error that says what the harness lacks for it. A severity of 0
// stands for the typical one.
func (f Fault) Alterations(h *harness.Harness) ([]harness.Alteration, error) {
	return NewBook(h).Alterations(f)
}

// Title returns a fault in words for people, the text form for a fault that the harness cannot have.
func Title(h *harness.Harness, f Fault) string { return NewBook(h).Title(f) }

// RepairTitle returns a repair in words for people.
func RepairTitle(h *harness.Harness, r Repair) string { return NewBook(h).RepairTitle(r) }

// wireAt returns the id of the wire whose end is at a point, "" if there is none.
func (b *Book) wireAt(p harness.Point) string {
	if ws := b.infos[p].Wires; len(ws) > 0 {
		return ws[0]
	}
	return ""
}

// defect returns a component's defect.
func (b *Book) defect(component string, kind Kind) (device.Defect, bool) {
	i, ok := b.components[component]
	if !ok {
		return device.Defect{}, false
	}
	k := slices.IndexFunc(b.defects[i], func(d device.Defect) bool { return d.Name == string(kind) })
	if k < 0 {
		return device.Defect{}, false
	}
	return b.defects[i][k], true
}

// holder returns the connector that holds a fuse.
func (b *Book) holder(component string) (string, bool) {
	if b.fuses[component] == nil || len(b.plugs[component]) == 0 {
		return "", false
	}
	return b.h.Connectors[b.plugs[component][0]].ID, true
}
