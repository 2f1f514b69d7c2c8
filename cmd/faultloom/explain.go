package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/sim/attempt"

	"github.com/spf13/cobra"
)

func newExplain() *cobra.Command {
	var f from
	var format, answers string
	cmd := &cobra.Command{
		Use:   "explain ATTEMPT",
		Short: "print for each step of an attempt which faults it ruled out, and by which margin",
		Long: `Explain prints what each step of an attempt told: which faults of the whole catalogue
it ruled out, with the reading that each would have given, the one that was shown, and
the tolerance. So a grade can be contested with numbers. Faults that differ only in how
bad they are are told together.

  faultloom explain attempt.jsonl`,
		Args: number("attempt"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := choice("format", format, "text", "json"); err != nil {
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
			for k := range ex.Faults {
				e, err := grading.Weigh(*ex, records, k)
				if err != nil {
					return inputError(err)
				}
				if format == "json" {
					enc := json.NewEncoder(cmd.OutOrStdout())
					enc.SetIndent("", "  ")
					if err := enc.Encode(e.Explain()); err != nil {
						return err
					}
					continue
				}
				printExplained(cmd.OutOrStdout(), ex, records, e)
			}
			return nil
		},
	}
	f.flag(cmd)
	answersFlag(cmd, &answers)
	cmd.Flags().StringVar(&format, "format", "text", "text or json")
	return cmd
}

// printExplained prints each step with what it ruled out, grouped by what the faults would have shown.
func printExplained(w io.Writer, ex *attempt.Exercise, records []attempt.Record, e *grading.Evidence) {
	fallen := e.Explain()
	for i, rec := range records {
		did, showed := attempt.Words(ex.Harness, rec)
		s := e.Steps[i]
		fmt.Fprintf(w, "%3d  %s\n", rec.Seq+1, did)
		if showed != "" {
			fmt.Fprintf(w, "     shown: %s\n", sheet.Reads(showed))
		}
		if s.Told != "" {
			fmt.Fprintf(w, "     %s\n", s.Told)
		}
		fmt.Fprintf(w, "     %d faults left, %d repairs, %.2f bits gained\n", s.Left, s.Repairs, s.Gained)
		var order []string
		groups := map[string][]string{}
		for _, f := range fallen {
			if f.Seq != rec.Seq {
				continue
			}
			why := sheet.Reads(f.Margin.String())
			if _, ok := groups[why]; !ok {
				order = append(order, why)
			}
			name := f.Fault
			if f.From != "" {
				name += " (" + f.From + ")"
			}
			groups[why] = append(groups[why], name)
		}
		for _, why := range order {
			fmt.Fprintf(w, "     - %s:\n", why)
			for _, line := range wrapList(groups[why], 84) {
				fmt.Fprintf(w, "         %s\n", line)
			}
		}
	}
}

// wrapList joins items with semicolons into lines of at most width bytes, unless one item is longer.
func wrapList(items []string, width int) []string {
	var lines []string
	cur := ""
	for i, item := range items {
		if i < len(items)-1 {
			item += ";"
		}
		if cur != "" && len(cur)+1+len(item) > width {
			lines = append(lines, cur)
			cur = ""
		}
		cur = strings.TrimSpace(cur + " " + item)
	}
	return append(lines, cur)
}
