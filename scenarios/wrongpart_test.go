package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// TestWrongPartsShow: parts of another voltage or value on the shipped vehicles show in the check where a person would notice them, and
// the catalogue has them as things that can be seen, seldom, and mended by another part.
func TestWrongPartsShow(t *testing.T) {
	for _, c := range []struct {
		harness, fault string
		shows          bool
	}{
		{"dt14-work-lamps", "component K1 wrong-relay 24 V", true},
		{"mc7-cab-blower", "component K1 wrong-relay 12 V", false}, // it works, and gets hot
		{"mc7-cab-blower", "component R2 wrong-value 0.4 ohm", false},
		{"qs9-brush-control", "component R1 wrong-value 500 ohm", true},
		{"qs9-brush-control", "component TS wrong-sensor 2200 ohm", true},
	} {
		h := builtin(t).Harness(c.harness)
		require.NotNil(t, h, c.harness)
		f, err := fault.Parse(c.fault)
		require.NoError(t, err)
		shown, err := scenarios.Shows(machine(t, h), f)
		require.NoError(t, err)
		assert.Equal(t, c.shows, len(shown) > 0, "%s: %s shows %v", c.harness, c.fault, shown)
		found := false
		for _, e := range fault.Catalogue(h) {
			if e.Fault.Place == f.Place && e.Fault.Kind == f.Kind {
				found = true
				assert.True(t, e.Visible && e.Low <= f.Severity && f.Severity <= e.High, "%+v", e)
				assert.Less(t, e.Likelihood, 0.2, "seldom")
				assert.Equal(t, "replace "+f.Place, e.Repair.String())
			}
		}
		assert.True(t, found, "%s is in the catalogue of %s", c.fault, c.harness)
	}
}

// A 12 V relay where a 24 V one belongs shows to the meter: its coil has a quarter of the ohms and takes four times the current.
func TestRelayOfLowerVoltageShowsToTheMeter(t *testing.T) {
	h := builtin(t).Harness("mc7-cab-blower")
	amps := func(altered ...harness.Alteration) float64 {
		m := machine(t, h)
		require.NoError(t, m.Alter(altered))
		for _, line := range h.Check {
			m.Rest()
			for _, s := range line.Set {
				require.NoError(t, m.Operate(s.Control, s.Position))
			}
			require.NoError(t, m.Settle())
			if a := m.LimbAmps("cavity K1.86"); a > 0.01 {
				return a
			}
		}
		require.Fail(t, "no line of the check has the relay's coil fed")
		return 0
	}
	assert.InEpsilon(t, 4, amps(harness.Spoil{Component: "K1", Defect: "wrong-relay", Severity: 12})/amps(), 0.05)
}
