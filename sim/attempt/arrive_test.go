package attempt_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
)

// Where the same current goes through two fuses the smaller opens, and on arrival it has. Here one of 5 A has up to 17 times its rating while one of 30 A
// has 2.8 times its own: at 600 % one is open within 0.1 s, at 350 % it bears 0.04 s at least (ISO 8820-3, testdata/device/blade_fuse.csv), and both melt by
// the square of the current.
func TestSmallerFuseIsOpenOnArrival(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	h := lib.Harness("mc7-cab-blower")
	for k := range 25 {
		f, err := fault.Parse(fmt.Sprintf("wire 31b short-to-wire 57a %g ohm", 0.1*math.Pow(10, float64(k)/25)))
		require.NoError(t, err)
		ex := exerciseOn(t, h, f.String())
		for _, exact := range [2]bool{false, true} {
			m, err := attempt.NewModel(ex)
			require.NoError(t, err)
			m.Exact(exact)
			require.NoError(t, m.Suppose(f))
			assert.True(t, m.Machine().Fuse("F3").Blown(), "%s: 5 A", f)
			assert.False(t, m.Machine().Fuse("F1").Blown(), "%s: 30 A", f)
		}
		a, _ := start(t, ex)
		do(t, a, attempt.Unplug{Connector: "F1"})
		assert.Equal(t, []string{"fuse F1 30 A element whole"}, do(t, a, attempt.Inspect{Place: "F1"}).Seen, "%s", f)
	}
}
