package draw_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"

	"faultloom/cmd/internal/draw"
)

var faces = []draw.Face{draw.Regular, draw.Bold, draw.Mono, draw.MonoBold}

// TestMeasureAgainstOpentype compares with the text measuring of
// golang.org/x/image/font at one em = 2048 px, where nothing is rounded.
func TestMeasureAgainstOpentype(t *testing.T) {
	texts := []string{
		"", "A", "AV To fi ffl", "Faultloom", "12.6 V", "0.02 Ω at 20 °C", "1.5 mm²", "µA −3 × 4 ≤ 5 ≥ 2", "→ ↑ ↓ ▲ ▼ ● ○",
		"wire 31b, RD/WH", "Привет Ελλάδα ça été", "no\u00a0break", "\u2713 missing glyph",
	}
	for _, face := range faces {
		f, err := opentype.Parse(draw.TTF(face))
		require.NoError(t, err)
		ot, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 2048, DPI: 72, Hinting: font.HintingNone})
		require.NoError(t, err)
		for _, s := range texts {
			want := float64(font.MeasureString(ot, s)) / 64
			assert.InDelta(t, want, draw.Measure(s, face, 2048), 1e-6, "%s %q", face, s)
			assert.InDelta(t, want*14/2048, draw.Measure(s, face, 14), 1e-9, "%s %q at 14", face, s)
		}
		m := ot.Metrics()
		assert.InDelta(t, float64(m.Ascent)/64, draw.Ascent(face, 2048), 1e-6)
		assert.InDelta(t, float64(m.Descent)/64, draw.Descent(face, 2048), 1e-6)
		assert.InDelta(t, float64(m.CapHeight)/64, draw.CapHeight(face, 2048), 1e-6)
	}
}

func TestMonoDigitsDoNotDance(t *testing.T) {
	for _, face := range []draw.Face{draw.Mono, draw.MonoBold} {
		w := draw.Measure("0", face, 100)
		for _, r := range "123456789.−-OLΩ " {
			assert.Equal(t, w, draw.Measure(string(r), face, 100), "%s %q", face, r)
		}
	}
}

// Every sign that readings, sheets and arrows use has a glyph in all faces;
// the tick has none in the Go fonts, which is why Theme.Mark draws it.
func TestGlyphs(t *testing.T) {
	for _, face := range faces {
		for _, r := range "ΩΩµμ²³°→←↑↓▲▼◄►●○≤≥−×÷±·•…–—“”‘’√∞≈≠θΔ\u00a0" {
			assert.True(t, draw.HasGlyph(face, r), "%s: %q (%U)", face, r, r)
		}
		for _, r := range "✓✗⚠\u2009\u202f⏚" {
			assert.False(t, draw.HasGlyph(face, r), "%s: %q (%U) is expected to be missing", face, r, r)
		}
	}
}

func TestMissingGlyphs(t *testing.T) {
	var l draw.List
	l.Text(draw.Point{}, "fine: 4.7 kΩ", draw.TextStyle{Size: 12})
	l.Text(draw.Point{}, "done ✓ ✓", draw.TextStyle{Size: 12, Face: draw.Bold})
	l.Text(draw.Point{}, "tab\tand\nbreak", draw.TextStyle{Size: 12})
	errs := draw.MissingGlyphs(&l)
	require.Len(t, errs, 1)
	assert.EqualError(t, errs[0], `op 1: text "done ✓ ✓": the bold face has no glyph for '✓' (U+2713)`)
}

