package attempt_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

func TestStartRefusesWhatIsNoExercise(t *testing.T) {
	tests := []struct {
		name   string
		change func(*attempt.Exercise)
		want   string
	}{
		{"no id", func(ex *attempt.Exercise) { ex.ID = "" }, "has no id"},
		{"no harness", func(ex *attempt.Exercise) { ex.Harness = nil }, "has no harness"},
		{"unknown tool", func(ex *attempt.Exercise) { ex.Tools = []meter.Tool{"hammer"} }, `tool "hammer"`},
		{"unknown function", func(ex *attempt.Exercise) { ex.Functions = []meter.Function{"henrys"} }, `meter function "henrys"`},
		{"broken harness", func(ex *attempt.Exercise) {
			ex.Harness = sample.Tractor()
			ex.Harness.Wires[0].Size = -1
		}, "size"},
		{"fault that cannot be", func(ex *attempt.Exercise) {
			ex.Faults = []fault.Fault{{Place: "wire 999", Kind: fault.Open}}
		}, "wire 999"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			ex := tractor(t)
			tt.change(&ex)
			log := &memory{}
			_, err := attempt.Start(ex, log)
			assert.ErrorContains(t, err, tt.want)
			assert.Zero(t, log.Len(), "nothing is written")
		})
	}
}

