package fault_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// BenchmarkCatalogue puts each fault of a catalogue in, in turn, with everything switched on, and finds what the vehicle
// does then: one operation is one fault.
func BenchmarkCatalogue(b *testing.B) {
	for _, c := range []struct {
		name    string
		harness *harness.Harness
	}{{"tractor", sample.Tractor()}, {"many", sample.Many(8)}} {
		for _, prepared := range []bool{false, true} {
			name := c.name + "/compiled"
			if prepared {
				name = c.name + "/prepared"
			}
			b.Run(name, func(b *testing.B) { benchCatalogue(b, c.harness, prepared) })
		}
	}
}

func benchCatalogue(b *testing.B, h *harness.Harness, prepared bool) {
	m, err := harness.NewMachine(h)
	require.NoError(b, err)
	if prepared {
		require.NoError(b, m.Prepare())
	}
	for _, c := range h.Controls {
		require.NoError(b, m.Operate(c.ID, c.Positions[1]))
	}
	require.NoError(b, m.Settle())
	start := m.Snapshot()
	book := fault.NewBook(h)
	var lists [][]harness.Alteration
	for _, e := range book.Catalogue() {
		list, err := book.Alterations(e.Fault)
		require.NoError(b, err)
		lists = append(lists, list)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if m.Restore(start) != nil || m.Alter(lists[i%len(lists)]) != nil {
			b.Fatal("cannot be put in")
		}
		if err := m.Dwell(harness.CheckSeconds); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(lists)), "faults")
}

// BenchmarkBook lists the catalogue.
func BenchmarkBook(b *testing.B) {
	h := sample.Many(8)
	for b.Loop() {
		fault.Catalogue(h)
	}
}
