package device

import (
	"math"
	"sync"
)

// filament is the heat balance of a lamp in units of its rating: power p = P/rated, voltage v, current i, all 1 when it burns as
// rated, and the temperature T in kelvin.
//
//	C·dT/dt = v²/r(T) - p(T)      r(T) = ρ(T)/ρ(hot)
//	p(T) = (1-gas)·(ε(T)·T⁴ - ε(T₀)·T₀⁴)/(same at hot) + gas·(T^1.75 - T₀^1.75)/(same at hot)
//
// The first term is radiation with tungsten's emissivity, the second conduction through the gas, whose conductivity grows about
// as T^0.75 (I. Langmuir, "Convection and conduction of heat in gases", Physical Review 34 (1912), takes the loss as the
// integral of the conductivity). No lamp's own numbers enter but its rated volts and watts.
type filament struct {
	rest [filamentNodes]filamentNode
}

// filamentNode is one stretch of the steady state over u = √v: conductance g (over that at rating) and temperature as cubics.
type filamentNode struct{ g, t [4]float64 }

const (
	// filamentHot is the temperature in kelvin at rated volts: 2700 to 2900 K for vehicle lamps (common practice, no source).
	filamentHot = 2800.0
	// filamentCold is the temperature of the surroundings, 20 °C.
	filamentCold = 293.15
	// filamentGas is the share of the power that the gas carries away at rated volts: 5 to 20 % for gas-filled lamps (from
	// memory). With 12 % the current follows the published power of the voltage.
	filamentGas = 0.12
	// filamentTop is the voltage over the rated one up to which the steady state is tabled. At about 2.1 the filament melts.
	filamentTop = 4.0
	// filamentNodes stretches of u make the table true to 2e-6 at worst, below a twentieth of rated volts, and 1e-8 above.
	filamentNodes = 400
	// lightNanometres is the wavelength that stands for all visible light of a filament: near it the brightness of a black body
	// changes with temperature as what the eye sees of all of it does (Crova's wavelength, about 570 nm, from memory).
	lightNanometres = 570.0
	// secondRadiation is hc/k in nm·K (CODATA 2018).
	secondRadiation = 1.438776877e7
)

// theFilament is made when first needed and never changes: all lamps are the same in units of their rating.
var theFilament = sync.OnceValue(newFilament)

// What stands below the fractions of the heat balance. They never change.
var (
	coldExitance  = tungstenExitance(filamentCold)
	coldConducted = power175(filamentCold)
	hotOhmMetres  = tungstenOhmMetres(filamentHot)
	hotRadiated   = tungstenExitance(filamentHot) - coldExitance
	hotConducted  = power175(filamentHot) - coldConducted
)

// ratio returns ρ(T)/ρ(hot).
func ratio(kelvin float64) float64 { return tungstenOhmMetres(kelvin) / hotOhmMetres }

// ratios returns ρ(T)/ρ(hot) and its slope over T.
func ratios(kelvin float64) (r, rise float64) {
	ohms, more := tungstenResistivity.steep((kelvin - 300) / 100)
	return 1e-8 * ohms / hotOhmMetres, 1e-10 * more / hotOhmMetres
}

// loss returns p(T).
func loss(kelvin float64) float64 {
	p, _ := losses(kelvin)
	return p
}

// losses returns p(T) and its slope over T.
func losses(kelvin float64) (p, slope float64) {
	radiates, more := tungstenRadiates(kelvin)
	root := math.Sqrt(kelvin)
	conducts := float64(root * math.Sqrt(root)) // T^0.75
	const gas = filamentGas
	p = float64((1-gas)*(radiates-coldExitance)/hotRadiated) + float64(gas*(float64(kelvin*conducts)-coldConducted)/hotConducted)
	return p, float64((1-gas)*more/hotRadiated) + float64(gas*1.75*conducts/hotConducted)
}

// power175 returns t^1.75.
func power175(t float64) float64 {
	root := math.Sqrt(t)
	return float64(t * root * math.Sqrt(root))
}

