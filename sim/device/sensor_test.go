package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// places is a table of n positions that join nothing.
func places(n int) []device.Position {
	var all []device.Position
	for i := range n {
		all = append(all, device.Position{Name: string(rune('a' + i))})
	}
	return all
}

// pedal is a 5 kΩ potentiometer with five positions from 10 to 90 %.
func pedal(t testing.TB) *device.Potentiometer {
	d, err := device.New(device.Spec{Kind: "potentiometer", Positions: places(5)})
	require.NoError(t, err)
	return d.(*device.Potentiometer)
}

// A potentiometer on a 5 V reference gives its place in volts; loaded by R it follows the loaded divider of any text on circuits,
// U·x/(1 + x·(1-x)·track/R), here with the wiper's 50 Ω in R.
func TestPotentiometerDivides(t *testing.T) {
	p := pedal(t)
	r := newRig(t, 2).add(p, 1, 2, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 1e-3})
	load := r.branch(2, 0, circuit.Resistor{Ohms: 1e7})
	r.compile()
	for i, want := range []float64{0.5, 1.5, 2.5, 3.5, 4.5} {
		p.Set(i)
		r.solver.SetOhms(load, 1e7)
		r.settle()
		assert.InDelta(t, want, r.volts(2), 0.002, "position %d, into an input of 10 megohm", i)
		r.solver.SetOhms(load, 10e3)
		r.settle()
		x := want / 5
		tap := 5 * x / (1 + x*(1-x)*5000/(10e3+50))
		assert.InDelta(t, tap*10e3/(10e3+50), r.volts(2), 1e-5, "position %d, into 10 kilohm", i)
	}
}

func TestPotentiometerDefects(t *testing.T) {
	p := pedal(t)
	r := newRig(t, 2).add(p, 1, 2, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 1})
	r.branch(2, 0, circuit.Resistor{Ohms: 1e5})
	r.compile()
	p.Set(2)
	for _, c := range []struct {
		defect   string
		severity float64
		volts    float64
	}{
		{"", 0, 2.47}, {"wiper-open", 0, 0}, {"wiper-dirty", 1e5, 1.24}, {"upper-track-open", 0, 0}, {"lower-track-open", 0, 4.88},
		{"shifted", 20, 3.47}, {"shorted", 5, 2.08},
	} {
		require.NoError(t, p.Spoil(c.defect, c.severity))
		r.settle()
		assert.InDelta(t, c.volts, r.volts(2), 0.03, c.defect)
	}
	assert.Greater(t, -r.solver.Current(source), 0.8, "a shorted sensor pulls the shared reference down")
}

// sensorAt returns the resistance of a temperature sensor of a kind at a temperature, measured with an ampere and a volt.
func sensorAt(t testing.TB, kind string, celsius float64, values map[string]float64) float64 {
	v := map[string]float64{"low": celsius, "high": celsius}
	for k, x := range values {
		v[k] = x
	}
	d, err := device.New(device.Spec{Kind: kind, Positions: places(2), Values: v})
	require.NoError(t, err)
	r := newRig(t, 1).add(d, 1, 0)
	r.branch(1, 0, circuit.Injection{Amps: -1e-3})
	r.compile().settle()
	return r.volts(1) / 1e-3
}

// kelvinOff is by how much a thermistor of the B = 3435 K element reads wrong when its resistance is off.
func kelvinOff(ohms, want, celsius, b float64) float64 {
	kelvin := celsius + 273.15
	return math.Log(ohms/want) / b * kelvin * kelvin
}

