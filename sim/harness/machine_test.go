package harness_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func newTractor(t testing.TB) *harness.Machine {
	t.Helper()
	h := sample.Tractor()
	require.Empty(t, h.Validate())
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	return m
}

func operate(t testing.TB, m *harness.Machine, settings ...string) {
	t.Helper()
	for i := 0; i < len(settings); i += 2 {
		require.NoError(t, m.Operate(settings[i], settings[i+1]))
	}
}

func series(limb string, ohms float64) harness.SeriesOhms {
	return harness.SeriesOhms{Where: harness.Limb(limb), Ohms: ohms}
}

func words(m *harness.Machine) map[string]string {
	all := map[string]string{}
	for id, e := range m.Effects() {
		all[id] = e.Word
	}
	return all
}

// TestHealthyDrops goes along the lamp circuit by hand: each wire is metres/58/mm² (IEC 60028) and two joints of 0.5 mΩ, and every
// drop is under what is taught (../../testdata/scenarios/voltage_drop.csv, rows "common practice, no source").
func TestHealthyDrops(t *testing.T) {
	m := newTractor(t)
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	wire := func(metres, size float64) float64 { return metres/58/size + 1e-3 }
	for _, c := range []struct {
		limb, from, to string
		ohms, taught   float64
	}{
		{"wire 12", "S1", "XF1.1.a", wire(0.2, 4), 0.2},
		{"wire 20", "XF1.2.a", "XK1.30.a", wire(0.6, 2.5), 0.2},
		{"wire 21", "XK1.87.a", "S5", wire(0.3, 2.5), 0.2},
		{"wire 22", "S5", "X2.1.a", wire(1.5, 2.5), 0.2},
		{"wire 23", "X2.1.b", "S3", wire(2, 2.5), 0.2},
		{"wire 24", "S3", "XLL.1.a", wire(0.8, 1.5), 0.2},
		{"wire 28", "S4", "X2.2.b", wire(2, 2.5), 0.2},
		{"cavity X2.1", "X2.1.a", "X2.1.b", 5e-3, 0.05},
		{"cavity XF1.1", "XF1.1.a", "XF1.1.b", 1.5e-3, 0.05},
		{"ground G1", "G1", "body", 0.5e-3, 0.1},
		{"ring G1.29", "G1.29", "G1", 0.5e-3, 0.1},
	} {
		amps := m.LimbAmps(harness.Limb(c.limb))
		drop := m.VoltsBetween(harness.Point(c.from), harness.Point(c.to))
		assert.InEpsilon(t, amps*c.ohms, drop, 1e-9, "%s: %g A", c.limb, amps)
		assert.Less(t, drop, c.taught, c.limb)
	}
	// A 55 W lamp at 12 V takes 4.58 A; at the voltage it gets, with the exponent 0.55 of the Standard Handbook for Electrical
	// Engineers (11th ed., p. 22-8), within the 2 % that this rule is good for.
	for _, lamp := range []string{"LL", "LR"} {
		at := harness.Point("X" + lamp + ".1.b")
		volts := m.VoltsBetween(at, harness.Point("X"+lamp+".2.b"))
		assert.InEpsilon(t, 55.0/12*math.Pow(volts/12, 0.55), m.LimbAmps(harness.Limb("cavity X"+lamp+".1")), 0.02)
	}
	// Kirchhoff's current law where the lamps divide.
	assert.InDelta(t, m.LimbAmps("wire 23"), m.LimbAmps("wire 24")+m.LimbAmps("wire 25"), 1e-9)
	assert.Equal(t, map[string]string{"LL": "lit", "LR": "lit", "TT": "lit", "H1": "silent"}, words(m))
}

