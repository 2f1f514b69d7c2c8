package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"faultloom/grading/robot"
	"faultloom/scenarios"
	"faultloom/sim/fault"
	"faultloom/sim/harness"

	"github.com/spf13/cobra"
)

// judged is what judge prints as JSON.
type judged struct {
	Rows      []robot.Row             `json:"rows"`
	Means     map[string]float64      `json:"means"`     // points by robot
	Amiss     int                     `json:"amiss"`     // rows that do not rank as they should
	Effort    robot.Effort            `json:"effort"`    // of the best next test over the exercises
	Harnesses map[string]robot.Effort `json:"harnesses"` // over faults drawn, by harness; only with --faults
}

// mostFaults bounds --faults: each takes seconds.
const mostFaults = 1000

func newJudge() *cobra.Command {
	var f from
	var format string
	var faults int
	cmd := &cobra.Command{
		Use:   "judge [EXERCISE]...",
		Short: "have four scripted technicians play exercises, and see how the grades rank them",
		Long: `Judge tries the grading itself. Four technicians play each exercise, none of them
knowing the fault, and are graded as people are:

  best     does the best next test, as the coach would advise
  halver   works by the book: the check, feed and ground at the load, then half-way
  prober   probes here and there and guesses from what it happened to see (the mean
           of several such persons)
  swapper  swaps parts until the check passes

An instructor would rank them in this order, the first two perhaps alike. Where the
grades do not, the exit code is 1. The table also has how many tests the best next
test took to isolate the fault, and the floor: what nobody can do without, on average
over all that may be wrong after the same check.

With --faults each harness has that many faults drawn, likelier ones more often, for
the best next test to find: that gives the mean over what can go wrong. This takes
seconds for each fault; the whole takes long.

  faultloom judge dt14-06-gate-four
  faultloom judge --from my-scenarios --format json`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := choice("format", format, "text", "json"); err != nil {
				return err
			}
			if faults < 0 || faults > mostFaults {
				return fmt.Errorf("--faults must be 0 to %d (got %d)", mostFaults, faults)
			}
			lib, err := f.library(cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			out, err := judge(lib, args, cmd.ErrOrStderr())
			if err == nil && faults > 0 {
				out.Harnesses, err = efforts(out, lib, faults, cmd.ErrOrStderr())
			}
			if err != nil {
				return err
			}
			if format == "json" {
				enc := json.NewEncoder(cmd.OutOrStdout())
				enc.SetIndent("", "  ")
				err = enc.Encode(out)
			} else {
				err = printJudged(cmd.OutOrStdout(), out)
			}
			if err == nil && out.Amiss > 0 {
				err = errFindings
			}
			return err
		},
	}
	f.flag(cmd)
	cmd.Flags().StringVar(&format, "format", "text", "text or json")
	cmd.Flags().IntVar(&faults, "faults", 0, "also measure the best next test over this `number` of faults of each harness")
	return cmd
}

// judge plays the exercises named, or all. What is under way is told on progress.
func judge(lib *library, ids []string, progress io.Writer) (judged, error) {
	out := judged{Rows: []robot.Row{}, Means: map[string]float64{}}
	for _, id := range ids {
		if lib.Exercise(id) == nil {
			return out, inputError(unknown("exercise", id, lib.exerciseIDs()))
		}
	}
	var all []robot.Effort
	for _, e := range lib.Exercises {
		ex := *e.Exercise
		if len(ids) > 0 && !slices.Contains(ids, ex.ID) {
			continue
		}
		fmt.Fprintf(progress, "%s …\n", ex.ID)
		row, err := robot.Judge(ex)
		if err != nil {
			return out, inputError(err)
		}
		out.Rows = append(out.Rows, row)
		if row.Amiss != "" {
			out.Amiss++
		}
		if row.Effort != nil {
			all = append(all, *row.Effort)
		}
	}
	for _, r := range out.Rows {
		for _, s := range r.Scores {
			out.Means[s.Robot] += s.Points / float64(len(out.Rows))
		}
	}
	out.Effort = robot.Mean(all)
	return out, nil
}

// efforts measures the best next test over faults drawn for each harness of the exercises that were played.
func efforts(done judged, lib *library, count int, progress io.Writer) (map[string]robot.Effort, error) {
	all := map[string]robot.Effort{}
	for _, r := range done.Rows {
		ex := *lib.Exercise(r.Exercise)
		if _, had := all[ex.Harness.ID]; had {
			continue
		}
		drawn, err := drawMany(ex.Harness, count)
		if err != nil {
			return all, inputError(err)
		}
		e, err := robot.Measure(ex, drawn, func(f fault.Fault, e robot.Effort) {
			fmt.Fprintf(progress, "%s: %s: %g tests\n", ex.Harness.ID, f, e.Tests)
		})
		if err != nil {
			return all, inputError(err)
		}
		all[ex.Harness.ID] = e
	}
	return all, nil
}

// drawMany draws faults one by one, so that the same may come again, as often as it is likely.
func drawMany(h *harness.Harness, count int) ([]fault.Fault, error) {
	var out []fault.Fault
	for seed := range uint64(count) {
		f, err := scenarios.Draw(h, seed, 1)
		if err != nil {
			return nil, err
		}
		out = append(out, f...)
	}
	return out, nil
}

func printJudged(out io.Writer, j judged) error {
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	fmt.Fprint(w, "EXERCISE")
	for _, r := range robot.Robots() {
		fmt.Fprintf(w, "\t%s", r.Name)
	}
	fmt.Fprintln(w, "\tTESTS\tFLOOR\tMINUTES\tFLOOR\t")
	for _, r := range j.Rows {
		fmt.Fprint(w, r.Exercise)
		for _, s := range r.Scores {
			fmt.Fprintf(w, "\t%.1f", s.Points)
		}
		if e := r.Effort; e != nil {
			fmt.Fprintf(w, "\t%g\t%.2f\t%.2f\t%.2f", e.Tests, e.FloorTests, e.Minutes, e.FloorMinutes)
		} else {
			fmt.Fprint(w, "\t-\t-\t-\t-")
		}
		fmt.Fprintf(w, "\t%s\n", r.Amiss)
	}
	fmt.Fprint(w, "mean")
	for _, r := range robot.Robots() {
		fmt.Fprintf(w, "\t%.1f", j.Means[r.Name])
	}
	e := j.Effort
	fmt.Fprintf(w, "\t%.2f\t%.2f\t%.2f\t%.2f\t\n", e.Tests, e.FloorTests, e.Minutes, e.FloorMinutes)
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "%d of %s ranked as they should be.\n", len(j.Rows)-j.Amiss, count(len(j.Rows), "exercise"))
	if e.Faults > 0 {
		fmt.Fprintf(out, "The best next test isolated %d of %s, with %s and %s.\n", e.Isolated, count(e.Faults, "fault"),
			times(e.TestRatio(), "tests"), times(e.MinuteRatio(), "minutes"))
	}
	for _, id := range sortedKeys(j.Harnesses) {
		e := j.Harnesses[id]
		fmt.Fprintf(out, "%s: isolated %d of %s drawn, %.2f tests (floor %.2f) in %.2f minutes (floor %.2f): %s and %s.\n", id, e.Isolated,
			count(e.Faults, "fault"), e.Tests, e.FloorTests, e.Minutes, e.FloorMinutes, times(e.TestRatio(), "tests"), times(e.MinuteRatio(), "minutes"))
	}
	return nil
}

// times says how many times the floor something is.
func times(ratio float64, what string) string {
	return fmt.Sprintf("%.2f times the floor in %s", ratio, what)
}

func sortedKeys(m map[string]robot.Effort) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