// testdata/device/thermistor.csv, all rows but the one marked as a misprint.
func TestThermistorFollowsPublishedTables(t *testing.T) {
	for _, row := range table(t, "thermistor.csv") {
		if row["temperature_C"] == "" || row["unit"] != "ohm" {
			continue
		}
		celsius, want := number(t, row["temperature_C"]), number(t, row["value"])
		switch row["quantity"] {
		case "ntc_table_b3435": // the element of the defaults; printed to 4 figures
			off := kelvinOff(sensorAt(t, "thermistor", celsius, nil), want, celsius, 3435)
			assert.InDelta(t, 0, off, 0.15, "%g °C: off in kelvin, three points against the whole table", celsius)
		case "ntc_from_coefficients":
			// Computed rows: the curve passes exactly through what Steinhart and Hart's equation gives at 0, 25 and 100 °C.
			ohms := sensorAt(t, "thermistor", celsius, map[string]float64{"at-0": 32650.64, "at-25": 9999.93, "at-100": 678.42})
			assert.InEpsilon(t, want, ohms, 2e-4, "%g °C", celsius)
		case "ntc_table": // ends at 50 °C; 100 °C from the coefficients that the file fits to it
			if celsius == 40 {
				continue // misprint in the source, see its note
			}
			a, b, c := 0.001104159125, 0.0002389179467, 6.9316265e-08
			hundred := 670.0
			for range 30 {
				l := math.Log(hundred)
				hundred *= math.Exp((1/373.15 - (a + b*l + c*l*l*l)) / (b + 3*c*l*l))
			}
			ohms := sensorAt(t, "thermistor", celsius, map[string]float64{"at-0": 32128, "at-25": 9814, "at-100": hundred})
			assert.InDelta(t, 0, kelvinOff(ohms, want, celsius, 3900), 0.005, "%g °C: off in kelvin", celsius)
		}
	}
}

func TestThermistorFallsEverywhere(t *testing.T) {
	last := math.Inf(1)
	for celsius := -55.0; celsius <= 200; celsius += 5 {
		ohms := sensorAt(t, "thermistor", celsius, nil)
		assert.Less(t, ohms, last, "%g °C", celsius)
		last = ohms
	}
	for _, v := range []map[string]float64{{"at-0": 10, "at-25": 100, "at-100": 1000}, {"at-0": 5, "at-25": 5, "at-100": 5}, {"at-0": 1e8, "at-25": 2, "at-100": 1}} {
		ohms := sensorAt(t, "thermistor", 60, v)
		assert.True(t, ohms > 0 && !math.IsInf(ohms, 0), "nonsense points give a number all the same (got %g)", ohms)
	}
}

// testdata/device/thermistor.csv: IEC 60751.
func TestPlatinumFollowsTheStandard(t *testing.T) {
	rows := 0
	for _, row := range table(t, "thermistor.csv") {
		at0 := map[string]float64{"pt100": 100, "pt1000": 1000}[row["quantity"]]
		if at0 == 0 {
			continue
		}
		rows++
		celsius := number(t, row["temperature_C"])
		// printed to 0.001 Ω and 0.01 Ω
		assert.InDelta(t, number(t, row["value"]), sensorAt(t, "platinum", celsius, map[string]float64{"at-0": at0}), at0*0.51e-5, "%g °C", celsius)
	}
	assert.GreaterOrEqual(t, rows, 18)
	alpha := (sensorAt(t, "platinum", 100, map[string]float64{"at-0": 100}) - 100) / (100 * 100)
	assert.InDelta(t, 3.851e-3, alpha, 1e-6, "scope of IEC 60751 (2022)")
}

func TestTemperatureSensorDefects(t *testing.T) {
	d, err := device.New(device.Spec{Kind: "thermistor", Positions: places(3), Values: map[string]float64{"low": 0, "high": 100}})
	require.NoError(t, err)
	r := newRig(t, 1).add(d, 1, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 10000})
	r.compile()
	for _, c := range []struct {
		defect   string
		severity float64
		position int
		volts    float64
	}{
		{"", 0, 0, 5 * 27280.0 / 37280}, {"", 0, 2, 5 * 973.1 / 10973.1}, {"open", 0, 0, 5}, {"shorted", 1, 0, 5e-4}, {"too-high", 200, 2, 5 * 1946.2 / 11946.2},
	} {
		d.(device.Controlled).Set(c.position)
		require.NoError(t, d.(device.Defective).Spoil(c.defect, c.severity))
		r.settle()
		assert.InDelta(t, c.volts, r.volts(1), 1e-3, "%s in position %d", c.defect, c.position)
	}
}
