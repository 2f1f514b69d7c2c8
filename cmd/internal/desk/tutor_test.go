package desk

import (
	"testing"
	"time"

	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type nowhere struct{}

func (nowhere) Append([]byte) error { return nil }

// A coach who has thought along answers what one who has not would; what was watched and is old by then does no harm.
func TestTutorThinksAlong(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("hl6-01-only-by-hand")
	a, err := attempt.Start(ex, nowhere{})
	require.NoError(t, err)
	along := newTutor(ex)
	for _, c := range ex.Harness.Controls {
		_, err := a.Do(attempt.Operate{Control: c.ID, Position: c.Positions[1]})
		require.NoError(t, err)
		along.watch(a.Records(), usualPause)
	}
	thought := func() bool {
		along.mu.Lock()
		defer along.mu.Unlock()
		return along.known == len(a.Records())
	}
	require.Eventually(t, thought, time.Minute, 10*time.Millisecond)
	along.watch(a.Records()[:1], usualPause)
	time.Sleep(2 * usualPause)
	ask := attempt.Ask{Topic: attempt.AskSuspects}
	got, err := along.answer(a.Records(), ask)
	require.NoError(t, err)
	want, err := newTutor(ex).answer(a.Records(), ask)
	require.NoError(t, err)
	assert.Equal(t, want, got)
}
