package scenarios_test

import (
	"math"
	"os"
	"testing"

	"faultloom/scenarios"
	"faultloom/sim/harness"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The guide's module: its input is pulled up by 2.2 kΩ and is on below 3 V; its lamp output follows 0.5 s later; its alarm is
// silent when the lamp draws less than 0.9 A.
func reversing(t *testing.T, alter ...harness.Alteration) *harness.Machine {
	t.Helper()
	h, err := scenarios.Load(os.DirFS("guide"), "module.yaml")
	require.NoError(t, err)
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	require.NoError(t, m.Alter(alter))
	require.NoError(t, m.Settle())
	return m
}

func run(t *testing.T, m *harness.Machine, seconds float64) {
	t.Helper()
	_, err := m.Run(seconds)
	require.NoError(t, err)
}

func word(m *harness.Machine, component string) string { return m.EffectOf(component).Word }

func TestModuleDelay(t *testing.T) {
	m := reversing(t)
	require.NoError(t, m.Operate("SW", "reverse"))
	run(t, m, 0.3)
	assert.Equal(t, "off", word(m, "RL"), "0.3 s is within the delay of 0.5 s")
	run(t, m, 1.2)
	assert.Equal(t, "lit", word(m, "RL"))
	assert.Equal(t, "sounds", word(m, "BZ"))
	require.NoError(t, m.Operate("SW", "forward"))
	run(t, m, 2)
	assert.Equal(t, "off", word(m, "RL"))
	assert.Equal(t, "silent", word(m, "BZ"))
}

// The input sees V·R/(R+2200): it is on below 3 V, so up to 693 Ω at the 12.5 V of a fair battery, and off well above that.
func TestModuleThreshold(t *testing.T) {
	for _, c := range []struct {
		ohms float64
		want string
	}{{100, "lit"}, {500, "lit"}, {1500, "off"}, {math.Inf(1), "off"}} {
		m := reversing(t, harness.SeriesOhms{Where: "wire 71a", Ohms: c.ohms})
		require.NoError(t, m.Operate("SW", "reverse"))
		run(t, m, 3)
		assert.Equal(t, c.want, word(m, "RL"), "%g ohm in the input's wire, %.2f V at it", c.ohms, m.Volts("M1.1.a"))
		if supply := m.Volts("M1.15.a"); !math.IsInf(c.ohms, 1) {
			assert.InDelta(t, supply*c.ohms/(c.ohms+2200), m.Volts("M1.1.a"), 0.05, "the divider of pull-up and fault")
		}
	}
}

func TestModuleKnowsItsLampIsOut(t *testing.T) {
	m := reversing(t, harness.Spoil{Component: "RL", Defect: "filament-open"})
	require.NoError(t, m.Operate("SW", "reverse"))
	run(t, m, 3)
	assert.Equal(t, "off", word(m, "RL"))
	assert.Equal(t, "silent", word(m, "BZ"), "the alarm keeps still when the lamp is out")
	assert.Greater(t, m.Volts("M1.2.a"), 11.0, "the output is on all the same")
}

// A short on the lamp's output is limited, and neither the fuse nor the module gives way.
func TestModuleLimitsAShort(t *testing.T) {
	m := reversing(t, harness.Bridge{A: "M1.2.a", B: harness.Body, Ohms: 0.05})
	require.NoError(t, m.Operate("SW", "reverse"))
	most := 0.0
	require.NoError(t, m.Average(3, func(float64) { most = max(most, math.Abs(m.LimbAmps("cavity F1.1"))) }))
	assert.Less(t, most, 10.0, "5 A of limit, and what the rest draws")
	assert.False(t, m.Fuse("F1").Blown(), "10 A are never reached")
	assert.Equal(t, "off", word(m, "RL"))
}

func TestModuleIsDeadWithoutSupply(t *testing.T) {
	m := reversing(t, harness.SeriesOhms{Where: "wire 15b", Ohms: math.Inf(1)})
	require.NoError(t, m.Operate("SW", "reverse"))
	run(t, m, 3)
	assert.Equal(t, "off", word(m, "RL"))
	assert.Equal(t, "silent", word(m, "BZ"))
}
