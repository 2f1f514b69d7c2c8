package device

import (
	"math"
	"slices"

	"faultloom/sim/circuit"
)

// sensed is a two-terminal resistance that follows a temperature which a control sets: thermistor and platinum sensor. Its own
// current does not warm it (a milliwatt in a sensor that takes some milliwatts for a kelvin in still air, and it sits in a fluid).
type sensed struct {
	base
	dial
	branch    circuit.ID
	low, high float64 // °C in the first and last position
	law       func(celsius float64) float64
	spoilt
}

var sensedDefects = []Defect{
	{Name: "open", Doc: "sensor open", Likelihood: 1.5},
	{Name: "shorted", Doc: "sensor shorted", Dim: Ohm, Low: 0.1, High: 100, Typical: 1, Likelihood: 0.7},
	{Name: "too-high", Doc: "sensor off its curve: resistance so many percent of the right one", Dim: Percent, Low: 125, High: 1000, Typical: 250, Likelihood: 1},
	{Name: "too-low", Doc: "sensor off its curve: resistance so many percent of the right one", Dim: Percent, Low: 5, High: 80, Typical: 40, Likelihood: 1},
}

// Celsius returns the temperature that the sensor has in the present position.
func (t *sensed) Celsius() float64 { return t.between(t.low, t.high) }

// Ohms returns the resistance at the present temperature.
func (t *sensed) Ohms() float64 {
	r := t.law(t.Celsius())
	switch t.name {
	case "open":
		return math.Inf(1)
	case "shorted":
		return min(r, t.severity)
	case "too-high", "too-low":
		return r * t.severity / 100
	case "wrong-sensor":
		return r * t.severity / t.law(25)
	}
	return r
}

// Build implements Device.
func (t *sensed) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	t.branch = n.Add(name, pins[0], pins[1], circuit.Resistor{Ohms: t.Ohms()})
}

// Stamp implements Device.
func (t *sensed) Stamp(s *circuit.Solver, _ Mode) { s.SetOhms(t.branch, t.Ohms()) }

// State implements Device: the position.
func (t *sensed) State() []float64 { return t.dial.State() }

// SetState implements Device.
func (t *sensed) SetState(x []float64) { t.dial.SetState(x) }

// Thermistor is a sensor whose resistance falls as it warms, by the equation of J. S. Steinhart and S. R. Hart, "Calibration curves
// for thermistors", Deep-Sea Research 15 (1968):
//
//	1/T = A + B·ln R + C·(ln R)³
//
// with A, B and C such that it passes through three points that a data sheet gives: 0, 25 and 100 °C.
type Thermistor struct{ sensed }

// The temperatures in °C at which a thermistor's resistance is given.
var thermistorCelsius = [3]float64{0, 25, 100}

const zeroCelsius = 273.15 // K

func sensorTerminals() []Terminal {
	return []Terminal{{"signal", "towards the module or gauge"}, {"out", "ground side"}}
}

// temperatureParams are those by which a control's positions become temperatures.
func temperatureParams(low, high float64) []Param {
	return []Param{
		{Key: "low", Doc: "temperature in the first position", Dim: Celsius, Default: low, Min: -55, Max: 600},
		{Key: "high", Doc: "temperature in the last position", Dim: Celsius, Default: high, Min: -55, Max: 600},
	}
}

func thermistorFamily() family {
	return family{
		kind: Kind{
			Name: "thermistor", Title: "temperature sensor",
			Doc: "A temperature sensor whose resistance falls as it warms (NTC). Its positions are temperatures, evenly spaced between `low` and " +
				"`high`; join nothing in them. Give its resistance at 0, 25 and 100 °C from a data sheet, or leave that to the defaults.",
			Terminals: sensorTerminals(), Table: true, Plugged: true,
			// Sensors of 2 to 50 kΩ at 25 °C look alike; their curves run side by side (common practice, no source).
			Defects: append(slices.Clone(sensedDefects), Defect{Name: "wrong-sensor", Doc: "sensor of another value fitted: its resistance at 25 °C",
				Dim: Ohm, Low: 1e-3, High: 1e8, Typical: 2200, Likelihood: 0.2, Visible: true}),
			Params: append(temperatureParams(20, 90),
				// The element of testdata/device/thermistor.csv with R25 = 10 kΩ and B(25/85) = 3435 K.
				Param{Key: "at-0", Doc: "resistance at 0 °C", Dim: Ohm, Default: 27280, Min: 1, Max: 1e8},
				Param{Key: "at-25", Doc: "resistance at 25 °C; below the one at 0 °C", Dim: Ohm, Default: 10000, Min: 1, Max: 1e8},
				Param{Key: "at-100", Doc: "resistance at 100 °C; below the one at 25 °C", Dim: Ohm, Default: 973.1, Min: 1, Max: 1e8},
			),
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["at-25"]; d.Name == "wrong-sensor" {
				d.span(0.05*ohms, 0.22*ohms, 0.75*ohms)
			}
		},
		make: func(s Spec) Device {
			v := s.Values
			curve := fitSteinhartHart(v["at-0"], v["at-25"], v["at-100"])
			return &Thermistor{sensed{dial: dial{places: len(s.Positions)}, low: v["low"], high: v["high"], law: curve.ohms}}
		},
	}
}

// steinhartHart is the curve of a thermistor, see Thermistor.
type steinhartHart struct{ a, b, c float64 }

// fitSteinhartHart returns the curve through three resistances in ohms at thermistorCelsius. Where they do not fall, which no
// thermistor of this kind does, the curve is the straight line of the outer two, made to fall.
func fitSteinhartHart(r0, r1, r2 float64) steinhartHart {
	var l, y [3]float64
	for i, r := range [...]float64{r0, r1, r2} {
		l[i], y[i] = log(r), 1/(thermistorCelsius[i]+zeroCelsius)
	}
	g1, g2 := (y[1]-y[0])/(l[1]-l[0]), (y[2]-y[0])/(l[2]-l[0])
	c := (g2 - g1) / (l[2] - l[1]) / (l[0] + l[1] + l[2])
	b := g1 - float64(c*(float64(l[0]*l[0])+float64(l[0]*l[1])+float64(l[1]*l[1])))
	if !(r0 > r1 && r1 > r2) || !(c >= 0 && b > 0) {
		b, c = math.Abs(y[2]-y[0])/max(math.Abs(l[2]-l[0]), 1e-3), 0
	}
	return steinhartHart{y[1] - float64(b*l[1]) - float64(c*l[1]*l[1]*l[1]), b, c}
}

// ohms returns the resistance at a temperature in °C: the cubic in ln R rises, so Newton's method in ln R finds it from anywhere
// near.
func (q steinhartHart) ohms(celsius float64) float64 {
	y := 1 / (celsius + zeroCelsius)
	l := (y - q.a) / q.b
	for range 50 {
		step := (q.a + float64(q.b*l) + float64(q.c*l*l*l) - y) / (q.b + float64(3*q.c*l*l))
		l -= step
		if math.Abs(step) < 1e-14*math.Abs(l) {
			break
		}
	}
	return exp(l)
}
