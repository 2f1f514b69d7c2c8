//go:build e2e

package endtoend_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/bench"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// job is the exercise that is played: the wire to the horn is broken.
const job = "dt14-06-gate-four"

// view is a bench that can be looked at.
type view interface {
	// words is the bench in words as it stands now.
	words() bench.Mirror
	// shot takes a picture.
	shot(name string)
}

// hand is one way to work the bench.
type hand interface {
	view
	// use uses the control of that id.
	use(id string)
	// touchPoint goes to a point of the sheet and uses it, with a lead in the hand.
	touchPoint(p string)
	// takeLead takes up a lead of the meter: 0 red, 1 black.
	takeLead(end int)
}

// drill is one drill by one hand.
type drill struct {
	t    *testing.T
	hand hand
	ex   *attempt.Exercise
	mend bool // the repair was made
}

// shots numbers the pictures of a drill.
type shots struct {
	dir string
	n   int
}

func newShots(t *testing.T, name string) shots {
	dir := os.Getenv("FAULTLOOM_SHOTS")
	if dir == "" {
		return shots{}
	}
	dir = filepath.Join(dir, name)
	require.NoError(t, os.MkdirAll(dir, 0o755))
	return shots{dir: dir}
}

// path is where the next picture goes, "" for nowhere.
func (s *shots) path(name string) string {
	if s.dir == "" {
		return ""
	}
	s.n++
	return filepath.Join(s.dir, fmt.Sprintf("%02d-%s.png", s.n, name))
}

// patience is how long the bench may take to answer: a software renderer on a busy machine is slow.
const patience = 30 * time.Second

// until waits until the bench says what is waited for.
func until(t *testing.T, h view, what string, ok func(m bench.Mirror) bool) bench.Mirror {
	t.Helper()
	end := time.Now().Add(patience)
	for {
		m := h.words()
		if m.Screen != "" && !m.Busy && ok(m) {
			return m
		}
		if time.Now().After(end) {
			h.shot("stuck")
			var ids []string
			for _, w := range m.Widgets {
				if !strings.HasPrefix(w.ID, "at/") {
					ids = append(ids, w.ID)
				}
			}
			require.FailNow(t, "waited in vain until "+what, "screen %s, seq %d, busy %v, event %q, trouble %q, focus %q\nreadings %q\nwidgets %s", m.Screen, m.Seq, m.Busy, m.Event, m.Trouble, m.Focus, m.Readings, strings.Join(ids, " "))
		}
		time.Sleep(40 * time.Millisecond)
	}
}

func find(m bench.Mirror, id string) *bench.MirrorWidget {
	for i := range m.Widgets {
		if m.Widgets[i].ID == id {
			return &m.Widgets[i]
		}
	}
	return nil
}

// do uses a control and waits until that shows.
func (d *drill) do(id, what string, ok func(m bench.Mirror) bool) bench.Mirror {
	d.t.Helper()
	d.use(id)
	return until(d.t, d.hand, what, ok)
}

// use uses a control that may lie in a part of the bench that a small screen does not show now.
func (d *drill) use(id string) {
	d.t.Helper()
	m := d.hand.words()
	if find(m, id) == nil {
		if area := areaOf(id); area != "" {
			if w := find(m, "area/"+area); w != nil && !w.On {
				d.hand.use("area/" + area)
			}
		}
		until(d.t, d.hand, id+" is there", func(m bench.Mirror) bool { return find(m, id) != nil })
	}
	d.hand.use(id)
}

// areaOf is the part of a small screen that a control is in.
func areaOf(id string) string {
	switch first, _, _ := strings.Cut(id, "/"); first {
	case "page", "check", "to", "study", "find", "repair", "close":
		return "job"
	case "control", "wait":
		return "vehicle"
	case "lead", "dial":
		return "tray"
	case "at", "sheet", "zoom":
		return "sheet"
	}
	return ""
}

