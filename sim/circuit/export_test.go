package circuit

// Touch makes the next Solve eliminate every column anew, as after a change of every branch.
func (s *Solver) Touch() {
	for k := range s.dirty {
		s.dirty[k] = true
	}
	s.dirt = len(s.dirty)
	s.solved = false
}
