package scenarios

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// Grade says how a finding of a proof is to be taken.
type Grade string

// The grades.
const (
	Holds  Grade = "holds"  // as it should be
	Advice Grade = "advice" // works, but a person of the trade would do it otherwise
	Fails  Grade = "fails"  // the harness or exercise cannot be used so
)

// What a proof looks at.
const (
	AboutCheck = "check-line" // a line of the normal-operation check, healthy
	AboutFuse  = "fuse-load"  // the current through a fuse, healthy
	AboutDrop  = "drop"       // the voltage lost in a wire or joint, healthy
	AboutFault = "fault"      // whether a fault shows in the normal-operation check
	AboutRun   = "run"        // whether the circuit can be computed at all
)

// Finding is one thing that a proof looked at, and what it found.
type Finding struct {
	Grade Grade  `json:"grade"`
	About string `json:"about"`
	Place string `json:"place"` // what it is about: "line 3", "fuse F2", "wire 60a", "ground G1 open"
	Text  string `json:"text"`  // the same in a sentence
}

// Limits that a proof holds a healthy harness against. A drop is looked at with every load of a check line at work.
const (
	// fuseShare is how much of its rating a fuse should carry for good: common practice, no source; data sheets of blade fuses
	// derate a 40 A link to 34 A at 65 °C, which is 85 %.
	fuseShare = 0.8
	// wireDrop, jointDrop and groundDrop are what is taught as the most a 12 V lighting or body circuit should lose in one
	// length of wire, in one connection and in one ground joint: common practice, no source. At 24 V they are doubled, as
	// some do (common practice, no source).
	wireDrop   = 0.2
	jointDrop  = 0.05
	groundDrop = 0.1
)

// Prove tries a healthy harness by simulation: every line of its normal-operation check must hold, no fuse may carry more than
// its rating, and what a person of the trade would do otherwise is advice. The findings come in a fixed order: lines, fuses,
// drops.
func Prove(h *harness.Harness) []Finding {
	m, err := harness.NewMachine(h)
	if err != nil {
		return []Finding{{Fails, AboutRun, h.ID, fmt.Sprintf("the harness cannot be computed: %v", err)}}
	}
	lines, err := m.RunCheck()
	if err != nil {
		return []Finding{{Fails, AboutRun, h.ID, fmt.Sprintf("the normal-operation check cannot be computed: %v", err)}}
	}
	var out []Finding
	for i, seen := range lines {
		f := Finding{Holds, AboutCheck, lineName(i), fmt.Sprintf("line %d holds: %s", i+1, h.Check[i].Text)}
		if off := differences(h, seen); off != "" {
			f.Grade, f.Text = Fails, fmt.Sprintf("line %d (%s) does not hold in the healthy harness: %s", i+1, h.Check[i].Text, off)
		} else if near := almost(h, seen); near != "" {
			f.Grade, f.Text = Advice, fmt.Sprintf("line %d (%s) holds, but only just: %s. What parts differ by would do that, so whoever sees it has not seen a fault: move the value, or the line", i+1, h.Check[i].Text, near)
		}
		out = append(out, f)
	}
	loads, err := measure(m)
	if err != nil {
		return append(out, Finding{Fails, AboutRun, h.ID, fmt.Sprintf("the loads cannot be computed: %v", err)})
	}
	return append(append(out, loads.fuses(h)...), loads.drops(h)...)
}

func lineName(i int) string { return fmt.Sprintf("line %d", i+1) }

// differences says what is not as a line expects, "" when all is.
func differences(h *harness.Harness, seen []harness.Seen) string {
	var out []string
	for _, s := range seen {
		if s.Ok() {
			continue
		}
		out = append(out, fmt.Sprintf("%s (%s): %s instead of %s", titleOf(h, s.Component), s.Component, s.Got, s.Want))
	}
	return strings.Join(out, ", ")
}

// almost says what is nearly otherwise than a line expects, "" when nothing is.
func almost(h *harness.Harness, seen []harness.Seen) string {
	var out []string
	for _, s := range seen {
		if len(s.Near) > 0 {
			out = append(out, fmt.Sprintf("%s (%s): %s, near to %s", titleOf(h, s.Component), s.Component, s.Got, strings.Join(s.Near, " or ")))
		}
	}
	return strings.Join(out, ", ")
}

func titleOf(h *harness.Harness, component string) string {
	for _, c := range h.Components {
		if c.ID == component {
			return c.Title
		}
	}
	return component
}

