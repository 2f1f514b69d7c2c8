package harness

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/device"
)

// Limits of plain numbers in a harness. They catch slips of the pen, not bad design.
const (
	maxMetres  = 1000 // longer than any vehicle's wire
	maxSize    = 240  // mm², the largest of the usual metric sizes
	maxAccess  = 36000
	maxContact = 1000 // ohms of a contact that is called good
	minAmbient = -60
	maxAmbient = 150
	maxVolts   = 1000
	maxID      = 40 // characters
)

// colours are the letter codes of IEC 60757, table 1; GNYE is one colour of its own.
var colours = [...]string{"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR", "GNYE"}

// validation collects what is wrong.
type validation struct {
	h    *Harness
	ix   *index
	errs []error
	used map[Point]string // metal that takes one wire only -> the wire that has it
}

func (v *validation) bad(format string, args ...any) {
	v.errs = append(v.errs, fmt.Errorf(format, args...))
}

// Validate returns all that is wrong with the harness, in a fixed order, nil if nothing is. It needs no file: loaders
// report places in files themselves. Every error names the thing, the value and what would be right.
func (h *Harness) Validate() []error {
	v := &validation{h: h, ix: newIndex(h), used: map[Point]string{}}
	v.vehicle()
	v.ids()
	for _, c := range h.Components {
		v.component(c)
	}
	for _, c := range h.Connectors {
		v.connector(c)
	}
	for i, w := range h.Wires {
		v.wire(i, w)
	}
	for _, s := range h.Splices {
		v.splice(s)
	}
	for _, g := range h.Grounds {
		v.seconds(fmt.Sprintf("ground point %q", g.ID), g.Access)
	}
	for _, c := range h.Controls {
		v.control(c)
	}
	v.messages()
	for i, l := range h.Check {
		v.checkLine(i, l)
	}
	return v.errs
}

func (v *validation) vehicle() {
	if x := v.h.Vehicle.Volts; !(x > 0 && x <= maxVolts) {
		v.bad("vehicle: nominal supply must be above 0 and at most %d V (got %g)", maxVolts, x)
	}
	if x := v.h.Vehicle.Celsius; !(x >= minAmbient && x <= maxAmbient) {
		v.bad("vehicle: ambient temperature must be from %d to %d degC (got %g)", minAmbient, maxAmbient, x)
	}
}

// ids checks that every id can stand in a point's text and names one thing only. Things that points are made of share one
// space of names, but a connector may carry the id of its own component; wires and controls have one space each.
func (v *validation) ids() {
	things := map[string]string{string(Body): "the body"}
	wires, controls := map[string]string{}, map[string]string{}
	for _, c := range v.h.Components {
		v.id(things, "component", c.ID)
	}
	for _, c := range v.h.Connectors {
		if c.ID != c.Component || c.ID == "" { // a component's own plug may carry its name: K1.86.a cannot be mistaken
			v.id(things, "connector", c.ID)
		}
	}
	for _, s := range v.h.Splices {
		v.id(things, "splice", s.ID)
	}
	for _, g := range v.h.Grounds {
		v.id(things, "ground point", g.ID)
	}
	for _, w := range v.h.Wires {
		v.id(wires, "wire", w.ID)
		if w.ID == "a" || w.ID == "b" {
			v.bad("wire %q: a and b name the halves of connectors; give the wire another id", w.ID)
		}
	}
	for _, c := range v.h.Controls {
		v.id(controls, "control", c.ID)
	}
}

func (v *validation) id(taken map[string]string, what, id string) {
	if err := checkID(id); err != "" {
		v.bad("%s %q: id %s", what, id, err)
	}
	if other, ok := taken[id]; ok {
		v.bad("%s %q: the id is taken by %s; ids must differ", what, id, other)
		return
	}
	taken[id] = "another " + what
}

