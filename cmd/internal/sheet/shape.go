package sheet

import (
	"math"
	"strconv"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// partKind says what stands between the taps of a column.
type partKind uint8

const (
	partNone   partKind = iota
	partSymbol          // a symbol with two terminals
	partBlade           // a contact that its tap below shares with a bar from the common terminal
	partChange          // change-over contact of a relay
	partTrack           // resistance track, with its wiper led to a tap of another column
	partBox             // part of a box that spans all columns
)

// part is what is drawn in one column of a component.
type part struct {
	kind partKind
	sym  draw.Symbol
	turn draw.Turn
	// join is the pair of terminals that a contact joins, for showing it open or closed.
	join [2]string
	// other is the tap of the second throw of a change-over contact, or of a track's wiper.
	other int
}

// shape is the inside of a component's block.
type shape struct {
	parts []part // by column; moves with the columns
	// bar is the tap whose terminal is carried along above (or below) all blades, -1 for none.
	bar   int
	boxed bool // a solid outline: something with terminals and no symbol of its own
	multi bool // columns beside each other whose leads may step aside
	relay bool
}

// half is how far the drawing of column i reaches from its middle.
func (s *shape) half(i int) float64 {
	if i >= len(s.parts) {
		return 0
	}
	p := s.parts[i]
	if p.kind == partNone {
		return 10
	}
	if p.kind == partSymbol || p.kind == partBlade || p.kind == partTrack {
		b := p.sym.Bounds(draw.Place{Scale: symScale, Turn: p.turn})
		return math.Ceil(max(-b.X, b.MaxX()))
	}
	return 22
}

// height of the drawing between the joints.
func (s *shape) height() float64 {
	if s.multi {
		return symH + 2*jogH
	}
	return symH
}

// newShape chooses the drawing of a component whose columns stand in b.
func newShape(c *harness.Component, b *block) shape {
	s := shape{bar: -1, parts: make([]part, len(b.cols))}
	name := func(t int) string {
		if t < 0 {
			return ""
		}
		return b.taps[t].terminal
	}
	switch {
	case c.Spec.Kind == "relay":
		s.relayParts(b, name)
		return s
	case len(c.Spec.Terminals) == 2 && len(b.cols) == 1:
		k := &s.parts[0]
		k.kind, k.sym = partSymbol, twoPole(c.Spec)
		top, bottom := name(b.cols[0].top), name(b.cols[0].bottom)
		k.join = [2]string{top, bottom}
		if top == c.Spec.Terminals[1] && bottom == c.Spec.Terminals[0] {
			k.turn = 2
		}
		if k.sym == boxSymbol {
			k.kind, s.boxed = partBox, true
		}
		return s
	case c.Spec.Kind == "potentiometer" && s.trackParts(b, name):
		return s
	case joinsAny(c.Spec) && s.bladeParts(c, b, name):
		return s
	}
	s.boxed, s.multi = true, len(b.cols) > 1
	for i := range s.parts {
		s.parts[i].kind = partBox
	}
	return s
}

// boxSymbol stands for "no symbol of its own".
const boxSymbol = draw.Symbol(255)

// twoPole returns the symbol of a component with two terminals.
func twoPole(s device.Spec) draw.Symbol {
	switch s.Kind {
	case "battery":
		return draw.SymBattery
	case "fuse", "large-fuse", "fusible-link":
		return draw.SymFuse
	case "breaker", "reset-breaker":
		return draw.SymBreaker
	case "lamp":
		return draw.SymLamp
	case "diode", "suppressor":
		return draw.SymDiode
	case "zener":
		return draw.SymZener
	case "led":
		return draw.SymLED
	case "resistor":
		return draw.SymResistor
	case "heater", "ptc-heater":
		return draw.SymHeater
	case "thermistor", "ntc":
		return draw.SymNTC
	case "ptc", "ptc-fuse", "platinum":
		return draw.SymPTC
	case "capacitor":
		return draw.SymCapacitor
	case "inductor", "pickup":
		return draw.SymInductor
	case "solenoid":
		return draw.SymSolenoid
	case "motor":
		return draw.SymMotor
	case "horn":
		return draw.SymHorn
	case "buzzer":
		return draw.SymBuzzer
	case "button":
		if restsClosed(s) {
			return draw.SymPushBreak
		}
		return draw.SymPush
	case "switch":
		if restsClosed(s) {
			return draw.SymBreak
		}
		return draw.SymMake
	}
	return boxSymbol
}

// inBox returns what stands in the middle of the box of a kind with more than two terminals.
func inBox(kind string) draw.Symbol {
	switch kind {
	case "wiper":
		return draw.SymGearMotor
	case "hall":
		return draw.SymHall
	case "pressure":
		return draw.SymPressure
	case "node":
		return draw.SymBusNode
	case "module":
		return draw.SymLogic
	}
	return boxSymbol
}

func restsClosed(s device.Spec) bool { return len(s.Positions) > 0 && len(s.Positions[0].Joins) > 0 }

// joinsAny reports whether a component is a contact: a sensor has positions too, but they join nothing.
func joinsAny(s device.Spec) bool {
	for _, p := range s.Positions {
		if len(p.Joins) > 0 {
			return true
		}
	}
	return false
}

// trackParts draws a potentiometer as a track in one column and its wiper beside it; it reports false when the terminals do not
// stand so.
func (s *shape) trackParts(b *block, name func(int) string) bool {
	track, wiper := -1, -1
	for i, k := range b.cols {
		top, bottom := name(k.top), name(k.bottom)
		switch {
		case top == "in" && bottom == "out", top == "out" && bottom == "in":
			track = i
		case top == "signal" && bottom == "":
			wiper = k.top
		case top == "" && bottom == "signal":
			wiper = k.bottom
		}
	}
	if track < 0 || wiper < 0 {
		return false
	}
	s.multi = true
	s.parts[track] = part{kind: partTrack, sym: draw.SymPotentiometer, other: wiper}
	if name(b.cols[track].top) == "out" {
		s.parts[track].turn = 2
	}
	return true
}

// relayParts draws coil and contacts; the block's first column is the coil's.
func (s *shape) relayParts(b *block, name func(int) string) {
	s.multi, s.relay = true, true
	var makes, breaks []int
	pole := -1
	for i, c := range b.cols {
		pair := [2]string{name(c.top), name(c.bottom)}
		p := &s.parts[i]
		p.join = pair
		for side, t := range pair {
			switch t {
			case "86", "85":
				p.kind, p.sym = partSymbol, draw.SymCoil
			case "30":
				pole = [2]int{c.top, c.bottom}[side]
			case "87a":
				breaks = append(breaks, i)
			case "":
			default:
				makes = append(makes, i)
			}
		}
	}
	if pole < 0 {
		return
	}
	var turn draw.Turn
	if !b.taps[pole].top {
		turn = 2
	}
	s.bar = pole
	for _, i := range makes {
		s.parts[i].kind, s.parts[i].sym, s.parts[i].turn = partBlade, draw.SymMake, turn
	}
	for _, i := range breaks {
		s.parts[i].kind, s.parts[i].sym, s.parts[i].turn = partBlade, draw.SymBreak, turn
	}
	if len(makes) == 1 && len(breaks) == 1 {
		s.parts[makes[0]].kind, s.parts[makes[0]].sym = partChange, draw.SymChangeOver
		s.parts[makes[0]].other = b.cols[breaks[0]].bottom
		if turn == 2 {
			s.parts[makes[0]].other = b.cols[breaks[0]].top
		}
		s.parts[breaks[0]].kind = partNone
		s.bar = -1
	}
}

// bladeParts draws a switch as contacts fed from one common terminal; it reports false when the table is not of that form.
func (s *shape) bladeParts(c *harness.Component, b *block, name func(int) string) bool {
	var tops, bottoms []int
	for _, k := range b.cols {
		if k.top >= 0 {
			tops = append(tops, k.top)
		}
		if k.bottom >= 0 {
			bottoms = append(bottoms, k.bottom)
		}
	}
	common, outs, turn := -1, bottoms, draw.Turn(0)
	switch {
	case len(tops) == 1 && len(bottoms) >= 1:
		common = tops[0]
	case len(bottoms) == 1 && len(tops) > 1:
		common, outs, turn = bottoms[0], tops, 2
	default:
		return false
	}
	for _, p := range c.Spec.Positions {
		for _, j := range p.Joins {
			if j[0] != name(common) && j[1] != name(common) {
				return false
			}
		}
	}
	s.bar, s.multi = common, true
	for i, k := range b.cols {
		out := k.bottom
		if turn == 2 {
			out = k.top
		}
		for _, o := range outs {
			if o == out {
				s.parts[i] = part{kind: partBlade, sym: draw.SymMake, turn: turn, join: [2]string{name(common), name(out)}}
			}
		}
	}
	return true
}

// rating is the number that tells most about a component: the first that its kind requires, with its unit.
func rating(s device.Spec) string {
	kind, ok := device.Lookup(s.Kind)
	if !ok {
		return ""
	}
	var out []string
	for _, p := range kind.Params {
		v, ok := s.Values[p.Key]
		if !ok || !(p.Required || s.Kind == "battery" && (p.Key == "volts" || p.Key == "capacity")) {
			continue
		}
		out = append(out, quantity(v, p.Dim))
		if len(out) == 2 {
			break
		}
	}
	return strings.Join(out, " · ")
}

// quantity writes a value with its unit as the trade does, a no-break space between.
func quantity(v float64, dim device.Dim) string {
	unit := string(dim)
	switch dim {
	case device.Ohm:
		unit = "Ω"
		switch {
		case v >= 1e6:
			v, unit = v/1e6, "MΩ"
		case v >= 1e3:
			v, unit = v/1e3, "kΩ"
		}
	case device.SquareMM:
		unit = "mm²"
	case device.Celsius:
		unit = "°C"
	}
	s := strconv.FormatFloat(v, 'g', 4, 64)
	if unit == "" {
		return s
	}
	return s + "\u00a0" + unit
}

// longestState is the widest text that can tell a component's state, "" when it has none to tell.
func longestState(h *harness.Harness, c *harness.Component) string {
	longest := ""
	longer := func(s string) {
		if draw.Measure(s, draw.Bold, sizeTitle) > draw.Measure(longest, draw.Bold, sizeTitle) {
			longest = s
		}
	}
	for _, p := range c.Spec.Positions {
		longer(p.Name)
	}
	if kind, ok := device.Lookup(c.Spec.Kind); ok && len(c.Spec.Positions) == 0 {
		for _, w := range kind.Words {
			longer(w)
		}
	}
	if isFuse(c.Spec.Kind) {
		longer("pulled out")
		longer("fit 100\u00a0A: blown")
	}
	if longest == "" {
		return ""
	}
	return longest
}

func isFuse(kind string) bool { return kind == "fuse" || kind == "large-fuse" }