// What cannot be done says why, takes a moment, and changes nothing else.
func TestRefusals(t *testing.T) {
	tests := []struct {
		name   string
		before []attempt.Action
		act    attempt.Action
		why    string
	}{
		{"unknown control", nil, operate("siren", "on"), "there is no control siren on this vehicle"},
		{"unknown position", nil, operate("key", "start"), `key has no position "start"; it has off, on`},
		{"line that is not there", nil, attempt.Mark{Line: 5}, "the check has no line 6; it ends at 5"},
		{"unknown connector", nil, attempt.Unplug{Connector: "X9"}, "there is no connector X9 on this vehicle"},
		{"apart already", []attempt.Action{attempt.Unplug{Connector: "X1"}}, attempt.Unplug{Connector: "X1"}, "X1 is apart already"},
		{"mated already", nil, attempt.Plug{Connector: "X1"}, "X1 is mated already"},
		{"plug of an unknown connector", nil, attempt.Plug{Connector: "X9"}, "there is no connector X9 on this vehicle"},
		{"point that is not there", nil, red("X9.1.a"), `there is no point "X9.1.a" here`},
		{"splice inside the loom", nil, red("S1"), "splice S1 is inside the loom: open the loom to get at it"},
		{"terminal inside its plug", nil, red("XLL.1.b"), "the terminal is inside LL: unplug XLL to get at it"},
		{"under the relay", nil, red("XK1.30.a"), "K1 sits on its socket: pull it out to get at this cavity"},
		{"under the fuse", nil, red("XF1.1.a"), "fuse F1 sits in its holder: pull it out to get at this cavity, or use the test points on its back"},
		{"lead that is lifted", nil, red(""), "red lead is not on anything"},
		{"lead in the way of a plug", []attempt.Action{attempt.Unplug{Connector: "XLL"}, black("XLL.1.b")},
			attempt.Plug{Connector: "XLL"}, "black lead is in the way at XLL.1.b: take it off first"},
		{"lead in the way of a relay", []attempt.Action{attempt.Unplug{Connector: "XK1"}, lead(meter.TestLamp, 0, "XK1.30.a")},
			attempt.Plug{Connector: "XK1"}, "test lamp probe is in the way at XK1.30.a: take it off first"},
		{"lead in the way of a fuse", []attempt.Action{attempt.Unplug{Connector: "XF1"}, lead(meter.Jumper, 1, "XF1.2.a")},
			attempt.FitFuse{Connector: "XF1", Amps: 15}, "jumper's second end is in the way at XF1.2.a: take it off first"},
		{"the same as a repair", []attempt.Action{attempt.Unplug{Connector: "XF1"}, lead(meter.Jumper, 1, "XF1.2.a")},
			attempt.Repair{Repair: "fit fuse F1"}, "jumper's second end is in the way at XF1.2.a: take it off first"},
		{"lead in the way of the tape", []attempt.Action{attempt.OpenLoom{Splice: "S1"}, red("S1")},
			attempt.CloseLoom{Splice: "S1"}, "red lead is in the way at S1: take it off first"},
		{"loom open already", []attempt.Action{attempt.OpenLoom{Splice: "S1"}}, attempt.OpenLoom{Splice: "S1"}, "the loom is open at S1 already"},
		{"loom closed already", nil, attempt.CloseLoom{Splice: "S1"}, "the loom is closed at S1 already"},
		{"unknown splice", nil, attempt.OpenLoom{Splice: "S9"}, "there is no splice S9 on this vehicle"},
		{"nothing there to look at", nil, attempt.Inspect{Place: "X9"}, "there is no X9 on this vehicle"},
		{"no such wire to look at", nil, attempt.Inspect{Place: "wire 999"}, "there is no wire 999 on this vehicle"},
		{"no such sort of place", nil, attempt.Inspect{Place: "pixie X1"}, "there is no pixie X1 on this vehicle"},
		{"nowhere", nil, attempt.Inspect{Place: ""}, "there is no  on this vehicle"},
		{"splice not open to look at", nil, attempt.Inspect{Place: "S1"}, "splice S1 is inside the loom: open the loom to see it"},
		{"finding that says nothing", nil, attempt.Find{Fault: "gremlins"}, "begins with a place in two words"},
		{"finding at no place", nil, attempt.Find{Fault: "wire 999 open"}, "there is no wire 999"},
		{"repair that says nothing", nil, attempt.Repair{Repair: "pray"}, "must be three words"},
		{"repair of nothing", nil, attempt.Repair{Repair: "replace component K9"}, "there is nothing on this vehicle to replace component K9"},
		{"fuse where none goes", nil, attempt.FitFuse{Connector: "X1", Amps: 15}, "there is no fuse holder X1 on this vehicle"},
		{"fuse fitted already", nil, attempt.FitFuse{Connector: "XF1", Amps: 15}, "there is a fuse in XF1 already: pull it first"},
		{"fuse that is not made", []attempt.Action{attempt.Unplug{Connector: "XF1"}}, attempt.FitFuse{Connector: "XF1", Amps: 11},
			"there is no 11 A fuse of this size; they come in 1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40 A"},
		{"large fuse of another rating", []attempt.Action{attempt.Unplug{Connector: "XF0"}}, attempt.FitFuse{Connector: "XF0", Amps: 15},
			"there is no 15 A fuse of this size; they come in 20, 25, 30, 35, 40, 50, 60, 70, 80 A"},
		{"meter's fuse is whole", nil, attempt.ResetFuse{Tool: meter.Multimeter}, "the fuse in the multimeter is whole"},
		{"test lamp has none", nil, attempt.ResetFuse{Tool: meter.TestLamp}, "the test lamp has no fuse"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a, log := start(t, tractor(t, "cavity X2.1 corroded 3 ohm"))
			all(t, a, tt.before...)
			before, lines := a.State(), log.lines
			obs, err := a.Do(tt.act)
			require.NoError(t, err)
			assert.Contains(t, obs.Refused, tt.why)
			assert.Equal(t, lines+1, log.lines, "it is logged")

			after := a.State()
			assert.Equal(t, before.Ticks+200, after.Ticks, "two seconds")
			require.Len(t, after.Log, before.Seq+1)
			assert.Equal(t, "not done: "+obs.Refused, after.Log[before.Seq].Showed)
			after.Seq, after.Ticks, after.Log = before.Seq, before.Ticks, before.Log
			assert.Equal(t, before, after, "nothing else has changed")
		})
	}
}

func TestToolsThatAreNotAllowed(t *testing.T) {
	ex := tractor(t)
	ex.Tools, ex.Functions = []meter.Tool{meter.Multimeter}, []meter.Function{meter.Volts}
	a, _ := start(t, ex)
	for act, why := range map[attempt.Action]string{
		dial(meter.Ohms):                        "the meter's ohms may not be used in this exercise",
		lead(meter.Jumper, 0, "BAT.30"):         "there is no fused jumper in this exercise",
		attempt.ResetFuse{Tool: meter.Jumper}:   "there is no fused jumper in this exercise",
		lead(meter.TestLamp, 1, harness.Body):   "there is no test lamp in this exercise",
		attempt.ResetFuse{Tool: meter.TestLamp}: "there is no test lamp in this exercise",
	} {
		obs, err := a.Do(act)
		require.NoError(t, err)
		assert.Equal(t, why, obs.Refused)
	}
	do(t, a, dial(meter.Volts))
	do(t, a, dial(meter.Off))

	ex.Tools = []meter.Tool{meter.TestLamp}
	a, _ = start(t, ex)
	obs, err := a.Do(dial(meter.Volts))
	require.NoError(t, err)
	assert.Equal(t, "there is no multimeter in this exercise", obs.Refused)
	assert.NotContains(t, a.State().Leads, meter.Multimeter)
}

