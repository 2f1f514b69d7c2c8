package draw

// Theme is the palette, the type scale and the measures of everything that is
// drawn. Text colours reach 4.5 to 1 on every surface they are meant for and
// edges that carry meaning 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11, level AA); a
// test holds them to it. No state is told by colour alone: the drawings add a
// word, a mark or a shape.
type Theme struct {
	// Surfaces, from the back to the front.
	Desk   Colour // behind everything
	Panel  Colour // a panel on the desk
	Paper  Colour // the wiring sheet and the job card
	Raised Colour // the face of a button or a chip
	Sunk   Colour // a track, a field, the inside of a tray

	Ink      Colour // text, symbols and everything that must be read
	InkSoft  Colour // second-rank text; still 4.5 to 1 on all surfaces
	InkFaint Colour // text of what cannot be used now; 3 to 1
	Hairline Colour // separates, carries no meaning
	Edge     Colour // border of what can be used; 3 to 1

	Accent     Colour // what is chosen or asks to be done next
	AccentDeep Colour // the accent pressed
	AccentSoft Colour // a surface tinted with the accent
	OnAccent   Colour // text on Accent and AccentDeep

	Good, GoodSoft       Colour // as it should be: text or mark, and its surface
	Caution, CautionSoft Colour // take care
	Bad, BadSoft         Colour // wrong or dangerous

	Glow Colour // light: a lamp's fill at full brightness

	Screen      Colour // display of an instrument
	ScreenInk   Colour // its digits and words
	ScreenGhost Colour // its words that are off
	Case        Colour // case of an instrument
	CaseEdge    Colour // its shaded rim
	OnCase      Colour // text on the case

	LeadRed, LeadBlack, OnLead Colour // test leads and the letter on them

	Focus  Colour // ring round what the keyboard is on
	Shadow Colour // translucent, under what floats

	Type  TypeScale
	Space Measures
}

// TypeScale is the sizes of text in sheet units.
type TypeScale struct {
	Caption float64 // labels on the sheet, notes: the smallest size in use
	Body    float64 // running text and buttons
	Lead    float64 // first lines, values in running text
	Head    float64 // heads of panels
	Title   float64 // one per screen
	Reading float64 // digits of an instrument
}

// Measures is the lengths that recur, in sheet units.
type Measures struct {
	Gap    float64 // between neighbours
	Pad    float64 // inside a panel
	Radius float64 // of corners
	Hair   float64 // thin line
	Line   float64 // line of a symbol or a border
	Focus  float64 // width of the focus ring
	Touch  float64 // least side of what a finger must hit (44 CSS px, WCAG 2.1 criterion 2.5.5)
}

// Workshop returns the product's theme: a paper sheet on a linen-coloured desk,
// blue-black ink and a mulberry accent, a hue that no wire of the sheet has.
func Workshop() Theme {
	return Theme{
		Desk:   RGB(0xdfdccf),
		Panel:  RGB(0xf1ede1),
		Paper:  RGB(0xfcf9f1),
		Raised: RGB(0xfffdf8),
		Sunk:   RGB(0xe6e2d4),

		Ink:      RGB(0x1f2b36),
		InkSoft:  RGB(0x4a555e),
		InkFaint: RGB(0x71786f),
		Hairline: RGB(0xcbc5b3),
		Edge:     RGB(0x7c7766),

		Accent:     RGB(0x7b2a58),
		AccentDeep: RGB(0x591a3e),
		AccentSoft: RGB(0xf2e2e9),
		OnAccent:   RGB(0xffffff),

		Good:        RGB(0x1c6140),
		GoodSoft:    RGB(0xdcebdd),
		Caution:     RGB(0x7a4b00),
		CautionSoft: RGB(0xf8e8c4),
		Bad:         RGB(0x9e2118),
		BadSoft:     RGB(0xf8ddd6),

		Glow: RGB(0xffd76a),

		Screen:      RGB(0xd5dccb),
		ScreenInk:   RGB(0x18221c),
		ScreenGhost: RGB(0xb7c0ad),
		Case:        RGB(0x34434d),
		CaseEdge:    RGB(0x222e36),
		OnCase:      RGB(0xf4f1e6),

		LeadRed:   RGB(0xb3201f),
		LeadBlack: RGB(0x24262a),
		OnLead:    RGB(0xffffff),

		Focus:  RGB(0x0b5d7a),
		Shadow: Colour{0x1f, 0x2b, 0x36, 0x38},

		Type:  TypeScale{Caption: 12, Body: 14, Lead: 16, Head: 19, Title: 24, Reading: 44},
		Space: Measures{Gap: 8, Pad: 14, Radius: 6, Hair: 1, Line: 1.6, Focus: 3, Touch: 44},
	}
}

// Scaled returns t with text and measures multiplied by k, the text scale of the
// user (1 to 2); k is clamped to 0.5..4. Line widths and the smallest touch
// target, which is a length on the finger's scale, keep their size.
func (t Theme) Scaled(k float64) Theme {
	k = min(max(k, 0.5), 4)
	for _, v := range []*float64{
		&t.Type.Caption, &t.Type.Body, &t.Type.Lead, &t.Type.Head, &t.Type.Title, &t.Type.Reading,
		&t.Space.Gap, &t.Space.Pad, &t.Space.Radius,
	} {
		*v *= k
	}
	return t
}

// Text returns the style of text of the given size in ink.
func (t Theme) Text(size float64) TextStyle { return TextStyle{Size: size, Colour: t.Ink} }

// Soft returns the style of second-rank text of the given size.
func (t Theme) Soft(size float64) TextStyle { return TextStyle{Size: size, Colour: t.InkSoft} }

// In returns st in another colour.
func (st TextStyle) In(c Colour) TextStyle { st.Colour = c; return st }

// As returns st in another face.
func (st TextStyle) As(f Face) TextStyle { st.Face = f; return st }

// To returns st with another alignment.
func (st TextStyle) To(a Align) TextStyle { st.Align = a; return st }
