//go:build unix

package desk_test

import (
	"os"
	"testing"

	"faultloom/cmd/internal/desk"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Some systems let a file be removed under a program that has it open, and let it write on into nowhere.
func TestAnAttemptRemovedUnderneathIsNotGoneOnWith(t *testing.T) {
	r := newRoom(t)
	d := r.desk()
	r.start(d, false)
	r.do(d, 0, steps[0])
	require.NoError(t, os.Remove(r.files()[0]))
	_, err := d.Do(request(t, 1, steps[1]))
	require.Equal(t, desk.Conflict, status(t, err))
	assert.Equal(t, 0, r.start(d, false).State.Seq, "a new one can be begun")
	assert.Len(t, r.files(), 1)
}
