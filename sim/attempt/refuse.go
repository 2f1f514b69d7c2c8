package attempt

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// refuse says in plain words why the action cannot be done now, "" when it can. It changes nothing, and what it says
// follows from what the person can see: never from the fault.
func (w *world) refuse(t *track, act Action) string {
	h := w.ex.Harness
	switch act := act.(type) {
	case Operate:
		return w.refuseOperate(act)
	case Mark:
		if act.Line >= len(h.Check) {
			return fmt.Sprintf("the check has no line %d; it ends at %d", act.Line+1, len(h.Check))
		}
	case Dial:
		return w.refuseDial(act)
	case Relative:
		return w.refuseRelative(act)
	case Capture:
		return w.refuseCapture(act)
	case Zero:
		switch {
		case !w.bench.Has(act.Tool):
			return "there is no " + act.Tool.Title() + " in this exercise"
		case act.Tool != meter.Clamp:
			return "the " + act.Tool.Title() + " has no zero to set"
		}
	case Sweep:
		if !w.bench.Has(meter.TraceView) {
			return "there is no trace view in this exercise"
		}
	case Lead:
		return w.refuseLead(act)
	case Unplug:
		switch c, ok := connector(h, act.Connector); {
		case !ok:
			return "there is no connector " + act.Connector + " on this vehicle"
		case t.parted[c.ID]:
			return c.ID + " is apart already"
		}
	case Plug:
		switch c, ok := connector(h, act.Connector); {
		case !ok:
			return "there is no connector " + act.Connector + " on this vehicle"
		case !t.parted[c.ID]:
			return c.ID + " is mated already"
		}
		return w.inTheWay(act.Connector)
	case OpenLoom, CloseLoom:
		return w.refuseLoom(t, act)
	case Ask:
		if w.ex.Mode == Graded {
			return "there is no coach in a graded exercise"
		}
		if act.Point != "" && w.m.Info(act.Point).Kind == "" {
			return fmt.Sprintf("there is no point %s on this vehicle", act.Point)
		}
	case Inspect:
		return w.lookable(act.Place)
	case Wiggle, Warm, Cool:
		return w.refuseProvoking(act)
	case Find:
		f, err := fault.Parse(act.Fault)
		if err == nil {
			err = w.book.Check(f)
		}
		if err != nil {
			return err.Error()
		}
	case Repair:
		r, err := fault.ParseRepair(act.Repair)
		if err != nil {
			return err.Error()
		}
		if !w.book.CanRepair(r) {
			return fmt.Sprintf("there is nothing on this vehicle to %s", r)
		}
		if word, id, _ := strings.Cut(r.Place, " "); word == "fuse" {
			return w.inTheWay(w.holder(id))
		}
	case FitFuse:
		return w.refuseFuse(t, act)
	case ResetFuse:
		switch {
		case !w.bench.Has(act.Tool):
			return "there is no " + act.Tool.Title() + " in this exercise"
		case act.Tool != meter.Multimeter && act.Tool != meter.Jumper:
			return "the " + act.Tool.Title() + " has no fuse"
		case !w.bench.Blown(act.Tool):
			return "the fuse in the " + act.Tool.Title() + " is whole"
		}
	}
	return ""
}

func (w *world) refuseOperate(act Operate) string {
	for _, c := range w.ex.Harness.Controls {
		if c.ID != act.Control {
			continue
		}
		if !slices.Contains(c.Positions, act.Position) {
			return fmt.Sprintf("%s has no position %q; it has %s", act.Control, act.Position, strings.Join(c.Positions, ", "))
		}
		return ""
	}
	return "there is no control " + act.Control + " on this vehicle"
}

func (w *world) refuseDial(act Dial) string {
	switch {
	case !w.bench.Has(meter.Multimeter):
		return "there is no multimeter in this exercise"
	case !w.bench.Offers(act.Function):
		return "the meter's " + string(act.Function) + " may not be used in this exercise"
	}
	return ""
}

func (w *world) refuseRelative(act Relative) string {
	switch {
	case !w.bench.Has(meter.Multimeter):
		return "there is no multimeter in this exercise"
	case act.On == w.bench.Relative():
		return map[bool]string{true: "the meter shows the difference already", false: "the meter shows the reading as it is"}[act.On]
	case act.On && !w.bench.Shows():
		return "the meter shows no number that could be subtracted"
	}
	return ""
}

func (w *world) refuseCapture(act Capture) string {
	switch {
	case !w.bench.Has(meter.Multimeter):
		return "there is no multimeter in this exercise"
	case act.On == w.bench.Capturing():
		return map[bool]string{true: "the meter keeps the extremes already", false: "the meter does not keep the extremes"}[act.On]
	case act.On && w.bench.Function() == meter.Off:
		return "the meter is off"
	}
	return ""
}

