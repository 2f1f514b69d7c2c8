// Package published sets what the simulator computes beside what has been published, row by row: what it is, the project's
// value, the published value or limits, the difference, what difference is allowed and why, and the source. The published
// figures are those of the tables in the folder testdata, which the tests read too; nothing on the page is stored but computed
// when it is asked for.
package published

import (
	"encoding/json"
	"math"
)

// Row is one figure of the project beside a published one.
type Row struct {
	What string
	Unit string // "" for a plain number
	// Value is what the project computes.
	Value float64
	// Published is the published figure, NaN where the source gives limits only.
	Published float64
	// Tolerance is by how much Value may differ from Published; Why says where that comes from.
	Tolerance float64
	// Least and Most are published limits, infinite where there is none.
	Least, Most float64
	Why         string
	// Source is the document, and Seen how far it was checked: "yes: …" it was read there, "from memory", "computed" (it follows
	// from other published figures), or "common practice, no source".
	Source, Seen string
}

// Group is rows about one thing.
type Group struct {
	Title string `json:"title"`
	About string `json:"about"` // how the values are found
	Rows  []Row  `json:"rows"`
}

// Difference returns Value less the published figure, or by how much Value is outside the limits (0 inside them).
func (r Row) Difference() float64 {
	switch {
	case !math.IsNaN(r.Published):
		return r.Value - r.Published
	case r.Value < r.Least:
		return r.Value - r.Least
	case r.Value > r.Most:
		return r.Value - r.Most
	}
	return 0
}

// rounding is what a tolerance of half a printed digit may be missed by: the decimal figures themselves are rounded to 1e-16 of
// their size.
const rounding = 1e-9

// Pass reports whether the row is within its tolerance or limits. What is not a number never passes.
func (r Row) Pass() bool {
	if math.IsNaN(r.Published) {
		return r.Value >= r.Least && r.Value <= r.Most
	}
	return math.Abs(r.Difference()) <= r.Tolerance*(1+rounding)
}

// MarshalJSON implements json.Marshaler: limits that are not there are left out.
func (r Row) MarshalJSON() ([]byte, error) {
	limit := func(x float64) *float64 {
		if math.IsInf(x, 0) || math.IsNaN(x) {
			return nil
		}
		return &x
	}
	var out = struct {
		What       string   `json:"what"`
		Unit       string   `json:"unit,omitempty"`
		Value      *float64 `json:"value"`
		Published  *float64 `json:"published,omitempty"`
		Least      *float64 `json:"least,omitempty"`
		Most       *float64 `json:"most,omitempty"`
		Difference *float64 `json:"difference"`
		Tolerance  *float64 `json:"tolerance,omitempty"`
		Why        string   `json:"why"`
		Source     string   `json:"source"`
		Seen       string   `json:"seen"`
		Pass       bool     `json:"pass"`
	}{What: r.What, Unit: r.Unit, Value: limit(r.Value), Published: limit(r.Published), Difference: limit(r.Difference()),
		Why: r.Why, Source: r.Source, Seen: r.Seen, Pass: r.Pass()}
	if out.Published == nil {
		out.Least, out.Most = limit(r.Least), limit(r.Most)
	} else {
		out.Tolerance = &r.Tolerance
	}
	return json.Marshal(out)
}

// Groups computes every row. An error says which table or circuit could not be used.
func Groups() ([]Group, error) {
	var all []Group
	for _, compute := range []func() (Group, error){
		wires, copper, joints, drops, filaments, fuses, fuseFigures, batteries, thermistors, platinum, relays, wipers, others, buses, meters, worked, closedForms,
		beside, wholeHarnesses, motions,
	} {
		g, err := compute()
		if err != nil {
			return nil, err
		}
		all = append(all, g)
	}
	return all, nil
}

// Tally returns how many rows there are and how many of them do not pass.
func Tally(groups []Group) (rows, failed int) {
	for _, g := range groups {
		rows += len(g.Rows)
		for _, r := range g.Rows {
			if !r.Pass() {
				failed++
			}
		}
	}
	return rows, failed
}
