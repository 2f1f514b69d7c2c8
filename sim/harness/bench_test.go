package harness_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// fixtures of the benchmarks: the tractor with its lamps on, and about 150 points with every circuit on.
func fixtures(b *testing.B) map[string]*harness.Machine {
	many, err := harness.NewMachine(sample.Many(8))
	require.NoError(b, err)
	for _, c := range many.Harness().Controls {
		operate(b, many, c.ID, "on")
	}
	tractor := newTractor(b)
	operate(b, tractor, "key", "on", "lamps", "on")
	return map[string]*harness.Machine{"tractor": tractor, "many": many}
}

func each(b *testing.B, f func(b *testing.B, m *harness.Machine)) {
	all := fixtures(b)
	for _, name := range []string{"tractor", "many"} {
		m := all[name]
		require.NoError(b, m.Settle())
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			b.ReportMetric(float64(len(m.Harness().Points())), "points")
			f(b, m)
		})
	}
}

// BenchmarkSettle changes one resistance and settles again.
func BenchmarkSettle(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		limb := m.Harness().Limbs()[0]
		lists := [2][]harness.Alteration{{harness.SeriesOhms{Where: limb, Ohms: 0.01}}, {harness.SeriesOhms{Where: limb, Ohms: 0.02}}}
		for i := 0; b.Loop(); i++ {
			require.NoError(b, m.Alter(lists[i%2]))
			require.NoError(b, m.Settle())
		}
	})
}

// BenchmarkAttach moves an instrument's lead, with the solving.
func BenchmarkAttach(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		p := device.NewProbe()
		p.Set(0, 10e6)
		points := m.Harness().Points()
		for i := 0; b.Loop(); i++ {
			require.NoError(b, m.Attach("meter", p, points[i%(len(points)-1)], harness.Body))
			require.NoError(b, m.Settle())
		}
		require.NoError(b, m.Detach("meter"))
	})
}

// BenchmarkAttachPrepared is the same where room has been made.
func BenchmarkAttachPrepared(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		require.NoError(b, m.Prepare())
		p := device.NewProbe()
		p.Set(0, 10e6)
		points := m.Harness().Points()
		for i := 0; b.Loop(); i++ {
			require.NoError(b, m.Attach("meter", p, points[i%(len(points)-1)], harness.Body))
			require.NoError(b, m.Settle())
		}
		require.NoError(b, m.Detach("meter"))
	})
}

// BenchmarkRun switches off and on again, two seconds each.
func BenchmarkRun(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		c := m.Harness().Controls[0]
		for i := 0; b.Loop(); i++ {
			require.NoError(b, m.Operate(c.ID, c.Positions[i%2]))
			_, err := m.Run(2)
			require.NoError(b, err)
		}
	})
}

// BenchmarkPrepared is BenchmarkSettle with room for bridges.
func BenchmarkPrepared(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		require.NoError(b, m.Prepare())
		p := harness.Bridge{A: m.Harness().Points()[20], B: m.Harness().Points()[40], Ohms: 1e5}
		q := p
		q.Ohms = 1e6
		lists := [2][]harness.Alteration{{p}, {q}}
		for i := 0; b.Loop(); i++ {
			require.NoError(b, m.Alter(lists[i%2]))
			require.NoError(b, m.Settle())
		}
	})
}

// BenchmarkThevenin looks into the settled circuit from pairs of points.
func BenchmarkThevenin(b *testing.B) {
	each(b, func(b *testing.B, m *harness.Machine) {
		points := m.Harness().Points()
		for i := 0; b.Loop(); i++ {
			m.Thevenin(points[i%len(points)], points[(7*i+3)%len(points)])
		}
	})
}

// BenchmarkPulses follows every edge of a pulsed lamp at 200 Hz in a harness of some 150 points with every circuit on and a motor running. It
// reports how many times faster than real time that goes.
func BenchmarkPulses(b *testing.B) {
	m, err := harness.NewMachine(sample.ManyPulsed(7))
	require.NoError(b, err)
	for _, c := range m.Harness().Controls {
		operate(b, m, c.ID, "on")
	}
	require.NoError(b, m.Settle())
	_, err = m.Run(2)
	require.NoError(b, err)
	b.ReportAllocs()
	const seconds = 1.0
	for b.Loop() {
		edges, was := 0, 0.0
		require.NoError(b, m.Watch(0, seconds, func(_, _ float64) bool {
			v := m.Volts("XPL.1.a")
			if v-was > 6 {
				edges++
			}
			was = v
			return true
		}))
		require.InDelta(b, 200, edges, 1)
	}
	b.ReportMetric(float64(len(m.Harness().Points())), "points")
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "times-real-time")
}
