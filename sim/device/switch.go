package device

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/circuit"
)

// Switch joins its terminals as its table says for the position it is in, each join through a contact resistance. A button
// is a switch that springs back; what moves it is the harness's business.
type Switch struct {
	base
	spec     Spec
	ohms     float64 // of a good contact
	contacts []contact
	position int
	spoilt
	openIn, weldedIn int // the position whose contact has that defect, -1 if none
}

// How the defects of one position's contact begin; the name of the position follows.
const openIn, weldedIn = "open-in-", "welded-in-"

// contact joins two terminals, given by their places in Spec.Terminals, in some of the positions.
type contact struct {
	a, b   int
	joined []bool // by position
	branch circuit.ID
}

const contactDoc = "resistance of each closed contact"

func contactParam(key string, ohms float64) Param {
	return Param{Key: key, Doc: contactDoc, Dim: Ohm, Default: ohms, Min: 1e-4, Max: 10}
}

// switchContactOhms: common practice, no source; a good switch contact has some milliohms to some tens.
const switchContactOhms = 0.01

var switchDefects = []Defect{
	{Name: "contact-burnt", Doc: "contacts burnt", Dim: Ohm, Low: 0.05, High: 1e4, Typical: 2, Likelihood: 2},
	{Name: "contact-open", Doc: "no contact made in any position", Likelihood: 1},
}

func switchFamily() family {
	return family{
		kind: Kind{
			Name: "switch", Title: "switch",
			Doc: "A switch with terminals of your own naming and a table of positions. Each position lists the pairs of terminals " +
				"that it joins; the first position is the one at rest. Each position's contact can fail by itself: it does not make " +
				"(`open-in-` and the position's name) or it never lets go (`welded-in-` and the name).",
			OwnTerminals: true, Table: true, Plugged: true, Defects: switchDefects,
			Params: []Param{contactParam("contact", switchContactOhms)},
		},
		make: func(s Spec) Device { return newSwitch(s) },
	}
}

func buttonFamily() family {
	return family{
		kind: Kind{
			Name: "button", Title: "push button",
			Doc: "A switch that springs back when it is let go. It is described as a switch is: the first position is the one at " +
				"rest, the second the one held.",
			OwnTerminals: true, Table: true, Plugged: true, Defects: switchDefects,
			Params: []Param{contactParam("contact", switchContactOhms)},
		},
		make: func(s Spec) Device { return newSwitch(s) },
	}
}

// contactDefects lists what can go wrong with the contacts of each position of a table.
func contactDefects(table []Position) []Defect {
	var all []Defect
	for _, p := range table {
		if len(p.Joins) > 0 {
			all = append(all,
				Defect{Name: openIn + slug(p.Name), Doc: "no contact made in position " + p.Name, Likelihood: 1},
				Defect{Name: weldedIn + slug(p.Name), Doc: "contact of position " + p.Name + " welded: it never opens", Likelihood: 0.5})
		}
	}
	return all
}

// slug makes one word of a position's name.
func slug(name string) string { return strings.Join(strings.Fields(name), "-") }

func newSwitch(spec Spec) *Switch {
	sw := &Switch{spec: spec, ohms: spec.Values["contact"], openIn: -1, weldedIn: -1}
	for i, p := range spec.Positions {
		for _, join := range p.Joins {
			a, b := slices.Index(spec.Terminals, join[0]), slices.Index(spec.Terminals, join[1])
			sw.contactOf(min(a, b), max(a, b)).joined[i] = true
		}
	}
	return sw
}

// contactOf returns the contact between two terminals, adding it if it is new.
func (w *Switch) contactOf(a, b int) *contact {
	k := slices.IndexFunc(w.contacts, func(c contact) bool { return c.a == a && c.b == b })
	if k < 0 {
		k = len(w.contacts)
		w.contacts = append(w.contacts, contact{a: a, b: b, joined: make([]bool, len(w.spec.Positions))})
	}
	return &w.contacts[k]
}

// Build implements Device.
func (w *Switch) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	for i := range w.contacts {
		c := &w.contacts[i]
		c.branch = n.Add(name+" "+w.spec.Terminals[c.a]+"-"+w.spec.Terminals[c.b], pins[c.a], pins[c.b], circuit.Resistor{Ohms: math.Inf(1)})
	}
}

// Stamp implements Device.
func (w *Switch) Stamp(s *circuit.Solver, _ Mode) {
	for i := range w.contacts {
		s.SetOhms(w.contacts[i].branch, w.contactOhms(&w.contacts[i]))
	}
}

func (w *Switch) contactOhms(c *contact) float64 {
	closed := c.joined[w.position]
	switch {
	case w.openIn == w.position:
		closed = false
	case w.weldedIn >= 0 && c.joined[w.weldedIn]:
		closed = true
	}
	switch {
	case !closed || w.name == "contact-open":
		return math.Inf(1)
	case w.name == "contact-burnt":
		return w.severity
	}
	return w.ohms
}

// Set implements Controlled. A position that does not exist is taken as the nearest that does.
func (w *Switch) Set(i int) { w.position = min(max(i, 0), len(w.spec.Positions)-1) }

// Position implements Controlled.
func (w *Switch) Position() int { return w.position }

// State implements Device: the position.
func (w *Switch) State() []float64 { return w.appendState(nil) }

func (w *Switch) appendState(dst []float64) []float64 { return append(dst, float64(w.position)) }

// SetState implements Device.
func (w *Switch) SetState(x []float64) { w.Set(int(x[0])) }

// Spoil implements Defective.
func (w *Switch) Spoil(defect string, severity float64) error {
	if err := w.put(defect, severity); err != nil {
		return err
	}
	w.openIn, w.weldedIn = -1, -1
	for i, p := range w.spec.Positions {
		switch w.name {
		case openIn + slug(p.Name):
			w.openIn = i
		case weldedIn + slug(p.Name):
			w.weldedIn = i
		}
	}
	return nil
}
