package meter

import (
	"fmt"
	"strings"

	"faultloom/sim/harness"
)

// Tools lists every tool in a fixed order.
func Tools() []Tool {
	return []Tool{Multimeter, TestLamp, Jumper, Clamp, LogicProbe, Load, TraceView, Reader}
}

// UsualTools lists those that an exercise allows which names none.
func UsualTools() []Tool { return []Tool{Multimeter, TestLamp, Jumper} }

// Valid reports whether t is a tool.
func (t Tool) Valid() bool {
	for _, u := range Tools() {
		if t == u {
			return true
		}
	}
	return false
}

// Title is the tool's name for people.
func (t Tool) Title() string {
	switch t {
	case TestLamp:
		return "test lamp"
	case Jumper:
		return "fused jumper"
	case Clamp:
		return "current clamp"
	case LogicProbe:
		return "logic probe"
	case Load:
		return "substitute load"
	case TraceView:
		return "trace view"
	case Reader:
		return "data-list reader"
	}
	return string(t)
}

// Ends names the tool's ends for people, end 0 first; "" for one that it does not have.
func (t Tool) Ends() [2]string {
	switch t {
	case TestLamp:
		return [2]string{"test lamp probe", "test lamp clip"}
	case Jumper:
		return [2]string{"jumper's first end", "jumper's second end"}
	case Clamp:
		return [2]string{"clamp"}
	case LogicProbe:
		return [2]string{"logic probe"}
	case Load:
		return [2]string{"load's first clip", "load's second clip"}
	case TraceView:
		return [2]string{"probe of channel 1", "probe of channel 2"}
	case Reader:
		return [2]string{"reader's plug"}
	}
	return [2]string{"red lead", "black lead"}
}

// Passive reports whether the tool may stay where it is while the vehicle is operated and looked at: it neither feeds nor bridges nor
// loads anything to speak of. What the multimeter does depends on its dial, see Function.Passive.
func (t Tool) Passive() bool {
	switch t {
	case Clamp, LogicProbe, TraceView, Reader:
		return true
	}
	return false
}

// Grip is what a tool's ends go to.
type Grip int

// The grips. A lead of a tool names its point; a clamp names a wire ("wire 31b"), a reader a control unit ("component ECU").
const (
	AtPoint Grip = iota
	AroundWire
	InUnit
)

// Grip returns what the tool's ends go to.
func (t Tool) Grip() Grip {
	switch t {
	case Clamp:
		return AroundWire
	case Reader:
		return InUnit
	}
	return AtPoint
}

// How places that are no points begin.
const (
	wirePlace = "wire "
	unitPlace = "component "
)

// WirePlace is where a clamp goes: around a wire, by its id.
func WirePlace(wire string) harness.Point { return harness.Point(wirePlace + wire) }

// UnitPlace is where a reader goes: into the diagnostic socket of a control unit, by its component's id.
func UnitPlace(component string) harness.Point { return harness.Point(unitPlace + component) }

// ParseTool returns the tool with that name, or an error that lists them.
func ParseTool(s string) (Tool, error) {
	if t := Tool(s); t.Valid() {
		return t, nil
	}
	var names []string
	for _, t := range Tools() {
		names = append(names, string(t))
	}
	return "", fmt.Errorf("tool %q: must be one of %s", s, strings.Join(names, ", "))
}
