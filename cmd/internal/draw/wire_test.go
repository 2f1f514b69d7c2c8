package draw_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

// TestWireCodesAgainstTheStandard reads the code table (IEC 60757 table 1, each
// row with its source) and wants every code and name, in the same order.
func TestWireCodesAgainstTheStandard(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "draw", "colour_codes.csv"))
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"order", "code", "colour", "source", "seen", "note"}, rows[0])
	var codes []string
	for _, r := range rows[1:] {
		order, code, colour := r[0], r[1], r[2]
		if order == "" {
			continue // ways of writing, not codes
		}
		name, err := draw.WireName(code)
		require.NoError(t, err)
		assert.Equal(t, strings.ReplaceAll(colour, "-", " "), name, code)
		base, tracer, err := draw.Wire(strings.ToLower(code))
		require.NoError(t, err, "lower case is allowed")
		assert.Equal(t, uint8(255), base.A)
		if code == "GNYE" {
			green, _, _ := draw.Wire("GN")
			yellow, _, _ := draw.Wire("YE")
			assert.Equal(t, green, base)
			assert.Equal(t, yellow, tracer)
			continue
		}
		assert.Zero(t, tracer.A, code)
		codes = append(codes, code)
	}
	assert.Equal(t, codes, draw.WireCodes())
}

func TestWireErrors(t *testing.T) {
	for code, want := range map[string]string{
		"":         `wire colour "": "" is not a code of IEC 60757`,
		"XX":       `wire colour "XX": "XX" is not a code of IEC 60757 (want one of BK, BN, RD,`,
		"RD/":      `wire colour "RD/": "" is not`,
		"RD/WH/BK": `"WH/BK" is not`,
		"RDBU":     `want base, slash, tracer, such as "RD/BU"`,
		"RD/RD":    `the tracer is the base colour`,
		"GNYE/RD":  `"GNYE" is not`,
		"R D":      `"R D" is not`,
	} {
		_, _, err := draw.Wire(code)
		require.Error(t, err, "%q", code)
		assert.Contains(t, err.Error(), want)
		_, err = draw.WireName(code)
		assert.Error(t, err)
		_, err = draw.Workshop().WireStyle(code)
		assert.Error(t, err)
	}
	name, err := draw.WireName("bn/gy")
	require.NoError(t, err)
	assert.Equal(t, "brown with a grey tracer", name)
}

// lab returns CIE 1976 L*a*b* (D65) of an sRGB colour: IEC 61966-2-1 matrix,
// CIE 15 formula, both from memory.
func lab(c draw.Colour) [3]float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	r, g, b := lin(c.R), lin(c.G), lin(c.B)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*r + 0.3576*g + 0.1805*b) / 0.9505)
	y := f(0.2126*r + 0.7152*g + 0.0722*b)
	z := f((0.0193*r + 0.1192*g + 0.9505*b) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// Shades must be told apart side by side: ΔE*ab of 15 is several times a just
// noticeable difference of about 2.3 (common practice, no source). The code is
// written on the wire all the same.
func TestWireColoursStayApart(t *testing.T) {
	codes := draw.WireCodes()
	for i, a := range codes {
		ca, _, _ := draw.Wire(a)
		for _, b := range codes[:i] {
			cb, _, _ := draw.Wire(b)
			la, lb := lab(ca), lab(cb)
			d := math.Sqrt(math.Pow(la[0]-lb[0], 2) + math.Pow(la[1]-lb[1], 2) + math.Pow(la[2]-lb[2], 2))
			assert.Greater(t, d, 15.0, "%s and %s", a, b)
		}
	}
}

// Every wire stands out from the sheet by 3 to 1 (WCAG 2.1, 1.4.11), by itself
// or by its rim, and a rim differs from its wire.
func TestWireRims(t *testing.T) {
	th := draw.Workshop()
	for _, code := range draw.WireCodes() {
		st, err := th.WireStyle(code)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, draw.Contrast(st.Outline, th.Paper), 3.0, "%s: rim on paper", code)
		assert.Greater(t, draw.Contrast(st.Outline, st.Base), 1.25, "%s: rim on wire", code)
	}
}

func TestAppendWire(t *testing.T) {
	th := draw.Workshop()
	st, err := th.WireStyle("RD/WH")
	require.NoError(t, err)
	var l draw.List
	l.Rect(draw.Rect{W: 120, H: 80}, 0, th.Paper, draw.Stroke{})
	draw.AppendWire(&l, []draw.Point{{X: 10, Y: 20}, {X: 100, Y: 20}, {X: 100, Y: 75}}, st)
	require.NoError(t, l.Err())
	img := draw.Raster(&l, 480, 320, 4)
	counts := map[draw.Colour]int{}
	for x := 60; x < 340; x++ {
		p := img.RGBAAt(x, 80)
		counts[draw.Colour{R: p.R, G: p.G, B: p.B, A: p.A}]++
	}
	red, white, _ := draw.Wire("RD/WH")
	assert.Greater(t, counts[red], 120, "mostly the base colour along the middle")
	assert.Greater(t, counts[white], 60, "with tracer bars")
	p := img.RGBAAt(400-1, 80+1)
	assert.NotEqual(t, red, draw.Colour{R: p.R, G: p.G, B: p.B, A: p.A}, "the outer corner is rounded off")

	var bad draw.List
	draw.AppendWire(&bad, []draw.Point{{X: math.NaN()}, {}}, st)
	assert.Error(t, bad.Err())
	draw.AppendWire(&bad, []draw.Point{{}}, st)
	assert.Zero(t, bad.Len(), "one point is no wire")
	st.Width = 0
	var thin draw.List
	draw.AppendWire(&thin, []draw.Point{{}, {}, {X: 1}}, st)
	assert.NoError(t, thin.Err())
}

// A wire does not cut into what it is joined to: its halo stops short.
func TestWireHaloStopsShort(t *testing.T) {
	th := draw.Workshop()
	st, err := th.WireStyle("BU")
	require.NoError(t, err)
	var l draw.List
	trunk := draw.RGB(0xff0000)
	l.Rect(draw.Rect{X: 0, Y: 0, W: 10, H: 80}, 0, trunk, draw.Stroke{})
	draw.AppendWire(&l, []draw.Point{{X: 10, Y: 40}, {X: 80, Y: 40}}, st)
	img := draw.Raster(&l, 80, 80, 1)
	for y := range 80 {
		p := img.RGBAAt(8, y)
		require.Equal(t, trunk, draw.Colour{R: p.R, G: p.G, B: p.B, A: p.A}, "y %d", y)
	}
	assert.NotZero(t, img.RGBAAt(40, 35).A, "in the middle it parts from what it crosses")
}
