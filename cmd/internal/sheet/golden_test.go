package sheet_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/harness"
)

var update = flag.Bool("update", false, "write the golden pictures anew; look at them before committing")

// golden compares a picture with the one under testdata.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name+".svg")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "run the test with -update to make it")
	if !bytes.Equal(want, got) {
		t.Errorf("%s differs from the picture drawn now (%d bytes, now %d); look at both, then run with -update", file, len(want), len(got))
	}
}

func svg(t *testing.T, l *draw.List, size draw.Rect) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, draw.WriteSVG(&b, l, draw.Point{X: size.W, Y: size.H}, draw.SVGOptions{Title: "test"}))
	return b.Bytes()
}

func TestGoldenPictures(t *testing.T) {
	s := sheet.Layout(dock())
	var page bytes.Buffer
	require.NoError(t, s.WriteSVG(&page, sheet.Live{}, sheet.A4))
	golden(t, "dock-a4", page.Bytes())

	var l draw.List
	s.Draw(&l, busy(s))
	golden(t, "dock-busy", svg(t, &l, s.Bounds()))

	author := sheet.Layout(placed())
	l.Reset()
	author.Draw(&l, sheet.Live{})
	golden(t, "dock-placed", svg(t, &l, author.Bounds()))

	live := sheet.Live{Unplugged: map[string]bool{"XR": true}, Seen: map[harness.Point]string{"XR.3.b": "corroded"}}
	f := sheet.ConnectorFace(dock(), "XR", live)
	l.Reset()
	f.Draw(&l, live)
	golden(t, "face", svg(t, &l, f.Bounds()))

	v := sheet.VehicleView(dock(), busy(s), 560, 330)
	l.Reset()
	v.Draw(&l, busy(s))
	golden(t, "vehicle", svg(t, &l, v.Bounds()))
}

func TestSameHarnessSameBytes(t *testing.T) {
	names, all := harnesses(t)
	for i, h := range all {
		t.Run(names[i], func(t *testing.T) {
			var first []byte
			for range 2 {
				var b bytes.Buffer
				s := sheet.Layout(h)
				require.NoError(t, s.WriteSVG(&b, sheet.Live{}, sheet.A3))
				if first == nil {
					first = b.Bytes()
					continue
				}
				assert.True(t, bytes.Equal(first, b.Bytes()), "the same harness gave two different sheets")
			}
		})
	}
}

// TestFewCrossings keeps the layout from getting worse unnoticed: the limits are what it reaches now, with a little room.
func TestFewCrossings(t *testing.T) {
	names, all := shipped(t)
	for i, h := range all {
		s := sheet.Layout(h)
		n := len(s.Crossings())
		t.Logf("%s: %d wires, %d crossings, %.0f by %.0f", names[i], len(h.Wires), n, s.Bounds().W, s.Bounds().H)
		assert.LessOrEqual(t, n, len(h.Wires)/2, "%s: crossings for %d wires", names[i], len(h.Wires))
	}
	total, wires := 0, 0
	for seed := range uint64(10) {
		h := generated(seed, 25)
		s := sheet.Layout(h)
		total += len(s.Crossings())
		wires += len(h.Wires)
	}
	t.Logf("ten generated harnesses: %d wires, %d crossings", wires, total)
	assert.LessOrEqual(t, total, wires, "crossings of generated harnesses")
}
