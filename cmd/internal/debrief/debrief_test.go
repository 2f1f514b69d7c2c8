package debrief_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"faultloom/cmd/internal/debrief"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sly is text that would do harm if it were taken for markup, a link or a terminal's command.
const sly = `</title><script>alert(1)</script><img src=x onerror=alert(2)> "' & javascript:alert(3) ]]> http://evil.example`

func slyReport() *grading.Report {
	return &grading.Report{
		Exercise: sly, Title: sly, Complaint: sly, Closed: true, Score: 61.5, Of: 100, Minutes: 12.25, Verdict: sly,
		Cause: []string{sly, "plain"},
		Stages: []grading.StageScore{
			{Name: sly, Points: 3, Of: 10, Items: []grading.Item{{Points: 3, Of: 10, Text: sly, Steps: []int{0, 4}}, {Points: -2, Text: sly, Steps: []int{2}}, {Text: "a remark"}}},
			{Name: "empty", Points: 0, Of: 0},
		},
		Steps:    []grading.Step{{Seq: 0, Minutes: 0, Stage: "confirm", Did: sly, Showed: sly, Remark: sly}, {Seq: 1, Minutes: 1.5, Stage: sly, Did: "waited"}},
		Next:     []string{sly},
		Par:      []grading.ParPoint{{Minutes: 0.5, Total: 1, Did: sly}},
		Beside:   []string{sly},
		Cautions: []string{"Follow the maker's procedure."},
	}
}

// html is the page without the sheet.
func html(t *testing.T, r *grading.Report) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, debrief.WriteHTML(&b, r, nil))
	return b.String()
}

// walk checks that elements are closed in order, and calls f with each.
func walk(t *testing.T, page string, f func(e xml.StartElement)) {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(page))
	dec.Strict, dec.AutoClose, dec.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	open := 0
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			open++
			f(tok)
		case xml.EndElement:
			open--
		}
	}
	assert.Zero(t, open, "every element is closed")
}

func TestHostileTextStaysText(t *testing.T) {
	page := html(t, slyReport())
	allowed := map[string]bool{}
	for _, name := range strings.Fields("html head meta title style body main h1 h2 h3 p div small section ul li span svg rect desc polyline text circle table thead tbody tr th td") {
		allowed[name] = true
	}
	seen := 0
	walk(t, page, func(e xml.StartElement) {
		seen++
		assert.True(t, allowed[e.Name.Local], "<%s>", e.Name.Local)
		for _, a := range e.Attr {
			assert.False(t, strings.HasPrefix(strings.ToLower(a.Name.Local), "on"), "%s", a.Name.Local)
			assert.NotContains(t, []string{"src", "href", "srcset", "action", "data"}, a.Name.Local)
		}
	})
	assert.Greater(t, seen, 50)
	assert.Contains(t, page, "&lt;script&gt;alert(1)&lt;/script&gt;", "it is shown as it was written")
}

// The page with the sheet in it holds one script, its own, and nothing of what the harness is called becomes markup.
func TestHostileHarnessStaysText(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	h := *lib.Harness("dt14-work-lamps")
	h.Title, h.Vehicle.Title = sly, sly
	h.Components = slices.Clone(h.Components)
	for i := range h.Components {
		h.Components[i].Title = sly
	}
	r := slyReport()
	for i := range r.Steps {
		r.Steps[i].Evidence = grading.StepEvidence{Seq: i, Left: 3 - i, Repairs: 2 - i, Gained: 1, Total: float64(i + 1), Told: sly}
		r.Steps[i].Suspects = []grading.Suspect{{Place: "component HN", Title: sly, Share: 0.5}, {Place: sly, Title: sly, Share: 0.5}}
	}
	var b bytes.Buffer
	require.NoError(t, debrief.WriteHTML(&b, r, &h))
	page := b.String()
	scripts, sheets := 0, 0
	walk(t, page, func(e xml.StartElement) {
		switch e.Name.Local {
		case "script":
			scripts++
			assert.Empty(t, e.Attr)
		case "figure":
			sheets++
		case "img", "iframe", "object", "a", "link", "base", "form":
			t.Errorf("<%s>", e.Name.Local)
		}
		for _, a := range e.Attr {
			assert.False(t, strings.HasPrefix(strings.ToLower(a.Name.Local), "on"), "%s", a.Name.Local)
			assert.NotContains(t, []string{"src", "href", "srcset", "action", "data"}, a.Name.Local)
		}
	})
	assert.Equal(t, 1, scripts)
	assert.Equal(t, 2, sheets, "one for each step that told something")
	assert.Equal(t, 1, strings.Count(page, "<script"))
}

