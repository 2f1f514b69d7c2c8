package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Lamp is an incandescent lamp; see filament for its heat balance and lampLaw for its steady current. On pulses that are too fast for its
// filament it is a plain resistance at the temperature that their heat makes, see pulses.
type Lamp struct {
	base
	pins   pair
	curve  curve
	holder circuit.ID

	watts   float64 // as the harness says
	steady  lampLaw
	moving  ohmic
	warmth  warmth
	edges   [4]float64 // temperatures in kelvin from which on its light has the next word
	kelvin  float64
	broken  bool
	sought  float64 // kelvin in steady state on pulses, 0 without any
	pulses  onPulses
	mode    Mode
	watched bool
	feeds   feed
	fed     bool                            // feeds is that of the present solution
	seen    struct{ kelvin, level float64 } // what brightness said last, for a lamp at rest is looked at again and again
	spoilt
}

// From these shares of rated light a lamp is seen, no longer a mere glow, as it should be, and too bright. Light grows with
// about the 3.4th power of the voltage: 0.6 is 86 % of rated voltage, 2.2 is 126 %. All common practice, no source.
const lampFaint, lampDim, lampLit, lampOver = 1e-4, 0.03, 0.6, 2.2

var lampWords = []string{"off", "faint", "dim", "lit", "over-bright"}

func lampFamily() family {
	return family{
		kind: Kind{
			Name: "lamp", Title: "filament lamp",
			Doc: "An incandescent lamp. Cold, its filament has about a fifteenth of its burning resistance, so it draws ten times its " +
				"current for an instant and an ohmmeter shows next to nothing. It is lit, dim, faint or off by the light it gives.",
			Terminals: []Terminal{{"in", "supply side"}, {"out", "ground side"}},
			Plugged:   true, Words: lampWords,
			Params: []Param{
				{Key: "volts", Doc: "rated voltage", Dim: Volt, Default: 12, Min: 1, Max: 250},
				{Key: "power", Doc: "power at rated voltage", Dim: Watt, Required: true, Min: 0.1, Max: 1000},
			},
			Defects: []Defect{
				{Name: "filament-open", Doc: "filament broken", Likelihood: 3, Visible: true},
				{Name: "holder-shorted", Doc: "lamp holder shorted", Dim: Ohm, Low: 0.01, High: 5, Typical: 0.05, Likelihood: 0.5, Visible: true},
				{Name: "wrong-lamp", Doc: "lamp of another power fitted", Dim: Watt, Low: 0.5, High: 200, Typical: 5, Likelihood: 0.5, Visible: true},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if d.Name == "wrong-lamp" && v["power"] < 10 {
				d.Typical = 21
			}
		},
		make: func(s Spec) Device {
			l := &Lamp{watts: s.Values["power"], kelvin: filamentCold}
			l.fit(s.Values["volts"], l.watts)
			return l
		},
	}
}

// fit puts in a lamp of rated volts and watts.
func (l *Lamp) fit(volts, watts float64) {
	l.steady = lampLaw{f: theFilament(), volts: volts, siemens: watts / (volts * volts)}
	l.warmth = newWarmth(volts, watts)
	for i, level := range [...]float64{lampFaint, lampDim, lampLit, lampOver} {
		l.edges[i] = glowing(level * l.watts / watts)
	}
	l.curve.now = nil
}

// lampLaw is a lamp that has burnt for long: the current that follows from the heat balance at each voltage. It is smooth, rises
// everywhere, and starts at 0 V with the conductance of the cold filament. siemens is the conductance at rated volts.
type lampLaw struct {
	f              *filament
	volts, siemens float64
}

// At implements circuit.Law. Beyond filamentTop times the rated voltage, where no filament lasts, it goes on straight.
func (l *lampLaw) At(v float64) (i, g float64) {
	x := math.Abs(v) / l.volts
	over := 0.0
	if x >= filamentTop {
		over = x - filamentTop
		x = filamentTop * (1 - 1e-12)
	}
	c, bend := l.f.steady(x)
	g = (c + bend) * l.siemens
	i = (float64(x*c) + float64(over*(c+bend))) * l.siemens * l.volts
	return math.Copysign(i, v), g
}

// lampNear is the voltage, over the rated one, below which a lamp is as good as a plain resistance: 0.001 V at 12 V warms it by
// a thousandth of a kelvin.
const lampNear = 1e-4

// Limit implements circuit.Law. The current bends downwards, so a tangent's zero falls short of the true one, possibly on the
// other side of 0 V, from where the next would be thrown back: there Newton's method starts again from 0 V.
func (l *lampLaw) Limit(next, last float64) float64 {
	if next*last < 0 && math.Abs(last) > lampNear*l.volts {
		return 0
	}
	return next
}

// Seed implements circuit.Seeded.
func (l *lampLaw) Seed() float64 { return l.volts }

// Build implements Device.
func (l *Lamp) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	l.pins = pair(pins)
	l.pulses = onPulses{}
	l.curve.built(n.Add(name, pins[0], pins[1], circuit.Curve{Law: open}))
	l.holder = n.Add(name+" holder", pins[0], pins[1], circuit.Resistor{Ohms: math.Inf(1)})
}

