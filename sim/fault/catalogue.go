package fault

import (
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Likelihoods, relative to each other. The order is the trade's: connectors and their terminals and grounds first, then wires
// that flex, then other wires, then components. The figures are common practice, no source.
const (
	likelyCorroded  = 8.0
	likelyBackedOut = 6.0
	likelySpread    = 4.0
	likelyLeakage   = 1.0
	likelyCrimpOpen = 2.0
	likelyCrimpHigh = 2.0

	likelyGroundHigh = 8.0
	likelyGroundOpen = 4.0
	likelyRingHigh   = 4.0
	likelyRingOpen   = 3.0
	likelySpliceHigh = 2.0
	likelySpliceOpen = 1.0

	likelyWireOpen  = 1.0
	likelyWireHigh  = 0.7
	likelyToGround  = 1.0
	likelyToSupply  = 0.2
	likelyToWire    = 0.3 // shared among the wires that it might touch
	flexes          = 4.0 // times as likely in a wire that flexes
	likelyDefect    = 0.5 // times the defect's own likelihood
	likelyWrongFuse = 0.3
	likelyCrossed   = 0.3 // somebody has had the connector apart
	likelyAdded     = 0.3

	likelyShakyTerminal = 3.0
	likelyShakyCrimp    = 1.0
	likelyShakyRing     = 2.0
	likelyShakyWire     = 0.5 // of a wire that flexes
	likelySpliceFickle  = 0.3
	likelyJointHot      = 0.2
	likelyJointCold     = 0.05

	likelyHighTerminal  = 1.0
	likelyHighRing      = 1.0
	likelyHighSplice    = 0.2
	likelyJointHighHot  = 0.1
	likelyJointHighCold = 0.03
	likelyTouchesGround = 1.0 // of a wire that flexes
	likelyTouchesWire   = 0.3 // shared among the wires that it might touch
)

// Catalogue is the package's Catalogue.
func (b *Book) Catalogue() []Entry {
	var all []Entry
	add := func(f Fault, likelihood float64, visible bool) {
		s := b.severities(f)
		f.Severity = s.typical
		all = append(all, Entry{
			Fault: f, Low: s.low, High: s.high, Likelihood: likelihood, Visible: visible,
			Repair: b.RepairFor(f), Title: b.Title(f),
		})
	}
	b.listWires(add)
	b.listConnectors(add)
	b.listJoints(add)
	for i, c := range b.h.Components {
		for _, d := range b.defects[i] {
			add(Fault{Place: placeComponent + " " + c.ID, Kind: Kind(d.Name)}, likelyDefect*d.Likelihood, d.Visible)
		}
		b.listJointsOf(c, add)
		if _, ok := b.holder(c.ID); ok {
			for _, amps := range b.wrongRatings(c.ID) {
				add(Fault{Place: placeFuse + " " + c.ID, Kind: WrongRating, Severity: amps}, likelyWrongFuse, true)
			}
		}
	}
	return all
}

type adder func(f Fault, likelihood float64, visible bool)

func (b *Book) listWires(add adder) {
	near := b.near()
	for i, w := range b.h.Wires {
		place := placeWire + " " + w.ID
		times := 1.0
		if w.Flexing {
			times = flexes
		}
		// A wire that lies in the open can be looked at along its length; in a bundle its faults are hidden, but where it
		// flexes the bundle is open.
		visible := w.Bundle == "" || w.Flexing
		add(Fault{Place: place, Kind: Open}, times*likelyWireOpen, false)
		add(Fault{Place: place, Kind: HighResistance}, times*likelyWireHigh, false)
		if b.tapped(i) {
			add(Fault{Place: place, Kind: AddedLoad}, likelyAdded, true)
		}
		if w.Flexing {
			add(Fault{Place: place, Kind: Shaky}, likelyShakyWire, false)
		}
		if !b.endsAt(i, b.grounded) {
			add(Fault{Place: place, Kind: ShortToGround}, times*likelyToGround, visible)
			if w.Flexing {
				add(Fault{Place: place, Kind: TouchesGround}, likelyTouchesGround, visible)
			}
		}
		if b.positive != "" && !b.endsAt(i, func(stud harness.Point) bool { return stud == b.positive }) {
			add(Fault{Place: place, Kind: ShortToSupply}, times*likelyToSupply, visible)
		}
		for _, k := range near[i] {
			if k > i {
				// Each of the two wires has its share in it.
				share := likelyToWire/float64(len(near[i])) + likelyToWire/float64(len(near[k]))
				add(Fault{Place: place, Kind: ShortToWire, Other: b.h.Wires[k].ID}, times*share/2, visible)
			}
			// Of a pair that both flex the first is named; one that flexes rubs on one that does not.
			if other := b.h.Wires[k]; w.Flexing && (k > i || !other.Flexing) {
				add(Fault{Place: place, Kind: TouchesWire, Other: other.ID}, likelyTouchesWire/float64(len(near[i])), visible)
			}
		}
	}
}

// near returns for each wire those that it may touch, in the order of the harness.
func (b *Book) near() [][]int {
	all := make([][]int, len(b.h.Wires))
	for i := range all {
		for k := range all {
			if i != k && b.mayTouch(i, k) {
				all[i] = append(all[i], k)
			}
		}
	}
	return all
}

// stud returns the stud that a ring terminal sits on, and other points as they are.
func (b *Book) stud(p harness.Point) harness.Point {
	switch info := b.infos[p]; info.Kind {
	case harness.GroundRing:
		return harness.Point(info.Ground)
	case harness.PostRing:
		return harness.Point(info.Component + "." + info.Terminal)
	}
	return p
}

// grounded reports whether a stud is as good as the body, so that touching the body there changes nothing.
func (b *Book) grounded(stud harness.Point) bool {
	return b.infos[stud].Kind == harness.GroundStud || stud == b.negative
}

// endsAt reports whether either end of a wire is at a stud, splice or terminal of a sort.
func (b *Book) endsAt(wire int, is func(stud harness.Point) bool) bool {
	return is(b.stud(b.ends[wire][0])) || is(b.stud(b.ends[wire][1]))
}

// mayTouch reports whether two wires lie side by side, in a bundle or in neighbouring cavities, and are not joined anyway.
func (b *Book) mayTouch(i, k int) bool {
	for _, p := range b.ends[i] {
		for _, q := range b.ends[k] {
			if b.stud(p) == b.stud(q) {
				return false
			}
		}
	}
	if x, y := b.h.Wires[i].Bundle, b.h.Wires[k].Bundle; x != "" && x == y {
		return true
	}
	for _, p := range b.ends[i] {
		for _, q := range b.ends[k] {
			if b.neighbours(p, q) {
				return true
			}
		}
	}
	return false
}

// neighbours reports whether two points are in the same half of cavities that follow each other in their connector's list.
func (b *Book) neighbours(p, q harness.Point) bool {
	x, y := b.infos[p], b.infos[q]
	if x.Kind != harness.CavityHalf || y.Kind != harness.CavityHalf || x.Connector != y.Connector || x.Half != y.Half {
		return false
	}
	i, k := b.cavityIndex(x), b.cavityIndex(y)
	return i-k == 1 || k-i == 1
}

func (b *Book) cavityIndex(info harness.Info) int {
	return slices.IndexFunc(b.h.Connectors[b.connectors[info.Connector]].Cavities,
		func(c harness.Cavity) bool { return c.Number == info.Cavity })
}

func (b *Book) listConnectors(add adder) {
	for _, c := range b.h.Connectors {
		for i, cav := range c.Cavities {
			if !b.leads(c, cav) {
				continue
			}
			halves := []string{"a"}
			if c.Mount == harness.InLine {
				halves = []string{"a", "b"}
			}
			for _, half := range halves {
				add(Fault{Place: CavityPlace(c.ID, cav.Number, half), Kind: BackedOut}, likelyBackedOut/float64(len(halves)), true)
			}
			place := CavityPlace(c.ID, cav.Number, "a")
			add(Fault{Place: place, Kind: Corroded}, likelyCorroded, true)
			add(Fault{Place: place, Kind: Spread}, likelySpread, true)
			add(Fault{Place: place, Kind: Shaky}, likelyShakyTerminal, true)
			add(Fault{Place: place, Kind: HighShaken}, likelyHighTerminal, true)
			if i+1 < len(c.Cavities) && b.leads(c, c.Cavities[i+1]) {
				add(Fault{Place: place, Kind: Leakage, Other: c.ID + "." + c.Cavities[i+1].Number}, likelyLeakage, true)
				if crossed := (Fault{Place: place, Kind: Crossed, Other: c.ID + "." + c.Cavities[i+1].Number}); b.checkCrossed(crossed) == nil {
					add(crossed, likelyCrossed, true)
				}
			}
			for _, half := range halves {
				b.listCrimp(harness.CavityPoint(c.ID, cav.Number, half), add)
			}
		}
	}
}

// leads reports whether anything can go through a cavity: a wire ends in half a, and in half b or at a component's terminal.
func (b *Book) leads(c harness.Connector, cav harness.Cavity) bool {
	if b.wireAt(harness.CavityPoint(c.ID, cav.Number, "a")) == "" {
		return false
	}
	return cav.Terminal != "" || b.wireAt(harness.CavityPoint(c.ID, cav.Number, "b")) != ""
}

// listCrimp adds the faults of the crimp at a point, if a wire ends there.
func (b *Book) listCrimp(p harness.Point, add adder) {
	if b.wireAt(p) == "" {
		return
	}
	place := placeCrimp + " " + string(p)
	add(Fault{Place: place, Kind: Open}, likelyCrimpOpen, true)
	add(Fault{Place: place, Kind: HighResistance}, likelyCrimpHigh, false)
	add(Fault{Place: place, Kind: Shaky}, likelyShakyCrimp, false)
}

// listJoints adds splices, ground points, rings and posts.
func (b *Book) listJoints(add adder) {
	for _, s := range b.h.Splices {
		for _, w := range b.infos[harness.Point(s.ID)].Wires {
			place := placeSplice + " " + s.ID + " " + w
			add(Fault{Place: place, Kind: Open}, likelySpliceOpen, true)
			add(Fault{Place: place, Kind: HighResistance}, likelySpliceHigh, true)
			add(Fault{Place: place, Kind: OpensHot}, likelySpliceFickle, false)
			add(Fault{Place: place, Kind: OpensCold}, likelySpliceFickle, false)
			add(Fault{Place: place, Kind: HighHot}, likelyHighSplice, false)
			add(Fault{Place: place, Kind: HighCold}, likelyHighSplice, false)
		}
	}
	for _, g := range b.h.Grounds {
		place := placeGround + " " + g.ID
		add(Fault{Place: place, Kind: Open}, likelyGroundOpen, true)
		add(Fault{Place: place, Kind: HighResistance}, likelyGroundHigh, true)
		b.listRings(harness.Point(g.ID), add)
	}
	for _, c := range b.h.Components {
		for _, t := range b.posts(c) {
			b.listRings(t, add)
		}
	}
}

// posts returns the studs of a component.
func (b *Book) posts(c harness.Component) []harness.Point {
	var all []harness.Point
	for _, info := range b.points {
		if info.Kind == harness.PostStud && info.Component == c.ID {
			all = append(all, info.Point)
		}
	}
	return all
}

func (b *Book) listRings(stud harness.Point, add adder) {
	for _, w := range b.infos[stud].Wires {
		p := stud + harness.Point("."+w)
		place := placeRing + " " + string(p)
		add(Fault{Place: place, Kind: Open}, likelyRingOpen, true)
		add(Fault{Place: place, Kind: HighResistance}, likelyRingHigh, true)
		add(Fault{Place: place, Kind: Shaky}, likelyShakyRing, true)
		add(Fault{Place: place, Kind: HighShaken}, likelyHighRing, true)
		b.listCrimp(p, add)
	}
}

// ratings returns the ratings that a fuse's type is made in.
func (b *Book) ratings(component string) []float64 {
	i, ok := b.components[component]
	if !ok {
		return nil
	}
	if b.h.Components[i].Spec.Kind == "large-fuse" {
		return device.LargeFuseRatings()
	}
	return device.FuseRatings()
}

// wrongRatings returns ratings that may have been put in for the right one: half of it or less, which blows, and twice or more,
// which protects nothing.
func (b *Book) wrongRatings(component string) []float64 {
	right := b.fuses[component].Fitted()
	var under, over float64
	for _, r := range b.ratings(component) {
		if r <= right/2 {
			under = r
		}
		if over == 0 && r >= 2*right {
			over = r
		}
	}
	var all []float64
	for _, r := range [2]float64{under, over} {
		if r > 0 {
			all = append(all, r)
		}
	}
	return all
}
