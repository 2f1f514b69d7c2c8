package device

// Platinum is a platinum temperature sensor after IEC 60751 (2008):
//
//	R = R₀·(1 + A·t + B·t² + C·(t - 100)·t³)    C only below 0 °C
type Platinum struct{ sensed }

// The coefficients of IEC 60751, t in °C.
const platinumA, platinumB, platinumC = 3.9083e-3, -5.775e-7, -4.183e-12

func platinumFamily() family {
	return family{
		kind: Kind{
			Name: "platinum", Title: "platinum temperature sensor",
			Doc: "A temperature sensor whose resistance rises with temperature by the curve of IEC 60751, as in an exhaust. Its positions are " +
				"temperatures, evenly spaced between `low` and `high`; join nothing in them.",
			Terminals: sensorTerminals(), Table: true, Plugged: true, Defects: sensedDefects,
			Params: append(temperatureParams(20, 400),
				Param{Key: "at-0", Doc: "resistance at 0 °C: 100, 200 or 1000 ohms", Dim: Ohm, Default: 200, Min: 1, Max: 1e5}),
		},
		make: func(s Spec) Device {
			v := s.Values
			at0 := v["at-0"]
			return &Platinum{sensed{dial: dial{places: len(s.Positions)}, low: v["low"], high: v["high"],
				law: func(celsius float64) float64 { return at0 * platinumRatio(celsius) }}}
		},
	}
}

// platinumRatio returns R over R₀ at a temperature in °C, from -200 to 850.
func platinumRatio(t float64) float64 {
	r := 1 + float64(platinumA*t) + float64(platinumB*t*t)
	if t < 0 {
		r += float64(platinumC * (t - 100) * t * t * t)
	}
	return r
}
