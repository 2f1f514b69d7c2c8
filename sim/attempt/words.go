package attempt

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Words puts a record into two short phrases for people: what was done, and what it showed ("" for nothing).
func Words(h *harness.Harness, rec Record) (did, showed string) {
	w := wording{h}
	did = w.did(rec.Action)
	if rec.Observation.Refused != "" {
		return did, "not done: " + rec.Observation.Refused
	}
	return did, w.showed(rec)
}

// wording finds the names that people use.
type wording struct{ h *harness.Harness }

func (w wording) did(act Action) string {
	switch act := act.(type) {
	case Operate:
		return w.control(act.Control) + " to " + act.Position
	case Mark:
		if act.Good {
			return fmt.Sprintf("check line %d marked: as it should be", act.Line+1)
		}
		return fmt.Sprintf("check line %d marked: not as it should be", act.Line+1)
	case Study:
		return "read " + map[string]string{"sheet": "the wiring diagram", "notes": "how the circuit works", "hints": "the hints",
			"symptoms": "the symptom guide", "check": "the normal-operation check"}[act.Page]
	case Ask:
		switch act.Topic {
		case AskSuspects:
			return "asked what is known so far"
		case AskNext:
			return "asked for a good next test"
		}
		return "asked what the red lead would tell at " + w.point(act.Point)
	case Dial:
		if act.Function == meter.Off {
			return "meter off"
		}
		return "meter to " + string(act.Function)
	case Relative:
		if act.On {
			return "this reading taken as zero"
		}
		return "reading as it is again"
	case Capture:
		if act.On {
			return "min/max capture on"
		}
		return "min/max capture off"
	case Zero:
		return act.Tool.Title() + " zeroed"
	case Sweep:
		return fmt.Sprintf("trace view: %s over the screen, level %s V", duration1(act.Seconds), number(act.Level))
	case Lead:
		end := act.Tool.Ends()[act.End&1]
		if act.Point == "" {
			return end + " off"
		}
		if act.Tool.Grip() == meter.AroundWire {
			return end + " around " + string(act.Point)
		}
		return end + " to " + w.point(act.Point)
	case Unplug:
		return w.unplugged(act.Connector)
	case Plug:
		return w.plugged(act.Connector)
	case OpenLoom:
		return "loom opened at " + act.Splice
	case CloseLoom:
		return "loom closed at " + act.Splice
	case Inspect:
		return "looked at " + act.Place
	case Wiggle:
		return act.Place + " wiggled"
	case Warm:
		return act.Place + " warmed"
	case Cool:
		return act.Place + " cooled"
	case Find:
		return "finding: " + w.fault(act.Fault)
	case Repair:
		return "repair: " + w.repair(act.Repair)
	case FitFuse:
		return fmt.Sprintf("new %s A fuse into %s", number(act.Amps), act.Connector)
	case ResetFuse:
		return "new fuse into the " + act.Tool.Title()
	case Wait:
		return "waited " + number(act.Seconds) + " s"
	case Close:
		return "job closed"
	}
	return act.Do()
}

// showed puts together what was noticed, in the order in which a person would tell it: what the vehicle did, what was
// seen, what the instruments show.
func (w wording) showed(rec Record) string {
	var parts []string
	for _, e := range rec.Observation.Events {
		parts = append(parts, w.event(e))
	}
	switch rec.Action.(type) {
	case Mark, Study, Ask, Find, Close:
		return strings.Join(parts, "; ")
	case Inspect:
		if len(rec.Observation.Seen) == 0 {
			parts = append(parts, "nothing wrong to be seen")
		}
		for _, s := range rec.Observation.Seen {
			parts = append(parts, w.seen(s))
		}
		return strings.Join(parts, "; ")
	}
	for _, t := range meter.Tools() {
		if d, ok := rec.Observation.Displays[t]; ok {
			if act, ok := rec.Action.(Lead); !ok || act.Tool != t {
				d.Rows = nil // told once, when the reader was plugged in
			}
			parts = append(parts, reading(t, d))
		}
	}
	if _, ok := rec.Action.(Wiggle); ok && len(parts) == 0 {
		parts = append(parts, "nothing changes")
	}
	return strings.Join(parts, "; ")
}

