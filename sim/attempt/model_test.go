package attempt_test

import (
	"math"
	"testing"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

// The model of the true fault must tell what the attempt shows, within the meter's accuracy, wherever things have come to rest.
func TestModelTellsWhatTheAttemptShows(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("dt14-06-gate-four")
	ex.Seed = 0
	actions := []attempt.Action{
		attempt.Operate{Control: "KEY", Position: "on"},
		attempt.Operate{Control: "LAMPS", Position: "on"},
		attempt.Dial{Function: meter.Volts},
		attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "G1"},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "X1.1.a"},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "X1.2.b"},
		attempt.Operate{Control: "HORN", Position: "pressed"},
		attempt.Unplug{Connector: "X1"},
		attempt.Lead{Tool: meter.TestLamp, End: 0, Point: "X1.1.a"},
		attempt.Lead{Tool: meter.TestLamp, End: 1, Point: "body"},
		attempt.Operate{Control: "KEY", Position: "off"},
		attempt.Dial{Function: meter.Ohms},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "X1.1.b"},
	}
	faults := []string{"wire 71c open", "ground G1 high-resistance 0.8 ohm", "wire 56c short-to-ground 0.05 ohm", "cavity X1.1 corroded 3 ohm", "component LL filament-open"}
	for _, text := range faults {
		t.Run(text, func(t *testing.T) {
			f, err := fault.Parse(text)
			require.NoError(t, err)
			ex.Faults = []fault.Fault{f}
			a, err := attempt.Start(ex, nowhere{})
			require.NoError(t, err)
			m, err := attempt.NewModel(ex)
			require.NoError(t, err)
			require.NoError(t, m.Suppose(f))
			for _, act := range actions {
				obs, err := a.Do(act)
				require.NoError(t, err)
				rec := a.Records()[len(a.Records())-1]
				s, err := m.Take(rec)
				require.NoError(t, err)
				for i, c := range ex.Harness.Components {
					if w := obs.Effects[c.ID]; w != "" {
						assert.True(t, s.Effects[i].Plausible(c.Spec.Kind, w), "%v: %s is %s, the model says %+v", act, c.ID, w, s.Effects[i])
					}
				}
				if d, ok := obs.Displays[meter.Multimeter]; ok && d.Valid {
					tol := a.State().Dial.Tolerance(d.Value)
					assert.InDelta(t, d.Value, s.Meter, tol, "%#v", act)
				} else if ok {
					assert.True(t, math.IsInf(s.Meter, 1) || s.Meter > 50e6, "%#v: OL, the model says %v", act, s.Meter)
				}
			}
		})
	}
}

func BenchmarkModelStep(b *testing.B) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(b, err)
	ex := *lib.Exercise("dt14-06-gate-four")
	m, err := attempt.NewModel(ex)
	require.NoError(b, err)
	on := attempt.Record{Ticks: 0, Action: attempt.Operate{Control: "KEY", Position: "on"}, Observation: attempt.Observation{Ticks: 300}}
	off := attempt.Record{Ticks: 0, Action: attempt.Operate{Control: "KEY", Position: "off"}, Observation: attempt.Observation{Ticks: 300}}
	require.NoError(b, m.Suppose(ex.Faults...))
	b.ReportAllocs()
	b.Run("step", func(b *testing.B) {
		for b.Loop() {
			_, _ = m.Take(on)
			_, _ = m.Take(off)
		}
	})
	b.Run("suppose", func(b *testing.B) {
		for b.Loop() {
			_ = m.Suppose(ex.Faults...)
		}
	})
}
