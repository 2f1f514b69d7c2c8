package fault

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"faultloom/sim/device"
)

// maxText bounds the text of a fault in bytes; the longest that a harness can give is about half of it.
const maxText = 300

// String returns the fault in text: place, kind, the other place if there is one, and the severity with its unit if it is
// given. The unit of a component's defect goes by its name alone; Book.Text knows the component.
//
//	wire 31b open
//	wire 31b short-to-ground 0.2 ohm
//	wire 12 short-to-wire 14 1 ohm
//	cavity X1.3 backed-out
//	cavity X1.3 leakage X1.4 5000 ohm
//	fuse F1 wrong-fuse 30 A
//	component K1 coil-open
//	cavity X1.3 shaky
//	component K1 opens-hot 86
//	component K1 high-hot 86 5 ohm
//	wire 12 touches-wire 14 0.05 ohm
func (f Fault) String() string { return f.text(f.unit()) }

func (f Fault) text(unit string) string {
	var b strings.Builder
	b.WriteString(f.Place + " " + string(f.Kind))
	if f.Other != "" {
		b.WriteString(" " + f.Other)
	}
	if f.Severity != 0 {
		b.WriteString(" " + number(f.Severity) + " " + unit)
	}
	return b.String()
}

// number writes a number as short as it can be read back.
func number(x float64) string {
	if s := strconv.FormatFloat(x, 'f', -1, 64); len(s) <= 12 {
		return s
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// unit returns the unit of the severity.
func (f Fault) unit() string {
	switch {
	case f.Kind == WrongRating:
		return string(device.Ampere)
	case strings.HasPrefix(f.Place, placeComponent+" ") && !f.Kind.fickle():
		return string(f.defectDim())
	}
	return string(device.Ohm)
}

// defectDim returns the dimension of a component's defect, going by its name alone: that of the first kind that has one of this name, ohms
// where none does.
func (f Fault) defectDim() device.Dim {
	for _, k := range device.Kinds() {
		for _, d := range k.Defects {
			if d.Name == string(f.Kind) && d.Dim != device.None {
				return d.Dim
			}
		}
	}
	return device.Ohm
}

// measures reports whether some kind of component has a defect of this name whose severity is in a unit: a thermistor may be too high by percent, a
// resistor in ohms. The component tells which; Parse does not know it.
func (f Fault) measures(unit string) bool {
	if firstWord(f.Place) != placeComponent || f.Kind.fickle() {
		return false
	}
	for _, k := range device.Kinds() {
		for _, d := range k.Defects {
			if d.Name == string(f.Kind) && d.Dim != device.None && string(d.Dim) == unit {
				return true
			}
		}
	}
	return false
}

// Parse reads a fault from its text form. It checks the form only: whether a harness has the place is for Alterations and Check to
// say. The severity may be left out.
func Parse(text string) (Fault, error) {
	if len(text) > maxText {
		return Fault{}, fmt.Errorf("fault: text must have at most %d bytes (got %d)", maxText, len(text))
	}
	words := strings.Fields(text)
	place, rest, err := parsePlace(words)
	if err != nil {
		return Fault{}, fmt.Errorf("fault %q: %w", text, err)
	}
	f := Fault{Place: place}
	if len(rest) == 0 {
		return Fault{}, fmt.Errorf("fault %q: says no kind, such as %s", text, kindsAt(place))
	}
	f.Kind, rest = Kind(rest[0]), rest[1:]
	if err := f.checkKind(); err != nil {
		return Fault{}, fmt.Errorf("fault %q: %w", text, err)
	}
	if f.hasOther() {
		if len(rest) == 0 {
			return Fault{}, fmt.Errorf("fault %q: %s needs what it goes to, such as %q", text, f.Kind, f.Kind.example())
		}
		f.Other, rest = rest[0], rest[1:]
		if err := f.checkOther(); err != nil {
			return Fault{}, fmt.Errorf("fault %q: %w", text, err)
		}
	}
	if f.Severity, err = f.parseSeverity(rest); err != nil {
		return Fault{}, fmt.Errorf("fault %q: %w", text, err)
	}
	return f, nil
}

// parsePlace reads the words of a place and returns it in its usual form with the words that follow.
func parsePlace(words []string) (place string, rest []string, err error) {
	if len(words) < 2 {
		return "", nil, fmt.Errorf("begins with a place in two words, such as \"wire 31b\" or \"cavity X1.3\"")
	}
	what, name := words[0], words[1]
	parts := strings.Split(name, ".")
	if slices.Contains(parts, "") {
		return "", nil, fmt.Errorf("place %q has a dot with nothing beside it", name)
	}
	want := ""
	rest = words[2:]
	switch what {
	case placeWire, placeComponent, placeFuse, placeGround:
		if len(parts) != 1 {
			want = "an id without dots"
		}
	case placeCavity:
		if len(parts) == 3 && parts[2] == "a" {
			parts = parts[:2]
		}
		if len(parts) != 2 && (len(parts) != 3 || parts[2] != "b") {
			want = "connector.cavity, with .b for the other half"
		}
	case placeCrimp:
		if len(parts) != 2 && len(parts) != 3 {
			want = "the point of its terminal, such as X1.3.a or G1.31b"
		}
	case placeRing:
		if len(parts) != 2 && len(parts) != 3 {
			want = "the point of a ring terminal, such as G1.31b or BAT.30.w1"
		}
	case placeSplice:
		if len(parts) != 1 || len(words) < 3 || strings.Contains(words[2], ".") {
			return "", nil, fmt.Errorf("a place in a splice is a splice and a wire, such as \"splice S1 31b\"")
		}
		return what + " " + name + " " + words[2], words[3:], nil
	default:
		return "", nil, fmt.Errorf("place begins with %q; want one of %s", what, strings.Join(placeWords(), ", "))
	}
	if want != "" {
		return "", nil, fmt.Errorf("place %q %q: want %s", what, name, want)
	}
	return what + " " + strings.Join(parts, "."), rest, nil
}

func placeWords() []string {
	return []string{placeWire, placeCavity, placeCrimp, placeSplice, placeRing, placeGround, placeComponent, placeFuse}
}

// kindsOf lists the kinds that a place can have, by its first word; nil for components, whose kinds are their own.
func kindsOf(word string) []Kind {
	switch word {
	case placeWire:
		return []Kind{Open, HighResistance, ShortToGround, ShortToSupply, ShortToWire, Shaky, TouchesGround, TouchesWire, AddedLoad}
	case placeCavity:
		return []Kind{BackedOut, Corroded, Spread, Leakage, Shaky, HighShaken, Crossed}
	case placeCrimp:
		return []Kind{Open, HighResistance, Shaky}
	case placeRing:
		return []Kind{Open, HighResistance, Shaky, HighShaken}
	case placeSplice:
		return []Kind{Open, HighResistance, OpensHot, OpensCold, HighHot, HighCold}
	case placeGround:
		return []Kind{Open, HighResistance}
	case placeFuse:
		return []Kind{WrongRating}
	}
	return nil
}

// kindsAt lists the kinds at a place for an error.
func kindsAt(place string) string {
	var names []string
	for _, k := range kindsOf(firstWord(place)) {
		names = append(names, string(k))
	}
	if names == nil {
		return "filament-open"
	}
	return strings.Join(names, ", ")
}

func firstWord(place string) string {
	w, _, _ := strings.Cut(place, " ")
	return w
}

// placeName returns what follows the first word.
func placeName(place string) string {
	_, name, _ := strings.Cut(place, " ")
	return name
}

func (f Fault) checkKind() error {
	word := firstWord(f.Place)
	if word == placeComponent {
		if strings.ContainsFunc(string(f.Kind), func(r rune) bool { return !unicode.IsGraphic(r) }) {
			return fmt.Errorf("kind %q has a character that cannot be seen", f.Kind)
		}
		return nil
	}
	if !slices.Contains(kindsOf(word), f.Kind) {
		return fmt.Errorf("a %s has no kind %q; want one of %s", word, f.Kind, kindsAt(f.Place))
	}
	return nil
}

func (f Fault) hasOther() bool {
	return f.Kind.BetweenWires() || f.Kind == Leakage || f.Kind == Crossed || firstWord(f.Place) == placeComponent && f.Kind.fickle()
}

// BetweenWires reports whether the kind joins a wire to another, Other.
func (k Kind) BetweenWires() bool { return k == ShortToWire || k == TouchesWire }

func (k Kind) example() string {
	switch {
	case k == Leakage, k == Crossed:
		return "cavity X1.3 " + string(k) + " X1.4"
	case k.BetweenWires():
		return "wire 12 " + string(k) + " 14"
	}
	return "component K1 " + string(k) + " 86"
}

// hasSeverity reports whether the kind, which is no component's own defect, comes in degrees.
func (k Kind) hasSeverity() bool { return k != Open && k != BackedOut && k != Crossed && !k.opens() }

func (f Fault) checkOther() error {
	parts := strings.Split(f.Other, ".")
	if slices.Contains(parts, "") {
		return fmt.Errorf("%q has a dot with nothing beside it", f.Other)
	}
	if two := f.Kind == Leakage || f.Kind == Crossed; !two && len(parts) != 1 || two && len(parts) != 2 {
		return fmt.Errorf("%s to %q: want a form such as %q", f.Kind, f.Other, f.Kind.example())
	}
	if f.Other == placeName(f.Place) {
		return fmt.Errorf("%s to itself", f.Kind)
	}
	return nil
}

func (f Fault) parseSeverity(words []string) (float64, error) {
	if len(words) == 0 {
		return 0, nil
	}
	if (firstWord(f.Place) != placeComponent || f.hasOther()) && !f.Kind.hasSeverity() {
		return 0, fmt.Errorf("%s has no severity (got %q)", f.Kind, strings.Join(words, " "))
	}
	unit := f.unit()
	if len(words) != 2 || words[1] != unit && !f.measures(words[1]) {
		return 0, fmt.Errorf("severity must be a number and %s (got %q)", unit, strings.Join(words, " "))
	}
	x, err := strconv.ParseFloat(words[0], 64)
	if err != nil || !(x > 0) || math.IsInf(x, 1) {
		return 0, fmt.Errorf("severity must be a number above 0 and %s (got %q)", unit, strings.Join(words, " "))
	}
	return x, nil
}
