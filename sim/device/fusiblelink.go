package device

import "math"

// FusibleLink is a short piece of thin cable that melts before the thicker one behind it.
//
// Least current: W. H. Preece, "On the heating effects of electric currents", Proceedings of the Royal Society 36 (1884) and 43
// (1887): 80·d^1.5 A for copper of d mm. Time at large currents: I. M. Onderdonk's formula (E. R. Stauffacher, "Short-time
// current carrying capacity of copper wire", General Electric Review 31 (1928)), 33·(I/A)²·t = lg((ΔT)/(234 + T) + 1) with A in
// circular mils, which from 20 °C to copper's 1083 °C is I²t = 84400·A² with A in mm². One body (see melt) with the time
// constant that makes both true stands between.
type FusibleLink struct{ strand }

const (
	preeceAmps = 80.0 // A/mm^1.5
	// onderdonkIntegral is A²s/mm⁴: lg(1063/254 + 1)/33·(1973.5 circular mils per mm²)².
	onderdonkIntegral = 84361.0
	// copperMeltRise is by how much copper's resistance has grown from 20 to 1083 °C, by IEC 60028's coefficient.
	copperMeltRise = copperPerKelvin * 1063
)

func fusibleLinkFamily() family {
	return family{
		kind: Kind{
			Name: "fusible-link", Title: "fusible link",
			Doc: "A short piece of thin cable in a feed from the battery that melts under its insulation when everything behind it is shorted. " +
				"It is slow: a large fuse opens long before it.",
			Terminals: fuseTerminals, Plugged: true,
			Params: []Param{
				{Key: "size", Doc: "cross-section of the link, a quarter of the cable that it protects", Dim: SquareMM, Required: true, Min: 0.13, Max: 10},
				{Key: "length", Doc: "its length", Dim: Metre, Default: 0.2, Min: 0.02, Max: 2},
			},
			Defects: []Defect{
				{Name: "element-open", Doc: "link melted", Likelihood: 1, Visible: true},
				{Name: "element-cracked", Doc: "link burnt inside its insulation, not to be seen", Dim: Ohm, Low: 0.1, High: 1e6, Typical: 10, Likelihood: 1},
			},
		},
		make: func(s Spec) Device {
			area := s.Values["size"]
			amps := preeceAmps * pow(linkDiameter(area), 1.5)
			f := &FusibleLink{}
			f.link = element{rating: amps, melt: &melt{least: 1, share: 1, fast: onderdonkIntegral * area * area / (amps * amps), slow: 1}}
			cold := CopperOhms(s.Values["length"], area, copperCelsius)
			f.steady = meltLaw{cold: cold, amps: amps, rise: copperMeltRise, unit: 1 / (cold * amps)}
			return f
		},
	}
}

// linkDiameter returns the diameter in mm of an area in mm².
func linkDiameter(area float64) float64 {
	const fourOverPi = 1.27323954473516268615
	return math.Sqrt(fourOverPi * area)
}
