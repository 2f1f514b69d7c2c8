package draw_test

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

// parse reads the document strictly and returns its elements' names, all
// attribute values and all character data outside of white space.
func parse(t *testing.T, doc []byte) (elements map[string]int, attrs map[string][]string, texts []string) {
	t.Helper()
	elements, attrs = map[string]int{}, map[string][]string{}
	d := xml.NewDecoder(bytes.NewReader(doc))
	d.Strict = true
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return elements, attrs, texts
		}
		require.NoError(t, err, "%s", doc)
		switch tok := tok.(type) {
		case xml.StartElement:
			elements[tok.Name.Local]++
			for _, a := range tok.Attr {
				attrs[a.Name.Local] = append(attrs[a.Name.Local], a.Value)
			}
		case xml.CharData:
			if s := string(tok); strings.TrimSpace(s) != "" {
				texts = append(texts, s)
			}
		}
	}
}

func TestSVGSaysWhatItIs(t *testing.T) {
	var l draw.List
	l.BeginGroup("wire 31b", "Wire 31b, black & brown")
	l.Line(draw.Point{}, draw.Point{X: 10}, draw.Pen(draw.RGB(0), 2))
	l.EndGroup()
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, &l, draw.Point{X: 400, Y: 300}, draw.SVGOptions{
		Title: "Horn <circuit>", Desc: "Supply at the top.", PageMillimetres: draw.Point{X: 200, Y: 150}, IDPrefix: "s1\"-", Background: draw.RGB(0xffffff),
	}))
	_, attrs, texts := parse(t, b.Bytes())
	assert.Equal(t, []string{"img"}, attrs["role"])
	assert.Equal(t, []string{"0 0 400 300"}, attrs["viewBox"])
	assert.Equal(t, "200mm", attrs["width"][0])
	assert.Equal(t, "150mm", attrs["height"][0])
	assert.Equal(t, []string{"s1-title"}, attrs["aria-labelledby"])
	assert.Equal(t, []string{"s1-title", "s1-desc"}, attrs["id"])
	assert.Equal(t, []string{"wire 31b"}, attrs["data-id"])
	assert.Equal(t, []string{"Horn <circuit>", "Supply at the top.", "Wire 31b, black & brown"}, texts)
	for _, bad := range []string{"href", "url(http", "<script", "<style", "<image", "@import", "data:"} {
		assert.NotContains(t, b.String(), bad, "self-contained")
	}
}

func TestSVGRefuses(t *testing.T) {
	var l draw.List
	for name, c := range map[string]struct {
		size draw.Point
		o    draw.SVGOptions
	}{
		"no width":      {draw.Point{Y: 1}, draw.SVGOptions{}},
		"not a number":  {draw.Point{X: math.NaN(), Y: 1}, draw.SVGOptions{}},
		"half a page":   {draw.Point{X: 1, Y: 1}, draw.SVGOptions{PageMillimetres: draw.Point{X: 10}}},
		"negative page": {draw.Point{X: 1, Y: 1}, draw.SVGOptions{PageMillimetres: draw.Point{X: -1, Y: 2}}},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			assert.Error(t, draw.WriteSVG(&b, &l, c.size, c.o))
			assert.Zero(t, b.Len(), "nothing is written")
		})
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestSVGReportsTheWriter(t *testing.T) {
	l, size := symbolSpecimen(1)
	assert.ErrorIs(t, draw.WriteSVG(brokenWriter{}, l, size, draw.SVGOptions{}), io.ErrClosedPipe)
}

