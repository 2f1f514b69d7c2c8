package attempt_test

import (
	"math"
	"testing"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A model that is taken up from where it was saved shows what one shows that went on, whatever it was used for between.
func TestModelTakenUp(t *testing.T) {
	ex := tractor(t, "wire 29 high-resistance 2 ohm")
	a, _ := start(t, ex)
	acts := []attempt.Action{
		operate("key", "on"), operate("lamps", "on"), dial(meter.Volts), black("body"), red("XLL.1.a"),
		lead(meter.TestLamp, 0, "X2.1.a"), lead(meter.TestLamp, 1, "body"), operate("lamps", "off"),
		attempt.Unplug{Connector: "X1"}, red("X1.1.a"), operate("lamps", "on"), attempt.Plug{Connector: "X1"},
		operate("horn", "pressed"), dial(meter.Ohms),
	}
	for _, act := range acts {
		_, err := a.Do(act)
		require.NoError(t, err)
	}
	other, err := fault.Parse("wire 12 short-to-ground 0.05 ohm")
	require.NoError(t, err)
	for _, exact := range []bool{false, true} {
		through, err := attempt.NewModel(ex)
		require.NoError(t, err)
		broken, err := attempt.NewModel(ex)
		require.NoError(t, err)
		through.Exact(exact)
		broken.Exact(exact)
		require.NoError(t, through.Suppose(ex.Faults...))
		require.NoError(t, broken.Suppose(ex.Faults...))
		for i, rec := range a.Records() {
			saved := broken.Save()
			broken.Exact(!exact)
			require.NoError(t, broken.Suppose(other))
			_, err := broken.Take(rec)
			require.NoError(t, err)
			require.NoError(t, broken.Load(saved))
			want, err := through.Take(rec)
			require.NoError(t, err)
			got, err := broken.Take(rec)
			require.NoError(t, err)
			for k := range want.Effects {
				assert.Equal(t, want.Effects[k].Word, got.Effects[k].Word, "exact %v, record %d", exact, i)
				assert.InDelta(t, want.Effects[k].Level, got.Effects[k].Level, 1e-3, "exact %v, record %d", exact, i)
			}
			assert.Equal(t, want.Clicked, got.Clicked, "exact %v, record %d", exact, i)
			if math.IsNaN(want.Meter) || math.IsInf(want.Meter, 0) {
				assert.Equal(t, math.IsNaN(want.Meter), math.IsNaN(got.Meter), "exact %v, record %d", exact, i)
				continue
			}
			assert.InDelta(t, want.Meter, got.Meter, 1e-3+1e-3*math.Abs(want.Meter), "exact %v, record %d", exact, i)
		}
	}
}
