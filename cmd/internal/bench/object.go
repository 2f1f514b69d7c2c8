package bench

import (
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// object is a thing of the harness that has a card: kind "connector", "wire", "splice", "ground", "component" or "body".
type object struct{ kind, id string }

func (o object) none() bool { return o.kind == "" }

// place is the object's name in the text form of inspections and faults.
func (o object) place() string {
	switch o.kind {
	case "connector", "splice", "ground":
		return o.id
	case "body", "":
		return string(harness.Body)
	}
	return o.kind + " " + o.id
}

// title names it for people.
func (m *Model) title(o object) string {
	h := m.job.Harness
	switch o.kind {
	case "connector":
		if c := m.connector(o.id); c != nil {
			return join(c.ID, c.Title)
		}
	case "wire":
		return "wire " + o.id
	case "splice":
		return "splice " + o.id
	case "ground":
		for _, g := range h.Grounds {
			if g.ID == o.id {
				return join(g.ID, g.Title)
			}
		}
	case "component":
		if c := m.component(o.id); c != nil {
			return join(c.ID, c.Title)
		}
	case "body":
		return "bare metal of the body"
	}
	return o.id
}

func join(id, title string) string {
	if title == "" || title == id {
		return id
	}
	return id + " · " + title
}

func (m *Model) connector(id string) *harness.Connector {
	for i := range m.job.Harness.Connectors {
		if m.job.Harness.Connectors[i].ID == id {
			return &m.job.Harness.Connectors[i]
		}
	}
	return nil
}

// connectorOf returns the connector on which a component sits, nil if it is on studs.
func (m *Model) connectorOf(component string) *harness.Connector {
	for i := range m.job.Harness.Connectors {
		if m.job.Harness.Connectors[i].Component == component && component != "" {
			return &m.job.Harness.Connectors[i]
		}
	}
	return nil
}

func (m *Model) component(id string) *harness.Component {
	for i := range m.job.Harness.Components {
		if m.job.Harness.Components[i].ID == id {
			return &m.job.Harness.Components[i]
		}
	}
	return nil
}

func (m *Model) wire(id string) *harness.Wire {
	for i := range m.job.Harness.Wires {
		if m.job.Harness.Wires[i].ID == id {
			return &m.job.Harness.Wires[i]
		}
	}
	return nil
}

// objectOf returns the thing a point belongs to.
func (m *Model) objectOf(p harness.Point) object {
	info, ok := m.infos[p]
	if !ok {
		return object{}
	}
	switch info.Kind {
	case harness.CavityHalf:
		return object{"connector", info.Connector}
	case harness.SplicePoint:
		return object{"splice", info.Splice}
	case harness.GroundStud, harness.GroundRing:
		return object{"ground", info.Ground}
	case harness.PostStud, harness.PostRing:
		return object{"component", info.Component}
	case harness.BodyMetal:
		return object{"body", ""}
	}
	return object{}
}

// pointsOf returns the points that belong to an object, in the order of the harness.
func (m *Model) pointsOf(o object) []harness.Point {
	var out []harness.Point
	if o.kind == "wire" {
		if w := m.wire(o.id); w != nil {
			a, b := m.job.Harness.Ends(*w)
			return []harness.Point{a, b}
		}
		return nil
	}
	for _, r := range m.st.Reach {
		if m.objectOf(r.Point) == o {
			out = append(out, r.Point)
		}
	}
	return out
}

// owner returns the object that a place of the fault catalogue belongs to.
func (m *Model) owner(place string) object {
	kind, rest, _ := strings.Cut(place, " ")
	first, _, _ := strings.Cut(rest, " ")
	id, _, _ := strings.Cut(first, ".")
	switch kind {
	case "wire":
		return object{"wire", first}
	case "cavity":
		return object{"connector", id}
	case "splice":
		return object{"splice", first}
	case "crimp", "ring", "post": // at a cavity, on a ground point or on a component's stud
		switch {
		case m.connector(id) != nil:
			return object{"connector", id}
		case m.component(id) != nil:
			return object{"component", id}
		}
		return object{"ground", id}
	case "ground":
		return object{"ground", first}
	case "component", "fuse":
		return object{"component", first}
	}
	return object{}
}

// related returns the objects whose faults and repairs a card offers: a fuse or relay and the connector it sits in are
// one thing to a person.
func (m *Model) related(o object) []object {
	out := []object{o}
	switch o.kind {
	case "component":
		if c := m.connectorOf(o.id); c != nil {
			out = append(out, object{"connector", c.ID})
		}
	case "connector":
		if c := m.connector(o.id); c != nil && c.Component != "" {
			out = append(out, object{"component", c.Component})
		}
	}
	return out
}

// faultsOf returns what the catalogue says can be wrong with an object. It lists a short between two wires under one of them;
// a person may have chosen the other.
func (m *Model) faultsOf(objects ...object) []fault.Entry {
	var out []fault.Entry
	for _, o := range objects {
		for _, e := range m.faults {
			if m.owner(e.Fault.Place) == o {
				out = append(out, e)
			} else if f := e.Fault; f.Kind.BetweenWires() && o == (object{"wire", f.Other}) {
				e.Fault.Place, e.Fault.Other = o.place(), strings.TrimPrefix(f.Place, "wire ")
				e.Repair, e.Title = m.book.RepairFor(e.Fault), m.book.Title(e.Fault)
				out = append(out, e)
			}
		}
	}
	return out
}

// repairsOf returns what can be done to an object.
func (m *Model) repairsOf(objects ...object) []fault.Repair {
	var out []fault.Repair
	for _, o := range objects {
		for _, r := range m.repairs {
			if m.ownerOfRepair(r) == o {
				out = append(out, r)
			}
		}
	}
	return out
}

func (m *Model) ownerOfRepair(r fault.Repair) object {
	o := m.owner(r.Place)
	if o.none() {
		o = m.ownerOfID(r.Place)
	}
	return o
}

// ownerOfID finds what a bare id names.
func (m *Model) ownerOfID(id string) object {
	switch {
	case m.component(id) != nil:
		return object{"component", id}
	case m.connector(id) != nil:
		return object{"connector", id}
	case m.wire(id) != nil:
		return object{"wire", id}
	}
	return object{}
}
