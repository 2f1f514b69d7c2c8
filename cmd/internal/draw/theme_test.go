package draw_test

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"

	"faultloom/cmd/internal/draw"
)

func TestContrastFormula(t *testing.T) {
	// WCAG 2.1, definition of contrast ratio: from 1 to 21. The greys are the
	// well-known neighbours of the 4.5 line on white (from memory).
	for _, c := range []struct {
		a, b draw.Colour
		want float64
	}{
		{draw.RGB(0x000000), draw.RGB(0xffffff), 21},
		{draw.RGB(0xffffff), draw.RGB(0xffffff), 1},
		{draw.RGB(0x767676), draw.RGB(0xffffff), 4.54},
		{draw.RGB(0x777777), draw.RGB(0xffffff), 4.48},
	} {
		assert.InDelta(t, c.want, draw.Contrast(c.a, c.b), 0.005)
		assert.Equal(t, draw.Contrast(c.a, c.b), draw.Contrast(c.b, c.a))
	}
}

// TestThemeContrast holds the theme to WCAG 2.1 level AA: 4.5 for text (1.4.3),
// 3 for borders, marks and the focus ring (1.4.11). Text that cannot be used
// now is exempt there; we hold it to 3.
func TestThemeContrast(t *testing.T) {
	th := draw.Workshop()
	type named map[string]draw.Colour
	surfaces := named{"desk": th.Desk, "panel": th.Panel, "paper": th.Paper, "raised": th.Raised, "sunk": th.Sunk}
	soft := named{"accent soft": th.AccentSoft, "good soft": th.GoodSoft, "caution soft": th.CautionSoft, "bad soft": th.BadSoft}
	check := func(least float64, fg string, c draw.Colour, grounds ...named) {
		for _, g := range grounds {
			for name, s := range g {
				assert.GreaterOrEqual(t, draw.Contrast(c, s), least, "%s on %s", fg, name)
			}
		}
	}
	const text, graphic = 4.5, 3.0
	check(text, "ink", th.Ink, surfaces, soft)
	check(text, "soft ink", th.InkSoft, surfaces, soft)
	check(graphic, "faint ink", th.InkFaint, surfaces)
	check(graphic, "edge", th.Edge, surfaces)
	check(graphic, "focus", th.Focus, surfaces, soft)
	check(text, "accent", th.Accent, surfaces, named{"accent soft": th.AccentSoft})
	check(text, "good", th.Good, surfaces, named{"good soft": th.GoodSoft})
	check(text, "caution", th.Caution, surfaces, named{"caution soft": th.CautionSoft})
	check(text, "bad", th.Bad, surfaces, named{"bad soft": th.BadSoft})
	check(text, "on accent", th.OnAccent, named{"accent": th.Accent, "accent deep": th.AccentDeep})
	check(text, "on case", th.OnCase, named{"case": th.Case, "case edge": th.CaseEdge})
	check(text, "screen ink", th.ScreenInk, named{"screen": th.Screen})
	check(text, "on lead", th.OnLead, named{"red": th.LeadRed, "black": th.LeadBlack})
	check(text, "ink on a lit lamp", th.Ink, named{"glow": th.Glow})
	// A word that is off must not read as one that is on.
	assert.Less(t, draw.Contrast(th.ScreenGhost, th.Screen), 1.6)
}

func TestEveryThemeColourIsSet(t *testing.T) {
	v := reflect.ValueOf(draw.Workshop())
	for i := range v.NumField() {
		if c, ok := v.Field(i).Interface().(draw.Colour); ok {
			assert.NotZero(t, c.A, v.Type().Field(i).Name)
		}
	}
}

func TestThemeScaled(t *testing.T) {
	a, b := draw.Workshop(), draw.Workshop().Scaled(2)
	assert.Equal(t, 2*a.Type.Body, b.Type.Body)
	assert.Equal(t, 2*a.Space.Pad, b.Space.Pad)
	assert.Equal(t, a.Space.Touch, b.Space.Touch)
	assert.Equal(t, a, a.Scaled(1))
	assert.GreaterOrEqual(t, a.Type.Caption, 12.0, "nothing smaller than 12 px is set")
}
