package circuit

import "slices"

// Snapshot is what a Solver held at some moment: the values of its branches, what is stored in them and its last solution. It fits the solver it was
// taken from and that one's clones.
type Snapshot struct {
	sym    *symbolic
	values []value // by branch
	curves []curve
	stores []store
	volts  []float64
	jump   bool
	rough  int
	turn   uint64 // how often it was made to hold something
}

// value is what the setters of a linear branch give it.
type value struct{ ohms, source float64 }

// Snapshot returns what the solver holds now.
func (s *Solver) Snapshot() *Snapshot {
	k := &Snapshot{}
	s.SnapshotInto(k)
	return k
}

// SnapshotInto makes k hold what the solver holds now. It allocates only if k has held nothing of this circuit before.
func (s *Solver) SnapshotInto(k *Snapshot) {
	if k.sym != s.sym {
		*k = Snapshot{
			turn:   k.turn,
			sym:    s.sym,
			values: make([]value, len(s.lin)),
			curves: make([]curve, len(s.crv)),
			stores: make([]store, len(s.str)),
			volts:  make([]float64, len(s.volts)),
		}
	}
	for i := range s.lin {
		k.values[i] = value{s.lin[i].ohms, s.lin[i].source}
	}
	s.complete()
	copy(k.curves, s.crv)
	copy(k.stores, s.str)
	copy(k.volts, s.volts)
	k.jump, k.rough = s.jump, s.rough
	k.turn++
	s.since.begin(k)
}

// since lists the linear branches that have been given values since a snapshot was taken or restored.
type since struct {
	snapshot *Snapshot // nil when there is none, or too much has changed
	turn     uint64    // the snapshot's then
	changed  []ID
}

func (c *since) begin(k *Snapshot) { c.snapshot, c.turn, c.changed = k, k.turn, c.changed[:0] }

// note adds a branch to the list.
func (c *since) note(b ID) {
	switch {
	case c.snapshot == nil:
	case len(c.changed) == cap(c.changed):
		c.snapshot = nil
	default:
		c.changed = append(c.changed, b)
	}
}

// Restore makes the solver hold what it held when k was taken. Voltages, currents and powers are at once those of that
// moment; Thevenin and WhatIf need a Solve, which then has little to do. It does not allocate, and touches only the
// branches whose values differ, so it suits trying many changes of one circuit, each from the same start. It panics
// if k is of another circuit.
func (s *Solver) Restore(k *Snapshot) {
	if k.sym != s.sym {
		panic("circuit: Restore of a snapshot of another circuit")
	}
	if s.since.snapshot == k && s.since.turn == k.turn {
		for _, b := range s.since.changed {
			s.putBack(b, k.values[b])
		}
	} else {
		for i, was := range k.values {
			s.putBack(ID(i), was)
		}
	}
	s.since.begin(k)
	copy(s.crv, k.curves)
	copy(s.str, k.stores)
	copy(s.volts, k.volts)
	s.bad = s.bad[:0]
	s.solved, s.behind, s.dt, s.unstamped, s.stale = false, false, 0, true, true
	s.jump, s.rough, s.smooth = k.jump, k.rough, 0
}

// putBack gives a linear branch the values that it had.
func (s *Solver) putBack(b ID, was value) {
	if l := &s.lin[b]; l.ohms != was.ohms || l.source != was.source {
		l.source = was.source
		s.putOhms(b, was.ohms)
	}
}

// Clone returns a solver for the same circuit in the same state. Both share what follows from the topology alone and nothing
// else but the laws, so each may be used by its own goroutine if the laws' methods may be.
func (s *Solver) Clone() *Solver {
	t := *s
	t.lin, t.crv, t.str = slices.Clone(s.lin), slices.Clone(s.crv), slices.Clone(s.str)
	t.still = slices.Clone(s.still)
	t.orig, t.base = s.orig.clone(), s.base.clone()
	t.hot, t.acc, t.part = slices.Clone(s.hot), s.acc.clone(), slices.Clone(s.part)
	t.inv, t.volts, t.dirty = slices.Clone(s.inv), slices.Clone(s.volts), slices.Clone(s.dirty)
	t.marks, t.form = slices.Clone(s.marks), s.form.clone()
	t.bad = slices.Clone(s.bad)
	t.since = since{}
	t.scratch()
	return &t
}
