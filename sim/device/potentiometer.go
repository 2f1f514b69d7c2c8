package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Potentiometer is a track with a wiper on it, as in a pedal, a throttle or a level sender: the wiper parts the track's
// resistance in proportion to its place x, and touches it through a contact resistance. With R the track's resistance, x·R lies between
// wiper and out, (1 - x)·R between wiper and in, and the contact in the wiper's way; without load the signal is the share x of what lies across the
// track, and a load draws it down as the divider's (1 - x)·x·R does (voltage divider, Thévenin; any text on circuits). A track is 1 to 10 kΩ in
// pedals and throttles, 5 kΩ being the most usual, and a sound contact some tens of ohms (common practice, no source).
type Potentiometer struct {
	base
	dial
	halves divider
	wiper  circuit.ID

	ohms, contact float64
	low, high     float64 // place of the wiper in the first and last position, 0 (out) to 1 (in)
	spoilt
}

// trackEnd is the share of the track that lies beyond either stop of the wiper (invented order of magnitude: no wiper leaves its track).
const trackEnd = 0.001

func potentiometerFamily() family {
	return family{
		kind: Kind{
			Name: "potentiometer", Title: "potentiometer",
			Doc: "A position sensor: a resistance track from `in` to `out` and a wiper on `signal`. A control moves it; its positions lie evenly " +
				"between `low` and `high`, so name as many as you want to tell apart and join nothing in them. At the top of its track the " +
				"signal has the voltage of `in`.",
			Terminals: []Terminal{{"in", "supply end of the track"}, {"signal", "wiper"}, {"out", "ground end of the track"}},
			Table:     true, Plugged: true,
			Params: []Param{
				{Key: "resistance", Doc: "resistance of the whole track", Dim: Ohm, Default: 5000, Min: 1, Max: 1e6},
				{Key: "low", Doc: "place of the wiper in the first position, from the ground end", Dim: Percent, Default: 10, Min: 0, Max: 100},
				{Key: "high", Doc: "place of the wiper in the last position", Dim: Percent, Default: 90, Min: 0, Max: 100},
				{Key: "contact", Doc: "resistance of the wiper's contact", Dim: Ohm, Default: 50, Min: 0.001, Max: 1e5},
			},
			Defects: []Defect{
				{Name: "wiper-open", Doc: "wiper does not touch the track", Likelihood: 1},
				{Name: "wiper-dirty", Doc: "dirt under the wiper", Dim: Ohm, Low: 500, High: 1e7, Typical: 5e4, Likelihood: 1},
				{Name: "upper-track-open", Doc: "track broken on the supply side of the wiper", Likelihood: 0.7},
				{Name: "lower-track-open", Doc: "track broken on the ground side of the wiper", Likelihood: 0.7},
				{Name: "shifted", Doc: "out of adjustment: wiper sits too far towards the supply end", Dim: Percent, Low: 3, High: 60, Typical: 15, Likelihood: 0.7},
				{Name: "shorted", Doc: "track shorted from end to end", Dim: Ohm, Low: 0.1, High: 500, Typical: 5, Likelihood: 0.3},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			switch d.Name {
			case "wiper-dirty":
				d.span(10*v["contact"], float64(10*v["resistance"])+float64(10*v["contact"]), float64(1e4*v["resistance"])+float64(20*v["contact"]))
			case "shorted":
				d.span(1e-5*v["resistance"], 1e-3*v["resistance"], 0.1*v["resistance"])
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			return &Potentiometer{dial: dial{places: len(s.Positions)}, ohms: v["resistance"], contact: v["contact"],
				low: v["low"] / 100, high: v["high"] / 100}
		},
	}
}

// Build implements Device.
func (p *Potentiometer) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	tap := n.Node(name + " under the wiper")
	p.halves.upper = n.Add(name+" upper track", pins[0], tap, circuit.Resistor{Ohms: p.ohms / 2})
	p.halves.lower = n.Add(name+" lower track", tap, pins[2], circuit.Resistor{Ohms: p.ohms / 2})
	p.wiper = n.Add(name+" wiper", tap, pins[1], circuit.Resistor{Ohms: p.contact})
}

// Place returns where the wiper sits, 0 at the ground end and 1 at the supply end.
func (p *Potentiometer) Place() float64 {
	x := p.between(p.low, p.high)
	if p.name == "shifted" {
		x += p.severity / 100
	}
	return min(max(x, trackEnd), 1-trackEnd)
}

// Stamp implements Device.
func (p *Potentiometer) Stamp(s *circuit.Solver, _ Mode) {
	x, track, wiper := p.Place(), p.ohms, p.contact
	switch p.name {
	case "wiper-open":
		wiper = math.Inf(1)
	case "wiper-dirty":
		wiper = p.severity
	case "shorted":
		track = min(track, p.severity)
	}
	p.halves.set(s, track, x, p.name == "upper-track-open", p.name == "lower-track-open")
	s.SetOhms(p.wiper, wiper)
}

// State implements Device: the position.
func (p *Potentiometer) State() []float64 { return p.dial.State() }

// SetState implements Device.
func (p *Potentiometer) SetState(x []float64) { p.dial.SetState(x) }
