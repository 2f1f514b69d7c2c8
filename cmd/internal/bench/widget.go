package bench

import "faultloom/cmd/internal/draw"

// Role says what kind of thing a Widget is, for assistive tools and tests.
type Role string

// The roles.
const (
	Button Role = "button"
	Toggle Role = "toggle" // On says whether it is pressed
	Choice Role = "choice" // one of several; On says whether it is the chosen one
	Lead   Role = "lead"   // an end of an instrument, to drag or to pick up
	Target Role = "target" // a thing on the sheet, the vehicle or a connector's face
	Sheet  Role = "sheet"  // the sheet as a whole: the arrow keys walk its targets
)

// Widget is one thing that can be used. Rect is the part of it that can be seen, in units of the screen (CSS pixels).
type Widget struct {
	ID      string // stable: the same thing has the same id in every frame
	Label   string // what it is called, unlike that of any other usable widget in its layer and group
	Role    Role
	Rect    draw.Rect
	Enabled bool
	Focused bool
	On      bool
	Hidden  bool   // scrolled or panned out of sight; the keyboard and assistive tools can still use it
	Hint    string // what it does, or why it cannot be used
	Layer   int    // 0 the bench, above it dialogs; only the uppermost layer can be used
	Stop    bool   // the Tab key stops here

	full  draw.Rect // before it was cut by its panel
	panel string    // the scrolling panel that it is in
	part  string    // of the screen, for F6
	act   func()
	actAt func(at draw.Point) // instead of act when it was pointed at
	under bool                // cannot be hit itself: the picture it is part of can
}

// Frame is one picture of the screen and all that can be used in it. It belongs to the Model and holds until the next.
type Frame struct {
	Size    draw.Point
	Base    draw.List // everything that stands still
	Over    draw.List // what follows the pointer, painted over Base
	Widgets []Widget  // in the order of the keyboard

	layer    int
	panels   []panelArea
	sheet    draw.Rect // where the sheet is shown, empty if it is not
	handles  map[leadEnd]draw.Point
	tray     draw.Rect
	hand     draw.Rect // of the word about the lead in the hand
	box      draw.Rect // of the uppermost dialog
	boxes    []textBox
	cablesTo map[leadEnd]draw.Point
	rim      []draw.Rect // labels of cables that go on out of sight
}

// panelArea is a scrolling panel.
type panelArea struct {
	id    string
	rect  draw.Rect
	most  float64 // largest scroll
	layer int
}

// textBox is a text with the box that it must fit, kept for tests.
type textBox struct {
	text string
	is   draw.Rect
	in   draw.Rect
}

// Find returns the widget of that id, the uppermost where dialogs that lie on each other have the same, nil if there is none.
func (f *Frame) Find(id string) *Widget {
	for i := len(f.Widgets) - 1; i >= 0; i-- { // layers come in their order
		if f.Widgets[i].ID == id {
			return &f.Widgets[i]
		}
	}
	return nil
}

// Named returns the first widget of the uppermost layer with that label, usable ones first; nil if there is none.
func (f *Frame) Named(label string) *Widget {
	var idle *Widget
	for i := range f.Widgets {
		w := &f.Widgets[i]
		if w.Label != label || w.Layer != f.layer {
			continue
		}
		if w.Enabled {
			return w
		}
		if idle == nil {
			idle = w
		}
	}
	return idle
}

// At returns the usable widget under p: in the uppermost layer, the last drawn first. Targets of the sheet are not
// found here, see Model.targetAt.
func (f *Frame) At(p draw.Point) *Widget {
	for i := len(f.Widgets) - 1; i >= 0; i-- {
		w := &f.Widgets[i]
		if w.Layer == f.layer && !w.Hidden && !w.under && w.panel != idSheet && w.Role != Sheet && w.Rect.Contains(p) {
			return w
		}
	}
	return nil
}

// TextsTooLarge names the texts that stick out of the box they were meant for.
func (f *Frame) TextsTooLarge() []string {
	var out []string
	const slack = 1 // rounding to whole pixels
	for _, b := range f.boxes {
		in := b.in.Inset(-slack)
		if b.is.X < in.X || b.is.MaxX() > in.MaxX() || b.is.Y < in.Y || b.is.MaxY() > in.MaxY() {
			out = append(out, b.text)
		}
	}
	return out
}

// RimLabels returns where the labels of cables stand that go on out of sight. The slice belongs to the frame.
func (f *Frame) RimLabels() []draw.Rect { return f.rim }

// Whole reports whether all of it can be seen, not only what its panel leaves over.
func (w *Widget) Whole() bool { return !w.Hidden && w.Rect == w.full }