func TestSVGTextKeepsItsLength(t *testing.T) {
	var l draw.List
	l.Text(draw.Point{X: 3, Y: 9}, "  4.7 kΩ", draw.TextStyle{Size: 10, Face: draw.MonoBold, Colour: draw.Colour{R: 255, A: 128}, Align: draw.End})
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, &l, draw.Point{X: 50, Y: 20}, draw.SVGOptions{}))
	// 8 advances of 1229/2048 em (Go Mono) at size 10: 48.008.
	assert.Contains(t, b.String(), `<text x="3" y="9" font-family="'Go Mono',ui-monospace,monospace" font-weight="700" font-size="10" `+
		`text-anchor="end" textLength="48.008" lengthAdjust="spacingAndGlyphs" fill="#ff0000" fill-opacity="0.502" xml:space="preserve">  4.7 kΩ</text>`)
}

func TestSVGShapes(t *testing.T) {
	var l draw.List
	pen := draw.Pen(draw.RGB(0x102030), 1.5)
	l.PushClip(draw.Rect{X: 1, Y: 2, W: 3, H: 4})
	l.PushTransform(1.5, draw.Point{X: -0.0001, Y: 8})
	l.Rect(draw.Rect{X: 1, Y: 2, W: 10, H: 4}, 99, draw.Colour{}, pen)
	l.PopTransform()
	l.PopClip()
	l.Arc(draw.Point{}, 10, 0, 90, draw.RoundPen(draw.RGB(0), 1))
	l.Arc(draw.Point{}, 10, 0, -270, pen.Dashed(3, 2))
	l.Arc(draw.Point{}, 10, 0, 720, pen)
	l.HitArea(draw.Rect{W: 4, H: 4})
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, &l, draw.Point{X: 50, Y: 20}, draw.SVGOptions{}))
	for _, want := range []string{
		`<clipPath id="clip1"><rect x="1" y="2" width="3" height="4"/></clipPath>` + "\n" + `<g clip-path="url(#clip1)">`,
		`<g transform="translate(0 8) scale(1.5)">`,
		`<rect x="1" y="2" width="10" height="4" rx="2" fill="none" stroke="#102030" stroke-width="1.5"/>`,
		`<path d="M10,0A10 10 0 0 1 0,10" fill="none" stroke="#000000" stroke-width="1" stroke-linecap="round" stroke-linejoin="round"/>`,
		`<path d="M10,0A10 10 0 1 0 0,10" fill="none" stroke="#102030" stroke-width="1.5" stroke-dasharray="3 2"/>`,
		`<circle cx="0" cy="0" r="10" fill="none" stroke="#102030" stroke-width="1.5"/>`,
		`<rect x="0" y="0" width="4" height="4" fill="none" pointer-events="all"/>`,
	} {
		assert.Contains(t, b.String(), want)
	}
}

// FuzzWriteSVG puts any text in every place that takes one and wants a strict
// XML reader to get back what was put in, unreadable characters replaced.
func FuzzWriteSVG(f *testing.F) {
	for _, s := range []string{"", "Ω < & > \" ' ]]>", "\x00\x1b\xff", "<script>alert(1)</script>", "\u2028\ufffe\U0001f600", "a\tb\nc\rd", "--><!--", "&amp;&#0;"} {
		f.Add(s, 12.0)
	}
	f.Fuzz(func(t *testing.T, s string, size float64) {
		var l draw.List
		l.BeginGroup(s, s)
		l.Text(draw.Point{X: size}, s, draw.TextStyle{Size: 12})
		l.EndGroup()
		l.Text(draw.Point{}, s, draw.TextStyle{Size: size})
		l.Circle(draw.Point{}, size, draw.RGB(0), draw.Pen(draw.RGB(0), size))
		if l.Err() != nil {
			l.Reset()
			l.BeginGroup(s, s)
			l.Text(draw.Point{}, s, draw.TextStyle{Size: 12})
			l.EndGroup()
		}
		var b, again bytes.Buffer
		o := draw.SVGOptions{Title: s, Desc: s, IDPrefix: s, Lang: s}
		require.NoError(t, draw.WriteSVG(&b, &l, draw.Point{X: 10, Y: 10}, o))
		require.NoError(t, draw.WriteSVG(&again, &l, draw.Point{X: 10, Y: 10}, o))
		require.Equal(t, b.String(), again.String(), "the same bytes every time")
		elements, attrs, texts := parse(t, b.Bytes())
		for name := range elements {
			require.Contains(t, []string{"svg", "title", "desc", "g", "text", "circle"}, name, "no element came out of a text")
		}
		for _, v := range attrs["x"] {
			require.NotContains(t, v, "Inf")
			require.NotContains(t, v, "NaN")
		}
		if plain := strings.ToValidUTF8(s, "\ufffd"); plain == s && !strings.ContainsFunc(s, func(r rune) bool { return r < 0x20 || r >= 0x7f && r < 0xa0 || r&0xfffe == 0xfffe }) {
			require.Equal(t, s, attrs["data-id"][0])
			if strings.TrimSpace(s) != "" {
				require.Contains(t, texts, s)
			}
		}
	})
}

