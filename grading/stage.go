package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Shares of a stage's points. Common practice, no source: they say what an instructor of the four-stage plan would weigh.
const (
	confirmLines   = 0.6 // every line of the check run and truly marked
	confirmFailing = 0.4 // the line that fails was seen to fail

	isolateProved = 0.6 // the evidence left one repair when the first repair was made
	isolateNamed  = 0.3 // the finding names the cause
	isolateFirst  = 0.1 // and was declared before the first repair
	// guessedShare is what a right name is worth to somebody whose tests told nothing; the rest comes with what they told.
	guessedShare = 0.5
	// hindsightShare is what a right name is worth that was given once the vehicle worked again: whoever has changed a part knows which.
	hindsightShare = 0.3
	// nearShare is what a finding gets that names the right place and the wrong trouble there.
	nearShare = 0.5
	// unreadShare is what evidence is worth to somebody who drew the wrong conclusion from it.
	unreadShare = 0.3
	// proved is the share of the bits from which a right finding is not called a guess.
	proved = 0.8

	repairRight   = 0.7  // every fault was mended
	guessedRepair = 0.5  // of that for somebody whose tests told nothing; the rest comes with what they told
	chanceRepair  = 0.25 // instead, where its place had not been named before either: parts were changed until one of them helped
	repairNothing = 0.3  // and nothing else was replaced or remade
	repairNeedles = 0.15 // lost of the latter for each needless repair

	retestWhole = 0.4 // all was put back before the check was run again
	retestLines = 0.6 // every line run again, truly marked, and passing

	contradictionShare = 0.1 // of the points for isolating, for each finding that had been ruled out, and each repair without one
	contradictionMost  = 0.5 // of what isolating had earned: wrong conclusions do not undo tests

	hazardShare  = 0.5  // of the safety points lost for each hazard
	partShare    = 0.35 // of the economy points lost for each part, fuses too, condemned unchecked, and each replaced for nothing
	fuseShare    = 0.2  // for each fuse beyond the second in one holder, and for each that was measured but not looked at before a new one
	timeShare    = 0.25 // for each half again of the suggested time
	idleShare    = 0.02 // for each reading or look that told nothing,
	idleFree     = 5    // after so many, for it is good practice to make sure,
	idleMost     = 0.3  // up to this
	leftOnShare  = 0.1  // for a control left on
	wholeMinutes = 60.0
)

// score adds items to a stage; a stage never goes below zero or above its points.
type score struct{ StageScore }

func newScore(name string, of float64) *score {
	return &score{StageScore{Name: name, Of: of, Items: []Item{}}}
}

// part adds an item worth share of the stage's points, of which got (0..1) were earned.
func (s *score) part(share, got float64, text string, steps ...int) {
	of := s.Of * share
	p := of * min(1, max(0, got))
	s.Points += p
	s.Items = append(s.Items, Item{round(p), round(of), text, steps})
}

// lose takes share of the stage's points away.
func (s *score) lose(share float64, text string, steps ...int) {
	p := min(s.Of*share, s.Points)
	s.Points -= p
	s.Items = append(s.Items, Item{round(-p), 0, text, steps})
}

func (s *score) remark(text string, steps ...int) {
	s.Items = append(s.Items, Item{Text: text, Steps: steps})
}

func (s *score) done() StageScore {
	s.Points = round(min(s.Of, max(0, s.Points)))
	return s.StageScore
}

