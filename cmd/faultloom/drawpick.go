package main

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// drawing is a set of exercises being made.
type drawing struct {
	harness *harness.Harness
	file    string // of the harness, seen from the set's folder
	seed    uint64
	tag     string
	mode    attempt.Mode
	kinds   []fault.Kind
	band    band
	drawn   []drawnExercise
}

// drawnExercise is one of them, with what the instructor is told.
type drawnExercise struct {
	attempt.Exercise
	entry   fault.Entry
	notices []scenarios.Notice
	par     grading.Par
}

const (
	// triesEach is how many faults are tried for each exercise wanted, and triesLeast in any case, before the set is given up: each
	// takes seconds.
	triesEach, triesLeast = 12, 48
	// timeShare is by how much the suggested minutes of a set exceed the longest par in it, and timeStep what they are
	// rounded up to: common practice, no source.
	timeShare, timeStep = 2.0, 5.0
)

// pick fills the set. progress is told what goes on.
func (d *drawing) pick(want int, progress io.Writer) error {
	order, err := scenarios.Shuffled(d.harness, d.seed, d.kinds...)
	if err != nil {
		return fmt.Errorf("--kinds: %w", err)
	}
	m, err := harness.NewMachine(d.harness)
	if err != nil {
		return err
	}
	tries := max(triesEach*want, triesLeast)
	var all []drawnExercise // that would do but for the band
	hidden, open, tried := 0, 0, 0
	for len(order) > 0 && len(d.drawn) < want && tried < tries {
		var batch []drawnExercise
		for len(order) > 0 && len(batch) < runtime.GOMAXPROCS(0) {
			e := order[0]
			order = order[1:]
			if d.taken(e) {
				continue
			}
			notices, err := scenarios.Notices(m, e.Fault)
			if err != nil || len(notices) == 0 {
				hidden++
				continue
			}
			batch = append(batch, drawnExercise{Exercise: d.exercise(e.Fault), entry: e, notices: notices})
		}
		errs := solveAll(batch)
		for i, x := range batch {
			if tried++; errs[i] != nil || !x.par.Proved {
				open++
				continue
			}
			all = append(all, x)
			if len(d.drawn) < want && d.band.holds(x.par.Isolate) && !d.taken(x.entry) {
				d.drawn = append(d.drawn, x)
				fmt.Fprintf(progress, "%d of %d, %s tried\n", len(d.drawn), want, count(tried, "fault"))
			}
		}
	}
	if len(d.drawn) < want {
		return d.short(want, all, tried, hidden, open, len(order) == 0)
	}
	d.finish()
	return nil
}

// solveAll works out par of each, as many at once as there are processors.
func solveAll(batch []drawnExercise) []error {
	errs := make([]error, len(batch))
	var group sync.WaitGroup
	for i := range batch {
		group.Add(1)
		go func() {
			defer group.Done()
			batch[i].par, errs[i] = grading.QuickPar(batch[i].Exercise)
		}()
	}
	group.Wait()
	return errs
}

// taken reports whether an exercise with the same repair is in the set already.
func (d *drawing) taken(e fault.Entry) bool {
	return slices.ContainsFunc(d.drawn, func(x drawnExercise) bool { return x.entry.Repair == e.Repair })
}

// exercise is the exercise of a fault, as far as it does not depend on the others of the set. Its meter's calibration is drawn from the
// set's seed and the fault, which cannot be read off it.
func (d *drawing) exercise(f fault.Fault) attempt.Exercise {
	sum := sha256.Sum256(fmt.Appendf(nil, "calibration %d %s %s", d.seed, d.harness.ID, f))
	ex := equipped(attempt.Exercise{
		ID: d.tag, Harness: d.harness, Faults: []fault.Fault{f}, Mode: d.mode, Weights: scenarios.DefaultWeights(),
		Seed: binary.LittleEndian.Uint64(sum[:]) >> 11, Sealed: true,
	})
	return ex
}

// finish gives the exercises their numbers and the minutes that all of them suggest, so that these tell nothing.
func (d *drawing) finish() {
	longest := 0.0
	for _, x := range d.drawn {
		longest = max(longest, x.par.Minutes)
	}
	minutes := timeStep * math.Ceil(timeShare*longest/timeStep)
	for i := range d.drawn {
		x := &d.drawn[i]
		x.ID = fmt.Sprintf("%s-%02d", d.tag, i+1)
		x.Title = strings.TrimSpace(fmt.Sprintf("%s job %s%d", d.harness.Vehicle.Fleet, strings.ToUpper(d.tag)+"-", i+1))
		x.Complaint = scenarios.Complaint(d.harness, x.notices)
		x.Minutes = minutes
	}
}

// short says that there are too few faults in the band, and which band would do.
func (d *drawing) short(want int, all []drawnExercise, tried, hidden, open int, every bool) error {
	scope := fmt.Sprintf("the first %s tried", count(tried, "fault"))
	if every {
		scope = fmt.Sprintf("all %s that show in the check", count(tried, "fault"))
	}
	text := fmt.Sprintf("%s: of %s only %d can make an exercise of their own with par for finding the cause in the band %v, and %d are wanted", d.harness.ID, scope, len(d.drawn), d.band, want)
	if open > 0 {
		text += fmt.Sprintf("; %d cannot be isolated", open)
	}
	if hidden > 0 {
		text += fmt.Sprintf("; %d more do not show in the check", hidden)
	}
	var minutes []float64 // one for each repair
	var repairs []fault.Repair
	for _, x := range all {
		if !slices.Contains(repairs, x.entry.Repair) {
			repairs, minutes = append(repairs, x.entry.Repair), append(minutes, x.par.Isolate)
		}
	}
	slices.Sort(minutes)
	if len(minutes) < want {
		return fmt.Errorf("%s; in any band there are %d: ask for fewer, or for other kinds", text, len(minutes))
	}
	var does []string
	for _, l := range levels() {
		n := 0
		for _, x := range minutes {
			if l.holds(x) {
				n++
			}
		}
		does = append(does, fmt.Sprintf("%d are %v", n, l))
	}
	return fmt.Errorf("%s; %s; --minutes %s would do", text, strings.Join(does, ", "), d.wider(minutes, want))
}

// wider is the band nearest to the one asked for that holds enough of minutes, which are sorted.
func (d *drawing) wider(minutes []float64, want int) string {
	best, least := "", math.Inf(1)
	for i := 0; i+want <= len(minutes); i++ {
		from, to := math.Floor(2*minutes[i])/2, math.Floor(2*minutes[i+want-1])/2+0.5
		from = min(from, d.band.from)
		if to < d.band.to && !math.IsInf(d.band.to, 1) {
			to = d.band.to
		}
		if off := d.band.from - from + max(0, to-d.band.to); off < least {
			least, best = off, fmt.Sprintf("%g-%g", from, to)
		}
	}
	return best
}
