package attempt_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// Leads put on and parts taken off make the circuit anew, and that alone is not taken for something that happens: what is lit stays lit.
func TestLeadsTellNoHappenings(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("wl4-06-twelve-volts-there")
	ex.Faults = nil
	a, err := attempt.Start(ex, &memory{})
	require.NoError(t, err)
	for _, act := range []attempt.Action{
		attempt.Operate{Control: "KEY", Position: "on"}, attempt.Wait{Seconds: 5}, attempt.Dial{Function: meter.Volts},
		attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "BAT.31"}, attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "BAT.30"}, attempt.Wait{Seconds: 1},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: ""},
	} {
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused)
		if _, operates := act.(attempt.Operate); operates {
			assert.NotEmpty(t, obs.Events, "the dials light up")
			continue
		}
		assert.Empty(t, obs.Events, "%v", act)
	}
}
