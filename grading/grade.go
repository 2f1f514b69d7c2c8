package grading

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"faultloom/sim/attempt"
)

// fullMarks is what the weights of an exercise sum to.
const fullMarks = 100

// Grade judges an attempt. records are those of package attempt, in order; they need not end in a Close. It returns an
// error when the exercise has no fault or its weights are not usable.
func Grade(ex attempt.Exercise, records []attempt.Record) (Report, error) {
	if len(ex.Faults) == 0 {
		return Report{}, errors.New("exercise " + ex.ID + ": no fault to grade against")
	}
	if sum := ex.Weights.Sum(); !(math.Abs(sum-fullMarks) < 0.01) {
		return Report{}, fmt.Errorf("exercise %s: the weights must sum to %d (they sum to %v)", ex.ID, fullMarks, sum)
	}
	w := newWalk(&ex, records)
	for k := range ex.Faults {
		e, err := Weigh(ex, records, k)
		if err != nil {
			return Report{}, err
		}
		w.evidence = append(w.evidence, e)
	}
	w.asGood()
	r := Report{
		Exercise: ex.ID, Title: ex.Title, Complaint: ex.Complaint, Closed: w.closed,
		Minutes: round(w.minutes()), Cautions: cautions[:],
	}
	for _, f := range ex.Faults {
		r.Cause = append(r.Cause, w.book.Title(f))
	}
	r.Stages = []StageScore{
		w.confirm(ex.Weights.Confirm), w.isolate(ex.Weights.Isolate), w.repaired(ex.Weights.Repair),
		w.retest(ex.Weights.Retest), w.safety(ex.Weights.Safety), w.economy(ex.Weights.Economy),
	}
	if w.idle() {
		// Keeping out of trouble is worth nothing to someone who did no work.
		for _, name := range []string{Safety, Economy} {
			s := r.Stage(name)
			s.Points, s.Items = 0, []Item{{0, round(s.Of), "Counts only once something has been tested or repaired.", nil}}
		}
	}
	for _, s := range r.Stages {
		r.Score += s.Points
		r.Of += s.Of
	}
	r.Score, r.Of = round(r.Score), round(r.Of)
	r.Steps, r.Needed = w.steps(), w.evidence[0].Needed
	r.Verdict = w.verdict(&r)
	r.Next = w.next(&r)
	return r, nil
}

// idle says that nothing was tested, repaired or replaced.
func (w *walk) idle() bool { return len(w.tests) == 0 && len(w.repairs) == 0 && len(w.fuses) == 0 }

// minutes of bench time used.
func (w *walk) minutes() float64 {
	if len(w.records) == 0 {
		return 0
	}
	last := w.records[len(w.records)-1]
	return float64(last.Observation.Ticks) * attempt.Tick / wholeMinutes
}

func (w *walk) seq(i int) int { return w.records[i].Seq }

// steps renders the log for people.
func (w *walk) steps() []Step {
	remarks := map[int]string{}
	for _, h := range w.hazards {
		remarks[h.at] = h.text
	}
	out := make([]Step, 0, len(w.records))
	for i, rec := range w.records {
		did, showed := attempt.Words(w.ex.Harness, rec)
		decided := ""
		if rec.Observation.Refused == "" {
			switch rec.Action.(type) {
			case attempt.Find:
				decided = "finding"
			case attempt.Repair:
				decided = "repair"
			}
		}
		out = append(out, Step{
			Seq: rec.Seq, Minutes: round(float64(rec.Ticks) * attempt.Tick / wholeMinutes),
			Stage: w.stageOf(i), Did: did, Showed: showed, Remark: remarks[i], Decided: decided, Evidence: w.evidence[0].Steps[i],
			Suspects: w.evidence[0].Suspects(i + 1),
		})
	}
	return out
}

// stageOf says which stage of the plan action i fell in.
func (w *walk) stageOf(i int) string {
	last := -1
	for _, r := range w.repairs {
		last = max(last, r.at)
	}
	for _, f := range w.faults {
		last = max(last, f.mended)
	}
	switch {
	case i < w.firstTouch && i < w.firstRepair:
		return Confirm
	case i < w.firstRepair:
		return Isolate
	case i <= last:
		return Repair
	}
	return Retest
}

// verdict is the whole in one sentence.
func (w *walk) verdict(r *Report) string {
	mended := r.Stage(Repair).Points > 0 && w.allMended()
	right := false
	for _, f := range w.findings {
		right = right || f.verdict == rightCause && (!f.late || w.gained() >= proved)
	}
	retested := full(r.Stage(Retest))
	switch {
	case w.idle():
		return "Nothing was tested or repaired yet."
	case mended && right && full(r.Stage(Confirm)) && retested:
		return "Confirmed, found, repaired and retested: the vehicle can go back to work."
	case mended && right && !retested:
		return "Found and repaired, but not proved: the check was not run again with everything put back."
	case mended && right:
		return "Found, repaired and retested, but the complaint was not fully confirmed before the work began."
	case mended && !right:
		return "The vehicle works again, but the cause was never named: parts were changed until it did."
	case right:
		return "The cause was found but is still there."
	}
	return "The fault is still in the vehicle."
}

func (w *walk) allMended() bool {
	for _, f := range w.faults {
		if f.mended < 0 {
			return false
		}
	}
	return true
}

// next says what to practise, from what was lost, dearest first.
func (w *walk) next(r *Report) []string {
	advice := map[string]string{
		Confirm: "Run the normal-operation check line by line before you touch anything, and mark what you see, not what you expect.",
		Isolate: "Before you repair, say what is wrong and which reading rules out everything else.",
		Repair:  "Repair only what a test has condemned; put the part back that turned out good.",
		Retest:  "Put everything back, lift the leads, and run the whole check again before you close the job.",
		Safety:  "Ask before every measurement: is this live? Ohms need a dead circuit, amps need the meter in series.",
		Economy: "Check a part's connector, feed and ground before you condemn the part.",
	}
	type loss struct {
		name   string
		points float64
	}
	var losses []loss
	for _, s := range r.Stages {
		if l := s.Of - s.Points; l > 0.05*max(s.Of, 1) {
			losses = append(losses, loss{s.Name, l})
		}
	}
	out := []string{}
	for len(losses) > 0 && len(out) < 2 {
		best := 0
		for k := range losses {
			if losses[k].points > losses[best].points {
				best = k
			}
		}
		out = append(out, advice[losses[best].name])
		losses = append(losses[:best], losses[best+1:]...)
	}
	if len(out) == 0 {
		out = append(out, "Take an exercise on a circuit you know less well.")
	}
	return out
}

func full(s *StageScore) bool { return s.Of > 0 && s.Points >= s.Of-0.05 }

// round to a tenth, so that sums printed from rounded parts agree with themselves to that digit.
func round(x float64) float64 { return math.Round(x*10) / 10 }

func count(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Mended reports whether all faults of the exercise were taken away by what was done in a log.
func Mended(ex attempt.Exercise, records []attempt.Record) bool {
	return newWalk(&ex, records).allMended()
}
