package draw

import (
	"fmt"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one of the four type faces of the product, all from the Go font
// family (golang.org/x/image/font/gofont).
type Face uint8

// The faces.
const (
	Regular Face = iota
	Bold
	Mono
	MonoBold
	faceCount
)

func (f Face) String() string {
	if f >= faceCount {
		return fmt.Sprintf("face %d", uint8(f))
	}
	return [...]string{"regular", "bold", "mono", "mono bold"}[f]
}

// TTF returns the TrueType file of face, for painters that set text
// themselves; an unknown face gives Regular. Do not change the bytes.
func TTF(face Face) []byte {
	switch face {
	case Bold:
		return gobold.TTF
	case Mono:
		return gomono.TTF
	case MonoBold:
		return gomonobold.TTF
	}
	return goregular.TTF
}

// denseRunes is how many runes, from 0 up, have their advance looked up once
// and kept: all letters, signs, arrows and shapes the Go fonts draw, but for a
// few suits, notes and ligatures beyond.
const denseRunes = 0x2680

// metrics holds what is measured of one face, in font units (Upem per em). It
// is built once and never changed.
type metrics struct {
	font            *sfnt.Font
	upem            float64
	ascent, descent float64
	capHeight       float64
	advance         [denseRunes]uint16
	has             [denseRunes]bool
	notdef          float64
}

// fonts parses the four faces the first time text is measured.
var fonts = sync.OnceValue(func() *[faceCount]*metrics {
	var all [faceCount]*metrics
	for f := range faceCount {
		m, err := newMetrics(TTF(f))
		if err != nil {
			// The fonts are compiled in: failing here means a broken build.
			panic(fmt.Sprintf("built-in %s font: %v", f, err))
		}
		all[f] = m
	}
	return &all
})

func metricsOf(f Face) *metrics {
	if f >= faceCount {
		f = Regular
	}
	return fonts()[f]
}

func newMetrics(ttf []byte) (*metrics, error) {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, err
	}
	var b sfnt.Buffer
	upem := fixed.I(int(f.UnitsPerEm()))
	fm, err := f.Metrics(&b, upem, font.HintingNone)
	if err != nil {
		return nil, err
	}
	m := &metrics{
		font:      f,
		upem:      float64(f.UnitsPerEm()),
		ascent:    float64(fm.Ascent) / 64,
		descent:   float64(fm.Descent) / 64,
		capHeight: float64(fm.CapHeight) / 64,
	}
	nd, err := f.GlyphAdvance(&b, 0, upem, font.HintingNone)
	if err != nil {
		return nil, err
	}
	m.notdef = float64(nd.Round())
	for r := range rune(denseRunes) {
		adv, ok, err := m.lookup(&b, r)
		if err != nil {
			return nil, err
		}
		m.advance[r], m.has[r] = uint16(adv), ok //nolint:gosec // font advances are 16 bits in the file
	}
	return m, nil
}

func (m *metrics) lookup(b *sfnt.Buffer, r rune) (adv int, ok bool, err error) {
	g, err := m.font.GlyphIndex(b, r)
	if err != nil {
		return 0, false, err
	}
	a, err := m.font.GlyphAdvance(b, g, fixed.I(int(m.upem)), font.HintingNone)
	if err != nil {
		return 0, false, err
	}
	return a.Round(), g != 0, nil
}

// units returns the advance of r in font units and whether the face has a
// glyph of its own for it.
func (m *metrics) units(r rune) (float64, bool) {
	if r >= 0 && r < denseRunes {
		return float64(m.advance[r]), m.has[r]
	}
	var b sfnt.Buffer
	a, ok, err := m.lookup(&b, r)
	if err != nil {
		return m.notdef, false
	}
	return float64(a), ok
}

// HasGlyph reports whether face can draw r with a glyph of its own.
func HasGlyph(face Face, r rune) bool {
	_, ok := metricsOf(face).units(r)
	return ok
}

// MissingGlyphs returns one error for each text of l that holds a rune its face
// has no glyph for, naming the text, the rune and the face; nil if all can be
// drawn. Every screen's tests should call it on their lists.
func MissingGlyphs(l *List) []error {
	var errs []error
	for i, o := range l.Ops() {
		t, ok := o.(*TextOp)
		if !ok {
			continue
		}
		for _, r := range t.Text {
			if plain := printable(r); !HasGlyph(t.Style.Face, plain) {
				errs = append(errs, fmt.Errorf("op %d: text %q: the %s face has no glyph for %q (%U)", i, t.Text, t.Style.Face, r, r))
				break
			}
		}
	}
	return errs
}
