package attempt_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

var update = flag.Bool("update", false, "record the attempts in testdata/attempt anew")

// dir holds the recorded attempts.
var dir = filepath.Join("..", "..", "testdata", "attempt")

// shipped returns an exercise as it comes with the program.
func shipped(t testing.TB, id string) attempt.Exercise {
	t.Helper()
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise(id)
	require.NotNil(t, ex, "exercise %s", id)
	return *ex
}

// player is someone at work on an exercise.
type player struct {
	t  testing.TB
	ex attempt.Exercise
	a  *attempt.Attempt
}

func (p player) do(acts ...attempt.Action) attempt.Observation {
	p.t.Helper()
	return all(p.t, p.a, acts...)
}

// check runs the normal-operation check and marks every line as it is.
func (p player) check() {
	p.t.Helper()
	for n, line := range p.ex.Harness.Check {
		p.set(line.Set...)
		obs := p.do(attempt.Wait{Seconds: 3})
		good := true
		for _, e := range line.Expect {
			good = good && obs.Effects[e.Component] == e.Word
		}
		p.do(attempt.Mark{Line: n, Good: good})
	}
	p.set()
}

// set puts the controls so, all others at rest.
func (p player) set(settings ...harness.Setting) {
	p.t.Helper()
	at := p.a.State().Controls
	for _, c := range p.ex.Harness.Controls {
		want := c.Positions[0]
		for _, s := range settings {
			if s.Control == c.ID {
				want = s.Position
			}
		}
		if at[c.ID] != want {
			p.do(operate(c.ID, want))
		}
	}
}

func lampsOn() []harness.Setting {
	return []harness.Setting{{Control: "KEY", Position: "on"}, {Control: "LAMPS", Position: "on"}}
}

// volts reads between two points, the leads already being somewhere or not.
func (p player) volts(red, black harness.Point) {
	p.t.Helper()
	at := p.a.State().Leads[meter.Multimeter]
	for end, point := range [2]harness.Point{red, black} {
		if at[end] != string(point) {
			p.do(lead(meter.Multimeter, end, point))
		}
	}
}

// isolate follows the feed of the work lamps from the battery with the lamps switched on, until a joint is found that loses
// volts, and looks at it.
func (p player) isolate() {
	p.t.Helper()
	p.do(attempt.Study{Page: "sheet"}, dial(meter.Volts))
	p.set(lampsOn()...)
	p.volts("BAT.30", "BAT.31")
	p.volts("F2.2.b", "BAT.31")
	p.volts("X1.1.a", "BAT.31")
	p.volts("X1.1.b", "BAT.31")
	p.volts("X1.1.a", "X1.1.b")
	p.do(red(""), black(""), dial(meter.Off))
	p.set()
	p.do(attempt.Unplug{Connector: "X1"}, attempt.Inspect{Place: "X1.1"}, attempt.Find{Fault: "cavity X1.1 corroded"})
}

// mend remakes the terminal and puts everything back.
func (p player) mend() {
	p.t.Helper()
	p.do(attempt.Repair{Repair: "remake cavity X1.1"})
	if p.a.State().Unplugged["X1"] {
		p.do(attempt.Plug{Connector: "X1"})
	}
}

// recordings are five people at exercise dt14-02-candlelight: a corroded terminal in the feed of both work lamps, which an ohmmeter
// beeps through.
func recordings() map[string]func(p player) {
	return map[string]func(p player){
		"plan": func(p player) { // all four stages, in order
			p.check()
			p.isolate()
			p.mend()
			p.check()
		},
		"skip-retest": func(p player) { // found and mended, but never tried
			p.check()
			p.isolate()
			p.mend()
		},
		"live-ohms": func(p player) { // the ohmmeter first, with the lamps on
			p.check()
			p.do(dial(meter.Continuity))
			p.set(lampsOn()...)
			p.volts("X1.1.a", "X1.1.b")
			p.do(dial(meter.Ohms))
			p.volts("X1.1.b", "BAT.31")
			p.do(red(""), black(""), dial(meter.Off))
			p.isolate()
			p.mend()
			p.check()
		},
		"guess": func(p player) { // heard of such a case last week
			p.check()
			p.do(attempt.Find{Fault: "component LL wrong-lamp"}, attempt.Find{Fault: "ground G1 high-resistance"}, attempt.Repair{Repair: "clean ground G1"})
			p.set(lampsOn()...)
			p.do(attempt.Find{Fault: "cavity X1.1 corroded"})
			p.mend()
			p.check()
		},
		"swap-parts": func(p player) { // new parts until it works
			p.set(lampsOn()...)
			for _, part := range []string{"replace component LL", "replace component LR", "fit fuse F2", "replace component K1", "replace component LAMPS",
				"clean ground G1", "replace wire 56c", "remake cavity X1.1"} {
				p.do(attempt.Repair{Repair: part})
			}
			p.set()
		},
	}
}

const recordedAt = "dt14-02-candlelight"

