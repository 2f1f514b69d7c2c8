package robot

import (
	"fmt"
	"math"
	"slices"

	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// Score is what one robot got for one exercise; of several persons of its sort the mean, with the least and the most.
type Score struct {
	Robot   string  `json:"robot"`
	Plays   int     `json:"plays"`
	Points  float64 `json:"points"`
	Least   float64 `json:"least"`
	Most    float64 `json:"most"`
	Minutes float64 `json:"minutes"` // bench time
	Mended  int     `json:"mended"`  // plays after which the vehicle was right
}

// Row is one exercise with what each robot got for it, best method first.
type Row struct {
	Exercise string  `json:"exercise"`
	Scores   []Score `json:"scores"`
	Effort   *Effort `json:"effort,omitempty"` // of the best next test, where one fault was to be found
	// Amiss says how the grades rank otherwise than they should, "" when they do.
	Amiss string `json:"amiss,omitempty"`
}

// Effort is what it takes to isolate one fault by the best next test, or many faults on average, beside the floor.
//
// The floor is Shannon's bound with the outcomes that tests can have in practice, and with the cheapest test for the minutes: see
// grading.Floor.
type Effort struct {
	Faults       int     `json:"faults"`
	Isolated     int     `json:"isolated"` // proved, or told from all but what no test tells it from
	Tests        float64 `json:"tests"`    // on average, up to the one that left one repair
	FloorTests   float64 `json:"floorTests"`
	Minutes      float64 `json:"minutes"` // of these tests
	FloorMinutes float64 `json:"floorMinutes"`
}

// TestRatio is tests over their floor, NaN where there is none.
func (e Effort) TestRatio() float64 { return e.Tests / e.FloorTests }

// MinuteRatio is minutes over their floor, NaN where there is none.
func (e Effort) MinuteRatio() float64 { return e.Minutes / e.FloorMinutes }

// Mean is the mean of efforts, each fault counting once.
func Mean(all []Effort) Effort {
	var m Effort
	for _, e := range all {
		n := float64(e.Faults)
		m.Faults += e.Faults
		m.Isolated += e.Isolated
		m.Tests += n * e.Tests
		m.FloorTests += n * e.FloorTests
		m.Minutes += n * e.Minutes
		m.FloorMinutes += n * e.FloorMinutes
	}
	for _, x := range []*float64{&m.Tests, &m.FloorTests, &m.Minutes, &m.FloorMinutes} {
		*x /= math.Max(1, float64(m.Faults))
	}
	return m
}

// Judge has all robots play an exercise and grades them. It returns an error when the exercise cannot be attempted or graded.
func Judge(ex attempt.Exercise) (Row, error) {
	row := Row{Exercise: ex.ID}
	for _, r := range Robots() {
		s := Score{Robot: r.Name, Plays: r.Seeds, Least: math.Inf(1), Most: math.Inf(-1)}
		for seed := range r.Seeds {
			records, report, err := row.play(ex, r, uint64(seed))
			if err != nil {
				return row, err
			}
			s.Points += report.Score / float64(r.Seeds)
			s.Least, s.Most = min(s.Least, report.Score), max(s.Most, report.Score)
			s.Minutes += report.Minutes / float64(r.Seeds)
			if grading.Mended(ex, records) {
				s.Mended++
			}
		}
		s.Points, s.Minutes = tenth(s.Points), tenth(s.Minutes)
		row.Scores = append(row.Scores, s)
	}
	row.Amiss = amiss(row.Scores, open(ex))
	return row, nil
}

// play has one robot play and grades it. The best next test is played together with its floor; of two faults each is looked for with the
// other known, for nobody reasons out pairs at once.
func (row *Row) play(ex attempt.Exercise, r Robot, seed uint64) ([]attempt.Record, grading.Report, error) {
	if r.Name == Best && len(ex.Faults) == 1 {
		effort, records, report, err := measure(ex)
		if err == nil {
			row.Effort = &effort
			return records, report, nil
		}
	}
	if r.Name == Best && len(ex.Faults) > 1 {
		if par, err := grading.QuickPar(ex); err == nil {
			report, err := grading.Grade(ex, par.Records)
			return par.Records, report, err
		}
	}
	records, err := r.Play(ex, seed, None{})
	if err != nil {
		return nil, grading.Report{}, err
	}
	report, err := grading.Grade(ex, records)
	return records, report, err
}

// measure plays an exercise of one fault by the best next test, and measures it against the floor.
func measure(ex attempt.Exercise) (Effort, []attempt.Record, grading.Report, error) {
	par, err := grading.ParOf(ex)
	if err != nil {
		return Effort{}, nil, grading.Report{}, err
	}
	report, err := grading.Grade(ex, par.Records)
	if err != nil {
		return Effort{}, nil, report, err
	}
	e := Effort{Faults: 1, FloorTests: par.Floor.Tests, FloorMinutes: par.Floor.Minutes, Minutes: par.Isolate, Tests: float64(par.Tests)}
	if par.Proved {
		e.Isolated = 1
	}
	for i, step := range report.Steps {
		if step.Evidence.Repairs != 1 {
			continue
		}
		// Tests after the one that this belongs to only say more exactly what is wrong.
		at := float64(par.Records[i].Observation.Ticks) * attempt.Tick / 60
		e.Minutes, e.Tests = max(0, at-par.Check), 0
		for began, k := par.Check, 0; k < len(par.Steps) && began < at-soon; began, k = par.Steps[k].Minutes, k+1 {
			e.Tests++
		}
		break
	}
	return e, par.Records, report, nil
}

// soon is the part of a minute below which two clock readings are the same, for par's are rounded.
const soon = 0.015

// Measure is the mean effort over faults, each put into the exercise by itself. told, if not nil, is called after each. It returns an
// error when one of them cannot be found by the best next test.
func Measure(ex attempt.Exercise, faults []fault.Fault, told func(fault.Fault, Effort)) (Effort, error) {
	var all []Effort
	for _, f := range faults {
		ex.Faults = []fault.Fault{f}
		e, _, _, err := measure(ex)
		if err != nil {
			return Effort{}, fmt.Errorf("%s: %w", f, err)
		}
		if told != nil {
			told(f, e)
		}
		all = append(all, e)
	}
	return Mean(all), nil
}

// level is the difference in points up to which two grades count as equal, where equal is allowed.
const level = 0.05

// faultless is what a job gets of which nothing is to be said.
const faultless = 100

// open reports whether all that is wrong can be seen by whoever looks there.
func open(ex attempt.Exercise) bool {
	book := fault.NewBook(ex.Harness)
	for _, f := range ex.Faults {
		if !slices.ContainsFunc(book.Catalogue(), func(e fault.Entry) bool { return e.Visible && e.Fault.Kind == f.Kind && e.Fault.Place == f.Place }) {
			return false
		}
	}
	return true
}

// amiss says which two robots a grade ranks wrongly. The best next test and the halver may come out equal, and with a fault that lies open to
// the eye the halver and the prober, where neither did anything amiss: whoever begins with a look into the fuse box sees a terminal that
// is spread there, by whatever method they would have gone on, and has proved it. Others must differ.
func amiss(s []Score, open bool) string {
	for i := 1; i < len(s); i++ {
		above, below := s[i-1], s[i]
		tie := i == 1 || i == 2 && open && above.Points >= faultless-level
		if above.Points > below.Points || tie && above.Points >= below.Points-level {
			continue
		}
		return fmt.Sprintf("%s (%.1f) should get more than %s (%.1f)", above.Robot, above.Points, below.Robot, below.Points)
	}
	return ""
}

// tenth rounds to a tenth, as grades are.
func tenth(x float64) float64 { return math.Round(10*x) / 10 }