func TestMalformedActionsAreNotLogged(t *testing.T) {
	a, log := start(t, tractor(t))
	before := a.State()
	for _, act := range []attempt.Action{nil, attempt.Wait{Seconds: -1}, attempt.Lead{Tool: "hammer"}, attempt.Study{Page: "answer"}} {
		_, err := a.Do(act)
		var malformed *attempt.MalformedError
		assert.ErrorAs(t, err, &malformed, "%#v", act)
	}
	assert.Equal(t, 1, log.lines)
	assert.Equal(t, before, a.State())
}

// What an inspection shows depends on what is open to the eye.
func TestInspect(t *testing.T) {
	tests := []struct {
		name   string
		fault  string
		before []attempt.Action
		place  string
		seen   []string
	}{
		{"healthy connector", "", nil, "X2", nil},
		{"backed-out terminal behind a mated connector", "cavity X2.1 backed-out", nil, "X2.1", nil},
		{"backed-out terminal, parted", "cavity X2.1 backed-out", []attempt.Action{attempt.Unplug{Connector: "X2"}}, "X2.1", []string{"cavity X2.1 backed-out"}},
		{"corrosion is not seen from outside", "cavity X2.1 corroded 3 ohm", nil, "X2", nil},
		{"corrosion, parted; nobody sees ohms", "cavity X2.1 corroded 3 ohm", []attempt.Action{attempt.Unplug{Connector: "X2"}}, "X2", []string{"cavity X2.1 corroded"}},
		{"the other cavity", "cavity X2.1 corroded 3 ohm", []attempt.Action{attempt.Unplug{Connector: "X2"}}, "X2.2", nil},
		{"another connector", "cavity X2.1 corroded 3 ohm", []attempt.Action{attempt.Unplug{Connector: "X2"}}, "X1", nil},
		{"splice", "splice S3 24 open", []attempt.Action{attempt.OpenLoom{Splice: "S3"}}, "S3", []string{"splice S3 24 open"}},
		{"ground point", "ground G1 high-resistance 2 ohm", nil, "G1", []string{"ground G1 high-resistance"}},
		{"filament in its plug", "component LL filament-open", nil, "component LL", nil},
		{"filament, lamp out", "component LL filament-open", []attempt.Action{attempt.Unplug{Connector: "XLL"}}, "component LL", []string{"component LL filament-open"}},
		{"burnt contact inside a relay", "component K1 contact-burnt 2 ohm", []attempt.Action{attempt.Unplug{Connector: "XK1"}}, "component K1", nil},
		{"broken wire inside its insulation", "wire 21 open", nil, "wire 21", nil},
		{"fuse in its holder: its rating", "", nil, "XF1", []string{"fuse F1 15 A in its holder"}},
		{"fuse pulled, whole", "", []attempt.Action{attempt.Unplug{Connector: "XF1"}}, "fuse F1", []string{"fuse F1 15 A element whole"}},
		{"hair crack in a fuse: not to be seen", "component F1 element-cracked 1000 ohm", []attempt.Action{attempt.Unplug{Connector: "XF1"}}, "F1", []string{"fuse F1 15 A element whole"}},
		{"fuse open from the start", "component F1 element-open", []attempt.Action{attempt.Unplug{Connector: "XF1"}}, "F1", []string{"fuse F1 15 A element melted"}},
		{"wrong fuse", "fuse F1 wrong-fuse 30 A", nil, "component F1", []string{"fuse F1 30 A in its holder"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults []string
			if tt.fault != "" {
				faults = []string{tt.fault}
			}
			a, _ := start(t, tractor(t, faults...))
			all(t, a, tt.before...)
			obs := do(t, a, attempt.Inspect{Place: tt.place})
			assert.Equal(t, tt.seen, obs.Seen)
			log := a.State().Log
			showed := log[len(log)-1].Showed
			if tt.seen == nil {
				assert.Equal(t, "nothing wrong to be seen", showed)
			} else {
				assert.NotEmpty(t, showed)
			}
		})
	}
}