// Stamp implements Device.
func (l *Lamp) Stamp(s *circuit.Solver, mode Mode) {
	l.mode, l.fed = mode, false
	l.pulses.stale()
	switch {
	case l.Broken():
		l.curve.set(s, open, false)
	case mode == Steady && l.sought > 0:
		l.curve.set(s, &l.moving, l.moving.become(l.steady.siemens/ratio(l.sought)))
	case mode == Steady:
		l.curve.set(s, &l.steady, false)
	default:
		l.curve.set(s, &l.moving, l.moving.become(l.steady.siemens/ratio(l.kelvin)))
	}
	if l.name == "holder-shorted" {
		s.SetOhms(l.holder, l.severity)
	} else {
		s.SetOhms(l.holder, math.Inf(1))
	}
}

// Broken reports whether the filament is.
func (l *Lamp) Broken() bool { return l.broken || l.name == "filament-open" }

// Kelvin returns the filament's temperature.
func (l *Lamp) Kelvin() float64 { return l.kelvin }

// share is the voltage across the filament that heats it over the rated one; none heats a broken one.
func (l *Lamp) share(s *circuit.Solver) float64 {
	if l.Broken() {
		return 0
	}
	return effective(l.pins.volts(s), l.pulses.variance(s)) / l.steady.volts
}

// joins and ends implement warmable.
func (l *Lamp) joins(p *pulses, at int) { l.pulses.joins(p, at) }
func (l *Lamp) ends() pair              { return l.pins }

// pulseKelvin is how near the temperature of a filament on pulses is found in steady state: a millionth of its light.
const pulseKelvin = 1e-4

// Settle implements Device: on pulses it seeks the temperature that their heat makes, each time with the resistance of the last.
func (l *Lamp) Settle(s *circuit.Solver) bool {
	was := l.sought
	switch {
	case l.mode != Steady:
		return false
	case l.Broken() || l.pulses.variance(s) == 0:
		l.sought = 0
	default:
		l.sought = l.steady.f.temperature(l.share(s))
	}
	return math.Abs(l.sought-was) > pulseKelvin
}

// Due implements Device: a filament above its melting point breaks at once.
func (l *Lamp) Due(*circuit.Solver) float64 {
	if !l.Broken() && l.kelvin >= tungstenMelts {
		return 0
	}
	return math.Inf(1)
}

// By how many times more than warmthGrain a filament may change within a step of the circuit: filamentEase while it draws something, of which a fuse
// before it takes all for what it was at the beginning of the step (a tenth at most); watchedEase while somebody watches, who does the same; darkEase
// in the dark, where it draws nothing. past is by how many kelvins a step goes beyond a temperature at which its light gets another word: less than
// anybody sees.
const filamentEase, watchedEase, darkEase, past = 4.0, 2.0, 32.0, 0.2

