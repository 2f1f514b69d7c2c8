package fault_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func parse(t testing.TB, text string) fault.Fault {
	t.Helper()
	f, err := fault.Parse(text)
	require.NoError(t, err)
	return f
}

func TestRepairs(t *testing.T) {
	h := sample.Tractor()
	for _, c := range []struct {
		fault, usual string
		also         []string
	}{
		{"wire 24 open", "replace wire 24", nil},
		{"wire 40 short-to-wire 41 1 ohm", "replace wire 40", []string{"replace wire 41"}},
		{"cavity X2.1.b backed-out", "remake cavity X2.1", nil},
		{"cavity X2.1 leakage X2.2 1000 ohm", "remake cavity X2.1", []string{"remake cavity X2.2"}},
		{"crimp X2.1.b open", "remake cavity X2.1", []string{"replace wire 23"}},
		{"crimp G1.29 high-resistance 2 ohm", "remake ring G1.29", []string{"replace wire 29"}},
		{"ring G1.29 open", "clean ground G1", []string{"remake ring G1.29", "replace wire 29"}},
		{"ring BAT.30.10 high-resistance 1 ohm", "clean post BAT.30", []string{"remake ring BAT.30.10", "replace wire 10"}},
		{"ground G1 open", "clean ground G1", nil},
		{"splice S3 24 open", "remake splice S3", []string{"replace wire 24"}},
		{"component K1 coil-open", "replace component K1", nil},
		{"component K1 wrong-relay 24 V", "replace component K1", nil},
		{"component F1 element-open", "fit fuse F1", []string{"replace component F1"}},
		{"fuse F1 wrong-fuse 5 A", "fit fuse F1", []string{"replace component F1"}},
	} {
		f := parse(t, c.fault)
		assert.Equal(t, c.usual, fault.RepairFor(h, f).String(), c.fault)
		for _, r := range fault.Repairs(h) {
			want := r.String() == c.usual || slices.Contains(c.also, r.String())
			assert.Equal(t, want, fault.Mends(h, r, f), "%s: %s", c.fault, r)
		}
	}
	assert.Zero(t, fault.RepairFor(h, parse(t, "wire 99 open")))
	all := fault.Repairs(h)
	assert.Equal(t, all, fault.Repairs(h))
	for _, r := range all {
		again, err := fault.ParseRepair(r.String())
		require.NoError(t, err)
		assert.Equal(t, r, again)
		assert.NotEqual(t, r.String(), fault.RepairTitle(h, r))
	}
}

func TestSameCause(t *testing.T) {
	h := sample.Tractor()
	for _, c := range []struct {
		found, truth string
		same         bool
	}{
		{"wire 24 open", "wire 24 open", true},
		{"wire 24 high-resistance", "wire 24 high-resistance 40 ohm", true},
		{"wire 24 open", "wire 24 high-resistance 40 ohm", false},
		{"wire 24 open", "wire 25 open", false},
		{"cavity X2.1 backed-out", "cavity X2.1.b backed-out", true},
		{"cavity X2.1 backed-out", "crimp X2.1.b open", true},
		{"cavity X2.1 spread", "cavity X2.1 corroded 5 ohm", true},
		{"cavity X2.1 corroded", "cavity X2.1 backed-out", false},
		{"cavity X2.1 backed-out", "cavity X2.2 backed-out", false},
		{"wire 41 short-to-wire 40", "wire 40 short-to-wire 41 1 ohm", true},
		{"wire 41 short-to-wire 30", "wire 40 short-to-wire 41 1 ohm", false},
		{"cavity X2.2 leakage X2.1", "cavity X2.1 leakage X2.2 1000 ohm", true},
		{"component K1 coil-open", "component K1 contact-open", false},
		{"ring G1.29 open", "ground G1 open", true},
		{"fuse F1 wrong-fuse", "fuse F1 wrong-fuse 5 A", true},
		{"wire 99 open", "wire 99 open", false},
	} {
		got := fault.SameCause(h, parse(t, c.found), parse(t, c.truth))
		assert.Equal(t, c.same, got, "%s against %s", c.found, c.truth)
	}
}

