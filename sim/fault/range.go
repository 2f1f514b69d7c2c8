package fault

import (
	"fmt"
	"slices"
)

// CheckRange returns an error for a fault whose severity the catalogue does not have at that place: such a fault can be put in and shows, but
// no candidate is like it, so nothing that is found out about it could be judged. It names the severity, the range and what to write instead. A
// severity of 0 stands for the typical one and is always right. The harness must have the
// place, see Check.
func (b *Book) CheckRange(f Fault) error {
	if f.Severity == 0 {
		return nil
	}
	if f.Kind == WrongRating {
		if all := b.wrongRatings(placeName(f.Place)); !slices.Contains(all, f.Severity) {
			return fmt.Errorf("fault %q: %s A is no fuse that is suspected of being there by mistake, so nothing found out about it could be judged; write one of %v A",
				f, number(f.Severity), all)
		}
		return nil
	}
	s := b.severities(f)
	if f.Severity >= s.low && f.Severity <= s.high {
		return nil
	}
	unit := b.Unit(f)
	return fmt.Errorf("fault %q: severity %s %s is outside the range of this kind at such a place, so nothing found out about it could be judged; "+
		"write one from %s to %s %s, or leave it out for %s %s",
		b.Text(f), number(f.Severity), unit, number(s.low), number(s.high), unit, number(s.typical), unit)
}
