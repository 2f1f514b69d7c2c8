package main

import (
	"bytes"
	"fmt"
	"strings"

	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// answers writes the instructor's sheet, in Markdown.
func (d *drawing) answers(again string) ([]byte, error) {
	groups, err := grading.Groups(equipped(attempt.Exercise{ID: d.harness.ID, Harness: d.harness}))
	if err != nil {
		return nil, err
	}
	book := fault.NewBook(d.harness)
	var b bytes.Buffer
	fmt.Fprintf(&b, "# Answer sheet: %s %s, %s\n\nFor the instructor only: it holds every fault, and the seed that makes the set again.\n\n", d.harness.Vehicle.Fleet, d.harness.Title, count(len(d.drawn), "exercise"))
	fmt.Fprintf(&b, "Band: par for finding the cause %v. Made with\n\n    %s\n\n", d.band, again)
	b.WriteString("| exercise | fault | text form | par, minutes | to find the cause | tests |\n| --- | --- | --- | ---: | ---: | ---: |\n")
	for _, x := range d.drawn {
		fmt.Fprintf(&b, "| %s | %s | `%s` | %.1f | %.1f | %d |\n", x.ID, cell(book.Title(x.Faults[0])), book.Text(x.Faults[0]), x.par.Minutes, x.par.Isolate, x.par.Tests)
	}
	b.WriteString("\nPar is the bench time of whoever always does the test with the most expected information for what it costs. A trainee needs two to four times as long (common practice, no source).\n")
	for _, x := range d.drawn {
		d.answer(&b, book, groups, x)
	}
	b.WriteString("\n---\n\nThe simulator teaches a method. On a real vehicle follow its maker's procedure, local codes and your workshop's rules; some work needs a licensed person.\n")
	return b.Bytes(), nil
}

// answer writes the part of one exercise.
func (d *drawing) answer(b *bytes.Buffer, book *fault.Book, groups []grading.Group, x drawnExercise) {
	f := x.Faults[0]
	fmt.Fprintf(b, "\n## %s: %s\n\n> %s\n\n", x.ID, cell(x.Title), x.Complaint)
	fmt.Fprintf(b, "- **Fault:** %s (`%s`)\n- **Repair:** %s\n", book.Title(f), book.Text(f), book.RepairTitle(x.entry.Repair))
	fmt.Fprintf(b, "- **Expected:** par is %.1f bench minutes: %.1f for the check, %.1f to find the cause, %.1f to repair, %.1f for the check again. The job card suggests %g.\n",
		x.par.Minutes, x.par.Check, x.par.Isolate, x.par.Repair, x.par.Retest, x.Minutes)
	b.WriteString("- **Seen in the check:**\n")
	for i, n := range x.notices {
		if i == 0 || n.Line != x.notices[i-1].Line {
			fmt.Fprintf(b, "  - line %d (%s)\n", n.Line+1, d.harness.Check[n.Line].Text)
		}
		fmt.Fprintf(b, "    - %s is %s instead of %s\n", n.Component, n.Got, n.Want)
	}
	bare := f
	if f.Kind != fault.WrongRating {
		bare.Severity = 0
	}
	for _, g := range groups {
		for _, name := range g.Faults {
			if name == bare.String() {
				fmt.Fprintf(b, "- **Alike:** no test tells it from others of its group; each of these counts as found: `%s`\n", strings.Join(g.Faults, "`, `"))
			}
		}
	}
	if x.par.Alike {
		fmt.Fprintf(b, "- **Left by the best tests:** %s\n", strings.Join(x.par.Repairs, ", or "))
	}
	if len(x.par.Steps) == 0 {
		b.WriteString("\nWhat the check shows is enough to know the repair.\n")
		return
	}
	b.WriteString("\n| | best next test | shows | faults left | minute |\n| ---: | --- | --- | ---: | ---: |\n")
	for i, s := range x.par.Steps {
		fmt.Fprintf(b, "| %d | %s | %s | %d | %.1f |\n", i+1, cell(s.Text), cell(sheet.Reads(s.Shows)), s.Left, s.Minutes)
	}
}

// cell makes words fit for a table.
func cell(s string) string { return strings.NewReplacer("|", "/", "\n", " ").Replace(s) }

// told reports whether an answer sheet holds the faults of an exercise: who has the sheet may be told.
func told(answers []byte, ex *attempt.Exercise) bool {
	text, book := string(answers), fault.NewBook(ex.Harness)
	for _, f := range ex.Faults {
		if !strings.Contains(text, ex.ID) || !strings.Contains(text, "`"+book.Text(f)+"`") {
			return false
		}
	}
	return true
}

// masked hides the faults of a sealed exercise in what was found of it.
func masked(ex *attempt.Exercise, findings []scenarios.Finding) []scenarios.Finding {
	if !ex.Sealed {
		return findings
	}
	var pairs []string
	book := fault.NewBook(ex.Harness)
	for _, f := range ex.Faults {
		pairs = append(pairs, book.Text(f), "the sealed fault", f.String(), "the sealed fault")
	}
	hide := strings.NewReplacer(pairs...)
	for i := range findings {
		findings[i].Place, findings[i].Text = hide.Replace(findings[i].Place), hide.Replace(findings[i].Text)
	}
	return findings
}
