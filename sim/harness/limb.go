package harness

import "faultloom/sim/device"

// Resistances of good joints in ohms.
const (
	// crimpOhms is inside the 0.2 to 2 mΩ of a good crimp (common practice, no source).
	crimpOhms = 0.5e-3
	// ringOhms and studOhms together stay under the 3 mΩ that FAA AC 43.13-1B par. 11-189 allows a joint of a bonding jumper.
	ringOhms = 0.5e-3
	studOhms = 0.5e-3
	// spliceOhms is a welded or crimped splice's share for one leg; like a good crimp (common practice, no source).
	spliceOhms = 0.5e-3
	// contactOhms is for terminals of the 2.8 mm class (SAE/USCAR-2 acceptance table, from memory: 5 mΩ), as they are used up
	// to thinWire; largeContactOhms for the 6.3 mm class (the same table: 1.5 mΩ).
	contactOhms      = 5e-3
	largeContactOhms = 1.5e-3
	// thinWire is the largest wire in mm² that goes into a terminal of the 2.8 mm class (common practice, no source).
	thinWire = 2.5
)

// limb is one series element: a branch between two points, with the names of all that lies in it.
type limb struct {
	names     []Limb
	a, b      Point
	ohms      float64 // when good
	connector int     // for contacts: index of the connector, else -1
}

// limbs returns all branches of the harness that are not components, in a fixed order. The resistance of a wire counts both
// its crimps. Wires with an end that leads nowhere are left out.
func (ix *index) limbs() []limb {
	var all []limb
	for i, w := range ix.h.Wires {
		if l, ok := ix.wireLimb(i, w); ok {
			all = append(all, l)
		}
	}
	for i, c := range ix.h.Connectors {
		for _, cav := range c.Cavities {
			a, b := CavityPoint(c.ID, cav.Number, "a"), CavityPoint(c.ID, cav.Number, "b")
			all = append(all, limb{
				names: []Limb{Limb("cavity " + c.ID + "." + cav.Number)},
				a:     a, b: b, ohms: ix.contact(c, a, b), connector: i,
			})
		}
	}
	for _, info := range ix.infos {
		switch info.Kind {
		case GroundRing, PostRing:
			stud := Point(info.Ground)
			if info.Kind == PostRing {
				stud = Point(info.Component + "." + info.Terminal)
			}
			all = append(all, limb{names: []Limb{Limb("ring " + info.Point)}, a: info.Point, b: stud, ohms: ringOhms, connector: -1})
		case GroundStud:
			all = append(all, limb{names: []Limb{Limb("ground " + info.Ground)}, a: info.Point, b: Body, ohms: studOhms, connector: -1})
		}
	}
	return all
}

func (ix *index) wireLimb(i int, w Wire) (limb, bool) {
	ends := ix.ends[i]
	l := limb{
		names: []Limb{Limb("wire " + w.ID)},
		a:     ends[0], b: ends[1],
		ohms:      device.CopperOhms(w.Metres, w.Size, ix.h.Vehicle.Celsius),
		connector: -1,
	}
	for _, p := range ends {
		k, ok := ix.place[p]
		if !ok {
			return limb{}, false
		}
		if ix.infos[k].Kind == SplicePoint {
			l.names = append(l.names, Limb("splice "+string(p)+" "+w.ID))
			l.ohms += spliceOhms
			continue
		}
		l.names = append(l.names, Limb("crimp "+p))
		l.ohms += crimpOhms
	}
	return l, true
}

// contact returns the resistance of a good mated pair: what the harness says, or else by the size of the wires in it.
func (ix *index) contact(c Connector, a, b Point) float64 {
	if c.Ohms > 0 {
		return c.Ohms
	}
	for _, p := range [2]Point{a, b} {
		for _, id := range ix.infos[ix.place[p]].Wires {
			if ix.h.Wires[ix.wires[id]].Size > thinWire {
				return largeContactOhms
			}
		}
	}
	return contactOhms
}

// WireOhms returns the resistance of each wire with its crimps and splice legs when good, in ohms, in the order of the harness; 0 for
// one with an end that leads nowhere. The slice is the caller's.
func (h *Harness) WireOhms() []float64 {
	ix := newIndex(h)
	all := make([]float64, len(h.Wires))
	for i, w := range h.Wires {
		l, _ := ix.wireLimb(i, w)
		all[i] = l.ohms
	}
	return all
}
