package draw

import "fmt"

// Symbol is a graphical symbol for the wiring sheet after IEC 60617, drawn from
// memory of the standard's shapes and upright: supply above, ground below.
//
// Local coordinates have their origin in the middle of the symbol and are in
// sheet units at scale 1. Unless Terminals says otherwise a symbol has two
// terminals, "a" at (0,-32) above and "b" at (0,32) below, and its leads reach
// exactly to them.
type Symbol uint8

// The symbols. The comment gives the terminals where they are not a and b.
const (
	SymBattery         Symbol = iota // a is the positive pole
	SymFuse                          // Blown
	SymBreaker                       // circuit breaker; Operated is tripped (open)
	SymMake                          // switch or relay contact that closes when Operated
	SymBreak                         // opens when Operated
	SymChangeOver                    // c (0,-32) common, break (16,32), make (-16,32)
	SymPush                          // momentary push-button, closes when Operated
	SymPushBreak                     // momentary push-button, opens when Operated
	SymCoil                          // relay coil; Level above 0 is energised
	SymRelayMake                     // 86 (-24,-40), 85 (-24,40), 30 (24,-40), 87 (24,40)
	SymRelayChangeOver               // 86 (-24,-40), 85 (-24,40), 30 (24,-40), 87a (40,40), 87 (8,40)
	SymLamp                          // Level is the glow
	SymDiode                         // a anode, b cathode
	SymZener                         // a anode, b cathode
	SymLED                           // a anode, b cathode; Level is the light
	SymResistor                      //
	SymHeater                        // Level is the warmth
	SymPotentiometer                 // a, b, and w (32,0) the wiper; Setting 0 at b to 1 at a
	SymNTC                           // thermistor, negative coefficient
	SymPTC                           // thermistor, positive coefficient
	SymCapacitor                     //
	SymInductor                      //
	SymSolenoid                      // Level above 0 is pulled in
	SymMotor                         // Level above 0 is turning
	SymGenerator                     //
	SymHorn                          // Level above 0 is sounding
	SymBuzzer                        // Level above 0 is sounding
	SymVoltmeter                     //
	SymGround                        // one terminal, a (0,-16)
	SymChassis                       // one terminal, a (0,-16)
	SymContactPair                   // a (0,-16) the socket, b (0,16) the pin; Parted
	SymSplice                        // one terminal, a (0,0)
	SymStud                          // ring terminals on a stud: one terminal, a (0,0)
	SymGearMotor                     // no terminals, for the middle of a box, as those below; Level above 0 is turning
	SymHall                          // Hall generator
	SymPressure                      // pressure sensor
	SymBusNode                       // two-way transmission
	SymLogic                         // decides by a table of conditions
	symbolCount
)

// Symbols returns every symbol in a fixed order.
func Symbols() []Symbol {
	out := make([]Symbol, symbolCount)
	for i := range out {
		out[i] = Symbol(i)
	}
	return out
}

// Terminal is where a wire meets a symbol.
type Terminal struct {
	Name string
	At   Point // offset from the symbol's place, at scale 1, unturned
	Out  Point // unit direction in which the wire leaves
}

// State is what a symbol shows besides its shape. The zero State is at rest.
type State struct {
	Operated bool    // contact moved, button pressed, breaker tripped
	Level    float64 // 0 off to 1 full: glow, sound, turning, pull, warmth
	Setting  float64 // position of a wiper, 0 to 1
	Blown    bool    // fuse: element melted
	Parted   bool    // contact pair: pulled apart
	Ink      Colour  // lines; alpha 0 takes the theme's ink
	Fill     Colour  // bodies; alpha 0 takes the theme's paper
}

// Turn is a quarter turn count, clockwise.
type Turn uint8

// Place is where, how large and which way round a symbol stands.
type Place struct {
	At     Point
	Scale  float64 // 0 means 1
	Turn   Turn    // quarter turns clockwise: 1 puts terminal a on the right
	Mirror bool    // left and right swapped, before the turn
}

// Map returns where the local point q of a symbol at p is.
func (p Place) Map(q Point) Point {
	if p.Mirror {
		q.X = -q.X
	}
	for range p.Turn % 4 {
		q = Point{-q.Y, q.X}
	}
	return p.At.Add(q.Mul(p.scale()))
}

func (p Place) scale() float64 {
	if p.Scale == 0 {
		return 1
	}
	return p.Scale
}

