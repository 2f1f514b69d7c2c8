package scenarios_test

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// level returns a row of testdata/device/can_levels.csv, with 0 for what it leaves out.
func level(t *testing.T, quantity string) (low, typical, high float64) {
	t.Helper()
	for _, row := range table(t, "../testdata/device/can_levels.csv") {
		if row["quantity"] != quantity {
			continue
		}
		for i, p := range []*float64{&low, &typical, &high} {
			if text := row[[]string{"minimum", "typical", "maximum"}[i]]; text != "" {
				var err error
				*p, err = strconv.ParseFloat(text, 64)
				require.NoError(t, err)
			}
		}
		return low, typical, high
	}
	require.Fail(t, "no such row", quantity)
	return 0, 0, 0
}

// mend does the repair of the exercise's fault.
func (j job) mend() {
	j.Helper()
	for _, f := range j.ex.Faults {
		j.do(attempt.Repair{Repair: fault.RepairFor(j.ex.Harness, f).String()})
	}
}

// busOhms is how far an ohmmeter may be from the table's ohms: its leads have 0.1 Ω, it errs by 0.8 %, a short lies behind metres of wire,
// and the receivers lie beside 120 Ω with 10 kΩ.
const busOhms = 1.7

// With the power off the ohms between high and low tell how many of the two terminations are reached; the row names are those of
// testdata/device/can_levels.csv, which has the sources.
func TestBusOhmsTellHowFarItReaches(t *testing.T) {
	both, one, short := "resistance CAN_H to CAN_L, power off, both ends fitted", "same, one terminator open", "same, CAN_H shorted to CAN_L"
	for _, c := range []struct {
		exercise, row string
		a, b          harness.Point
	}{
		{"mb11-01-only-dashes", one, "X1.1.a", "X1.2.a"},
		{"mb11-01-only-dashes", one, "X1.1.b", "X1.2.b"},
		{"mb11-02-all-three-at-once", short, "X1.1.a", "X1.2.a"},
		{"mb11-04-it-cries-at-the-quay", both, "X1.1.a", "X1.2.a"},
	} {
		_, want, _ := level(t, c.row)
		j := begin(t, c.exercise)
		d := j.read(meter.Ohms, c.a, c.b)
		assert.True(t, d.Valid)
		assert.InDelta(t, want, d.Value, busOhms, "%s, %s to %s: %s", c.exercise, c.a, c.b, c.row)
	}
	j := begin(t, "mb11-02-all-three-at-once")
	j.do(attempt.Unplug{Connector: "X1"})
	_, want, _ := level(t, one)
	assert.InDelta(t, want, j.read(meter.Ohms, "X1.1.b", "X1.2.b").Value, busOhms, "the good part, parted from the short")
}

// With traffic a voltmeter shows what is taught; a unit that holds the bus shows the levels of a bit.
func TestBusVoltsOnTheMeter(t *testing.T) {
	j := begin(t, "mb11-06-which-of-them")
	j.set("KEY", "on")
	for _, c := range []struct {
		wire harness.Point
		row  string
	}{{"X1.1.a", "CAN_H dominant"}, {"X1.2.a", "CAN_L dominant"}} {
		low, _, high := level(t, c.row)
		v := j.read(meter.Volts, c.wire, harness.Body).Value
		assert.True(t, low <= v && v <= high, "%s: %g V", c.row, v)
	}
	j.set("KEY", "off")
	j.mend()
	j.set("KEY", "on")
	sum := 0.0
	for _, c := range []struct {
		wire harness.Point
		row  string
	}{{"X1.1.a", "meter average on CAN_H with traffic"}, {"X1.2.a", "meter average on CAN_L with traffic"}} {
		low, usual, high := level(t, c.row)
		v := j.read(meter.Volts, c.wire, harness.Body).Value
		assert.True(t, low <= v && v <= high, "%s: %g V", c.row, v)
		assert.InDelta(t, usual, v, 0.05, "%s", c.row)
		sum += v
	}
	assert.InDelta(t, 5, sum, 0.05, "both together")
}

// One sensor pulls the 5 V of both down; without it they are back.
func TestSensorDragsTheReferenceDown(t *testing.T) {
	j := begin(t, "mb11-04-it-cries-at-the-quay")
	obs := j.set("KEY", "on")
	assert.Equal(t, "sounds", obs.Effects["BZ"], "without oil pressure and without speed")
	assert.Less(t, j.read(meter.Volts, "M1.1.a", harness.Body).Value, 2.0)
	j.do(attempt.Unplug{Connector: "PS"})
	assert.Less(t, j.read(meter.Volts, "M1.1.a", harness.Body).Value, 2.0, "the new one is not to blame")
	j.do(attempt.Plug{Connector: "PS"}, attempt.Unplug{Connector: "HS"})
	// A reference of 5 V within 5 % (common practice, no source).
	assert.InDelta(t, 5, j.read(meter.Volts, "M1.1.a", harness.Body).Value, 0.25)
}

// A joint of 8 Ω in the wiper's plus for parking passes full voltage while nothing flows, and next to nothing when the motor should run on
// through it.
func TestPlusForParkingWithoutLoad(t *testing.T) {
	j := begin(t, "wl4-06-twelve-volts-there")
	obs := j.set("KEY", "on")
	require.Equal(t, "parked", obs.Effects["WM"])
	assert.Greater(t, j.read(meter.Volts, "WM.53a.a", harness.Body).Value, 12.0, "parked")
	j.set("WS", "on")
	obs = j.do(attempt.Wait{Seconds: 3})
	require.Equal(t, "wipes", obs.Effects["WM"])
	assert.Greater(t, j.read(meter.Volts, "WM.53a.a", harness.Body).Value, 12.0, "while it wipes nothing flows there either")
	j.set("WS", "off")
	obs = j.do(attempt.Wait{Seconds: 3})
	require.Equal(t, "stopped", obs.Effects["WM"])
	assert.Less(t, j.read(meter.Volts, "WM.53a.a", harness.Body).Value, 2.0, "where it stopped")
}

// Of 40 % of the time at 12.6 V a voltmeter shows 40 % of 12.6 V, duty and hertz show what they are; a joint loses the same share of what
// there is by day and at night, but for the forward voltage of the LED.
func TestPulsesShowTheirMean(t *testing.T) {
	j := begin(t, "wl4-02-dark-dials")
	j.set("KEY", "on")
	day := j.read(meter.Volts, "X2.1.b", harness.Body).Value
	lost := j.read(meter.Volts, "X2.2.b", "X2.2.a").Value
	assert.Greater(t, lost, 20*taught(t, "one connection", "12"), "volts lost in the joint by day")
	j.set("LS", "night")
	assert.InDelta(t, 0.4*day, j.read(meter.Volts, "X2.1.b", harness.Body).Value, 0.01*day, "the mean")
	assert.InDelta(t, 40, j.read(meter.Duty, "X2.1.b", harness.Body).Value, 0.7, "0.5 %% of 40 %% and 5 counts of a tenth")
	assert.InDelta(t, 200, j.read(meter.Hertz, "X2.1.b", harness.Body).Value, 0.5)
	assert.Greater(t, j.read(meter.Volts, "X2.2.b", "X2.2.a").Value, 0.2*lost)
	assert.Less(t, j.read(meter.Volts, "X2.2.b", "X2.2.a").Value, 0.5*lost)
}
