// Package debrief writes a graded report for people: as text for a terminal, as a self-contained page.
package debrief

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"

	"faultloom/assets/report"
	"faultloom/grading"
	"faultloom/sim/harness"
)

// page is what the template takes.
type page struct {
	*grading.Report
	Plot   template.HTML
	Frames []Frame
}

// WriteHTML writes one self-contained page. h is the exercise's harness, for the sheet with the suspects; nil leaves it out.
func WriteHTML(w io.Writer, r *grading.Report, h *harness.Harness) error {
	t, err := template.New("debrief").Funcs(template.FuncMap{
		"points": points, "bar": bar, "steps": steps, "inc": func(n int) int { return n + 1 },
		"dec": func(n int) int { return n - 1 }, "bits": bits,
	}).Parse(report.Debrief)
	if err != nil {
		return err
	}
	r = plain(r)
	p := page{Report: r}
	if p.Plot, err = plot(r); err != nil {
		return err
	}
	if p.Frames, err = frames(r, h); err != nil {
		return err
	}
	return t.Execute(w, p)
}

// WriteText writes the same for a terminal, wrapped at width columns.
func WriteText(w io.Writer, r *grading.Report, width int) error {
	r = plain(r)
	var b strings.Builder
	line := func(indent, hang int, text string) {
		for i, l := range wrap(text, width-indent-hang) {
			pad := indent
			if i > 0 {
				pad += hang
			}
			fmt.Fprintf(&b, "%s%s\n", strings.Repeat(" ", pad), l)
		}
	}
	line(0, 0, r.Title)
	line(0, 0, fmt.Sprintf("%s of %s points. %s %s bench minutes.", points(r.Score), points(r.Of), r.Verdict, points(r.Minutes)))
	if !r.Closed {
		line(0, 0, "The job was not closed: graded as it stands.")
	}
	b.WriteString("\nWhat was wrong\n")
	for _, c := range r.Cause {
		line(2, 2, c)
	}
	for _, s := range r.Stages {
		fmt.Fprintf(&b, "\n%-8s %5s of %s\n", s.Name, points(s.Points), points(s.Of))
		for _, i := range s.Items {
			text := i.Text
			if i.Of != 0 {
				text += fmt.Sprintf(" [%s of %s]", points(i.Points), points(i.Of))
			} else if i.Points != 0 {
				text += fmt.Sprintf(" [%s]", points(i.Points))
			}
			if s := steps(i.Steps); s != "" {
				text += " (" + s + ")"
			}
			line(2, 2, "- "+text)
		}
	}
	if len(r.Beside) > 0 {
		b.WriteString("\nBeside par\n")
		for _, s := range r.Beside {
			line(2, 2, "- "+s)
		}
	}
	b.WriteString("\nWhat to practise next\n")
	for _, n := range r.Next {
		line(2, 2, "- "+n)
	}
	b.WriteString("\nStep by step\n")
	for _, s := range r.Steps {
		text := s.Did
		if s.Showed != "" {
			text += ": " + s.Showed
		}
		when := fmt.Sprintf("%3d  %5s min  ", s.Seq+1, points(s.Minutes))
		for _, l := range wrap(text, width-len(when)) {
			b.WriteString(when + l + "\n")
			when = strings.Repeat(" ", len(when))
		}
		if s.Evidence.Told != "" {
			line(16, 0, "> "+s.Evidence.Told)
		}
		if s.Remark != "" {
			line(len(when), 2, "! "+s.Remark)
		}
	}
	b.WriteString("\nOn a real vehicle\n")
	for _, c := range r.Cautions {
		line(2, 2, "- "+c)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func points(x float64) string {
	if x == float64(int(x)) {
		return strconv.Itoa(int(x))
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
}

// bar is a filled strip; an SVG, since a page without inline styles is allowed everywhere.
func bar(s grading.StageScore) template.HTML {
	share := 0.0
	if s.Of > 0 {
		share = 100 * s.Points / s.Of
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 100 1" preserveAspectRatio="none" role="img" aria-label="%.0f percent"><rect width="%.1f" height="1" fill="#1f6f68"/></svg>`, share, share))
}

func steps(seqs []int) string {
	if len(seqs) == 0 {
		return ""
	}
	var out []string
	for _, s := range seqs {
		out = append(out, strconv.Itoa(s+1))
	}
	if len(out) == 1 {
		return "step " + out[0]
	}
	return "steps " + strings.Join(out, ", ")
}

// wrap breaks text at spaces so that no line is longer than width runes, unless one word is.
func wrap(text string, width int) []string {
	var lines []string
	cur := ""
	for _, word := range strings.Fields(text) {
		switch {
		case cur == "":
			cur = word
		case len([]rune(cur))+1+len([]rune(word)) > width:
			lines = append(lines, cur)
			cur = word
		default:
			cur += " " + word
		}
	}
	return append(lines, cur)
}

// bits writes what a step was worth; one that was worth next to nothing has no sign.
func bits(x float64) string {
	const least = 0.05 // shown to a tenth
	if math.Abs(x) < least {
		x = 0
	}
	return fmt.Sprintf("%.1f bits", x)
}