// play plays the drill from the job card to the debrief, by what the bench shows alone.
func (d *drill) play() {
	t := d.t
	until(t, d.hand, "the choice is shown", func(m bench.Mirror) bool { return find(m, "start/"+job) != nil })
	d.hand.shot("choice")
	d.do("start/"+job, "the job card is shown", func(m bench.Mirror) bool { return m.Screen == "bench" && m.Exercise == job })
	m := d.hand.words()
	assert.Contains(t, strings.Join(m.Card, "\n"), "the horn does not work", "the complaint")
	assert.NotEmpty(t, m.Guide, "a first-time user is told what to do")
	d.hand.shot("job-card")

	d.runCheck("confirm")
	d.hand.shot("check-marked")

	d.control("HORN", "pressed")
	d.turn(meter.Volts)
	d.hand.shot("dial")
	d.place(1, "G1")
	d.place(0, "X1.2.b")
	fed := d.compare("G1", "X1.2.b")
	assert.Greater(t, fed, 10.0, "the supply comes as far as X1")
	d.hand.shot("reading")
	d.place(0, "HN.in.a")
	dead := d.compare("G1", "HN.in.a")
	assert.Less(t, dead, 1.0, "and not to the horn")
	d.hand.shot("reading-at-the-horn")
	d.lift(0)
	if h, ok := d.hand.(interface{ dragLead(end int, p string) }); ok {
		h.dragLead(0, "BAT.30")
		until(t, d.hand, "the lead that was dragged is at BAT.30", func(m bench.Mirror) bool {
			return strings.Contains(m.Readings[0], meter.Multimeter.Ends()[0]+" at BAT.30")
		})
	} else {
		d.place(0, "BAT.30")
	}
	d.compare("G1", "BAT.30")
	d.hand.shot("reading-at-the-battery")

	d.do("page/finding", "the finding's page is open", func(m bench.Mirror) bool { return find(m, "find") != nil })
	d.do("find", "places are offered", func(m bench.Mirror) bool { return find(m, "find/wire/71c") != nil })
	d.hand.shot("places")
	d.do("find/wire/71c", "kinds are offered", func(m bench.Mirror) bool { return find(m, "kind/wire 71c open") != nil })
	d.hand.shot("kinds")
	d.do("kind/wire 71c open", "the finding stands", func(m bench.Mirror) bool { return strings.Contains(strings.Join(m.Card, "\n"), "Finding: ") })
	d.hand.shot("finding")

	d.lift(0)
	d.lift(1)
	d.turn(meter.Off)
	d.control("HORN", "released")
	d.control("KEY", "off")
	d.do("page/finding", "the repair is offered", func(m bench.Mirror) bool { return find(m, "repair/fitting") != nil })
	d.do("repair/fitting", "the repair is to be confirmed", func(m bench.Mirror) bool { return find(m, "repair/yes") != nil })
	d.hand.shot("repair")
	d.do("repair/yes", "the repair is done", func(m bench.Mirror) bool { return strings.Contains(strings.Join(m.Card, "\n"), "Repair done: ") })
	d.mend = true

	d.runCheck("retest")
	d.hand.shot("retest")
	for _, c := range d.ex.Harness.Controls {
		d.control(c.ID, c.Positions[0])
	}
	d.do("page/finding", "the job can be closed", func(m bench.Mirror) bool { return find(m, "close") != nil })
	d.do("close", "closing is to be confirmed", func(m bench.Mirror) bool { return find(m, "close/yes") != nil })
	d.hand.shot("close")
	m = d.do("close/yes", "the debrief is shown", func(m bench.Mirror) bool { return m.Screen == "debrief" && len(m.Report) > 0 })
	d.hand.shot("debrief")
	assert.Contains(t, strings.Join(m.Report, "\n"), "Score: ")
}

// runCheck runs every line of the normal-operation check and marks it by what is seen.
func (d *drill) runCheck(stage string) {
	d.t.Helper()
	for i, line := range d.ex.Harness.Check {
		n := strconv.Itoa(i + 1)
		if find(d.hand.words(), "check/"+n+"/set") == nil {
			d.use("page/check")
			until(d.t, d.hand, "the check is open", func(m bench.Mirror) bool { return find(m, "check/"+n+"/set") != nil })
		}
		m := d.do("check/"+n+"/set", "the controls stand as line "+n+" says", func(m bench.Mirror) bool {
			w := find(m, "check/"+n+"/good")
			return w != nil && w.Enabled && d.stands(m, line)
		})
		good := true
		for _, e := range line.Expect {
			seen := d.effect(m, e.Component)
			good = good && seen == e.Word
			assert.Equal(d.t, d.twin(m).EffectOf(e.Component).Word, seen, "%s in line %s, as the solver has it", e.Component, n)
		}
		want := map[bool]string{true: "good", false: "bad"}[good]
		d.do("check/"+n+"/"+want, "line "+n+" is marked", func(m bench.Mirror) bool { w := find(m, "check/"+n+"/"+want); return w != nil && w.On })
		if d.mend {
			assert.True(d.t, good, "after the repair line %s is good", n)
		}
	}
}

// stands reports whether the controls are shown where a line of the check wants them.
func (d *drill) stands(m bench.Mirror, line harness.CheckLine) bool {
	for _, c := range d.ex.Harness.Controls {
		want := c.Positions[0]
		for _, s := range line.Set {
			if s.Control == c.ID {
				want = s.Position
			}
		}
		if d.position(m, c.ID) != want {
			return false
		}
	}
	return true
}

// shown is what the bench says after "title: " or "title is at ".
func shown(m bench.Mirror, title, sep string) string {
	for _, s := range m.Seen {
		if rest, ok := strings.CutPrefix(s, title+sep); ok {
			return rest
		}
	}
	return ""
}

func (d *drill) position(m bench.Mirror, control string) string {
	for _, c := range d.ex.Harness.Controls {
		if c.ID == control {
			return shown(m, c.Title, " is at ")
		}
	}
	return ""
}

func (d *drill) effect(m bench.Mirror, component string) string {
	for _, c := range d.ex.Harness.Components {
		if c.ID == component {
			return shown(m, c.Title, ": ")
		}
	}
	return ""
}

