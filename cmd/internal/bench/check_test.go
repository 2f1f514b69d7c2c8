package bench_test

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
)

// setNow returns the lines of the check, counted from 1, that the screen says the controls stand for.
func (r *rig) setNow(lines int) []int {
	r.t.Helper()
	var out []int
	for n := 1; n <= lines; n++ {
		if w := r.m.Frame(r.size).Find("check/" + strconv.Itoa(n) + "/set"); w != nil && w.On {
			out = append(out, n)
		}
	}
	return out
}

// Two lines of this check ask for the same controls, the second after the wiper has run. Only one at a time is set now: that of which the
// button was used, or the one to be marked next.
func TestOneLineIsSetNow(t *testing.T) {
	r := newRig(t, 1280, 1600, 1)
	r.start("wl4-01-always-night")
	r.page("check")
	r.click("control/KEY/on")
	assert.Equal(t, []int{2}, r.setNow(5), "nothing marked yet")
	for n := 1; n <= 4; n++ {
		r.click("check/" + strconv.Itoa(n) + "/set")
		assert.Equal(t, []int{n}, r.setNow(5))
		r.click("check/" + strconv.Itoa(n) + "/good")
		assert.Equal(t, []int{n}, r.setNow(5))
	}
	r.click("control/WS/off")
	assert.Equal(t, []int{5}, r.setNow(5), "by hand: the one to be marked next")
	r.click("check/2/set")
	assert.Equal(t, []int{2}, r.setNow(5), "line 2 asked for again")
	r.click("check/5/set")
	assert.Equal(t, []int{5}, r.setNow(5), "and line 5, though nothing has to be moved")
	r.click("check/5/good")
	assert.Equal(t, []int{1, 1, 1, 1, 1}, r.m.State().Marks)
}
