package scenarios

import (
	"strconv"
	"strings"

	"faultloom/sim/device"
)

// Limits of what the table of a module may hold.
const (
	maxSignals = 64   // inputs, outputs, timers each
	maxRows    = 200  // conditions
	maxDelay   = 3600 // seconds
)

func signalRule() *rule {
	return newRule("a name", `^[a-z][a-z0-9-]{0,23}$`, "small letters, digits and -, at most 24 in all, such as reverse or seat-belt")
}

func driveRule() *rule {
	return newRule("what an output does", `^(on|off|flash `+plainNumber+` ?Hz|pulse `+plainNumber+` ?% at `+plainNumber+` ?Hz)$`,
		"on, off, flash 1.5 Hz, or pulse 60 % at 200 Hz")
}

const plainNumber = `[0-9]+(?:\.[0-9]+)?`

// logicKeys are the keys of a component that a table of conditions describes.
func logicKeys() []key {
	terminal := func(doc string) key { return key{"terminal", name(terminalRule()), true, doc, "3"} }
	volts := func(name, doc, show string) key { return key{name, over(device.Volt, 100), false, doc, show} }
	ohms := func(name, doc string) key { return key{name, quantity(device.Ohm, 1, 1e7), false, doc, "4.7 kohm"} }
	input := record(
		key{"terminal", name(terminalRule()), false, "The terminal that it looks at, unless it comes over the bus. Several inputs may share one; one of them has the pull then.", "3"},
		key{"over", choice("bus"), false, "bus for an input that another module on the same bus sends under this name; it has no terminal and no voltages.", ""},
		key{"lost", choice(string(device.LostOff), string(device.LostOn), string(device.LostKeep)), false,
			"What an input over the bus is while its sender is not heard: off, on, or as it was last (keep); off if left out.", "on"},
		volts("above", "It is on above this voltage over the module's ground.", "6 V"),
		volts("below", "It is on below this voltage. With above it is on between the two.", "3 V"),
		key{"hysteresis", over(device.Volt, 50), false, "How far back the voltage must go before it is off again (0.5 V, or half the threshold if that is less).", "1 V"},
		ohms("pull-up", "Resistor inside the module from the terminal to its supply, for switches to ground."),
		ohms("pull-down", "Resistor inside the module from the terminal to its ground, for switches to supply. Without either, 1 Mohm to ground."),
		key{"pull-to", name(signalRule()), false, "The output with switch: reference that a pull-up goes to, instead of the supply.", "feed"},
	)
	output := record(
		terminal("The terminal that it switches."),
		key{"switch", choice(string(device.HighSide), string(device.LowSide), string(device.Reference)), false,
			"high connects it to the supply, low to the ground; reference is a regulated voltage for sensors, there as long as the module is alive (high if left out).", "low"},
		key{"resistance", quantity(device.Ohm, 0.001, 100), false, "Resistance when it is on (" + showQuantity(device.OutputOhms, device.Ohm) + " if left out).", "60 mohm"},
		key{"limit", quantity(device.Ampere, 0.001, 500), false, "Current that it does not exceed (" + showQuantity(device.OutputLimit, device.Ampere) + ", of a reference " +
			showQuantity(device.ReferenceLimit, device.Ampere) + ", if left out). After 0.15 s at it the output gives up.", "8 A"},
		key{"trip", choice(string(device.Retry), string(device.Latch)), false, "What it does then: retry after a time, or stay off (latch-off) until it is commanded off (retry if left out).", ""},
		key{"retry", quantity(device.Second, 0.02, maxDelay), false, "Time until it tries again (" + showQuantity(device.OutputRetry, device.Second) + " if left out).", "2 s"},
		key{"lamp-out", quantity(device.Ampere, 0.0001, 500), false, "Current below which its lamp counts as out while it is on. Conditions can ask for out or fine then.", "0.9 A"},
		key{"volts", over(device.Volt, 24), false, "Voltage of a reference.", "5 V"},
	)
	timer := record(
		key{"of", name(signalRule()), true, "The input, or the timer above, that it follows.", "reverse"},
		key{"on-delay", quantity(device.Second, 0, maxDelay), false, "It comes on when what it follows has been on for so long.", "2 s"},
		key{"off-delay", quantity(device.Second, 0, maxDelay), false, "It goes off when what it follows has been off for so long.", "10 s"},
		key{"until", name(signalRule()), false, "It comes on with what it follows and stays on until this input or timer is on.", "stop"},
		key{"toggle", yes(), false, "It changes over each time that what it follows comes on.", "yes"},
	)
	row := record(
		key{"when", table("", signalRule(), choice("on", "off", "lost", "heard", "out", "fine", "tripped"), maxSignals), true,
			"What must all be so: an input or timer on or off, an input over the bus lost or heard, an output's lamp out or fine, an output tripped.", "{reverse: on, door: off}"},
		key{"then", table("", signalRule(), name(driveRule()), maxSignals), true, "What the outputs do: on, off, flash 1.5 Hz, or pulse 60 % at 200 Hz.", "{lamp: on, alarm: flash 1.5 Hz}"},
	)
	bus := record(
		key{"high", name(terminalRule()), true, "The terminal of the bus wire that goes up.", "4"},
		key{"low", name(terminalRule()), true, "The terminal of the bus wire that goes down.", "5"},
		key{"termination", quantity(device.Ohm, 1, 1e4), false, "Terminating resistor in the module: 120 ohm in the two at the ends of the bus, none elsewhere.", "120 ohm"},
		key{"number", whole(1, 99), false, "Number of its bus, for harnesses with more than one (1 if left out).", "2"},
		key{"traffic", quantity(device.Percent, 0, 45), false, "Share of the time for which it holds the bus dominant (" + showQuantity(usualTraffic, device.Percent) + " if left out).", "5 %"},
		key{"sends", list(name(signalRule()), 1, maxSignals), false, "Inputs and timers that it sends, for others to have over the bus.", "[lights]"},
	)
	return []key{
		{"supply", name(terminalRule()), true, "Its supply terminal.", "15"},
		{"ground", name(terminalRule()), true, "Its ground terminal.", "31"},
		{"inputs", table("input", signalRule(), input, maxSignals), false, "Voltages that it looks at, by name.", ""},
		{"outputs", table("output", signalRule(), output, maxSignals), true, "What it switches, by name.", ""},
		{"bus", bus, false, "Its place on a two-wire bus, for a module that is on one.", ""},
		{"timers", table("timer", signalRule(), timer, maxSignals), false, "Signals made from others: delayed, kept, or changing over.", ""},
		{"conditions", list(row, 1, maxRows), true, "What the outputs do when. Of rows that hold at once the last decides; an output of which none speaks is off.", ""},
	}
}

