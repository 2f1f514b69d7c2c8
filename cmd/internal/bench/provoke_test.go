package bench_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/sim/meter"
)

// TestWiggle shakes a loose terminal with the leads on: the display flickers and the beacon goes out while it moves, and both come
// back when it is let go. By mouse, keys and touch.
func TestWiggle(t *testing.T) {
	for _, s := range []struct {
		name string
		w, h float64
	}{{"1280", 1280, 800}, {"phone", 390, 844}} {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, 1)
			r.start("ft5-01-every-rut")
			r.page("check")
			r.click("check/2/set")
			require.Equal(t, "lit", r.m.State().Effects["BE"].Word)
			r.dial(meter.Volts)
			r.place(meter.Multimeter, 1, "BAT.31")
			r.place(meter.Multimeter, 0, "X2.1.b")
			require.Greater(t, r.m.State().Displays[meter.Multimeter].Value, 11.0)
			r.open("X2.1.b")
			r.click("wiggle/part")
			st := r.m.State()
			assert.Equal(t, "X2.1", st.Shaking)
			assert.Equal(t, "off", st.Effects["BE"].Word, "the beacon goes out while the terminal moves")
			assert.Less(t, st.Displays[meter.Multimeter].Value, 1.0)
			assert.Contains(t, st.Displays[meter.Multimeter].Words, "flickers")
			assert.Contains(t, r.m.Mirror().Event, "flickers", "the caption tells it too")
			r.picture(s.name + "/30-wiggled")
			r.click("wiggle/part") // let go
			st = r.m.State()
			assert.Empty(t, st.Shaking)
			assert.Equal(t, "lit", st.Effects["BE"].Word)
			assert.Greater(t, st.Displays[meter.Multimeter].Value, 11.0)
			// By keys.
			for range 200 {
				if r.m.Mirror().Focus == "wiggle" {
					break
				}
				r.key("Tab")
			}
			require.Equal(t, "wiggle", r.m.Mirror().Focus, "Tab comes to it")
			r.key("Enter")
			assert.Equal(t, "X2", r.m.State().Shaking)
			// By a finger.
			w := r.m.Frame(r.size).Find("cool")
			require.NotNil(t, w)
			r.m.Handle(bench.Event{Kind: bench.Press, Touch: true, ID: 1, At: w.Rect.Center()})
			r.m.Handle(bench.Event{Kind: bench.Release, Touch: true, ID: 1, At: w.Rect.Center()})
			r.settle()
			st = r.m.State()
			assert.Empty(t, st.Shaking, "whatever comes next lets go")
			assert.Less(t, st.Celsius["X2"], 0.0)
			r.click("warm")
			assert.Greater(t, r.m.State().Celsius["X2"], 60.0)
			r.picture(s.name + "/31-warmed")
		})
	}
}

// TestFindWhatComesAndGoes declares a joint that opens hot: the kinds come from the catalogue.
func TestFindWhatComesAndGoes(t *testing.T) {
	r := newRig(t, 1280, 800, 1)
	r.start("ft5-03-after-lunch")
	r.open("K1.86.a")
	r.click("place/find")
	r.picture("1280/32-kinds")
	r.click("kind/component K1 opens-hot 86")
	assert.Equal(t, "component K1 opens-hot 86", r.m.State().Finding)
}
