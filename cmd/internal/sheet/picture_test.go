package sheet_test

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
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
	l.Reset()
	s.Draw(&l, busy(s))
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	picture(t, "dock-busy", &l, s.Bounds(), 1.3)
	for name, live := range map[string]sheet.Live{"": {}, "-parted": allUnplugged(placed())} {
		s := sheet.Layout(placed())
		l.Reset()
		s.Draw(&l, live)
		picture(t, "placed"+name, &l, s.Bounds(), 1)
	}
	for name, paper := range map[string]sheet.Paper{"a4": sheet.A4, "a3": sheet.A3} {
		l.Reset()
		s.DrawPage(&l, sheet.Live{}, paper)
		picture(t, "dock-"+name, &l, paper.Size(), 1.4)
	}
	for _, n := range []int{25, 60} {
		s := sheet.Layout(generated(uint64(n)*100+1, n))
		var l draw.List
		s.Draw(&l, sheet.Live{})
		picture(t, fmt.Sprintf("gen%d", n), &l, s.Bounds(), 1)
		t.Logf("%d wires: %d crossings, %v", n, len(s.Crossings()), s.Bounds())
	}
}

func TestFacePictures(t *testing.T) {
	h := dock()
	var l draw.List
	y, wide := 10.0, 0.0
	for _, id := range []string{"X1", "XR", "XF1", "XL"} {
		x := 10.0
		high := 0.0
		for _, parted := range []bool{false, true} {
			live := sheet.Live{Unplugged: map[string]bool{id: parted}}
			live.Seen = map[harness.Point]string{"X1.2.a": "backed out", "XR.3.b": "corroded"}
			live.Leads = []sheet.Lead{{Tool: meter.Multimeter, End: 0, Point: "X1.1.a"}, {Tool: meter.TestLamp, End: 1, Point: "XR.5.a"}}
			live.Unreachable = map[harness.Point]string{"XL.1.b": "plugged", "XL.2.b": "plugged"}
			f := sheet.ConnectorFace(h, id, live)
			l.PushTransform(1, draw.Point{X: x, Y: y})
			f.Draw(&l, live)
			l.PopTransform()
			x += f.Bounds().W + 30
			high = max(high, f.Bounds().H)
		}
		y += high + 20
		wide = max(wide, x)
	}
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	picture(t, "faces", &l, draw.Rect{W: wide, H: y}, 1)
}

func TestVehiclePictures(t *testing.T) {
	_, all := shipped(t)
	h := *all[0]
	live := sheet.Live{
		Positions: map[string]string{"KEY": "on", "LAMPS": "on"},
		Effects: map[string]device.Effect{
			"LL": {Sense: device.Light, Level: 0.3, Word: "dim"}, "LR": {Sense: device.Light, Level: 1, Word: "lit"},
			"HN": {Sense: device.Sound, Level: 1, Word: "sounds"}, "TT": {Sense: device.Light, Level: 0, Word: "off"},
		},
		Unplugged: map[string]bool{"X1": true}, OpenLooms: map[string]bool{"S1": true},
		Focus: sheet.Target{Kind: sheet.ControlTarget, ID: "KEY"},
	}
	var l draw.List
	for i, o := range []string{"tractor", "truck", "van", "loader", "fork-truck", "boat", "plain"} {
		h.Vehicle.Outline = o
		v := sheet.VehicleView(&h, live, 560, 330)
		l.PushTransform(1, draw.Point{X: float64(i%2) * 580, Y: float64(i/2) * 350})
		v.Draw(&l, live)
		l.PopTransform()
	}
	h.Vehicle.Outline = "tractor"
	l.PushTransform(1, draw.Point{Y: 1400})
	sheet.VehicleView(&h, live, 374, 240).Draw(&l, live)
	l.PopTransform()
	live.Theme = draw.Workshop().Scaled(2)
	l.PushTransform(1, draw.Point{X: 400, Y: 1400})
	sheet.VehicleView(&h, live, 700, 330).Draw(&l, live)
	l.PopTransform()
	if err := l.Err(); err != nil {
		t.Fatal(err)
	}
	picture(t, "vehicles", &l, draw.Rect{W: 1150, H: 1740}, 1.2)
}

func TestShippedPictures(t *testing.T) {
	names, all := shipped(t)
	for i, h := range all {
		s := sheet.Layout(h)
		var l draw.List
		s.Draw(&l, sheet.Live{})
		picture(t, names[i], &l, s.Bounds(), 1)
		l.Reset()
		s.DrawPage(&l, sheet.Live{}, sheet.A4)
		picture(t, names[i]+"-a4", &l, sheet.A4.Size(), 1.4)
		t.Logf("%s: %d wires, %d crossings, %v", names[i], len(h.Wires), len(s.Crossings()), s.Bounds())
	}
}

// busy is a state in which everything that can be shown is shown.
func busy(s *sheet.Sheet) sheet.Live {
	t := func(k sheet.Kind, id string) sheet.Target { return s.Targets()[s.Find(k, id)] }
	return sheet.Live{
		Leads: []sheet.Lead{
			{Tool: meter.Multimeter, End: 0, Point: "XL.1.b"}, {Tool: meter.Multimeter, End: 1, Point: "G1"},
			{Tool: meter.TestLamp, End: 0, Point: "X1.2.a"}, {Tool: meter.TestLamp, End: 1, Point: "BAT.31"},
			{Tool: meter.Jumper, End: 0, Point: "XR.3.a"}, {Tool: meter.Jumper, End: 1, Point: "XR.5.a"},
		},
		Unplugged: map[string]bool{"XR": true, "X2": true, "XL": true, "XF2": true},
		OpenLooms: map[string]bool{"S3": true},
		Positions: map[string]string{"key": "run", "lamps": "on", "horn": "pressed"},
		Effects: map[string]device.Effect{
			"LL": {Sense: device.Light, Level: 0.4, Word: "dim"}, "LR": {Sense: device.Light, Level: 1, Word: "lit"},
			"HN": {Sense: device.Sound, Level: 1, Word: "sounds"},
		},
		Fuses:       map[string]sheet.Fuse{"XF2": {Amps: 15, Blown: true}},
		Unreachable: map[harness.Point]string{"S1": "inside the loom", "XK.1.b": "mated", "XK.2.b": "mated", "XS.1.b": "mated"},
		Marks:       map[harness.Point]string{"XF1.2.a": "12.61 V", "X1.1.a": "0.02 V"},
		Suspects: []sheet.Suspect{
			{Place: "wire 58a", Value: 0.7, Label: "34 %"}, {Place: "cavity X1.1", Value: 0.9, Label: "48 %"},
			{Place: "component K1", Value: 0.3, Label: "9 %"}, {Place: "ground G1", Value: 0.1, Label: "2 %"},
		},
		Hover: t(sheet.WireTarget, "31R"),
		Focus: t(sheet.ComponentTarget, "HB"),
	}
}
