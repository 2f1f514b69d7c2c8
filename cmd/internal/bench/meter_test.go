package bench_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/meter"
)

// TestMeterKeys turns the dial to a function that only some exercises allow, takes a reading as zero and keeps the extremes, by clicks
// alone on every shape of screen.
func TestMeterKeys(t *testing.T) {
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.start("mc7-06-rattle")
			r.dial(meter.Millivolts)
			r.place(meter.Multimeter, 1, "BAT.31")
			r.place(meter.Multimeter, 0, "BAT.30")
			assert.Equal(t, meter.Overload, r.m.State().Displays[meter.Multimeter].Text)
			r.dial(meter.Volts)
			r.key1("relative")
			require.True(t, r.m.State().Relative, "%s", r.m.Mirror().Event)
			assert.InDelta(t, 0, r.m.State().Displays[meter.Multimeter].Value, 0.011)
			r.key1("capture")
			require.True(t, r.m.State().Capture, "%s", r.m.Mirror().Event)
			require.NotNil(t, r.m.State().Displays[meter.Multimeter].Capture)
			r.part("tray")
			check(t, r, "meter")
			r.picture(s.name + "/meter-tray")
			r.part("sheet")
			r.picture(s.name + "/meter-sheet")
			r.key1("relative")
			assert.False(t, r.m.State().Relative)
			if f := r.m.Frame(r.size); f.Find("strip/dial") != nil {
				r.click("strip/dial")
				check(t, r, "dial")
				r.picture(s.name + "/meter-dial")
			}
		})
	}
}

// key1 presses a key of the meter, in the tray or in the dial's dialog.
func (r *rig) key1(name string) {
	r.t.Helper()
	if r.m.Frame(r.size).Find("key/"+name) != nil {
		r.click("key/" + name)
		return
	}
	r.click("strip/dial")
	r.click("turn/" + name)
}
