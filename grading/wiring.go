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
	book  *fault.Book
	limbs map[harness.Limb]harness.Limb // each to the one that names its branch
	runs  harness.Runs
}

func newWiring(h *harness.Harness, book *fault.Book) *wiring {
	w := &wiring{book: book, limbs: map[harness.Limb]harness.Limb{}, runs: h.Unbranched()}
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

// bound is up to when faults do the same to the circuit that add resistance somewhere in one unbranched run: until somebody puts a lead inside
// of the run, and if they come and go, until somebody wiggles, warms or cools some place.
type bound struct {
	run    int // -1 for none
	fickle bool
}

// run names what a fault does to all but the points inside an unbranched run, and up to when that is all that counts; "" if it does more than
// add resistance to one.
func (w *wiring) run(f fault.Fault) (does string, up bound) {
	list, err := w.book.Alterations(f)
	if err != nil || len(list) != 1 {
		return "", up
	}
	series, ok := list[0].(harness.SeriesOhms)
	if !ok {
		return "", up
	}
	run, ok := w.runs.Of[series.Where]
	if !ok {
		return "", up
	}
	return fmt.Sprintf("run %d %v when %d", run, series.Ohms, series.When), bound{run, series.When != harness.Always}
}

// inside returns the run inside of which a point lies, -1 for none.
func (w *wiring) inside(p harness.Point) int {
	if k, ok := w.runs.Inside[p]; ok {
		return k
	}
	return -1
}