// control moves one control.
func (d *drill) control(id, position string) {
	d.t.Helper()
	if d.position(d.hand.words(), id) == position {
		return
	}
	d.do("control/"+id+"/"+position, id+" is at "+position, func(m bench.Mirror) bool { return d.position(m, id) == position })
}

// turn turns the meter's dial.
func (d *drill) turn(f meter.Function) {
	d.t.Helper()
	at := func(m bench.Mirror) bool {
		return f == meter.Off == strings.Contains(m.Readings[0], "meter off")
	}
	if find(d.hand.words(), "dial/"+string(f)) != nil {
		d.do("dial/"+string(f), "the dial is at "+string(f), at)
		return
	}
	if w := find(d.hand.words(), "strip/dial"); w == nil {
		d.use("area/sheet")
	}
	d.do("strip/dial", "the dial is open", func(m bench.Mirror) bool { return find(m, "turn/"+string(f)) != nil })
	d.do("turn/"+string(f), "the dial is at "+string(f), at)
}

// place puts a lead of the meter to a point.
func (d *drill) place(end int, p string) {
	d.t.Helper()
	if w := find(d.hand.words(), "area/sheet"); w != nil && !w.On {
		d.hand.use("area/sheet")
	}
	d.hand.takeLead(end)
	until(d.t, d.hand, "the lead is in the hand", func(m bench.Mirror) bool { return find(m, "hand/lift") != nil || find(m, "hand/back") != nil })
	d.hand.touchPoint(p)
	until(d.t, d.hand, "the lead is at "+p, func(m bench.Mirror) bool {
		return strings.Contains(m.Readings[0], meter.Multimeter.Ends()[end]+" at "+p)
	})
}

// lift takes a lead off its point.
func (d *drill) lift(end int) {
	d.t.Helper()
	if w := find(d.hand.words(), "area/sheet"); w != nil && !w.On {
		d.hand.use("area/sheet")
	}
	d.hand.takeLead(end)
	until(d.t, d.hand, "the lead is in the hand", func(m bench.Mirror) bool { return find(m, "hand/lift") != nil })
	d.do("hand/lift", "the lead is off", func(m bench.Mirror) bool {
		return !strings.Contains(m.Readings[0], meter.Multimeter.Ends()[end]+" at ")
	})
}

var reading = regexp.MustCompile(`Multimeter: (-?[0-9.]+) (mV|V)`)

// compare compares the reading shown with the solver's voltage between the two points, and returns it.
func (d *drill) compare(black, red string) float64 {
	d.t.Helper()
	m := d.hand.words()
	part := reading.FindStringSubmatch(m.Readings[0])
	require.NotNil(d.t, part, "a reading: %q", m.Readings[0])
	v, err := strconv.ParseFloat(part[1], 64)
	require.NoError(d.t, err)
	if part[2] == "mV" {
		v /= 1000
	}
	volts, ohms := d.twin(m).Thevenin(harness.Point(red), harness.Point(black))
	want := volts * meter.InputOhms / (meter.InputOhms + ohms)
	assert.InDelta(d.t, want, v, meter.Volts.Tolerance(want), "volts from %s to %s", black, red)
	d.t.Logf("%s to %s: shown %s, solver %.4f V", black, red, part[0], want)
	return v
}

// twin is the same vehicle computed here, with the controls as the bench shows them.
func (d *drill) twin(m bench.Mirror) *harness.Machine {
	d.t.Helper()
	w, err := harness.NewMachine(d.ex.Harness)
	require.NoError(d.t, err)
	if !d.mend {
		var all []harness.Alteration
		for _, f := range d.ex.Faults {
			a, err := fault.Fault(f).Alterations(d.ex.Harness)
			require.NoError(d.t, err)
			all = append(all, a...)
		}
		require.NoError(d.t, w.Alter(all))
	}
	for _, c := range d.ex.Harness.Controls {
		require.NoError(d.t, w.Operate(c.ID, d.position(m, c.ID)))
	}
	require.NoError(d.t, w.Settle())
	return w
}

// checkLog grades the log that the drill left on disk with the command, and compares with the debrief that was shown.
func (d *drill) checkLog(data string) {
	t := d.t
	files, err := filepath.Glob(filepath.Join(data, "attempts", "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, files, 1, "one attempt")
	var out, errs bytes.Buffer
	cmd := exec.Command(program(t), "grade", files[0], "--format", "json")
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Run(), "%s", &errs)
	var r grading.Report
	require.NoError(t, json.Unmarshal(out.Bytes(), &r))
	assert.True(t, r.Closed)
	assert.Contains(t, d.hand.words().Report[0], fmt.Sprintf("Score: %s of %s", number(r.Score), number(r.Of)), "the debrief on the screen is the log's")
	for _, s := range []string{grading.Confirm, grading.Repair, grading.Retest} {
		assert.Equal(t, r.Stage(s).Of, r.Stage(s).Points, "%s: %+v", s, r.Stage(s).Items)
	}
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func exercise(t *testing.T) *attempt.Exercise {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise(job)
	require.NotNil(t, ex)
	return ex
}