// Step implements Device. What a filament does in a step is exact for a circuit in which nothing else moves (feed), so it may do much in one; but what is
// told of it is told at the end of a step, so one ends where its light gets another word.
func (l *Lamp) Step(s *circuit.Solver) float64 {
	share := l.share(s)
	step := l.warmth.step(share, l.kelvin)
	switch {
	case math.IsInf(step, 1):
		return step
	case share < filamentDark:
		step *= darkEase
	case l.watched:
		step *= watchedEase
	default:
		step *= filamentEase
	}
	rate, decays := l.warmth.rate(l.feed(s), l.kelvin)
	for _, edge := range l.edges {
		if rate > 0 && l.kelvin < edge {
			step = min(step, until(edge+past-l.kelvin, rate, decays))
		}
		if rate < 0 && l.kelvin > edge {
			step = min(step, until(edge-past-l.kelvin, rate, decays))
		}
	}
	return step
}

// Watch implements Watched.
func (l *Lamp) Watch(on bool) { l.watched = on }

// feed returns what heats the filament from the present solution on.
func (l *Lamp) feed(s *circuit.Solver) feed {
	if l.fed {
		return l.feeds
	}
	l.fed = true
	v := l.share(s)
	l.feeds = feed{v: v}
	if l.mode == Steady || v < filamentDark || math.IsInf(l.warmth.step(v, l.kelvin), 1) || l.pulses.variance(s) > 0 {
		return l.feeds
	}
	_, ohms := s.Thevenin(l.pins[0], l.pins[1])
	seen, own := 1/(ohms*l.steady.siemens), 1/ratio(l.kelvin)
	if l.feeds.around = seen - own; l.feeds.around > 0 {
		l.feeds.drive = v * seen
	}
	return l.feeds
}

// Advance implements Device.
func (l *Lamp) Advance(s *circuit.Solver, dt float64) []Happening {
	l.kelvin = l.warmth.after(l.feed(s), l.kelvin, dt)
	if l.Broken() || l.kelvin < tungstenMelts {
		return nil
	}
	l.broken = true
	return []Happening{{What: "filament-broke"}}
}

// Rest implements Device.
func (l *Lamp) Rest(s *circuit.Solver) { l.kelvin = l.steady.f.temperature(l.share(s)) }

// Effect implements Device. The level is the light over that of a healthy lamp at rated voltage.
func (l *Lamp) Effect(s *circuit.Solver) Effect {
	t := l.kelvin
	if l.mode == Steady {
		t = l.steady.f.temperature(l.share(s))
	}
	if l.seen.kelvin != t {
		l.seen.kelvin, l.seen.level = t, brightness(t)
	}
	level := l.seen.level
	if l.name == "wrong-lamp" {
		level *= l.severity / l.watts // light of equal filaments is in proportion to their power
	}
	e := Effect{Sense: Light, Level: level, Word: word(level, lampWords, lampFaint, lampDim, lampLit, lampOver)}
	if level < lampFaint {
		e.Level = 0
	}
	return e
}

// State implements Device: temperature in kelvin, broken, the steady temperature on pulses or 0.
func (l *Lamp) State() []float64 { return l.appendState(nil) }

func (l *Lamp) appendState(dst []float64) []float64 {
	return append(dst, l.kelvin, flag(l.broken), l.sought)
}

// SetState implements Device.
func (l *Lamp) SetState(x []float64) { l.kelvin, l.broken, l.sought = x[0], x[1] != 0, x[2] }

// Spoil implements Defective.
func (l *Lamp) Spoil(defect string, severity float64) error {
	was := l.spoilt
	if err := l.put(defect, severity); err != nil {
		return err
	}
	watts := l.watts
	if l.name == "wrong-lamp" {
		watts = l.severity
	}
	if l.name == "wrong-lamp" || was.name == "wrong-lamp" {
		l.fit(l.steady.volts, watts)
	}
	return nil
}
