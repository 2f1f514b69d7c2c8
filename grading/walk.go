package grading

import (
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// walk is one pass over the log that collects the facts the stages are judged by. Indexes are into records.
type walk struct {
	ex      *attempt.Exercise
	book    *fault.Book
	records []attempt.Record

	firstTouch  int // first action that disturbed the vehicle; len(records) if none
	firstRepair int // first repair or part fitted; len(records) if none
	closed      bool

	lines    []lineRun
	findings []finding
	repairs  []repairDone
	tests    []int // actions that could tell something about the cause: a reading, an inspection, a part taken out
	hazards  []hazard
	fuses    map[string]int // fuses fitted, by holder
	unseen   []int          // fuses fitted of which the old one had not been looked at
	blind    []int          // of these the ones that mended nothing, with no repair before them after which a melted one is renewed

	now      bench
	evidence []*Evidence // by fault
	faults   []standing  // the exercise's faults and when each was mended
}

// lineRun is one line of the normal-operation check, operated and marked.
type lineRun struct {
	at       int
	line     int
	seen     bool // its settings had been operated, so that there was something to judge
	passed   bool // what it showed was what should happen
	marked   bool // the mark: as it should be
	untouche bool // nothing had been disturbed yet
	whole    bool // all was put back and the right fuses fitted
	after    int  // repairs done before it
}

// right says that the mark tells the truth about something that was looked at.
func (r lineRun) right() bool { return r.seen && r.passed == r.marked }

type finding struct {
	at    int
	fault fault.Fault
	verdict
	same bool // right, for no test tells it from the cause
	late bool // what it names had been mended already
}

// worth orders findings: the cause, its place, and after them what was named when it no longer stood.
func (f *finding) worth() int {
	switch {
	case f.verdict == wrong:
		return 0
	case f.late:
		return int(f.verdict)
	}
	return int(f.verdict) + int(rightCause)
}

// verdict of a finding against the exercise's faults.
type verdict int

const (
	wrong verdict = iota
	rightPlace
	rightCause
)

type repairDone struct {
	at     int
	repair fault.Repair
	mended bool // it took away a fault that stood
}

type hazard struct {
	at   int
	kind string
	text string
}

type standing struct {
	fault  fault.Fault
	mended int // index of the repair, -1 while it stands
}

// bench is what lies open or moved at a moment of the log.
type bench struct {
	unplugged map[string]bool
	looms     map[string]bool
	leads     map[meter.Tool][2]harness.Point
	amps      map[string]float64 // rating in each holder, 0 when empty
	controls  map[string]string
	dial      meter.Function
	seen      map[int]bool    // lines whose outcome was seen since settings matched: passed or not
	looked    map[string]bool // holders whose fuse was looked at since it was fitted
}

func newWalk(ex *attempt.Exercise, records []attempt.Record) *walk {
	w := &walk{ex: ex, book: fault.NewBook(ex.Harness), records: records, firstTouch: len(records), firstRepair: len(records), fuses: map[string]int{}}
	w.now = bench{
		unplugged: map[string]bool{}, looms: map[string]bool{}, leads: map[meter.Tool][2]harness.Point{},
		amps: map[string]float64{}, controls: map[string]string{}, dial: meter.Off, seen: map[int]bool{},
		looked: map[string]bool{},
	}
	for _, c := range ex.Harness.Controls {
		w.now.controls[c.ID] = c.Positions[0]
	}
	for _, c := range ex.Harness.Connectors {
		if c.Mount == harness.Holder {
			w.now.amps[c.ID] = rating(ex.Harness, c.Component)
		}
	}
	for _, f := range ex.Faults {
		w.faults = append(w.faults, standing{f, -1})
		if f.Kind == fault.WrongRating {
			w.now.amps[holderOf(ex.Harness, f)] = f.Severity
		}
	}
	for i := range records {
		w.take(i)
	}
	return w
}

// holderOf returns the holder connector that a fuse fault stands in.
func holderOf(h *harness.Harness, f fault.Fault) string {
	_, id, _ := strings.Cut(f.Place, " ")
	for _, c := range h.Connectors {
		if c.Mount == harness.Holder && (c.ID == id || c.Component == id) {
			return c.ID
		}
	}
	return id
}

// rating returns what the harness says the fuse should carry, in amperes.
func rating(h *harness.Harness, component string) float64 {
	for _, c := range h.Components {
		if c.ID == component {
			return c.Spec.Values["rating"]
		}
	}
	return 0
}

// take moves the bench by one record and notes what it means.
func (w *walk) take(i int) {
	rec := w.records[i]
	if rec.Observation.Refused != "" {
		return // changed nothing
	}
	switch act := rec.Action.(type) {
	case attempt.Operate:
		w.now.controls[act.Control] = act.Position
	case attempt.Mark:
		w.mark(i, act)
	case attempt.Dial:
		w.now.dial = act.Function
	case attempt.Lead:
		w.touch(i)
		ends := w.now.leads[act.Tool]
		if act.End == 0 || act.End == 1 {
			ends[act.End] = act.Point
		}
		w.now.leads[act.Tool] = ends
	case attempt.Unplug:
		w.touch(i)
		w.now.unplugged[act.Connector] = true
		w.tests = append(w.tests, i)
	case attempt.Plug:
		delete(w.now.unplugged, act.Connector)
	case attempt.OpenLoom:
		w.touch(i)
		w.now.looms[act.Splice] = true
	case attempt.CloseLoom:
		delete(w.now.looms, act.Splice)
	case attempt.Inspect:
		// Looking is not touching: the plan allows a look around, but the check comes first all the same.
		w.touch(i)
		w.tests = append(w.tests, i)
		w.now.looked[act.Place] = true
	case attempt.Find:
		w.find(i, act)
	case attempt.Repair:
		w.touch(i)
		w.repair(i, act)
	case attempt.FitFuse:
		w.touch(i)
		w.fit(i, act)
	case attempt.Close:
		w.closed = true
	}
	if w.reading(rec) {
		w.tests = append(w.tests, i)
	}
	w.look(rec)
	w.watch(i, rec)
}

func (w *walk) touch(i int) { w.firstTouch = min(w.firstTouch, i) }

// reading says whether this action brought a new reading on some instrument.
func (w *walk) reading(rec attempt.Record) bool {
	switch rec.Action.(type) {
	case attempt.Lead, attempt.Dial, attempt.Operate, attempt.Unplug, attempt.Plug:
		for tool := range rec.Observation.Displays {
			ends := w.now.leads[tool]
			if ends[0] != "" && ends[1] != "" {
				return true
			}
		}
	}
	return false
}

// look notes for every line whose settings stand now what it showed.
func (w *walk) look(rec attempt.Record) {
	for n := range w.ex.Harness.Check {
		if w.matches(n) {
			w.now.seen[n] = passes(w.ex.Harness.Check[n], rec.Observation)
		}
	}
	switch rec.Action.(type) {
	case attempt.Operate, attempt.Mark:
	default:
		// A change of the vehicle makes what was seen before stale.
		if disturbs(rec.Action) {
			for n := range w.ex.Harness.Check {
				if !w.matches(n) {
					delete(w.now.seen, n)
				}
			}
		}
	}
}

func disturbs(a attempt.Action) bool {
	switch a.(type) {
	case attempt.Unplug, attempt.Plug, attempt.Repair, attempt.FitFuse:
		return true
	}
	return false
}

// matches says whether the controls stand as line n asks; those it does not name must be at rest.
func (w *walk) matches(n int) bool {
	line := w.ex.Harness.Check[n]
	for _, c := range w.ex.Harness.Controls {
		want := c.Positions[0]
		for _, s := range line.Set {
			if s.Control == c.ID {
				want = s.Position
			}
		}
		if w.now.controls[c.ID] != want {
			return false
		}
	}
	return true
}

// passes says whether what was noticed is what the line expects.
func passes(line harness.CheckLine, o attempt.Observation) bool {
	for _, e := range line.Expect {
		if o.Effects[e.Component] != e.Word {
			return false
		}
	}
	return true
}

func (w *walk) mark(i int, act attempt.Mark) {
	passed, seen := w.now.seen[act.Line]
	if !seen && w.matches(act.Line) { // as the vehicle came in, so that nothing had to be operated
		passed, seen = passes(w.ex.Harness.Check[act.Line], w.records[i].Observation), true
	}
	w.lines = append(w.lines, lineRun{
		at: i, line: act.Line, seen: seen, passed: passed, marked: act.Good,
		untouche: i < w.firstTouch, whole: len(w.apart()) == 0, after: len(w.repairs),
	})
}

// apart lists what is not as the vehicle was: open, unplugged, leads on, fuses missing or of another rating.
func (w *walk) apart() []string {
	var out []string
	for _, c := range w.ex.Harness.Connectors {
		if w.now.unplugged[c.ID] {
			out = append(out, c.ID+" is still apart")
		}
		if want := rating(w.ex.Harness, c.Component); c.Mount == harness.Holder && w.now.amps[c.ID] != want {
			out = append(out, c.ID+" does not hold the fuse it should")
		}
	}
	for _, s := range w.ex.Harness.Splices {
		if w.now.looms[s.ID] {
			out = append(out, "the loom is open at "+s.ID)
		}
	}
	for _, tool := range meter.Tools() {
		if ends := w.now.leads[tool]; ends[0] != "" || ends[1] != "" {
			out = append(out, "the "+toolWord(tool)+" is still connected")
		}
	}
	return out
}

func toolWord(t meter.Tool) string {
	return t.Title()
}

func (w *walk) find(i int, act attempt.Find) {
	f, err := fault.Parse(act.Fault)
	if err != nil {
		return // the attempt refuses what does not parse; an old log is no reason to fail
	}
	best := finding{at: i, fault: f}
	for _, s := range w.faults {
		v := finding{at: i, fault: f, late: s.mended >= 0}
		switch {
		case fault.SameCause(w.ex.Harness, f, s.fault):
			v.verdict = rightCause
		case f.Place == s.fault.Place:
			v.verdict = rightPlace
		default:
			continue
		}
		if v.worth() > best.worth() {
			best = v
		}
	}
	w.findings = append(w.findings, best)
}

func (w *walk) repair(i int, act attempt.Repair) {
	r, err := fault.ParseRepair(act.Repair)
	if err != nil {
		return
	}
	w.firstRepair = min(w.firstRepair, i)
	w.repairs = append(w.repairs, repairDone{i, r, w.mend(i, r)})
	for _, c := range w.ex.Harness.Connectors {
		if c.Mount == harness.Holder && r == fault.FitFuse(c.Component) {
			w.now.amps[c.ID] = rating(w.ex.Harness, c.Component)
			delete(w.now.unplugged, c.ID)
		}
	}
}

func (w *walk) mend(i int, r fault.Repair) bool {
	done := false
	for k := range w.faults {
		if w.faults[k].mended < 0 && fault.Mends(w.ex.Harness, r, w.faults[k].fault) {
			w.faults[k].mended, done = i, true
		}
	}
	return done
}

func (w *walk) fit(i int, act attempt.FitFuse) {
	want, mended := 0.0, false
	for _, c := range w.ex.Harness.Connectors {
		if c.ID == act.Connector {
			want = rating(w.ex.Harness, c.Component)
			if act.Amps == want {
				if mended = w.mend(i, fault.FitFuse(c.Component)); mended {
					w.firstRepair = min(w.firstRepair, i)
				}
			}
		}
	}
	delete(w.now.unplugged, act.Connector) // a fuse in its holder is a holder closed
	w.now.amps[act.Connector] = act.Amps
	w.fuses[act.Connector]++
	if !w.now.looked[act.Connector] {
		w.unseen = append(w.unseen, i)
		if !mended && !slices.ContainsFunc(w.repairs, func(r repairDone) bool { return r.mended }) {
			w.blind = append(w.blind, i)
		}
	}
	delete(w.now.looked, act.Connector)
	if act.Amps > want {
		w.hazards = append(w.hazards, hazard{i, "big-fuse",
			"A larger fuse was fitted than the circuit calls for: the wire, not the fuse, becomes the weakest place, and it can burn."})
	}
}

// sending says what was done with a function by which the meter sends a current of its own, "" for any other.
func sending(f meter.Function) string {
	switch f {
	case meter.Ohms:
		return "Ohms were measured"
	case meter.Continuity:
		return "Continuity was tested"
	case meter.Diode:
		return "The diode test was used"
	}
	return ""
}

// watch notes what is unsafe in what the instruments showed.
func (w *walk) watch(i int, rec attempt.Record) {
	d := rec.Observation.Displays[meter.Multimeter]
	if what := sending(w.now.dial); what != "" && slices.Contains(d.Words, meter.LiveWord) && w.fresh("live-ohms", i) {
		w.hazards = append(w.hazards, hazard{i, "live-ohms",
			what + " on a live circuit: the reading means nothing and the meter may not survive it. Switch the supply off or pull the fuse first."})
	}
	if slices.Contains(d.Words, meter.FuseWord) && w.fresh("meter-fuse", i) {
		w.hazards = append(w.hazards, hazard{i, "meter-fuse",
			"The ammeter was put across a supply: its shunt is a short circuit, and only its own fuse stood between you and the burn."})
	}
	if j := rec.Observation.Displays[meter.Jumper]; slices.Contains(j.Words, meter.FuseWord) && w.fresh("jumper-fuse", i) {
		w.hazards = append(w.hazards, hazard{i, "jumper-fuse",
			"The jumper's fuse opened: it had been put across a short circuit. Measure to ground before bridging."})
	}
}

// fresh says whether a hazard of this kind was not noted a moment ago for the same misuse (the leads have not moved since).
func (w *walk) fresh(kind string, i int) bool {
	for k := len(w.hazards) - 1; k >= 0; k-- {
		if w.hazards[k].kind != kind {
			continue
		}
		for n := w.hazards[k].at + 1; n <= i; n++ {
			switch w.records[n].Action.(type) {
			case attempt.Lead, attempt.Dial, attempt.ResetFuse:
				return true
			}
		}
		return false
	}
	return true
}
