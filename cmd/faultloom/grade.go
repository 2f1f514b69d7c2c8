package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"faultloom/cmd/internal/debrief"
	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"

	"github.com/spf13/cobra"
)

// textColumns is the width of reports in a terminal.
const textColumns = 96

func newGrade() *cobra.Command {
	var f from
	var format, output, answers string
	var pass float64
	var quick bool
	cmd := &cobra.Command{
		Use:   "grade ATTEMPT",
		Short: "grade an attempt from its log",
		Long: `Grade reads an attempt's log, plays it again to make sure that it is whole and
unedited, and prints the graded debrief: as text, as JSON, or as one self-contained
HTML page. ATTEMPT is the file that the bench wrote; list --attempts names them. Its
exercise is found among the shipped ones, or in the folder --from.

An attempt whose job was not closed is graded as it stands. With --pass the exit code
is 1 when the score is below that many points.

The debrief sets the attempt beside par: what the best next test each time makes of the
same job. Working that out takes some seconds; --quick leaves it out.

  faultloom grade attempt.jsonl
  faultloom grade attempt.jsonl --format html -o debrief.html`,
		Args: number("attempt"),
		RunE: func(cmd *cobra.Command, args []string) error {
			write := map[string]func(io.Writer, *grading.Report, *harness.Harness) error{
				"text": func(w io.Writer, r *grading.Report, _ *harness.Harness) error {
					return debrief.WriteText(w, r, textColumns)
				},
				"html": debrief.WriteHTML,
				"json": func(w io.Writer, r *grading.Report, _ *harness.Harness) error {
					enc := json.NewEncoder(w)
					enc.SetIndent("", "  ")
					return enc.Encode(r)
				},
			}[format]
			if err := choice("format", format, "text", "json", "html"); err != nil {
				return err
			}
			lib, err := f.library(cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			ex, records, err := readAttempt(lib, args[0])
			if err == nil {
				err = mayTell(ex, records, answers)
			}
			if err != nil {
				return inputError(err)
			}
			r, err := grading.Grade(*ex, records)
			if err != nil {
				return inputError(err)
			}
			if !quick {
				if par, err := grading.ParOf(*ex); err == nil {
					r.SetPar(*ex, records, par)
				} else {
					fmt.Fprintf(cmd.ErrOrStderr(), "faultloom: par is left out: %v\n", err)
				}
			}
			if err := writeTo(cmd.OutOrStdout(), output, func(w io.Writer) error { return write(w, &r, ex.Harness) }); err != nil {
				return err
			}
			if r.Score < pass {
				fmt.Fprintf(cmd.ErrOrStderr(), "faultloom: %v points are below the %v asked for\n", r.Score, pass)
				return errFindings
			}
			return nil
		},
	}
	f.flag(cmd)
	answersFlag(cmd, &answers)
	cmd.Flags().StringVar(&format, "format", "text", "text, json or html")
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to this `file` instead of standard output")
	cmd.Flags().BoolVar(&quick, "quick", false, "leave out par")
	cmd.Flags().Float64Var(&pass, "pass", 0, "exit with 1 below this many `points`")
	return cmd
}

func newReplay() *cobra.Command {
	var f from
	cmd := &cobra.Command{
		Use:   "replay ATTEMPT",
		Short: "play an attempt again and print what was done and seen",
		Long: `Replay plays an attempt's log again from its actions alone, and compares what each
shows now with what the log says. A log that was damaged or edited is refused with
the line named.`,
		Args: number("attempt"),
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, err := f.library(cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			ex, records, err := readAttempt(lib, args[0])
			if err != nil {
				return inputError(err)
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "%s: %s\n", ex.ID, ex.Title)
			for _, r := range records {
				did, showed := attempt.Words(ex.Harness, r)
				fmt.Fprintf(out, "%4d  %s  %s\n", r.Seq+1, clock(r.Observation.Ticks), did)
				if showed != "" {
					fmt.Fprintf(out, "               %s\n", sheet.Reads(showed))
				}
			}
			fmt.Fprintf(out, "%d steps, each the same as when it was done.\n", len(records))
			return nil
		},
	}
	f.flag(cmd)
	return cmd
}

// clock prints bench time as minutes and seconds.
func clock(ticks int64) string {
	s := int64(float64(ticks) * attempt.Tick)
	return fmt.Sprintf("%3d:%02d", s/60, s%60)
}

// readAttempt finds the exercise that a log belongs to and plays the log again.
func readAttempt(lib *library, path string) (*attempt.Exercise, []attempt.Record, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	head, err := attempt.ReadHeader(bytes.NewReader(data))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	ex := lib.Exercise(head.Exercise)
	if ex == nil {
		return nil, nil, fmt.Errorf("%s: its exercise %q is not among these files (see --from)", path, head.Exercise)
	}
	records, err := attempt.Replay(*ex, bytes.NewReader(data))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return ex, records, nil
}

// answersFlag lets an instructor show the answer sheet of a drawn set.
func answersFlag(cmd *cobra.Command, file *string) {
	cmd.Flags().StringVar(file, "answers", "", "the answer sheet (`file`) of a drawn set, to be told of a job that is not closed")
}

// mayTell returns an error when what an attempt proves would tell a sealed fault to somebody who still looks for it.
func mayTell(ex *attempt.Exercise, records []attempt.Record, answers string) error {
	closed := false
	for _, rec := range records {
		_, closing := rec.Action.(attempt.Close)
		closed = closed || closing
	}
	if !ex.Sealed || closed {
		return nil
	}
	if answers == "" {
		return fmt.Errorf("exercise %s: its fault is sealed, and the job is not closed: close it first, or show the answer sheet with --answers", ex.ID)
	}
	key, err := os.ReadFile(answers)
	if err == nil && !told(key, ex) {
		err = fmt.Errorf("%s: is not the answer sheet of exercise %s", answers, ex.ID)
	}
	return err
}

// writeTo writes to a file, or to standard output when path is "". A file appears only once it is whole.
func writeTo(stdout io.Writer, path string, write func(io.Writer) error) error {
	if path == "" {
		return write(stdout)
	}
	var buf bytes.Buffer
	if err := write(&buf); err != nil {
		return err
	}
	return runError(os.WriteFile(path, buf.Bytes(), 0o644))
}
