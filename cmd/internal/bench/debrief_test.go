package bench_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/meter"
)

// written returns all that is written on the screen, a line each.
func (r *rig) written() []string {
	var out []string
	for _, o := range r.m.Frame(r.size).Base.Ops() {
		if t, ok := o.(*draw.TextOp); ok {
			out = append(out, t.Text)
		}
	}
	return out
}

// The steps of the debrief are counted as people count, and as the page, the text and the log on paper count them.
func TestDebriefCountsFromOne(t *testing.T) {
	r := rigOn(t, &quickClose{Keeper: newDesk(t)}, 1280, 8000, 1)
	r.start("dt14-02-candlelight")
	r.dial(meter.Volts)
	r.click("close")
	r.click("close/yes")
	all := r.written()
	assert.Contains(t, all, "1.  Red lead to cavity 1 of X1, half b — 11.84 V")
	assert.Contains(t, all, "30.  Red lead to cavity 1 of X1, half b — 11.84 V")
	for _, s := range all {
		assert.NotRegexp(t, `(?i)^0\.  |\bstep 0\b`, s)
	}
}
