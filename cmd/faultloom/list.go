package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"faultloom/cmd/internal/desk"

	"github.com/spf13/cobra"
)

func newList() *cobra.Command {
	var f from
	var data string
	var attempts bool
	cmd := &cobra.Command{
		Use:   "list",
		Short: "list the exercises and harnesses there are, or your attempts",
		Long: `List prints the exercises and harnesses there are: those that ship with the program,
or those of the folder --from. With --attempts it prints your attempts at them and the
file of each, which grade and replay take.`,
		Args: number(),
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, err := f.library(cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			if attempts {
				err = listAttempts(cmd.OutOrStdout(), lib, data)
			} else {
				err = listFiles(cmd.OutOrStdout(), lib)
			}
			if err != nil {
				return err
			}
			return lib.err()
		},
	}
	f.flag(cmd)
	cmd.Flags().BoolVar(&attempts, "attempts", false, "list your attempts")
	dataFlag(cmd, &data)
	return cmd
}

func listFiles(out io.Writer, lib *library) error {
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "EXERCISE\tMODE\tMINUTES\tVEHICLE\tTITLE")
	for _, e := range lib.Exercises {
		ex := e.Exercise
		minutes := "-"
		if ex.Minutes > 0 {
			minutes = fmt.Sprint(ex.Minutes)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", ex.ID, ex.Mode, minutes, dash(ex.Harness.Vehicle.Fleet), ex.Title)
	}
	fmt.Fprintln(w, "\nHARNESS\tWIRES\tVOLTS\tVEHICLE\tTITLE")
	for _, e := range lib.Harnesses {
		h := e.Harness
		fmt.Fprintf(w, "%s\t%d\t%g\t%s\t%s\n", h.ID, len(h.Wires), h.Vehicle.Volts, dash(h.Vehicle.Fleet), h.Title)
	}
	return w.Flush()
}

func listAttempts(out io.Writer, lib *library, data string) error {
	d, err := openDesk(lib, data)
	if err != nil {
		return runError(err)
	}
	defer d.Close()
	all, err := d.Attempts()
	if err != nil {
		return runError(err)
	}
	if len(all) == 0 {
		fmt.Fprintln(out, "No attempts yet.")
		return nil
	}
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "EXERCISE\tBEGAN\tPOINTS\tFILE")
	for _, a := range all {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", a.Exercise, began(a.Began), pointsOf(a), a.File)
	}
	return w.Flush()
}

func pointsOf(a desk.Kept) string {
	if !a.Closed {
		return "not closed"
	}
	return fmt.Sprintf("%g of %g", a.Score, a.Of)
}

// began writes the time of an attempt on this machine's clock.
func began(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.Local().Format("2006-01-02 15:04")
}

func dash(s string) string {
	if strings.TrimSpace(s) == "" {
		return "-"
	}
	return s
}