// confirm judges the normal-operation check before anything was touched.
func (w *walk) confirm(of float64) StageScore {
	s := newScore(Confirm, of)
	n := len(w.ex.Harness.Check)
	latest := map[int]lineRun{}
	for _, r := range w.lines {
		if r.untouche && r.after == 0 {
			latest[r.line] = r
		}
	}
	right, failing := 0, -1
	var blind, untrue []string
	for k := 0; k < n; k++ {
		r, ok := latest[k]
		switch {
		case !ok:
		case !r.seen:
			blind = append(blind, fmt.Sprint(k+1))
		case !r.right():
			untrue = append(untrue, fmt.Sprint(k+1))
		default:
			right++
			if !r.passed {
				failing = w.seq(r.at)
			}
		}
	}
	switch {
	case right == n:
		s.part(confirmLines, 1, "You ran every line of the normal-operation check with nothing touched, and marked each as it was.")
	case len(latest) == 0 && w.firstTouch < len(w.records):
		s.part(confirmLines, 0, "The vehicle was touched before the normal-operation check was run, so nobody can say what the complaint was.", w.seq(w.firstTouch))
	case len(latest) == 0:
		s.part(confirmLines, 0, "The normal-operation check was never run.")
	default:
		s.part(confirmLines, float64(right)/float64(n), fmt.Sprintf("You ran and truly marked %d of %d lines of the check before touching anything.", right, n))
	}
	if len(blind) > 0 {
		s.remark("Marked without putting the controls so: line " + strings.Join(blind, ", ") + ".")
	}
	if len(untrue) > 0 {
		s.remark("Marked otherwise than it was: line " + strings.Join(untrue, ", ") + ".")
	}
	if failing >= 0 {
		s.part(confirmFailing, 1, "You saw the complaint for yourself.", failing)
	} else {
		s.part(confirmFailing, 0, "The line that fails was not seen to fail before the work began.")
	}
	return s.done()
}

// isolate judges whether the cause was found, and proved, before anything was repaired.
func (w *walk) isolate(of float64) StageScore {
	s := newScore(Isolate, of)
	best := w.bestFinding()
	right := best != nil && best.verdict == rightCause
	told := w.gained()
	w.proof(s, right, told)
	named := guessedShare + (1-guessedShare)*told // what a right name is worth
	if asked := w.asked(); len(asked) > 0 {
		s.remark(fmt.Sprintf("You asked the coach %s.", times(len(asked))), asked...)
	}
	if best == nil {
		s.part(isolateNamed, 0, "No finding was declared.")
		s.part(isolateFirst, 0, "A finding belongs before the repair.")
		return s.done()
	}
	name := w.book.Title(best.fault)
	switch {
	case best.same:
		s.part(isolateNamed, named, "Your finding is as good as the cause, for no test tells the two apart: "+name+".", w.seq(best.at))
	case best.late && best.verdict != wrong:
		s.part(isolateNamed, hindsightShare*named, "You named it once the vehicle worked again: "+name+".", w.seq(best.at))
	case best.verdict == rightCause:
		s.part(isolateNamed, named, "Your finding is the cause: "+name+".", w.seq(best.at))
	case best.verdict == rightPlace:
		s.part(isolateNamed, nearShare*named, "Your finding names the right place but not what is wrong there: "+name+".", w.seq(best.at))
	default:
		s.part(isolateNamed, 0, "Your finding is not the cause: "+name+".", w.seq(best.at))
	}
	switch {
	case best.verdict == wrong:
		s.part(isolateFirst, 0, "A wrong finding gets nothing for its timing.")
	case best.at < w.firstRepair:
		s.part(isolateFirst, named, "You said what was wrong before repairing anything.")
	default:
		s.part(isolateFirst, 0, "It was declared only after something had been repaired.", w.seq(best.at))
	}
	w.contradictions(s)
	return s.done()
}