func TestFuseSightIsStableText(t *testing.T) {
	id, amps, sight, ok := attempt.ParseFuseSeen("fuse F1 7.5 A element melted")
	assert.True(t, ok)
	assert.Equal(t, "F1", id)
	assert.Equal(t, 7.5, amps)
	assert.Equal(t, "element melted", sight)
	for _, text := range []string{"", "fuse F1", "fuse F1 wrong-fuse 30 A", "fuse F1 10 A element lost", "cavity X2.1 corroded"} {
		_, _, _, ok := attempt.ParseFuseSeen(text)
		assert.False(t, ok, text)
	}
}

// A short circuit blows the fuse, and the next one, until it is mended.
func TestShortBlowsEachNewFuse(t *testing.T) {
	a, _ := start(t, tractor(t, "wire 22 short-to-ground 0.05 ohm"))
	fuse := func() attempt.FuseState { return a.State().Fuses["XF1"] }
	assert.Equal(t, attempt.FuseState{Fitted: true}, fuse(), "nothing is known of it yet")
	all(t, a, operate("key", "on"))
	obs := do(t, a, operate("lamps", "on"))
	assert.Equal(t, "off", obs.Effects["LL"])
	for _, e := range obs.Events {
		assert.NotContains(t, e.What, "fuse", "a fuse that opens is not noticed")
	}
	assert.Equal(t, attempt.FuseState{Fitted: true}, fuse(), "still nothing is known")
	// Test points: the supply's side has voltage, the other none.
	all(t, a, dial(meter.Volts), black("BAT.31"))
	assert.InDelta(t, 12.6, do(t, a, red("XF1.1.b")).Displays[meter.Multimeter].Value, 0.2)
	assert.Less(t, do(t, a, red("XF1.2.b")).Displays[meter.Multimeter].Value, 0.1)

	do(t, a, attempt.Unplug{Connector: "XF1"})
	assert.False(t, fuse().Blown, "pulled but not looked at")
	do(t, a, attempt.Inspect{Place: "XF1"})
	assert.Equal(t, attempt.FuseState{Fitted: true, Amps: 15, Blown: true, Looked: true}, fuse())

	obs = do(t, a, attempt.FitFuse{Connector: "XF1", Amps: 15})
	assert.Equal(t, attempt.FuseState{Fitted: true, Amps: 15, Looked: true}, fuse(), "known to be new")
	all(t, a, attempt.Unplug{Connector: "XF1"}, attempt.Inspect{Place: "XF1"})
	assert.True(t, fuse().Blown, "the short is still there")

	all(t, a, operate("lamps", "off"), attempt.Repair{Repair: "replace wire 22"}, attempt.Repair{Repair: "fit fuse F1"})
	assert.False(t, a.State().Unplugged["XF1"], "the new fuse is in its holder")
	obs = do(t, a, operate("lamps", "on"))
	assert.Equal(t, "lit", obs.Effects["LL"])
	all(t, a, attempt.Wait{Seconds: 600}, attempt.Unplug{Connector: "XF1"}, attempt.Inspect{Place: "XF1"})
	assert.Equal(t, attempt.FuseState{Fitted: true, Amps: 15, Looked: true}, fuse(), "it holds now")
}

// A fuse that is too large does not blow, and what it should protect carries on: a hazard, but physics allows it.
func TestLargerFuseMayBeFitted(t *testing.T) {
	a, _ := start(t, tractor(t, "fuse F1 wrong-fuse 3 A"))
	all(t, a, operate("key", "on"), operate("lamps", "on"), attempt.Wait{Seconds: 60})
	assert.Equal(t, "off", a.State().Effects["LL"].Word, "two lamps of 55 W are three times what it carries")
	all(t, a, attempt.Unplug{Connector: "XF1"}, attempt.FitFuse{Connector: "XF1", Amps: 40}, attempt.Wait{Seconds: 60})
	assert.Equal(t, "lit", a.State().Effects["LL"].Word)
	assert.Equal(t, 40.0, a.State().Fuses["XF1"].Amps)
}

