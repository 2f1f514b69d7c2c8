package circuit

func (s *Solver) Touch() {
	for k := range s.dirty {
		s.dirty[k] = true
	}
	s.dirt = len(s.dirty)
	s.solved = false
}

func (s *Solver) Shape() (cols, live, entries, targets int) {
	return s.sym.columns, s.sym.live, s.sym.entries, len(s.sym.target)
}

func (s *Solver) Runs() []run {
	if len(s.sym.fixedRuns)+len(s.sym.liveRuns) > 60 {
		return nil
	}
	return append(append([]run{}, s.sym.fixedRuns...), s.sym.liveRuns...)
}