func TestWrap(t *testing.T) {
	// Go Mono: all advances are equal, so widths are counted in characters.
	em := draw.Measure("0", draw.Mono, 10)
	cases := map[string]struct {
		s     string
		chars float64
		want  []string
	}{
		"empty":                     {"", 10, []string{""}},
		"fits":                      {"lamp dim", 8, []string{"lamp dim"}},
		"at a space":                {"both lamps light", 10, []string{"both lamps", "light"}},
		"spaces at breaks go":       {"both   lamps", 6, []string{"both", "lamps"}},
		"inner spaces stay":         {"a  b c", 4, []string{"a  b", "c"}},
		"line breaks kept":          {"one\n\ntwo\r\nthree", 20, []string{"one", "", "two", "three"}},
		"after a hyphen":            {"push-button off", 8, []string{"push-", "button", "off"}},
		"a minus sign stays":        {"at -12 V", 5, []string{"at", "-12 V"}},
		"after a slash":             {"lamp/horn", 6, []string{"lamp/", "horn"}},
		"colour codes stay if room": {"wire RD/WH", 5, []string{"wire", "RD/WH"}},
		"value held to its unit":    {"reads 12.6\u00a0V now", 10, []string{"reads", "12.6\u00a0V now"}},
		"a word too wide is cut":    {"abcdefgh ij", 3, []string{"abc", "def", "gh", "ij"}},
		"no room at all":            {"ab c", 0, []string{"a", "b", "c"}},
		"multi-byte":                {"ΩΩΩΩ Ω", 2, []string{"ΩΩ", "ΩΩ", "Ω"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, draw.Wrap(c.s, draw.Mono, 10, c.chars*em))
		})
	}
}

func TestEllipsize(t *testing.T) {
	em := draw.Measure("0", draw.Mono, 10)
	for _, c := range []struct {
		s     string
		chars float64
		want  string
	}{
		{"lamp", 4, "lamp"}, {"lamps", 4, "lam…"}, {"la mps", 4, "la…"}, {"lamps", 1, "…"}, {"lamps", 0.5, ""}, {"", 0, ""}, {"ΩΩΩΩ", 3, "ΩΩ…"},
	} {
		assert.Equal(t, c.want, draw.Ellipsize(c.s, draw.Mono, 10, c.chars*em), "%q in %v", c.s, c.chars)
	}
}

func TestTextBounds(t *testing.T) {
	w := draw.Measure("31b", draw.Regular, 20)
	for _, c := range []struct {
		a draw.Align
		x float64
	}{{draw.Start, 100}, {draw.Middle, 100 - w/2}, {draw.End, 100 - w}} {
		b := draw.TextBounds(draw.Point{X: 100, Y: 50}, "31b", draw.TextStyle{Size: 20, Align: c.a})
		assert.InDelta(t, c.x, b.X, 1e-9)
		assert.InDelta(t, w, b.W, 1e-9)
		assert.InDelta(t, 50-draw.Ascent(draw.Regular, 20), b.Y, 1e-9)
	}
}

func TestParagraph(t *testing.T) {
	var l draw.List
	st := draw.TextStyle{Size: 10, Face: draw.Mono}
	em := draw.Measure("0", draw.Mono, 10)
	h := l.Paragraph(draw.Point{X: 5, Y: 7}, "both lamps light", 10*em, st)
	assert.Equal(t, draw.ParagraphHeight("both lamps light", 10*em, st), h)
	assert.InDelta(t, 2*draw.LineHeight(draw.Mono, 10), h, 1e-9)
	require.Equal(t, 2, l.Len())
	b := draw.Bounds(&l)
	assert.GreaterOrEqual(t, b.Y, 7.0, "letters stay inside the paragraph's top")
	assert.LessOrEqual(t, b.MaxY(), 7+h, "and bottom")
}

func FuzzWrap(f *testing.F) {
	f.Add("both lamps light", 30.0)
	f.Add("a-b/c d\u00a0e\n\tf", 0.0)
	f.Add("\xff\xfe-", -3.0)
	f.Fuzz(func(t *testing.T, s string, width float64) {
		lines := draw.Wrap(s, draw.Regular, 10, width)
		require.NotEmpty(t, lines)
		// Bytes, not runes: broken UTF-8 must come through as it is.
		keep := strings.NewReplacer(" ", "", "\n", "", "\r", "").Replace
		assert.Equal(t, keep(s), keep(strings.Join(lines, "")), "nothing but spaces and breaks is lost")
		for _, l := range lines {
			if utf8.RuneCountInString(l) > 1 {
				assert.LessOrEqual(t, draw.Measure(l, draw.Regular, 10), max(width, 0)+1e-5, "%q", l)
			}
		}
		e := draw.Ellipsize(s, draw.Regular, 10, width)
		if e != s {
			assert.LessOrEqual(t, draw.Measure(e, draw.Regular, 10), max(width, 0)+1e-5)
		}
	})
}