// checkID returns what is wrong with an id, "" if nothing is.
func checkID(id string) string {
	if id == "" {
		return "must not be empty"
	}
	if len(id) > maxID {
		return fmt.Sprintf("must have at most %d characters", maxID)
	}
	for _, r := range id {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
		if !letter && r != '-' && r != '_' && r != '/' && r != '+' {
			return fmt.Sprintf("must be of letters, digits, - _ / + only (got %q)", r)
		}
	}
	return ""
}

func (v *validation) component(c Component) {
	kind, ok := device.Lookup(c.Spec.Kind)
	if !ok {
		v.bad("component %q: unknown kind %q; want one of %s", c.ID, c.Spec.Kind, kindNames())
		return
	}
	if _, err := device.New(c.Spec); err != nil {
		v.bad("component %q: %w", c.ID, err)
	}
	for i, t := range c.Spec.Terminals {
		if err := checkID(t); err != "" {
			v.bad("component %q: terminal %q %s", c.ID, t, err)
		}
		if slices.Contains(c.Spec.Terminals[:i], t) {
			v.bad("component %q: terminal %q is there twice", c.ID, t)
		}
	}
	v.seconds(fmt.Sprintf("component %q", c.ID), c.Access)
	if c.Control == "" {
		return
	}
	k, ok := v.ix.controls[c.Control]
	if !ok {
		v.bad("component %q: there is no control %q", c.ID, c.Control)
		return
	}
	names := positions(c.Spec)
	if len(names) == 0 {
		v.bad("component %q: a %s has no positions, so control %q cannot move it", c.ID, kind.Title, c.Control)
	}
	for _, p := range v.h.Controls[k].Positions {
		if len(names) > 0 && !slices.Contains(names, p) {
			v.bad("component %q: control %q has a position %q that the component lacks; it has %s",
				c.ID, c.Control, p, strings.Join(names, ", "))
		}
	}
}

// positions returns the names of a component's positions in its own order.
func positions(s device.Spec) []string {
	var names []string
	for _, p := range s.Positions {
		names = append(names, p.Name)
	}
	return names
}

func kindNames() string {
	var names []string
	for _, k := range device.Kinds() {
		names = append(names, k.Name)
	}
	return strings.Join(names, ", ")
}

func (v *validation) connector(c Connector) {
	switch c.Mount {
	case InLine:
		if c.Component != "" {
			v.bad("connector %q: an in-line connector has no component (got %q)", c.ID, c.Component)
		}
	case Plug, Socket, Holder:
		v.mounted(c)
	default:
		v.bad("connector %q: mount must be %s, %s, %s or %s (got %q)", c.ID, InLine, Plug, Socket, Holder, c.Mount)
	}
	if len(c.Cavities) == 0 {
		v.bad("connector %q: needs at least one cavity", c.ID)
	}
	if !(c.Ohms >= 0 && c.Ohms <= maxContact) {
		v.bad("connector %q: contact resistance must be from 0 (the usual one) to %d ohm (got %g)", c.ID, maxContact, c.Ohms)
	}
	v.seconds(fmt.Sprintf("connector %q", c.ID), c.Access)
	seen := map[string]bool{}
	for _, cav := range c.Cavities {
		if err := checkID(cav.Number); err != "" {
			v.bad("connector %q: cavity number %q %s", c.ID, cav.Number, err)
		}
		if seen[cav.Number] {
			v.bad("connector %q: cavity %q is there twice", c.ID, cav.Number)
		}
		seen[cav.Number] = true
		v.cavity(c, cav)
	}
}

func (v *validation) mounted(c Connector) {
	spec := v.ix.spec(c.Component)
	if spec == nil {
		v.bad("connector %q: a %s needs the component it leads to; there is no component %q", c.ID, c.Mount, c.Component)
		return
	}
	d, err := device.New(*spec)
	if err != nil {
		return // said at the component
	}
	if _, fuse := d.(*device.Fuse); c.Mount == Holder && !fuse {
		v.bad("connector %q: a holder holds a fuse; %q is of kind %q", c.ID, c.Component, spec.Kind)
	}
}

