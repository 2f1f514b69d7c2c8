package meter_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// What is foretold of a test lamp from the open voltage and the resistance is what one shows that is put there, behind whatever resistance.
func TestForelamp(t *testing.T) {
	f, err := meter.NewForelamp(12)
	require.NoError(t, err)
	words := map[string]bool{}
	for _, ohms := range []float64{0.1, 3, 10, 20, 40, 60, 100, 1e3, 1e5} {
		m := rig(t, battery(), resistor(ohms), resistor(1e6))
		red, black := harness.Point("P1.2.a"), harness.Body
		volts, behind := m.Thevenin(red, black)
		foretold, err := f.Light(volts, behind)
		require.NoError(t, err)

		b := bench(t)
		require.NoError(t, b.Place(meter.TestLamp, 0, red))
		require.NoError(t, b.Place(meter.TestLamp, 1, black))
		require.NoError(t, b.Connect(m))
		_, err = m.Run(5)
		require.NoError(t, err)
		shown := b.LampEffect(m)
		words[shown.Word] = true
		assert.InDelta(t, shown.Level, foretold.Level, 0.01*math.Max(0.1, shown.Level), "behind %g ohm", ohms)
		assert.Equal(t, shown.Word, foretold.Word)
	}
	assert.Greater(t, len(words), 1)
}
