package main

import (
	"encoding/json"
	"fmt"
	"io"

	"faultloom/scenarios"

	"github.com/spf13/cobra"
)

// checked is what check says of one file.
type checked struct {
	File     string              `json:"file"`
	ID       string              `json:"id"`
	Findings []scenarios.Finding `json:"findings"`
}

func newCheck() *cobra.Command {
	var f from
	var format string
	var verbose bool
	cmd := &cobra.Command{
		Use:   "check [ID | FILE]...",
		Short: "check harness and exercise files, and prove by simulation that they work",
		Long: `Check reads harness and exercise files, tells everything that is wrong in one go,
each at its file, line and column, and then tries them by simulation: a healthy harness
must pass its own normal-operation check, and every fault that an exercise names must
show in it.

Name files (ending in .yaml) to check those; else all files are read that lie in the
folder --from (default: those that ship with the program). Name ids to try only those.

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
			all, err := prove(lib, ids)
			if err != nil {
				return inputError(err)
			}
			if format == "json" {
				enc := json.NewEncoder(cmd.OutOrStdout())
				enc.SetIndent("", "  ")
				if err := enc.Encode(all); err != nil {
					return err
				}
			} else {
				printChecked(cmd.OutOrStdout(), all, verbose)
			}
			for _, c := range all {
				for _, found := range c.Findings {
					if found.Grade == scenarios.Fails {
						return errFindings
					}
				}
			}
			return nil
		},
	}
	f.flag(cmd)
	cmd.Flags().StringVar(&format, "format", "text", "text or json")
	cmd.Flags().BoolVarP(&verbose, "verbose", "v", false, "also say what holds")
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

// prove tries what was asked for, or everything.
func prove(lib *library, ids []string) ([]checked, error) {
	wanted := map[string]bool{}
	for _, id := range ids {
		wanted[id] = true
	}
	take := func(id string) bool {
		if len(ids) == 0 {
			return true
		}
		_, ok := wanted[id]
		wanted[id] = false
		return ok
	}
	out := []checked{}
	for _, h := range lib.Harnesses {
		if take(h.Harness.ID) {
			out = append(out, checked{h.File, h.Harness.ID, scenarios.Prove(h.Harness)})
		}
	}
	for _, e := range lib.Exercises {
		if take(e.Exercise.ID) {
			out = append(out, checked{e.File, e.Exercise.ID, scenarios.ProveExercise(e.Exercise)})
		}
	}
	for _, id := range ids {
		if wanted[id] {
			return nil, unknown("harness or exercise", id, append(lib.harnessIDs(), lib.exerciseIDs()...))
		}
	}
	return out, nil
}

func printChecked(w io.Writer, all []checked, verbose bool) {
	fails, advice := 0, 0
	for _, c := range all {
		bad := 0
		for _, f := range c.Findings {
			switch f.Grade {
			case scenarios.Fails:
				bad++
			case scenarios.Advice:
				advice++
			}
		}
		fails += bad
		word := "holds"
		if bad > 0 {
			word = "does not hold"
		}
		fmt.Fprintf(w, "%s: %s %s\n", c.File, c.ID, word)
		for _, f := range c.Findings {
			if f.Grade != scenarios.Holds || verbose {
				fmt.Fprintf(w, "  %s: %s\n", f.Grade, f.Text)
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