// newFilament tables the steady state.
func newFilament() *filament {
	f := new(filament)
	type point struct{ g, dg, t, dt float64 }
	var at [filamentNodes + 1]point
	h := math.Sqrt(filamentTop) / filamentNodes
	for k := range at {
		u := float64(k) * h
		v := u * u
		t := balance(v, filamentCold+float64(filamentHot*math.Sqrt(v)))
		// Along the steady state v² = p·r, so 2v dv = (p·r)' dT; at v = 0 both T and g have no slope over u.
		p := point{g: 1 / ratio(t), t: t}
		if k > 0 {
			const d = 0.01 // K: small beside the table's 100 K, large beside rounding
			pr := (float64(loss(t+d)*ratio(t+d)) - float64(loss(t-d)*ratio(t-d))) / (2 * d)
			dTdu := 4 * u * v / pr
			p.dt = dTdu * h
			p.dg = (1/ratio(t+d) - 1/ratio(t-d)) / (2 * d) * dTdu * h
		}
		at[k] = p
	}
	for k := range f.rest {
		a, b := at[k], at[k+1]
		f.rest[k] = filamentNode{g: hermite(a.g, a.dg, b.g, b.dg), t: hermite(a.t, a.dt, b.t, b.dt)}
	}
	return f
}

// balance returns the temperature at which v²/r(T) = p(T), by Newton's method from a guess that is too hot: the excess of loss
// over heating rises and bends upwards with T, so each step stays above the root.
func balance(v, guess float64) float64 {
	t := guess
	for range 100 {
		more, decay := excess(v, t)
		step := more / decay
		t = max(t-step, filamentCold)
		if math.Abs(step) < 1e-9*t {
			break
		}
	}
	return t
}

// excess is p(T) - v²/r(T), and decay its slope over T, always above 0.
func excess(v, kelvin float64) (excess, decay float64) {
	p, more := losses(kelvin)
	r, rise := ratios(kelvin)
	heats := float64(v*v) / r
	return p - heats, more + float64(heats*rise/r)
}

// hermite returns the coefficients, lowest first, of the cubic with given values and slopes at 0 and 1.
func hermite(y0, s0, y1, s1 float64) [4]float64 {
	d := y1 - y0
	return [4]float64{y0, s0, float64(3*d) - float64(2*s0) - s1, s0 + s1 - float64(2*d)}
}

// steady returns the conductance of a lamp that has burnt at v for long, over that at rating, and its slope times u/2, which is
// what the slope of the current needs.
func (f *filament) steady(v float64) (g, bend float64) {
	const perU = filamentNodes / 2 // 1/h, for √filamentTop = 2
	x := float64(math.Sqrt(v) * perU)
	k := int(x)
	t := x - float64(k)
	c := &f.rest[k].g
	g = c[0] + float64(t*(c[1]+float64(t*(c[2]+float64(t*c[3])))))
	dg := c[1] + float64(t*(float64(2*c[2])+float64(3*t*c[3])))
	return g, float64(dg * x / 2)
}

// temperature returns the temperature in kelvin of a lamp that has burnt at v for long.
func (f *filament) temperature(v float64) float64 {
	const perU = filamentNodes / 2
	x := float64(math.Sqrt(min(v, filamentTop*(1-1e-12))) * perU)
	k := int(x)
	t := x - float64(k)
	c := &f.rest[k].t
	return c[0] + float64(t*(c[1]+float64(t*(c[2]+float64(t*c[3])))))
}

// brightness returns the light of a filament over that at rating, by Wien's law at one wavelength.
func brightness(kelvin float64) float64 {
	return exp(-secondRadiation / lightNanometres * (1/kelvin - 1/filamentHot))
}

// glowing returns the temperature at which a filament has that brightness.
func glowing(level float64) float64 {
	return 1 / (1/filamentHot - lightNanometres/secondRadiation*log(level))
}

// filamentMass returns the mass in kg of the filament of a lamp: of the one wire that has the rated resistance, V²/P = ρ·l/A,
// and whose surface π·d·l radiates the rated power less what the gas takes. Shading of turns by turns is left out.
func filamentMass(volts, watts float64) float64 {
	rho, m := tungstenOhmMetres(filamentHot), tungstenExitance(filamentHot)
	ohms := volts * volts / watts
	// l = ohms·π·d²/(4ρ) in P(1-gas) = π·d·l·m gives d³.
	d := pow(4*rho*watts*(1-filamentGas)/(math.Pi*math.Pi*ohms*m), 1.0/3)
	area := math.Pi / 4 * float64(d*d)
	return tungstenDensity * area * (ohms * area / rho)
}
