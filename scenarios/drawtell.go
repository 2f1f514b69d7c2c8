package scenarios

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// Notice is something that a line of the normal-operation check shows otherwise than it should be.
type Notice struct {
	Line int // counted from 0
	harness.Seen
}

// Notices puts faults into a machine, runs the normal-operation check and returns all that would be noticed amiss, in order. The machine
// is left healthy.
func Notices(m *harness.Machine, faults ...fault.Fault) ([]Notice, error) {
	var all []harness.Alteration
	for _, f := range faults {
		a, err := f.Alterations(m.Harness())
		if err != nil {
			return nil, err
		}
		all = append(all, a...)
	}
	if err := m.Alter(all); err != nil {
		return nil, err
	}
	lines, err := m.RunCheck()
	if back := m.Alter(nil); err == nil {
		err = back
	}
	if err != nil {
		return nil, err
	}
	var out []Notice
	for i, line := range lines {
		for _, s := range line {
			if !s.Ok() {
				out = append(out, Notice{i, s})
			}
		}
	}
	return out, nil
}

// mostSentences bounds a complaint: nobody tells more at the counter.
const mostSentences = 4

// Complaint tells what a customer would say who noticed all that: what is seen or heard with which controls how, and nothing of where
// it comes from.
func Complaint(h *harness.Harness, notices []Notice) string {
	type sentence struct {
		line  int
		seen  []harness.Seen
		parts []string
	}
	var all []sentence
	told := map[[2]string]bool{}
	amiss := map[string]bool{}
	for _, n := range notices {
		amiss[n.Component] = true
		if told[[2]string{n.Component, n.Got}] {
			continue
		}
		told[[2]string{n.Component, n.Got}] = true
		if k := len(all) - 1; k < 0 || all[k].line != n.Line {
			all = append(all, sentence{line: n.Line})
		}
		k := len(all) - 1
		all[k].seen = append(all[k].seen, n.Seen)
	}
	more := len(all) > mostSentences
	all = all[:min(len(all), mostSentences)]
	var out []string
	for _, s := range all {
		for len(s.seen) > 0 { // those that do the same are told together
			first := s.seen[0]
			var subjects []string
			s.seen = slices.DeleteFunc(s.seen, func(x harness.Seen) bool {
				same := x.Got == first.Got && idle(h, x) == idle(h, first)
				if same {
					subjects = append(subjects, "the "+lowerCase(titleOf(h, x.Component)))
				}
				return same
			})
			s.parts = append(s.parts, andList(subjects)+" "+behaves(first, len(subjects) > 1, idle(h, first)))
		}
		out = append(out, when(h, h.Check[s.line])+" "+andList(s.parts)+".")
	}
	expected := map[string]bool{}
	for _, l := range h.Check {
		for _, e := range l.Expect {
			expected[e.Component] = true
		}
	}
	switch {
	case more:
		out = append(out, "And there is more of the kind.")
	case len(amiss) < len(expected):
		out = append(out, "The rest does what it should.")
	}
	return strings.Join(out, " ")
}

// when says how the controls stand in a line.
func when(h *harness.Harness, line harness.CheckLine) string {
	var with []string
	for _, s := range line.Set {
		title := s.Control
		if i := slices.IndexFunc(h.Controls, func(c harness.Control) bool { return c.ID == s.Control }); i >= 0 {
			title = h.Controls[i].Title
		}
		with = append(with, "the "+lowerCase(title)+" "+s.Position)
	}
	if len(with) == 0 {
		return "With everything at rest"
	}
	return "With " + andList(with)
}

// idle reports whether a component should do nothing.
func idle(h *harness.Harness, s harness.Seen) bool {
	kind, known := device.Lookup(specOf(h, s.Component).Kind)
	return known && len(kind.Words) > 0 && s.Want == kind.Words[0]
}

// behaves puts the word of an effect into a sentence, for one or for many, and says so where there should be none.
func behaves(s harness.Seen, many, idle bool) string {
	one, all := behaving(s.Got)
	if one == "" {
		one = fmt.Sprintf("is %q instead of %q", s.Got, s.Want)
		all = fmt.Sprintf("are %q instead of %q", s.Got, s.Want)
	}
	text, should := one, " though it should not"
	if many {
		text, should = all, " though they should not"
	}
	if !idle {
		return text
	}
	return text + should
}

// behaving tells what a word of an effect is like in a sentence, about one thing and about many; "" for one that has no phrase of its
// own.
func behaving(word string) (one, many string) {
	switch word {
	case "off":
		return "stays dark", "stay dark"
	case "faint":
		return "only glimmers", "only glimmer"
	case "dim":
		return "is dim", "are dim"
	case "lit":
		return "is lit", "are lit"
	case "over-bright":
		return "is far too bright", "are far too bright"
	case "silent":
		return "stays silent", "stay silent"
	case "weak":
		return "sounds weak", "sound weak"
	case "sounds":
		return "sounds", "sound"
	case "still":
		return "stands still", "stand still"
	case "slow":
		return "turns slowly", "turn slowly"
	case "runs":
		return "runs", "run"
	case "races":
		return "races", "race"
	case "slow-back":
		return "turns slowly the wrong way round", "turn slowly the wrong way round"
	case "runs-back":
		return "runs the wrong way round", "run the wrong way round"
	case "races-back":
		return "races the wrong way round", "race the wrong way round"
	case "parked":
		return "stays in its rest position", "stay in their rest position"
	case "stopped":
		return "stands where it should not", "stand where they should not"
	case "wipes":
		return "wipes", "wipe"
	case "fast":
		return "wipes fast", "wipe fast"
	case "ticks":
		return "ticks", "tick"
	case "ticks-fast":
		return "ticks too fast", "tick too fast"
	case "misses-some":
		return "does not hear everything", "do not hear everything"
	case "talks":
		return "talks", "talk"
	case "cold":
		return "stays cold", "stay cold"
	case "warm":
		return "gets no more than warm", "get no more than warm"
	case "hot":
		return "gets hot", "get hot"
	case "released":
		return "does not move", "do not move"
	case "pulled-in":
		return "pulls", "pull"
	}
	return "", ""
}

// lowerCase makes a title part of a sentence, but for one that begins with an abbreviation.
func lowerCase(s string) string {
	r := []rune(s)
	if len(r) > 1 && unicode.IsUpper(r[0]) && unicode.IsLower(r[1]) {
		r[0] = unicode.ToLower(r[0])
	}
	return string(r)
}
