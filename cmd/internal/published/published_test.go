package published_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"faultloom/cmd/internal/published"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func groups(t *testing.T) []published.Group {
	t.Helper()
	all, err := published.Groups()
	require.NoError(t, err)
	return all
}

func TestEveryRowIsWithinItsToleranceAndHasASource(t *testing.T) {
	for _, g := range groups(t) {
		assert.NotEmpty(t, g.Rows, g.Title)
		assert.NotEmpty(t, g.About, g.Title)
		for _, r := range g.Rows {
			what := g.Title + ": " + r.What
			assert.True(t, r.Pass(), "%s: %g against %g ± %g, %g to %g", what, r.Value, r.Published, r.Tolerance, r.Least, r.Most)
			assert.NotEmpty(t, r.Source, "%s: source", what)
			assert.NotEmpty(t, r.Why, "%s: why that tolerance", what)
			kind := strings.HasPrefix(r.Seen, "yes: ") || r.Seen == "from memory" || r.Seen == "computed" || r.Seen == "common practice, no source"
			assert.True(t, kind, "%s: seen is %q", what, r.Seen)
			assert.False(t, math.IsNaN(r.Published) && math.IsInf(r.Least, -1) && math.IsInf(r.Most, 1), "%s: compared with nothing", what)
		}
	}
}

// Every part of the tables that has to be there is: a row that is dropped by a mistake in a filter would not be missed otherwise.
func TestRowsAreComplete(t *testing.T) {
	want := map[string]int{
		"Fuses": 9*6 + 2*5 + 9*5, "Worked examples": 182, "Battery at rest": 17, "Responses in time": 9,
		"Platinum sensors": 25, "Thermistors": 6 + 9 + 14, "Relays": 16, "Joints": 10, "Other parts": 3*2 + 2 + 2 + 3,
		"A whole harness, beside another simulator": 5, "Taught voltage drops": 8, "Two-wire bus": 14 + 4 + 5,
		"Devices in motion, beside another simulator": 3*3 + 4*2 + 2 + 3 + 2 + 2,
	}
	all := groups(t)
	seen := map[string]int{}
	for _, g := range all {
		seen[g.Title] = len(g.Rows)
	}
	for title, n := range want {
		assert.Equal(t, n, seen[title], title)
	}
	// Two rows for each operating point and one for each motion; more circuits may come.
	assert.GreaterOrEqual(t, seen["Beside another simulator"], 2*16+6)
	rows, failed := published.Tally(all)
	assert.Greater(t, rows, 770) // the readme says so
	assert.Zero(t, failed)
}

func TestRowsThatDoNotPass(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name string
		row  published.Row
		pass bool
		off  float64
	}{
		{"within", published.Row{Value: 1.05, Published: 1, Tolerance: 0.1, Least: -inf, Most: inf}, true, 0.05},
		{"too far", published.Row{Value: 1.2, Published: 1, Tolerance: 0.1, Least: -inf, Most: inf}, false, 0.2},
		{"inside limits", published.Row{Value: 3, Published: nan, Least: 2, Most: 4}, true, 0},
		{"above limits", published.Row{Value: 5, Published: nan, Least: 2, Most: 4}, false, 1},
		{"below limits", published.Row{Value: 1, Published: nan, Least: 2, Most: inf}, false, -1},
		{"no number", published.Row{Value: nan, Published: 1, Tolerance: 1, Least: -inf, Most: inf}, false, nan},
		{"no number, limits", published.Row{Value: nan, Published: nan, Least: 0, Most: 1}, false, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.pass, c.row.Pass())
			if !math.IsNaN(c.off) {
				assert.InDelta(t, c.off, c.row.Difference(), 1e-12)
			}
			_, err := json.Marshal(c.row)
			assert.NoError(t, err)
		})
	}
}

func TestPagesHoldEveryRow(t *testing.T) {
	all := []published.Group{{Title: "Things", About: "How.", Rows: []published.Row{
		{What: "a <b>", Unit: "Ω", Value: 1.234567, Published: 1.2, Tolerance: 0.1, Least: math.Inf(-1), Most: math.Inf(1), Why: "printed", Source: "Book, p. 1", Seen: "from memory"},
		{What: "window", Unit: "s", Value: 9, Published: math.NaN(), Least: 2, Most: 4, Why: "standard", Source: "Standard", Seen: "yes: there"},
		{What: "limit", Value: 1, Published: math.NaN(), Least: math.Inf(-1), Most: 4, Why: "standard", Source: "Standard", Seen: "yes: there"},
	}}}
	var text, page, data bytes.Buffer
	require.NoError(t, published.WriteText(&text, all))
	require.NoError(t, published.WriteHTML(&page, all))
	require.NoError(t, published.WriteJSON(&data, all))
	for _, s := range []string{"a <b>", "1.23457", "1.2 ± 0.1", "0.0346", "Book, p. 1", "from memory", "2 to 4", "at most 4", "OUT", "3 rows, 1 outside"} {
		assert.Contains(t, text.String(), s)
	}
	assert.Contains(t, page.String(), "a &lt;b&gt;")
	assert.Contains(t, page.String(), "3 rows, 1 outside")
	assert.NotContains(t, page.String(), "http", "one page, nothing fetched")
	var back struct {
		Rows, Outside int
		Groups        []struct {
			Title string
			Rows  []map[string]any
		}
	}
	require.NoError(t, json.Unmarshal(data.Bytes(), &back))
	assert.Equal(t, 3, back.Rows)
	assert.Equal(t, 1, back.Outside)
	require.Len(t, back.Groups[0].Rows, 3)
	assert.Equal(t, false, back.Groups[0].Rows[1]["pass"])
	assert.NotContains(t, back.Groups[0].Rows[2], "least")
}
