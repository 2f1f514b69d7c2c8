package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// aboutPar is what the findings of solving are about.
const aboutPar = "par"

func (c *checked) find(g scenarios.Grade, place, text string, args ...any) {
	c.Findings = append(c.Findings, scenarios.Finding{Grade: g, About: aboutPar, Place: place, Text: fmt.Sprintf(text, args...)})
}

// equipped is an exercise with the tools and functions that one has which names none.
func equipped(ex attempt.Exercise) attempt.Exercise {
	ex.Tools, ex.Functions = meter.UsualTools(), meter.UsualFunctions()
	return ex
}

// solveHarness lists the faults that no test tells apart.
func (c *checked) solveHarness(h *harness.Harness) {
	groups, err := grading.Groups(equipped(attempt.Exercise{ID: h.ID, Harness: h}))
	switch {
	case err != nil:
		c.find(scenarios.Fails, h.ID, "what no test tells apart cannot be computed: %v", err)
	case len(groups) == 0:
		c.find(scenarios.Holds, h.ID, "every fault that shows in the check can be told from all that need another repair")
	}
	c.Alike = groups
}

// solveExercise does the exercise by the best next test.
func (c *checked) solveExercise(ex *attempt.Exercise) {
	par, err := grading.ParOf(*ex)
	if err != nil {
		c.find(scenarios.Fails, ex.ID, "it cannot be done by tests: %v", err)
		return
	}
	left := ": " + strings.Join(par.Repairs, ", ")
	if ex.Sealed { // what is left, and the way there, would tell it
		left = ""
		c.Par = &grading.Par{Minutes: par.Minutes, Check: par.Check, Isolate: par.Isolate, Repair: par.Repair, Retest: par.Retest,
			Tests: par.Tests, Proved: par.Proved, Alike: par.Alike, Floor: par.Floor}
	} else {
		c.Par = &par
	}
	switch {
	case !par.Proved:
		c.find(scenarios.Fails, ex.ID, "the fault cannot be isolated: after %s %s are left%s", count(par.Tests, "test"), count(len(par.Repairs), "repair"), left)
	case !par.Alike:
		c.find(scenarios.Holds, ex.ID, "the fault can be isolated with the tools allowed")
	default:
		full, err := grading.QuickPar(equipped(*ex))
		if err == nil && (!full.Alike || len(full.Repairs) < len(par.Repairs)) {
			c.find(scenarios.Fails, ex.ID, "the fault cannot be isolated with the tools allowed: with the usual ones %s left, and with these %d%s; allow more under tools or functions",
				remaining(full), len(par.Repairs), left)
			return
		}
		c.find(scenarios.Advice, ex.ID, "no test tells the fault from others that need another repair, so each of them counts as found; %s are left%s", count(len(par.Repairs), "repair"), left)
	}
}

// remaining says how many repairs the best tests leave.
func remaining(par grading.Par) string {
	if !par.Alike {
		return "one repair is"
	}
	return count(len(par.Repairs), "repair") + " are"
}

// printSolved prints par, and what no test tells apart.
func printSolved(w io.Writer, c checked, verbose bool) {
	if c.Par != nil {
		fmt.Fprintf(w, "  %s\n", parLine(*c.Par))
		if verbose {
			for i, s := range c.Par.Steps {
				fmt.Fprintf(w, "    %d. %s %s\n", i+1, s.Text, stepShows(s))
			}
		}
	}
	for i, g := range c.Alike {
		if i == 0 {
			fmt.Fprintf(w, "  no test tells apart (%s); naming one of a group counts as naming any:\n", count(len(c.Alike), "group"))
		}
		fmt.Fprintf(w, "    group %d: %s\n", i+1, strings.Join(g.Repairs, ", or "))
		tab := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
		for k := range g.Faults {
			fmt.Fprintf(tab, "      %s\t%s\n", g.Titles[k], g.Faults[k])
		}
		_ = tab.Flush()
	}
}

// parLine is par in a line.
func parLine(par grading.Par) string {
	text := fmt.Sprintf("par: %.1f bench minutes (%.1f for the check, %.1f to isolate with %s, %.1f to repair, %.1f for the retest)",
		par.Minutes, par.Check, par.Isolate, count(par.Tests, "test"), par.Repair, par.Retest)
	if f := par.Floor; f.Bits > 0 {
		text += fmt.Sprintf("; %.1f bits are missing after the check, and no plan takes fewer than %.1f tests on average", f.Bits, f.Tests)
	}
	return text
}

// stepShows says what a step of par came to.
func stepShows(s grading.ParStep) string {
	shows := sheet.Reads(s.Shows)
	if shows == "" {
		shows = "nothing new"
	}
	return fmt.Sprintf("-> %s (%s left, %.1f min)", shows, count(s.Left, "fault"), s.Minutes)
}
