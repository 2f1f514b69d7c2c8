package fault

import (
	"fmt"
	"slices"
	"strings"

	"faultloom/sim/device"
)

// Unit returns the unit in which the severity of a fault is written on this harness: that of the component's own defect, for kinds of
// components may share a name and not what they measure it in. A breaker is weak by percent, a battery by ohms.
func (b *Book) Unit(f Fault) string {
	if firstWord(f.Place) == placeComponent && !f.Kind.fickle() {
		if d, ok := b.defect(placeName(f.Place), f.Kind); ok {
			return string(d.Dim)
		}
	}
	return f.unit()
}

// Text returns the fault in text, as String does, with the unit of this harness's component.
func (b *Book) Text(f Fault) string { return f.text(b.Unit(f)) }

// Parse reads a fault from its text form, as the package's Parse does, and refuses a severity in another unit than the component has. For all
// else it checks the form only.
func (b *Book) Parse(text string) (Fault, error) {
	f, err := Parse(text)
	if err != nil || f.Severity == 0 {
		return f, err
	}
	words := strings.Fields(text)
	got, want := words[len(words)-1], b.Unit(f)
	if want == string(device.None) || got == want {
		return f, nil // Check says that it has no severity
	}
	kind := b.h.Components[b.components[placeName(f.Place)]].Spec.Kind
	return Fault{}, fmt.Errorf("fault %q: %s of a %s is in %s: write a number and %s (got %q)", text, f.Kind, kind, want, want,
		strings.Join(words[len(words)-2:], " "))
}

// CheckListed returns an error for a fault that is not in a catalogue of this harness: it can be put in and shows, but nobody suspects it, so
// nothing that is found out about it could be judged. It names the fault and says what is suspected there. Which of two wires or
// cavities is named first makes no difference. The harness must have the place, see Check.
func (b *Book) CheckListed(catalogue []Entry, f Fault) error {
	var others, kinds []string
	whole := f // with both halves of its cavity as one
	if f.half() != "" {
		whole.Place = placeCavity + " " + f.cavity()
	}
	both := false
	for _, e := range catalogue {
		g := e.Fault
		switch {
		case g.same(f):
			return nil
		case g.same(whole):
			both = true
		case g.Kind == f.Kind && g.Place == f.Place:
			others = append(others, g.Other)
		case g.Kind == f.Kind && g.Other != "" && g.Other == placeName(f.Place):
			others = append(others, placeName(g.Place))
		}
		if g.Place == f.Place && !slices.Contains(kinds, string(g.Kind)) {
			kinds = append(kinds, string(g.Kind))
		}
	}
	remedy := fmt.Sprintf("nothing is suspected at %s, for no current can go through it; choose another place", f.Place)
	switch {
	case both:
		remedy = fmt.Sprintf("both halves count as one; write %q", b.Text(whole))
	case len(others) > 0:
		remedy = fmt.Sprintf("at %s it is suspected with %s; write one of these", f.Place, strings.Join(others, ", "))
	case len(kinds) > 0:
		remedy = fmt.Sprintf("what is suspected at %s is %s; write one of these", f.Place, strings.Join(kinds, ", "))
	}
	return fmt.Errorf("fault %q: nobody suspects this, so nothing found out about it could be judged; %s", b.Text(f), remedy)
}

// same reports whether two faults are one but for their severity, whichever of two wires or cavities is named first.
func (f Fault) same(g Fault) bool {
	if f.Kind != g.Kind || f.Kind == WrongRating && f.Severity != g.Severity {
		return false
	}
	return f.Place == g.Place && f.Other == g.Other ||
		f.Other != "" && firstWord(f.Place) == firstWord(g.Place) && f.Other == placeName(g.Place) && placeName(f.Place) == g.Other
}
