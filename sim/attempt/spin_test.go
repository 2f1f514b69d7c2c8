package attempt_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// speedSlack is how far a motor's speed may lie outside of what a model says, over its rated one: a quarter of what counts as at rest.
const speedSlack = 0.005

// Whatever is switched and whatever is wrong: a model that goes from one steady state to the next knows between what the speed of each motor lies, and
// of a fuse that it is sure of whether it has opened, as they are through time.
func TestModelIsSureOfMotorsAndFuses(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	tries := 150
	if os.Getenv("FAULTLOOM_FULL") == "1" {
		tries = 5000
	}
	random := rand.New(rand.NewPCG(21, 21))
	speeds, still, fuses := 0, 0, 0
	for range tries {
		ex := *lib.Exercises[random.IntN(len(lib.Exercises))].Exercise
		ex.Faults = nil
		entries := fault.NewBook(ex.Harness).Catalogue()
		e := entries[random.IntN(len(entries))]
		f := e.Fault
		if e.High > e.Low {
			f.Severity = e.Low * math.Pow(e.High/e.Low, random.Float64())
		}
		var models [2]*attempt.Model
		for k := range models {
			models[k], err = attempt.NewModel(ex)
			require.NoError(t, err)
			models[k].Exact(k == 1)
			require.NoError(t, models[k].Suppose(f), "%s", f)
		}
		for step := range 12 {
			rec := someRecord(random, ex.Harness)
			var s [2]*attempt.Sight
			for k := range models {
				s[k], err = models[k].Take(rec)
				require.NoError(t, err)
			}
			plain := s[0]
			if plain.Restless || s[1].Restless || plain.Adrift || plain.Doubtful {
				break // it is known of less from here on, and said so
			}
			at := []any{"%s: %s, step %d: %v", ex.Harness.ID, f, step, rec}
			if !plain.Strained {
				exact := attempt.Blown(models[1])
				fuses += len(exact)
				require.Equal(t, plain.Blown, exact, at...)
			}
			if !slices.Equal(plain.Switched, s[1].Switched) {
				continue // in time something is still on its way
			}
			i := 0
			for _, c := range ex.Harness.Components {
				d, turns := models[1].Machine().Device(c.ID).(device.Spinning)
				if !turns {
					continue
				}
				within := models[0].Speeds()[i]
				i++
				speeds++
				if within[1]-within[0] < 0.04 {
					still++
				}
				require.GreaterOrEqual(t, d.Speed(), within[0]-speedSlack, at...)
				require.LessOrEqual(t, d.Speed(), within[1]+speedSlack, at...)
			}
		}
	}
	t.Logf("%d speeds, %d of them known to 0.04; %d fuses", speeds, still, fuses)
	assert.Greater(t, still, speeds/3)
	assert.Greater(t, fuses, 10*tries)
}

// someRecord is an action that somebody may do at the vehicle, or a wait.
func someRecord(random *rand.Rand, h *harness.Harness) attempt.Record {
	ticks := func(from, to int) attempt.Observation {
		return attempt.Observation{Ticks: int64(from + random.IntN(to-from))}
	}
	if random.IntN(3) == 0 {
		o := ticks(20, 400)
		return attempt.Record{Action: attempt.Wait{Seconds: float64(o.Ticks) * attempt.Tick}, Observation: o}
	}
	c := h.Controls[random.IntN(len(h.Controls))]
	for len(c.Stands) > 0 {
		c = h.Controls[random.IntN(len(h.Controls))]
	}
	return attempt.Record{Action: attempt.Operate{Control: c.ID, Position: c.Positions[random.IntN(len(c.Positions))]}, Observation: ticks(210, 400)}
}
