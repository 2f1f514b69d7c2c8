package grading

import (
	"fmt"

	"faultloom/sim/attempt"
)

// SetPar puts par beside the report of an attempt: its curve, and a comparison in words. ex and records are those that the
// report was made of.
func (r *Report) SetPar(ex attempt.Exercise, records []attempt.Record, par Par) {
	r.Par, r.Beside = par.Curve, Beside(ex, records, par)
}

// Beside compares an attempt with par, in sentences.
func Beside(ex attempt.Exercise, records []attempt.Record, par Par) []string {
	own, best := effortOf(&ex, records), effortOf(&ex, par.Records)
	out := []string{fmt.Sprintf("By the best next test each time this job takes %s bench minutes: %s for the check, %s to find the cause with %s, %s to repair it, %s for the check again.",
		tenth(par.Minutes), tenth(par.Check), tenth(par.Isolate), count(best.readings, "reading or look", "readings and looks"), tenth(par.Repair), tenth(par.Retest))}
	switch {
	case own.readings == 0 && own.repaired:
		out = append(out, "You took no reading and looked at nothing before the first repair: that is quicker than par, and proves nothing.")
	case own.repaired:
		out = append(out, fmt.Sprintf("You took %s bench minutes in all, %s; to find the cause %s with %s, %s.",
			tenth(own.minutes), than(own.minutes, par.Minutes), tenth(own.isolate), count(own.readings, "reading or look", "readings and looks"), than(own.isolate, best.isolate)))
	default:
		out = append(out, fmt.Sprintf("You repaired nothing in %s bench minutes, with %s.", tenth(own.minutes), count(own.readings, "reading or look", "readings and looks")))
	}
	switch f := par.Floor; {
	case f.Bits == 0:
		out = append(out, "What the check shows is enough to know the repair; tests can only say more exactly what is wrong.")
	case f.Outcomes > 1:
		out = append(out, fmt.Sprintf("After the check %s bits are missing to know the repair, and one test can show %d different things at most: whatever is wrong, nobody can do with fewer than %s tests on average. Par takes %s this time.",
			tenth(f.Bits), f.Outcomes, tenth(f.Tests), count(par.Tests, "test", "tests")))
	}
	if par.Alike {
		out = append(out, "Here no test tells apart all that could be wrong, not even for par; whoever gets that far has proved what can be proved.")
	}
	return out
}

// effort is what finding the cause took, up to the first repair.
type effort struct {
	minutes  float64 // of the whole job
	isolate  float64 // from the first thing touched
	readings int     // new readings, and looks at places
	repaired bool
}

func effortOf(ex *attempt.Exercise, records []attempt.Record) effort {
	w := newWalk(ex, records)
	e := effort{minutes: round(w.minutes()), repaired: w.firstRepair < len(records)}
	if e.repaired && w.firstTouch < w.firstRepair {
		e.isolate = float64(records[w.firstRepair].Ticks-records[w.firstTouch].Ticks) * attempt.Tick / wholeMinutes
	}
	for _, i := range w.tests {
		if _, parting := records[i].Action.(attempt.Unplug); i < w.firstRepair && !parting {
			e.readings++
		}
	}
	return e
}

// than says how minutes compare with those of par.
func than(own, par float64) string {
	switch d := round(own) - round(par); {
	case d >= 0.05:
		return tenth(d) + " more than par"
	case d <= -0.05:
		return tenth(-d) + " less than par"
	}
	return "as par"
}

// tenth writes a figure with one decimal.
func tenth(x float64) string { return fmt.Sprintf("%.1f", x) }
