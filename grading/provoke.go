package grading

import (
	"cmp"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

const (
	// provokeShare is the share of what is suspected that must come and go before places are wiggled, warmed or cooled for it.
	provokeShare = 0.05
	// mostHands bounds the places thought of, those with most weight first, and mostLit the lines of the check in which they are tried.
	mostHands, mostLit = 12, 2
	// handSeconds is how long the vehicle is watched while a place is wiggled, in seconds, as package attempt has it.
	handSeconds = 2
)

// handle does to a place what a stance asks for, and lets go of what was wiggled before.
func (l *lab) handle(act attempt.Action) error {
	switch act := act.(type) {
	case attempt.Wiggle:
		return l.m.Wiggle(act.Place)
	case attempt.Warm:
		return l.m.Warm(act.Place)
	case attempt.Cool:
		return l.m.Cool(act.Place)
	}
	return l.m.Wiggle("")
}

// handOf returns the action of a record if it wiggles, warms or cools a place, else nil.
func handOf(rec attempt.Record) attempt.Action {
	switch rec.Action.(type) {
	case attempt.Wiggle, attempt.Warm, attempt.Cool:
		if rec.Observation.Refused == "" {
			return rec.Action
		}
	}
	return nil
}

// handWords says what is done to a place.
func handWords(act attempt.Action) string {
	switch act := act.(type) {
	case attempt.Wiggle:
		return "wiggle " + act.Place
	case attempt.Warm:
		return "warm " + act.Place
	case attempt.Cool:
		return "cool " + act.Place
	}
	return ""
}

// provocations tries to wiggle, warm and cool the places of what comes and goes, with as much as possible switched on.
func (s *search) provocations() error {
	hands, err := s.hands()
	if err != nil || len(hands) == 0 {
		return err
	}
	for _, positions := range s.lit() {
		for _, hand := range hands {
			to := s.from.clone()
			to.positions, to.hand = positions, hand
			clear(to.parted)
			if _, err := s.electric(to); err != nil {
				return err
			}
		}
	}
	return nil
}

// hands lists what may be done where, for suspects that come and go.
func (s *search) hands() ([]attempt.Action, error) {
	var out []attempt.Action
	weights := map[attempt.Action]float64{}
	all, fickle := 0.0, 0.0
	add := func(act attempt.Action, weight float64) {
		if weights[act] == 0 {
			out = append(out, act)
		}
		weights[act] += weight
	}
	for _, sus := range s.suspects {
		all += sus.weight
		list, err := s.p.lab.book.Alterations(sus.fault)
		if err != nil {
			return nil, err
		}
		for _, a := range list {
			when := harness.When(a)
			if when == harness.Always {
				continue
			}
			fickle += sus.weight
			whole, part := s.seat(a)
			switch when {
			case harness.Shaken:
				if whole != "" {
					add(attempt.Wiggle{Place: whole}, sus.weight)
				}
				if part != "" {
					add(attempt.Wiggle{Place: part}, sus.weight)
				}
			case harness.Hot:
				if whole != "" {
					add(attempt.Warm{Place: whole}, sus.weight)
				}
			case harness.Cold:
				if whole != "" {
					add(attempt.Cool{Place: whole}, sus.weight)
				}
			}
		}
	}
	if fickle < provokeShare*all {
		return nil, nil
	}
	slices.SortStableFunc(out, func(a, b attempt.Action) int { return cmp.Compare(weights[b], weights[a]) })
	return out[:min(len(out), mostHands)], nil
}

// seat returns the thing at which what comes and goes is fixed, and the part of it that can be wiggled alone; "" for what is
// not in reach.
func (s *search) seat(a harness.Alteration) (whole, part string) {
	var where harness.Limb
	switch a := a.(type) {
	case harness.SeriesOhms:
		if where = a.Where; a.Inside != "" {
			return a.Inside, ""
		}
	case harness.Bridge:
		where = a.Where
	}
	h := s.p.ex.Harness
	word, name, _ := strings.Cut(string(where), " ")
	switch word {
	case "wire":
		return "", string(where)
	case "splice":
		name, _, _ = strings.Cut(name, " ")
		k := slices.IndexFunc(h.Splices, func(sp harness.Splice) bool { return sp.ID == name })
		if k < 0 || !s.from.opened[k] {
			return "", ""
		}
		return name, ""
	}
	owner, _, _ := strings.Cut(name, ".")
	if slices.ContainsFunc(h.Connectors, func(c harness.Connector) bool { return c.ID == owner }) {
		part = strings.TrimSuffix(strings.TrimSuffix(name, ".a"), ".b")
		return owner, part
	}
	return owner, name
}

// lit lists the positions of the controls in the lines of the check in which most is at work while nothing shakes and nothing is hot.
func (s *search) lit() [][]string {
	h := s.p.ex.Harness
	type line struct {
		positions []string
		works     int
	}
	var lines []line
	for i, l := range h.Check {
		at := line{positions: s.p.lab.lineStance(i).positions}
		if slices.ContainsFunc(h.Controls, func(c harness.Control) bool {
			p := at.positions[slices.IndexFunc(h.Controls, func(o harness.Control) bool { return o.ID == c.ID })]
			return slices.Contains(c.Shakes, p) || slices.Contains(c.Hot, p)
		}) {
			continue
		}
		for _, e := range l.Expect {
			if !s.idle(e) {
				at.works++
			}
		}
		lines = append(lines, at)
	}
	slices.SortStableFunc(lines, func(a, b line) int { return b.works - a.works })
	var out [][]string
	for _, l := range lines[:min(len(lines), mostLit)] {
		out = append(out, l.positions)
	}
	return out
}

// idle reports whether a component is expected to do nothing.
func (s *search) idle(e harness.Expect) bool {
	for _, c := range s.p.ex.Harness.Components {
		if c.ID == e.Component {
			k, ok := device.Lookup(c.Spec.Kind)
			return ok && len(k.Words) > 0 && k.Words[0] == e.Word
		}
	}
	return true
}