func TestSeen(t *testing.T) {
	b := fault.NewBook(sample.Tractor())
	none := func(string) bool { return false }
	all := func(string) bool { return true }
	for _, c := range []struct {
		fault, place   string
		parted, opened func(string) bool
		seen           bool
	}{
		{"cavity X2.1 corroded 5 ohm", "X2", all, none, true},
		{"cavity X2.1 corroded 5 ohm", "X2", none, none, false},
		{"cavity X2.1 corroded 5 ohm", "X2.1", all, none, true},
		{"cavity X2.1 corroded 5 ohm", "cavity X2.1", all, none, true},
		{"cavity X2.1 corroded 5 ohm", "X2.1.b", all, none, true},
		{"cavity X2.1 corroded 5 ohm", "X2.2", all, none, false},
		{"cavity X2.1 corroded 5 ohm", "X1", all, none, false},
		{"cavity X2.1 leakage X2.2 1000 ohm", "X2.2", all, none, true},
		{"crimp X2.1.b open", "X2", none, none, true},
		{"crimp X2.1.b high-resistance 1 ohm", "X2", all, all, false},
		{"splice S3 24 open", "S3", none, all, true},
		{"splice S3 24 open", "splice S3", none, none, false},
		{"ring G1.29 open", "G1", none, none, true},
		{"ring G1.29 open", "G1.29", none, none, true},
		{"ring G1.29 open", "G1.43", none, none, false},
		{"ring BAT.30.10 high-resistance 1 ohm", "BAT.30", none, none, true},
		{"ring BAT.30.10 high-resistance 1 ohm", "component BAT", none, none, true},
		{"ground G1 open", "ground G1", none, none, true},
		{"ground G1 open", "G1.29", none, none, false},
		{"component LL filament-open", "LL", all, none, true},
		{"component K1 wrong-relay", "K1", none, none, false}, // the voltage is printed on its side
		{"component K1 wrong-relay", "K1", all, none, true},
		{"component LL filament-open", "component LL", none, none, false},
		{"component LL filament-open", "XLL", all, none, true},
		{"component K1 contact-open", "K1", all, none, false},
		{"fuse F1 wrong-fuse 5 A", "F1", none, none, true},
		{"wire 23 short-to-ground 1 ohm", "wire 23", none, none, true}, // flexes
		{"wire 22 short-to-ground 1 ohm", "wire 22", none, none, false},
		{"wire 23 open", "wire 23", none, none, false},
		{"wire 23 short-to-ground 1 ohm", "X2", all, none, false},
		{"cavity X9.1 corroded 5 ohm", "X9", all, all, false},
	} {
		f := parse(t, c.fault)
		got := b.Seen([]fault.Fault{f}, c.place, c.parted, c.opened)
		assert.Equal(t, c.seen, len(got) == 1, "%s at %s", c.fault, c.place)
	}
}

