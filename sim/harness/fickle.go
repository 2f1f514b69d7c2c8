package harness

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Condition says when a resistance or a bridge that comes and goes is there.
type Condition int

// The conditions.
const (
	Always Condition = iota
	Shaken           // while its place is wiggled, or the vehicle shakes
	Hot              // while its place is hotter than HotAbove
	Cold             // while its place is colder than ColdBelow
)

// Temperatures of a place in degrees Celsius, and how it comes back to that of its surroundings. A hot-air blower and a freezer spray are
// what is used to find a joint that opens with heat or cold (common practice, no source for the figures: well inside what
// insulation bears, 105 °C for PVC by ISO 6722 class B from memory).
const (
	// HotAbove and ColdBelow are where joints that open hot or cold open.
	HotAbove, ColdBelow = 60.0, 0.0
	// WarmedTo and CooledTo are what a place has just after it was warmed or cooled.
	WarmedTo, CooledTo = 90.0, -30.0
	// WorkedTo is what every place has while a control stands in one of its hot positions.
	WorkedTo = 80.0
	// thermalSeconds is the time constant with which a place comes back to its surroundings (Newton's law of cooling): a plug
	// in the hand stays warm for some minutes.
	thermalSeconds = 300.0
	// pastFlip is added to the time at which a place passes a threshold, in seconds, so that it has passed it in spite of rounding.
	pastFlip = 1e-6
)

// fickle is a resistance or a bridge that comes and goes.
type fickle struct {
	limb   int // to which it adds ohms while it is there, -1 for a bridge
	bridge int // which has its ohms while it is there, -1 for a limb
	ohms   float64
	when   Condition
	at     seat
	beside seat // another place with which it comes and goes, the same where there is none
	on     bool
}

// seat is where something is fixed: the site, by index, the thing there that carries it, and which cavity or ring of that.
type seat struct {
	site  int // -1 for a wire along its length
	owner string
	part  string
}

// warmth is the temperature of a site at a moment of the thermal clock.
type warmth struct{ celsius, at float64 }

// climate is what comes from outside to the places of a machine: shaking and heat.
type climate struct {
	sites   map[string]int // by id of a component, connector, splice or ground point; a component and its connectors are one
	shaking string         // the place that is wiggled, "" for none
	wiggled seat
	clock   float64  // seconds that heat has had
	heat    []warmth // by site
}

func newClimate(h *Harness) climate {
	c := climate{sites: map[string]int{}}
	add := func(id string, like string) {
		k, ok := c.sites[like]
		if !ok || like == "" {
			k = len(c.heat)
			c.heat = append(c.heat, warmth{celsius: h.Vehicle.Celsius})
		}
		c.sites[id] = k
	}
	for _, x := range h.Components {
		add(x.ID, "")
	}
	for _, x := range h.Connectors {
		add(x.ID, x.Component)
	}
	for _, x := range h.Splices {
		add(x.ID, "")
	}
	for _, x := range h.Grounds {
		add(x.ID, "")
	}
	return c
}

// seatOf returns where a limb is fixed.
func (m *Machine) seatOf(l Limb) seat {
	word, name, _ := strings.Cut(string(l), " ")
	switch word {
	case "wire":
		return seat{site: -1, owner: name}
	case "splice":
		owner, wire, _ := strings.Cut(name, " ")
		return seat{site: m.climate.sites[owner], owner: owner, part: wire}
	}
	owner, part, _ := strings.Cut(name, ".")
	if _, ok := m.ix.connectors[owner]; ok {
		part, _, _ = strings.Cut(part, ".")
	}
	return seat{site: m.climate.sites[owner], owner: owner, part: part}
}

