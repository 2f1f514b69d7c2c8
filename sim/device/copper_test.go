package device_test

import (
	"strconv"
	"strings"
	"testing"

	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gauge reads a gauge number as it is written: 0000 is -3.
func gauge(t *testing.T, s string) int {
	if strings.Trim(s, "0") == "" {
		return 1 - len(s)
	}
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	return n
}

// testdata/device/wire_awg.csv: ASTM B258 with 1/58 Ω·mm²/m, Lessons In Electric Circuits I ch. 12, HyperPhysics wire gauge
// table, FAA AC 43.13-1B table 11-9.
func TestEveryGaugeHasItsHandbookResistance(t *testing.T) {
	for _, row := range table(t, "wire_awg.csv") {
		t.Run("gauge "+row["awg"], func(t *testing.T) {
			n := gauge(t, row["awg"])
			area := device.GaugeMM2(n)
			perKm := device.CopperOhms(1000, area, 20)
			assert.InDelta(t, number(t, row["area_mm2"]), area, 0.51e-4, "area: printed to 4 decimals")
			assert.InEpsilon(t, number(t, row["resistance_ohm_per_km_20C"]), perKm, 5e-5, "formula: printed to 5 figures")
			// Sizes from 2 on are printed to 4 figures; the larger ones to 2 or 3.
			tolerance := 4e-4
			if n < 2 {
				tolerance = 1e-3
			}
			assert.InEpsilon(t, number(t, row["published_ohm_per_km_20C"]), perKm, tolerance, "handbook")
			if area := row["tinned_stranded_area_mm2"]; area != "" {
				limit := number(t, row["tinned_stranded_max_ohm_per_km_20C"])
				assert.Less(t, device.CopperOhms(1000, number(t, area), 20), limit, "limit of tinned stranded aircraft wire of that area")
			}
		})
	}
}

// testdata/device/wire_metric.csv: ISO 6722-1 (2011), IEC 60228.
func TestEveryMetricSizeKeepsTheStandardsLimits(t *testing.T) {
	rows := table(t, "wire_metric.csv")
	require.Len(t, rows, len(device.MetricSizes()))
	for i, row := range rows {
		t.Run(row["nominal_area_mm2"]+" mm2", func(t *testing.T) {
			area := number(t, row["nominal_area_mm2"])
			assert.Equal(t, area, device.MetricSizes()[i])
			perKm := device.CopperOhms(1000, area, 20)
			assert.InEpsilon(t, number(t, row["ideal_solid_ohm_per_km_20C"]), perKm, 5e-4, "printed to 4 figures")
			for _, limit := range []string{"iso6722_max_ohm_per_km_20C", "iec60228_class5_plain_max_ohm_per_km_20C", "iec60228_class1_2_plain_max_ohm_per_km_20C"} {
				if row[limit] != "" {
					assert.LessOrEqual(t, perKm, number(t, row[limit]), limit)
				}
			}
		})
	}
}

// testdata/device/copper.csv.
func TestCopperWithTemperature(t *testing.T) {
	at := func(celsius float64) float64 { return device.CopperOhms(1, 1, celsius) }
	assert.InEpsilon(t, 0.0172413793, at(20), 1e-9, "IEC 60028 (1925): 1/58 Ω·mm²/m")
	assert.InEpsilon(t, 0.017241, at(20), 3e-5, "NBS Handbook 100 (1966): 0.017241 Ω·mm²/m")
	assert.InEpsilon(t, 1.255, at(85)/at(20), 1e-3, "IEC 60028: 0.00393/K over 65 K")
	assert.InEpsilon(t, 0.104, device.CopperOhms(20, device.GaugeMM2(12), 20), 0.005, "OpenStax College Physics 2e section 20.3, problem: 20.0 m of 12 gauge")
	for _, c := range []struct{ celsius, toTwenty float64 }{{10, 1.042}, {50, 0.893}, {85, 0.794}} {
		assert.InEpsilon(t, c.toTwenty, at(20)/at(c.celsius), 4e-3,
			"IEC 60228 correction factor from %g °C, which rounds the coefficient to 0.004", c.celsius)
	}
	for celsius := -40.0; celsius <= 150; celsius += 10 {
		assert.InEpsilon(t, (234.5+celsius)/254.5, at(celsius)/at(20), 1e-3, "FAA AC 43.13-1B par. 11-66 at %g °C", celsius)
	}
	assert.InEpsilon(t, 10*at(20), device.CopperOhms(5, 0.5, 20), 1e-12, "in proportion to length over area")
	assert.Positive(t, at(-270), "never without resistance")
}