// Every fault of the catalogue goes away with its own repair, and the check passes again with a new fuse where one has blown.
func TestRepairsMend(t *testing.T) {
	h := sample.Tractor()
	for i, entry := range fault.Catalogue(h) {
		if i%3 != 0 && !testing.Verbose() {
			continue // a third of them tells; go test -v runs them all
		}
		t.Run(entry.Fault.String(), func(t *testing.T) {
			ex := exerciseOn(t, h)
			ex.Faults = []fault.Fault{entry.Fault}
			a, _ := start(t, ex)
			all(t, a, operate("key", "on"), operate("lamps", "on"), operate("horn", "pressed"), attempt.Wait{Seconds: 5})
			all(t, a, operate("horn", "released"), operate("lamps", "off"), operate("key", "off"))
			do(t, a, attempt.Repair{Repair: entry.Repair.String()})
			for _, fuse := range []string{"F0", "F1", "F2"} {
				do(t, a, attempt.Repair{Repair: "fit fuse " + fuse})
			}
			obs := all(t, a, operate("key", "on"), operate("lamps", "on"), operate("horn", "pressed"), attempt.Wait{Seconds: 5})
			assert.Equal(t, map[string]string{"LL": "lit", "LR": "lit", "TT": "lit", "H1": "sounds"}, obs.Effects)
			obs = all(t, a, operate("horn", "released"), operate("lamps", "off"), operate("key", "off"))
			assert.Equal(t, map[string]string{"LL": "off", "LR": "off", "TT": "off", "H1": "silent"}, obs.Effects)
		})
	}
}

func TestNeedlessRepairsChangeNothing(t *testing.T) {
	a, _ := start(t, tractor(t, "component K1 contact-open"))
	all(t, a, operate("key", "on"), operate("lamps", "on"))
	for _, r := range []string{"replace component LL", "replace wire 22", "clean ground G1", "clean post BAT.30", "remake cavity X2.1", "remake splice S3",
		"remake ring G1.29", "replace component BAT", "fit fuse F1"} {
		assert.Equal(t, "off", do(t, a, attempt.Repair{Repair: r}).Effects["LL"], r)
	}
	assert.Len(t, a.State().Repairs, 9)
	assert.Equal(t, "lit", do(t, a, attempt.Repair{Repair: "replace component K1"}).Effects["LL"])
}

