package circuit_test

import (
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

func TestSnapshotGoesBack(t *testing.T) {
	h := newHarness(120, 5, false)
	s := compiled(t, h)
	s.SetEMF(h.battery, 12.5)
	require.NoError(t, s.Solve())
	k := s.Snapshot()
	volts := append([]float64(nil), s.Voltages()...)
	amps := s.Current(h.lamps[3])
	for _, w := range h.wires[:20] {
		s.SetOhms(w, math.Inf(1))
		s.SetLaw(h.lamps[3], &filament{i0: 1, v0: 3})
		require.NoError(t, s.Solve())
		require.NotEqual(t, volts, s.Voltages())
		s.Restore(k)
		require.Equal(t, volts, s.Voltages(), "at once")
		require.Equal(t, amps, s.Current(h.lamps[3]), "currents too")
		require.NoError(t, s.Solve())
		require.InDeltaSlice(t, volts, s.Voltages(), 1e-10)
		require.Equal(t, 1, s.Iterations(), "nothing to look for")
	}
	assert.Panics(t, func() { compiled(t, newHarness(120, 6, false)).Restore(k) })
}

// Many solvers at once, each with its own fault, find what one alone finds.
func TestClones(t *testing.T) {
	h := newHarness(100, 8, false)
	s := compiled(t, h)
	k := s.Snapshot()
	got := make([][]float64, 16)
	var wg sync.WaitGroup
	for i := range got {
		c := s.Clone()
		wg.Go(func() {
			c.SetOhms(h.wires[i], 1e3)
			if c.Solve() == nil {
				got[i] = c.Voltages()
			}
		})
	}
	wg.Wait()
	for i := range got {
		s.Restore(k)
		s.SetOhms(h.wires[i], 1e3)
		require.NoError(t, s.Solve())
		require.Equal(t, s.Voltages(), got[i], "fault %d", i)
	}
}

// Everything that happens many times a second leaves no garbage.
func TestNoAllocation(t *testing.T) {
	h := newHarness(150, 1, false)
	s := compiled(t, h)
	k := s.Snapshot()
	out := make([]float64, s.Nodes())
	var law circuit.Law = &filament{i0: 3, v0: 12}
	n := 0
	for name, f := range map[string]func(){
		"Solve": func() { n++; s.SetEMF(h.battery, 12+0.1*float64(n%2)); _ = s.Solve() },
		"SetOhms": func() {
			n++
			s.SetOhms(h.wires[n%50], 0.01*float64(1+n%7))
			_ = s.Solve()
		},
		"SetLaw":   func() { s.SetLaw(h.lamps[2], law); _ = s.Solve() },
		"Cold":     func() { s.Cold(); _ = s.Solve() },
		"Start":    func() { s.Start(out); _ = s.Solve() },
		"Restore":  func() { s.SetOhms(h.wires[9], 1e5); _ = s.Solve(); s.Restore(k); _ = s.Solve() },
		"Snapshot": func() { s.SnapshotInto(k) },
		"WhatIf":   func() { s.WhatIf(7, 31, 0.5, 0, out) },
		"open":     func() { a, b := s.Ends(h.wires[5]); s.WhatIf(a, b, -1/s.Ohms(h.wires[5]), 0, out) },
		"Thevenin": func() { s.Thevenin(7, 31) },
		"Transfer": func() { s.Transfer(7, 31, out) },
		"Current":  func() { _ = s.Current(h.lamps[0]) + s.Power(h.battery) },
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, s.Solve())
			assert.Zero(t, testing.AllocsPerRun(50, f))
		})
	}
}
