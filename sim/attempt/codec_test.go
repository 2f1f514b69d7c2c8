package attempt_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// everyAction is one of each, with its JSON.
func everyAction() map[string]attempt.Action {
	return map[string]attempt.Action{
		`{"do":"operate","control":"key","position":"on"}`:                      attempt.Operate{Control: "key", Position: "on"},
		`{"do":"mark","line":2,"good":false}`:                                   attempt.Mark{Line: 2, Good: false},
		`{"do":"ask","topic":"next","point":""}`:                                attempt.Ask{Topic: attempt.AskNext},
		`{"do":"ask","topic":"reading","point":"X1.2.a"}`:                       attempt.Ask{Topic: attempt.AskReading, Point: "X1.2.a"},
		`{"do":"study","page":"sheet"}`:                                         attempt.Study{Page: "sheet"},
		`{"do":"dial","function":"volts"}`:                                      attempt.Dial{Function: meter.Volts},
		`{"do":"lead","tool":"test-lamp","end":1,"point":"X1.3.a"}`:             attempt.Lead{Tool: meter.TestLamp, End: 1, Point: "X1.3.a"},
		`{"do":"unplug","connector":"X1"}`:                                      attempt.Unplug{Connector: "X1"},
		`{"do":"plug","connector":"X1"}`:                                        attempt.Plug{Connector: "X1"},
		`{"do":"open-loom","splice":"S1"}`:                                      attempt.OpenLoom{Splice: "S1"},
		`{"do":"close-loom","splice":"S1"}`:                                     attempt.CloseLoom{Splice: "S1"},
		`{"do":"inspect","place":"wire 31b"}`:                                   attempt.Inspect{Place: "wire 31b"},
		`{"do":"wiggle","place":"X1.3"}`:                                        attempt.Wiggle{Place: "X1.3"},
		`{"do":"warm","place":"K1"}`:                                            attempt.Warm{Place: "K1"},
		`{"do":"cool","place":"S1"}`:                                            attempt.Cool{Place: "S1"},
		`{"do":"find","fault":"cavity X1.3 backed-out"}`:                        attempt.Find{Fault: "cavity X1.3 backed-out"},
		`{"do":"repair","repair":"remake cavity X1.3"}`:                         attempt.Repair{Repair: "remake cavity X1.3"},
		`{"do":"fit-fuse","connector":"XF1","amps":7.5}`:                        attempt.FitFuse{Connector: "XF1", Amps: 7.5},
		`{"do":"reset-fuse","tool":"multimeter"}`:                               attempt.ResetFuse{Tool: meter.Multimeter},
		`{"do":"wait","seconds":0.25}`:                                          attempt.Wait{Seconds: 0.25},
		`{"do":"close"}`:                                                        attempt.Close{},
		`{"do":"operate","control":"work lamps <left & right>","position":"Ω"}`: attempt.Operate{Control: "work lamps <left & right>", Position: "Ω"},
	}
}

func TestActionsThereAndBack(t *testing.T) {
	for text, act := range everyAction() {
		t.Run(text, func(t *testing.T) {
			data, err := attempt.EncodeAction(act)
			require.NoError(t, err)
			assert.Equal(t, text, string(data))
			back, err := attempt.DecodeAction([]byte(text))
			require.NoError(t, err)
			assert.Equal(t, act, back)
		})
	}
}