func TestTitles(t *testing.T) {
	h := sample.Tractor()
	h.Components[8].Title = "left work lamp"
	for text, want := range map[string]string{
		"wire 24 open":                     "wire 24 broken",
		"wire 24 high-resistance 3 ohm":    "wire 24 has high resistance: strands lost",
		"wire 24 short-to-ground":          "wire 24 chafed through to the body",
		"wire 24 short-to-supply":          "wire 24 touches the supply",
		"wire 40 short-to-wire 41":         "wires 40 and 41 touch each other",
		"cavity X2.1 backed-out":           "terminal 1 of X2 backed out (half a)",
		"cavity X2.1.b backed-out":         "terminal 1 of X2 backed out (half b)",
		"cavity XLL.2 backed-out":          "terminal 2 of XLL backed out (loom side)",
		"cavity XK1.86 corroded":           "terminal 86 of XK1 corroded",
		"cavity X2.1 leakage X2.2":         "water between cavities 1 and 2 of X2",
		"crimp X2.1.b open":                "break in the crimp of wire 23 at X2.1.b",
		"splice S3 24 high-resistance":     "high resistance of wire 24 in splice S3",
		"ring G1.29 open":                  "ring terminal of wire 29 off ground point G1",
		"ring BAT.30.10 high-resistance":   "ring terminal of wire 10 corroded on stud 30 of BAT",
		"ground G1 high-resistance":        "ground point G1 corroded",
		"component LL filament-open":       "left work lamp (LL): filament broken",
		"fuse F1 wrong-fuse 5 A":           "F1: 5 A fitted where 15 A belongs",
		"component K1 wrong-relay 24 V":    "K1: relay of another coil voltage fitted",
		"component LL coil-open":           "component LL coil-open",
		"component S-KEY welded-in-on":     "S-KEY: contact of position on welded: it never opens",
		"component XX filament-open":       "component XX filament-open",
		"cavity XK1.87a spread 2 ohm":      "terminal 87a of XK1 spread: it hardly touches",
		"ground G2 open":                   "ground point G2 has no contact with the body",
		"crimp G1.29 high-resistance":      "high resistance in the crimp of wire 29 at G1.29",
		"ring G1.43 high-resistance":       "ring terminal of wire 43 corroded on ground point G1",
		"component F1 element-open":        "F1: fuse element open",
		"wire 99 open":                     "wire 99 open",
		"component K1 contact-burnt":       "K1: contacts burnt",
		"component K1 contact-burnt 3 ohm": "K1: contacts burnt",
	} {
		assert.Equal(t, want, fault.Title(h, parse(t, text)), text)
	}
}

func TestAlterationsErrors(t *testing.T) {
	h := sample.Tractor()
	for text, want := range map[string]string{
		"wire 99 open":                       "there is no wire 99",
		"wire 24 short-to-wire 99":           "there is no wire 99",
		"wire 24 short-to-wire 25":           "both wires begin at S3",
		"cavity X9.1 backed-out":             "there is no cavity X9.1",
		"cavity XLL.1.b backed-out":          "half b of XLL is a component's own terminal",
		"cavity X2.1 leakage X1.1":           "there is no cavity X1.1 beside it",
		"crimp S3.1 open":                    "no wire ends in a terminal at S3.1",
		"ring G1.99 open":                    "there is no ring terminal G1.99",
		"ground G9 open":                     "there is no ground point G9",
		"splice S3 99 open":                  "wire 99 has no end in a splice S3",
		"component Z1 open":                  "there is no component Z1",
		"component K1 filament-open":         "K1 has no such defect; it has [coil-open",
		"component K1 coil-open 3 ohm":       "coil-open has no severity",
		"component K1 contact-burnt 1e9 ohm": "severity must be from 0.05 to 10000 ohm",
		"fuse LL wrong-fuse 5 A":             "there is no fuse LL in a holder",
		"fuse F1 wrong-fuse":                 "says no rating",
		"fuse F1 wrong-fuse 6 A":             "there is no such fuse; ratings are [1 2 3",
		"wire 24 high-resistance 1e12 ohm":   "at most 1e+08 ohm",
	} {
		_, err := parse(t, text).Alterations(h)
		require.ErrorContains(t, err, want, text)
	}
	_, err := fault.Fault{Place: "pipe 3", Kind: fault.Open}.Alterations(h)
	require.ErrorContains(t, err, "unknown place")
	_, err = fault.Fault{Place: "wire 24", Kind: fault.BackedOut}.Alterations(h)
	require.ErrorContains(t, err, `a wire has no kind "backed-out"`)
	_, err = fault.Fault{Place: "wire 24", Kind: fault.Open, Severity: 3}.Alterations(h)
	require.ErrorContains(t, err, "open has no severity")
	list, err := fault.Fault{Place: "wire 24", Kind: fault.HighResistance}.Alterations(h)
	require.NoError(t, err)
	assert.Equal(t, []harness.Alteration{harness.SeriesOhms{Where: "wire 24", Ohms: 3}}, list, "the typical severity")
	list, err = parse(t, "cavity X2.1.b backed-out").Alterations(h)
	require.NoError(t, err)
	assert.Equal(t, []harness.Alteration{harness.SeriesOhms{Where: "cavity X2.1", Ohms: harness.Broken}}, list)
}