func TestHealthyCheck(t *testing.T) {
	for name, h := range map[string]*harness.Harness{"tractor": sample.Tractor(), "many": sample.Many(9)} {
		m, err := harness.NewMachine(h)
		require.NoError(t, err, name)
		lines, err := m.RunCheck()
		require.NoError(t, err)
		require.Len(t, lines, len(h.Check))
		for i, seen := range lines {
			for _, s := range seen {
				assert.True(t, s.Ok(), "%s, line %d: %+v", name, i+1, s)
			}
			ok, one, err := m.CheckPasses(i)
			require.NoError(t, err)
			assert.True(t, ok)
			assert.Equal(t, seen, one)
		}
	}
	m := newTractor(t)
	_, _, err := m.CheckPasses(5)
	require.EqualError(t, err, `there is no check line 6; harness "tractor" has 5`)
}

// TestSharedGround: with 5 Ω at G1, the lamps and the horn that share it lift it off the body; with G1 lost the horn's current goes
// back through both lamps, and the tell-tale, which is grounded elsewhere, lights when the horn is pressed.
func TestSharedGround(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{series("ground G1", 5)}))
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	amps := m.LimbAmps("ground G1")
	assert.InEpsilon(t, amps*5.0005, m.Volts("G1"), 1e-9, "ohm's law on the joint: 5 Ω and 0.5 mΩ")
	assert.InDelta(t, amps, m.LimbAmps("ring G1.29")+m.LimbAmps("ring G1.43"), 1e-9)
	// The rest of the loop is some tenths of an ohm and the lamps in parallel, about 1.3 Ω when lit and less when dim: so
	// three quarters or more of the battery's voltage stand on the joint.
	assert.Greater(t, m.Volts("G1"), 0.75*12.65)
	assert.NotEqual(t, "lit", m.EffectOf("LL").Word)
	assert.Equal(t, "lit", m.EffectOf("TT").Word, "grounded at G2")

	require.NoError(t, m.Alter([]harness.Alteration{series("ground G1", harness.Broken)}))
	operate(t, m, "lamps", "off", "horn", "pressed")
	require.NoError(t, m.Settle())
	horn := m.LimbAmps("cavity XH1.1")
	assert.Greater(t, horn, 0.1)
	assert.InDelta(t, 0, m.LimbAmps("ground G1"), 1e-9)
	assert.InDelta(t, -horn, m.LimbAmps("wire 28"), 1e-9, "it flows backwards through the lamps' common return")
	assert.InDelta(t, horn, m.LimbAmps("cavity XTT.1"), 1e-9, "and on through the tell-tale")
	assert.Equal(t, map[string]string{"LL": "off", "LR": "off", "TT": "lit", "H1": "silent"}, words(m))
}

// TestCorrodedContact: 5 Ω in cavity 1 of X2 is under the 30 Ω at which meters beep (common practice, no source), and leaves
// the lamps without light.
func TestCorrodedContact(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{series("cavity X2.1", 5)}))
	require.NoError(t, m.Settle())
	_, ohms := m.Thevenin("X2.1.a", "X2.1.b")
	assert.Less(t, ohms, 5.005, "the cold filaments of tell-tale and lamps lie beside it, through the body")
	require.NoError(t, m.Unplug("XTT"))
	require.NoError(t, m.Settle())
	_, ohms = m.Thevenin("X2.1.a", "X2.1.b")
	assert.InEpsilon(t, 5.005, ohms, 1e-9, "by itself: 5 Ω and the good contact's 5 mΩ")
	require.NoError(t, m.Plug("XTT"))
	ok, seen, err := m.CheckPasses(2)
	require.NoError(t, err)
	assert.False(t, ok)
	assert.Equal(t, "LL", seen[0].Component)
	assert.NotEqual(t, "lit", seen[0].Got)
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	assert.InEpsilon(t, 5.005*m.LimbAmps("wire 22"), m.VoltsBetween("X2.1.a", "X2.1.b"), 1e-9)
	assert.Greater(t, m.VoltsBetween("X2.1.a", "X2.1.b"), 6.0, "most of the voltage is lost there")
}