// asked lists the steps at which the coach was asked.
func (w *walk) asked() []int {
	var out []int
	for _, rec := range w.records {
		if _, ok := rec.Action.(attempt.Ask); ok && rec.Observation.Refused == "" {
			out = append(out, rec.Seq)
		}
	}
	return out
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// proof adds what the evidence had left when the first repair was made; share is what tests had told of what was needed.
func (w *walk) proof(s *score, right bool, share float64) {
	steps := []int{}
	left, repairs, unread := 0, 0, false
	for k, e := range w.evidence {
		iso := e.IsolatedAt(w.decided(k))
		left, repairs, unread = max(left, iso.Left), max(repairs, len(iso.Repairs)), unread || w.unread(k)
	}
	mended := w.anyMended()
	if at := min(w.firstRepair, len(w.records)-1); at >= 0 {
		steps = append(steps, w.seq(at))
	}
	switch {
	case share >= 1 && (right || mended):
		s.part(isolateProved, 1, "Proved: what you had seen left one repair.", steps...)
	case share >= 1:
		s.part(isolateProved, unreadShare, "What you had seen left one repair, but that is not what you concluded.", steps...)
	case unread:
		s.part(isolateProved, share, fmt.Sprintf("What you had seen left %s in %s, and you repaired something else first: it was not read off your tests.",
			count(left, "fault", "faults"), count(repairs, "place", "places")), steps...)
	case right || mended:
		text := fmt.Sprintf("Not proved: %s in %s still agreed with all you had seen.", count(left, "fault", "faults"), count(repairs, "place", "places"))
		if share < proved {
			text = fmt.Sprintf("A lucky guess: %s in %s still agreed with all you had seen. Your tests gained %.0f %% of the bits needed.",
				count(left, "fault", "faults"), count(repairs, "place", "places"), 100*share)
		}
		s.part(isolateProved, share, text, steps...)
	default:
		s.part(isolateProved, unreadShare*share, fmt.Sprintf("%s in %s still agreed with all you had seen.", capital(count(left, "fault", "faults")), count(repairs, "place", "places")), steps...)
	}
}

// decided returns how many records were known when fault k was repaired, or rather when the first repair was made that could
// have been for it: the first of all, or the first after the repair of the fault before it.
func (w *walk) decided(k int) int {
	from := 0
	for i, f := range w.faults {
		if i != k && f.mended >= 0 && (w.faults[k].mended < 0 || f.mended < w.faults[k].mended) {
			from = max(from, f.mended+1)
		}
	}
	for _, r := range w.repairs {
		if r.at >= from {
			return r.at
		}
	}
	if w.faults[k].mended >= from {
		return w.faults[k].mended // a fuse fitted
	}
	for _, f := range w.findings {
		if f.at >= from && f.verdict == rightCause {
			return f.at
		}
	}
	return len(w.records)
}

// bestFinding returns the finding that is worth most, of equals the first, nil if there is none.
func (w *walk) bestFinding() *finding {
	var best *finding
	for k := range w.findings {
		if f := &w.findings[k]; best == nil || f.worth() > best.worth() {
			best = f
		}
	}
	return best
}

func (w *walk) anyMended() bool {
	for _, f := range w.faults {
		if f.mended >= 0 {
			return true
		}
	}
	return false
}

// repaired judges the repair itself.
func (w *walk) repaired(of float64) StageScore {
	s := newScore(Repair, of)
	mended := 0
	for _, f := range w.faults {
		if f.mended >= 0 {
			mended++
		}
	}
	var needless []int
	for _, r := range w.repairs {
		if !r.mended {
			needless = append(needless, w.seq(r.at))
		}
	}
	for _, i := range w.blind {
		needless = append(needless, w.seq(i)) // changed on a guess like any other part
	}
	slices.Sort(needless)
	total, told := len(w.faults), w.gained()
	worth := w.guessWorth()
	worth += (1 - worth) * told // what a repair is worth that takes the cause away
	before := ""
	if told < proved {
		before = ", before your tests had told what it was"
	}
	switch {
	case mended == total && total == 1:
		s.part(repairRight, worth, "The repair takes the cause away"+before+".", w.seq(w.faults[0].mended))
	case mended == total && total == 2:
		s.part(repairRight, worth, "The repairs take both causes away"+before+".")
	case mended == total:
		s.part(repairRight, worth, fmt.Sprintf("The repairs take all %d causes away%s.", total, before))
	case len(w.repairs) == 0:
		s.part(repairRight, 0, "Nothing was repaired: the fault is still there.")
	case mended == 0:
		s.part(repairRight, 0, "The fault is still there.")
	default:
		s.part(repairRight, worth*float64(mended)/float64(total), fmt.Sprintf("%d of %d causes were taken away.", mended, total))
	}
	switch {
	case mended == 0:
		s.part(repairNothing, 0, "Points for repairing nothing else come only with the right repair.", needless...)
	case len(needless) == 0:
		s.part(repairNothing, 1, "Nothing was replaced or remade for nothing.")
	default:
		s.part(repairNothing, 1-repairNeedles/repairNothing*float64(len(needless)),
			fmt.Sprintf("%s changed nothing: each is time and a part that the customer pays for.", capital(count(len(needless), "repair", "repairs"))), needless...)
	}
	return s.done()
}

// guessWorth is the share that a repair is worth by itself, with nothing told by tests: more for whoever had said what or where it was.
func (w *walk) guessWorth() float64 {
	if slices.ContainsFunc(w.findings, func(f finding) bool { return f.verdict != wrong && !f.late }) {
		return guessedRepair
	}
	return chanceRepair
}

// retest judges the same check, run again with everything put back.
func (w *walk) retest(of float64) StageScore {
	s := newScore(Retest, of)
	apart := w.apart()
	switch {
	case len(w.repairs) == 0 && !w.anyMended():
		s.part(retestWhole, 0, "There is nothing to retest before a repair.")
		s.part(retestLines, 0, "The check was not run again, since nothing was repaired.")
		return s.done()
	case len(apart) == 0:
		s.part(retestWhole, 1, "Everything was put back.")
	default:
		s.part(retestWhole, 0, "Not put back at the end: "+strings.Join(apart, "; ")+".")
	}
	n := len(w.ex.Harness.Check)
	latest := map[int]lineRun{}
	for _, r := range w.lines {
		if r.after == len(w.repairs) {
			latest[r.line] = r
		}
	}
	good, open, failing := 0, 0, 0
	for k := 0; k < n; k++ {
		r, ok := latest[k]
		switch {
		case !ok || !r.right():
		case !r.whole:
			open++
		case !r.passed:
			failing++
		default:
			good++
		}
	}
	switch {
	case good == n:
		s.part(retestLines, 1, "You ran the whole check again and every line passes.")
	case len(latest) == 0:
		s.part(retestLines, 0, "The check was not run again after the repair: nobody knows whether the vehicle is right.")
	default:
		s.part(retestLines, float64(good)/float64(n), fmt.Sprintf("After the repair, %d of %d lines of the check were run again and pass.", good, n))
	}
	if open > 0 {
		s.remark(fmt.Sprintf("%s run while something was still apart or connected: that is not the vehicle the customer gets.", capital(count(open, "line was", "lines were"))))
	}
	if failing > 0 {
		s.remark(fmt.Sprintf("%s still failing when you closed the job.", capital(count(failing, "line was", "lines were"))))
	}
	return s.done()
}

// safety judges what could have hurt someone or something. Its points are there to be kept, by someone who worked.
func (w *walk) safety(of float64) StageScore {
	s := newScore(Safety, of)
	s.Points = of
	for _, h := range w.hazards {
		s.lose(hazardShare, h.text, w.seq(h.at))
	}
	if len(w.hazards) == 0 {
		s.Items = append(s.Items, Item{round(of), round(of), "Nothing unsafe was done.", nil})
	}
	return s.done()
}

// economy judges waste: parts, fuses, time.
func (w *walk) economy(of float64) StageScore {
	s := newScore(Economy, of)
	s.Points = of
	for _, r := range w.repairs {
		if part, ok := strings.CutPrefix(r.repair.Place, "component "); ok && !w.checked(part, r.at) && !w.proved(r) {
			s.lose(partShare, "A part was condemned whose connector was never checked: "+part+".", w.seq(r.at))
		} else if !r.mended {
			s.lose(partShare, "Work for nothing: "+w.book.RepairTitle(r.repair)+".", w.seq(r.at))
		}
	}
	for _, c := range w.ex.Harness.Connectors {
		if n := w.fuses[c.ID]; n > 2 {
			s.lose(fuseShare*float64(n-2), fmt.Sprintf("%d fuses went into %s: a fuse that opens again is telling you about a short.", n, c.ID))
		}
	}
	for _, i := range w.unseen {
		holder := w.records[i].Action.(attempt.FitFuse).Connector
		if w.measuredAt(holder, i) {
			s.lose(fuseShare, "A new fuse was fitted without a look at the old one, which tells what it went through.", w.seq(i))
		} else {
			s.lose(partShare, "A fuse was condemned that was neither looked at nor measured: "+holder+".", w.seq(i))
		}
	}
	if idle, all := w.idleTests(); len(idle) > idleFree {
		s.lose(min(idleMost, idleShare*float64(len(idle)-idleFree)),
			fmt.Sprintf("%d of your %d readings and looks told nothing: ask before each what it could rule out.", len(idle), all), idle...)
	}
	// The suggested time is a round figure, so what was used is counted in whole minutes too.
	if limit, used := w.ex.Minutes, math.Round(w.minutes()); limit > 0 && used > limit {
		s.lose(timeShare*(used/limit-1)*2, fmt.Sprintf("The job took %.0f bench minutes; %.0f would do.", used, limit))
	}
	for _, c := range w.ex.Harness.Controls {
		if w.closed && w.now.controls[c.ID] != c.Positions[0] {
			s.lose(leftOnShare, fmt.Sprintf("%s was left at %q when the job was closed.", c.Title, w.now.controls[c.ID]))
		}
	}
	if len(s.Items) == 0 {
		s.Items = append(s.Items, Item{round(of), round(of), "No part, fuse or time was wasted.", nil})
	}
	return s.done()
}

// idleTests lists the readings and looks that ruled nothing out while more than one repair was left to choose from, and says of how many.
func (w *walk) idleTests() (idle []int, all int) {
	e := w.evidence[0]
	for _, i := range w.tests {
		from := i // what the reading begins with
		switch w.records[i].Action.(type) {
		case attempt.Inspect:
		case attempt.Lead:
			if w.laidFor(i, i+1) || w.laidFor(i, i+2) {
				continue // the leads are laid, then the dial is turned: the reading is that after it
			}
		case attempt.Dial:
			if from = w.setUp(i); from < 0 {
				continue
			}
		default:
			continue // a reading that changes because something was moved costs nothing
		}
		if from == 0 || i >= w.decided(0) {
			continue
		}
		was, now := &e.Steps[from-1], &e.Steps[i]
		if was.Repairs == 1 {
			continue
		}
		all++
		if now.Gained == 0 && now.Left == was.Left {
			idle = append(idle, w.seq(i))
		}
	}
	return idle, all
}

// setUp returns the first of the records, one for each lead, in which the leads were laid for a turn of the dial; -1 where there is no such turn, or none
// to read what they lie on.
func (w *walk) setUp(turn int) int {
	if turn < 1 || turn >= len(w.records) {
		return -1
	}
	dial, turns := w.records[turn].Action.(attempt.Dial)
	last, laid := w.records[turn-1].Action.(attempt.Lead)
	if !turns || !laid || dial.Function == meter.Off || last.Tool != meter.Multimeter {
		return -1
	}
	if turn > 1 {
		if first, ok := w.records[turn-2].Action.(attempt.Lead); ok && first.Tool == last.Tool && first.End != last.End {
			return turn - 2
		}
	}
	return turn - 1
}

// laidFor reports whether a record is one of those.
func (w *walk) laidFor(i, turn int) bool {
	first := w.setUp(turn)
	return first >= 0 && first <= i
}

// measuredAt says whether a lead was put to a contact of a connector before index at.
func (w *walk) measuredAt(connector string, at int) bool {
	for _, rec := range w.records[:at] {
		if act, ok := rec.Action.(attempt.Lead); ok && rec.Observation.Refused == "" && strings.HasPrefix(string(act.Point), connector+".") {
			return true
		}
	}
	return false
}

// checked says whether the part's own connector, or a stud of it, was looked at or measured before index at.
func (w *walk) checked(part string, at int) bool {
	mine := func(p harness.Point) bool {
		id, _, _ := strings.Cut(string(p), ".")
		if id == part {
			return true
		}
		for _, c := range w.ex.Harness.Connectors {
			if c.ID == id && c.Component == part {
				return true
			}
		}
		return false
	}
	for _, rec := range w.records[:at] {
		if rec.Observation.Refused != "" {
			continue
		}
		switch act := rec.Action.(type) {
		case attempt.Unplug:
			if mine(harness.Point(act.Connector + ".")) {
				return true
			}
		case attempt.Inspect:
			f := strings.Fields(act.Place)
			if len(f) > 0 && mine(harness.Point(f[len(f)-1])) {
				return true
			}
		case attempt.Lead:
			if act.Point != "" && mine(act.Point) {
				return true
			}
		}
	}
	return false
}
