package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Breaker is a circuit breaker with a bimetal strip. The strip warms as the element of a fuse does (see melt, with one body), opens
// its contact when it is hot enough, and, where it resets itself, closes it again when it has cooled, over and over while
// the overload lasts. One that is reset by hand stays open until its button is pressed.
//
// Time: least = 1.2 carries 110 % for good; τ = 15 s opens in 19 s at 135 %, 7 s at 200 % and 0.6 s at 600 % (SAE J553 wants 135 %
// to open within 30 min and 200 % within about a minute; from memory, low confidence). It closes when three tenths of the
// heat are gone, 5 s later (common practice, no source).
type Breaker struct {
	base
	contact circuit.ID
	manual  bool // stays open until it is reset
	ohms    float64
	strip   element
	open    bool
	spoilt
}

var bimetal = melt{least: 1.2, share: 1, fast: 15, slow: 1}

const (
	// closesAt is the heat at which a breaker that resets itself closes.
	closesAt = 0.7
	// breakerVolts is the drop of a closed breaker at rated current: a tenth of a volt, as blade fuses have.
	breakerVolts = 0.1
	// pressed is the position of a reset button that is pushed in.
	pressed = 1
)

func breakerParams() []Param {
	return []Param{{Key: "rating", Doc: "current that it carries for good", Dim: Ampere, Required: true, Min: 0.5, Max: 300}}
}

func breakerDefects() []Defect {
	return []Defect{
		{Name: "open", Doc: "breaker stays open", Likelihood: 1},
		{Name: "contact-burnt", Doc: "contact burnt", Dim: Ohm, Low: 0.1, High: 1e4, Typical: 1, Likelihood: 1},
		{Name: "weak", Doc: "trips at too little current: so many percent of its rating", Dim: Percent, Low: 10, High: 80, Typical: 40, Likelihood: 0.7},
		{Name: "welded", Doc: "contact welded: never trips", Likelihood: 0.3},
	}
}

func breakerFamily() family {
	return family{
		kind: Kind{
			Name: "breaker", Title: "self-resetting circuit breaker",
			Doc: "A circuit breaker that opens on overload, closes again after some seconds, and goes on so while the overload lasts. What it " +
				"feeds comes and goes.",
			Terminals: fuseTerminals, Plugged: true, Params: breakerParams(), Defects: breakerDefects(),
		},
		make: func(s Spec) Device { b := newBreaker(s, false); return &b },
	}
}

func resetBreakerFamily() family {
	return family{
		kind: Kind{
			Name: "reset-breaker", Title: "circuit breaker with reset button",
			Doc: "A circuit breaker that opens on overload and stays open until its button is pressed: give it two positions, the first at rest " +
				"and the second with the button pressed, and join nothing in them. A hot one does not hold.",
			Terminals: fuseTerminals, Table: true, Plugged: true, Params: breakerParams(), Defects: breakerDefects(),
		},
		make: func(s Spec) Device {
			return &ResetBreaker{Breaker: newBreaker(s, true), dial: dial{places: len(s.Positions)}}
		},
	}
}

func newBreaker(s Spec, manual bool) Breaker {
	rating := s.Values["rating"]
	return Breaker{manual: manual, ohms: breakerVolts / rating, strip: element{melt: &bimetal, rating: rating}}
}

// Build implements Device.
func (b *Breaker) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	b.contact = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: b.ohms})
}

// Stamp implements Device.
func (b *Breaker) Stamp(s *circuit.Solver, _ Mode) {
	switch {
	case b.Tripped():
		s.SetOhms(b.contact, math.Inf(1))
	case b.name == "contact-burnt":
		s.SetOhms(b.contact, b.severity)
	default:
		s.SetOhms(b.contact, b.ohms)
	}
}

// Tripped reports whether the contact is open.
func (b *Breaker) Tripped() bool { return b.name == "open" || b.open && b.name != "welded" }

// amps is the current through the strip, as a sound one would have to feel it to get as warm.
func (b *Breaker) amps(s *circuit.Solver) float64 {
	i := s.Current(b.contact)
	if b.name == "weak" {
		i *= 100 / b.severity
	}
	return i
}

// Due implements Device: the time until the contact moves.
func (b *Breaker) Due(s *circuit.Solver) float64 {
	switch {
	case b.name == "welded" || b.name == "open":
		return math.Inf(1)
	case !b.open:
		return b.strip.due(b.amps(s))
	case b.manual:
		return math.Inf(1)
	}
	return max(0, bimetal.fast*log(b.strip.heat[0]/closesAt))
}

// Step implements Device: a breaker that is open and will close is not at rest.
func (b *Breaker) Step(s *circuit.Solver) float64 {
	if b.open && !b.manual {
		return b.Due(s)
	}
	return math.Inf(1)
}

// Advance implements Device.
func (b *Breaker) Advance(s *circuit.Solver, dt float64) []Happening {
	b.strip.heat = bimetal.after(b.strip.heat, b.strip.drive(b.amps(s)), dt)
	switch hot := b.strip.heat[0]; {
	case !b.open && hot >= opensAt:
		b.open = true
		if b.Tripped() && b.name != "open" {
			return []Happening{{What: "click-out", Loud: true}}
		}
	case b.open && !b.manual && hot <= closesAt*(1+1e-9):
		b.open = false
		if b.name == "" || b.name == "weak" || b.name == "contact-burnt" {
			return []Happening{{What: "click-in", Loud: true}}
		}
	}
	return nil
}

// Rest implements Device. An overloaded breaker has no rest, and one that is open keeps its heat until it closes.
func (b *Breaker) Rest(s *circuit.Solver) {
	if !b.open || b.manual {
		b.strip.rest(b.amps(s))
	}
}

// State implements Device: heat, tripped.
func (b *Breaker) State() []float64 { return []float64{b.strip.heat[0], flag(b.open)} }

// SetState implements Device.
func (b *Breaker) SetState(x []float64) { b.strip.heat, b.open = heat{x[0], 0}, x[1] != 0 }

// ResetBreaker is a breaker that an operator resets.
type ResetBreaker struct {
	Breaker
	dial
}

// Set implements Controlled: pressing the button closes a breaker whose strip has cooled.
func (b *ResetBreaker) Set(i int) {
	b.dial.Set(i)
	if b.position == pressed && b.strip.heat[0] <= closesAt {
		b.open = false
	}
}

// State implements Device: heat, tripped, position.
func (b *ResetBreaker) State() []float64 { return append(b.Breaker.State(), b.dial.State()...) }

// SetState implements Device.
func (b *ResetBreaker) SetState(x []float64) {
	b.Breaker.SetState(x)
	b.dial.SetState(x[2:])
}
