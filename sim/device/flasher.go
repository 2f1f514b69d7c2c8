package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Flasher is an electronic flasher unit. While something is connected to its output it joins 49 to 49a for half of each period; at the
// end of each flash it compares the current with that of its full load, and flashes twice as fast when a lamp is missing. It
// notices what is connected through a resistance across its open contact.
//
// The rate lies between 60 and 120 per minute (UN Regulation 6, par. 6; SAE J590; from memory), and a lamp that is out must be
// told, for which doubling the rate is the usual way (common practice, no source).
type Flasher struct {
	base
	pins            []circuit.Node
	contact, supply circuit.ID

	period   float64 // seconds, full load
	least    float64 // amperes below which a lamp is missing
	rated    float64 // volts
	on, fast bool
	waited   float64
	spoilt
}

const (
	// flasherSense is the resistance in ohms across the open contact.
	flasherSense = 2000.0
	// flasherTouched is the share of its supply that must stand across that resistance for a load to be there.
	flasherTouched = 0.7
	// flasherContact is its closed contact: some tens of milliohms, with the shunt that senses the current.
	flasherContact = 0.02
	// flasherSupply is what its electronics draw, in ohms.
	flasherSupply = 2000.0
	// flasherMissing is the share of the current of its full load below which a lamp counts as out. With two equal lamps one
	// missing leaves a half.
	flasherMissing = 0.75
	// flasherAlive is the share of rated voltage that its electronics need.
	flasherAlive = 0.6
	// flasherShorted is the current, over that of its full load, at which it switches off at once to save itself.
	flasherShorted = 6
)

// flasherWords are what is heard of it: a flasher ticks like the relay that it imitates.
var flasherWords = []string{"silent", "ticks", "ticks-fast"}

func flasherFamily() family {
	return family{
		kind: Kind{
			Name: "flasher", Title: "flasher unit",
			Doc: "An electronic flasher: 49 is its supply, 49a its output towards the indicator switch, 31 ground. It flashes while a load is " +
				"connected, about 85 times a minute, and twice as fast when a lamp of its full load is out. One hears it tick; expect that in a check line, for " +
				"what its lamps show there depends on the moment.",
			Terminals: []Terminal{{"49", "supply"}, {"49a", "pulsed output"}, {"31", "ground"}},
			Plugged:   true, Words: flasherWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 6, Max: 48},
				{Key: "load", Doc: "power of all lamps of one side together", Dim: Watt, Default: 42, Min: 1, Max: 500},
				{Key: "rate", Doc: "flashes per minute with all lamps, 60 to 120 allowed", Default: 85, Min: 30, Max: 240},
			},
			Defects: []Defect{
				{Name: "dead", Doc: "flasher dead: output stays open", Likelihood: 1},
				{Name: "stays-on", Doc: "contact welded: output always on", Likelihood: 0.7},
				{Name: "contact-burnt", Doc: "contact burnt", Dim: Ohm, Low: 0.5, High: 1e3, Typical: 3, Likelihood: 1},
			},
		},
		make: func(s Spec) Device {
			v := s.Values
			period := 60 / v["rate"]
			return &Flasher{rated: v["volts"], period: period, least: flasherMissing * v["load"] / v["volts"], waited: period}
		},
	}
}

// Build implements Device.
func (f *Flasher) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	f.pins = pins
	f.contact = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: flasherSense})
	f.supply = n.Add(name+" electronics", pins[0], pins[2], circuit.Resistor{Ohms: flasherSupply})
}

// Stamp implements Device.
func (f *Flasher) Stamp(s *circuit.Solver, _ Mode) {
	ohms := flasherSense
	if f.closed() {
		ohms = flasherContact
		if f.name == "contact-burnt" {
			ohms = f.severity
		}
	}
	s.SetOhms(f.contact, ohms)
}

func (f *Flasher) closed() bool {
	switch f.name {
	case "dead":
		return false
	case "stays-on":
		return true
	}
	return f.on
}

// wants reports whether the contact is to move sooner or later: always while it is closed or something is connected.
func (f *Flasher) wants(s *circuit.Solver) bool {
	if f.name == "dead" || f.name == "stays-on" {
		return false
	}
	alive := s.Voltage(f.pins[0]) - s.Voltage(f.pins[2])
	across := s.Voltage(f.pins[0]) - s.Voltage(f.pins[1])
	return f.on || alive >= flasherAlive*f.rated && across >= flasherTouched*alive
}

// wait is how long the present half of the period lasts. The first flash comes at once.
func (f *Flasher) wait(s *circuit.Solver) float64 {
	switch {
	case f.on && math.Abs(s.Current(f.contact)) > flasherShorted*f.least/flasherMissing:
		return 0.002
	case f.fast:
		return f.period / 4
	}
	return f.period / 2
}

// Settle implements Device: a flasher at work has no rest.
func (f *Flasher) Settle(s *circuit.Solver) bool {
	if !f.wants(s) {
		return false
	}
	f.change(s)
	return true
}

// change moves the contact; at the end of a flash the current is compared.
func (f *Flasher) change(s *circuit.Solver) {
	if f.on {
		f.fast = math.Abs(s.Current(f.contact)) < f.least
	}
	f.on, f.waited = !f.on, 0
}

// Due implements Device.
func (f *Flasher) Due(s *circuit.Solver) float64 {
	if !f.wants(s) {
		return math.Inf(1)
	}
	return max(0, f.wait(s)-f.waited)
}

// Step implements Device: a flasher at work is never at rest.
func (f *Flasher) Step(s *circuit.Solver) float64 { return f.Due(s) }

// Advance implements Device. It ticks like the relay that it imitates.
func (f *Flasher) Advance(s *circuit.Solver, dt float64) []Happening {
	if !f.wants(s) {
		f.waited, f.fast = f.period, false // ready for a first flash at once
		return nil
	}
	f.waited += dt
	if f.waited < f.wait(s)-timeGrain {
		return nil
	}
	f.change(s)
	if f.on {
		return []Happening{{What: "click-in", Loud: true}}
	}
	return []Happening{{What: "click-out", Loud: true}}
}

// State implements Device: on, fast, time waited.
func (f *Flasher) State() []float64 { return []float64{flag(f.on), flag(f.fast), f.waited} }

// SetState implements Device.
func (f *Flasher) SetState(x []float64) { f.on, f.fast, f.waited = x[0] != 0, x[1] != 0, x[2] }

// Effect implements Device: it is heard for as long as its contact comes and goes.
func (f *Flasher) Effect(s *circuit.Solver) Effect {
	e := Effect{Sense: Sound, Word: flasherWords[0]}
	switch {
	case !f.wants(s):
	case f.fast:
		e.Word, e.Level = flasherWords[2], 1
	default:
		e.Word, e.Level = flasherWords[1], 0.5
	}
	return e
}
