package fault_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
)

func TestText(t *testing.T) {
	for text, want := range map[string]fault.Fault{
		"wire 31b open":                        {Place: "wire 31b", Kind: fault.Open},
		"wire 31b short-to-ground 0.2 ohm":     {Place: "wire 31b", Kind: fault.ShortToGround, Severity: 0.2},
		"wire 12 short-to-wire 14 1 ohm":       {Place: "wire 12", Kind: fault.ShortToWire, Other: "14", Severity: 1},
		"wire 12 short-to-wire 14":             {Place: "wire 12", Kind: fault.ShortToWire, Other: "14"},
		"cavity X1.3 backed-out":               {Place: "cavity X1.3", Kind: fault.BackedOut},
		"cavity X1.3.b backed-out":             {Place: "cavity X1.3.b", Kind: fault.BackedOut},
		"cavity X1.3 leakage X1.4 5000 ohm":    {Place: "cavity X1.3", Kind: fault.Leakage, Other: "X1.4", Severity: 5000},
		"cavity X1.3 corroded 1000000 ohm":     {Place: "cavity X1.3", Kind: fault.Corroded, Severity: 1e6},
		"crimp X1.3.a open":                    {Place: "crimp X1.3.a", Kind: fault.Open},
		"splice S1 31b high-resistance 2 ohm":  {Place: "splice S1 31b", Kind: fault.HighResistance, Severity: 2},
		"ring BAT.30.w1 open":                  {Place: "ring BAT.30.w1", Kind: fault.Open},
		"ground G1 high-resistance":            {Place: "ground G1", Kind: fault.HighResistance},
		"component K1 coil-open":               {Place: "component K1", Kind: "coil-open"},
		"component LL wrong-lamp 5 W":          {Place: "component LL", Kind: "wrong-lamp", Severity: 5},
		"component BAT discharged 20 %":        {Place: "component BAT", Kind: "discharged", Severity: 20},
		"component S1 open-in-über":            {Place: "component S1", Kind: "open-in-über"},
		"fuse F1 wrong-fuse 7.5 A":             {Place: "fuse F1", Kind: fault.WrongRating, Severity: 7.5},
		"component K1 coil-shorted 1e-300 ohm": {Place: "component K1", Kind: "coil-shorted", Severity: 1e-300},
	} {
		got, err := fault.Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
		assert.Equal(t, text, got.String())
	}
	usual, err := fault.Parse("  cavity   X1.3.a\tbacked-out ")
	require.NoError(t, err)
	assert.Equal(t, "cavity X1.3 backed-out", usual.String(), "half a goes without saying")
}

func TestTextErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                                  "begins with a place",
		"wire":                              "begins with a place",
		"wire 31b":                          "says no kind, such as open, high-resistance",
		"component K1":                      "says no kind, such as filament-open",
		"pipe 3 open":                       `place begins with "pipe"; want one of wire, cavity`,
		"wire 31.b open":                    "want an id without dots",
		"cavity X1 backed-out":              "want connector.cavity",
		"cavity X1.3.c backed-out":          "want connector.cavity",
		"cavity X1..3 backed-out":           "a dot with nothing beside it",
		"crimp X1 open":                     "want the point of its terminal",
		"ring G1 open":                      "want the point of a ring terminal",
		"splice S1 open":                    "says no kind",
		"splice S1":                         "a splice and a wire",
		"wire 31b backed-out":               `a wire has no kind "backed-out"; want one of open`,
		"wire 31b short-to-wire":            `needs what it goes to, such as "wire 12 short-to-wire 14"`,
		"wire 31b short-to-wire X1.3":       "want a form such as",
		"wire 31b short-to-wire 31b":        "short-to-wire to itself",
		"cavity X1.3 leakage X1.":           "a dot with nothing beside it",
		"wire 31b open 3 ohm":               "open has no severity",
		"wire 31b short-to-ground 3":        "must be a number and ohm",
		"wire 31b short-to-ground 3 volts":  "must be a number and ohm",
		"wire 31b short-to-ground -3 ohm":   "must be a number above 0 and ohm",
		"wire 31b short-to-ground NaN ohm":  "must be a number above 0 and ohm",
		"wire 31b short-to-ground +Inf ohm": "must be a number above 0 and ohm",
		"wire 31b short-to-ground x ohm":    "must be a number above 0 and ohm",
		"wire 31b short-to-ground 3 ohm a":  "must be a number and ohm",
		"component K1 coil\x01open":         "cannot be seen",
		strings.Repeat("w", 301):            "at most 300 bytes (got 301)",
	} {
		_, err := fault.Parse(text)
		require.ErrorContains(t, err, want, text)
	}
}

func TestRepairText(t *testing.T) {
	for _, text := range []string{
		"replace wire 31b", "remake cavity X1.3", "remake ring G1.31b", "remake splice S1", "clean ground G1", "clean post BAT.30",
		"replace component K1", "fit fuse F1",
	} {
		r, err := fault.ParseRepair(text)
		require.NoError(t, err, text)
		assert.Equal(t, text, r.String())
	}
	for text, want := range map[string]string{
		"replace": "must be three words", "clean wire 3": "want one of replace wire, remake cavity", "fit fuse F1 10 A": "must be three words",
		strings.Repeat("w", 301): "at most 300 bytes",
	} {
		_, err := fault.ParseRepair(text)
		require.ErrorContains(t, err, want, text)
	}
	assert.Equal(t, "F1", fault.FitFuse("F1").Component())
	assert.Equal(t, "fit fuse F1", fault.FitFuse("F1").String())
	assert.Empty(t, fault.Repair{Verb: "clean", Place: "ground G1"}.Component())
}

// FuzzParse: whatever the text, nothing panics, and what is read is written in a form that is read the same.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"wire 31b open", "wire 12 short-to-wire 14 1 ohm", "cavity X1.3.a leakage X1.4 5000 ohm", "splice S1 31b high-resistance 2 ohm",
		"component BAT discharged 20 %", "fuse F1 wrong-fuse 7.5 A", "ring BAT.30.w1 open", "replace wire 31b", "x \xff y",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if r, err := fault.ParseRepair(text); err == nil {
			again, err := fault.ParseRepair(r.String())
			require.NoError(t, err)
			require.Equal(t, r, again)
		}
		got, err := fault.Parse(text)
		if err != nil {
			return
		}
		again, err := fault.Parse(got.String())
		require.NoError(t, err, "%q from %q", got, text)
		require.Equal(t, got, again)
	})
}
