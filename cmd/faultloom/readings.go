package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"faultloom/cmd/internal/sheet"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/spf13/cobra"
)

// settleSeconds is how long controls are left as they are before reading: long enough for a fuse that a fault would open.
const settleSeconds = 600

func newReadings() *cobra.Command {
	var f from
	var set, faults []string
	var all bool
	cmd := &cobra.Command{
		Use:   "readings HARNESS",
		Short: "print what a meter reads at every point that a lead can reach",
		Long: `Readings prints what the bench's voltmeter shows between every point that a lead can
reach and bare body metal, and what each load is seen doing, ten minutes after the
controls were put where --set says. With --fault it prints the same with that fault in,
beside the good values; a star marks what differs. HARNESS is an id (see list) or a file.

  faultloom readings dt14-work-lamps --set KEY=on --set LAMPS=on
  faultloom readings dt14-work-lamps --set KEY=on --fault "ground G1 open"`,
		Args: number("harness"),
		RunE: func(cmd *cobra.Command, args []string) error {
			h, err := f.harness(cmd.ErrOrStderr(), args[0])
			if err != nil {
				return err
			}
			return printReadings(cmd.OutOrStdout(), h, set, faults, all)
		},
	}
	f.flag(cmd)
	cmd.Flags().StringArrayVar(&set, "set", nil, "put a control to a position, `CONTROL=POSITION`; may be repeated")
	cmd.Flags().StringArrayVar(&faults, "fault", nil, "`fault` in text form, such as \"cavity X1.3 corroded 5 ohm\"; may be repeated")
	cmd.Flags().BoolVar(&all, "all", false, "also the points that can be reached only after unplugging or opening something")
	return cmd
}

// read is what is found on a machine at rest.
type read struct {
	reach   map[harness.Point]bool
	volts   map[harness.Point]string
	effects map[string]string
}

func printReadings(out io.Writer, h *harness.Harness, set, faults []string, all bool) error {
	good, err := settled(h, set, nil)
	if err != nil {
		return err
	}
	columns := []*read{good}
	if len(faults) > 0 {
		bad, err := settled(h, set, faults)
		if err != nil {
			return err
		}
		columns = append(columns, bad)
	}
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	row := func(name, title string, cells func(*read) string) {
		fmt.Fprint(w, name)
		for i, c := range columns {
			mark := ""
			if i > 0 && cells(c) != cells(good) {
				mark = " *"
			}
			fmt.Fprintf(w, "\t%s%s", cells(c), mark)
		}
		fmt.Fprintf(w, "\t%s\n", title)
	}
	head := func(name, what string) {
		fmt.Fprintf(w, "%s\t%s", name, what)
		if len(columns) > 1 {
			fmt.Fprint(w, "\tWITH THE FAULT")
		}
		fmt.Fprintln(w, "\tWHAT IT IS")
	}
	head("POINT", "TO BODY")
	for _, info := range h.Infos() {
		if p := info.Point; all || good.reach[p] {
			row(string(p), info.Title, func(r *read) string { return r.volts[p] })
		}
	}
	fmt.Fprintln(w)
	head("LOAD", "SEEN")
	for _, c := range h.Components {
		if good.effects[c.ID] != "" {
			row(c.ID, c.Title, func(r *read) string { return sheet.Reads(r.effects[c.ID]) })
		}
	}
	return w.Flush()
}

// settled reads a machine with faults in it, controls set and everything at rest.
func settled(h *harness.Harness, set, faults []string) (*read, error) {
	m, err := harness.NewMachine(h)
	if err != nil {
		return nil, inputError(err)
	}
	var alter []harness.Alteration
	book := fault.NewBook(h)
	for _, text := range faults {
		f, err := book.Parse(text)
		if err != nil {
			return nil, inputError(fmt.Errorf("--fault: %w", err))
		}
		a, err := book.Alterations(f)
		if err != nil {
			return nil, inputError(fmt.Errorf("--fault %q: %w", text, err))
		}
		alter = append(alter, a...)
	}
	if err := m.Alter(alter); err != nil {
		return nil, inputError(err)
	}
	for _, s := range set {
		if err := operate(m, s); err != nil {
			return nil, err
		}
	}
	if err := m.Dwell(settleSeconds); err != nil {
		return nil, runError(err)
	}
	return look(m)
}

// operate puts a control where "CONTROL=POSITION" says.
func operate(m *harness.Machine, set string) error {
	id, position, ok := strings.Cut(set, "=")
	if !ok {
		return fmt.Errorf("--set takes CONTROL=POSITION (got %q)", set)
	}
	controls := m.Harness().Controls
	i := slices.IndexFunc(controls, func(c harness.Control) bool { return c.ID == id })
	if i < 0 {
		var ids []string
		for _, c := range controls {
			ids = append(ids, c.ID)
		}
		return inputError(fmt.Errorf("--set: %w", unknown("control", id, ids)))
	}
	if !slices.Contains(controls[i].Positions, position) {
		return inputError(fmt.Errorf("--set: control %q has no position %q; there are: %s", id, position, strings.Join(controls[i].Positions, ", ")))
	}
	return inputError(m.Operate(id, position))
}

// look reads what a meter without any error of its own shows from every point to body, and what is noticed.
func look(m *harness.Machine) (*read, error) {
	h := m.Harness()
	r := &read{map[harness.Point]bool{}, map[harness.Point]string{}, map[string]string{}}
	for id, e := range m.Effects() {
		r.effects[id] = e.Word
	}
	b, err := meter.NewBench(meter.Kit{Tools: []meter.Tool{meter.Multimeter}, Functions: []meter.Function{meter.Volts}, Volts: h.Vehicle.Volts}, meter.Ideal())
	if err != nil {
		return nil, runError(err)
	}
	if err := errors.Join(b.Dial(meter.Volts), b.Place(meter.Multimeter, 1, harness.Body)); err != nil {
		return nil, runError(err)
	}
	for _, p := range h.Points() {
		r.reach[p], _ = m.Reach(p)
		if err := errors.Join(b.Place(meter.Multimeter, 0, p), b.Connect(m)); err != nil {
			return nil, runError(err)
		}
		if err := m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
			return nil, runError(err)
		}
		shown, err := b.Read(m)
		if err != nil {
			return nil, runError(err)
		}
		d := shown[meter.Multimeter]
		r.volts[p] = strings.TrimSpace(d.Text + " " + d.Unit)
	}
	return r, nil
}
