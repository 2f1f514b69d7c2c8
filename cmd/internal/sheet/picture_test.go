package sheet_test

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
)

// picture writes a PNG for people to look at, when a folder for pictures is named.
func picture(t *testing.T, name string, l *draw.List, size draw.Rect, scale float64) {
	t.Helper()
	dir := os.Getenv("SHEET_PICTURES")
	if dir == "" {
		return
	}
	var page draw.List
	page.PushTransform(1, draw.Point{X: -size.X, Y: -size.Y})
	page.Rect(size, 0, draw.Workshop().Paper, draw.Stroke{})
	page.PopTransform()
	img := draw.Raster(&page, int(size.W*scale), int(size.H*scale), scale)
	over := draw.Raster(l, int(size.W*scale), int(size.H*scale), scale)
	for i := 0; i < len(img.Pix); i += 4 {
		a := uint32(over.Pix[i+3])
		for k := range 3 {
			img.Pix[i+k] = uint8(uint32(over.Pix[i+k]) + uint32(img.Pix[i+k])*(255-a)/255)
		}
	}
	f, err := os.Create(filepath.Join(dir, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}

func TestPictures(t *testing.T) {
	s := sheet.Layout(dock())
	var l draw.List
	s.Draw(&l, sheet.Live{})
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	picture(t, "dock", &l, s.Bounds(), 1)
	for _, n := range []int{25, 60} {
		s := sheet.Layout(generated(uint64(n)*100+1, n))
		var l draw.List
		s.Draw(&l, sheet.Live{})
		picture(t, fmt.Sprintf("gen%d", n), &l, s.Bounds(), 1)
		t.Logf("%d wires: %d crossings, %v", n, len(s.Crossings()), s.Bounds())
	}
}
