package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Horn is an electric horn: a coil that an interrupter breaks some hundred times a second once it swings. At rest, and at low
// voltage, the interrupter is closed and the coil's resistance is what one measures; when it sounds it is closed about
// half of the time, and the mean current is about half. Between, the mean conductance goes over smoothly:
//
//	G(V) = G∞ + (G₀ - G∞)/(1 + (V/knee)²)
//
// with G₀ twice the conductance at rated voltage and power and G∞ what makes that one right (the shape is ours; that a horn
// draws more when its interrupter does not open is common practice, no source).
type Horn struct {
	base
	pins   pair
	curve  curve
	volts  float64
	law    hornLaw
	closed ohmic // interrupter stuck closed
	spoilt
}

const (
	// hornKnee is the share of rated voltage at which the interrupter begins to work well.
	hornKnee = 0.4
	// hornCoil is the conductance of the coil over the mean one at rated voltage.
	hornCoil = 2
	// From these shares of rated voltage a horn is heard, and sounds as it should (common practice, no source).
	hornWeak, hornSounds = 0.4, 0.7
)

var soundWords = []string{"silent", "weak", "sounds"}

func hornFamily() family {
	return family{
		kind: Kind{
			Name: "horn", Title: "horn",
			Doc:       "An electric horn. It sounds from about 70 % of its rated voltage, croaks from 40 %, and below that only draws current.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: soundWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 100},
				{Key: "power", Doc: "power drawn at rated voltage", Dim: Watt, Default: 60, Min: 1, Max: 1000},
			},
			Defects: []Defect{
				{Name: "coil-open", Doc: "horn open inside", Likelihood: 1},
				{Name: "interrupter-open", Doc: "interrupter contact does not make", Dim: Ohm, Low: 10, High: 1e6, Typical: 1e4, Likelihood: 1},
				{Name: "interrupter-stuck", Doc: "interrupter stuck closed: draws current and is silent", Likelihood: 0.5},
				{Name: "coil-shorted", Doc: "coil shorted", Dim: Ohm, Low: 0.02, High: 1, Typical: 0.1, Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["volts"] * v["volts"] / v["power"] / hornCoil; d.Name == "coil-shorted" {
				d.span(0.01*ohms, 0.08*ohms, 0.6*ohms)
			}
		},
		make: func(s Spec) Device {
			h := &Horn{volts: s.Values["volts"]}
			g := s.Values["power"] / (h.volts * h.volts)
			x := 1 / float64(hornKnee*hornKnee)
			h.law = hornLaw{knee: hornKnee * h.volts, cold: hornCoil * g}
			h.law.far = (float64(g*(1+x)) - h.law.cold) / x
			return h
		},
	}
}

// hornLaw is the mean current of a horn; conductances in siemens, knee in volts. It rises everywhere, for G falls by less than a
// third of a percent when V grows by one.
type hornLaw struct{ cold, far, knee float64 }

// At implements circuit.Law.
func (l *hornLaw) At(v float64) (i, g float64) {
	x := v / l.knee
	q := 1 / (1 + float64(x*x))
	swing := float64((l.cold - l.far) * q)
	c := l.far + swing
	return v * c, c - float64(2*x*x*q*swing)
}

// Limit implements circuit.Law.
func (l *hornLaw) Limit(next, _ float64) float64 { return next }

// Build implements Device.
func (h *Horn) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	h.pins = pair(pins)
	h.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
}

// Stamp implements Device.
func (h *Horn) Stamp(s *circuit.Solver, _ Mode) {
	switch h.name {
	case "":
		h.curve.set(s, &h.law, false)
	case "coil-open":
		h.curve.set(s, open, false)
	case "interrupter-stuck":
		h.curve.set(s, &h.closed, h.closed.become(h.law.cold))
	default:
		h.curve.set(s, &h.closed, h.closed.become(1/h.severity))
	}
}

// Effect implements Device. The level is the share of rated voltage, 0 when it is silent.
func (h *Horn) Effect(s *circuit.Solver) Effect {
	level := 0.0
	if h.name == "" {
		level = math.Abs(h.pins.volts(s)) / h.volts
	}
	return sounding(level)
}

// sounding is the effect of a sounder at a share of its rated voltage.
func sounding(share float64) Effect {
	e := Effect{Sense: Sound, Level: share, Word: word(share, soundWords, hornWeak, hornSounds)}
	if e.Word == soundWords[0] {
		e.Level = 0
	}
	return e
}
