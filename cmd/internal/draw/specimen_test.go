package draw_test

import (
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
)

var (
	update   = flag.Bool("update", false, "rewrite the golden files")
	pictures = flag.String("pictures", "", "folder to write PNG pictures of the specimens to")
)

// symbolStates are the states in which the specimen shows each symbol: at rest
// and at work.
var symbolStates = []draw.State{
	{},
	{Operated: true, Level: 1, Setting: 0.8, Blown: true, Parted: true},
}

// symbolSpecimen draws every symbol at rest and at work, with its name, at scale.
func symbolSpecimen(scale float64) (*draw.List, draw.Point) {
	th := draw.Workshop()
	const cols = 9
	w, h := 130*scale, 112*scale
	all := draw.Symbols()
	rows := (len(all) + cols - 1) / cols
	var l draw.List
	size := draw.Point{X: w * cols, Y: h * float64(rows)}
	l.Rect(draw.Rect{W: size.X, H: size.Y}, 0, th.Paper, draw.Stroke{})
	for i, s := range all {
		o := draw.Point{X: float64(i%cols) * w, Y: float64(i/cols) * h}
		l.BeginGroup(s.String(), s.String())
		for j, st := range symbolStates {
			p := draw.Place{At: o.Add(draw.Point{X: w * (0.27 + 0.5*float64(j)), Y: 44 * scale}), Scale: scale}
			if s == draw.SymRelayMake || s == draw.SymRelayChangeOver {
				p.Scale *= 0.62
			}
			s.Draw(&l, p, st, th)
		}
		l.Text(o.Add(draw.Point{X: w / 2, Y: 98 * scale}), s.String(), th.Soft(th.Type.Caption*scale*0.85).To(draw.Middle))
		l.EndGroup()
	}
	return &l, size
}

func writePicture(t *testing.T, name string, l *draw.List, size draw.Point, zoom float64) {
	t.Helper()
	if *pictures == "" {
		return
	}
	img := draw.Raster(l, int(size.X*zoom), int(size.Y*zoom), zoom)
	f, err := os.Create(filepath.Join(*pictures, name+".png"))
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
}

func TestSymbolSpecimen(t *testing.T) {
	l, size := symbolSpecimen(1)
	require.NoError(t, l.Err())
	require.Empty(t, draw.MissingGlyphs(l))
	writePicture(t, "symbols", l, size, 1.5)
	for _, k := range []float64{0.75, 2} {
		l, size := symbolSpecimen(k)
		writePicture(t, "symbols-"+map[float64]string{0.75: "small", 2: "large"}[k], l, size, 1)
	}
}