func (w *world) refuseLead(act Lead) string {
	switch {
	case !w.bench.Has(act.Tool):
		return "there is no " + act.Tool.Title() + " in this exercise"
	case act.Tool.Ends()[act.End] == "":
		return "the " + act.Tool.Title() + " has one end only"
	}
	if act.Point == "" {
		if w.bench.Leads(act.Tool)[act.End] == "" {
			return act.Tool.Ends()[act.End] + " is not on anything"
		}
		return ""
	}
	switch act.Tool.Grip() {
	case meter.AroundWire:
		if !slices.ContainsFunc(w.ex.Harness.Wires, func(x harness.Wire) bool { return meter.WirePlace(x.ID) == act.Point }) {
			return fmt.Sprintf("the %s goes around one wire, such as \"wire %s\"; there is no %q on this vehicle", act.Tool.Title(), w.someWire(), act.Point)
		}
		return ""
	case meter.InUnit:
		if _, ok := w.m.Device(strings.TrimPrefix(string(act.Point), "component ")).(device.DataLister); !ok {
			return fmt.Sprintf("%s has no diagnostic socket", act.Point)
		}
		return ""
	}
	_, why := w.m.Reach(act.Point)
	return why
}

// someWire is the id of the harness's first wire, for an example.
func (w *world) someWire() string {
	for _, x := range w.ex.Harness.Wires {
		return x.ID
	}
	return ""
}

func (w *world) refuseLoom(t *track, act Action) string {
	id, opening := "", false
	switch act := act.(type) {
	case OpenLoom:
		id, opening = act.Splice, true
	case CloseLoom:
		id = act.Splice
	}
	if !slices.ContainsFunc(w.ex.Harness.Splices, func(s harness.Splice) bool { return s.ID == id }) {
		return "there is no splice " + id + " on this vehicle"
	}
	switch {
	case opening && t.open[id]:
		return "the loom is open at " + id + " already"
	case !opening && !t.open[id]:
		return "the loom is closed at " + id + " already"
	case !opening:
		return w.lifted(func(p harness.Point) bool { return p == harness.Point(id) })
	}
	return ""
}

// refuseFuse lets a fuse be fitted where there is room for one: into a holder whose fuse was pulled, or was seen blown.
func (w *world) refuseFuse(t *track, act FitFuse) string {
	c, ok := connector(w.ex.Harness, act.Connector)
	if !ok || c.Mount != harness.Holder || w.m.Fuse(c.ID) == nil {
		return "there is no fuse holder " + act.Connector + " on this vehicle"
	}
	made := w.ratings(c.Component)
	if !slices.Contains(made, act.Amps) {
		var list []string
		for _, a := range made {
			list = append(list, number(a))
		}
		return fmt.Sprintf("there is no %s A fuse of this size; they come in %s A", number(act.Amps), strings.Join(list, ", "))
	}
	if !t.parted[c.ID] && !t.fuses[c.ID].Blown {
		return "there is a fuse in " + c.ID + " already: pull it first"
	}
	return w.inTheWay(c.ID)
}

// ratings lists the fuses that fit where a component is, the one that the harness asks for among them.
func (w *world) ratings(component string) []float64 {
	made := device.FuseRatings()
	for _, c := range w.ex.Harness.Components {
		if c.ID == component && c.Spec.Kind == "large-fuse" {
			made = device.LargeFuseRatings()
		}
	}
	if own := ratedAmps(w.ex.Harness, component); !slices.Contains(made, own) {
		made = append(made, own)
		slices.Sort(made)
	}
	return made
}

// inTheWay says which lead keeps a connector from being mated: one that touches what will be hidden then.
func (w *world) inTheWay(connector string) string {
	if w.m.Plugged(connector) {
		return ""
	}
	if err := w.m.Plug(connector); err != nil {
		return err.Error()
	}
	why := w.lifted(func(p harness.Point) bool {
		ok, _ := w.m.Reach(p)
		return !ok
	})
	if err := w.m.Unplug(connector); err != nil {
		return err.Error()
	}
	return why
}

// lifted says which lead is on a hidden point, "" when none is.
func (w *world) lifted(hidden func(harness.Point) bool) string {
	for _, tool := range meter.Tools() {
		for end, p := range w.bench.Leads(tool) {
			if p != "" && tool.Grip() == meter.AtPoint && hidden(p) {
				return fmt.Sprintf("%s is in the way at %s: take it off first", tool.Ends()[end], p)
			}
		}
	}
	return ""
}
