package fault_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestWhatComesAndGoes reads faults that come and go, puts them in, and looks at repair, title and what is seen of them.
func TestWhatComesAndGoes(t *testing.T) {
	h := sample.Tractor()
	b := fault.NewBook(h)
	all := func(string) bool { return true }
	none := func(string) bool { return false }
	for _, c := range []struct {
		text, repair, title string
		does                harness.Alteration
		place               string // at which it is looked for, with all apart and open
		seen, seenMated     bool
	}{
		{"cavity X2.1 shaky", "remake cavity X2.1", "terminal 1 of X2 loose: it opens when it is shaken",
			harness.SeriesOhms{Where: "cavity X2.1", When: harness.Shaken}, "X2", true, false},
		{"crimp X2.1.b shaky", "remake cavity X2.1", "wire 23 loose in its crimp at X2.1.b: it opens when it is shaken",
			harness.SeriesOhms{Where: "crimp X2.1.b", When: harness.Shaken}, "X2", false, false},
		{"ring G1.29 shaky", "clean ground G1", "ring terminal of wire 29 loose on ground point G1: it opens when it is shaken",
			harness.SeriesOhms{Where: "ring G1.29", When: harness.Shaken}, "G1", true, true},
		{"ring BAT.30.10 shaky", "clean post BAT.30", "ring terminal of wire 10 loose on stud 30 of BAT: it opens when it is shaken",
			harness.SeriesOhms{Where: "ring BAT.30.10", When: harness.Shaken}, "BAT.30", true, true},
		{"wire 23 shaky", "replace wire 23", "wire 23 broken inside its insulation: it opens when it moves",
			harness.SeriesOhms{Where: "wire 23", When: harness.Shaken}, "wire 23", false, false},
		{"splice S3 24 opens-hot", "remake splice S3", "joint of wire 24 in splice S3 opens when hot",
			harness.SeriesOhms{Where: "splice S3 24", When: harness.Hot}, "S3", false, false},
		{"splice S3 24 opens-cold", "remake splice S3", "joint of wire 24 in splice S3 opens when cold",
			harness.SeriesOhms{Where: "splice S3 24", When: harness.Cold}, "S3", false, false},
		{"component K1 opens-hot 86", "replace component K1", "K1: its joint at terminal 86 opens when hot",
			harness.SeriesOhms{Where: "cavity XK1.86", When: harness.Hot, Inside: "K1"}, "K1", false, false},
		{"component K1 opens-cold 30", "replace component K1", "K1: its joint at terminal 30 opens when cold",
			harness.SeriesOhms{Where: "cavity XK1.30", When: harness.Cold, Inside: "K1"}, "K1", false, false},
		{"cavity X2.1 high-shaken 4 ohm", "remake cavity X2.1", "terminal 1 of X2 loose: it has high resistance when it is shaken",
			harness.SeriesOhms{Where: "cavity X2.1", Ohms: 4, When: harness.Shaken}, "X2", true, false},
		{"ring G1.29 high-shaken 4 ohm", "clean ground G1", "ring terminal of wire 29 loose on ground point G1: it has high resistance when it is shaken",
			harness.SeriesOhms{Where: "ring G1.29", Ohms: 4, When: harness.Shaken}, "G1", true, true},
		{"splice S3 24 high-cold 4 ohm", "remake splice S3", "joint of wire 24 in splice S3 has high resistance when cold",
			harness.SeriesOhms{Where: "splice S3 24", Ohms: 4, When: harness.Cold}, "S3", false, false},
		{"component K1 high-hot 86 4 ohm", "replace component K1", "K1: its joint at terminal 86 has high resistance when hot",
			harness.SeriesOhms{Where: "cavity XK1.86", Ohms: 4, When: harness.Hot, Inside: "K1"}, "K1", false, false},
		{"wire 23 touches-ground 0.05 ohm", "replace wire 23", "wire 23 chafed: it touches the body when it moves",
			harness.Bridge{A: "X2.1.b", B: harness.Body, Ohms: 0.05, When: harness.Shaken, Where: "wire 23"}, "wire 23", true, true},
		{"wire 23 touches-wire 28 0.05 ohm", "replace wire 23", "wires 23 and 28 chafed: they touch each other when they move",
			harness.Bridge{A: "X2.1.b", B: "S4", Ohms: 0.05, When: harness.Shaken, Where: "wire 23", Beside: "wire 28"}, "wire 28", true, true},
	} {
		t.Run(c.text, func(t *testing.T) {
			f, err := fault.Parse(c.text)
			require.NoError(t, err)
			assert.Equal(t, c.text, f.String())
			require.NoError(t, b.Check(f))
			list, err := b.Alterations(f)
			require.NoError(t, err)
			if series, ok := c.does.(harness.SeriesOhms); ok && series.Ohms == 0 {
				series.Ohms = harness.Broken
				c.does = series
			}
			assert.Equal(t, []harness.Alteration{c.does}, list)
			assert.Equal(t, c.repair, b.RepairFor(f).String())
			assert.Equal(t, c.title, b.Title(f))
			assert.Equal(t, c.seen, len(b.Seen([]fault.Fault{f}, c.place, all, all)) == 1, "seen with all apart")
			assert.Equal(t, c.seenMated, len(b.Seen([]fault.Fault{f}, c.place, none, none)) == 1, "seen with all mated")
			listed := false
			for _, e := range b.Catalogue() {
				listed = listed || e.Fault == f
			}
			assert.True(t, listed, "the catalogue has it")
		})
	}
	for text, want := range map[string]string{
		"wire 22 shaky":                     "passes no moving part",
		"component LL opens-hot in":         "has no such defect",
		"component K1 shaky 86":             "has no such defect",
		"component K1 opens-hot 99":         "has no terminal 99",
		"component K1 opens-cold 31":        "has no terminal 31",
		"wire 22 touches-ground":            "passes no moving part",
		"wire 22 touches-wire 21":           "neither wire 22 nor wire 21 passes",
		"wire 23 touches-wire 99":           "no wire 99",
		"component K1 high-shaken 86 4 ohm": "has no such defect",
	} {
		f, err := fault.Parse(text)
		require.NoError(t, err, text)
		assert.ErrorContains(t, b.Check(f), want, text)
	}
	for text, want := range map[string]string{
		"component K1 opens-hot":          `such as "component K1 opens-hot 86"`,
		"component K1 opens-hot 86 3 ohm": "opens-hot has no severity",
		"cavity X1.1 opens-hot":           `a cavity has no kind "opens-hot"`,
		"cavity X1.1 shaky 3 ohm":         "shaky has no severity",
		"ground G1 shaky":                 `a ground has no kind "shaky"`,
		"crimp X1.1.a high-shaken":        `a crimp has no kind "high-shaken"`,
		"component K1 high-hot 86 4 %":    "must be a number and ohm",
		"wire 23 touches-wire":            `such as "wire 12 touches-wire 14"`,
	} {
		_, err := fault.Parse(text)
		assert.ErrorContains(t, err, want, text)
	}
	hot, cold := fault.Fault{Place: "component K1", Kind: fault.OpensHot, Other: "86"}, fault.Fault{Place: "component K1", Kind: fault.OpensCold, Other: "86"}
	other := hot
	other.Other = "30"
	assert.True(t, b.SameCause(other, hot), "which of a relay's joints it is changes nothing about the repair")
	assert.False(t, b.SameCause(cold, hot))
	rubs, by := fault.Fault{Place: "wire 23", Kind: fault.TouchesWire, Other: "28"}, fault.Fault{Place: "wire 28", Kind: fault.TouchesWire, Other: "23"}
	assert.True(t, b.SameCause(by, rubs), "whichever of the two wires is named first")
	new28, err := fault.ParseRepair("replace wire 28")
	require.NoError(t, err)
	assert.True(t, b.Mends(new28, rubs))
	assert.False(t, b.SameCause(fault.Fault{Place: "wire 23", Kind: fault.ShortToGround}, fault.Fault{Place: "wire 23", Kind: fault.TouchesGround}))
	assert.False(t, b.SameCause(fault.Fault{Place: "cavity X2.1", Kind: fault.Spread}, fault.Fault{Place: "cavity X2.1", Kind: fault.Shaky}))
}

