package published

import (
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"text/tabwriter"
)

// Number returns the value in 6 figures, as the pages print it.
func (r Row) Number() string { return figures(r.Value, 6) }

// Against returns the published figure or limits in words.
func (r Row) Against() string {
	switch {
	case !math.IsNaN(r.Published) && r.Tolerance == 0:
		return figures(r.Published, 10)
	case !math.IsNaN(r.Published):
		return figures(r.Published, 10) + " ± " + figures(r.Tolerance, 2)
	case math.IsInf(r.Least, -1) || r.Least == 0 && !math.IsInf(r.Most, 1):
		return "at most " + figures(r.Most, 10)
	case math.IsInf(r.Most, 1):
		return "at least " + figures(r.Least, 10)
	}
	return figures(r.Least, 10) + " to " + figures(r.Most, 10)
}

// Off returns the difference in 3 figures.
func (r Row) Off() string {
	d := r.Difference()
	if d == 0 {
		return "0"
	}
	return figures(d, 3)
}

// Verdict is "ok" or "OUT".
func (r Row) Verdict() string {
	if r.Pass() {
		return "ok"
	}
	return "OUT"
}

// Grounds returns the source with how far it was checked.
func (r Row) Grounds() string { return r.Source + " (" + r.Seen + ")" }

func figures(x float64, n int) string {
	if x != 0 && (math.Abs(x) < 1e-4 || math.Abs(x) >= 1e7) {
		return strconv.FormatFloat(x, 'e', min(n, 3)-1, 64)
	}
	return strconv.FormatFloat(x, 'g', n, 64)
}

// tally says how many rows there are.
func tally(groups []Group) string {
	rows, failed := Tally(groups)
	return fmt.Sprintf("%d rows, %d outside what is allowed", rows, failed)
}

// WriteText writes the rows as tables for a terminal, the sources numbered below each.
func WriteText(out io.Writer, groups []Group) error {
	for _, g := range groups {
		fmt.Fprintf(out, "%s\n%s\n\n", g.Title, g.About)
		w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
		fmt.Fprintln(w, "WHAT\tOURS\tPUBLISHED\tDIFFERENCE\tUNIT\t\tSOURCE\tWHY THAT MUCH")
		var sources []string
		for _, r := range g.Rows {
			k := slices.Index(sources, r.Grounds())
			if k < 0 {
				k, sources = len(sources), append(sources, r.Grounds())
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t[%d]\t%s\n", r.What, r.Number(), r.Against(), r.Off(), r.Unit, r.Verdict(), k+1, r.Why)
		}
		if err := w.Flush(); err != nil {
			return err
		}
		fmt.Fprintln(out)
		for k, s := range sources {
			fmt.Fprintf(out, "[%d] %s\n", k+1, s)
		}
		fmt.Fprintln(out)
	}
	_, err := fmt.Fprintln(out, tally(groups)+".")
	return err
}

// WriteJSON writes the rows as one JSON object.
func WriteJSON(out io.Writer, groups []Group) error {
	rows, failed := Tally(groups)
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(struct {
		Rows    int     `json:"rows"`
		Outside int     `json:"outside"`
		Groups  []Group `json:"groups"`
	}{rows, failed, groups})
}

const layout = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Published values</title>
<style>
body { font: 15px/1.45 system-ui, sans-serif; margin: 2rem auto; max-width: 76rem; padding: 0 1rem; color: #1d2327; background: #fff; }
table { border-collapse: collapse; width: 100%; font-size: 0.87rem; }
th, td { text-align: left; padding: 0.2rem 0.6rem 0.2rem 0; border-bottom: 1px solid #d8dde0; vertical-align: top; }
td.number { font-variant-numeric: tabular-nums; white-space: nowrap; }
tr.out td { background: #fbe3e0; }
.source { color: #4c555b; }
</style>
</head>
<body>
<main>
<h1>Published values</h1>
<p>What the simulator computes, beside what has been published. {{.Tally}}. Each row says where the published figure comes from, and in
brackets how far it was checked: read there (yes), from memory, computed from other published figures, or common practice
without a source.</p>
{{range .Groups}}<section>
<h2>{{.Title}}</h2>
<p>{{.About}}</p>
<table>
<thead><tr><th>What</th><th>Ours</th><th>Published</th><th>Difference</th><th>Unit</th><th></th><th>Why that much</th><th>Source</th></tr></thead>
<tbody>
{{range .Rows}}<tr{{if not .Pass}} class="out"{{end}}><td>{{.What}}</td><td class="number">{{.Number}}</td><td class="number">{{.Against}}</td><td class="number">{{.Off}}</td><td>{{.Unit}}</td><td>{{.Verdict}}</td><td>{{.Why}}</td><td class="source">{{.Grounds}}</td></tr>
{{end}}</tbody>
</table>
</section>
{{end}}</main>
</body>
</html>
`

// WriteHTML writes the rows as one self-contained page.
func WriteHTML(out io.Writer, groups []Group) error {
	t, err := template.New("published").Parse(layout)
	if err != nil {
		return err
	}
	return t.Execute(out, struct {
		Groups []Group
		Tally  string
	}{groups, tally(groups)})
}
