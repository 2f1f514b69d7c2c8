package harness

import "math"

// Alteration is one way in which a real harness departs from what the drawing says. The set is closed: SeriesOhms, Bridge,
// Spoil and WrongFuse.
type Alteration interface{ alteration() }

// SeriesOhms adds Ohms of resistance, above 0, to a limb; +Inf breaks it. Several in one limb add up.
//
// With a condition it comes and goes: with the shaking or the temperature of the limb's place, or, for a joint inside a component that lies
// in series with that limb, of the component Inside.
type SeriesOhms struct {
	Where  Limb
	Ohms   float64
	When   Condition
	Inside string
}

// Bridge is a path of Ohms between two points that should have none: A or B may be Body. Ohms is above 0 and finite.
//
// With a condition it comes and goes: with the shaking or the temperature of the place of the limb Where, or of that of Beside unless it
// is "": of two wires that rub, either moves the other.
type Bridge struct {
	A, B          Point
	Ohms          float64
	When          Condition
	Where, Beside Limb
}

// Spoil gives a component one of its kind's defects. Severity is in the defect's own dimension, 0 where it has none.
// A component has at most one.
type Spoil struct {
	Component string
	Defect    string
	Severity  float64
}

// WrongFuse is a fuse of another rating, in amperes, in a holder (a connector whose component is a fuse).
type WrongFuse struct {
	Connector string
	Amps      float64
}

func (SeriesOhms) alteration() {}
func (Bridge) alteration()     {}
func (Spoil) alteration()      {}
func (WrongFuse) alteration()  {}

// When returns the condition with which an alteration comes and goes, Always for one that is always there.
func When(a Alteration) Condition {
	switch a := a.(type) {
	case SeriesOhms:
		return a.When
	case Bridge:
		return a.When
	}
	return Always
}

// Broken is the resistance of a limb that does not conduct at all.
var Broken = math.Inf(1)

// Limb names a series element of a harness in text:
//
//	wire 31b        the copper of a wire
//	crimp X1.3.a    the crimp of the terminal there, also crimp G1.31b and crimp BAT.30.w1 for ring terminals
//	splice S1 31b   the leg of wire 31b in splice S1
//	cavity X1.3     the contact between the two halves of a cavity
//	ring G1.31b     the joint between a ring terminal and its stud, also ring BAT.30.w1
//	ground G1       the joint between the stud of a ground point and the body
//
// A wire's copper, its crimps and its splice legs lie in series with no point between them.
type Limb string

// Limbs returns every limb of the harness, each once, in a fixed order: for each wire its copper, then the crimp or splice
// leg at its ends; then cavities, rings and ground points in the order of Points. The slice is the caller's.
func (h *Harness) Limbs() []Limb {
	var limbs []Limb
	for _, l := range newIndex(h).limbs() {
		limbs = append(limbs, l.names...)
	}
	return limbs
}
