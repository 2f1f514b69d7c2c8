package circuit_test

import (
	"fmt"
	"math"
	"testing"
	"time"

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

// Everything eliminated anew and solved, linear.
func BenchmarkRefactorSolve(b *testing.B) {
	bySize(b, true, func(b *testing.B, h *harness, s *circuit.Solver) {
		for b.Loop() {
			s.Touch()
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			_ = s.Voltages()
		}
	})
}

// One wire changes, linear.
func BenchmarkOneChange(b *testing.B) {
	bySize(b, true, func(b *testing.B, h *harness, s *circuit.Solver) {
		for i := 0; b.Loop(); i++ {
			s.SetOhms(h.wires[i/2%len(h.wires)], 0.01+0.01*float64(i&1))
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			_ = s.Voltages()
		}
	})
}

// The supply moves by 10 mV: every lamp and diode gets another operating point.
func BenchmarkWarm(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		for i := 0; b.Loop(); i++ {
			s.SetEMF(h.battery, 12.6+0.01*float64(i&1))
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
			_ = s.Voltages()
		}
		b.ReportMetric(float64(its)/float64(b.N), "iter/op")
	})
}

// A lead of a 10 MΩ meter moves: next to nothing changes, but it has to be found out.
func BenchmarkLead(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			h := newHarness(n, 1, false)
			var leads [2]circuit.ID
			for i := range leads {
				leads[i] = h.net.Add("meter", circuit.Node(n/2+i), circuit.Ground, circuit.Resistor{Ohms: 1e7})
			}
			s := compiled(b, h)
			its := 0
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				s.SetOhms(leads[i&1], math.Inf(1))
				s.SetOhms(leads[1-i&1], 1e7)
				if err := s.Solve(); err != nil {
					b.Fatal(err)
				}
				its += s.Iterations()
			}
			b.ReportMetric(float64(its)/float64(b.N), "iter/op")
		})
	}
}

// From the laws' seeds.
func BenchmarkCold(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		for i := 0; b.Loop(); i++ {
			s.Cold()
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
			_ = s.Voltages()
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

// Each wire in turn goes to 1 MΩ, from the healthy operating point.
func BenchmarkFault(b *testing.B) {
	bySize(b, false, func(b *testing.B, h *harness, s *circuit.Solver) {
		its := 0
		k := s.Snapshot()
		for i := 0; b.Loop(); i++ {
			s.Restore(k)
			s.SetOhms(h.wires[i%len(h.wires)], 1e6)
			if err := s.Solve(); err != nil {
				b.Fatal(err)
			}
			its += s.Iterations()
			_ = s.Voltages()
		}
		b.ReportMetric(float64(its)/float64(b.N), "iter/op")
	})
}

// A dense LU of gonum on the same matrix, to compare machines by.
func BenchmarkDense(b *testing.B) {
	h := newHarness(150, 1, true)
	for b.Loop() {
		dense(&h.net)
	}
}

// ngspice on the same circuits, one operating point of a sweep, start-up taken off by the difference of two runs. ns/op is
// meaningless here; look at ngspice-µs.
func BenchmarkNgspice(b *testing.B) {
	for _, linear := range []bool{true, false} {
		for _, n := range []int{50, 150, 500, 1500} {
			b.Run(fmt.Sprintf("%d/linear=%v", n, linear), func(b *testing.B) {
				h := newHarness(n, 1, linear)
				run := func(points int) float64 {
					text := deck("sweep", &h.net, fmt.Sprintf("save v(n1)\ndc V%d 12.5 12.7 %.17g", h.battery, 0.2/float64(points)))
					start := time.Now()
					if _, ok := runDeck(b, text); !ok {
						b.Skip("needs ngspice")
					}
					return float64(time.Since(start).Microseconds())
				}
				points := 400000 / n
				few := run(10)
				many := run(points + 10)
				b.ReportMetric((many-few)/float64(points), "ngspice-µs")
			})
		}
	}
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

// Steps of 50 µs of a harness with ten inductors and capacitors, the contact in front of the coils switching at 200 Hz. times-real is
// how much faster than real time that is; every node's voltage is read after each step.
func BenchmarkStep(b *testing.B) {
	for _, linear := range []bool{true, false} {
		b.Run(fmt.Sprintf("150/linear=%v", linear), func(b *testing.B) {
			const dt = 5e-5
			h := newHarness(150, 1, linear)
			contact := addCoils(h)
			s := compiled(b, h)
			its, sum := 0, 0.0
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if i%50 == 0 {
					s.SetOhms(contact, []float64{0.01, 1e6}[i/50%2])
				}
				if err := s.Step(dt); err != nil {
					b.Fatal(err)
				}
				its += s.Iterations()
				sum += s.Voltages()[1]
			}
			b.ReportMetric(float64(its)/float64(b.N), "iter/op")
			b.ReportMetric(dt*float64(b.N)/b.Elapsed().Seconds(), "times-real")
		})
	}
}
