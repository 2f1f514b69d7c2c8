package circuit

// Touch makes the next Solve eliminate every column anew, as after a change of every branch.
func (s *Solver) Touch() {
	s.touchAll()
	s.solved = false
}

// Unsolve makes the next Solve look for the operating point though nothing has changed.
func (s *Solver) Unsolve() { s.solved = false }

// Fresh returns a new solver of the same circuit with the same values.
func (s *Solver) Fresh() *Solver {
	t := newSolver(s.sym)
	t.Restore(s.Clone().Snapshot()) // the clone's, so that s forgets nothing
	return t
}
