package robot

import (
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// hand is a technician at a vehicle: what they can do there, and what they know from the sheet.
type hand struct {
	ex   attempt.Exercise // without its faults
	h    *harness.Harness
	a    *attempt.Attempt
	book *fault.Book
	good *harness.Machine // a healthy vehicle of the same sort: the table of good readings
	err  error            // the first that stopped the work

	tried   map[string]bool       // repairs made
	thought map[string][]supposed // by the outcome of a check
	looked  map[string]bool       // connectors, grounds, splices and wires looked at
	noticed []fault.Fault         // what was seen there, each once
}

func newHand(ex attempt.Exercise, a *attempt.Attempt) (*hand, error) {
	good, err := harness.NewMachine(ex.Harness)
	if err != nil {
		return nil, err
	}
	return &hand{ex: ex, h: ex.Harness, a: a, book: fault.NewBook(ex.Harness), good: good, tried: map[string]bool{}, thought: map[string][]supposed{}, looked: map[string]bool{}}, nil
}

// do does one thing. What is refused tells nothing, and the technician goes on.
func (h *hand) do(act attempt.Action) attempt.Observation {
	if h.err != nil {
		return attempt.Observation{}
	}
	obs, err := h.a.Do(act)
	if err != nil {
		h.err = err
	}
	if _, looks := act.(attempt.Inspect); looks {
		for _, f := range faultsIn(obs.Seen) {
			if !slices.ContainsFunc(h.noticed, func(g fault.Fault) bool { return g.Place == f.Place }) {
				h.noticed = append(h.noticed, f)
			}
		}
	}
	return obs
}

// stance is where all controls stand, in the order of the harness.
type stance []string

// rest is all controls at rest.
func (h *hand) rest() stance {
	var s stance
	for _, c := range h.h.Controls {
		s = append(s, c.Positions[0])
	}
	return s
}

// stanceOf is how a line of the check asks the controls to stand.
func (h *hand) stanceOf(line int) stance {
	s := h.rest()
	for _, set := range h.h.Check[line].Set {
		for i, c := range h.h.Controls {
			if c.ID == set.Control {
				s[i] = set.Position
			}
		}
	}
	return s
}

// set puts the controls so. Relays that clicked on the way are returned with what is noticed at the end.
func (h *hand) set(s stance) (obs attempt.Observation, clicked map[string]bool) {
	clicked = map[string]bool{}
	at := h.rest()
	for i, c := range h.h.Controls {
		at[i] = h.a.State().Controls[c.ID]
	}
	moves := h.h.Moves(at, s)
	for _, move := range moves {
		obs = h.do(attempt.Operate{Control: move.Control, Position: move.Position})
		for _, e := range obs.Events {
			switch e.What {
			case attempt.EventClickIn:
				clicked[e.Component] = true
			case attempt.EventClickOut:
				delete(clicked, e.Component)
			}
		}
	}
	if len(moves) == 0 {
		obs = h.do(attempt.Wait{Seconds: 1})
	}
	return obs, clicked
}

// trouble is a consumer that did not do in a line of the check what it should.
type trouble struct {
	line      int
	component string
	want, got string
	clicked   map[string]bool // relays heard to pull in
}

// check runs the lines of the normal-operation check and marks them, and returns all that was not as it should be.
func (h *hand) check() []trouble {
	var out []trouble
	for line := range h.h.Check {
		out = append(out, h.line(line)...)
	}
	h.set(h.rest())
	return out
}

// secondLook is how many seconds a technician waits before calling something wrong: a motor takes its time to run up and down.
const secondLook = 6

// line runs one line of the check and marks it.
func (h *hand) line(line int) []trouble {
	obs, clicked := h.set(h.stanceOf(line))
	out := h.wrong(line, obs, clicked)
	if len(out) > 0 {
		out = h.wrong(line, h.do(attempt.Wait{Seconds: secondLook}), clicked)
	}
	h.do(attempt.Mark{Line: line, Good: len(out) == 0})
	return out
}

// wrong lists what was noticed in a line of the check that should not be so.
func (h *hand) wrong(line int, obs attempt.Observation, clicked map[string]bool) []trouble {
	var out []trouble
	for _, e := range h.h.Check[line].Expect {
		if got := obs.Effects[e.Component]; got != e.Word {
			out = append(out, trouble{line, e.Component, e.Word, got, clicked})
		}
	}
	return out
}

// read measures between two points; ok is false when a lead cannot get there or the meter shows nothing.
func (h *hand) read(f meter.Function, red, black harness.Point) (v float64, ok bool) {
	if h.a.State().Dial != f && f == meter.Volts {
		h.do(attempt.Dial{Function: f})
	}
	var obs attempt.Observation
	for end, p := range [2]harness.Point{red, black} {
		if h.a.State().Leads[meter.Multimeter][end] != string(p) {
			if obs = h.do(attempt.Lead{Tool: meter.Multimeter, End: end, Point: p}); obs.Refused != "" {
				return 0, false
			}
		}
	}
	if h.a.State().Dial != f {
		h.do(attempt.Dial{Function: f})
	}
	d := h.a.State().Displays[meter.Multimeter]
	return d.Value, d.Valid
}

// lift takes the meter off.
func (h *hand) lift() {
	if h.a.State().Dial != meter.Off {
		h.do(attempt.Dial{Function: meter.Off})
	}
	for end, p := range h.a.State().Leads[meter.Multimeter] {
		if p != "" {
			h.do(attempt.Lead{Tool: meter.Multimeter, End: end})
		}
	}
}

// home puts everything back: controls at rest, the meter off, all mated but holders whose fuse was seen melted, the loom closed.
func (h *hand) home() {
	if h.a.State().Dial == meter.Ohms {
		h.do(attempt.Dial{Function: meter.Off})
	}
	h.set(h.rest())
	h.mate()
	for _, s := range h.h.Splices {
		if h.a.State().OpenLooms[s.ID] {
			h.do(attempt.CloseLoom{Splice: s.ID})
		}
	}
}

// mate takes the meter off and mates all but holders whose fuse was seen melted.
func (h *hand) mate() {
	h.lift()
	for _, c := range h.h.Connectors {
		if st := h.a.State(); st.Unplugged[c.ID] && !st.Fuses[c.ID].Blown {
			h.do(attempt.Plug{Connector: c.ID})
		}
	}
}

// refill puts a new fuse of the right rating into each holder whose fuse was seen melted.
func (h *hand) refill() {
	for _, c := range h.h.Connectors {
		if h.a.State().Fuses[c.ID].Blown {
			h.do(attempt.FitFuse{Connector: c.ID, Amps: h.ratingOf(c.ID)})
		}
	}
}

// look parts a connector if needed and looks into it; what is seen there is returned.
func (h *hand) look(connector string) []string {
	if h.connector(connector) == nil {
		return nil
	}
	if !h.a.State().Unplugged[connector] {
		if obs := h.do(attempt.Unplug{Connector: connector}); obs.Refused != "" {
			return nil
		}
	}
	return h.do(attempt.Inspect{Place: connector}).Seen
}

// unmended returns what was seen with own eyes and has not been repaired yet.
func (h *hand) unmended() (fault.Fault, bool) {
	for _, f := range h.noticed {
		if !h.tried[h.book.RepairFor(f).String()] {
			return f, true
		}
	}
	return fault.Fault{}, false
}

// faultsIn reads off what was seen the faults in it; fuses that are told by their look are left out.
func faultsIn(seen []string) []fault.Fault {
	var out []fault.Fault
	for _, s := range seen {
		if f, err := fault.Parse(s); err == nil {
			out = append(out, f)
		}
	}
	return out
}

// connector returns a connector of the harness, nil if there is none.
func (h *hand) connector(id string) *harness.Connector {
	for i := range h.h.Connectors {
		if h.h.Connectors[i].ID == id {
			return &h.h.Connectors[i]
		}
	}
	return nil
}

// component returns a component of the harness, nil if there is none.
func (h *hand) component(id string) *harness.Component {
	for i := range h.h.Components {
		if h.h.Components[i].ID == id {
			return &h.h.Components[i]
		}
	}
	return nil
}

// connectorOf returns the connector that a component sits in, "" if it has none.
func (h *hand) connectorOf(component string) string {
	for _, c := range h.h.Connectors {
		if c.Component == component {
			return c.ID
		}
	}
	return ""
}

// ratingOf is what the sheet says that a holder's fuse should carry.
func (h *hand) ratingOf(holder string) float64 {
	if c := h.connector(holder); c != nil {
		if p := h.component(c.Component); p != nil {
			return p.Spec.Values["rating"]
		}
	}
	return 0
}

// repair makes a repair, and remembers it. It reports whether it could be done.
func (h *hand) repair(r fault.Repair) bool {
	h.tried[r.String()] = true
	return h.do(attempt.Repair{Repair: r.String()}).Refused == ""
}

// declare declares a finding.
func (h *hand) declare(f fault.Fault) {
	if f.Kind != fault.WrongRating {
		f.Severity = 0
	}
	h.do(attempt.Find{Fault: f.String()})
}

// spent reports whether the day is over.
func (h *hand) spent() bool {
	return h.err != nil || float64(h.a.State().Ticks)*attempt.Tick/60 > longest
}

// level is how strong a word is among those of a component.
func (h *hand) level(component, word string) int {
	c := h.component(component)
	if c == nil {
		return 0
	}
	return max(0, slices.Index(words(c.Spec.Kind), word))
}

// sighted reports whether the place was looked at, so that what can be seen there would have been.
func (h *hand) sighted(place string) bool {
	_, name, _ := strings.Cut(place, " ")
	id, _, _ := strings.Cut(name, ".")
	first, _, _ := strings.Cut(name, " ")
	if h.looked[name] || h.looked[id] || h.looked[first] {
		return true
	}
	return strings.HasPrefix(place, "component ") && h.looked[h.connectorOf(name)]
}
