package published

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"faultloom/testdata"
)

// line is one row of a table: column to cell.
type line struct {
	cells map[string]string
	where string // for errors
}

// table reads a table of published figures.
func table(name string) ([]line, error) {
	f, err := testdata.Tables.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return lines(f, name)
}

func lines(r io.Reader, name string) ([]line, error) {
	c := csv.NewReader(r)
	c.FieldsPerRecord = -1 // one note has an unquoted comma
	rows, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var all []line
	for i, cells := range rows[1:] {
		l := line{map[string]string{}, fmt.Sprintf("%s: row %d", name, i+2)}
		for k, c := range cells[:min(len(cells), len(rows[0]))] {
			l.cells[rows[0][k]] = c
		}
		all = append(all, l)
	}
	return all, nil
}

// number reads a cell, NaN when it is empty or no number.
func (l line) number(column string) float64 {
	x, err := strconv.ParseFloat(l.cells[column], 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// row starts a row that has this line's source.
func (l line) row(what, unit string, value float64) Row {
	return Row{What: what, Unit: unit, Value: value, Published: math.NaN(), Least: math.Inf(-1), Most: math.Inf(1),
		Source: l.cells["source"], Seen: l.cells["seen"]}
}

// near makes a row one about a published figure.
func (r Row) near(published, tolerance float64, why string) Row {
	r.Published, r.Tolerance, r.Why = published, tolerance, why
	return r
}

// within makes a row one about published limits; NaN is no limit.
func (r Row) within(least, most float64, why string) Row {
	if !math.IsNaN(least) {
		r.Least = least
	}
	if !math.IsNaN(most) {
		r.Most = most
	}
	r.Why = why
	return r
}

// from gives a row another source.
func (r Row) from(source, seen string) Row {
	r.Source, r.Seen = source, seen
	return r
}
