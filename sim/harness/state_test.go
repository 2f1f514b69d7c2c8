package harness_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func volts(m *harness.Machine) []float64 {
	var all []float64
	for _, p := range m.Harness().Points() {
		all = append(all, m.Volts(p))
	}
	return all
}

// disturb changes everything that a snapshot holds.
func disturb(t *testing.T, m *harness.Machine) {
	operate(t, m, "key", "off", "horn", "pressed")
	require.NoError(t, m.Unplug("X2"))
	m.OpenLoom("S3")
	require.NoError(t, m.Alter([]harness.Alteration{
		harness.Bridge{A: "S2", B: harness.Body, Ohms: 0.1}, harness.WrongFuse{Connector: "XF1", Amps: 30},
		harness.Spoil{Component: "H1", Defect: "coil-shorted", Severity: 0.1},
	}))
	operate(t, m, "key", "on")
	_, err := m.Run(30)
	require.NoError(t, err)
	require.True(t, m.Fuse("XF2").Blown())
}

func TestSnapshot(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Settle())
	require.NoError(t, m.Alter([]harness.Alteration{series("wire 24", 1), harness.Spoil{Component: "LR", Defect: "filament-open"}}))
	operate(t, m, "key", "on", "lamps", "on")
	p := device.NewProbe()
	p.Set(0, 10)
	require.NoError(t, m.Attach("lamp", p, "XTT.1.a", "body"))
	_, err := m.Run(0.05)
	require.NoError(t, err)
	was, at := m.Snapshot(), volts(m)
	later := func() []float64 {
		_, err := m.Run(0.05)
		require.NoError(t, err)
		return volts(m)
	}
	then := later()
	require.NotEqual(t, at, then, "the filaments are still warming up")

	disturb(t, m)
	require.NoError(t, m.Detach("lamp"))
	require.NoError(t, m.Restore(was))
	assert.Equal(t, at, volts(m))
	assert.Equal(t, "on", m.Position("key"))
	assert.Equal(t, "released", m.Position("horn"))
	assert.True(t, m.Plugged("X2"))
	assert.False(t, m.LoomOpen("S3"))
	assert.Len(t, m.Alterations(), 2)
	assert.False(t, m.Fuse("XF2").Blown())
	assert.Equal(t, 15.0, m.Fuse("XF1").Rating())
	a, b, ok := m.Attached("lamp")
	assert.True(t, ok)
	assert.Equal(t, [2]harness.Point{"XTT.1.a", "body"}, [2]harness.Point{a, b})
	assert.InDeltaSlice(t, then, later(), 1e-9, "what follows is the same, up to where Newton's method stops")

	require.NoError(t, m.Detach("lamp"))
	c, err := m.Clone()
	require.NoError(t, err)
	disturb(t, m)
	require.NoError(t, m.Restore(was))
	require.NoError(t, m.Detach("lamp"))
	_, err = m.Run(0.05)
	require.NoError(t, err)
	_, err = c.Run(0)
	require.NoError(t, err)
	assert.InDelta(t, m.Volts("XLL.1.b"), c.Volts("XLL.1.b"), 0.3, "the clone is where its original was, disturbed by nothing")
	assert.False(t, c.Fuse("XF2").Blown())

	other, err := harness.NewMachine(sample.Many(3))
	require.NoError(t, err)
	require.ErrorContains(t, other.Restore(was), "another machine")
}

func TestUnplug(t *testing.T) {
	m := newTractor(t)
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Settle())
	require.True(t, m.Plugged("X2"))
	require.NoError(t, m.Unplug("X2"))
	require.False(t, m.Plugged("X2"))
	require.NoError(t, m.Settle())
	assert.Greater(t, m.Volts("X2.1.a"), 12.0)
	assert.InDelta(t, 0, m.Volts("X2.1.b"), 1e-3)
	assert.Equal(t, "off", m.EffectOf("LL").Word)
	require.NoError(t, m.Plug("X2"))
	require.NoError(t, m.Settle())
	assert.Equal(t, "lit", m.EffectOf("LL").Word)
	// The relay on the bench: its coil measures 100 Ω between the pins and nothing else is joined to it.
	require.NoError(t, m.Unplug("XK1"))
	require.NoError(t, m.Settle())
	_, ohms := m.Thevenin("XK1.86.b", "XK1.85.b")
	assert.InEpsilon(t, 100, ohms, 1e-6, "the fixture's coil")
	require.ErrorContains(t, m.Unplug("X9"), `no connector "X9"`)
	require.False(t, m.Plugged("X9"))
}

func TestReplace(t *testing.T) {
	m := newTractor(t)
	operate(t, m, "key", "on", "lamps", "on")
	require.NoError(t, m.Alter([]harness.Alteration{
		harness.Spoil{Component: "S-LAMP", Defect: "contact-open"}, series("wire 25", harness.Broken),
	}))
	require.NoError(t, m.Settle())
	assert.Equal(t, "off", m.EffectOf("LL").Word)
	require.NoError(t, m.Replace("S-LAMP"))
	require.NoError(t, m.Settle())
	assert.Equal(t, "lit", m.EffectOf("LL").Word, "the new switch stands where its control does")
	assert.Equal(t, "off", m.EffectOf("LR").Word)
	assert.Len(t, m.Alterations(), 1, "the wire is not mended")
	require.ErrorContains(t, m.Replace("S9"), `no component "S9"`)
}

