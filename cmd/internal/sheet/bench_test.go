package sheet_test

import (
	"testing"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
)

func BenchmarkLayout(b *testing.B) {
	h := dock()
	for b.Loop() {
		sheet.Layout(h)
	}
}

func BenchmarkLayout60(b *testing.B) {
	h := generated(6001, 60)
	for b.Loop() {
		sheet.Layout(h)
	}
}

func BenchmarkDraw(b *testing.B) {
	s := sheet.Layout(dock())
	var l draw.List
	b.ReportAllocs()
	for b.Loop() {
		l.Reset()
		s.Draw(&l, sheet.Live{})
	}
}
