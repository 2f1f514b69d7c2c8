package attempt

import (
	"math"
	"slices"
	"strings"

	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Wiggle shakes a place by hand, for as long as it takes to see what comes of it: "X1" (a connector), "X1.3" (the wires of one
// cavity, which moves those beside it), "G1", "G1.31b", "BAT.30", "S1" (with the loom open), "K1" (a component in its connectors),
// "wire 31b". Its observation is what is seen while the place shakes; the next action begins with letting go.
type Wiggle struct {
	Place string `json:"place"`
}

// Warm brings a place to harness.WarmedTo with a hot-air blower; Cool brings one to harness.CooledTo with a freezer spray. Both
// come back to their surroundings within some minutes. Places are those of Wiggle but for wires.
type Warm struct {
	Place string `json:"place"`
}

// Cool is the opposite of Warm.
type Cool struct {
	Place string `json:"place"`
}

// Do returns the action's word.
func (Wiggle) Do() string { return "wiggle" }

// Do returns the action's word.
func (Warm) Do() string { return "warm" }

// Do returns the action's word.
func (Cool) Do() string { return "cool" }

func (Wiggle) action() {}
func (Warm) action()   {}
func (Cool) action()   {}

// Bench time in seconds. Common practice, no source.
const (
	costWiggle = 8  // a firm hand, and eyes on the display or the vehicle
	costWarm   = 60 // a hot-air blower at arm's length
	costCool   = 15 // a freezer spray
)

// FlickerWord is on the display of a tool that shows something else while a place is wiggled than before.
const FlickerWord = "flickers"

// provoked returns the place that an action wiggles, warms or cools, "" for other actions.
func provoked(act Action) string {
	switch act := act.(type) {
	case Wiggle:
		return act.Place
	case Warm:
		return act.Place
	case Cool:
		return act.Place
	}
	return ""
}

// refuseProvoking says why a place cannot be wiggled, warmed or cooled now.
func (w *world) refuseProvoking(act Action) string {
	place := provoked(act)
	word, name, two := strings.Cut(place, " ")
	if !two {
		word, name = "", word
	}
	_, wiggling := act.(Wiggle)
	if word == "wire" && !wiggling {
		if why := w.lookable(place); why != "" {
			return why
		}
		return place + " is too long to " + act.Do() + ": choose an end of it"
	}
	if place == "" || name == "" || name == string(harness.Body) {
		return "there is nothing there to " + act.Do()
	}
	if why := w.lookable(place); why != "" {
		return why
	}
	return ""
}

// release ends what a hand does to a place and reports whether it did anything.
func (w *world) release() (bool, error) {
	if w.m.Shaking() == "" {
		return false, nil
	}
	return true, w.m.Wiggle("")
}

// provoke does what an action does to a place.
func (w *world) provoke(act Action) error {
	switch act := act.(type) {
	case Wiggle:
		return w.m.Wiggle(act.Place)
	case Warm:
		return w.m.Warm(act.Place)
	case Cool:
		return w.m.Cool(act.Place)
	}
	return nil
}

// flicker marks the displays that show something else now than before.
func flicker(before, now map[meter.Tool]meter.Display) {
	for _, tool := range meter.Tools() {
		was, there := before[tool]
		is, still := now[tool]
		if there && still && (was.Text != is.Text || was.Unit != is.Unit) {
			is.Words = append(slices.Clone(is.Words), FlickerWord)
			now[tool] = is
		}
	}
}

// felt lists the temperature of what is so far from the vehicle's that a finger tells, by id, in whole degrees Celsius.
func (w *world) felt() map[string]float64 {
	var out map[string]float64
	h := w.ex.Harness
	note := func(id string) {
		if c := math.Round(w.m.Celsius(id)); math.Abs(c-h.Vehicle.Celsius) >= feltKelvin {
			if out == nil {
				out = map[string]float64{}
			}
			out[id] = c
		}
	}
	for _, c := range h.Components {
		note(c.ID)
	}
	for _, c := range h.Connectors {
		note(c.ID)
	}
	for _, s := range h.Splices {
		note(s.ID)
	}
	for _, g := range h.Grounds {
		note(g.ID)
	}
	return out
}

// feltKelvin is the least difference of temperature that is told, in kelvin. Common practice, no source.
const feltKelvin = 5