func (v *validation) cavity(c Connector, cav Cavity) {
	if cav.Terminal == "" {
		return
	}
	spec := v.ix.spec(c.Component)
	if spec == nil {
		if c.Mount == InLine {
			v.bad("connector %q: cavity %q of an in-line connector leads to no terminal (got %q)", c.ID, cav.Number, cav.Terminal)
		}
		return
	}
	if all := terminals(*spec); !slices.Contains(all, cav.Terminal) {
		v.bad("connector %q: cavity %q: %q has no terminal %q; it has %s",
			c.ID, cav.Number, c.Component, cav.Terminal, strings.Join(all, ", "))
		return
	}
	here := CavityPoint(c.ID, cav.Number, "b")
	if p := v.ix.pin[pinKey{c.Component, cav.Terminal}]; p != here {
		v.bad("connector %q: cavity %q: terminal %q of %q is already at %s", c.ID, cav.Number, cav.Terminal, c.Component, p)
	}
}

func (v *validation) wire(i int, w Wire) {
	if !(w.Metres > 0 && w.Metres <= maxMetres) {
		v.bad("wire %q: length must be above 0 and at most %d m (got %g)", w.ID, maxMetres, w.Metres)
	}
	if !(w.Size > 0 && w.Size <= maxSize) {
		v.bad("wire %q: size must be above 0 and at most %d mm² (got %g)", w.ID, maxSize, w.Size)
	}
	if err := checkColour(w.Colour); err != "" {
		v.bad("wire %q: colour %s (got %q)", w.ID, err, w.Colour)
	}
	ends := v.ix.ends[i]
	for k, end := range [2]Point{w.From, w.To} {
		v.wireEnd(w, []string{"from", "to"}[k], end, ends[k])
	}
	if w.From == w.To && w.From != "" {
		v.bad("wire %q: both ends are at %s", w.ID, w.From)
	}
}

func (v *validation) wireEnd(w Wire, which string, end, metal Point) {
	k, ok := v.ix.place[metal]
	if !ok {
		v.bad("wire %q: %s %q is no cavity half, splice, ground point or component stud of this harness", w.ID, which, end)
		return
	}
	info := v.ix.infos[k]
	switch info.Kind {
	case BodyMetal:
		v.bad("wire %q: %s body: a wire ends on a ground point, not on bare metal", w.ID, which)
	case CavityHalf:
		if info.Half == "b" && v.h.Connectors[v.ix.connectors[info.Connector]].Mount != InLine {
			v.bad("wire %q: %s %s is the component's own half; the wire goes into half a", w.ID, which, metal)
		}
		if other, taken := v.used[metal]; taken {
			v.bad("wire %q: %s %s holds wire %q already; a cavity takes one wire, join others in a splice", w.ID, which, metal, other)
		}
		v.used[metal] = w.ID
	case GroundRing, PostRing:
		if info.Wires[0] != w.ID {
			v.bad("wire %q: %s %s is the ring terminal of wire %q", w.ID, which, end, info.Wires[0])
		}
	}
}

// checkColour returns what is wrong with a colour, "" if nothing is.
func checkColour(colour string) string {
	parts := strings.Split(colour, "/")
	ok := len(parts) <= 2
	for _, p := range parts {
		ok = ok && slices.Contains(colours[:], p)
	}
	if ok {
		return ""
	}
	return "must be a code of IEC 60757 with at most one tracer after a slash, such as RD or RD/WH; codes are " +
		strings.Join(colours[:], " ")
}

func (v *validation) splice(s Splice) {
	v.seconds(fmt.Sprintf("splice %q", s.ID), s.Access)
	n := 0
	for _, ends := range v.ix.ends {
		for _, p := range ends {
			if p == Point(s.ID) {
				n++
			}
		}
	}
	if n < 3 {
		v.bad("splice %q: joins at least 3 wire ends (got %d)", s.ID, n)
	}
}