func TestPageIsSelfContained(t *testing.T) {
	r := slyReport()
	walkText := strings.ReplaceAll(html(t, r), "http://evil.example", "")
	for _, word := range []string{"http:", "https:", "//", "url(", "@import", "<link", "<script", "src=", "href="} {
		assert.NotContains(t, strings.ReplaceAll(walkText, "img src=x", ""), word)
	}
}

func TestPageOfARealAttempt(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := lib.Exercise("dt14-06-gate-four")
	require.NotNil(t, ex)
	a, err := attempt.Start(*ex, nowhere{})
	require.NoError(t, err)
	for _, act := range []attempt.Action{attempt.Operate{Control: "KEY", Position: "on"}, attempt.Operate{Control: "HORN", Position: "pressed"}, attempt.Find{Fault: "wire 71c open"}, attempt.Close{}} {
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	r, err := grading.Grade(*ex, a.Records())
	require.NoError(t, err)
	page := html(t, &r)
	walk(t, page, func(xml.StartElement) {})
	for _, want := range append(append([]string{"Gate four", r.Verdict}, r.Cause...), r.Cautions...) {
		assert.Contains(t, page, strings.NewReplacer("'", "&#39;", "+", "&#43;").Replace(want))
	}
	var text bytes.Buffer
	require.NoError(t, debrief.WriteText(&text, &r, 96))
	for _, s := range r.Stages {
		assert.Contains(t, text.String(), s.Name)
	}
}

type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

func TestTextKeepsToItsWidth(t *testing.T) {
	for _, width := range []int{60, 80, 96} {
		var b bytes.Buffer
		r := slyReport()
		r.Stages[0].Name = grading.Confirm
		require.NoError(t, debrief.WriteText(&b, r, width))
		for _, line := range strings.Split(b.String(), "\n") {
			long := utf8.RuneCountInString(line) > width
			assert.False(t, long && strings.Contains(strings.TrimSpace(line), " "), "%q is longer than %d", line, width)
			assert.Equal(t, strings.TrimRight(line, " "), line, "nothing hangs behind")
		}
	}
}

func TestTextSaysWhatAReportSays(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, debrief.WriteText(&b, &grading.Report{
		Title: "Gate four", Score: 61.5, Of: 100, Minutes: 12.25, Verdict: "Found.",
		Cause:  []string{"wire 71c broken"},
		Stages: []grading.StageScore{{Name: "confirm", Points: 3, Of: 10, Items: []grading.Item{{Points: 3, Of: 10, Text: "Half the check.", Steps: []int{0, 4}}, {Points: -2, Text: "Too long."}, {Text: "A remark.", Steps: []int{6}}}}},
		Steps:  []grading.Step{{Seq: 0, Minutes: 1.5, Did: "Key switch to on", Showed: "nothing", Remark: "Slow."}},
		Beside: []string{"As long as par."},
		Next:   []string{"The check."}, Cautions: []string{"Care."},
	}, 80))
	for _, want := range []string{
		`(?m)^Gate four$`, `(?m)^61\.5 of 100 points\. Found\. 12\.2 bench minutes\.$`, `(?m)^The job was not closed: graded as it stands\.$`, `(?m)^  wire 71c broken$`,
		`(?m)^confirm      3 of 10$`, `(?m)^  - Half the check\. \[3 of 10\] \(steps 1, 5\)$`, `(?m)^  - Too long\. \[-2\]$`, `(?m)^  - A remark\. \(step 7\)$`,
		`(?m)^  1    1\.5 min  Key switch to on: nothing$`, `(?m)^ +! Slow\.$`, `(?m)^Beside par$`, `(?m)^  - As long as par\.$`, `(?m)^  - The check\.$`, `(?m)^  - Care\.$`,
	} {
		assert.Regexp(t, regexp.MustCompile(want), b.String())
	}
}
