package attempt_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// Bench time: the table's own figures, and access the first time only.
func TestCosts(t *testing.T) {
	h := sample.Tractor() // connectors and components 20 s, grounds 30 s, looms 300 s
	a, _ := start(t, exerciseOn(t, h))
	steps := []struct {
		act  attempt.Action
		want float64
	}{
		{operate("key", "on"), 3}, {attempt.Mark{Line: 1, Good: true}, 1}, {attempt.Study{Page: "notes"}, 20},
		{dial(meter.Volts), 2}, {black("BAT.31"), 6 + 20}, {red("X1.1.a"), 6 + 20}, {red("X1.2.b"), 6}, {black(harness.Body), 6},
		{red(""), 2}, {attempt.Unplug{Connector: "X1"}, 15}, {attempt.Plug{Connector: "X1"}, 10},
		{attempt.Unplug{Connector: "XLL"}, 15 + 20}, {attempt.Plug{Connector: "XLL"}, 10}, {attempt.Inspect{Place: "component LL"}, 20},
		{attempt.Inspect{Place: "G1"}, 20 + 30}, {attempt.Inspect{Place: "wire 29"}, 60 + 20}, {attempt.OpenLoom{Splice: "S3"}, 300},
		{attempt.CloseLoom{Splice: "S3"}, 300}, {attempt.Find{Fault: "ground G1 open"}, 5}, {attempt.Repair{Repair: "clean ground G1"}, 240},
		{attempt.Repair{Repair: "replace component K1"}, 30 + 20}, {attempt.Repair{Repair: "replace wire 29"}, 900},
		{attempt.Repair{Repair: "remake cavity X2.2"}, 300}, {attempt.Repair{Repair: "remake splice S3"}, 420 + 300},
		{attempt.Repair{Repair: "clean post BAT.30"}, 240}, {attempt.Repair{Repair: "remake ring G1.29"}, 240},
		{attempt.Unplug{Connector: "XF1"}, 15 + 20}, {attempt.FitFuse{Connector: "XF1", Amps: 15}, 10}, {attempt.Repair{Repair: "fit fuse F1"}, 15},
		{attempt.Wait{Seconds: 42.5}, 42.5}, {attempt.Close{}, 0},
	}
	for i, s := range steps {
		before := a.State()
		assert.Equal(t, s.want, attempt.Costs(h, before, s.act), "step %d, %#v", i, s.act)
		obs := do(t, a, s.act)
		assert.InDelta(t, s.want, float64(obs.Ticks-before.Ticks)*attempt.Tick, attempt.Tick/2, "step %d took its time", i)
	}
}

func TestWords(t *testing.T) {
	a, _ := start(t, tractor(t, "cavity X2.1 corroded 1.2 ohm"))
	steps := []struct {
		act         attempt.Action
		did, showed string
	}{
		{operate("key", "on"), "key to on", ""},
		{operate("lamps", "on"), "lamps to on", "K1 clicks; TT: lit; LL: faint; LR: faint"},
		{attempt.Mark{Line: 2, Good: false}, "check line 3 marked: not as it should be", "LL: dim; LR: dim"},
		{attempt.Study{Page: "symptoms"}, "read the symptom guide", ""},
		{dial(meter.Volts), "meter to volts", ""},
		{black("X2.1.b"), "black lead to X2.1.b", "0.0 mV"},
		{red("X2.1.a"), "red lead to X2.1.a", "6.8* V"},
		{dial(meter.Off), "meter off", ""},
		{lead(meter.TestLamp, 0, harness.Body), "test lamp probe to the body", "test lamp off"},
		{lead(meter.TestLamp, 0, ""), "test lamp probe off", ""},
		{attempt.Unplug{Connector: "X2"}, "X2 unplugged", "LR: faint; LL: faint; LL: off; LR: off"},
		{attempt.Inspect{Place: "X2.1"}, "looked at X2.1", "terminal 1 of X2 corroded"},
		{attempt.Plug{Connector: "X2"}, "X2 plugged in", "LL: faint; LR: faint"},
		{attempt.Unplug{Connector: "XK1"}, "K1 pulled", "*"},
		{attempt.Plug{Connector: "XK1"}, "K1 pushed in", "K1 clicks; TT: lit; LL: faint; LR: faint"},
		{attempt.Unplug{Connector: "XF2"}, "fuse F2 pulled", "*K1 clicks*"},
		{attempt.Inspect{Place: "F2"}, "looked at F2", "F2 is a 10 A fuse, its element whole"},
		{attempt.FitFuse{Connector: "XF2", Amps: 7.5}, "new 7.5 A fuse into XF2", "*K1 clicks*"},
		{attempt.OpenLoom{Splice: "S3"}, "loom opened at S3", "LL: dim; LR: dim"},
		{attempt.CloseLoom{Splice: "S3"}, "loom closed at S3", ""},
		{attempt.Find{Fault: "cavity X2.1 corroded"}, "finding: terminal 1 of X2 corroded", ""},
		{attempt.Repair{Repair: "remake cavity X2.1"}, "repair: remake cavity X2.1*", "LL: lit; LR: lit"},
		{attempt.Unplug{Connector: "X2"}, "X2 unplugged", "*"},
		{attempt.Unplug{Connector: "X2"}, "X2 unplugged", "not done: X2 is apart already"},
		{attempt.Wait{Seconds: 2.5}, "waited 2.5 s", ""},
		{attempt.Close{}, "job closed", ""},
	}
	for i, s := range steps {
		_, err := a.Do(s.act)
		require.NoError(t, err)
		entry := a.State().Log[i]
		assert.True(t, like(s.did, entry.Did), "step %d did: want %q, got %q", i, s.did, entry.Did)
		assert.True(t, like(s.showed, entry.Showed), "step %d showed: want %q, got %q", i, s.showed, entry.Showed)
	}
}

// like compares with * standing for any text.
func like(pattern, s string) bool {
	parts := strings.Split(pattern, "*")
	if len(parts) == 1 {
		return pattern == s
	}
	if !strings.HasPrefix(s, parts[0]) || !strings.HasSuffix(s, parts[len(parts)-1]) {
		return false
	}
	for _, p := range parts {
		i := strings.Index(s, p)
		if i < 0 {
			return false
		}
		s = s[i+len(p):]
	}
	return true
}

// A relay that breaks its own supply is told once, not a thousand times.
func TestBuzzingIsToldShortly(t *testing.T) {
	// The lamp switch feeds the coil through wire 32; a short from the break contact's side would buzz. Here the coil is fed from
	// what the relay itself takes away: wire 31 hangs on the lamp wire's fuse through its own break contact.
	h := sample.Tractor()
	for i, w := range h.Wires {
		if w.ID == "32" { // coil from the break contact
			h.Wires[i].From = "XK1.87a.a"
		}
	}
	a, _ := start(t, exerciseOn(t, h))
	obs := do(t, a, attempt.Wait{Seconds: 5})
	clicks, chatter := 0, 0
	for _, e := range obs.Events {
		switch e.What {
		case attempt.EventClickIn, attempt.EventClickOut:
			clicks++
		case attempt.EventChatter:
			chatter++
		}
	}
	assert.Equal(t, 6, clicks)
	assert.Equal(t, 1, chatter)
	log := a.State().Log
	assert.Contains(t, log[0].Showed, "K1 clicks on and on")
}
