package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func battery(t testing.TB, values map[string]float64) *device.Battery {
	return create(t, "battery", values).(*device.Battery)
}

// testdata/device/lead_acid.csv. The rows recommended there are ours exactly; the other flooded tables spread by what the file
// calls open_circuit_tolerance_V: 0.05 V near full charge, 0.15 V at half and below.
func TestBatteryRestVoltsByCharge(t *testing.T) {
	rows := 0
	for _, row := range table(t, "lead_acid.csv") {
		if row["quantity"] != "open_circuit_V" || row["type"] != "flooded" {
			continue
		}
		rows++
		charge, want := number(t, row["state_of_charge_percent"]), number(t, row["value"])
		b := battery(t, map[string]float64{"charge": charge})
		r := newRig(t, 1).add(b, 1, 0)
		r.compile().settle()
		tolerance := 0.05
		if charge <= 50 {
			tolerance = 0.15
		}
		if charge == 0 {
			tolerance = 0.3 // one table goes down to 11.6 V, the others end at 11.85 and 11.89 V
		}
		if row["temperature_C"] == "26.7" {
			tolerance = 1e-6
		}
		assert.InDelta(t, want, r.volts(1), tolerance, "%g %% of charge, %s", charge, row["source"])
		full := battery(t, map[string]float64{"charge": charge, "volts": 24, "resistance": 0.02})
		assert.InDelta(t, 2*b.EMF(), full.EMF(), 1e-12, "24 V")
	}
	assert.GreaterOrEqual(t, rows, 15)
}

func TestBatterySagsUnderLoad(t *testing.T) {
	b := battery(t, map[string]float64{"resistance": 0.01})
	r := newRig(t, 1).add(b, 1, 0)
	r.branch(1, 0, circuit.Injection{Amps: 200})
	r.compile().settle()
	// 12.65 V less 200 A through the 0.0100 Ω of OpenStax College Physics 2e section 21.2.
	assert.InDelta(t, 12.65-2, r.volts(1), 1e-6)
	assert.InDelta(t, 200, b.Amps(r.solver), 1e-6)
	// A good battery holds 9.6 V at half its cranking rating (commonly taught, no source): 3 times the 70 Ah is 210 A.
	assert.Greater(t, r.volts(1), 9.6)
}

func TestBatteryDrains(t *testing.T) {
	b := battery(t, map[string]float64{"capacity": 50})
	r := newRig(t, 1).add(b, 1, 0)
	r.branch(1, 0, circuit.Injection{Amps: 5})
	r.compile()
	r.march(4*3600, math.Inf(1)) // 20 Ah of 50
	assert.InDelta(t, 0.6, b.State()[0], 1e-9)
	assert.InDelta(t, 12.24+0.4*0.21, b.EMF(), 1e-6, "two fifths of the way from the 50 % to the 75 % row")
	assert.InDelta(t, 0.01*50*3600/5, b.Due(r.solver), 1e-6, "seconds per percent")
	r.march(40*3600, math.Inf(1))
	assert.Zero(t, b.State()[0], "empty is empty")
	assert.True(t, math.IsInf(b.Due(r.solver), 1), "an empty one has nothing more to lose, so nothing is due")
}

// Common practice, no source: a full 70 Ah battery takes a few amperes at 14.3 V, one at 80 % about ten, one at half all there is.
func TestBatteryAcceptsChargeByItsState(t *testing.T) {
	for _, c := range []struct{ charge, least, most float64 }{{100, 1, 5}, {80, 6, 15}, {50, 40, 150}, {10, 60, 200}} {
		b := battery(t, map[string]float64{"charge": c.charge})
		r := newRig(t, 1).add(b, 1, 0)
		r.branch(1, 0, circuit.Source{EMF: 14.3, Ohms: 1e-4})
		r.compile().settle()
		amps := -b.Amps(r.solver)
		assert.True(t, amps >= c.least && amps <= c.most, "%g %%: %g A", c.charge, amps)
		r.march(3600, math.Inf(1))
		assert.Greater(t, b.State()[0], c.charge/100-1e-9)
	}
}

func TestBatteryDefects(t *testing.T) {
	b := battery(t, nil)
	r := newRig(t, 1).add(b, 1, 0)
	load := r.branch(1, 0, circuit.Resistor{Ohms: 0.1})
	r.compile()
	volts := func() float64 { r.settle(); return r.volts(1) }
	healthy := volts()
	for _, c := range []struct {
		defect      string
		severity    float64
		least, most float64 // volts under 100 A
	}{
		{"discharged", 0, 9, 11}, {"discharged", 50, 10.5, 11.3}, {"weak", 0.3, 2, 4}, {"dead-cell", 0, 9, 10}, {"open", 0, 0, 0.01},
	} {
		require.NoError(t, b.Spoil(c.defect, c.severity))
		v := volts()
		assert.True(t, v >= c.least && v <= c.most, "%s: %g V", c.defect, v)
		assert.Less(t, v, healthy)
	}
	require.NoError(t, b.Spoil("dead-cell", 0))
	r.solver.SetOhms(load, math.Inf(1))
	assert.InDelta(t, 12.65*5/6, volts(), 1e-6, "five of six cells")
	require.NoError(t, b.Spoil("", 0))
	assert.InDelta(t, 12.65, volts(), 1e-6)
	assert.ErrorContains(t, b.Spoil("discharged", 99), "from 1 to 60 %")
}

// A battery that has half of its cranking power left at -18 °C (40 to 65 % are taught, common practice, no source) sags twice as much there; at
// 25 °C it is as stated, and without cold it is so at any temperature. The most that it gives is E²/(4·R) (any text on sources).
func TestBatteryInTheCold(t *testing.T) {
	sag := func(cold, celsius float64) float64 {
		values := map[string]float64{"resistance": 0.01}
		if cold > 0 {
			values["cold"] = cold
		}
		b := create(t, "battery", values).(*device.Battery)
		b.Surround(celsius)
		r := newRig(t, 1).add(b, 1, 0)
		load := r.branch(0, 1, circuit.Injection{Amps: 0})
		r.compile().settle()
		open := r.volts(1)
		r.solver.SetAmps(load, -200)
		r.settle()
		return open - r.volts(1)
	}
	assert.InDelta(t, 2.0, sag(2, 25), 1e-9, "200 A through 10 mΩ")
	assert.InDelta(t, 4.0, sag(2, -18), 1e-9)
	assert.InDelta(t, 2*math.Sqrt2, sag(2, 3.5), 1e-9, "half way")
	assert.Less(t, sag(2, 50), 2.0)
	assert.InDelta(t, 2.0, sag(0, -18), 1e-9, "not asked for")
	power := sag(2, 25) / sag(2, -18)
	assert.True(t, power >= 0.4 && power <= 0.65, "%g of its cranking power", power)
}