// usualTraffic is the share of the time in percent for which a module holds its bus dominant that says nothing of it, as for a bus node.
const usualTraffic = 10.0

// bus reads a module's place on its bus, nil if it has none.
func (b *builder) bus(v val) *device.LogicBus {
	if !v.ok() {
		return nil
	}
	bus := &device.LogicBus{High: b.words(v, "high"), Low: b.words(v, "low"), Ohms: b.amount(v, "termination", device.Ohm, 0),
		Traffic: b.amount(v, "traffic", device.Percent, usualTraffic) / 100, Number: 1}
	if n := b.get(v, "number"); n.ok() {
		bus.Number, _ = strconv.ParseFloat(scalarText(n), 64)
	}
	for _, it := range b.items(b.get(v, "sends")) {
		bus.Sends = append(bus.Sends, scalarText(it))
	}
	return bus
}

// logic reads the table of conditions of a component and records what is wrong with it, each flaw at its place.
func (b *builder) logic(v val, id string) *device.Logic {
	l := &device.Logic{Supply: b.words(v, "supply"), Ground: b.words(v, "ground")}
	for _, e := range b.entries(b.get(v, "inputs")) {
		l.Inputs = append(l.Inputs, device.LogicInput{
			Name: e.key.node.Value, Terminal: b.words(e.value, "terminal"), PullTo: b.words(e.value, "pull-to"),
			PullUp: b.amount(e.value, "pull-up", device.Ohm, 0), PullDown: b.amount(e.value, "pull-down", device.Ohm, 0),
			Above: b.amount(e.value, "above", device.Volt, 0), Below: b.amount(e.value, "below", device.Volt, 0),
			Hysteresis: b.amount(e.value, "hysteresis", device.Volt, 0),
			OverBus:    b.words(e.value, "over") == "bus", Lost: device.Lost(b.words(e.value, "lost")),
		})
	}
	l.Bus = b.bus(b.get(v, "bus"))
	for _, e := range b.entries(b.get(v, "outputs")) {
		l.Outputs = append(l.Outputs, device.LogicOutput{
			Name: e.key.node.Value, Terminal: b.words(e.value, "terminal"), Side: device.Side(b.words(e.value, "switch")),
			Ohms: b.amount(e.value, "resistance", device.Ohm, 0), Limit: b.amount(e.value, "limit", device.Ampere, 0),
			Trip: device.Trip(b.words(e.value, "trip")), Retry: b.amount(e.value, "retry", device.Second, 0),
			LampOut: b.amount(e.value, "lamp-out", device.Ampere, 0), Volts: b.amount(e.value, "volts", device.Volt, 0),
		})
	}
	for _, e := range b.entries(b.get(v, "timers")) {
		l.Timers = append(l.Timers, device.LogicTimer{
			Name: e.key.node.Value, Of: b.words(e.value, "of"), Until: b.words(e.value, "until"), Toggle: b.yes(e.value, "toggle"),
			OnDelay: b.amount(e.value, "on-delay", device.Second, 0), OffDelay: b.amount(e.value, "off-delay", device.Second, 0),
		})
	}
	for _, it := range b.items(b.get(v, "conditions")) {
		var row device.LogicRow
		for _, e := range b.entries(b.get(it, "when")) {
			row.When = append(row.When, device.LogicTerm{Name: e.key.node.Value, State: scalarText(e.value)})
		}
		for _, e := range b.entries(b.get(it, "then")) {
			row.Then = append(row.Then, drive(e.key.node.Value, scalarText(e.value)))
		}
		l.Rows = append(l.Rows, row)
	}
	if b.wrongIn(v) {
		return l // what is wrong is told already; the rest would follow from it
	}
	for _, f := range l.Flaws() {
		b.say(b.way(v, f.Path), "component %s: %s: %s", quote(id), strings.Join(f.Path, ": "), f.Text)
	}
	return l
}

