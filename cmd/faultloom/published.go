package main

import (
	"io"

	"faultloom/cmd/internal/published"

	"github.com/spf13/cobra"
)

func newPublished() *cobra.Command {
	var format, output string
	cmd := &cobra.Command{
		Use:   "published",
		Short: "print what the simulator computes beside published figures, with sources",
		Long: `Published computes some hundreds of figures anew and prints each beside the published
one: wire, filaments, fuses, batteries, sensors, relays, meters, worked examples of
textbooks, responses in time. Every row has its difference, what is allowed and why, and
the source with how far it was checked.

The exit code is 1 when a row is outside what is allowed.

  faultloom published
  faultloom published --format html -o published.html`,
		Args: number(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := choice("format", format, "text", "json", "html"); err != nil {
				return err
			}
			write := map[string]func(io.Writer, []published.Group) error{
				"text": published.WriteText, "json": published.WriteJSON, "html": published.WriteHTML,
			}[format]
			groups, err := published.Groups()
			if err != nil {
				return runError(err)
			}
			if err := writeTo(cmd.OutOrStdout(), output, func(w io.Writer) error { return write(w, groups) }); err != nil {
				return err
			}
			if _, failed := published.Tally(groups); failed > 0 {
				return errFindings
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "text, json or html")
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to this `file` instead of standard output")
	return cmd
}
