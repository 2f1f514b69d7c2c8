package device

// Fuse is a blade fuse. Its element warms with the square of the current (see melt), its resistance with its heat, and at the
// melting point it opens for good.
//
// Its surroundings are taken as those of the standard's tests, room temperature, whatever the vehicle's or a place's: in the heat it carries less. A data
// sheet has a 40 A link bear 34 A at 65 °C, 30 A at 85 °C and 22 A at 125 °C (testdata/device/blade_fuse.csv), which is in no figure here.
type Fuse struct {
	strand
	model  *fuseMake
	fitted float64 // rating that the harness asks for, in amperes
}

// fuseMake is what fuses of one type have in common.
type fuseMake struct {
	melt melt
	// cold is the resistance in milliohms by rating in amperes, and rise by how much of that it has grown at rated current.
	rating, cold, rise []float64
}

// Ratings and resistances of the medium and miniature blade fuses (types C and F of ISO 8820-3). Cold resistances: typical data
// sheet figures, 40 A seen, the others from memory; the rise is what typical voltage drops at rated current (137, 128,
// 116, 109, 102, 98 and 96 mV at 3, 5, 7.5, 10, 15, 20 and 40 A, from the same sources) make of them. 30 A: no
// drop was found, so its rise lies between its neighbours'.
//
// Time: one body with least = 1.2 and τ = 1.43 s stays inside every window of ISO 8820-3 and melts at the published
// melting integral of the 40 A fuse, τ·(1.2·40 A)² = 3300 A²s.
var bladeMake = fuseMake{
	melt:   melt{least: 1.2, share: 1, fast: 1.43, slow: 1},
	rating: []float64{3, 5, 7.5, 10, 15, 20, 30, 40},
	cold:   []float64{31.1, 17.9, 10.9, 7.7, 4.6, 3.2, 2.0, 1.44},
	rise:   []float64{0.468, 0.430, 0.419, 0.416, 0.478, 0.531, 0.6, 0.667},
}

// The same for large blade fuses (type E). Cold resistances of 30, 35 and 40 A: data sheet; others in inverse proportion to the
// rating to the power 1.07, as these three are. The rise follows from 75 mV at 40 A.
//
// Time: an element and its blades. Least, share and time constants are fitted to the windows and to the published melting
// integral of the 40 A fuse, 8500 A²s, all near the middle of their windows.
var largeMake = fuseMake{
	melt:   melt{least: 1.22, share: 0.35, fast: 1.19, slow: 200},
	rating: []float64{20, 30, 35, 40, 60, 80},
	cold:   []float64{2.93, 1.9, 1.7, 1.4, 0.91, 0.67},
	rise:   []float64{0.34, 0.34, 0.34, 0.34, 0.34, 0.34},
}

// FuseRatings returns the ratings in amperes that blade fuses are made in (ISO 8820-3, types C and F), rising. The caller owns
// the slice.
func FuseRatings() []float64 {
	return []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40}
}

// LargeFuseRatings returns the ratings in amperes that large blade fuses are made in (ISO 8820-3, type E), rising. The caller
// owns the slice.
func LargeFuseRatings() []float64 { return []float64{20, 25, 30, 35, 40, 50, 60, 70, 80} }

var fuseTerminals = []Terminal{{"1", "towards the supply"}, {"2", "towards the load"}}

var fuseDefects = []Defect{
	{Name: "element-open", Doc: "fuse element open", Likelihood: 1, Visible: true},
	{Name: "element-cracked", Doc: "hair crack in the fuse element, not to be seen", Dim: Ohm, Low: 0.1, High: 1e6, Typical: 1000, Likelihood: 0.1},
}

func fuseFamily() family {
	return family{
		kind: Kind{
			Name: "fuse", Title: "blade fuse",
			Doc: "A medium or miniature blade fuse (ISO 8820-3 types C and F). It opens in seconds at one and a half times its rating, " +
				"in a twentieth of a second at six times, and carries its rating for good. A new one opens again while the short is there. " +
				"It is as if at room temperature wherever it sits; real ones bear a quarter less at 85 °C.",
			Terminals: fuseTerminals, Plugged: true, Defects: fuseDefects,
			Params: []Param{{Key: "rating", Doc: "current printed on the fuse", Dim: Ampere, Required: true, Min: 1, Max: 40}},
		},
		make: func(s Spec) Device { return newFuse(&bladeMake, s.Values["rating"]) },
	}
}

func largeFuseFamily() family {
	return family{
		kind: Kind{
			Name: "large-fuse", Title: "large blade fuse",
			Doc: "A large blade fuse (ISO 8820-3 type E), slower than the smaller ones: it rides through starting currents and takes " +
				"a minute or more at one and a third times its rating. Heat round it changes nothing, as with the smaller ones.",
			Terminals: fuseTerminals, Plugged: true, Defects: fuseDefects,
			Params: []Param{{Key: "rating", Doc: "current printed on the fuse", Dim: Ampere, Required: true, Min: 20, Max: 80}},
		},
		make: func(s Spec) Device { return newFuse(&largeMake, s.Values["rating"]) },
	}
}

func newFuse(m *fuseMake, rating float64) *Fuse {
	f := &Fuse{model: m, fitted: rating}
	f.Fit(rating)
	return f
}

// Fit puts in a new, cold, sound fuse of the same type with a rating in amperes, which must be above 0.
func (f *Fuse) Fit(amps float64) {
	f.fit(amps)
	f.heal()
}

// fit is Fit that leaves a defect in.
func (f *Fuse) fit(amps float64) {
	f.link = element{melt: &f.model.melt, rating: amps}
	f.steady = f.model.law(amps)
	f.curve.now = nil
}

// Turn makes the element whole or open, whatever its heat, to see what would follow.
func (f *Fuse) Turn(open bool) { f.link.blown = open }

// Rating returns the rating in amperes of the fuse that is in now.
func (f *Fuse) Rating() float64 { return f.link.rating }

// Fitted returns the rating in amperes that the harness asks for.
func (f *Fuse) Fitted() float64 { return f.fitted }

// law returns the steady law of a rating.
func (m *fuseMake) law(rating float64) meltLaw {
	cold := 1e-3 * exp(interpolate(log(rating), m.rating, m.cold))
	k := 0
	for k < len(m.rating)-2 && rating > m.rating[k+1] {
		k++
	}
	t := min(1, max(0, (rating-m.rating[k])/(m.rating[k+1]-m.rating[k])))
	rise := m.rise[k] + float64(t*(m.rise[k+1]-m.rise[k]))
	amps := m.melt.least * rating
	return meltLaw{cold: cold, amps: amps, rise: rise * m.melt.least * m.melt.least, unit: 1 / (cold * amps)}
}

// interpolate returns the natural logarithm of y at a natural logarithm of x, straight in logarithms between and beyond the
// points given.
func interpolate(logX float64, x, y []float64) float64 {
	k := 0
	for k < len(x)-2 && logX > log(x[k+1]) {
		k++
	}
	x0, x1, y0, y1 := log(x[k]), log(x[k+1]), log(y[k]), log(y[k+1])
	return y0 + float64((logX-x0)/(x1-x0)*(y1-y0))
}

// SetState implements Device. A defect stays.
func (f *Fuse) SetState(x []float64) {
	if x[0] != f.link.rating {
		f.fit(x[0])
	}
	f.strand.SetState(x)
}
