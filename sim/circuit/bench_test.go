package circuit_test

import (
	"fmt"
	"testing"

	"faultloom/sim/circuit"
)

var sizes = []int{50, 150, 500, 1500, 5000}

func compiled(b testing.TB, h *harness) *circuit.Solver {
	s, err := circuit.Compile(&h.net)
	if err != nil {
		b.Fatal(err)
	}
	if err := s.Solve(); err != nil {
		b.Fatal(err)
	}
	return s
}

func bySize(b *testing.B, linear bool, run func(b *testing.B, h *harness, s *circuit.Solver)) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			h := newHarness(n, 1, linear)
			s := compiled(b, h)
			b.ReportAllocs()
			b.ResetTimer()
			run(b, h, s)
		})
	}
}

func BenchmarkRefactorSolve(b *testing.B) {
	bySize(b, true, func(b *testing.B, h *harness, s *circuit.Solver) {
		for i := 0; b.Loop(); i++ {
			for k, w := range h.wires[:1] {
				_ = k
				s.SetOhms(w, 0.01+0.001*float64(i&1))
			}
			s.Touch()
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkOneChange(b *testing.B) {
	bySize(b, true, func(b *testing.B, h *harness, s *circuit.Solver) {
		for i := 0; b.Loop(); i++ {
			s.SetOhms(h.wires[i/2%len(h.wires)], 0.01+0.01*float64(i&1))
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkWarm(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		for i := 0; b.Loop(); i++ {
			s.SetEMF(h.battery, 12.6+0.01*float64(i&1))
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
		}
		b.ReportMetric(float64(its)/float64(b.N), "iter/op")
	})
}

func BenchmarkCold(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		for i := 0; b.Loop(); i++ {
			s.Cold()
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
		}
		b.ReportMetric(float64(its)/float64(b.N), "iter/op")
	})
}

func BenchmarkWhatIf(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		out := make([]float64, s.Nodes())
		n := s.Nodes()
		for i := 0; b.Loop(); i++ {
			s.WhatIf(circuit.Node(i%n), circuit.Node((i*7+3)%n), 0.5, 0, out)
		}
	})
}

func BenchmarkThevenin(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		n := s.Nodes()
		for i := 0; b.Loop(); i++ {
			s.Thevenin(circuit.Node(i%n), circuit.Node((i*7+3)%n))
		}
	})
}

func BenchmarkFault(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		for i := 0; b.Loop(); i++ {
			w := h.wires[i%len(h.wires)]
			s.SetOhms(w, 1e6)
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
			s.SetOhms(w, 0.01)
		}
		b.ReportMetric(float64(its)/float64(b.N), "iter/op")
	})
}

func BenchmarkCompile(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		for b.Loop() {
			if _, err := circuit.Compile(&h.net); err != nil {
				b.Fatal(err)
			}
		}
	})
}