// TestCrossed puts two wires into each other's cavities: what one was to feed the other feeds, by Kirchhoff as if the drawing were
// so; and something fitted later draws V/R from where it is joined on.
func TestCrossed(t *testing.T) {
	h := sample.Tractor()
	b := fault.NewBook(h)
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	healthy := m.Snapshot()
	put := func(text string) {
		t.Helper()
		f, err := fault.Parse(text)
		require.NoError(t, err)
		list, err := b.Alterations(f)
		require.NoError(t, err)
		require.NoError(t, m.Restore(healthy))
		require.NoError(t, m.Alter(list))
	}
	set := func(settings ...string) {
		t.Helper()
		for i := 0; i < len(settings); i += 2 {
			require.NoError(t, m.Operate(settings[i], settings[i+1]))
		}
		require.NoError(t, m.Settle())
	}
	// Cavity 1 of X1 carries the lamp switch to the relay, cavity 2 the horn button to the horn.
	put("cavity X1.1 crossed X1.2")
	set("key", "on", "lamps", "on")
	assert.Equal(t, "off", m.EffectOf("LL").Word)
	assert.Equal(t, "sounds", m.EffectOf("H1").Word, "the lamp switch sounds the horn")
	set("lamps", "off", "horn", "pressed")
	assert.Equal(t, "lit", m.EffectOf("LL").Word, "and the horn button lights the lamps")
	assert.Equal(t, "silent", m.EffectOf("H1").Word)
	assert.Greater(t, m.Volts("X1.1.a"), 11.0, "the lead touches what sits in the cavity")
	f, err := fault.Parse("cavity X1.1 crossed X1.2")
	require.NoError(t, err)
	mirrored := fault.Fault{Place: "cavity X1.2", Kind: fault.Crossed, Other: "X1.1"}
	assert.True(t, b.SameCause(mirrored, f), "whichever is named first")
	for _, repair := range []string{"remake cavity X1.1", "remake cavity X1.2"} {
		r, err := fault.ParseRepair(repair)
		require.NoError(t, err)
		assert.True(t, b.Mends(r, f), repair)
	}
	never := func(string) bool { return false }
	assert.Len(t, b.Seen([]fault.Fault{f}, "X1", never, never), 1, "the colours are seen from behind")
	assert.Equal(t, "wires in cavities 1 and 2 of X1 crossed (half a)", b.Title(f))

	put("wire 20 added-load 12 ohm")
	set("key", "off", "lamps", "off", "horn", "released")
	assert.InEpsilon(t, m.Volts("XF1.2.a")/12, m.LimbAmps("cavity XF1.1"), 1e-6, "it drains the battery with all switched off")
	for text, want := range map[string]string{
		"cavity X1.1 crossed X2.1":   "no cavity X2.1 beside it",
		"cavity X1.1.b crossed X1.2": "half",
		"wire 24 added-load":         "does not come out of a fuse",
	} {
		f, err := fault.Parse(text)
		require.NoError(t, err, text)
		assert.ErrorContains(t, b.Check(f), want, text)
	}
}