// TestRelayClicks: the coil is fed and the armature moves, but nothing comes out of 87.
func TestRelayClicks(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{harness.Spoil{Component: "K1", Defect: "contact-open"}}))
	require.NoError(t, m.Settle())
	operate(t, m, "key", "on", "lamps", "on")
	events, err := m.Run(2)
	require.NoError(t, err)
	require.Equal(t, []harness.Event{{Seconds: 0.007, Component: "K1", What: "click-in", Loud: true}}, events)
	assert.Greater(t, m.VoltsBetween("XK1.86.b", "XK1.85.b"), 12.0)
	assert.Greater(t, m.Volts("XK1.30.b"), 12.0)
	assert.InDelta(t, 0, m.Volts("XK1.87.b"), 1e-3)
	assert.Equal(t, "off", m.EffectOf("LL").Word)
	operate(t, m, "lamps", "off")
	events, err = m.Run(2)
	require.NoError(t, err)
	require.Len(t, events, 1)
	assert.Equal(t, "click-out", events[0].What)
}

// TestEvents: lamps come on as one change each, in the order of their warming; a small filament is quicker than a large one.
func TestEvents(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Settle())
	operate(t, m, "key", "on", "lamps", "on")
	events, err := m.Run(2)
	require.NoError(t, err)
	var told []string
	last := 0.0
	for _, e := range events {
		told = append(told, e.Component+" "+e.What+" "+e.Word)
		assert.GreaterOrEqual(t, e.Seconds, last)
		last = e.Seconds
	}
	assert.Equal(t, []string{"K1 click-in ", "TT effect lit", "LL effect lit", "LR effect lit"}, told)
	assert.Less(t, last, 1.0)
	events, err = m.Run(600)
	require.NoError(t, err)
	assert.Empty(t, events)
	operate(t, m, "horn", "pressed")
	events, err = m.Run(0.1)
	require.NoError(t, err)
	assert.Equal(t, []harness.Event{{Component: "H1", What: harness.EffectChanged, Word: "sounds", Loud: true}}, events)
}

// TestRunEndsSettled: after seconds of rest, time and steady state agree.
func TestRunEndsSettled(t *testing.T) {
	a, b := newTractor(t), newTractor(t)
	require.NoError(t, a.Settle())
	for _, m := range []*harness.Machine{a, b} {
		operate(t, m, "key", "on", "lamps", "on", "horn", "pressed")
	}
	_, err := a.Run(10)
	require.NoError(t, err)
	_, err = b.Hold(10)
	require.NoError(t, err)
	require.Empty(t, a.Restless())
	for _, p := range a.Harness().Points() {
		// Ten seconds at some ten amperes take 1e-5 off the battery's charge, a tenth of a millivolt; inrush takes a little more.
		assert.InDelta(t, b.Volts(p), a.Volts(p), 1e-5, string(p))
	}
}

// TestSameEverywhere: the same calls give the same bits.
func TestSameEverywhere(t *testing.T) {
	run := func() (volts []float64, events []harness.Event) {
		m := newTractor(t)
		require.NoError(t, m.Alter([]harness.Alteration{
			harness.Bridge{A: "S3", B: "S4", Ohms: 2}, series("wire 24", 0.5), harness.Spoil{Component: "LR", Defect: "filament-open"},
		}))
		operate(t, m, "key", "on", "lamps", "on")
		for range 3 {
			e, err := m.Run(0.137)
			require.NoError(t, err)
			events = append(events, e...)
		}
		p := device.NewProbe()
		p.Set(0, 10e6)
		require.NoError(t, m.Attach("meter", p, "XLL.1.a", "body"))
		_, err := m.Run(1)
		require.NoError(t, err)
		for _, p := range m.Harness().Points() {
			volts = append(volts, m.Volts(p))
		}
		return volts, events
	}
	volts, events := run()
	again, eventsAgain := run()
	assert.Equal(t, volts, again)
	assert.Equal(t, events, eventsAgain)
}