// peak is the largest magnitude of something over the lines of a check, and the line that has it.
type peak struct {
	value float64
	line  int
}

func (p *peak) see(x float64, line int) {
	if x = math.Abs(x); x > p.value {
		*p = peak{x, line}
	}
}

// loads holds the peaks of a healthy harness.
type loads struct {
	fuse         map[string]*peak // amperes by component
	wire         map[string]*peak // volts by wire
	cavity, ring map[string]*peak // volts by "X1.3", by "G1.31b"
	ground       map[string]*peak // volts by ground point
}

// measure goes through the lines of the check and looks at currents and drops in the steady state of each.
func measure(m *harness.Machine) (*loads, error) {
	h := m.Harness()
	l := &loads{fuse: map[string]*peak{}, wire: map[string]*peak{}, cavity: map[string]*peak{}, ring: map[string]*peak{}, ground: map[string]*peak{}}
	at := func(kind map[string]*peak, id string) *peak {
		if kind[id] == nil {
			kind[id] = &peak{}
		}
		return kind[id]
	}
	infos := h.Infos()
	for i, line := range h.Check {
		m.Rest()
		if err := m.MoveAll(h.Asked(line)); err != nil {
			return nil, err
		}
		if err := m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
			return nil, err
		}
		for _, w := range h.Wires {
			from, to := h.Ends(w)
			at(l.wire, w.ID).see(m.VoltsBetween(from, to), i)
		}
		for _, c := range h.Connectors {
			for _, cav := range c.Cavities {
				a, z := harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b")
				at(l.cavity, c.ID+"."+cav.Number).see(m.VoltsBetween(a, z), i)
			}
			if c.Mount == harness.Holder {
				at(l.fuse, c.Component).see(m.LimbAmps(harness.Limb("cavity "+c.ID+"."+c.Cavities[0].Number)), i)
			}
		}
		for _, info := range infos {
			switch info.Kind {
			case harness.GroundRing:
				at(l.ring, string(info.Point)).see(m.VoltsBetween(info.Point, harness.Point(info.Ground)), i)
			case harness.PostRing:
				at(l.ring, string(info.Point)).see(m.VoltsBetween(info.Point, harness.Point(info.Component+"."+info.Terminal)), i)
			case harness.GroundStud:
				at(l.ground, info.Ground).see(m.Volts(info.Point), i)
			}
		}
	}
	m.Rest()
	return l, nil
}

// fuses judges the load of each fuse.
func (l *loads) fuses(h *harness.Harness) []Finding {
	var out []Finding
	for _, c := range h.Connectors {
		p := l.fuse[c.Component]
		if c.Mount != harness.Holder || p == nil {
			continue
		}
		rating := specOf(h, c.Component).Values["rating"]
		if rating <= 0 {
			continue
		}
		share := p.value / rating
		f := Finding{Holds, AboutFuse, "fuse " + c.Component, fmt.Sprintf("fuse %s (%g A) carries %.1f A, %.0f %% of its rating, in line %d", c.Component, rating, p.value, 100*share, p.line+1)}
		switch {
		case p.value == 0:
			f.Grade, f.Text = Advice, fmt.Sprintf("no line of the check sends current through fuse %s", c.Component)
		case share > 1:
			f.Grade, f.Text = Fails, f.Text+": it will open"
		case share > fuseShare:
			f.Grade, f.Text = Advice, f.Text+fmt.Sprintf("; more than %.0f %% is too much for good", 100*fuseShare)
		}
		out = append(out, f)
	}
	return out
}

// drops judges what is lost in wires and joints; only what is too much is told, and one line when nothing is.
func (l *loads) drops(h *harness.Harness) []Finding {
	scale := h.Vehicle.Volts / 12
	var out []Finding
	tell := func(noun string, peaks map[string]*peak, most float64) {
		ids := make([]string, 0, len(peaks))
		for id := range peaks {
			ids = append(ids, id)
		}
		sort.Strings(ids)
		for _, id := range ids {
			if p := peaks[id]; p.value > most*scale {
				out = append(out, Finding{Advice, AboutDrop, noun + " " + id, fmt.Sprintf("%s %s loses %.3f V in line %d; at most %.2f V is taught", noun, id, p.value, p.line+1, most*scale)})
			}
		}
	}
	tell("wire", l.wire, wireDrop)
	tell("cavity", l.cavity, jointDrop)
	tell("ring", l.ring, jointDrop)
	tell("ground", l.ground, groundDrop)
	if len(out) == 0 {
		out = append(out, Finding{Holds, AboutDrop, h.ID, fmt.Sprintf("no wire loses more than %.2f V, no contact more than %.2f V, no ground point more than %.2f V", wireDrop*scale, jointDrop*scale, groundDrop*scale)})
	}
	return out
}

