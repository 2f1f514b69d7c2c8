package circuit

import (
	"fmt"
	"math"
)

// ValueError says that a branch was given a value it cannot have. Compile returns it, and so does Solve after a setter
// was called with such a value.
type ValueError struct {
	Branch ID
	Name   string  // of the branch
	What   string  // which of its values: "resistance", "emf", "current", "law", "node", "kind", "slope"
	Value  float64 // what it was given, NaN where that is not a number
	Unit   string
	Want   string // what would be right
}

// Error names the branch, the value and what would be right.
func (e *ValueError) Error() string {
	got := ""
	if !math.IsNaN(e.Value) || e.Unit != "" {
		got = fmt.Sprintf(" (got %g", e.Value)
		if e.Unit != "" {
			got += " " + e.Unit
		}
		got += ")"
	}
	return fmt.Sprintf("branch %q: %s must be %s%s", e.Name, e.What, e.Want, got)
}

// ConvergenceError says that no operating point was found. The voltages of the solver are not a solution then.
type ConvergenceError struct {
	Branch     ID
	Name       string  // of the branch that was farthest from its law
	Between    string  // the nodes it lies between
	Iterations int     // that were spent
	Excess     float64 // amperes by which it missed its law
	Volts      float64 // across it
}

// Error names the branch that was farthest from its law.
func (e *ConvergenceError) Error() string {
	return fmt.Sprintf("branch %q between %s: no operating point after %d iterations: at %g V its current is %g A off its law",
		e.Name, e.Between, e.Iterations, e.Volts, e.Excess)
}
