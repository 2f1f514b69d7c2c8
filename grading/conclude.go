package grading

import (
	"fmt"
	"slices"

	"faultloom/sim/fault"
)

// What somebody concluded is what they declared, and what they repaired: whoever replaces a part says that it was the part. Both are held
// against what they had seen by then.

// RuledOut tells whether a repair could mend nothing any more after the first n records, since all that it mends had been ruled out, and by
// which record the last of it. A repair that mends nothing of the catalogue is not judged.
func (e *Evidence) RuledOut(r fault.Repair, n int) (seq int, out bool) {
	last := -1
	for i := range e.r.cells {
		c := &e.r.cells[i]
		if !e.r.book.Mends(r, e.r.entries[c.entry].Fault) {
			continue
		}
		if c.standing(n) {
			return 0, false
		}
		last = max(last, c.fell)
	}
	if last < 0 {
		return 0, false
	}
	return e.records[last].Seq, true
}

// Proves tells whether a repair mends all that is still suspected after the first n records.
func (e *Evidence) Proves(r fault.Repair, n int) bool {
	standing := e.standing(n)
	for _, entry := range standing {
		if !e.r.book.Mends(r, e.r.entries[entry].Fault) {
			return false
		}
	}
	return len(standing) > 0
}

// proved tells whether a repair that mended something was, when it was made, the only one that what had been seen left.
func (w *walk) proved(r repairDone) bool {
	return r.mended && slices.ContainsFunc(w.evidence, func(e *Evidence) bool { return e.Proves(r.repair, r.at) })
}

// against tells whether a repair was made against what had been seen: it mended nothing, and whichever of the faults it was meant for,
// all that it could mend had been ruled out by then, the last of it by record seq. A new fuse is not judged so, for behind a short it is needed
// and mends nothing.
func (w *walk) against(r repairDone) (seq int, yes bool) {
	if r.mended || r.repair == fault.FitFuse(r.repair.Component()) {
		return 0, false
	}
	for _, e := range w.evidence {
		at, out := e.RuledOut(r.repair, r.at)
		if !out {
			return 0, false
		}
		seq = max(seq, at)
	}
	return seq, true
}

// unread says that fault k was decided on by a repair made against what had been seen: what tests had told was not read off them, so the
// repair that helped in the end is owed to trying.
func (w *walk) unread(k int) bool {
	at := w.decided(k)
	for _, r := range w.repairs {
		if r.at == at {
			_, yes := w.against(r)
			return yes
		}
	}
	return false
}

// gained returns the share of what was needed to know the repair that tests had told, and that was read off them, when it was decided; of
// several faults the mean.
func (w *walk) gained() (share float64) {
	for k, e := range w.evidence {
		iso := e.IsolatedAt(w.decided(k))
		told := e.tested(iso, min(w.firstTouch, iso.At))
		if w.unread(k) {
			told *= unreadShare
		}
		share += told / float64(len(w.evidence))
	}
	return share
}

// contradictions takes points away for conclusions that had been ruled out when they were drawn: findings, and repairs with no finding before
// them, for swapping a part without a word is no better than condemning it.
func (w *walk) contradictions(s *score) {
	least := (1 - contradictionMost) * s.Points
	lose := func(text string, steps ...int) {
		s.lose(min(contradictionShare, max(0, s.Points-least)/s.Of), text, steps...)
	}
	for _, f := range w.findings {
		if f.verdict == rightCause {
			continue
		}
		for _, e := range w.evidence {
			if seq, why, out := e.Contradiction(f.fault, f.at); out {
				lose(fmt.Sprintf("The finding %q had been ruled out already by step %d: %s.", w.book.Title(f.fault), seq+1, why), seq, w.seq(f.at))
				break
			}
		}
	}
	for _, r := range w.repairs {
		if seq, yes := w.against(r); yes && !w.declared(r) {
			lose(fmt.Sprintf("%s was done though all that it mends had been ruled out already by step %d.", w.book.RepairTitle(r.repair), seq+1), seq, w.seq(r.at))
		}
	}
}

// declared says that a repair followed from a finding before it: then it is the finding that counts.
func (w *walk) declared(r repairDone) bool {
	for _, f := range w.findings {
		if f.at < r.at && w.book.Mends(r.repair, f.fault) {
			return true
		}
	}
	return false
}

// leastNeeded is the least that counts as needed of tests after the check, in bits: what one test with two equal outcomes tells. Whoever
// knows nearly all from the check alone has not to gain the rest twice.
const leastNeeded = 1

// tested is the share of what was not known after the first from records, the check with nothing touched, that tests gained until the
// repair was decided. What the check tells is paid for where the complaint is confirmed: a part that is changed on it alone is
// changed on a guess. Counted is from where most was open: what is truly seen may speak for others at first (a fuse that is whole to the
// eye and broken all the same), and whoever finds the way from there has found more, not less.
func (e *Evidence) tested(iso Isolation, from int) float64 {
	if iso.Share >= 1 {
		return 1
	}
	most := max(leastNeeded, e.open(from))
	for n := from; n < iso.At; n++ {
		most = max(most, e.Needed-e.Steps[n].Total)
	}
	return min(1, max(0, 1-e.open(iso.At)/most))
}
