package device

// Tungsten, as a filament in a gas-filled bulb.

// tungstenMicroOhmCM is the resistivity of tungsten in µΩ·cm at 300, 400, ... 3600 K: W. E. Forsythe and A. G. Worthing,
// "The properties of tungsten and the characteristics of tungsten lamps", Astrophysical Journal 61, 146 (1925).
var tungstenMicroOhmCM = [...]float64{
	5.65, 8.06, 10.56, 13.23, 16.09, 19.0, 21.94, 24.93, 27.94, 30.98, 34.08, 37.19, 40.36, 43.55, 46.78, 50.05, 53.35, 56.67,
	60.06, 63.48, 66.91, 70.39, 73.91, 77.49, 81.04, 84.7, 88.33, 92.04, 95.76, 99.54, 103.3, 107.2, 111.1, 115.0,
}

// tungstenEmissivity is the total hemispherical emissivity of tungsten at 0, 500, ... 3500 K, after the same authors (from
// memory; the value at 0 K is only where the line through the first points leads).
var tungstenEmissivity = [...]float64{0, 0.053, 0.114, 0.192, 0.259, 0.303, 0.334, 0.351}

// The curves through both tables. They never change.
var tungstenResistivity, tungstenEmits = through(tungstenMicroOhmCM[:]), through(tungstenEmissivity[:])

const (
	tungstenMelts   = 3695.0  // K, handbook value
	tungstenDensity = 19250.0 // kg/m³, handbook value
	tungstenMolar   = 0.18384 // kg/mol, IUPAC
	stefanBoltzmann = 5.670374419e-8
)

// tungstenOhmMetres returns the resistivity of tungsten in Ω·m at a temperature in kelvin, smooth through the table and
// straight beyond its ends.
func tungstenOhmMetres(kelvin float64) float64 {
	return 1e-8 * tungstenResistivity.at((kelvin-300)/100)
}

// tungstenExitance returns the power in W/m² that tungsten at a temperature in kelvin radiates into cold surroundings.
func tungstenExitance(kelvin float64) float64 {
	m, _ := tungstenRadiates(kelvin)
	return m
}

// tungstenRadiates is tungstenExitance with its slope in W/(m²·K).
func tungstenRadiates(kelvin float64) (exitance, slope float64) {
	e, rise := tungstenEmits.steep(kelvin / 500)
	cube := stefanBoltzmann * kelvin * kelvin * kelvin
	return float64(e * cube * kelvin), cube * (float64(rise/500*kelvin) + float64(4*e))
}

// tungstenHeat returns the specific heat of tungsten in J/(kg·K) at a temperature in kelvin: NIST-JANAF tables (Chase 1998) in
// Shomate's form, held at its ends below 298 and above 3680 K.
func tungstenHeat(kelvin float64) float64 {
	t := min(max(kelvin, 298), 3680) / 1000
	a, b, c, d, e := 23.95930, 2.639680, 1.257750, -0.254642, -0.048407
	if t > 1.9 {
		a, b, c, d, e = -22.57640, 90.27980, -44.27150, 7.176630, -24.09740
	}
	cp := a + float64(b*t) + float64(c*t*t) + float64(d*t*t*t) + float64(e/(t*t))
	return cp / tungstenMolar
}

// smooth is a curve through values at 0, 1, 2, ...: cubic between neighbours with the slope of the chord of both neighbours at
// each point, straight beyond the ends.
type smooth struct {
	parts     []cubic
	end, rise float64 // value and slope at the last point
}

// cubic is a value, a slope and what bends, in powers of the distance from a point.
type cubic struct{ y, s, b, c float64 }

// through makes the curve through y.
func through(y []float64) smooth {
	n := len(y) - 1
	c := smooth{end: y[n], rise: slopeAt(y, n)}
	for k := range n {
		d, s0, s1 := y[k+1]-y[k], slopeAt(y, k), slopeAt(y, k+1)
		c.parts = append(c.parts, cubic{y[k], s0, (float64(3*d) - float64(2*s0) - s1), s0 + s1 - float64(2*d)})
	}
	return c
}

// at returns the value at place x.
func (c *smooth) at(x float64) float64 {
	y, _ := c.steep(x)
	return y
}

// steep returns the value and the slope at place x.
func (c *smooth) steep(x float64) (y, slope float64) {
	k, n := 0, len(c.parts)
	switch {
	case x > float64(n):
		return c.end + float64(c.rise*(x-float64(n))), c.rise
	case x > 0:
		k = min(int(x), n-1)
	}
	p := &c.parts[k]
	t := x - float64(k)
	if t < 0 {
		return p.y + float64(p.s*t), p.s
	}
	return p.y + float64(t*(p.s+float64(t*(p.b+float64(t*p.c))))), p.s + float64(t*(float64(2*p.b)+float64(3*t*p.c)))
}

func slopeAt(y []float64, k int) float64 {
	switch n := len(y) - 1; k {
	case 0:
		return y[1] - y[0]
	case n:
		return y[n] - y[n-1]
	}
	return (y[k+1] - y[k-1]) / 2
}
