package bench

import "faultloom/cmd/internal/draw"

// Settings are how a person likes the bench. The layer keeps them between visits.
type Settings struct {
	TextScale float64 `json:"textScale"` // 1 to 2
	Calm      bool    `json:"calm"`      // reduced motion
	Mute      bool    `json:"mute"`      // no sounds; captions are always there
	Guided    bool    `json:"guided"`    // a first reading was taken once: the guidance keeps back until asked for
}

// The steps of the text scale.
func textScales() []float64 { return []float64{1, 1.25, 1.5, 1.75, 2} }

// tidy puts unfit values right.
func (s Settings) tidy() Settings {
	if !(s.TextScale >= 1) {
		s.TextScale = 1
	}
	s.TextScale = min(s.TextScale, 2)
	return s
}

// form is how the screen is divided.
type form int

const (
	wide   form = iota // job card, sheet with the tray under it, vehicle with the place's card: all side by side
	split              // the sheet, and one of the others beside it
	narrow             // one at a time
)

// The least sizes of the forms, in units at text scale 1.
const (
	wideW, wideH   = 1080, 620
	splitW, splitH = 600, 330
)

// formOf chooses by the size in units at text scale 1: text twice as large needs a screen twice as large.
func formOf(size draw.Point, k float64) form {
	w, h := size.X/k, size.Y/k
	switch {
	case w >= wideW && h >= wideH:
		return wide
	case w >= splitW && h >= splitH:
		return split
	}
	return narrow
}
