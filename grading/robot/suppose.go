package robot

import (
	"fmt"
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// outcome is what the check showed: by line and component, what was noticed beside what should be.
type outcome map[[2]string]string

// outcomeOf is the outcome of a check, from its troubles.
func (h *hand) outcomeOf(all []trouble) outcome {
	out := outcome{}
	for _, t := range all {
		out[key(t.line, t.component)] = t.got
	}
	return out
}

func key(line int, component string) [2]string { return [2]string{string(rune('A' + line)), component} }

// shows reports whether a fault would show in the whole check as it was seen: a technician who knows the circuit can tell what a
// trouble would do. Only what works and what does not counts, not how brightly.
func (h *hand) shows(f fault.Fault, seen outcome) bool {
	alts, err := h.book.Alterations(f)
	if err != nil {
		return false
	}
	defer func() { h.err = first(h.err, h.good.Alter(nil)) }()
	if err := h.good.Alter(alts); err != nil {
		return false
	}
	// The first line that failed rules most out by itself, where it does not matter what came before.
	for i := range h.h.Check {
		if !seen.fails(i) {
			continue
		}
		if h.repeated(i) {
			break
		}
		if _, line, err := h.good.CheckPasses(i); err != nil || !seen.like(i, line) {
			return false
		}
		break
	}
	lines, err := h.good.RunCheck()
	if err != nil {
		return false
	}
	for i, line := range lines {
		if !seen.like(i, line) {
			return false
		}
	}
	return true
}

// repeated reports whether another line of the check has the controls as line i has them: then what came before it makes the difference.
func (h *hand) repeated(i int) bool {
	for k := range h.h.Check {
		if k != i && slices.Equal(h.stanceOf(k), h.stanceOf(i)) {
			return true
		}
	}
	return false
}

// fails reports whether anything was wrong in a line.
func (o outcome) fails(line int) bool {
	for k := range o {
		if k[0] == key(line, "")[0] {
			return true
		}
	}
	return false
}

// like reports whether a line would be noticed as it was.
func (o outcome) like(i int, line []harness.Seen) bool {
	for _, s := range line {
		want := s.Want
		if got, off := o[key(i, s.Component)]; off {
			want = got
		}
		if s.Got != want {
			return false
		}
	}
	return true
}

func first(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// supposed is a trouble that a technician thinks of, with how likely it is.
type supposed struct {
	fault  fault.Fault   // with a severity at which it would show as seen, if there is one
	ends   []fault.Fault // the same with the least and the greatest such severity, where they are others
	likely float64
	fits   bool // it would show as seen
	entry  fault.Entry
}

// suppose goes through the whole catalogue for what would show in the check as seen. What was found out once is remembered.
func (h *hand) suppose(seen outcome) []supposed {
	name := fmt.Sprint(seen)
	if all, ok := h.thought[name]; ok {
		return all
	}
	var all []supposed
	for _, e := range h.book.Catalogue() {
		s := supposed{fault: e.Fault, likely: e.Likelihood, entry: e}
		for _, severity := range severities(e) {
			f := e.Fault
			f.Severity = severity
			if !h.shows(f, seen) {
				continue
			}
			if !s.fits {
				s.fault, s.fits = f, true
				s.ends = []fault.Fault{f, f}
			}
			if f.Severity < s.ends[0].Severity {
				s.ends[0] = f
			}
			if f.Severity > s.ends[1].Severity {
				s.ends[1] = f
			}
		}
		s.ends = slices.DeleteFunc(s.ends, func(f fault.Fault) bool { return f.Severity == s.fault.Severity })
		all = append(all, s)
	}
	h.thought[name] = all
	return all
}

// each is the fault at the severities that are thought through: how bad it is nobody knows.
func (s supposed) each() []fault.Fault { return append([]fault.Fault{s.fault}, s.ends...) }

// severities are the ones that a technician thinks of: the usual, and from a little to a lot.
func severities(e fault.Entry) []float64 {
	if e.Low >= e.High || !(e.Low > 0) {
		return []float64{e.Fault.Severity}
	}
	out := []float64{e.Fault.Severity}
	const steps = 8
	for i := 0; i <= steps; i++ {
		out = append(out, e.Low*math.Pow(e.High/e.Low, float64(i)/steps))
	}
	return out
}

// choose takes of some suspects those that fit, if any do, and of what mends them the repair that mends most; the finding is the likeliest
// of what it mends. ok is false for no suspects.
func (h *hand) choose(all []supposed) (f fault.Fault, r fault.Repair, ok bool) {
	if fit := slices.DeleteFunc(slices.Clone(all), func(s supposed) bool { return !s.fits }); len(fit) > 0 {
		all = fit
	}
	best := 0.0
	for _, rep := range h.book.Repairs() {
		if h.tried[rep.String()] {
			continue
		}
		sum := 0.0
		for _, s := range all {
			if h.book.Mends(rep, s.fault) {
				sum += s.likely
				if s.entry.Repair == rep {
					sum += s.likely * usualShare
				}
			}
		}
		if sum > best {
			best, r, ok = sum, rep, true
		}
	}
	most := -1.0
	for _, s := range all {
		likely := s.likely
		if s.entry.Repair == r {
			likely += usual
		}
		if h.book.Mends(r, s.fault) && likely > most {
			f, most = s.fault, likely
		}
	}
	return f, r, ok
}

// Of repairs that mend the same the usual one is taken; a finding is named by it too.
const usualShare, usual = 0.01, 1e6

// effect is what would be noticed of a component with a fault in, the controls moved so and a connector apart ("" for none), and which relays
// would then be in.
func (h *hand) effect(f fault.Fault, way []stance, apart, component string) (word string, in map[string]bool, err error) {
	in = map[string]bool{}
	err = h.imagine(f, way, apart, func() {
		word = h.good.EffectOf(component).Word
		for _, c := range h.h.Components {
			if r, ok := h.good.Device(c.ID).(*device.Relay); ok && r.PulledIn() {
				in[c.ID] = true
			}
		}
	})
	return word, in, err
}

// wayTo lists the stances by which the controls are brought into a line of the check: its own; before it that of the line before where another
// line has the same one, for without it it would not be the same; and before one in which the vehicle has stood the one that charges
// the battery, where there is one.
func (h *hand) wayTo(line int) []stance {
	way := []stance{h.stanceOf(line)}
	if line > 0 && h.repeated(line) {
		way = []stance{h.stanceOf(line - 1), way[0]}
	}
	for k, c := range h.h.Controls {
		if s, stands := c.StandFor(way[0][k]); !stands || s.Charged {
			continue
		}
		for _, s := range c.Stands {
			if s.Charged {
				charging := h.rest()
				charging[k] = s.Position
				return append([]stance{charging}, way...)
			}
		}
	}
	return way
}

// melts reports whether a fault would have melted the fuse of one of some holders in the check.
func (h *hand) melts(f fault.Fault, holders ...string) (melted bool, err error) {
	var way []stance
	for line := range h.h.Check {
		way = append(way, h.stanceOf(line))
	}
	err = h.imagine(f, way, "", func() {
		for _, holder := range holders {
			fuse := h.good.Fuse(holder)
			melted = melted || fuse != nil && fuse.Blown()
		}
	})
	return melted, err
}

// imagine thinks of the vehicle with a fault in, the controls moved so, one stance after the other, and a connector apart, and calls look
// then.
func (h *hand) imagine(f fault.Fault, way []stance, apart string, look func()) error {
	alts, err := h.book.Alterations(f)
	if err != nil {
		return err
	}
	was := h.good.Snapshot()
	defer func() {
		h.err = first(h.err, h.good.Alter(nil))
		h.err = first(h.err, h.good.Restore(was))
	}()
	if err := h.good.Alter(alts); err != nil {
		return err
	}
	if apart != "" {
		if err := h.good.Unplug(apart); err != nil {
			return err
		}
	}
	h.good.Rest()
	for _, s := range way {
		if err := h.good.MoveAll(s); err != nil {
			return err
		}
		if err := h.good.Dwell(harness.CheckSeconds); err != nil {
			return err
		}
	}
	look()
	return nil
}