func TestAlterErrors(t *testing.T) {
	m := newTractor(t)
	require.NoError(t, m.Alter([]harness.Alteration{series("wire 24", 1)}))
	for name, c := range map[string]struct {
		list []harness.Alteration
		want string
	}{
		"unknown limb":      {[]harness.Alteration{series("wire 99", 1)}, `there is no "wire 99"`},
		"no resistance":     {[]harness.Alteration{series("wire 24", 0)}, "must be above 0 ohm (got 0)"},
		"unknown point":     {[]harness.Alteration{harness.Bridge{A: "S9", B: "body", Ohms: 1}}, `no point "S9"`},
		"bridge to itself":  {[]harness.Alteration{harness.Bridge{A: "S1", B: "S1", Ohms: 1}}, "two different points"},
		"open bridge":       {[]harness.Alteration{harness.Bridge{A: "S1", B: "S2", Ohms: harness.Broken}}, "finite (got +Inf)"},
		"unknown component": {[]harness.Alteration{harness.Spoil{Component: "Z", Defect: "open"}}, `no component "Z"`},
		"unknown defect":    {[]harness.Alteration{harness.Spoil{Component: "LL", Defect: "coil-open"}}, `has no defect "coil-open"`},
		"severity":          {[]harness.Alteration{harness.Spoil{Component: "LL", Defect: "wrong-lamp", Severity: 1e6}}, "(got 1e+06)"},
		"two defects": {[]harness.Alteration{harness.Spoil{Component: "K1", Defect: "coil-open"},
			harness.Spoil{Component: "K1", Defect: "contact-open"}}, "more than one defect"},
		"nil": {[]harness.Alteration{nil}, "unknown alteration"},
	} {
		require.ErrorContains(t, m.Alter(c.list), c.want, name)
		require.Len(t, m.Alterations(), 1, "%s: nothing is changed", name)
	}
	require.ErrorContains(t, m.Operate("key", "start"), "it has off, on")
	require.ErrorContains(t, m.Operate("gear", "1"), `no control "gear"`)
	require.ErrorContains(t, m.Attach("meter", device.NewProbe(), "S9", "body"), `instrument "meter"`)
}

// TestPrepared: a machine with room for bridges and leads says what a plain one does.
func TestPrepared(t *testing.T) {
	plain, prepared := newTractor(t), newTractor(t)
	require.NoError(t, prepared.Prepare())
	require.NoError(t, prepared.Prepare())
	lists := [][]harness.Alteration{
		nil,
		{harness.Bridge{A: "S1", B: "S3", Ohms: 0.5}},
		{harness.Bridge{A: "S3", B: harness.Body, Ohms: 5}, harness.Bridge{A: "XLL.1.a", B: "X1.1.a", Ohms: 100}},
		{harness.Bridge{A: "S3", B: "S2", Ohms: 50}, harness.Bridge{A: "XLL.1.a", B: "X1.1.a", Ohms: 100}, series("wire 31", 4)},
		{harness.Bridge{A: "S3", B: harness.Body, Ohms: 5}, harness.Bridge{A: harness.Body, B: "S3", Ohms: 5}},
		{series("wire 31", 4)},
	}
	probeOf := map[*harness.Machine]*device.Probe{}
	leads := [][2]harness.Point{{"S3", "body"}, {"body", "S3"}, {"XLL.1.a", "X2.1.b"}, {"S2", "S2"}}
	for i, list := range lists {
		for k, at := range leads {
			for _, m := range []*harness.Machine{plain, prepared} {
				require.NoError(t, m.Alter(list))
				p := device.NewProbe()
				if m == prepared && i+k > 0 {
					p = probeOf[m]
				}
				probeOf[m] = p
				p.Set(9, 1000)
				require.NoError(t, m.Attach("ohms", p, at[0], at[1]))
				operate(t, m, "key", "on", "lamps", "on")
				require.NoError(t, m.Settle())
			}
			for _, p := range plain.Harness().Points() {
				require.InDelta(t, plain.Volts(p), prepared.Volts(p), 1e-6, "list %d, leads %d, %s", i, k, p)
			}
			a, b := probeOf[plain].Amps(plain.Solver()), probeOf[prepared].Amps(prepared.Solver())
			require.InDelta(t, a, b, 1e-9)
		}
	}
	was := prepared.Snapshot()
	require.NoError(t, prepared.Attach("ohms", probeOf[prepared], "S1", "body"))
	require.NoError(t, prepared.Restore(was))
	a, b, _ := prepared.Attached("ohms")
	assert.Equal(t, leads[3], [2]harness.Point{a, b})
}