func TestStagesMarksAndShown(t *testing.T) {
	a, _ := start(t, tractor(t, "cavity X2.1 backed-out"))
	type want struct {
		stage string
		shown []bool
		marks []int
	}
	steps := []struct {
		act  attempt.Action
		want want
	}{
		{attempt.Study{Page: "sheet"}, want{"confirm", []bool{false, false, false, false, false}, []int{0, 0, 0, 0, 0}}},
		{operate("lamps", "on"), want{"confirm", []bool{true, false, false, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Mark{Line: 0, Good: true}, want{"confirm", []bool{true, false, false, false, false}, []int{1, 0, 0, 0, 0}}},
		{operate("key", "on"), want{"confirm", []bool{true, false, true, false, false}, []int{1, 0, 0, 0, 0}}},
		{attempt.Mark{Line: 2, Good: false}, want{"confirm", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{dial(meter.Volts), want{"confirm", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{red("X2.1.a"), want{"isolate", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{red(""), want{"isolate", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{attempt.Unplug{Connector: "X2"}, want{"isolate", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		// With something apart nothing is shown.
		{operate("lamps", "off"), want{"isolate", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{attempt.Find{Fault: "cavity X2.1 backed-out"}, want{"isolate", []bool{true, false, true, false, false}, []int{1, 0, -1, 0, 0}}},
		{attempt.Repair{Repair: "remake cavity X2.1"}, want{"repair", []bool{false, false, false, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Plug{Connector: "X2"}, want{"repair", []bool{false, true, false, false, false}, []int{0, 0, 0, 0, 0}}},
		{operate("lamps", "on"), want{"retest", []bool{false, true, true, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Mark{Line: 2, Good: true}, want{"retest", []bool{false, true, true, false, false}, []int{0, 0, 1, 0, 0}}},
		// Taken apart again, the retest has to begin anew.
		{attempt.Unplug{Connector: "X1"}, want{"isolate", []bool{false, false, false, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Plug{Connector: "X1"}, want{"isolate", []bool{false, false, true, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Repair{Repair: "replace component LL"}, want{"repair", []bool{false, false, true, false, false}, []int{0, 0, 0, 0, 0}}},
		{attempt.Close{}, want{"repair", []bool{false, false, true, false, false}, []int{0, 0, 0, 0, 0}}},
	}
	for i, s := range steps {
		do(t, a, s.act)
		st := a.State()
		assert.Equal(t, s.want, want{st.Stage, st.Shown, st.Marks}, "after step %d, %#v", i, s.act)
		assert.Equal(t, s.want.stage, st.Log[i].Stage, "stage of step %d", i)
	}
	st := a.State()
	assert.Equal(t, "cavity X2.1 backed-out", st.Finding)
	assert.Equal(t, []string{"remake cavity X2.1", "replace component LL"}, st.Repairs)
}

// A fuse fitted on the way is a test; fitted because the finding asks for it, it is the repair.
func TestFittedFuseIsRepairWhenTheFindingAsksForIt(t *testing.T) {
	for _, tt := range []struct{ name, finding, stage string }{
		{"no finding", "", "isolate"},
		{"another finding", "wire 22 short-to-ground", "isolate"},
		{"fuse's own finding", "component F1 element-open", "repair"},
		{"wrong fuse", "fuse F1 wrong-fuse 3 A", "repair"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, _ := start(t, tractor(t, "component F1 element-open"))
			if tt.finding != "" {
				do(t, a, attempt.Find{Fault: tt.finding})
			}
			all(t, a, attempt.Unplug{Connector: "XF1"}, attempt.FitFuse{Connector: "XF1", Amps: 15})
			st := a.State()
			assert.Equal(t, tt.stage, st.Stage)
			if tt.stage == "repair" {
				assert.Equal(t, []string{"fit fuse F1"}, st.Repairs)
			} else {
				assert.Empty(t, st.Repairs)
			}
		})
	}
}

// The state, shown on a page, gives nothing away: before anything that shows the fault was done, it is the same for every fault.
func TestStateHoldsNoFault(t *testing.T) {
	states := map[string][]string{}
	for _, f := range []string{"component F1 element-open", "fuse F1 wrong-fuse 3 A", "wire 22 short-to-ground 0.05 ohm", "cavity X2.1 corroded 3 ohm",
		"ground G1 open", "component LL filament-open", "wire 41 open", "component K1 coil-open"} {
		a, _ := start(t, tractor(t, f))
		all(t, a, attempt.Study{Page: "sheet"}, attempt.Unplug{Connector: "X1"}, attempt.Plug{Connector: "X1"})
		data, err := json.Marshal(a.State())
		require.NoError(t, err)
		states[string(data)] = append(states[string(data)], f)
	}
	assert.Len(t, states, 1, "these differ: %v", func() (which [][]string) {
		for _, fs := range states {
			which = append(which, fs)
		}
		return which
	}())
}

func TestStateIsTheCallersOwn(t *testing.T) {
	a, _ := start(t, tractor(t))
	all(t, a, dial(meter.Volts), red("BAT.30"), black("BAT.31"), attempt.Unplug{Connector: "X1"})
	want := a.State()
	s := a.State()
	s.Controls["key"], s.Unplugged["X2"], s.Accessed["X9"], s.OpenLooms["S1"] = "on", true, true, true
	s.Fuses["XF1"], s.Leads["jumper"] = attempt.FuseState{Blown: true}, [2]string{"a", "b"}
	delete(s.Displays, meter.Multimeter)
	delete(s.Effects, "LL")
	s.Reach[0].Ok, s.Marks[0], s.Shown[0], s.Log[0].Did = !s.Reach[0].Ok, 1, true, "nothing"
	assert.Equal(t, want, a.State())
}

// The coach may be asked in a drill, not in a graded exercise; that it was asked is on record and costs no time.
func TestAsk(t *testing.T) {
	ex := tractor(t)
	for _, mode := range []attempt.Mode{attempt.Drill, attempt.Graded} {
		ex.Mode = mode
		a, _ := start(t, ex)
		before := a.State().Ticks
		obs, err := a.Do(attempt.Ask{Topic: attempt.AskNext})
		require.NoError(t, err)
		if mode == attempt.Graded {
			assert.Contains(t, obs.Refused, "no coach")
			continue
		}
		assert.Empty(t, obs.Refused)
		assert.Equal(t, before, obs.Ticks, "asking takes no bench time")
		assert.Equal(t, "asked for a good next test", a.State().Log[0].Did)
		obs, err = a.Do(attempt.Ask{Topic: attempt.AskReading, Point: "X99.1.a"})
		require.NoError(t, err)
		assert.Contains(t, obs.Refused, "no point X99.1.a")
	}
}
