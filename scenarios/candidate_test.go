package scenarios_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"faultloom/sim/fault"
)

// TestEveryExerciseHasItsCandidate: what is wrong in a shipped exercise is in the catalogue of its harness, at that severity. Otherwise nobody could
// prove it.
func TestEveryExerciseHasItsCandidate(t *testing.T) {
	lib := builtin(t)
	for _, file := range lib.Exercises {
		ex := file.Exercise
		all := fault.Catalogue(ex.Harness)
		for _, f := range ex.Faults {
			found := slices.ContainsFunc(all, func(e fault.Entry) bool {
				same := e.Fault.Place == f.Place && e.Fault.Kind == f.Kind && e.Fault.Other == f.Other
				// Two wires that touch and two cavities that are wet are listed from one side only.
				if (f.Kind == fault.ShortToWire || f.Kind == fault.Leakage) && e.Fault.Kind == f.Kind {
					same = same || fault.SameCause(ex.Harness, f, e.Fault)
				}
				return same && (f.Severity == 0 || e.Low <= f.Severity && f.Severity <= e.High)
			})
			assert.True(t, found, "%s: %s", ex.ID, f)
		}
	}
}
