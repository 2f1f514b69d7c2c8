package attempt

import (
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// The stages of the plan, in their order.
const (
	StageConfirm = "confirm"
	StageIsolate = "isolate"
	StageRepair  = "repair"
	StageRetest  = "retest"
)

// track is what follows from the records alone: where the controls stand, what is apart, what the person knows, and which
// stage of the plan they are in. It is moved by every record that was not refused.
type track struct {
	h    *harness.Harness
	book *fault.Book

	controls map[string]string
	parted   map[string]bool
	open     map[string]bool
	accessed map[string]bool
	fuses    map[string]FuseState
	dial     meter.Function
	relative bool
	capture  bool
	leads    map[meter.Tool][2]harness.Point

	stage   string
	marks   []int
	shown   []bool
	finding string
	repairs []string
	closed  bool
}

func newTrack(h *harness.Harness) *track {
	t := &track{
		h: h, book: fault.NewBook(h),
		controls: map[string]string{}, parted: map[string]bool{}, open: map[string]bool{}, accessed: map[string]bool{},
		fuses: map[string]FuseState{}, leads: map[meter.Tool][2]harness.Point{}, dial: meter.Off,
		stage: StageConfirm, marks: make([]int, len(h.Check)), shown: make([]bool, len(h.Check)),
	}
	for _, c := range h.Controls {
		if len(c.Positions) > 0 {
			t.controls[c.ID] = c.Positions[0]
		}
	}
	for _, c := range h.Connectors {
		if c.Mount == harness.Holder {
			t.fuses[c.ID] = FuseState{Fitted: true}
		}
	}
	t.look()
	return t
}

// clone returns a copy that can be moved on its own.
func (t *track) clone() *track {
	c := *t
	c.controls, c.parted, c.open, c.accessed = copied(t.controls), copied(t.parted), copied(t.open), copied(t.accessed)
	c.fuses, c.leads = copied(t.fuses), copied(t.leads)
	c.marks = append([]int(nil), t.marks...)
	c.shown = append([]bool(nil), t.shown...)
	c.repairs = append([]string(nil), t.repairs...)
	return &c
}

func copied[K comparable, V any](m map[K]V) map[K]V {
	c := make(map[K]V, len(m))
	for k, v := range m {
		c[k] = v
	}
	return c
}

// take moves the track by one record and returns the stage that the record belongs to.
func (t *track) take(rec Record) string {
	if rec.Observation.Refused != "" {
		return t.stage
	}
	before := t.stage
	t.turn(rec.Action)
	switch act := rec.Action.(type) {
	case Operate:
		t.controls[act.Control] = act.Position
	case Mark:
		if act.Line < len(t.marks) {
			t.marks[act.Line] = map[bool]int{true: 1, false: -1}[act.Good]
		}
	case Dial:
		t.dial, t.relative, t.capture = act.Function, false, false
	case Relative:
		t.relative = act.On
	case Capture:
		t.capture = act.On
	case Lead:
		ends := t.leads[act.Tool]
		ends[act.End] = act.Point
		t.leads[act.Tool] = ends
	case Unplug:
		t.parted[act.Connector] = true
		t.forget(act.Connector)
	case Plug:
		delete(t.parted, act.Connector)
		t.forget(act.Connector)
	case OpenLoom:
		t.open[act.Splice] = true
	case CloseLoom:
		delete(t.open, act.Splice)
	case Inspect:
		t.learn(rec.Observation.Seen)
	case Find:
		t.finding = act.Fault
	case Repair:
		t.repairs = append(t.repairs, act.Repair)
	case FitFuse:
		delete(t.parted, act.Connector)
		t.fuses[act.Connector] = FuseState{Fitted: true, Amps: act.Amps, Looked: true}
		if t.isRepair(act) {
			t.repairs = append(t.repairs, t.fuseRepair(act).String())
		}
	case Close:
		t.closed = true
	}
	if rep, ok := rec.Action.(Repair); ok {
		t.newPart(rep)
	}
	for _, id := range t.reached(rec.Action) {
		t.accessed[id] = true
	}
	t.refresh(before, rec.Action)
	t.look()
	return t.stage
}

// turn moves to the stage that the action belongs to. Confirming lasts until something is touched; testing is
// isolating; the first repair begins repairing; operating the vehicle after a repair is retesting, and taking something
// apart again, or naming another cause, isolating again.
func (t *track) turn(act Action) {
	switch {
	case t.isRepair(act):
		t.stage = StageRepair
	case t.stage == StageConfirm:
		if touches(act) {
			t.stage = StageIsolate
		}
	case t.stage == StageRepair || t.stage == StageRetest:
		switch act := act.(type) {
		case Operate, Mark, Wiggle, Warm, Cool:
			t.stage = StageRetest
		case Lead:
			if act.Point != "" {
				t.stage = StageRetest
			}
		case Unplug, OpenLoom, Find, FitFuse:
			t.stage = StageIsolate
		}
	}
}

// touches reports whether the action ends confirming, which is done with nothing touched.
func touches(act Action) bool {
	switch act := act.(type) {
	case Lead:
		return act.Point != ""
	case Unplug, OpenLoom, Inspect, Wiggle, Warm, Cool, Find, Repair, FitFuse:
		return true
	}
	return false
}

// isRepair reports whether the action is a repair: every Repair is, and a fuse fitted when that is what the person's own
// finding asks for. A fuse fitted on the way to the cause is a test.
func (t *track) isRepair(act Action) bool {
	switch act := act.(type) {
	case Repair:
		return true
	case FitFuse:
		f, err := fault.Parse(t.finding)
		return err == nil && t.book.RepairFor(f) == t.fuseRepair(act)
	}
	return false
}

func (t *track) fuseRepair(act FitFuse) fault.Repair {
	c, _ := connector(t.h, act.Connector)
	return fitFuse(c.Component)
}

// fitFuse is the repair that puts a new fuse of the right rating in.
func fitFuse(component string) fault.Repair {
	return fault.Repair{Verb: "fit", Place: "fuse " + component}
}

// refresh wipes the marks when the vehicle they were made on is no longer the same: at each repair, and when something
// is taken apart after one. The marks of confirming stay until then.
func (t *track) refresh(before string, act Action) {
	switch {
	case t.stage == StageRepair && t.isRepair(act):
	case before == StageRetest && t.stage == StageIsolate && touches(act):
	default:
		return
	}
	t.marks = make([]int, len(t.marks))
	t.shown = make([]bool, len(t.shown))
}

// look notes which lines of the check can be seen now: the controls stand as the line asks, those it does not name are at
// rest, and nothing is apart.
func (t *track) look() {
	if t.apart() {
		return
	}
	for i, line := range t.h.Check {
		if t.matches(line) {
			t.shown[i] = true
		}
	}
}

func (t *track) matches(line harness.CheckLine) bool {
	for _, c := range t.h.Controls {
		want := ""
		if len(c.Positions) > 0 {
			want = c.Positions[0]
		}
		for _, s := range line.Set {
			if s.Control == c.ID {
				want = s.Position
			}
		}
		if t.controls[c.ID] != want {
			return false
		}
	}
	return true
}

// apart reports whether something is parted or open, or a tool that feeds or loads the circuit hangs on it.
func (t *track) apart() bool {
	if len(t.parted) > 0 || len(t.open) > 0 {
		return true
	}
	for _, tool := range meter.Tools() {
		ends := t.leads[tool]
		if ends[0] == "" || ends[1] == "" {
			continue
		}
		if passive := tool.Passive() || tool == meter.Multimeter && t.dial.Passive(); !passive {
			return true
		}
	}
	return false
}

// forget drops what was known of a fuse's element: it may have melted since it was looked at. One that was seen melted stays
// so.
func (t *track) forget(connector string) {
	if f, ok := t.fuses[connector]; ok && !f.Blown {
		f.Looked = false
		t.fuses[connector] = f
	}
}

// learn takes in what an inspection showed of fuses.
func (t *track) learn(seen []string) {
	for _, s := range seen {
		id, amps, state, ok := parseFuseSeen(s)
		if !ok {
			continue
		}
		for _, c := range t.h.Connectors {
			f, holder := t.fuses[c.ID]
			if !holder || c.Component != id {
				continue
			}
			f.Amps = amps
			if state != fuseUnseen {
				f.Looked, f.Blown = true, state == fuseMelted
			}
			t.fuses[c.ID] = f
		}
	}
}

// newPart makes a fuse known to be new, and in its holder, when a repair put it in.
func (t *track) newPart(act Repair) {
	r, err := fault.ParseRepair(act.Repair)
	if err != nil {
		return
	}
	for _, c := range t.h.Connectors {
		f, holder := t.fuses[c.ID]
		if holder && r == fitFuse(c.Component) {
			f.Amps, f.Looked, f.Blown = ratedAmps(t.h, c.Component), true, false
			t.fuses[c.ID] = f
			delete(t.parted, c.ID)
		}
	}
}

// ratedAmps is the rating that the harness asks for, in amperes; 0 for what is no fuse.
func ratedAmps(h *harness.Harness, component string) float64 {
	for _, c := range h.Components {
		if c.ID == component {
			return c.Spec.Values["rating"]
		}
	}
	return 0
}
