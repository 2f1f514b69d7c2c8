package bench

import (
	"errors"
	"slices"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Model is the bench. All its methods are called on one goroutine.
type Model struct {
	port Port
	set  Settings

	// What the port said.
	list    []wire.Exercise
	listed  bool
	job     *wire.Job
	st      attempt.State
	obs     attempt.Observation
	seen    []sighting // what the log tells of inspections
	report  *grading.Report
	parOf   *grading.Report // the report for which par was asked
	parLate bool            // and has not come
	reach   map[harness.Point]attempt.Reachable
	book    *fault.Book
	faults  []fault.Entry
	repairs []fault.Repair
	infos   map[harness.Point]harness.Info
	sheet   *sheet.Sheet

	// What is under way.
	waiting int            // requests that wait for their answers; at the start there may be two
	since   float64        // when it was sent
	asked   attempt.Action // the action whose answer is awaited
	queue   []attempt.Action
	trouble string // what went wrong with the port, "" if nothing
	again   func() // asks once more

	// What is only on the screen.
	page     string // of the job card
	area     string // shown alone on a small screen
	object   object // whose card is open
	point    harness.Point
	tool     meter.Tool // the one that cards offer leads of
	armed    *leadEnd   // in the hand
	drag     drag
	dialog   []dialog // open ones, the last on top
	note     note
	view     view // of the sheet
	scroll   map[string]float64
	focus    string // id of the widget the keyboard is on
	showRing bool
	hover    string
	hintDone string // id of the widget whose hint gives way to what came of using it
	guide    bool   // the guidance is on
	cues     []Cue
	heard    []string // captions of the last action

	size        draw.Point
	frame       *Frame
	form        form
	dirty       bool
	overDirty   bool
	pointer     draw.Point
	bring       bool   // the thing whose card was opened is to be panned into sight
	reveal      string // id of a widget to scroll into sight
	focusBefore string // the dialogs
	dialogLong  map[int]float64
	advice      advice
	coach       coachLevel
	coaching    *grading.Coaching // the coach's last answer, nil if there is none that still holds
	seek        []grading.Suspect // of which one is to be in sight once the sheet is
	shade       int               // step of the debrief whose suspects are shown, counted from 1; 0 the last
	line        int               // of the check, counted from 1, whose own button set the controls as they stand; 0 for none
	hadReading  bool
	now         float64 // seconds of the screen's own clock
	moved       float64 // when the guidance last pointed elsewhere
	guideWas    string

	sentSettings Settings
}

// note is a word about the last thing done, beside the place it concerns.
type note struct {
	text  string
	point harness.Point // "" if it concerns none
	bad   bool
}

// leadEnd is one end of one tool.
type leadEnd struct {
	tool meter.Tool
	end  int
}

// New returns a bench that shows the choice of exercises once they have come.
func New(p Port, s Settings) *Model {
	m := &Model{port: p, set: s.tidy(), scroll: map[string]float64{}, dialogLong: map[int]float64{}, dirty: true}
	m.sentSettings = m.set
	m.guide = true
	m.AskExercises()
	return m
}

// AskExercises asks for the choice anew.
func (m *Model) AskExercises() {
	m.request(func() {
		m.port.Exercises(func(list []wire.Exercise, err error) {
			if m.answered(err, m.AskExercises) {
				m.list, m.listed = list, true
			}
		})
	})
}

// Open opens an exercise at once: the attempt under way, else a new one.
func (m *Model) Open(id string) { m.start(id, false) }

func (m *Model) start(id string, fresh bool) {
	m.request(func() {
		m.port.Start(id, fresh, func(j *wire.Job, err error) {
			if m.answered(err, func() { m.start(id, fresh) }) {
				m.enter(j)
			}
		})
	})
}

// show opens the last attempt at an exercise as it stands.
func (m *Model) show(id string) {
	m.request(func() {
		m.port.Job(id, func(j *wire.Job, err error) {
			if m.answered(err, func() { m.show(id) }) {
				m.enter(j)
			}
		})
	})
}

// request sends one request.
func (m *Model) request(send func()) {
	m.waiting++
	m.since, m.trouble, m.again = m.now, "", nil
	m.dirty = true
	send()
}

// answered takes note of an answer; retry is what to do again if there was none.
func (m *Model) answered(err error, retry func()) bool {
	m.waiting--
	m.dirty = true
	if err == nil {
		return true
	}
	m.trouble, m.again = err.Error(), retry
	m.queue = nil
	var p *PortError
	if errors.As(err, &p) && !movedOn(err) && p.Status < 500 && m.job != nil {
		// The other side refused and will refuse again.
		m.again = nil
	}
	return false
}

// enter shows a job.
func (m *Model) enter(j *wire.Job) {
	rep, err := decodeReport(j.Report)
	if err != nil {
		m.trouble = err.Error()
	}
	fresh := m.job == nil || m.job.Exercise.ID != j.Exercise.ID
	m.job, m.report = j, rep
	m.obs = attempt.Observation{}
	if fresh || m.sheet == nil {
		m.sheet = sheet.Layout(j.Harness)
		m.book = fault.NewBook(j.Harness)
		m.faults, m.repairs = m.book.Catalogue(), m.book.Repairs()
		m.infos = map[harness.Point]harness.Info{}
		for _, i := range j.Harness.Infos() {
			m.infos[i.Point] = i
		}
	}
	m.page, m.area = "card", "job"
	m.object, m.point = object{}, ""
	m.armed, m.drag, m.dialog, m.queue = nil, drag{}, nil, nil
	m.note = note{text: j.Notice}
	m.view = view{}
	m.scroll = map[string]float64{}
	m.focus, m.heard = "", nil
	m.tool, m.line = "", 0
	for _, t := range j.Exercise.Tools {
		m.tool = t
		break
	}
	m.guide, m.hadReading = !m.set.Guided, false
	m.take(j.State)
	if m.st.Closed {
		m.openDebrief()
	}
}

// leave goes back to the choice of exercises.
func (m *Model) leave() {
	m.job, m.report, m.sheet, m.dialog = nil, nil, nil, nil
	m.st, m.obs, m.note, m.queue, m.armed = attempt.State{}, attempt.Observation{}, note{}, nil, nil
	m.seen = nil
	m.focus = ""
	m.AskExercises()
}

func (m *Model) take(st attempt.State) {
	m.st = st
	m.seen = m.sightings()
	m.reach = make(map[harness.Point]attempt.Reachable, len(st.Reach))
	for _, r := range st.Reach {
		m.reach[r.Point] = r
	}
}

// do asks for actions, one after the other; the rest is dropped when one is refused or fails.
func (m *Model) do(acts ...attempt.Action) {
	if m.job == nil || m.st.Closed || len(acts) == 0 {
		return
	}
	m.note = note{}
	if slices.ContainsFunc(acts, movesControl) {
		m.line = 0
	}
	// What comes of it is more worth reading than what the thing just used is for.
	m.hintDone = m.hover
	if m.hintDone == "" {
		m.hintDone = m.focus
	}
	for _, a := range acts {
		// A button hit twice before the answer came means once.
		if m.waiting > 0 && len(m.queue) == 0 && a == m.asked || len(m.queue) > 0 && a == m.queue[len(m.queue)-1] {
			continue
		}
		m.queue = append(m.queue, a)
	}
	m.next()
}

func movesControl(act attempt.Action) bool {
	_, ok := act.(attempt.Operate)
	return ok
}

// maxQueue bounds what an impatient person can pile up while an answer is awaited.
const maxQueue = 40

func (m *Model) next() {
	if len(m.queue) > maxQueue {
		m.queue = m.queue[:maxQueue]
	}
	if m.waiting > 0 || len(m.queue) == 0 || m.trouble != "" {
		return
	}
	act := m.queue[0]
	m.queue = m.queue[1:]
	m.send(act)
}

func (m *Model) send(act attempt.Action) {
	rest := m.queue
	m.asked = act
	m.request(func() {
		m.port.Do(m.job.Exercise.ID, m.st.Seq, act, func(r Reply, err error) {
			retry := func() { m.queue = rest; m.send(act) }
			if movedOn(err) {
				retry = m.refetch
			}
			if !m.answered(err, retry) {
				return
			}
			m.observe(act, r)
			m.next()
		})
	})
}

// refetch asks for the attempt as it stands: another window may have gone on with it.
func (m *Model) refetch() {
	id := m.job.Exercise.ID
	m.request(func() {
		m.port.Job(id, func(j *wire.Job, err error) {
			if m.answered(err, m.refetch) {
				m.enter(j)
			}
		})
	})
}

// observe shows what an action yielded.
func (m *Model) observe(act attempt.Action, r Reply) {
	was := m.st
	m.obs = r.Observation
	m.take(r.State)
	if r.Report != nil {
		m.report = r.Report
	}
	m.listen(was, r.Observation)
	defer m.heed(act, r)
	if r.Observation.Refused != "" {
		m.queue = nil
		m.note = note{text: r.Observation.Refused, point: placeOf(act), bad: true}
		return
	}
	switch act := act.(type) {
	case attempt.Lead:
		m.armed = nil
		if act.Point != "" {
			m.tool = act.Tool
		}
	case attempt.Inspect:
		m.note = note{text: m.lastEntry()}
	case attempt.Find:
		m.closeDialogs()
		m.page, m.area = "finding", m.besides("job")
		m.note = note{text: "Your finding stands on the job card."}
	case attempt.Repair:
		m.closeDialogs()
		m.page, m.line = "finding", 0 // the check begins anew
		m.note = note{text: "Done: " + m.repairTitle(act.Repair) + ". Now run the check again."}
	case attempt.FitFuse:
		m.closeDialogs()
	case attempt.Close:
		m.closeDialogs()
		m.openDebrief()
	}
	if m.readingTaken() {
		m.hadReading = true
		if !m.set.Guided {
			m.set.Guided, m.guide = true, false
		}
	}
}

// placeOf returns the point an action was about, "" if it was about none.
func placeOf(act attempt.Action) harness.Point {
	if l, ok := act.(attempt.Lead); ok {
		return l.Point
	}
	return ""
}

// readingTaken reports whether a meter shows a number for two placed leads.
func (m *Model) readingTaken() bool {
	ends := m.st.Leads[meter.Multimeter]
	return ends[0] != "" && ends[1] != "" && m.st.Dial != meter.Off && m.st.Dial != ""
}

// Settings returns how the person likes the bench, and whether that changed since the last call.
func (m *Model) Settings() (s Settings, changed bool) {
	changed = m.set != m.sentSettings
	m.sentSettings = m.set
	return m.set, changed
}

// Exercise returns the id of the exercise on the bench, "" when one is being chosen.
func (m *Model) Exercise() string {
	if m.job == nil {
		return ""
	}
	return m.job.Exercise.ID
}

// State returns what the attempt last said.
func (m *Model) State() attempt.State { return m.st }

// Report returns the graded debrief, nil before the job is closed.
func (m *Model) Report() *grading.Report { return m.report }

// Busy reports whether an answer is awaited or actions wait to be sent.
func (m *Model) Busy() bool { return m.waiting > 0 || len(m.queue) > 0 }

// Dirty reports whether Frame would differ from the last one.
func (m *Model) Dirty() bool { return m.dirty }

// Tick moves the screen's clock by dt seconds and takes in answers that have come. It reports whether there is something
// new to show.
func (m *Model) Tick(dt float64) bool {
	m.now += dt
	m.port.Poll()
	if m.moving() {
		m.dirty = true
	}
	if m.waiting > 0 && m.now-m.since > slowAfter && m.now-dt-m.since <= slowAfter {
		m.dirty = true
	}
	return m.dirty
}

// slowAfter is how many seconds an answer may take before the screen says that it waits: sooner would flicker.
const slowAfter = 0.4
