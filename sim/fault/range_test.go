package fault_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/fault"
	"faultloom/sim/harness/sample"
)

// Every entry of the catalogue is in its range at both ends and without a severity, and out of it a little beyond.
func TestCheckRange(t *testing.T) {
	b := fault.NewBook(sample.Tractor())
	bounded := 0
	for _, e := range b.Catalogue() {
		for _, severity := range []float64{0, e.Low, e.Fault.Severity, e.High} {
			f := e.Fault
			f.Severity = severity
			assert.NoError(t, b.CheckRange(f), "%s", f)
		}
		if e.High == 0 {
			continue
		}
		bounded++
		for _, severity := range []float64{e.Low * (1 - 1e-9), math.Nextafter(e.High, math.Inf(1))} {
			f := e.Fault
			f.Severity = severity
			if severity > 0 { // 0 stands for the usual one
				assert.Error(t, b.CheckRange(f), "%s", f)
			}
		}
	}
	assert.Greater(t, bounded, 100)
	f := parse(t, "wire 24 high-resistance 250 ohm")
	require.NoError(t, b.Check(f), "the machine can have it")
	assert.EqualError(t, b.CheckRange(f), `fault "wire 24 high-resistance 250 ohm": severity 250 ohm is outside the range of this kind at such a place, `+
		`so nothing found out about it could be judged; write one from 0.3 to 100 ohm, or leave it out for 3 ohm`)
	assert.NoError(t, b.CheckRange(parse(t, "splice S3 24 high-resistance 1500 ohm")))
}
