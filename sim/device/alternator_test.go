package device_test

import (
	"fmt"
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// charging is a battery at node 1, the alternator's 51 there too, its charge lamp of 1.2 W from node 1 through a key to 61 at node 2.
// Positions: engine at rest, 800, 1600 and 2400 rpm.
type charging struct {
	*rig
	nominal    float64
	alternator *device.Alternator
	battery    *device.Battery
	lamp       *device.Lamp
	load       circuit.ID
}

func newCharging(t testing.TB, nominal, charge float64) *charging {
	d, err := device.New(device.Spec{Kind: "alternator", Positions: places(4), Values: map[string]float64{"volts": nominal}})
	require.NoError(t, err)
	c := &charging{rig: newRig(t, 2), nominal: nominal, alternator: d.(*device.Alternator), lamp: lamp(t, nominal, 1.2)}
	c.battery = battery(t, map[string]float64{"charge": charge, "volts": nominal, "resistance": 0.01 * nominal / 12})
	c.add(c.battery, 1, 0).add(c.alternator, 1, 2, 0).add(c.lamp, 1, 2)
	c.load = c.branch(1, 0, circuit.Resistor{Ohms: math.Inf(1)})
	c.compile()
	return c
}

// draw puts on a load that takes that many amperes at the nominal voltage.
func (c *charging) draw(amps float64) {
	c.solver.SetOhms(c.load, c.nominal/amps)
	c.settle()
}

// cells is the voltage over that of a 12 V vehicle.
func (c *charging) cells(volts float64) float64 { return volts * 12 / c.nominal }

// at12and24 runs a test on both voltages.
func at12and24(t *testing.T, test func(t *testing.T, nominal float64)) {
	for _, nominal := range []float64{12, 24} {
		t.Run(fmt.Sprintf("%g V", nominal), func(t *testing.T) { test(t, nominal) })
	}
}

// 13.8 to 14.4 V, 27.6 to 28.8 V: testdata/device/lead_acid.csv, charging_V, "common practice, no source".
func TestAlternatorHoldsItsVoltage(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		var low, high float64
		for _, row := range table(t, "lead_acid.csv") {
			if row["quantity"] == "charging_V" && row["type"] == fmt.Sprintf("%g V vehicle", nominal) {
				low, high = number(t, row["value"]), number(t, row["value_high"])
			}
		}
		require.Positive(t, low)
		c := newCharging(t, nominal, 95)
		c.settle()
		assert.Less(t, c.cells(c.volts(1)), 12.7)
		assert.Equal(t, "lit", c.lamp.Effect(c.solver).Word, "at rest the charge lamp lights")
		for i := 1; i < 4; i++ {
			c.alternator.Set(i)
			for _, amps := range []float64{0.001, 12, 24} {
				c.draw(amps)
				if i > 1 || amps < 24 {
					assert.True(t, c.volts(1) >= low && c.volts(1) <= high, "position %d, %g A: %g V", i, amps, c.volts(1))
				}
				assert.Equal(t, "off", c.lamp.Effect(c.solver).Word, "charging, the lamp is out")
			}
		}
		c.alternator.Set(0)
		c.settle()
		assert.Equal(t, "lit", c.lamp.Effect(c.solver).Word)
		assert.Less(t, c.cells(c.volts(1)), 12.7)
	})
}

// A flat battery still lights the charge lamp enough to excite the alternator at idle, and the lamp goes out (a warning that is out once the
// engine turns is what the lamp is for; common practice, no source). A lamp of half the power is too little.
func TestAlternatorStartsOnAFlatBattery(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		for _, charge := range []float64{0, 10, 50} {
			c := newCharging(t, nominal, charge)
			c.settle()
			assert.Equal(t, "lit", c.lamp.Effect(c.solver).Word, "%g %%: at rest", charge)
			c.alternator.Set(1)
			c.settle()
			assert.True(t, c.alternator.Charging(), "%g %%", charge)
			assert.Equal(t, "off", c.lamp.Effect(c.solver).Word, "%g %%: at idle", charge)
			assert.Less(t, c.battery.Amps(c.solver), -10.0, "%g %%: it takes what it is given", charge)
		}
		c := newCharging(t, nominal, 10)
		require.NoError(t, c.lamp.Spoil("wrong-lamp", 0.5))
		c.alternator.Set(1)
		c.settle()
		assert.False(t, c.alternator.Charging(), "a lamp of half a watt")
	})
}