// The recorded attempts replay to the same displayed digits, on every platform that runs this test. Go test
// ./sim/attempt -update records them anew, which is needed after any change of the exercise, its harness or the physics.
func TestRecordedAttempts(t *testing.T) {
	ex := shipped(t, recordedAt)
	for name, play := range recordings() {
		t.Run(name, func(t *testing.T) { golden(t, ex, name, play) })
	}
}

// TestRecordedEverything does the same with one attempt that has every action in it, on the sample harness.
func TestRecordedEverything(t *testing.T) {
	golden(t, tractor(t, "wire 22 short-to-ground 0.05 ohm", "component LR holder-shorted 0.5 ohm"), "everything", func(p player) {
		for _, act := range everything() {
			_, err := p.a.Do(act)
			require.NoError(p.t, err)
		}
	})
}

// everything has every action in it, some of them refused, and every instrument in its good and bad moments.
func everything() []attempt.Action {
	return []attempt.Action{
		attempt.Study{Page: "check"}, operate("key", "on"), operate("lamps", "on"), operate("horn", "pressed"), attempt.Mark{Line: 4, Good: false},
		operate("horn", "released"), dial(meter.Volts), black("BAT.31"), red("BAT.30"), red("XF1.2.b"), red("XK1.30.a"), red("XLL.1.a"),
		lead(meter.TestLamp, 0, "BAT.30"), lead(meter.TestLamp, 1, "G1"), lead(meter.TestLamp, 0, "X2.1.a"), lead(meter.TestLamp, 0, ""),
		attempt.Unplug{Connector: "XF1"}, attempt.Inspect{Place: "XF1"}, dial(meter.Ohms), red("XF1.1.b"), black("XF1.2.b"),
		attempt.Relative{On: true}, attempt.Relative{On: true}, attempt.Relative{On: false}, attempt.Capture{On: true}, dial(meter.Diode), dial(meter.Millivolts), attempt.Capture{On: true},
		attempt.Wait{Seconds: 1}, attempt.Capture{On: false}, dial(meter.Hertz), dial(meter.Duty), attempt.Relative{On: true}, dial(meter.Ohms),
		operate("lamps", "off"), black("BAT.31"), red("X2.1.a"), dial(meter.Continuity), attempt.Unplug{Connector: "X2"}, attempt.Plug{Connector: "X2"},
		red("BAT.30"), dial(meter.Amps), attempt.Wait{Seconds: 1}, attempt.ResetFuse{Tool: meter.Multimeter}, dial(meter.Off),
		lead(meter.Jumper, 0, "BAT.30"), lead(meter.Jumper, 1, harness.Body), attempt.ResetFuse{Tool: meter.Jumper},
		lead(meter.Jumper, 1, ""), lead(meter.Jumper, 0, ""), red(""), black(""),
		lead(meter.Clamp, 0, "wire 22"), attempt.Zero{Tool: meter.Clamp}, lead(meter.Clamp, 1, "wire 22"), lead(meter.Clamp, 0, "BAT.30"), lead(meter.Clamp, 0, ""),
		lead(meter.LogicProbe, 0, "BAT.30"), lead(meter.LogicProbe, 0, ""), attempt.Sweep{Seconds: 0.1, Level: 5}, lead(meter.TraceView, 1, "BAT.30"), lead(meter.TraceView, 1, ""),
		lead(meter.Load, 0, "BAT.30"), lead(meter.Load, 1, "BAT.31"), lead(meter.Load, 0, ""), lead(meter.Load, 1, ""), lead(meter.Reader, 0, "component LL"),
		attempt.OpenLoom{Splice: "S3"}, attempt.Inspect{Place: "S3"}, attempt.CloseLoom{Splice: "S3"}, attempt.Inspect{Place: "wire 22"},
		attempt.Find{Fault: "wire 22 short-to-ground"}, attempt.Repair{Repair: "replace wire 22"}, attempt.FitFuse{Connector: "XF1", Amps: 15},
		operate("lamps", "on"), attempt.Repair{Repair: "replace component LR"}, attempt.Unplug{Connector: "XF1"}, attempt.FitFuse{Connector: "XF1", Amps: 15},
		attempt.Wait{Seconds: 600}, attempt.Close{},
	}
}

func golden(t *testing.T, ex attempt.Exercise, name string, play func(player)) {
	t.Helper()
	a, log := start(t, ex)
	play(player{t, ex, a})
	if !a.State().Closed {
		do(t, a, attempt.Close{})
	}
	file := filepath.Join(dir, name+".jsonl")
	if *update {
		require.NoError(t, os.WriteFile(file, log.Bytes(), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	records, err := attempt.Replay(ex, bytes.NewReader(want))
	require.NoError(t, err, "replayed on %s/%s; after a change of exercise, harness or physics record anew with -update", runtime.GOOS, runtime.GOARCH)
	assert.Equal(t, a.Records(), records)
	assert.True(t, bytes.Equal(want, log.Bytes()), "the same actions make the same log, byte by byte")
}
