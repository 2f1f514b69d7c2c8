package meter

import (
	"fmt"
	"strings"
)

// Tools lists every tool in a fixed order.
func Tools() []Tool { return []Tool{Multimeter, TestLamp, Jumper} }

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
	}
	return string(t)
}

// Ends names the tool's two ends for people, end 0 first.
func (t Tool) Ends() [2]string {
	switch t {
	case TestLamp:
		return [2]string{"test lamp probe", "test lamp clip"}
	case Jumper:
		return [2]string{"jumper's first end", "jumper's second end"}
	}
	return [2]string{"red lead", "black lead"}
}

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