// placeSeat returns the seat of a place in words: "X1", "X1.3", "G1", "G1.31b", "BAT.30", "S1", "K1" or "wire 31b"; another word
// than wire may stand before it.
func (m *Machine) placeSeat(place string) (seat, error) {
	word, name, two := strings.Cut(place, " ")
	if !two {
		word, name = "", word
	}
	if word == "wire" {
		if _, ok := m.ix.wires[name]; ok {
			return seat{site: -1, owner: name}, nil
		}
		return seat{}, fmt.Errorf("there is no wire %q in harness %q", name, m.h.ID)
	}
	name, wire, _ := strings.Cut(name, " ")
	owner, part, _ := strings.Cut(name, ".")
	k, ok := m.climate.sites[owner]
	if !ok {
		return seat{}, fmt.Errorf("there is no %q in harness %q", place, m.h.ID)
	}
	if wire != "" {
		part = wire
	}
	if i, in := m.ix.connectors[owner]; in && part != "" {
		part, _, _ = strings.Cut(part, ".")
		if cavityIndex(m.h.Connectors[i], part) < 0 {
			return seat{}, fmt.Errorf("connector %q of harness %q has no cavity %q", owner, m.h.ID, part)
		}
	}
	return seat{site: k, owner: owner, part: part}, nil
}

func cavityIndex(c Connector, number string) int {
	return slices.IndexFunc(c.Cavities, func(cav Cavity) bool { return cav.Number == number })
}

// shakes reports whether wiggling one seat moves what is fixed at another: all of a thing when it is wiggled as a whole, with the
// connectors of a component; one cavity with those beside it; the rings on one stud.
func (m *Machine) shakes(wiggled, s seat) bool {
	switch {
	case wiggled.site != s.site:
		return false
	case wiggled.site < 0 || wiggled.owner == s.owner && wiggled.part == s.part:
		return wiggled.owner == s.owner
	case wiggled.part == "":
		return true
	case wiggled.owner != s.owner || s.part == "":
		return false
	}
	if i, ok := m.ix.connectors[s.owner]; ok {
		c := m.h.Connectors[i]
		apart := cavityIndex(c, wiggled.part) - cavityIndex(c, s.part)
		return apart >= -1 && apart <= 1
	}
	return strings.HasPrefix(s.part, wiggled.part+".")
}

// Wiggle shakes a place from now on, in place of any that was: "X1", "X1.3" (the wires of one cavity, which moves those beside it),
// "G1", "G1.31b", "BAT.30", "S1", "K1" (a component in its connectors) or "wire 31b". "" stops it. It returns an error when there is no such
// place. It does not solve.
func (m *Machine) Wiggle(place string) error {
	var s seat
	if place != "" {
		var err error
		if s, err = m.placeSeat(place); err != nil {
			return err
		}
	}
	m.climate.shaking, m.climate.wiggled = place, s
	m.provoke()
	return nil
}

// Shaking returns the place that is wiggled, "" for none.
func (m *Machine) Shaking() string { return m.climate.shaking }

// Warm brings a place, in words as for Wiggle, to WarmedTo with a hot-air blower. It does not solve. A wire alone cannot be warmed: an
// error says so.
func (m *Machine) Warm(place string) error { return m.temper(place, WarmedTo) }

// Cool brings a place to CooledTo with a freezer spray; else it is like Warm.
func (m *Machine) Cool(place string) error { return m.temper(place, CooledTo) }

func (m *Machine) temper(place string, celsius float64) error {
	s, err := m.placeSeat(place)
	if err != nil {
		return err
	}
	if s.site < 0 {
		return fmt.Errorf("wire %q is too long to warm or cool: choose an end of it", s.owner)
	}
	m.climate.heat[s.site] = warmth{celsius, m.climate.clock}
	m.provoke()
	return nil
}

// Celsius returns the present temperature of a thing by its id: a component, connector, splice or ground point; that of the vehicle for
// anything else.
func (m *Machine) Celsius(id string) float64 {
	k, ok := m.climate.sites[id]
	if !ok {
		return m.h.Vehicle.Celsius
	}
	return m.celsius(k)
}

func (m *Machine) celsius(site int) float64 {
	w, base := m.climate.heat[site], m.surroundings()
	if w.celsius == base {
		return base
	}
	return base + float64((w.celsius-base)*math.Exp((w.at-m.climate.clock)/thermalSeconds))
}