func (w wording) event(e Event) string {
	name := w.component(e.Component)
	switch e.What {
	case EventClickIn, EventClickOut:
		return name + " clicks"
	case EventChatter:
		if e.Word == EventEffect {
			return name + " comes and goes"
		}
		return name + " clicks on and on"
	}
	return name + ": " + e.Word
}

// reading is a display in one phrase: "12.34 V", "OL, live circuit", "test lamp dim".
func reading(t meter.Tool, d meter.Display) string {
	s := d.Text
	if d.Unit != "" {
		s += " " + d.Unit
	}
	if t != meter.Multimeter {
		s = t.Title() + " " + s
	}
	parts := append([]string{s}, d.Words...)
	for _, c := range d.Channels {
		parts = append(parts, channel(c))
	}
	for _, r := range d.Rows {
		parts = append(parts, strings.Join(strings.Fields(r.Name+" "+r.State+" "+r.Text+" "+r.Unit), " "))
	}
	if c := d.Capture; c != nil {
		parts = append(parts, "min "+extreme(c.Low)+", max "+extreme(c.High))
	}
	return strings.Join(parts, ", ")
}

// channel is what the trace view says of one channel: "channel 1 0.00 V to 12.60 V, mean 3.15 V, 200.0 Hz, 25.0 % high".
func channel(c meter.Channel) string {
	s := fmt.Sprintf("channel %d %s to %s, mean %s", c.Number, extreme(c.Low), extreme(c.High), extreme(c.Mean))
	if c.Hertz != nil && c.Duty != nil {
		s += ", " + extreme(*c.Hertz) + ", " + extreme(*c.Duty) + " high"
	}
	return s
}

// duration1 is a time base in words.
func duration1(seconds float64) string {
	if seconds < 1 {
		return number(math.Round(seconds*1e6)/1e3) + " ms"
	}
	return number(seconds) + " s"
}

func extreme(e meter.Extreme) string { return strings.TrimSpace(e.Text + " " + e.Unit) }

func (w wording) seen(s string) string {
	if id, amps, state, ok := parseFuseSeen(s); ok {
		s := fmt.Sprintf("%s is a %s A fuse", id, number(amps))
		switch state {
		case fuseWhole:
			s += ", its element whole"
		case fuseMelted:
			s += ", its element melted"
		}
		return s
	}
	return w.fault(s)
}

// fault is a fault in text form as people say it; text that is none stays as it is.
func (w wording) fault(text string) string {
	f, err := fault.Parse(text)
	if err != nil {
		return text
	}
	return fault.Title(w.h, f)
}

func (w wording) unplugged(id string) string {
	c, _ := connector(w.h, id)
	switch c.Mount {
	case harness.Holder, harness.Socket:
		return w.part(c) + " pulled"
	}
	return id + " unplugged"
}

func (w wording) plugged(id string) string {
	c, _ := connector(w.h, id)
	switch c.Mount {
	case harness.Holder, harness.Socket:
		return w.part(c) + " pushed in"
	}
	return id + " plugged in"
}

// part is what sits in a holder or socket.
func (w wording) part(c harness.Connector) string {
	if c.Mount == harness.Holder {
		return "fuse " + c.Component
	}
	return c.Component
}

func (w wording) control(id string) string {
	for _, c := range w.h.Controls {
		if c.ID == id && c.Title != "" {
			return c.Title
		}
	}
	return id
}

func (w wording) component(id string) string {
	for _, c := range w.h.Components {
		if c.ID == id && c.Title != "" {
			return c.Title
		}
	}
	return id
}

func (w wording) point(p harness.Point) string {
	if p == harness.Body {
		return "the body"
	}
	return string(p)
}

// connector finds a connector by id.
func connector(h *harness.Harness, id string) (harness.Connector, bool) {
	for _, c := range h.Connectors {
		if c.ID == id {
			return c, true
		}
	}
	return harness.Connector{}, false
}

// number writes x with as many digits as it has.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// repair is a repair in text form as people say it.
func (w wording) repair(text string) string {
	r, err := fault.ParseRepair(text)
	if err != nil {
		return text
	}
	title := fault.RepairTitle(w.h, r)
	return strings.ToLower(title[:1]) + title[1:]
}
