package attempt_test

import (
	"testing"

	"faultloom/sim/attempt"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A course foretells what actions will cost and leave, as the attempt itself then has it.
func TestCourseForetells(t *testing.T) {
	ex := tractor(t, "wire 42 open")
	a, _ := start(t, ex)
	planned := []attempt.Action{
		attempt.Operate{Control: "key", Position: "on"},
		attempt.Dial{Function: meter.Volts},
		attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "body"},
		attempt.Lead{Tool: meter.Multimeter, End: 0, Point: "X1.1.a"},
		attempt.Unplug{Connector: "X1"},
		attempt.Plug{Connector: "X1"},
	}
	c := attempt.NewCourse(ex.Harness, nil)
	for _, act := range planned {
		before := a.State().Ticks
		seconds := c.Clone().Go(act)
		assert.Equal(t, seconds, c.Seconds(act), "asking changes nothing")
		c.Go(act)
		obs, err := a.Do(act)
		require.NoError(t, err)
		require.Empty(t, obs.Refused)
		assert.InDelta(t, float64(obs.Ticks-before)*attempt.Tick, seconds, attempt.Tick, "%#v", act)
	}
	s := a.State()
	assert.Equal(t, s.Controls["key"], c.Position("key"))
	assert.Equal(t, s.Dial, c.Dial())
	assert.Equal(t, s.Stage, c.Stage())
	assert.Equal(t, s.Unplugged["X1"], c.Parted("X1"))
	assert.Equal(t, s.Leads[meter.Multimeter], [2]string{string(c.Leads(meter.Multimeter)[0]), string(c.Leads(meter.Multimeter)[1])})
	assert.Equal(t, c, attempt.NewCourse(ex.Harness, a.Records()), "the records lead to the same place")
}