// surroundings is what every place comes to in the end, in degrees Celsius.
func (m *Machine) surroundings() float64 {
	if m.standsIn(func(c Control) []string { return c.Hot }) {
		return WorkedTo
	}
	return m.h.Vehicle.Celsius
}

// standsIn reports whether any control is in one of the positions that are listed for it.
func (m *Machine) standsIn(list func(c Control) []string) bool {
	for k, c := range m.h.Controls {
		if l := list(c); len(l) > 0 && slices.Contains(l, c.Positions[m.positions[k]]) {
			return true
		}
	}
	return false
}

// moved takes in that a control has gone from one position to another: heat stays for a while, and a hot position stands for work that
// has been done.
func (m *Machine) moved(k int, was float64) {
	c := m.h.Controls[k]
	if len(c.Hot) == 0 && len(c.Shakes) == 0 {
		return
	}
	base := m.surroundings()
	for i := range m.climate.heat {
		w := &m.climate.heat[i]
		now := was + float64((w.celsius-was)*math.Exp((w.at-m.climate.clock)/thermalSeconds))
		if base == WorkedTo && base != was {
			now = max(now, base)
		}
		*w = warmth{now, m.climate.clock}
	}
	m.provoke()
}

// Age lets seconds go by for the heat of places only, within a time in which by Quiet nothing changes.
func (m *Machine) Age(seconds float64) {
	m.climate.clock += seconds
	if len(m.fickle) > 0 {
		m.provoke()
	}
}

// provoke puts in what comes and goes, as far as it is there now. It reports whether any has changed.
func (m *Machine) provoke() bool {
	changed := false
	for i := range m.fickle {
		changed = changed || m.there(&m.fickle[i]) != m.fickle[i].on
	}
	if !changed {
		return false
	}
	m.putFickle(m.bridges)
	bridged := false
	for _, f := range m.fickle {
		if f.limb >= 0 {
			m.sol.SetOhms(m.branch[f.limb], m.ohms(f.limb))
		}
		bridged = bridged || f.limb < 0
	}
	if bridged {
		m.bridge()
	}
	return true
}

// putFickle works out what the limbs and these bridges have now, with what comes and goes as far as it is there.
func (m *Machine) putFickle(bridges []bridge) {
	copy(m.extra, m.steady)
	for i := range m.fickle {
		f := &m.fickle[i]
		f.on = m.there(f)
		switch {
		case f.limb < 0 && f.on:
			bridges[f.bridge].ohms = f.ohms
		case f.limb < 0:
			bridges[f.bridge].ohms = Broken
		case f.on:
			m.extra[f.limb] += f.ohms
		}
	}
}

// Present counts what comes and goes and is there now.
func (m *Machine) Present() (n int) {
	for i := range m.fickle {
		if m.fickle[i].on {
			n++
		}
	}
	return n
}

// there reports whether what comes and goes is there now.
func (m *Machine) there(f *fickle) bool {
	if f.when == Shaken && m.standsIn(func(c Control) []string { return c.Shakes }) {
		return true
	}
	for _, at := range [2]seat{f.at, f.beside} {
		switch {
		case f.when == Shaken && m.climate.shaking != "" && m.shakes(m.climate.wiggled, at),
			f.when == Hot && at.site >= 0 && m.celsius(at.site) > HotAbove,
			f.when == Cold && at.site >= 0 && m.celsius(at.site) < ColdBelow:
			return true
		}
	}
	return false
}

// flip returns how long, in seconds, until the first of what comes and goes does so with heat, +Inf when none will.
func (m *Machine) flip() float64 {
	first := math.Inf(1)
	if len(m.fickle) == 0 {
		return first
	}
	base := m.surroundings()
	for _, f := range m.fickle {
		limit := HotAbove
		switch f.when {
		case Hot:
		case Cold:
			limit = ColdBelow
		default:
			continue
		}
		for _, at := range [2]seat{f.at, f.beside} {
			if at.site < 0 {
				continue
			}
			if now := m.celsius(at.site); (now-limit)*(base-limit) < 0 {
				first = min(first, thermalSeconds*math.Log((now-base)/(limit-base))+pastFlip)
			}
		}
	}
	return first
}
