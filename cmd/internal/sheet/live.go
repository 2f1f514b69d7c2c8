package sheet

import (
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Live is what is happening on the harness now. The zero Live is a healthy harness at rest, all plugged. Nothing in it is
// changed or kept.
type Live struct {
	// Theme is the palette; the zero Theme stands for draw.Workshop.
	Theme draw.Theme

	Leads     []Lead
	Unplugged map[string]bool          // connectors that are parted
	OpenLooms map[string]bool          // splices whose loom is open
	Positions map[string]string        // position by control; what is missing is at rest
	Effects   map[string]device.Effect // what is noticed, by component
	Fuses     map[string]Fuse          // what is known of fuses, by holder connector

	// Unreachable says, for points that no lead can touch now, why. They are drawn faint. nil draws all points alike.
	Unreachable map[harness.Point]string
	// Seen is what an inspection showed at points, in a word or two such as "corroded". It is drawn with a mark.
	Seen map[harness.Point]string
	// Marks are short notes at points where something was measured, such as "12.4 V".
	Marks map[harness.Point]string
	// Suspects are shaded places, for a debrief.
	Suspects []Suspect

	Hover Target // what is under the pointer; zero for none
	Focus Target // what the keyboard is on; zero for none
}

// Said is the word for what is noticed, as people read it.
func Said(e device.Effect) string { return Reads(e.Word) }

// Reads writes the words for what is noticed in a text as people read them: files and logs write some with a hyphen, such as misses-some.
func Reads(text string) string { return spoken.Replace(text) }

var spoken = func() *strings.Replacer {
	var pairs []string
	for _, k := range device.Kinds() {
		for _, w := range k.Words {
			if strings.Contains(w, "-") {
				pairs = append(pairs, w, strings.ReplaceAll(w, "-", " "))
			}
		}
	}
	return strings.NewReplacer(pairs...)
}()

// Lead is one lead of a tool, placed at a point; End is 0 for red, 1 for black.
type Lead struct {
	Tool  meter.Tool
	End   int
	Point harness.Point
}

// Fuse is what is known of the fuse in a holder.
type Fuse struct {
	Amps  float64 // rating printed on it
	Gone  bool    // pulled, and none in the holder
	Blown bool    // seen to be blown
}

// Suspect is a place that is shaded: Value from 0 (hardly) to 1 (certain) sets how dense the hatching is, Label is
// written beside it. Place is a place of a fault in text form ("wire 31b", "cavity X1.3", "component K1", ...).
type Suspect struct {
	Place string
	Value float64
	Label string
}

func (v *Live) theme() draw.Theme {
	if v.Theme.Paper.A == 0 {
		return draw.Workshop()
	}
	return v.Theme
}

// position returns the position a control is in, its first when nothing is said.
func (v *Live) position(h *harness.Harness, control string) string {
	if p, ok := v.Positions[control]; ok {
		return p
	}
	for i := range h.Controls {
		if h.Controls[i].ID == control && len(h.Controls[i].Positions) > 0 {
			return h.Controls[i].Positions[0]
		}
	}
	return ""
}

// glow returns the level of what a component does that can be noticed, 0 for nothing.
func (v *Live) level(component string) float64 {
	e := v.Effects[component]
	if e.Sense == device.Unnoticed {
		return 0
	}
	return max(e.Level, 0)
}
