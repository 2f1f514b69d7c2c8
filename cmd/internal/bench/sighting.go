package bench

import (
	"slices"
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// sighting is something wrong that was seen at a close look and not mended since.
type sighting struct {
	fault fault.Fault
	title string // as the log tells it
}

// sightings reads from the log what inspections showed, in the order in which it was first seen. A repair that mends what was seen takes it
// away, right or not as the finding may be; other repairs leave it. Fuses are not among it: the attempt itself tells what is known of them.
func (m *Model) sightings() []sighting {
	const looked, repaired, refused = "looked at ", "repair: ", "not done: "
	var out []sighting
	for _, e := range m.st.Log {
		switch {
		case strings.HasPrefix(e.Showed, refused):
		case strings.HasPrefix(e.Did, looked):
			told := "; " + e.Showed + "; "
			for _, f := range m.faults {
				if f.Visible && !strings.HasPrefix(f.Fault.Place, "fuse ") && strings.Contains(told, "; "+f.Title+"; ") && !slices.ContainsFunc(out, func(s sighting) bool { return s.title == f.Title }) {
					out = append(out, sighting{f.Fault, f.Title})
				}
			}
		case strings.HasPrefix(e.Did, repaired):
			for _, r := range m.repairs {
				if title := m.book.RepairTitle(r); e.Did == repaired+strings.ToLower(title[:1])+title[1:] {
					out = slices.DeleteFunc(out, func(s sighting) bool { return m.book.Mends(r, s.fault) })
				}
			}
		}
	}
	return out
}

// seenPoints says of points in a word or two what was seen there.
func (m *Model) seenPoints() map[harness.Point]string {
	out := map[harness.Point]string{}
	for _, s := range m.seen {
		points, word := seenAs(s.fault)
		for _, p := range points {
			switch _, ok := m.infos[p]; {
			case !ok:
			case out[p] == "":
				out[p] = word
			default:
				out[p] += ", " + word
			}
		}
	}
	return out
}

// seenAs returns the points at which a fault is seen, and as what; none for what is not at a point. Water, and what it leaves behind, is on both
// halves of a cavity (common practice, no source); a terminal sits in one.
func seenAs(f fault.Fault) (at []harness.Point, word string) {
	word, name, _ := strings.Cut(f.Place, " ")
	half := func(cavity, half string) harness.Point {
		if strings.Count(cavity, ".") == 2 {
			return harness.Point(cavity)
		}
		return harness.Point(cavity + "." + half)
	}
	switch word {
	case "cavity":
		own := half(name, "a")
		switch f.Kind {
		case fault.BackedOut:
			return []harness.Point{own}, "backed out"
		case fault.Spread:
			return []harness.Point{own}, "spread"
		case fault.Shaky, fault.HighShaken:
			return []harness.Point{own}, "loose"
		case fault.Crossed:
			return []harness.Point{own, half(f.Other, "a")}, "crossed"
		case fault.Corroded:
			return []harness.Point{own, half(name, "b")}, "corroded"
		case fault.Leakage:
			return []harness.Point{own, half(name, "b"), half(f.Other, "a"), half(f.Other, "b")}, "wet"
		}
	case "crimp":
		return []harness.Point{harness.Point(name)}, "wire out"
	case "ring":
		word = "corroded"
		switch f.Kind {
		case fault.Open:
			word = "off its stud"
		case fault.Shaky, fault.HighShaken:
			word = "loose"
		}
		return []harness.Point{harness.Point(name)}, word
	case "ground":
		return []harness.Point{harness.Point(name)}, map[bool]string{true: "no contact", false: "corroded"}[f.Kind == fault.Open]
	case "splice":
		splice, _, _ := strings.Cut(name, " ")
		return []harness.Point{harness.Point(splice)}, map[bool]string{true: "broken", false: "bad joint"}[f.Kind == fault.Open]
	}
	return nil, ""
}

// seenHere are the titles of what was seen of a thing and what belongs to it.
func (m *Model) seenHere(o object) []string {
	own := m.related(o)
	var out []string
	for _, s := range m.seen {
		if slices.Contains(own, m.owner(s.fault.Place)) {
			out = append(out, s.title)
		}
	}
	return out
}
