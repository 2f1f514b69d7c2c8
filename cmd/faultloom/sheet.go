package main

import (
	"io"

	"faultloom/cmd/internal/sheet"

	"github.com/spf13/cobra"
)

func newSheet() *cobra.Command {
	var f from
	var output, page string
	cmd := &cobra.Command{
		Use:   "sheet HARNESS",
		Short: "write the wiring diagram of a harness as an SVG page to print",
		Long: `Sheet writes the wiring diagram of a harness as one page for printing: supply at the
top, ground at the bottom, with a key to its colours and a title block. It is an SVG
file, which every browser shows and prints. HARNESS is an id (see list) or a file.

  faultloom sheet dt14-work-lamps -o lamps.svg
  faultloom sheet my-scenarios/winch.yaml --page A4 -o winch.svg`,
		Args: number("harness"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := choice("page", page, "A3", "A4"); err != nil {
				return err
			}
			h, err := f.harness(cmd.ErrOrStderr(), args[0])
			if err != nil {
				return err
			}
			paper := sheet.A3
			if page == "A4" {
				paper = sheet.A4
			}
			s := sheet.Layout(h)
			return writeTo(cmd.OutOrStdout(), output, func(w io.Writer) error { return s.WriteSVG(w, sheet.Live{}, paper) })
		},
	}
	f.flag(cmd)
	cmd.Flags().StringVarP(&output, "output", "o", "", "write to this `file` instead of standard output")
	cmd.Flags().StringVar(&page, "page", "A3", "paper, lying: A3 or A4")
	return cmd
}