// The rotor takes the same power whatever the voltage: 2.5 to 5 Ω at 12 V are 3 to 6 A there and half of that at 24 V (common practice, no
// source).
func TestAlternatorFieldTakesTheSamePower(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		c := newCharging(t, nominal, 95)
		c.alternator.Set(2)
		c.settle()
		field := c.volts(2) * c.solver.Current(device.AlternatorField(c.alternator))
		assert.InDelta(t, 14.2*14.2/4, field, 1.5, "watts")
	})
}

// What it can deliver by speed: I∞·√(1-(1400/n)²) through 70 A at 6000 rpm. More than that and the battery helps out.
func TestAlternatorIsLimitedBySpeed(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		c := newCharging(t, nominal, 95)
		for i, n := range []float64{0, 2000, 4000, 6000} {
			c.alternator.Set(i)
			c.draw(150)
			want := 0.0
			if n > 0 {
				want = 70 * math.Sqrt(1-math.Pow(1400/n, 2)) / math.Sqrt(1-math.Pow(1400/6000.0, 2))
			}
			current := c.volts(1)/(nominal/150) - c.battery.Amps(c.solver)
			assert.InDelta(t, want, current, 0.02*want+4, "at %g rpm; its field takes 3 A of it", n)
			assert.Less(t, c.cells(c.volts(1)), 12.3, "the battery sags")
		}
	})
}

func TestAlternatorNeedsItsLampToBegin(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		c := newCharging(t, nominal, 95)
		a := c.alternator
		require.NoError(t, c.lamp.Spoil("filament-open", 0))
		a.Set(1)
		c.settle()
		assert.Less(t, c.cells(c.volts(1)), 12.7, "no lamp, no excitation")
		a.Set(3)
		c.settle()
		assert.Greater(t, c.cells(c.volts(1)), 13.8, "but at high speed it excites itself")
		a.Set(1)
		c.settle()
		assert.Greater(t, c.cells(c.volts(1)), 13.5, "and goes on")
		assert.NotEmpty(t, a.State())
		c.march(5, math.Inf(1))
		assert.True(t, a.Charging())
	})
}

func TestAlternatorDefects(t *testing.T) {
	at12and24(t, func(t *testing.T, nominal float64) {
		for _, d := range []struct {
			defect      string
			severity    float64 // volts as on a 12 V vehicle
			least, most float64 // the same, at 1600 rpm with 17 A drawn
			rest, run   string  // charge lamp
		}{
			{"", 0, 13.8, 14.4, "lit", "off"}, {"field-open", 0, 11, 12.6, "off", "off"}, {"regulator-open", 0, 11, 12.6, "lit", "lit"},
			{"regulator-high", 2.5, 16.3, 17, "lit", "off"}, {"regulator-low", 1.2, 12.6, 13.2, "lit", "off"}, {"belt-slips", 20, 11, 12.6, "lit", "lit"},
			{"diode-open", 0, 13.5, 14.4, "lit", "off"}, {"rectifier-leaks", 10, 13.8, 14.4, "lit", "off"},
		} {
			c := newCharging(t, nominal, 95)
			if d.defect == "regulator-high" || d.defect == "regulator-low" {
				d.severity *= nominal / 12
			}
			require.NoError(t, c.alternator.Spoil(d.defect, d.severity))
			c.settle()
			assert.Equal(t, d.rest, c.lamp.Effect(c.solver).Word, "%s at rest", d.defect)
			if d.defect == "rectifier-leaks" {
				assert.Greater(t, c.battery.Amps(c.solver), 1.2, "drains the battery")
			}
			c.alternator.Set(2)
			c.draw(17)
			volts := c.cells(c.volts(1))
			assert.True(t, volts >= d.least && volts <= d.most, "%s: %g V of 12", d.defect, volts)
			assert.Equal(t, d.run, c.lamp.Effect(c.solver).Word, "%s running", d.defect)
		}
	})
}
