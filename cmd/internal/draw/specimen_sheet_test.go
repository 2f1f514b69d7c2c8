package draw_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

// sheetSpecimen draws a small made-up circuit with wires joined to the symbols'
// terminals, and turned, mirrored and dimmed symbols beside it.
func sheetSpecimen(t *testing.T) (*draw.List, draw.Point) {
	t.Helper()
	th := draw.Workshop()
	size := draw.Point{X: 640, Y: 420}
	var l draw.List
	l.Rect(draw.Rect{W: size.X, H: size.Y}, 0, th.Paper, draw.Stroke{})

	wire := func(code string, pts ...draw.Point) {
		st, err := th.WireStyle(code)
		require.NoError(t, err)
		name, err := draw.WireName(code)
		require.NoError(t, err)
		l.BeginGroup("wire "+code, name+" wire")
		draw.AppendWire(&l, pts, st)
		at := pts[0].Lerp(pts[1], 0.5).Add(draw.Point{X: 7, Y: 4})
		if pts[0].Y == pts[1].Y {
			at.Y -= 11
		}
		l.Text(at, code, th.Text(th.Type.Caption).As(draw.Mono))
		l.EndGroup()
	}
	relay := draw.Place{At: draw.Point{X: 130, Y: 190}}
	fuse := draw.Place{At: draw.Point{X: 154, Y: 62}}
	lamp := draw.Place{At: draw.Point{X: 170, Y: 322}}
	lampB := draw.Place{At: draw.Point{X: 230, Y: 322}}
	gnd := draw.Place{At: draw.Point{X: 200, Y: 400}}
	at := func(s draw.Symbol, p draw.Place, name string) draw.Point {
		q, ok := s.TerminalAt(p, name)
		require.True(t, ok, "%s has no terminal %s", s, name)
		return q
	}
	wire("RD/WH", at(draw.SymFuse, fuse, "b"), at(draw.SymRelayChangeOver, relay, "30"))
	out := at(draw.SymRelayChangeOver, relay, "87a")
	wire("BU/YE", out, at(draw.SymLamp, lamp, "a"))
	wire("BU", draw.Point{X: 170, Y: 270}, draw.Point{X: 230, Y: 270}, at(draw.SymLamp, lampB, "a"))
	draw.SymSplice.Draw(&l, draw.Place{At: draw.Point{X: 170, Y: 270}}, draw.State{}, th)
	b := at(draw.SymLamp, lamp, "b")
	wire("BK", b, draw.Point{X: b.X, Y: 368}, draw.Point{X: 200, Y: 368}, at(draw.SymChassis, gnd, "a"))
	b = at(draw.SymLamp, lampB, "b")
	wire("WH", b, draw.Point{X: b.X, Y: 368}, draw.Point{X: 206, Y: 368})
	coil := at(draw.SymRelayChangeOver, relay, "86")
	wire("GNYE", draw.Point{X: coil.X, Y: 30}, coil)
	draw.SymFuse.Draw(&l, fuse, draw.State{}, th)
	draw.SymRelayChangeOver.Draw(&l, relay, draw.State{}, th)
	draw.SymLamp.Draw(&l, lamp, draw.State{Level: 0.15}, th)
	draw.SymLamp.Draw(&l, lampB, draw.State{Level: 0.9}, th)
	draw.SymChassis.Draw(&l, gnd, draw.State{}, th)

	for i := range 5 {
		draw.SymLamp.Draw(&l, draw.Place{At: draw.Point{X: 330 + float64(i)*66, Y: 50}}, draw.State{Level: float64(i) / 4}, th)
	}
	for i := range 4 {
		p := draw.Place{At: draw.Point{X: 340 + float64(i)*80, Y: 150}, Turn: draw.Turn(i), Mirror: i%2 == 1}
		draw.SymPush.Draw(&l, p, draw.State{Operated: i == 2}, th)
		p.At.Y = 240
		draw.SymHorn.Draw(&l, p, draw.State{Level: float64(i) / 3}, th)
		p.At.Y = 330
		draw.SymNTC.Draw(&l, p, draw.State{}, th)
	}
	draw.SymRelayMake.Draw(&l, draw.Place{At: draw.Point{X: 60, Y: 320}}, draw.State{Operated: true, Level: 1}, th)
	return &l, size
}

// golden compares got with the stored file of that name, or rewrites it under
// -update: look at the picture before committing the change.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("..", "..", "..", "testdata", "draw", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -args -update to write it")
	if !bytes.Equal(want, got) {
		g, w := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
		for i := range min(len(g), len(w)) {
			require.Equal(t, string(w[i]), string(g[i]), "%s line %d", name, i+1)
		}
		require.Len(t, g, len(w), "%s: number of lines", name)
	}
}

func TestSheetSpecimen(t *testing.T) {
	l, size := sheetSpecimen(t)
	require.NoError(t, l.Err())
	require.Empty(t, draw.MissingGlyphs(l))
	writePicture(t, "sheet", l, size, 2)
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, l, size, draw.SVGOptions{
		Title: "Specimen sheet", Desc: "A made-up circuit: fuse, relay, two lamps and chassis.",
		PageMillimetres: draw.Point{X: 180, Y: 118.125},
	}))
	golden(t, "sheet.svg", b.Bytes())
}

func TestGoldenSymbols(t *testing.T) {
	l, size := symbolSpecimen(1)
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, l, size, draw.SVGOptions{Title: "Symbols"}))
	golden(t, "symbols.svg", b.Bytes())
}

func TestGoldenWidgets(t *testing.T) {
	l, size := widgetSpecimen(1)
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, l, size, draw.SVGOptions{Title: "Widgets"}))
	golden(t, "widgets.svg", b.Bytes())
}