func (v *validation) control(c Control) {
	if len(c.Positions) < 2 {
		v.bad("control %q: needs at least 2 positions (got %d)", c.ID, len(c.Positions))
	}
	for i, p := range c.Positions {
		if p == "" {
			v.bad("control %q: position %d has no name", c.ID, i+1)
		}
		if slices.Contains(c.Positions[:i], p) {
			v.bad("control %q: position %q is there twice", c.ID, p)
		}
	}
	for _, list := range []struct {
		what  string
		names []string
	}{{"shakes", c.Shakes}, {"hot", c.Hot}} {
		for _, p := range list.names {
			if !slices.Contains(c.Positions, p) {
				v.bad("control %q: %s: there is no position %q; it has %s", c.ID, list.what, p, strings.Join(c.Positions, ", "))
			}
		}
	}
	for i, s := range c.Stands {
		switch {
		case !slices.Contains(c.Positions, s.Position):
			v.bad("control %q: stands: there is no position %q; it has %s", c.ID, s.Position, strings.Join(c.Positions, ", "))
		case s.Position == c.Positions[0]:
			v.bad("control %q: stands: position %q is the one at rest; time passes when a control is moved to another", c.ID, s.Position)
		case slices.ContainsFunc(c.Stands[:i], func(o Stand) bool { return o.Position == s.Position }):
			v.bad("control %q: stands: position %q is there twice", c.ID, s.Position)
		case !(s.Seconds >= LeastStand && s.Seconds <= MostStand):
			v.bad("control %q: stands: position %q: the time must be from %g to %g s (got %g)", c.ID, s.Position, LeastStand, MostStand, s.Seconds)
		}
	}
	for _, comp := range v.h.Components {
		if comp.Control == c.ID {
			return
		}
	}
	if len(c.Shakes) == 0 && len(c.Hot) == 0 && len(c.Stands) == 0 {
		v.bad("control %q: moves no component", c.ID)
	}
}

func (v *validation) checkLine(i int, l CheckLine) {
	for k, s := range l.Set {
		c, ok := v.ix.controls[s.Control]
		if !ok {
			v.bad("check line %d: there is no control %q", i+1, s.Control)
			continue
		}
		if all := v.h.Controls[c].Positions; !slices.Contains(all, s.Position) {
			v.bad("check line %d: control %q has no position %q; it has %s", i+1, s.Control, s.Position, strings.Join(all, ", "))
		}
		for _, earlier := range l.Set[:k] {
			if earlier.Control == s.Control {
				v.bad("check line %d: control %q is set twice", i+1, s.Control)
			}
		}
	}
	if len(l.Expect) == 0 {
		v.bad("check line %d: expects nothing; name a component and what it should be noticed doing", i+1)
	}
	for _, e := range l.Expect {
		v.expect(i, e)
	}
}

func (v *validation) expect(i int, e Expect) {
	spec := v.ix.spec(e.Component)
	if spec == nil {
		v.bad("check line %d: there is no component %q", i+1, e.Component)
		return
	}
	kind, ok := device.Lookup(spec.Kind)
	if !ok {
		return // said at the component
	}
	if len(kind.Words) == 0 {
		v.bad("check line %d: nothing is noticed of %q (%s)", i+1, e.Component, kind.Title)
		return
	}
	if !slices.Contains(kind.Words, e.Word) {
		v.bad("check line %d: %q is never %q; a %s is %s", i+1, e.Component, e.Word, kind.Title, strings.Join(kind.Words, ", "))
	}
}

func (v *validation) seconds(what string, x float64) {
	if !(x >= 0 && x <= maxAccess) {
		v.bad("%s: bench time for access must be from 0 to %d s (got %g)", what, maxAccess, x)
	}
}
