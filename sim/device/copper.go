package device

// Copper, after IEC 60028 (1925), International standard of resistance for copper: the annealed standard at 20 °C has
// 1/58 Ω·mm²/m, and its resistance changes at constant mass by 0.00393 per kelvin of what it is at 20 °C.
const (
	copperOhmMM2PerMetre = 1.0 / 58
	copperPerKelvin      = 0.00393
	copperCelsius        = 20.0
)

// CopperOhms returns the resistance in ohms of metres of copper wire of mm2 square millimetres of metal at a temperature in
// degrees Celsius, R = ρ·l/A·(1 + α(t-20)) with the constants of IEC 60028. The linear rule serves from about -100 to
// 200 °C; below, the result is held at a tenth of what it is at 20 °C. A wire with strands lost has lost that
// share of mm2. A wire without metal has +Inf.
func CopperOhms(metres, mm2, celsius float64) float64 {
	k := 1 + float64(copperPerKelvin*(celsius-copperCelsius))
	return copperOhmMM2PerMetre * metres / mm2 * max(k, 0.1)
}

// GaugeMM2 returns the area in mm² of a solid wire of an American gauge number: 36 to 0, and -1, -2, -3 for 00, 000, 0000.
// ASTM B258 defines the diameter as 0.127·92^((36-n)/39) mm.
func GaugeMM2(n int) float64 {
	const quarterPi = 0.78539816339744830961
	d := 0.127 * pow(92, float64(36-n)/39)
	return quarterPi * float64(d*d)
}

// MetricSizes returns the nominal areas in mm² of vehicle cables after ISO 6722-1 (2011), rising. The caller owns the slice.
func MetricSizes() []float64 {
	return []float64{0.13, 0.22, 0.35, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 50, 60,
		70, 95, 120}
}
