package grading

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// wiring knows what lies in one branch, so that faults can be told that nothing electrical could ever tell apart: the copper of a
// wire, its crimps and its splice legs have no point between them.
type wiring struct {
	book   *fault.Book
	limbs  map[harness.Limb]harness.Limb // each to the one that names its branch
	runs   harness.Runs
	chains harness.Runs
}

func newWiring(h *harness.Harness, book *fault.Book) *wiring {
	w := &wiring{book: book, limbs: map[harness.Limb]harness.Limb{}, runs: h.Unbranched(), chains: h.Chains()}
	var wire harness.Limb
	for _, limb := range h.Limbs() {
		switch word, _, _ := strings.Cut(string(limb), " "); word {
		case "wire":
			wire = limb
		case "crimp", "splice":
			w.limbs[limb] = wire
			continue
		}
		w.limbs[limb] = limb
	}
	return w
}

// does names what faults do to the circuit, the same for faults that nothing electrical can tell apart.
func (w *wiring) does(faults ...fault.Fault) (string, error) {
	var parts []string
	for _, f := range faults {
		list, err := w.book.Alterations(f)
		if err != nil {
			return "", err
		}
		for _, a := range list {
			switch a := a.(type) {
			case harness.SeriesOhms:
				does := fmt.Sprintf("%s %v", w.limbs[a.Where], a.Ohms)
				if a.When != harness.Always { // then it counts too what is shaken, warmed or cooled
					does += fmt.Sprintf(" when %d at %s %s", a.When, a.Where, a.Inside)
				}
				parts = append(parts, does)
			case harness.Bridge:
				if a.B < a.A {
					a.A, a.B = a.B, a.A
				}
				does := fmt.Sprintf("%s=%s %v", a.A, a.B, a.Ohms)
				if a.When != harness.Always {
					does += fmt.Sprintf(" when %d at %s %s", a.When, min(a.Where, a.Beside), max(a.Where, a.Beside))
				}
				parts = append(parts, does)
			default:
				parts = append(parts, fmt.Sprintf("%T%v", a, a))
			}
		}
	}
	slices.Sort(parts)
	return strings.Join(parts, "|"), nil
}

// bound is up to when faults do the same to the circuit that add resistance somewhere in one run or chain: until somebody puts a lead inside
// of it, and if they come and go, until somebody wiggles, warms or cools some place; or that come and go: until something may have made any
// of them come.
type bound struct {
	stretch stretch
	fickle  bool
	dormant bool
}

// stretch is an unbranched run or a chain of a harness, by its number.
type stretch struct {
	chain bool
	n     int
}

// forever is the bound of what is the same whatever is done.
var forever = bound{stretch: noStretch}

var noStretch = stretch{n: -1}

// way is a name for what a fault does to all but the points inside of a stretch, and up to when that is all that counts.
type way struct {
	does  string
	until bound
}

// ways names what a fault does that comes and goes, or that does no more than add resistance to a stretch: what holds for the most faults
// first; nothing for others.
func (w *wiring) ways(f fault.Fault) []way {
	list, err := w.book.Alterations(f)
	if err != nil || len(list) == 0 {
		return nil
	}
	var out []way
	if !slices.ContainsFunc(list, func(a harness.Alteration) bool { return harness.When(a) == harness.Always }) {
		out = append(out, way{"nothing yet", bound{stretch: noStretch, dormant: true}})
	}
	series, ok := list[0].(harness.SeriesOhms)
	if !ok || len(list) > 1 {
		return out
	}
	fickle := series.When != harness.Always
	if k, ok := w.chains.Of[series.Where]; ok && !fickle { // what comes and goes with heat goes by that of its own place
		out = append(out, way{fmt.Sprintf("chain %d %v", k, series.Ohms), bound{stretch: stretch{true, k}}})
	}
	if k, ok := w.runs.Of[series.Where]; ok {
		out = append(out, way{fmt.Sprintf("run %d %v when %d", k, series.Ohms, series.When), bound{stretch: stretch{false, k}, fickle: fickle}})
	}
	return out
}

// inside returns the stretches inside of which a point lies.
func (w *wiring) inside(p harness.Point) []stretch {
	var out []stretch
	if k, ok := w.runs.Inside[p]; ok {
		out = append(out, stretch{false, k})
	}
	if k, ok := w.chains.Inside[p]; ok {
		out = append(out, stretch{true, k})
	}
	return out
}