// Terminals returns the terminals of s in a fixed order; the slice is the
// caller's.
func (s Symbol) Terminals() []Terminal {
	up, down := Point{0, -1}, Point{0, 1}
	switch s {
	case SymChangeOver:
		return []Terminal{{"c", Point{0, -32}, up}, {"break", Point{16, 32}, down}, {"make", Point{-16, 32}, down}}
	case SymRelayMake:
		return []Terminal{
			{"86", Point{-24, -40}, up}, {"85", Point{-24, 40}, down},
			{"30", Point{24, -40}, up}, {"87", Point{24, 40}, down},
		}
	case SymRelayChangeOver:
		return []Terminal{
			{"86", Point{-24, -40}, up}, {"85", Point{-24, 40}, down},
			{"30", Point{24, -40}, up}, {"87a", Point{40, 40}, down}, {"87", Point{8, 40}, down},
		}
	case SymPotentiometer:
		return []Terminal{{"a", Point{0, -32}, up}, {"b", Point{0, 32}, down}, {"w", Point{32, 0}, Point{1, 0}}}
	case SymGround, SymChassis:
		return []Terminal{{"a", Point{0, -16}, up}}
	case SymContactPair:
		return []Terminal{{"a", Point{0, -16}, up}, {"b", Point{0, 16}, down}}
	case SymSplice, SymStud:
		return []Terminal{{"a", Point{}, up}}
	case SymGearMotor, SymHall, SymPressure, SymBusNode, SymLogic:
		return nil
	}
	return []Terminal{{"a", Point{0, -32}, up}, {"b", Point{0, 32}, down}}
}

// TerminalAt returns where terminal name of s stands when s is at p.
func (s Symbol) TerminalAt(p Place, name string) (Point, bool) {
	for _, t := range s.Terminals() {
		if t.Name == name {
			return p.Map(t.At), true
		}
	}
	return Point{}, false
}

// Bounds returns the box that holds s in every state, at p.
func (s Symbol) Bounds(p Place) Rect {
	box := Rect{-20, -32, 40, 64}
	switch s {
	case SymRelayMake:
		box = Rect{-44, -40, 84, 80}
	case SymRelayChangeOver:
		box = Rect{-44, -40, 96, 80}
	case SymPotentiometer:
		box = Rect{-12, -32, 44, 64}
	case SymGround, SymChassis:
		box = Rect{-16, -16, 32, 32}
	case SymContactPair:
		box = Rect{-8, -16, 16, 32}
	case SymSplice:
		box = Rect{-5, -5, 10, 10}
	case SymStud:
		box = Rect{-8, -8, 16, 16}
	case SymGearMotor, SymHall, SymPressure, SymBusNode, SymLogic:
		box = Rect{-18, -16, 36, 32}
	case SymPush, SymPushBreak:
		box = Rect{-36, -32, 52, 64}
	case SymLamp, SymHorn, SymMotor, SymBuzzer, SymLED, SymSolenoid, SymNTC, SymPTC:
		box = Rect{-28, -32, 60, 64}
	}
	a, b := p.Map(box.Min()), p.Map(box.Max())
	return Rect{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X) - min(a.X, b.X), max(a.Y, b.Y) - min(a.Y, b.Y)}
}

// String returns the plain name of s in the trade's words, such as "fuse".
func (s Symbol) String() string {
	names := [symbolCount]string{
		"battery", "fuse", "circuit breaker", "make contact", "break contact", "change-over contact",
		"push-button", "push-button, breaking", "relay coil", "relay, make contact", "relay, change-over contact",
		"lamp", "diode", "zener diode", "light-emitting diode", "resistor", "heater", "potentiometer",
		"NTC thermistor", "PTC thermistor", "capacitor", "inductor", "solenoid", "motor", "generator",
		"horn", "buzzer", "voltmeter", "ground", "chassis", "connector contacts", "splice", "ground stud",
		"gear motor", "Hall generator", "pressure sensor", "bus node", "table of conditions",
	}
	if s >= symbolCount {
		return fmt.Sprintf("symbol %d", uint8(s))
	}
	return names[s]
}

// Draw appends s at p in state st.
func (s Symbol) Draw(l *List, p Place, st State, th Theme) {
	k := newSketch(l, p, st, th)
	switch s {
	case SymBattery:
		k.battery()
	case SymFuse:
		k.fuse(st)
	case SymBreaker:
		k.breaker(st)
	case SymMake, SymBreak, SymChangeOver:
		k.contact(s, st)
	case SymPush, SymPushBreak:
		k.push(s, st)
	case SymCoil:
		k.coil(Point{}, 32, st.Level)
	case SymRelayMake, SymRelayChangeOver:
		k.relay(s, st)
	case SymLamp:
		k.lamp(st.Level)
	case SymDiode, SymZener, SymLED:
		k.diode(s, st)
	case SymResistor, SymHeater, SymPotentiometer, SymNTC, SymPTC:
		k.resistor(s, st)
	case SymCapacitor:
		k.capacitor()
	case SymInductor:
		k.inductor()
	case SymSolenoid:
		k.solenoid(st.Level)
	case SymMotor, SymGenerator, SymVoltmeter:
		k.machine(s, st.Level)
	case SymHorn:
		k.horn(st.Level)
	case SymBuzzer:
		k.buzzer(st.Level)
	case SymGround, SymChassis:
		k.ground(s)
	case SymContactPair:
		k.pair(st.Parted)
	case SymSplice:
		k.splice()
	case SymStud:
		k.stud()
	case SymGearMotor, SymHall, SymPressure, SymBusNode, SymLogic:
		k.inBox(s, st.Level)
	}
}
