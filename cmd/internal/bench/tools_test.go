package bench_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/meter"
)

// use shows a tool where several share the room.
func (r *rig) use(t meter.Tool) {
	r.t.Helper()
	r.part("tray")
	if r.m.Frame(r.size).Find("use/"+string(t)) != nil {
		r.click("use/" + string(t))
	}
}

// TestEveryTool puts every tool on the vehicle by clicks alone, on every shape of screen.
func TestEveryTool(t *testing.T) {
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.start("qs9-06-three-new-sensors")
			r.part("tray")
			check(t, r, "tray")
			r.picture(s.name + "/tools-tray")
			// The clamp: zeroed in the tray, then around a wire from its card.
			r.use(meter.Clamp)
			r.click("clamp/zero")
			r.press("at/wire/30a")
			r.picture(s.name + "/tools-wire")
			r.click("grip/clamp")
			require.Equal(t, "wire 30a", r.m.State().Leads[meter.Clamp][0], r.m.Mirror().Event)
			assert.True(t, r.m.State().Displays[meter.Clamp].Valid)
			// The same from the hand: the wire of the point that is chosen.
			r.use(meter.Clamp)
			r.click("lead/clamp/0")
			r.press("at/wire/31a")
			require.Equal(t, "wire 31a", r.m.State().Leads[meter.Clamp][0], r.m.Mirror().Event)
			// The reader, into the control unit.
			r.use(meter.Reader)
			r.click("lead/reader/0")
			r.press("at/component/M1")
			require.Equal(t, "component M1", r.m.State().Leads[meter.Reader][0], r.m.Mirror().Event)
			require.NotEmpty(t, r.m.State().Displays[meter.Reader].Rows)
			r.use(meter.Reader)
			r.picture(s.name + "/tools-reader")
			r.click("reader/open")
			check(t, r, "data list")
			r.picture(s.name + "/tools-data")
			r.key("Escape")
			// The trace view, and its settings.
			r.use(meter.TraceView)
			r.place(meter.TraceView, 0, "BAT.30")
			r.use(meter.TraceView)
			check(t, r, "trace in the tray")
			r.picture(s.name + "/tools-trace")
			r.click("trace/open")
			r.click("sweep/0.1")
			r.click("level/up")
			assert.Equal(t, meter.Sweep{Seconds: 0.1, Level: 13}, r.m.State().Sweep)
			check(t, r, "trace")
			r.picture(s.name + "/tools-scope")
			r.key("Escape")
			// What happens once stays on the trace until something else is done.
			r.use(meter.TraceView)
			r.place(meter.TraceView, 1, "KEY.15.a")
			r.use(meter.TraceView)
			r.place(meter.TraceView, 0, "KEY.15.a")
			r.part("vehicle")
			r.click("control/KEY/on")
			require.Equal(t, "once", r.m.State().Displays[meter.TraceView].Text)
			require.True(t, r.m.State().Trace.Once)
			r.use(meter.TraceView)
			r.click("trace/open")
			r.click("sweep/0.5")
			require.True(t, r.m.State().Trace.Once, "another time base shows the same")
			check(t, r, "trace of what happened once")
			r.picture(s.name + "/tools-once")
			r.key("Escape")
			r.use(meter.LogicProbe)
			r.place(meter.LogicProbe, 0, "BAT.30")
			assert.Equal(t, meter.HighWord, r.m.State().Displays[meter.LogicProbe].Text)
			r.use(meter.Load)
			r.place(meter.Load, 0, "BAT.30")
			r.use(meter.Load)
			r.place(meter.Load, 1, "BAT.31")
			assert.Equal(t, "lit", r.m.State().Displays[meter.Load].Text)
			r.part("tray")
			check(t, r, "all")
			r.picture(s.name + "/tools-all")
		})
	}
}

// press uses a thing of the sheet as the keyboard does.
func (r *rig) press(id string) {
	r.t.Helper()
	r.part("sheet")
	require.True(r.t, r.m.Press(id), id)
	r.settle()
}