// FuzzList appends whatever operations the bytes spell, and wants either a
// reported mistake or a sound picture from every consumer.
func FuzzList(f *testing.F) {
	f.Add([]byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15})
	f.Add(bytes.Repeat([]byte{12, 0xff, 0xf0, 7, 13, 3}, 8))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 400 {
			return
		}
		var l draw.List
		num := func() float64 {
			if len(data) == 0 {
				return 1
			}
			b := data[0]
			data = data[1:]
			if b < 250 {
				return float64(b) - 60
			}
			var raw [8]byte
			n := copy(raw[:], data)
			data = data[n:]
			return math.Float64frombits(binary.LittleEndian.Uint64(raw[:]))
		}
		pt := func() draw.Point { return draw.Point{X: num(), Y: num()} }
		rect := func() draw.Rect { return draw.Rect{X: num(), Y: num(), W: num(), H: num()} }
		pen := func() draw.Stroke {
			s := draw.Stroke{Colour: draw.RGB(0x336699), Width: num(), DashOffset: num()}
			s.Dash[0], s.Dash[1] = num(), num()
			if len(data)%2 == 0 {
				s.Cap, s.Join = draw.CapRound, draw.JoinRound
			}
			return s
		}
		for len(data) > 0 {
			op := data[0]
			data = data[1:]
			switch op % 14 {
			case 0:
				l.Rect(rect(), num(), draw.RGB(1), pen())
			case 1:
				l.Polyline([]draw.Point{pt(), pt(), pt()}, pen())
			case 2:
				l.Polygon([]draw.Point{pt(), pt(), pt(), pt()}, draw.RGB(2), pen())
			case 3:
				l.Circle(pt(), num(), draw.RGB(3), pen())
			case 4:
				l.Arc(pt(), num(), num(), num(), pen())
			case 5:
				var p draw.Path
				p.QuadTo(pt(), pt())
				p.Close()
				p.CubicTo(pt(), pt(), pt())
				l.Path(p, draw.RGB(4), pen())
			case 6:
				l.Text(pt(), "Ωx", draw.TextStyle{Size: num(), Face: draw.Face(op)})
			case 7:
				l.PushClip(rect())
			case 8:
				l.PopClip()
			case 9:
				l.PushTransform(num(), pt())
			case 10:
				l.PopTransform()
			case 11:
				l.BeginGroup("g", "")
			case 12:
				l.EndGroup()
			case 13:
				l.HitArea(rect())
			}
		}
		draw.Raster(&l, 40, 30, 1)
		draw.Regions(&l)
		draw.Bounds(&l)
		draw.Hit(&l, draw.Point{X: 10, Y: 10}, 5)
		var b bytes.Buffer
		if err := draw.WriteSVG(&b, &l, draw.Point{X: 40, Y: 30}, draw.SVGOptions{}); err != nil {
			require.Error(t, l.Err())
			return
		}
		parse(t, b.Bytes())
		require.NotContains(t, b.String(), "Inf")
		require.NotContains(t, b.String(), "NaN")
	})
}
