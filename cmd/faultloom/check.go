package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"faultloom/grading"
	"faultloom/scenarios"

	"github.com/spf13/cobra"
)

// checked is what check says of one file.
type checked struct {
	File     string              `json:"file"`
	ID       string              `json:"id"`
	Findings []scenarios.Finding `json:"findings"`
	Alike    []grading.Group     `json:"alike,omitempty"` // of a harness, when it was solved
	Par      *grading.Par        `json:"par,omitempty"`   // of an exercise, when it was solved
}

// fails reports whether something in it does not hold.
func (c *checked) fails() bool {
	return slices.ContainsFunc(c.Findings, func(f scenarios.Finding) bool { return f.Grade == scenarios.Fails })
}

func newCheck() *cobra.Command {
	var f from
	var format string
	var verbose, solve bool
	cmd := &cobra.Command{
		Use:   "check [ID | FILE]...",
		Short: "check harness and exercise files, and prove by simulation that they work",
		Long: `Check reads harness and exercise files, tells everything that is wrong in one go,
each at its file, line and column, and then tries them by simulation: a healthy harness
must pass its own normal-operation check, and every fault that an exercise names must
show in it.

Name files (ending in .yaml) to check those; else all files are read that lie in the
folder --from (default: those that ship with the program). Name ids to try only those.

With --solve each exercise is also done by the best next test, and what that takes is
its par: bench minutes, the number of tests, and how few nobody can do without. An
exercise whose fault the tools allowed cannot isolate does not hold. For each harness
the faults are listed that no test within reach tells apart, with any control in any
position: naming one of them counts as naming the one that is in. This takes a few
seconds an exercise, so it is done by itself only for what is named.

It exits with 3 when a file is not as it should be, with 1 when something does not
hold. Advice (a fuse or wire that a person of the trade would choose larger) does not
change the exit code.

  faultloom check my-scenarios/winch.yaml
  faultloom check --from my-scenarios
  faultloom check --from my-scenarios winch-01 -v`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := choice("format", format, "text", "json"); err != nil {
				return err
			}
			lib, ids, err := f.toCheck(cmd.ErrOrStderr(), args)
			if err != nil {
				return err
			}
			if err := lib.err(); err != nil {
				return err
			}
			if !cmd.Flags().Changed("solve") {
				solve = len(args) > 0
			}
			out := cmd.OutOrStdout()
			all, fails := []checked{}, false
			err = prove(lib, ids, solve, func(c checked) {
				all, fails = append(all, c), fails || c.fails()
				if format == "text" {
					printChecked(out, c, verbose)
				}
			})
			switch {
			case err != nil:
				return inputError(err)
			case format == "text":
				printTotals(out, all)
			default:
				enc := json.NewEncoder(out)
				enc.SetIndent("", "  ")
				if err := enc.Encode(all); err != nil {
					return err
				}
			}
			if fails {
				return errFindings
			}
			return nil
		},
	}
	f.flag(cmd)
	cmd.Flags().StringVar(&format, "format", "text", "text or json")
	cmd.Flags().BoolVarP(&verbose, "verbose", "v", false, "also say what holds, and the steps of par")
	cmd.Flags().BoolVar(&solve, "solve", false, "also work out par and what no test tells apart (default: when files or ids are named)")
	return cmd
}

// toCheck reads the files named, or else the library, with the ids to look at there.
func (f *from) toCheck(w io.Writer, args []string) (lib *library, ids []string, err error) {
	var files []string
	for _, a := range args {
		if isFile(a) {
			files = append(files, a)
		} else {
			ids = append(ids, a)
		}
	}
	switch {
	case len(files) == 0:
		lib, err = f.library(w)
		return lib, ids, err
	case len(ids) > 0:
		return nil, nil, fmt.Errorf("name files or ids, not both (got %s and %s)", files[0], ids[0])
	case f.dir != "":
		return nil, nil, fmt.Errorf("name files or give --from, not both (got %s)", files[0])
	}
	lib, err = readFiles(w, files...)
	if err == nil && lib.bad == 0 && len(lib.Harnesses)+len(lib.Exercises) == 0 {
		err = inputError(fmt.Errorf("%s: holds no harness and no exercise; a file for others to include is checked with those that include it", files[0]))
	}
	return lib, nil, err
}

// prove tries what was asked for, or everything, and calls each with what it found as it comes.
func prove(lib *library, ids []string, solve bool, each func(checked)) error {
	wanted := map[string]bool{}
	for _, id := range ids {
		wanted[id] = true
	}
	known := append(lib.harnessIDs(), lib.exerciseIDs()...)
	for _, id := range ids {
		if !slices.Contains(known, id) {
			return unknown("harness or exercise", id, known)
		}
	}
	take := func(id string) bool { return len(ids) == 0 || wanted[id] }
	for _, h := range lib.Harnesses {
		if take(h.Harness.ID) {
			c := checked{File: h.File, ID: h.Harness.ID, Findings: scenarios.Prove(h.Harness)}
			if solve && !c.fails() {
				c.solveHarness(h.Harness)
			}
			each(c)
		}
	}
	for _, e := range lib.Exercises {
		if take(e.Exercise.ID) {
			c := checked{File: e.File, ID: e.Exercise.ID, Findings: masked(e.Exercise, scenarios.ProveExercise(e.Exercise))}
			if solve && !c.fails() {
				c.solveExercise(e.Exercise)
			}
			each(c)
		}
	}
	return nil
}

func printChecked(w io.Writer, c checked, verbose bool) {
	word := "holds"
	if c.fails() {
		word = "does not hold"
	}
	fmt.Fprintf(w, "%s: %s %s\n", c.File, c.ID, word)
	for _, f := range c.Findings {
		if f.Grade != scenarios.Holds || verbose {
			fmt.Fprintf(w, "  %s: %s\n", f.Grade, f.Text)
		}
	}
	printSolved(w, c, verbose)
}

func printTotals(w io.Writer, all []checked) {
	fails, advice := 0, 0
	for _, c := range all {
		for _, f := range c.Findings {
			switch f.Grade {
			case scenarios.Fails:
				fails++
			case scenarios.Advice:
				advice++
			}
		}
	}
	fmt.Fprintf(w, "%s: %s, %s.\n", count(len(all), "file"), count(fails, "failure"), count(advice, "piece")+" of advice")
}

// count writes a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
