package desk_test

import (
	"encoding/json"
	"sync"
	"testing"

	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/attempt"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Par gives the fault away, so it comes only once the job is closed, and not for a new attempt either. It is the same whoever asks,
// and it is worked out without holding up anything else.
func TestParComesAfterTheJob(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	_, err := d.Par("no-such")
	assert.Equal(t, desk.NotFound, status(t, err))
	_, err = d.Par(job)
	assert.Equal(t, desk.NotFound, status(t, err), "nothing has begun")
	r.start(d, false)
	for n, act := range steps {
		r.do(d, n, act)
		_, err = d.Par(job)
		assert.Equal(t, desk.Conflict, status(t, err), "under way")
	}
	r.do(d, 5, attempt.Find{Fault: "wire 71c open"})
	r.do(d, 6, attempt.Repair{Repair: "replace wire 71c"})
	reply := r.do(d, 7, attempt.Close{})
	var report grading.Report
	require.NoError(t, json.Unmarshal(reply.Report, &report))
	assert.Nil(t, report.Par, "closing does not wait for it")

	var got [2]*wire.Par
	var group sync.WaitGroup
	for i := range got {
		group.Add(1)
		go func() {
			defer group.Done()
			got[i], _ = d.Par(job)
		}()
	}
	_, err = d.Exercises()
	require.NoError(t, err, "other requests are answered meanwhile")
	group.Wait()
	require.NotNil(t, got[0])
	assert.Equal(t, got[0], got[1])
	assert.NotEmpty(t, got[0].Curve)
	assert.InDelta(t, report.Needed, got[0].Curve[len(got[0].Curve)-1].Total, 0.001)
	assert.NotEmpty(t, got[0].Beside)

	r.start(d, true)
	_, err = d.Par(job)
	assert.Equal(t, desk.Conflict, status(t, err), "a new attempt is under way")
}
