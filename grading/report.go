// Package grading judges an attempt from its log: whether the complaint was confirmed, the cause isolated, the repair
// made and the result retested, in that order. It reads the exercise (harness and fault) and the log, and nothing else.
package grading

// Report is the graded debrief of one attempt, plain data for text, JSON and pages.
type Report struct {
	Exercise  string  `json:"exercise"`
	Title     string  `json:"title"`
	Complaint string  `json:"complaint"`
	Closed    bool    `json:"closed"`  // false: graded as it stands, the job was never closed
	Score     float64 `json:"score"`   // points, rounded to a tenth
	Of        float64 `json:"of"`      // points there were to get
	Minutes   float64 `json:"minutes"` // bench time used
	Verdict   string  `json:"verdict"` // one sentence

	Cause  []string     `json:"cause"`  // what was wrong, in words
	Stages []StageScore `json:"stages"` // confirm, isolate, repair, retest, safety, economy
	Steps  []Step       `json:"steps"`  // the log, a line each
	Needed float64      `json:"needed"` // bits from the whole catalogue to the one repair
	// Par is the curve of the shortest path known, from the check to one repair left; nil where it was not asked for.
	Par []ParPoint `json:"par,omitempty"`
	// Beside says in words how the attempt compares with par and with what nobody can do without; nil like Par.
	Beside []string `json:"beside,omitempty"`

	Next []string `json:"next"` // what to practise next
	// Cautions are the usual ones, shown with every debrief.
	Cautions []string `json:"cautions"`
}

// StageScore is one stage's points with their reasons.
type StageScore struct {
	Name   string  `json:"name"`
	Points float64 `json:"points"`
	Of     float64 `json:"of"`
	Items  []Item  `json:"items"`
}

// Item is one reason: points got of points there were (both 0 for a plain remark), a sentence, and the log steps it rests
// on (sequence numbers).
type Item struct {
	Points float64 `json:"points"`
	Of     float64 `json:"of"`
	Text   string  `json:"text"`
	Steps  []int   `json:"steps,omitempty"`
}

// Step is one action as the debrief shows it.
type Step struct {
	Seq     int     `json:"seq"`
	Minutes float64 `json:"minutes"` // bench time when it began
	Stage   string  `json:"stage"`   // confirm, isolate, repair, retest
	Did     string  `json:"did"`
	Showed  string  `json:"showed,omitempty"`
	Remark  string  `json:"remark,omitempty"`
	Decided string  `json:"decided,omitempty"` // "finding", "repair": a mark on the curve
	// Evidence is what the step told about the fault (the first, where there are two), and Suspects what was left after it.
	Evidence StepEvidence `json:"evidence"`
	Suspects []Suspect    `json:"suspects"`
}

// ParPoint is one step of the shortest path known.
type ParPoint struct {
	Minutes float64 `json:"minutes"` // bench time at its end
	Total   float64 `json:"total"`   // bits gained so far
	Did     string  `json:"did"`     // what it is, for people
}

// Stage returns the stage of that name, nil if there is none.
func (r *Report) Stage(name string) *StageScore {
	for i := range r.Stages {
		if r.Stages[i].Name == name {
			return &r.Stages[i]
		}
	}
	return nil
}

// The stages' names, in their order.
const (
	Confirm = "confirm"
	Isolate = "isolate"
	Repair  = "repair"
	Retest  = "retest"
	Safety  = "safety"
	Economy = "economy"
)

// cautions are shown with every debrief: the simulator teaches a method, not a vehicle.
var cautions = [...]string{
	"On a real vehicle follow its maker's procedure, local codes and your workshop's rules; some work needs a licensed person.",
	"Before real work: wheels chocked, keys under control, jewellery off, eyes protected; disconnect the battery's ground lead first when the work calls for it.",
	"Never fit a fuse of a higher rating, bridge a fuse, or work on airbag, high-voltage or mains circuits without the training for them.",
}