// ProveExercise tries by simulation whether every fault of an exercise shows in the normal-operation check of its harness, all
// together, and each by itself or, among several, by what it adds: one that shows nothing alone must make a difference to what the others
// show. Whether the healthy harness passes is for Prove to say.
func ProveExercise(ex *attempt.Exercise) []Finding {
	m, err := harness.NewMachine(ex.Harness)
	if err != nil {
		return []Finding{{Fails, AboutRun, ex.ID, fmt.Sprintf("the harness cannot be computed: %v", err)}}
	}
	var out []Finding
	for i := range ex.Faults {
		alone := proveFaults(m, ex.Faults[i:i+1])
		if alone.Grade == Fails && len(ex.Faults) > 1 {
			alone = proveAmong(m, ex.Faults, i)
		}
		out = append(out, alone)
	}
	if len(ex.Faults) > 1 {
		out = append(out, proveFaults(m, ex.Faults))
	}
	if len(ex.Faults) == 0 {
		out = append(out, Finding{Fails, AboutFault, ex.ID, "the exercise has no fault"})
	}
	return out
}

// proveAmong says what one fault, which does not show by itself, adds to what the others show.
func proveAmong(m *harness.Machine, faults []fault.Fault, i int) Finding {
	place := fault.NewBook(m.Harness()).Text(faults[i])
	all, err := Shows(m, faults...)
	if err != nil {
		return Finding{Fails, AboutFault, place, fmt.Sprintf("%s cannot be computed with the other faults: %v", place, err)}
	}
	rest, err := Shows(m, slices.Concat(faults[:i], faults[i+1:])...)
	if err != nil {
		return Finding{Fails, AboutFault, place, fmt.Sprintf("the other faults cannot be computed without %s: %v", place, err)}
	}
	if slices.Equal(all, rest) {
		return Finding{Fails, AboutFault, place, place + " shows in no line of the normal-operation check, neither by itself nor by what it adds to the other faults"}
	}
	without := "nothing would show"
	if len(rest) > 0 {
		without = "it would be " + strings.Join(rest, "; ")
	}
	return Finding{Holds, AboutFault, place, place + " shows with the other faults in " + strings.Join(all, "; ") + " (without it " + without + ")"}
}

// proveFaults puts faults in and says where they show.
func proveFaults(m *harness.Machine, faults []fault.Fault) Finding {
	var names []string
	book := fault.NewBook(m.Harness())
	for _, f := range faults {
		names = append(names, book.Text(f))
	}
	place := andList(names)
	shown, err := Shows(m, faults...)
	switch {
	case err != nil:
		return Finding{Fails, AboutFault, place, fmt.Sprintf("%s cannot be computed: %v", place, err)}
	case len(shown) == 0:
		return Finding{Fails, AboutFault, place, place + " does not show in any line of the normal-operation check"}
	}
	return Finding{Holds, AboutFault, place, place + " shows in " + strings.Join(shown, "; ")}
}

// Shows puts faults into a machine, runs the normal-operation check, and returns for each line that would not hold what
// would be noticed, as "line 3: Left work lamp (LL): off instead of lit"; nothing when all lines hold. The machine
// is left healthy.
func Shows(m *harness.Machine, faults ...fault.Fault) ([]string, error) {
	notices, err := Notices(m, faults...)
	if err != nil {
		return nil, err
	}
	h := m.Harness()
	seen := make([][]harness.Seen, len(h.Check))
	for _, n := range notices {
		seen[n.Line] = append(seen[n.Line], n.Seen)
	}
	var out []string
	for i := range seen {
		if len(seen[i]) > 0 {
			out = append(out, fmt.Sprintf("line %d: %s", i+1, differences(h, seen[i])))
		}
	}
	return out, nil
}

// specOf returns the specification of a component, an empty one if there is none.
func specOf(h *harness.Harness, id string) device.Spec {
	for _, c := range h.Components {
		if c.ID == id {
			return c.Spec
		}
	}
	return device.Spec{}
}