// wrongIn reports whether something was recorded in the lines of a block.
func (b *builder) wrongIn(v val) bool {
	last := lastLine(v)
	for _, p := range b.bad {
		if p.File == v.file && p.Line >= v.node.Line && p.Line <= last {
			return true
		}
	}
	return false
}

func lastLine(v val) int {
	if v.node == nil {
		return 0
	}
	last := v.node.Line
	for _, c := range v.node.Content {
		last = max(last, lastLine(v.in(c)))
	}
	return last
}

// way follows keys, and places in lists counted from 1, as far as they lead.
func (b *builder) way(v val, path []string) val {
	for _, step := range path {
		next := b.get(v, step)
		if i, err := strconv.Atoi(step); !next.ok() && err == nil {
			if all := b.items(v); i >= 1 && i <= len(all) {
				next = all[i-1]
			}
		}
		if !next.ok() {
			break
		}
		v = next
	}
	return v
}

// drive reads what an output is told; what does not fit its rule was recorded and counts as off.
func drive(output, text string) device.LogicDrive {
	d := device.LogicDrive{Output: output}
	var numbers []float64
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
		if x, err := strconv.ParseFloat(w, 64); err == nil {
			numbers = append(numbers, x)
		}
	}
	switch {
	case text == "on":
		d.Duty = 1
	case strings.HasPrefix(text, "flash") && len(numbers) == 1:
		d.Flash = numbers[0]
	case strings.HasPrefix(text, "pulse") && len(numbers) == 2:
		d.Duty, d.Hertz = numbers[0]/100, numbers[1]
	}
	return d
}