func TestActionsThatAreNone(t *testing.T) {
	long := strings.Repeat("x", attempt.MaxText+1)
	tests := []struct{ name, text, want string }{
		{"nothing", ``, `action: must be one JSON object (EOF)`},
		{"a list", `[]`, `action: must be one JSON object (got [])`},
		{"null", `null`, `action: must be one JSON object (got null)`},
		{"cut off", `{"do":"unplug","connector":"X`, `action: field "connector": unexpected EOF`},
		{"not closed", `{"do":"close"`, `action: must be one JSON object (EOF)`},
		{"two objects", `{"do":"close"}{"do":"close"}`, `action: nothing may follow the object`},
		{"no word", `{"connector":"X1"}`, `action: field "do" is missing: it must be one of operate, mark, study, dial, relative, capture, zero, sweep, lead, unplug, plug, open-loom, close-loom, inspect, wiggle, warm, cool, find, repair, fit-fuse, reset-fuse, ask, wait, close`},
		{"unknown word", `{"do":"explode"}`, `action "explode": must be one of operate, mark, study, dial, relative, capture, zero, sweep, lead, unplug, plug, open-loom, close-loom, inspect, wiggle, warm, cool, find, repair, fit-fuse, reset-fuse, ask, wait, close`},
		{"word in other case", `{"do":"Unplug","connector":"X1"}`, `action "Unplug": must be one of`},
		{"word is a number", `{"do":3}`, `action: field "do" must be a text (got 3)`},
		{"word is null", `{"do":null}`, `action: field "do" must be a text (got null)`},
		{"unknown field", `{"do":"unplug","connector":"X1","force":2}`, `action "unplug": field "force" is unknown: it takes connector`},
		{"field of one that takes none", `{"do":"close","sure":true}`, `action "close": field "sure" is unknown: it takes none`},
		{"field in other case", `{"do":"unplug","Connector":"X1"}`, `action "unplug": field "Connector" is unknown: it takes connector`},
		{"field missing", `{"do":"lead","tool":"jumper","end":0}`, `action "lead": field "point" is missing`},
		{"field twice", `{"do":"unplug","connector":"X1","connector":"X2"}`, `action: field "connector" stands there twice`},
		{"text for a number", `{"do":"lead","tool":"jumper","end":"red","point":""}`, `action "lead": field "end" must be a whole number (got "red")`},
		{"fraction for a whole number", `{"do":"mark","line":1.5,"good":true}`, `action "mark": field "line" must be a whole number (got 1.5)`},
		{"number for a text", `{"do":"unplug","connector":1}`, `action "unplug": field "connector" must be a text (got 1)`},
		{"null for a text", `{"do":"unplug","connector":null}`, `action "unplug": field "connector" must be a text (got null)`},
		{"text for yes or no", `{"do":"mark","line":1,"good":"yes"}`, `action "mark": field "good" must be true or false (got "yes")`},
		{"third end", `{"do":"lead","tool":"jumper","end":2,"point":""}`, `action "lead": end must be 0 or 1 (got 2)`},
		{"unknown tool", `{"do":"lead","tool":"hammer","end":0,"point":""}`, `action "lead": tool "hammer": must be one of multimeter, test-lamp, jumper`},
		{"unknown function", `{"do":"dial","function":"henrys"}`, `action "dial": meter function "henrys": must be one of off, volts, millivolts, ohms, continuity, diode, amps, hertz, duty`},
		{"unknown page", `{"do":"study","page":"answer"}`, `action "study": page must be one of sheet, notes, hints, symptoms, check (got "answer")`},
		{"line before the first", `{"do":"mark","line":-1,"good":true}`, `action "mark": line must be between 0 and 999 (got -1)`},
		{"no time", `{"do":"wait","seconds":0}`, `action "wait": seconds must be above 0 and at most 600 (got 0)`},
		{"too much time", `{"do":"wait","seconds":601}`, `action "wait": seconds must be above 0 and at most 600 (got 601)`},
		{"number beyond all", `{"do":"wait","seconds":1e999}`, `action "wait": field "seconds" must be a number (got 1e999)`},
		{"fuse of nothing", `{"do":"fit-fuse","connector":"X","amps":0}`, `action "fit-fuse": amps must be above 0 and at most 1000 (got 0)`},
		{"long text", `{"do":"unplug","connector":"` + long + `"}`, `action "unplug": connector must be at most 200 bytes long (got 201)`},
		{"line break in a text", `{"do":"unplug","connector":"X\n1"}`, `action "unplug": connector must hold no control characters (got "X\n1")`},
		{"no text at all", "{\"do\":\"unplug\",\"connector\":\"\xff\"}", `action: must be UTF-8 text`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := attempt.DecodeAction([]byte(tt.text))
			require.Error(t, err)
			assert.Contains(t, err.Error(), tt.want)
			var malformed *attempt.MalformedError
			assert.ErrorAs(t, err, &malformed)
		})
	}
}

func TestEncodeRefusesWhatDecodeWould(t *testing.T) {
	for name, act := range map[string]attempt.Action{
		"nil":         nil,
		"pointer":     &attempt.Close{},
		"no time":     attempt.Wait{Seconds: math.NaN()},
		"endless":     attempt.Wait{Seconds: math.Inf(1)},
		"third end":   attempt.Lead{Tool: meter.Jumper, End: 3},
		"broken text": attempt.Unplug{Connector: "\xff"},
		"amps":        attempt.FitFuse{Connector: "X", Amps: math.NaN()},
	} {
		_, err := attempt.EncodeAction(act)
		assert.Error(t, err, name)
	}
}

func FuzzDecodeAction(f *testing.F) {
	for text := range everyAction() {
		f.Add([]byte(text))
	}
	f.Add([]byte(`{"do":"wait","seconds":1e-300}`))
	f.Add([]byte(`{"do":"mark","line":00,"good":true}`))
	f.Add([]byte(`{"do":"unplug","connector":{"a":[1]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		act, err := attempt.DecodeAction(data)
		if err != nil {
			return
		}
		again, err := attempt.EncodeAction(act)
		require.NoError(t, err, "what was read can be written")
		back, err := attempt.DecodeAction(again)
		require.NoError(t, err, "and read again")
		require.Equal(t, act, back)
	})
}
